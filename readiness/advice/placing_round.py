"""A placing round: which look comes next, when it is enough, and where the student starts so far.

In one lesson or two. The always-look items come first, as one glance. Then each look is the one
that tells most about the start unit, among those likely enough to come out well, so that a child
meets success early; of looks that tell nearly as much the easier one. A strand in which two
things in a row clearly did not come is left alone.

The start is the unit that all looks together fit best, with the units it may also be, and with what
is *taken as there* for it although it was neither seen nor implied; units, never a number. Every
answer about a student who is not placed takes it from here. Beside it stands the start of rule R10,
which counts as missing what was not asked, so that it comes later only when much was seen. While
the two are more than a unit apart, what is asked for is what settles most of what is taken as there.
It is enough when the start unit is settled, give or take one, by both readings, or when the lesson
is full; more than two lessons are never asked for. Answers are supposed, never written, here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from functools import cached_property
from math import log2, sqrt
from operator import mul
from typing import Final

from readiness.advice.after_break import gently, tender_skills
from readiness.advice.placing_crowd import ASSUMED, Belief, Footings, footings
from readiness.advice.skill_traits import resting_skills
from readiness.course.model import Band, Course, bits
from readiness.judging.answer import PlacingResult
from readiness.judging.history import Known, known_on
from readiness.judging.states import States, judge_states, latest_showings, place
from readiness.lazy import dataclass
from readiness.record.load import shared_skills
from readiness.record.model import Record

__all__ = [
    "LESSONS", "PlacingLook", "PlacingLooks", "PlacingRound", "confirming_look", "likely_of", "looks_ahead",
    "next_look", "placing_round", "raising_look",
]  # fmt: skip

# What is known in a placing round: the looks so far, and what they come to.
#
# Everything follows from the record up to a day and the answers not noted yet. What to ask next
# and when it is enough are decided elsewhere. Skills are numbers here, sets of skills are bits.

_CLEAR: Final = 2
"""From this help on ("after being shown") a look that did not count is a clear miss."""


@dataclass(frozen=True)
class PlacingLooks:
    """The looks of a placing round on one day.

    Attributes:
        known: what is known, with the answers of today.
        left_alone: ids of skills not to ask for today.
        tender: ids of those that work a part which rested until lately: less is asked for, and easy things.
        answered: ids of what was answered today, in the order of asking.
    """

    course: Course
    record: Record
    known: Known
    left_alone: AbstractSet[str]
    answered: tuple[str, ...]
    tender: AbstractSet[str] = frozenset()

    @cached_property
    def band(self) -> Band:
        """The band of the day."""
        return self.known.band_on(self.course, self.known.day)

    @cached_property
    def limit(self) -> int:
        """How much may come along unfinished."""
        return self.band.whole("carry_limit")

    @cached_property
    def left_out(self) -> int:
        """What is not asked for: optional at this age, or set aside."""
        return self.course.plan.optional[self.band.name] | self.known.set_aside

    @cached_property
    def footings(self) -> Footings:
        """What the units stand on, and the belief before any look."""
        return footings(self.course, self.left_out, self.limit)

    @cached_property
    def _states(self) -> States:
        return judge_states(self.course.plan, self.known, self.band, self.known.day)

    @cached_property
    def shown(self) -> tuple[int, int]:
        """What was shown last time it was asked for, and what was not."""
        return latest_showings(self._states)

    @cached_property
    def belief(self) -> Belief:
        """The belief after all looks."""
        shown, not_shown = self.shown
        looks = dict.fromkeys(bits(shown), True) | dict.fromkeys(bits(not_shown), False)
        return Belief(self.footings.crowd, looks, ASSUMED)

    @cached_property
    def chances(self) -> tuple[float, ...]:
        """By unit, how likely it is the one to start in."""
        return tuple(map(self.belief.share, self.footings.starts))

    @cached_property
    def best(self) -> int:
        """The earliest unit that all looks fit nearly best, never before the start of rule R10."""
        strict = self.course.plan.unit_index[self.result.start_unit]
        if not self.asked & self.footings.asked_by[-1] & ~self.elsewhere:
            return strict
        least = ASSUMED.nearly * max(self.chances)
        return max(strict, next(unit for unit, chance in enumerate(self.chances) if chance >= least))

    @cached_property
    def result(self) -> PlacingResult:
        """What rule R10 says from the notes and answers alone."""
        return place(self.course, self.record, self._states)

    @cached_property
    def there(self) -> int:
        """What was seen or is implied by it."""
        return self.shown[0] | self.course.plan.set_of(self.result.implied)

    @cached_property
    def taken(self) -> int:
        """What the start unit asks for, is likely there, and was neither seen nor implied."""
        open_ = self.footings.asked_by[self.best] & ~self.there & ~self.shown[1]
        having = self.footings.crowd.having
        return sum(1 << i for i in bits(open_) if self.belief.share(having[i]) >= 0.5)

    @property
    def is_sure(self) -> bool:
        """Whether all looks together settle the start unit, give or take one."""
        return sum(self.chances[max(0, self.best - 1) : self.best + 2]) >= ASSUMED.settled

    @property
    def readings_agree(self) -> bool:
        """Whether the notes alone (rule R10) and all looks together start within a unit of each other."""
        return abs(self.best - self.course.plan.unit_index[self.result.start_unit]) <= 1

    @property
    def asked(self) -> int:
        """What was asked for at any time."""
        return self.shown[0] | self.shown[1]

    @cached_property
    def room(self) -> int:
        """How many more things fit this lesson, the glance at the seat among them."""
        plan = self.course.plan
        today = {i for i, notes in self.known.notes.items() if notes[-1][0] == self.known.day}
        used = len(today - {i for i in today if plan.always_look >> i & 1})
        most = min(ASSUMED.most_looks, 2 * self.band.whole("check_items_max") - 1)
        return max(0, gently(most, self.tender) - used) + bool(self.seat)

    @property
    def seat_unseen(self) -> int:
        """The always-look items that were never asked for."""
        return self.course.plan.always_look & ~self.asked & ~self.left_out

    @property
    def seat(self) -> int:
        """Those of them that are still to be asked for today."""
        return self.seat_unseen & ~self.course.plan.set_of(self.left_alone)

    @cached_property
    def elsewhere(self) -> int:
        """What another course of the student has too: asked for there, it tells little of a start here."""
        return self.course.plan.set_of(shared_skills(self.course))

    @property
    def lessons_before(self) -> int:
        """How many lessons before this day asked for what tells the start here: not the seat alone."""
        asked = bits(self.asked & self.footings.asked_by[-1] & ~self.elsewhere)
        return len({day for i in asked for day, *_ in self.known.notes.get(i, ()) if day < self.known.day})

    @cached_property
    def strands_closed(self) -> frozenset[str]:
        """The strands in which the last two things asked clearly did not come."""
        latest: dict[str, list[bool]] = {}
        for i, help_ in self.in_order():
            miss = bool(self.shown[1] >> i & 1) and help_ >= _CLEAR
            latest.setdefault(self.course.skills[i].strand, []).append(miss)
        return frozenset(strand for strand, misses in latest.items() if misses[-2:] == [True, True])

    def in_order(self) -> list[tuple[int, int]]:
        """Return what was asked with its latest help, in order: by day, then as answered or as taught."""
        plan = self.course.plan
        turn = {plan.index[skill]: at for at, skill in enumerate(self.answered)}
        noted = [(notes[-1][0], turn.get(i, -1), plan.unit[i], i) for i, notes in self.known.notes.items()]
        return [(i, self.known.notes[i][-1][1]) for *_, i in sorted(noted)]


# Which look comes next in a placing round.
#
# Each look is the one that tells most about the start unit, among those likely enough to come out
# well, so that a child meets success early; of looks that tell nearly as much the easier one. Where
# all looks together settle the unit and the notes alone still start elsewhere, the look comes that
# turns most of what is only taken as there into something seen.

_SAME: Final = 0.9
"""Looks that tell at least so much of what the best one tells are as good; the easier is asked."""


@dataclass(frozen=True)
class PlacingLook:
    """What to ask for next. ``why`` is always-look, easy-first, halves, must-be-seen or confirm."""

    skills: tuple[str, ...]
    why: str


def next_look(now: PlacingLooks) -> PlacingLook | None:
    """Return the look that tells most, None where nothing is left to ask."""
    if seat := now.seat:
        return PlacingLook(now.course.plan.names(seat), "always-look")
    return raising_look(now) if now.is_sure else _telling_look(now) or raising_look(now)


def _telling_look(now: PlacingLooks) -> PlacingLook | None:
    """Return the look that tells most about the start unit, None where none tells anything."""
    told = dict(_told(now))
    best = max(told.values(), default=0.0)
    if best < ASSUMED.least_gain:
        return None
    plan = now.course.plan
    good = [i for i, gain in told.items() if gain >= _SAME * best]
    i = min(good, key=lambda i: (plan.ids[i] in now.tender, plan.unit[i], -told[i], i))
    first = not now.asked & now.footings.asked_by[-1]
    why = "easy-first" if first else "must-be-seen" if plan.must_be_seen >> i & 1 else "halves"
    return PlacingLook((plan.ids[i],), why)


def confirming_look(now: PlacingLooks) -> PlacingLook | None:
    """Return, in the second lesson, the look that settles most of what was only taken as there."""
    return raising_look(now) if now.lessons_before == 1 and now.room else None


def raising_look(now: PlacingLooks) -> PlacingLook | None:
    """Return the look that brings the start of rule R10 furthest on, None with nothing taken to ask.

    Furthest is the latest unit; then the least missing beyond what may come along, over the units
    up to the one that all looks fit best; then the most that is settled; then the easier.
    """
    plan = now.course.plan
    able = [i for i in _able(now) if now.taken >> i & 1]
    most = max(able, key=lambda i: (*_brings(now, i), -plan.unit[i], -i), default=None)
    return None if most is None else PlacingLook((plan.ids[most],), "confirm")


def _brings(now: PlacingLooks, i: int) -> tuple[int, int, int]:
    """Return how far on a showing brings the start of rule R10."""
    plan, asked_by = now.course.plan, now.footings.asked_by
    settled = (plan.ancestors[i] & ~plan.must_be_seen | 1 << i) & ~now.shown[1]
    there = now.there | settled
    missing = ((asked & ~there).bit_count() for asked in asked_by[: now.best + 1])
    beyond = sum(max(0, count - now.limit) for count in missing)
    return now.footings.start_of(there, now.limit), -beyond, (settled & now.taken).bit_count()


def _alike(chances: Sequence[float], shows: Sequence[float]) -> list[float]:
    """Return how alike each start unit and the one two units on are in what they show, from 0 to 1."""
    rates = [show / chance for show, chance in zip(shows, chances, strict=True)]
    return [sqrt(one * other) + sqrt((1 - one) * (1 - other)) for one, other in _apart(rates)]


def _apart(each: Sequence[float]) -> Iterator[tuple[float, float]]:
    """Yield units two apart, or one where there are no more: give or take a unit is near enough."""
    return zip(each, each[min(2, len(each) - 1) :], strict=False) if len(each) > 1 else iter(())


def _answers(now: PlacingLooks) -> tuple[list[float], dict[int, list[float]]]:
    """Return how likely each start unit is, and by skill how likely it is that one and a showing."""
    units = [now.belief.within(who) for who in now.footings.starts]
    units = [one for one in units if one[0] > ASSUMED.negligible]
    shows = {i: [now.belief.shows(i, parts) for _, parts in units] for i in _able(now)}
    return [chance for chance, _ in units], shows


def _told(now: PlacingLooks) -> Iterator[tuple[int, float]]:
    """Yield how much each look that may be asked tells about the start unit, in bits.

    That is how unlike those are, in what they would show, who would start in different units.
    """
    chances, shows = _answers(now)
    for i, each in _likely(shows, _least(now)).items():
        rest = sum(chance * _uncertain(show / chance) for chance, show in zip(chances, each, strict=True))
        yield i, _uncertain(sum(each)) - rest


def _likely(shows: dict[int, list[float]], least: float) -> dict[int, list[float]]:
    """Return what is likely enough to come out well; all where nothing is."""
    return {i: each for i, each in shows.items() if sum(each) >= least} or shows


def _able(now: PlacingLooks) -> list[int]:
    """Return what may be asked: of the entry lists, not asked yet, of a strand that is open.

    In a course so wide that there is too much of that, what is least sure.
    """
    skills = now.course.skills
    able = [
        i
        for i in bits(now.footings.asked_by[-1] & ~now.asked)
        if skills[i].id not in now.left_alone and skills[i].strand not in now.strands_closed
    ]
    having, most = now.footings.crowd.having, ASSUMED.most_compared
    if len(able) > most:
        able.sort(key=lambda i: abs(now.belief.share(having[i]) - 0.5))
    return sorted(able[:most])


def _least(now: PlacingLooks) -> float:
    """Return how likely the next look must be to come out well."""
    asked = [i for i, _ in now.in_order() if now.footings.asked_by[-1] >> i & 1]
    if not asked or now.tender:
        return ASSUMED.first_at_least
    return ASSUMED.after_miss_at_least if now.shown[1] >> asked[-1] & 1 else ASSUMED.at_least


def _uncertain(chance: float) -> float:
    """Return the entropy of a yes or no, in bits."""
    if chance <= 0 or chance >= 1:
        return 0.0
    return -chance * log2(chance) - (1 - chance) * log2(1 - chance)


LESSONS: Final = 2
"""Placing never takes more lessons (common practice, no source)."""


@dataclass(frozen=True)
class PlacingRound:
    """Where a placing round stands.

    Attributes:
        next: the next look, None when it is enough.
        stop: why it is enough: settled, lesson-full, two-lessons, nothing-left, paused; empty
            while something is to be asked.
        start: the unit to start in: all looks together fit it best.
        is_clear: whether it may be told: clear, give or take a unit, or no look is left to make it so.
        fits: the units from which most of the belief does not exclude a start, in order.
        result: what rule R10 says, from the notes and the answers so far.
        seat_unseen: the always-look items that were never asked for.
        raises: what to ask for to see whether a later unit fits; empty where nothing would.
        seen: what was shown, without the always-look items; implied: of the units before the start, what
            something that was shown builds on.
        taken: what is taken as there for that start, neither seen nor implied; patches: what did
            not come of it, or probably would not.
        strands_closed: strands left alone after two clear misses in a row.
        looks: how many things were asked for so far; room: how many more fit this lesson.
        whole: whether as many students were imagined as usual; fewer where a course has thousands of skills.
    """

    next: PlacingLook | None
    stop: str
    start: str
    is_clear: bool
    fits: tuple[str, ...]
    result: PlacingResult
    seat_unseen: tuple[str, ...]
    raises: tuple[str, ...]
    seen: tuple[str, ...]
    implied: tuple[str, ...]
    taken: tuple[str, ...]
    patches: tuple[str, ...]
    strands_closed: tuple[str, ...]
    looks: int
    room: int
    whole: bool

    @property
    def is_over(self) -> bool:
        """Whether enough was asked: what is left is to begin, and every answer says so."""
        return self.next is None and self.stop in ("settled", "two-lessons", "nothing-left")

    @property
    def may_begin(self) -> bool:
        """Whether the start may be accepted: enough was asked, or it is clear and the seat was looked at."""
        return self.is_over or (self.is_clear and self.looks > 0 and not self.seat_unseen)


def placing_round(
    course: Course,
    record: Record,
    on: int,
    helps: Mapping[str, int] | None = None,
    not_tried: Iterable[str] = (),
    today: int = 0,
) -> PlacingRound:
    """Return where a placing round stands, and the next look; none while a hold is open, then or ``today``.

    Args:
        course: what is taught; record: what was seen so far, in earlier lessons too.
        helps: the answers given in this lesson and not noted yet: by skill id, an index into
            HELPS, in the order of asking.
        not_tried: skills to leave alone today.
    """
    found = _stand(_evidence(course, record, on, helps or {}, not_tried))
    is_paused = any(hold.is_open(today) for hold in record.holds)
    return replace(found, next=None, stop="paused") if is_paused else found


def looks_ahead(course: Course, record: Record, on: int, count: int) -> tuple[str, ...]:
    """Return what to ask for in a placing lesson, noted on paper, what tells most first.

    No answer can change what comes next. Each time it is what most lessens the doubts between a start unit
    and the one two units on: a doubt is the Bhattacharyya bound on the chance of taking the one for the
    other (Kailath 1967, IEEE Transactions on Communication Technology 15:52-60), and looks multiply their
    parts of it.

    Args:
        course, record, on: as for :func:`placing_round`.
        count: how many things at most.
    """
    now = _evidence(course, record, on, {}, ())
    chances, shows = _answers(now)
    shows = _likely(shows, ASSUMED.first_at_least) if now.tender else shows
    doubts = [sqrt(one * other) for one, other in _apart(chances)]
    alike = {i: _alike(chances, each) for i, each in shows.items()}
    chosen: list[int] = []
    while doubts and len(chosen) < min(count, len(alike)):
        able = [i for i in alike if i not in chosen]
        chosen.append(min(able, key=lambda i: (sum(map(mul, doubts, alike[i])), i)))
        doubts = list(map(mul, doubts, alike[chosen[-1]]))
    return tuple(now.course.plan.ids[i] for i in chosen)


def likely_of(unasked: int, course: Course, record: Record, on: int) -> int:
    """Return those skills of a set, none of them asked for, that all looks make likely."""
    now = _evidence(course, record, on, {}, ())
    if not now.asked & now.footings.asked_by[-1]:
        return 0
    having = now.footings.crowd.having
    return sum(1 << i for i in bits(unasked) if i in having and now.belief.share(having[i]) >= 0.5)


def _evidence(
    course: Course, record: Record, on: int, helps: Mapping[str, int], not_tried: Iterable[str]
) -> PlacingLooks:
    course = course.on(on)
    known = known_on(course, record, on)
    for skill, help_ in helps.items():
        known = known.with_showings([course.plan.index[skill]], on, help_)
    resting = resting_skills(course, record, on)
    tender = tender_skills(course, record, on)
    return PlacingLooks(course, record, known, {*not_tried, *resting}, tuple(helps), tender)


def _stand(now: PlacingLooks) -> PlacingRound:
    plan = now.course.plan
    best = now.best
    stop = _enough(now)
    look = confirming_look(now) if stop == "settled" else None if stop else next_look(now)
    raising = raising_look(now) if best > plan.unit_index[now.result.start_unit] else None
    return PlacingRound(
        next=look,
        stop="" if look else stop or "nothing-left",
        start=plan.unit_ids[best],
        is_clear=now.is_sure or (look is None and stop in ("", "two-lessons")),
        fits=tuple(plan.unit_ids[unit] for unit in _range(now, best)),
        result=now.result,
        seat_unseen=plan.names(now.seat_unseen),
        raises=raising.skills if raising else (),
        seen=plan.names(now.shown[0] & ~plan.always_look),
        implied=plan.names(plan.set_of(now.result.implied) & (plan.up_to[best - 1] if best else 0)),
        taken=plan.names(now.taken),
        patches=plan.names(now.footings.asked_by[best] & ~now.there & ~now.taken),
        strands_closed=tuple(sorted(now.strands_closed)),
        looks=(now.asked & now.footings.asked_by[-1]).bit_count(),
        room=now.room,
        whole=now.footings.is_whole,
    )


def _enough(now: PlacingLooks) -> str:
    """Return why it is enough, empty while it is not."""
    if now.known.holds:
        return "paused"
    if now.seat:
        return ""
    if now.is_sure and now.readings_agree:
        return "settled"
    if now.lessons_before >= LESSONS or (now.lessons_before == LESSONS - 1 and not now.room):
        return "two-lessons"
    return "" if now.room else "lesson-full"


def _range(now: PlacingLooks, best: int) -> range:
    """Return the fewest units next to each other that hold most of the belief."""
    first, last = best, best + 1
    while sum(now.chances[first:last]) < ASSUMED.likely:
        below = now.chances[first - 1] if first else -1.0
        above = now.chances[last] if last < len(now.chances) else -1.0
        first, last = (first - 1, last) if below >= above else (first, last + 1)
    return range(first, last)
