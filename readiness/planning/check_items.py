"""The items of a check at the end of a unit, for a student who may play.

Which there are, what matters more among them, and which easy things stand between hard
ones. The rules and which of them wins are in ``planning.sheet``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from readiness.course.model import Skill
from readiness.course.plan import bits
from readiness.planning.character import MET_STATES, is_hard, left_out
from readiness.planning.known_things import favourite, glance_skills, is_open, soonest, sure, teaching_order
from readiness.planning.lesson_ground import Ground
from readiness.planning.order import ANYWHERE, CAN_WAIT, DECIDES, Thing, best_order
from readiness.planning.sheet_values import LeftOut, SheetItem

__all__ = ["check_items"]


@dataclass(frozen=True, slots=True)
class _Wanted:
    skill: str
    why: str
    rank: int
    hard: bool = False


def check_items(
    ground: Ground, resting: AbstractSet[str], most: int
) -> tuple[tuple[SheetItem, ...], tuple[LeftOut, ...], bool]:
    """Return the items in their order, what was left out, and whether the order is proved to be the best.

    ``resting`` are the skills that wait, because a part of the body is on hold elsewhere; ``most`` is
    how many items there may be.
    """
    return _Maker(ground, resting, most).make()


class _Maker:
    """Makes the items of one check."""

    def __init__(self, ground: Ground, resting: AbstractSet[str], most: int) -> None:
        self.ground = ground
        self.resting = resting
        self.course, self.answer = ground.course, ground.answer
        self.most = most
        course, answer = self.course, self.answer
        self.glance = glance_skills(course, answer)

    def make(self) -> tuple[tuple[SheetItem, ...], tuple[LeftOut, ...], bool]:
        """Return the items in their order, what was left out, and whether the order is proved."""
        wanted, brought = self._parted(self._wanted())
        asked = {one.skill for one in wanted}
        piece = favourite(self.course, self.answer, self.resting | self.ground.disliked)
        piece = None if piece in asked else piece
        success = self._success(asked, piece)
        head, tail = self._head(success), self._tail(piece)
        easy = [one for one in self._easy(wanted) if one.skill not in {*asked, success, piece}]
        chosen = _fitting(wanted, easy, max(0, self.most - len(head) - len(tail)))
        things = [Thing(one.rank, one.hard, self._is_quiet(one.skill)) for one in chosen]
        order = best_order(things, _thing(head[-1:]), _thing(tail))
        middle = (self._item(chosen[i].skill, chosen[i].why) for i in order.places)
        items = (*head, *middle, *tail)[: self.most]
        return items, tuple(self._left_out(items, asked, brought)), order.proved

    def _wanted(self) -> Iterator[_Wanted]:
        """Yield what there is to look at, what matters more first, each skill once."""
        seen = {*self.glance, *self.resting}
        for one in (*self._deciding(), *self._waiting()):
            if one.skill not in seen and (one.why == "beneath" or self.ground.may_be_asked(one.skill)):
                seen.add(one.skill)
                yield self._marked(one)

    def _deciding(self) -> Iterator[_Wanted]:
        answer = self.answer
        blocking = {one.skill for one in answer.blockers}
        for skill in self.ground.named:
            yield from (_Wanted(one, "beneath", DECIDES) for one in self.ground.lowest_under(skill))
            why = "look-first" if skill in answer.look_first else "one-thing"
            yield _Wanted(skill, "blocker" if skill in blocking else why, DECIDES)
        for one in answer.blockers:
            if one.skill is not None:
                yield _Wanted(one.skill, "blocker", DECIDES)
            for skill in one.group.of if one.group else ():
                if answer.standings[skill].state not in MET_STATES:
                    yield _Wanted(skill, "group", DECIDES)

    def _waiting(self) -> Iterator[_Wanted]:
        yield from (_Wanted(skill, "rest", CAN_WAIT) for skill in self.answer.open_rest)
        for remark in self.answer.remarks:
            if remark.id == "fade-soon" and remark.skill is not None:
                yield _Wanted(remark.skill, "fading", CAN_WAIT)

    def _marked(self, one: _Wanted) -> _Wanted:
        hard = is_hard(self.course.skill[one.skill], self.answer.standings[one.skill])
        return _Wanted(one.skill, one.why, one.rank, hard)

    def _parted(self, wanted: Iterator[_Wanted]) -> tuple[list[_Wanted], dict[str, str]]:
        """Part what needs a look of its own from what another look brings along (rule R5)."""
        kept: list[_Wanted] = []
        brought: dict[str, str] = {}
        for one in wanted:
            by = self._brought_by(one.skill, kept)
            if by is None:
                kept.append(one)
            else:
                brought[one.skill] = by
        return kept, brought

    def _brought_by(self, skill: str, kept: Sequence[_Wanted]) -> str | None:
        """Return the first item whose showing makes a stale skill fresh again."""
        plan = self.course.plan
        if self.answer.standings[skill].state != "stale" or self.course.skill[skill].must_be_seen:
            return None
        users = (one.skill for one in kept)
        return next((u for u in users if plan.ancestors[plan.index[u]] >> plan.index[skill] & 1), None)

    def _success(self, asked: set[str], piece: str | None) -> str | None:
        """Return the surest: seen on most days, then keeping most warm, then latest taught."""
        plan, standings = self.course.plan, self.answer.standings
        able = [skill.id for skill in self._sure() if skill.id not in {*asked, piece}]
        return max(
            able,
            key=lambda skill: (
                sum(note.counts for note in standings[skill].evidence),
                plan.depth[plan.index[skill]],
                teaching_order(self.course, skill),
            ),
            default=None,
        )

    def _sure(self) -> tuple[Skill, ...]:
        return sure(self.course, self.answer, self.resting)

    def _head(self, success: str | None) -> tuple[SheetItem, ...]:
        glance = (SheetItem(self.glance, "always-look", quiet=True, hard=False),) if self.glance else ()
        first = (self._item(success, "sure-success"),) if success else ()
        is_due = any(is_open(self.answer, skill) for skill in self.glance)
        return (*glance, *first) if is_due else (*first, *glance)

    def _tail(self, piece: str | None) -> tuple[SheetItem, ...]:
        own_choice = SheetItem((), "favourite", quiet=False, hard=False)
        return (self._item(piece, "favourite") if piece else own_choice,)

    def _easy(self, wanted: Sequence[_Wanted]) -> list[_Wanted]:
        """Return easy things that may stand between hard ones.

        Quiet ones first where most of the hard ones move, and moving ones first otherwise;
        then what is due soonest.
        """
        hard = [self._is_quiet(one.skill) for one in wanted if one.hard]
        quiet_first = 2 * sum(hard) <= len(hard)
        easy = [skill.id for skill in self._sure()]
        easy.sort(key=lambda s: (self._is_quiet(s) != quiet_first, *soonest(self.course, self.answer, s)))
        return [_Wanted(skill, "between", ANYWHERE) for skill in easy]

    def _is_quiet(self, skill: str) -> bool:
        return self.course.skill[skill].quiet

    def _item(self, skill: str, why: str) -> SheetItem:
        hard = is_hard(self.course.skill[skill], self.answer.standings[skill])
        return SheetItem((skill,), why, quiet=self._is_quiet(skill), hard=hard)

    def _left_out(
        self, items: Sequence[SheetItem], asked: set[str], brought: dict[str, str]
    ) -> Iterator[LeftOut]:
        on_it = {skill for item in items for skill in item.skills}
        for skill in self._could_be_asked():
            if skill.id in on_it:
                continue
            by = brought.get(skill.id, "")
            if why := left_out(skill, self.answer):
                yield LeftOut(skill.id, why)
            elif skill.id in self.resting:
                yield LeftOut(skill.id, "on-hold")
            elif by in on_it:
                yield LeftOut(skill.id, "comes-with", by)
            elif not self.ground.may_be_asked(skill.id):
                yield LeftOut(skill.id, "footing", self.ground.lacking(skill.id))
            else:
                yield LeftOut(skill.id, "no-room" if by or skill.id in asked else "certain")

    def _could_be_asked(self) -> list[Skill]:
        """Return all a check here could ask for: the unit, and what the next one stands on."""
        plan, answer = self.course.plan, self.answer
        assert answer.unit is not None
        unit = plan.unit_index[answer.unit]
        asked = plan.in_unit[unit] | plan.set_of((*answer.deciding, *answer.look_first))
        for group in answer.groups:
            asked |= plan.set_of(group.of)
        if answer.next_unit is not None:
            for i in bits(plan.in_unit[plan.unit_index[answer.next_unit]]):
                asked |= plan.needs[i] & plan.up_to[unit]
        named = (self.course.skills[i] for i in bits(asked))
        return [skill for skill in named if skill.id not in self.course.gone]


def _thing(items: Sequence[SheetItem]) -> Thing | None:
    """Return the neighbour of the middle, if there is one."""
    return Thing(ANYWHERE, items[0].hard, items[0].quiet) if items else None


def _fitting(wanted: Sequence[_Wanted], easy: Sequence[_Wanted], room: int) -> list[_Wanted]:
    """Return what of ``wanted`` has room, the earlier ones first, with the easy things it needs between."""
    chosen: list[_Wanted] = []
    for one in wanted:
        tried = [*chosen, one]
        if len(tried) + min(len(easy), _needed_between(tried)) <= room:
            chosen = tried
    return [*chosen, *easy[: _needed_between(chosen)]]


def _needed_between(chosen: Sequence[_Wanted]) -> int:
    """Return how many easy things must be added so that no two hard ones are neighbours.

    What decides stands before what can wait, so each part has to see to itself; the second
    part begins with something easy where the first has to end with something hard.
    """
    hard = [sum(one.hard for one in chosen if one.rank == rank) for rank in (DECIDES, CAN_WAIT)]
    easy = [sum(not one.hard for one in chosen if one.rank == rank) for rank in (DECIDES, CAN_WAIT)]
    first = max(0, hard[0] - 1 - easy[0])
    ends_hard = hard[0] == easy[0] + first + 1
    return first + max(0, hard[1] - easy[1] - (not ends_hard))
