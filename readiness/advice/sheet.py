"""What to look at in a check, in which order, and what not to.

First a sure success, then the seat and the other always-look items in one glance, then what
decides, then what can wait, at the end a piece the student likes to play. Where the rules of
the trade pull apart, this wins, from the top:

1. A hold: nothing is played, and there is no check. What is left may be done "if comfortable".
   Under a hold for another course, what uses that part of the body is left off.
2. A seat item that is due: the glance comes before the sure success. A student who is not
   placed yet begins with the glance too, and then goes from easy to hard.
3. Never more than ``check_items_max`` items, fewer where fewer minutes are given. The glance is
   one item, the last piece is one.
4. What decides comes before what can wait.
5. Never two hard items in a row. Something easy that is kept warm by it stands between, even
   if something else is left off for it, and that is said; of the last lesson only where nothing
   else is easy. Only where nothing easy is left do hard items follow one another.
6. What decides as early as possible; then quiet and moving in turn (``advice.skill_traits``).

A look that another look on the sheet brings along (rule R5) is left off, and so is what was never asked
for while what it builds on is not there (``advice.ground``): where it decides, what lies lowest under it
is looked at. Of what decides the first is what ``why`` names first. Values only; the sentences are in
``words.lesson``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from hashlib import sha256
from typing import TYPE_CHECKING, Final

from readiness.advice.after_break import closed_lately, gently, tender_skills
from readiness.advice.ground import (
    Ground,
    care_first,
    comfortable,
    favourites,
    glance_skills,
    needed_first,
    said_of_all,
    soonest,
    start_of,
    sure,
    teaching_order,
)
from readiness.advice.skill_traits import (
    ANYWHERE,
    CAN_WAIT,
    DECIDES,
    Thing,
    best_order,
    expected_counts,
    left_out,
    single_keys,
)
from readiness.course.model import Course, bits, union
from readiness.judging.answer import Answer
from readiness.judging.reasons import cautions_for
from readiness.judging.states import entry_list
from readiness.lazy import dataclass
from readiness.record.model import Hold, Record, Said
from readiness.terms import State, Verdict

if TYPE_CHECKING:
    from readiness.advice.placing_round import PlacingRound

__all__ = [
    "KEEP_WARM", "CheckSheet", "Expected", "LeftOut", "SheetItem", "check_sheet", "placing_items",
]  # fmt: skip

# A check sheet as a value: items, what was left out, and the counts of the instrument.


@dataclass(frozen=True)
class Expected:
    """The right answers for the instrument in use; None where the number of keys does not tell.

    ``singles`` are the black keys whose group is cut off, by name and end.
    """

    keys: int | None
    twos: int | None
    threes: int | None
    stray: int | None
    singles: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class SheetItem:
    """One item of the sheet.

    Attributes:
        skills: one, or several seen in one glance; none where the student chooses.
        why: sure-success, always-look, blocker, group, one-thing, look-first, beneath (what lies lowest
            under these), rest, fading, between, favourite, patch, stopped, probe, care or if-comfortable.
        quiet, hard: see ``advice.skill_traits``.
        expected: the right answers, for counting groups of black keys.
    """

    skills: tuple[str, ...]
    why: str
    quiet: bool
    hard: bool
    expected: Expected | None = None


@dataclass(frozen=True)
class LeftOut:
    """Why a skill is not on the sheet.

    ``why`` is certain, no-room, easy-between (its room is needed between hard things), comes-with (``by`` is
    the skill of that item), optional, set-aside, on-hold, or footing (it was never asked for, and ``by`` has
    to come first); in a placing look also seen, or implied (something that stands on it was shown).
    """

    skill: str
    why: str
    by: str = ""


@dataclass(frozen=True)
class CheckSheet:
    """A check sheet. ``instrument`` has the counts also where no item asks for them.

    ``said`` is the latest remark on each skill, and what the last lesson says beside the skill of telling
    that something hurts. ``proved`` says that no other order of the items is better.
    ``placing`` is where the start of a student who is not placed stands, None for any other. ``lately`` are
    the holds that the student still comes back from. ``last_lesson`` is the latest that was noted.
    """

    items: tuple[SheetItem, ...]
    left_out: tuple[LeftOut, ...]
    proved: bool
    minutes: int
    most_items: int
    instrument: Expected
    cautions: tuple[str, ...]
    said: tuple[Said, ...] = ()
    placing: PlacingRound | None = None
    lately: tuple[Hold, ...] = ()
    student: str = ""
    last_lesson: int | None = None

    @property
    def word(self) -> str:
        """Four letters by which a sheet on paper is known again: whose, after which lesson, which lines."""
        made = f"{self.student} {self.last_lesson or 0}"
        lines = "\n".join((made, *(" ".join(item.skills) for item in self.items))).encode()
        number = int.from_bytes(sha256(lines).digest()[:4])
        return "".join(chr(ord("a") + number // 26**place % 26) for place in range(4))


# The items of a check at the end of a unit, for a student who may play.
#
# Which there are, what matters more among them, and which easy things stand between hard
# ones. The rules and which of them wins stand at the top of this file.


@dataclass(frozen=True)
class _Wanted:
    skill: str
    why: str
    rank: int
    hard: bool = False


class _Maker:
    """Makes the items of one check; ``most`` is how many there may be."""

    def __init__(self, ground: Ground, most: int) -> None:
        self.ground, self.most = ground, most
        self.course, self.answer, self.resting = ground.course, ground.answer, ground.resting
        self.glance = glance_skills(self.course, self.answer)

    def make(self) -> tuple[tuple[SheetItem, ...], tuple[LeftOut, ...], bool]:
        """Return the items in their order, what was left out, and whether no order is better for certain."""
        wanted, brought = self._parted(self._wanted())
        asked = {one.skill for one in wanted}
        liked = favourites(self.course, self.answer, self.resting | self.ground.disliked)
        piece = None if asked.intersection(liked[:1]) else next(iter(liked), None)
        success = self._success(asked, piece)
        glance = (SheetItem(self.glance, "always-look", quiet=True, hard=False),) if self.glance else ()
        first = (_item(self.ground, success, "sure-success"),) if success else ()
        is_due = any(self.ground.state(skill) != State.SECURE for skill in self.glance)
        head = (*glance, *first) if is_due else (*first, *glance)
        own_choice = SheetItem((), "favourite", quiet=False, hard=False)
        tail = (_item(self.ground, piece, "favourite") if piece else own_choice,)
        easy = [one for one in self._easy(wanted) if one.skill not in {*asked, success, piece}]
        chosen = _fitting(wanted, easy, max(0, self.most - len(head) - len(tail)))
        things = [Thing(one.rank, one.hard, self._is_quiet(one.skill)) for one in chosen]
        order = best_order(things, _thing(head[-1:]), _thing(tail))
        middle = (_item(self.ground, chosen[i].skill, chosen[i].why) for i in order.places)
        items = (*head, *middle, *tail)[: self.most]
        on_it = {skill for item in items for skill in item.skills}

        def otherwise(skill: str) -> LeftOut:
            by = brought.get(skill, "")
            if by in on_it:
                return LeftOut(skill, "comes-with", by)
            if not self.ground.may_be_asked(skill):
                return LeftOut(skill, "footing", self.ground.lacking(skill))
            is_spaced = len(items) < self.most or any(item.why == "between" for item in items)
            no_room = "easy-between" if is_spaced else "no-room"
            return LeftOut(skill, no_room if by or skill in asked else "certain")

        return items, _left_out(self.ground, on_it, self._could_be_asked(), otherwise), order.proved

    def _wanted(self) -> Iterator[_Wanted]:
        """Yield what there is to look at, what matters more first, each skill once."""
        seen = {*self.glance, *self.resting}
        for one in (*self._deciding(), *self._waiting()):
            if one.skill not in seen and (one.why == "beneath" or self.ground.may_be_asked(one.skill)):
                seen.add(one.skill)
                yield replace(one, hard=self.ground.is_hard(one.skill))

    def _deciding(self) -> Iterator[_Wanted]:
        answer = self.answer
        needed = needed_first(self.course, answer)
        why = dict.fromkeys(self.ground.named, "one-thing") | dict.fromkeys(answer.look_first, "look-first")
        why |= {one.skill: "blocker" for one in needed if one.skill is not None}
        for skill in why:
            yield from (_Wanted(one, "beneath", DECIDES) for one in self.ground.lowest_under(skill))
            yield _Wanted(skill, why[skill], DECIDES)
        for skill in (skill for one in needed if one.group for skill in one.skills):
            if skill not in self.ground.met:
                yield _Wanted(skill, "group", DECIDES)

    def _waiting(self) -> Iterator[_Wanted]:
        yield from (_Wanted(skill, "rest", CAN_WAIT) for skill in self.answer.open_rest)
        for remark in self.answer.remarks:
            if remark.id == "fade-soon" and remark.skill is not None:
                yield _Wanted(remark.skill, "fading", CAN_WAIT)

    def _parted(self, wanted: Iterator[_Wanted]) -> tuple[list[_Wanted], dict[str, str]]:
        """Part what needs a look of its own from what another look brings along (rule R5)."""
        kept, brought = list[_Wanted](), dict[str, str]()
        for one in wanted:
            if by := self._brought_by(one.skill, kept):
                brought[one.skill] = by
            else:
                kept.append(one)
        return kept, brought

    def _brought_by(self, skill: str, kept: Sequence[_Wanted]) -> str:
        """Return the first item whose showing makes a stale skill fresh again, empty where none does."""
        plan = self.course.plan
        if self.ground.state(skill) != State.STALE or self.course.skill[skill].must_be_seen:
            return ""
        users = (one.skill for one in kept)
        return next((u for u in users if plan.ancestors[plan.index[u]] >> plan.index[skill] & 1), "")

    def _success(self, asked: set[str], piece: str | None) -> str | None:
        """Return the surest: not disliked, seen on most days, then keeping most warm, then latest taught."""
        plan, standings = self.course.plan, self.answer.standings
        settled = sure(self.course, self.answer, self.resting)
        able = [skill.id for skill in settled if skill.id not in {*asked, piece}]
        return max(
            able,
            key=lambda skill: (
                skill not in self.ground.disliked,
                sum(note.counts for note in standings[skill].evidence),
                plan.depth[plan.index[skill]],
                teaching_order(self.course, skill),
            ),
            default=None,
        )

    def _easy(self, wanted: Sequence[_Wanted]) -> list[_Wanted]:
        """Return easy things that may stand between hard ones.

        What is not liked comes last, and before it what the last lesson had and what the teacher would have
        to count first. Quiet ones first where most of the hard ones move, and moving ones first otherwise;
        then what is due soonest.
        """
        hard = [self._is_quiet(one.skill) for one in wanted if one.hard]
        quiet_first, is_unknown = 2 * sum(hard) <= len(hard), self.ground.record.home_keys is None

        def key(skill: str) -> tuple[int, ...]:
            was_seen = self.answer.standings[skill].last_seen == self.answer.last_lesson
            is_last = was_seen or (is_unknown and self.course.skill[skill].counts_groups)
            is_disliked, other_kind = skill in self.ground.disliked, self._is_quiet(skill) != quiet_first
            return is_disliked, is_last, other_kind, *soonest(self.course, self.answer, skill)

        easy = (skill.id for skill in sure(self.course, self.answer, self.resting))
        return [_Wanted(skill, "between", ANYWHERE) for skill in sorted(easy, key=key)]

    def _is_quiet(self, skill: str) -> bool:
        return self.course.skill[skill].quiet

    def _could_be_asked(self) -> int:
        """Return all a check here could ask for: the unit, and what the next one stands on."""
        plan, answer = self.course.plan, self.answer
        assert answer.unit is not None
        unit, members = plan.unit_index[answer.unit], (one for group in answer.groups for one in group.of)
        asked = plan.in_unit[unit] | plan.set_of((*answer.deciding, *answer.look_first, *members))
        return asked | (0 if answer.next_unit is None else entry_list(plan, unit + 1, 0))


def _left_out(
    ground: Ground, on_it: AbstractSet[str], asked: int, otherwise: Callable[[str], LeftOut]
) -> tuple[LeftOut, ...]:
    """Return why what a look could ask for is not on it, ``otherwise`` where no skill could be asked so."""
    found = []
    for skill in (ground.course.skills[i] for i in bits(asked)):
        if skill.id not in on_it and skill.id not in ground.course.gone:
            why = left_out(skill, ground.answer) or ("on-hold" if skill.id in ground.resting else "")
            found.append(LeftOut(skill.id, why) if why else otherwise(skill.id))
    return tuple(found)


def _thing(items: Sequence[SheetItem]) -> Thing | None:
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


# What to look at in a placing lesson that is noted on paper.
#
# The always-look items come first. Then, for up to half of the room, what the start asks for and did
# not come; then what tells most about where to start (``advice.placing_round``), chosen all at once, because
# on paper no answer can change what comes next. Asked from easy to hard, so that the look can end after
# two clear misses. The student closes it with something of their own choice.


def placing_items(ground: Ground, most: int) -> tuple[tuple[SheetItem, ...], tuple[LeftOut, ...]]:
    """Return the items of a placing look, ``most`` of them at most, and what was left out."""
    from readiness.advice.placing_round import looks_ahead  # here and below, since few are being placed

    course, record, answer, resting = ground.course, ground.record, ground.answer, ground.resting
    glance = glance_skills(course, answer)
    first = (SheetItem(glance, "always-look", quiet=True, hard=False),) if glance else ()
    last = (SheetItem((), "favourite", quiet=False, hard=False),)
    tender = tender_skills(course, record, answer.on)
    room = gently(most - len(first) - len(last), tender)
    start = start_of(course, record, answer)
    again = [s for s in (start.patches if start else ()) if answer.standings[s].evidence and s not in resting]
    why = dict.fromkeys(again[: room // 2], "patch")
    why |= dict.fromkeys(looks_ahead(course, record, answer.on, room), "probe")
    chosen = sorted(list(why)[:room], key=lambda skill: (skill in tender, *teaching_order(course, skill)))
    items = (*first, *(_item(ground, skill, why[skill]) for skill in chosen), *last)[:most]
    implied = answer.placing.implied if answer.placing else ()

    def otherwise(skill: str) -> LeftOut:
        one = answer.standings[skill]
        if one.evidence[-1].counts if one.evidence else one.settled_on is not None:
            return LeftOut(skill, "seen")
        return LeftOut(skill, "implied" if skill in implied else "no-room")

    plan = course.plan
    asked = union(entry_list(plan, unit, 0) for unit in range(1, len(plan.unit_ids))) & ~plan.always_look
    return items, _left_out(ground, {s for item in items for s in item.skills}, asked, otherwise)


def _item(ground: Ground, skill: str, why: str) -> SheetItem:
    return SheetItem((skill,), why, quiet=ground.course.skill[skill].quiet, hard=ground.is_hard(skill))


KEEP_WARM: Final = 3
"""How many things a short keep-warm list has. Common practice, no source."""


def check_sheet(
    course: Course, record: Record, answer: Answer, keys: int | None = None, minutes: int | None = None
) -> CheckSheet:
    """Return the check sheet of a student for the day of an answer.

    Args:
        keys: how many keys the instrument in use has; those of the one at home without.
        minutes: how many there are; those of the age without. Fewer minutes have room for fewer items.
    """
    course = course.on(answer.on)
    instrument = _expected(record.home_keys if keys is None else keys)
    counted = {skill.id for skill in course.skills if skill.counts_groups}
    usual, most = (course.band[answer.band].whole(name) for name in ("check_minutes", "check_items_max"))
    most = most if minutes is None else min(most, max(1, most * minutes // usual))
    ground = Ground(course, record, answer)
    placing = start_of(course, record, answer) if answer.verdict == Verdict.NOT_PLACED else None
    if answer.verdict == Verdict.PAUSED:
        (items, left), proved = _held_items(ground, most), True
    elif placing is not None:
        (items, left), proved = placing_items(ground, most), True
    else:
        items, left, proved = _Maker(ground, most).make()
    return CheckSheet(
        items=tuple(
            replace(one, expected=instrument) if counted.intersection(one.skills) else one for one in items
        ),
        left_out=left,
        proved=proved,
        minutes=usual if minutes is None else minutes,
        most_items=most,
        instrument=instrument,
        placing=placing,
        lately=closed_lately(course, record, answer.on),
        student=answer.student,
        last_lesson=answer.last_lesson,
        said=said_of_all(course, record, answer.on, (skill for item in items for skill in item.skills)),
        cautions=cautions_for(
            course, record, answer.on, [skill for item in items for skill in item.skills], answer.findings,
            paused=answer.verdict == Verdict.PAUSED, seat_open="C5" in answer.cautions,
        ),
    )  # fmt: skip


def _expected(keys: int | None) -> Expected:
    """Return what there is to count, as far as the number of keys tells."""
    if keys is None or (counts := expected_counts(keys)) is None:
        return Expected(keys, None, None, None)
    return Expected(keys, counts.twos, counts.threes, counts.stray, single_keys(keys))


def _held_items(ground: Ground, most: int) -> tuple[tuple[SheetItem, ...], tuple[LeftOut, ...]]:
    """Return the word for pain, what may be done without playing, open things first, and what waits."""
    course, answer = ground.course, ground.answer
    care = care_first(course, answer)
    may = comfortable(ground)
    wanted = max(KEEP_WARM, sum(ground.state(skill) != State.SECURE for skill in may))
    chosen = (*care, *may[: max(0, min(wanted, most - len(care)))])
    items = (
        SheetItem((skill,), "care" if skill in care else "if-comfortable", quiet=True, hard=False)
        for skill in chosen
    )
    asked = (skill for skill in (*answer.deciding, *answer.rest) if skill not in chosen)
    return tuple(items), tuple(LeftOut(skill, "on-hold") for skill in asked)
