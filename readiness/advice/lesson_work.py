"""What a student may work on in a lesson, and what each thing is worth.

Which skills may be learnt or reviewed at all, why, and for how long. What is maximised over
them is said in ``advice.lesson``; the blocks are made in ``advice.lesson``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from decimal import ROUND_HALF_DOWN, Decimal
from functools import cached_property
from typing import Final, NamedTuple

from readiness.advice.after_break import gently, kept_from_home, looks_ahead, tender_skills
from readiness.advice.ground import Ground, soonest, teaching_order
from readiness.advice.plan import Later
from readiness.advice.skill_traits import left_out, waiting_for
from readiness.course.model import Band, Course, Skill, union
from readiness.judging.answer import GAP_STATES, Answer
from readiness.judging.history import known_on
from readiness.judging.lookahead import earliest_date, pressing
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.terms import Kind, State

__all__ = [
    "LOOK", "SHORT_ENOUGH", "Choice", "Filled", "Filling", "LessonWork", "Shares", "best_filling", "pieces",
    "share_out",
]  # fmt: skip

# How the minutes of a lesson are shared out between its parts.
#
# What a teacher sets is the length, the share of review and the longest activity; they are in
# the pacing file. From them:
#
# * *review*: the review share of the lesson, rounded to whole minutes, halves down. The opening
#   (three minutes: seat and a song) is part of it.
# * *home task*: a minute for every quarter of an hour, rounded.
# * *make music or sing*: three minutes in ten, less five; rounded, halves down. The straight
#   line through the usual shares of lessons from 30 to 50 minutes.
# * *new*: what is left.
#
# All of this is common practice, no source. Where nothing is begun, in the first lesson of all, the first
# after a break and a placing lesson, the new minutes go to more looks, and in the first of all a quarter
# makes music. Soon after a hold half of all this, but for the opening and home, is without playing.

OPENING: Final = 3


@dataclass(frozen=True)
class Shares:
    """Minutes by part; they add up to the lesson. ``review`` is what comes beside the opening."""

    opening: int
    review: int
    new: int
    music: int
    home: int
    unplayed: int = 0


def share_out(band: Band, minutes: int, *, begins: bool = True, is_first: bool = False) -> Shares:
    """Return the minutes of each part of a lesson.

    Args:
        band: whose pacing it goes by.
        minutes: the length of the lesson.
        begins: whether anything may be begun; else the new minutes go to review.
        is_first: whether it is the first lesson of all; then of these so many make music that a quarter does.
    """
    share = Decimal(str(band.number("review_share")))
    opening = min(OPENING, minutes)
    home = min(_rounded(Decimal(minutes) / 15), minutes - opening)
    music = min(max(0, _rounded(Decimal(3 * minutes) / 10 - 5)), minutes - opening - home)
    review = min(max(0, _rounded(share * minutes) - opening), minutes - opening - home)
    music = min(music, minutes - opening - home - review)
    new = minutes - opening - home - music - review
    if begins:
        return Shares(opening, review, new, music, home)
    more = min(new, max(0, -(-minutes // 4) - music)) if is_first else 0
    return Shares(opening, review + new - more, 0, music + more, home)


def after_a_rest(usual: Shares) -> Shares:
    """Return shares with half of the review, the new and the music without playing.

    >>> after_a_rest(Shares(3, 12, 8, 5, 2))
    Shares(opening=3, review=6, new=4, music=3, home=2, unplayed=12)
    """
    played = usual.review, usual.new, usual.music
    review, new, music = (-(-part // 2) for part in played)
    return replace(usual, review=review, new=new, music=music, unplayed=sum(played) - review - new - music)


def _rounded(number: Decimal) -> int:
    """Return the nearest whole number, halves down.

    >>> _rounded(Decimal("17.5")), _rounded(Decimal("15.75"))
    (17, 16)
    """
    return int(number.to_integral_value(ROUND_HALF_DOWN))


def pieces(minutes: int, longest: int) -> tuple[int, ...]:
    """Return minutes cut into as few blocks as possible, none above ``longest``, as even as can be.

    >>> pieces(10, 4), pieces(4, 4), pieces(0, 4)
    ((4, 3, 3), (4,), ())
    """
    count = -(-minutes // longest)
    return tuple(minutes // count + (i < minutes % count) for i in range(count))


# Fill some minutes with the things that matter most: the best filling there is.
#
# Each thing gets either no minutes or a whole number of them between its least and its most.
# Of all fillings that keep to the minutes, and begin no more new things than may be begun, the
# best one is the one with, compared in this sequence,
#
# 1. the most *worth*: the numbers of the things worked on, added up place by place and compared
#    from the left, so that one thing of an earlier place beats any number of later ones;
# 2. the most minutes used;
# 3. the fewest different things;
# 4. the most minutes for the first thing of the list, then for the second, and so on.
#
# It is found by dynamic programming over whole minutes: for every number of minutes and of
# things begun, only the best filling of the things so far can be part of a best one, because
# adding the same to two fillings never changes which of them is better. No guess, no order of
# grabbing. Where that would be too many, as in a lesson of days, only the best of these are followed,
# and some lengths only, and that is said. Nothing here knows a skill or a student.

Filling = tuple[int, ...]
"""Minutes for each choice, in their order."""

_Merit = tuple[tuple[int, ...], int, int, Filling]
"""What speaks for a filling, to be compared from left to right."""


_STEPS: Final = 300_000
"""How many ways to go on are looked at, in all, before only the best are followed."""

_LENGTHS: Final = 60
"""How many lengths of one thing are tried at most."""


@dataclass(frozen=True)
class Choice:
    """Something that may be worked on.

    Attributes:
        least, most: the fewest minutes that make sense, and the most that do.
        worth: what working on it is worth, most important place first.
        begins: whether it would be begun, and so counts against what may be begun.
    """

    least: int
    most: int
    worth: tuple[int, ...]
    begins: bool = False


class Filled(NamedTuple):
    """Minutes for each choice; ``proved`` is false where not all fillings were compared."""

    minutes: Filling
    proved: bool


def best_filling(choices: Sequence[Choice], minutes: int, begin_at_most: int = 0) -> Filled:
    """Return the best filling with some of the ``choices``, which all have a ``worth`` of one length."""
    nothing = (0,) * len(choices[0].worth) if choices else ()
    best: dict[tuple[int, int], _Merit] = {(0, 0): (nothing, 0, 0, ())}
    lengths = [_lengths(choice, minutes) for choice in choices]
    width = max(1, _STEPS // max(1, sum(map(len, lengths))))
    proved = all(len(own) <= _LENGTHS for own in lengths)
    for choice, own in zip(choices, lengths, strict=True):
        further: dict[tuple[int, int], _Merit] = {}
        for (used, begun), filling in best.items():
            for length in own:
                state = used + length, begun + (choice.begins and length > 0)
                if state[0] > minutes or state[1] > begin_at_most:
                    continue
                longer = _with(filling, choice, length)
                if state not in further or longer > further[state]:
                    further[state] = longer
        best = further
        if len(best) > width:
            proved = False
            best = dict(sorted(best.items(), key=lambda one: one[1], reverse=True)[:width])
    return Filled(max(best.values())[3], proved)


def _lengths(choice: Choice, minutes: int) -> tuple[int, ...]:
    """Return the minutes a thing may get, none first; of very many only some, evenly apart."""
    every = range(max(1, choice.least), min(choice.most, minutes) + 1)
    return (0, *sorted({*every[:: len(every) // _LENGTHS + 1], *every[-1:]}))


def _with(before: _Merit, choice: Choice, length: int) -> _Merit:
    """Return what speaks for a filling with minutes for one thing more."""
    worth, used, things, filling = before
    if not length:
        return worth, used, things, (*filling, 0)
    more = tuple(map(sum, zip(worth, choice.worth, strict=True)))
    return more, used + length, things - 1, (*filling, length)


LOOK: Final = 3
"""The fewest minutes a look takes in a lesson. Common practice, no source."""
SOON: Final = 14
"""Days within which something is about to fade, as in rule R8."""


SHORT_ENOUGH: Final = 4
"""Minutes of one activity that need not be halved after a rest: shorter ones make a lesson a rush
(common practice, no source)."""


class LessonWork(Ground):
    """What one student may work on in a lesson of some minutes.

    ``tender`` works a part of the body which rested until lately, and then turns are half as long, one a
    skill, and half of the minutes are without playing. ``looks`` is what to look at next, as after a break
    (``advice.after_break``).
    """

    def __init__(
        self,
        course: Course,
        record: Record,
        answer: Answer,
        minutes: int,
        *,
        is_first_back: bool,
        may_begin: bool,
    ) -> None:
        super().__init__(course, record, answer)
        self.known = known_on(course, record, answer.on, answer.calendar)
        self.tender = tender_skills(course, record, answer.on)
        self.not_at_home = kept_from_home(course, record, answer.on)
        self.looks = tuple(skill for look in looks_ahead(course, record, answer)[0] for skill in look.skills)
        self.minutes = minutes
        self.is_first_back = is_first_back
        self.is_all_review = is_first_back or answer.placing is not None
        self.is_first = self.is_untouched and answer.placing is None
        self.may_begin = may_begin and not is_first_back and not self.is_first
        self.band = course.band[answer.band]
        usual = self.band.whole("activity_minutes")
        self.longest = max(gently(usual, self.tender), min(usual, SHORT_ENOUGH))
        self.without_pause = gently(self.band.whole("play_without_pause_minutes"), self.tender)
        is_for_looks = self.is_all_review or self.is_first
        usual_shares = share_out(self.band, minutes, begins=not is_for_looks, is_first=not self.is_all_review)
        self.shares = after_a_rest(usual_shares) if self.tender else usual_shares

    @cached_property
    def deciding(self) -> frozenset[str]:
        """What keeps the student in the unit: the blockers and the open members of unmet groups."""
        return frozenset(skill for one in self.answer.blockers for skill in one.skills) - self.met

    @cached_property
    def pressing(self) -> frozenset[str]:
        """What the earliest day of a move supposes to be shown in this very lesson."""
        move = self._move
        found = 0 if move is None else pressing(self.course, self.known, move)
        return frozenset(self.course.plan.names(found))

    @cached_property
    def urgent(self) -> frozenset[str]:
        """The same, and what lies lowest under what of it may not be asked yet."""
        return self.pressing.union(*map(self.lowest_under, self.pressing))

    @property
    def _move(self) -> int | None:
        return None if self.answer.is_ready or self.answer.stays else self.answer.earliest_told

    def later(self, shown: Iterable[str]) -> Later | None:
        """Return what makes the earliest day of a move later where only this is shown, None where nothing."""
        plan, seen = self.course.plan, frozenset(shown)
        if self._move is None:
            return None
        then = earliest_date(self.course, self.known, plan.set_of(seen)).move
        if then is not None and then <= self._move:
            return None
        return Later(plan.names(plan.set_of(self.pressing - seen)), then)

    @cached_property
    def from_before(self) -> tuple[str, ...]:
        """What is unfinished from earlier units (rule R12) and does not decide."""
        brought = (one.skill for one in self.answer.brought_along)
        return tuple(skill for skill in brought if skill not in self.deciding)

    def is_open(self, skill: str) -> bool:
        """Return whether a skill's unit is open: up to this one, and the next where the move has come."""
        number = self._unit(skill)
        return number <= self._here or (self.answer.may_move and number == self._here + 1)

    def _unit(self, skill: str) -> int:
        return self.course.unit[self.course.skill[skill].unit].number

    @property
    def _here(self) -> int:
        assert self.answer.unit is not None
        return self.course.unit[self.answer.unit].number

    def _asked(self) -> Iterator[Skill]:
        """Yield what may be worked on as far as units and age go, in the order of teaching."""
        for skill in sorted(self.course.skills, key=lambda one: teaching_order(self.course, one.id)):
            is_looked_at_anyway = skill.always_look and skill.id != self.answer.one_thing
            waits = skill.id in self.resting or (left_out(skill, self.answer) and skill.id not in self.named)
            if self.is_open(skill.id) and not (waits or is_looked_at_anyway):
                yield skill

    def outer_edge(self) -> tuple[str, ...]:
        """Return what was not shown enough yet and has all its footing, the nearest units first."""
        shown = (State.STALE, State.WOBBLING)
        edge = [s.id for s in self._asked() if self.may_begin_now(s.id) and self.state(s.id) not in shown]
        return tuple(sorted(edge, key=lambda skill: abs(self._unit(skill) - self._here)))

    def never_asked(self) -> Iterator[str]:
        """Yield the untried skills of this unit, and of the next those that have their footing."""
        for skill in sorted(self.course.skills, key=lambda one: teaching_order(self.course, one.id)):
            is_near = skill.unit == self.answer.unit or (
                skill.unit == self.answer.next_unit and self.may_begin_now(skill.id)
            )
            is_asked = not skill.always_look and not left_out(skill, self.answer)
            if is_near and is_asked and self.state(skill.id) == State.UNTRIED:
                yield skill.id

    def to_learn(self, looked_at: Sequence[str] = ()) -> list[str]:
        """Return what the new minutes may go to, what matters more first; ``looked_at`` are looks in them."""
        able = [one.id for one in self._asked() if one.id in looked_at or self.may_be_taught(one.id)]
        return sorted(able, key=lambda skill: (skill != self.answer.one_thing, skill not in self.deciding))

    def may_be_taught(self, skill: str) -> bool:
        """Return whether a skill may be worked on in the new minutes, not only looked at."""
        state = self.state(skill)
        if state == State.UNTRIED:
            return self.may_begin and self.may_begin_now(skill) and skill not in self.tender
        if skill == self.answer.one_thing:
            return True
        return (state in GAP_STATES or state == State.BUILDING) and not self.has_shaky_ground(skill)

    def may_be_practised(self, skill: str, taught: Sequence[str]) -> bool:
        """Return whether a skill may be a home task: nothing that waits, nothing nobody has been taught."""
        is_known = skill in taught or self.course.skill[skill].always_look
        return (is_known or self.state(skill) != State.UNTRIED) and skill not in self.not_at_home

    def to_review(self, taken: Iterable[str]) -> list[str]:
        """Return what the review minutes may go to, what is due soonest first.

        What the use of ``taken``, of the look-first set or of the one thing keeps warm anyway
        (rule R5) is left to that; what is to be looked at first, and the one thing, never are.
        """
        done = {*taken}
        warm = self._warmed_by({*done, *self.named, *self.looks}).difference(self.beneath)
        able = [
            skill.id
            for skill in self._asked()
            if skill.id not in done and skill.id not in warm and self._may_be_reviewed(skill)
        ]
        return sorted(able, key=lambda skill: soonest(self.course, self.answer, skill))

    def _warmed_by(self, used: Iterable[str]) -> frozenset[str]:
        """Return what lies under these skills and is kept warm by their use (rule R5)."""
        plan = self.course.plan
        below = plan.names(union(plan.ancestors[plan.index[skill]] for skill in used) & ~plan.must_be_seen)
        return frozenset(
            skill
            for skill in below
            if self.state(skill) in (State.SECURE, State.STALE) and skill not in (*self.named, *self.looks)
        )

    def _may_be_reviewed(self, skill: Skill) -> bool:
        state = self.state(skill.id)
        if skill.id in self.named or skill.id in self.beneath:
            return True
        if state == State.UNTRIED:
            return self._may_be_asked(skill.id)
        if state == State.SECURE:
            return skill.kind != Kind.HABIT and (skill.id not in self.disliked or self.fades_soon(skill.id))
        if state in (State.BUILDING, State.WOBBLING, State.STALE):
            return True
        is_wanted = skill.id in self.from_before or skill.id in self.urgent
        return is_wanted and not self.has_shaky_ground(skill.id)

    def _may_be_asked(self, skill: str) -> bool:
        """Return whether something never asked for is worth a look, without being taught.

        That is what settles most, what is probably there, and while little is known what decides or is open.
        """
        if not self.may_be_asked(skill):
            return False
        if skill in self.unseen or skill in self.named:
            return True
        return self.knows_little and (skill in self.deciding or skill in self.answer.open_rest)

    @cached_property
    def knows_little(self) -> bool:
        """Whether all that was shown leaves review minutes free: looks are worth more there than songs."""
        shown = (State.SECURE, State.BUILDING, State.WOBBLING, State.STALE)
        known = [one for one in self._asked() if self.state(one.id) in shown and self._may_be_reviewed(one)]
        return sum(self.looking(one.id).most for one in known) < self.shares.review

    def why(self, skill: str) -> str:
        """Return why a skill is in the lesson."""
        if skill in (*self.named, *self.beneath):
            looked_at = "look-first" if skill in self.answer.look_first else "beneath"
            return "one-thing" if skill == self.answer.one_thing else looked_at
        if skill in self.deciding:
            return "blocker" if any(one.skill == skill for one in self.answer.blockers) else "group"
        if skill in self.from_before:
            return "from-before"
        state = self.state(skill)
        if state == State.SECURE:
            return "fading" if self.fades_soon(skill) else "keep-warm"
        if state == State.UNTRIED and not self.may_be_taught(skill):
            return "in-passing" if skill in self.unseen else "rest"
        waits_alone = skill in self.answer.open_rest and waiting_for(self.course, self.answer, skill) == 1
        other = "rest" if waits_alone else "waited-for"
        begun = "begin" if state == State.UNTRIED else other
        return "in-the-making" if state == State.BUILDING else begun

    def fades_soon(self, skill: str) -> bool:
        """Return whether something settled is due for a look soon after the lesson."""
        until, lesson = self.answer.standings[skill].fresh_until, self.answer.next_lesson or self.answer.on
        return self.state(skill) == State.SECURE and until is not None and until <= lesson + SOON

    def learning(self, skill: str) -> Choice:
        """Return a skill as a choice for the new minutes: half of what it takes to all of it, or a look."""
        usual = self.course.skill[skill].minutes
        worth = (
            int(skill == self.answer.one_thing),
            int(skill in self.urgent),
            int(skill in self.deciding),
            waiting_for(self.course, self.answer, skill),
        )
        if not self.may_be_taught(skill):
            return replace(self.looking(skill), worth=worth)
        return Choice(
            least=min(-(-usual // 2), self.longest),
            most=max(1, min(usual, self.longest) if self.tender else usual),
            worth=worth,
            begins=self.state(skill) == State.UNTRIED,
        )

    def looking(self, skill: str) -> Choice:
        """Return a skill as a choice for the review minutes: a look, up to one block."""
        is_settled = self.state(skill) == State.SECURE
        return Choice(
            least=min(LOOK, self.longest),
            most=min(self.longest, max(LOOK, self.course.skill[skill].minutes)),
            worth=(
                int(skill in self.beneath),
                int(skill == self.answer.one_thing),
                int(skill in self.answer.look_first),
                int(skill in self.urgent),
                int(skill in self.looks),
                int(skill in self.deciding),
                int(skill in self.from_before),
                0 if is_settled else waiting_for(self.course, self.answer, skill),
                int(self.fades_soon(skill)),
            ),
        )
