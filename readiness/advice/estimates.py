"""How many lessons such skills took in this studio before: counted cases, and a range that holds.

An estimate stands apart from what the rules say: the earliest possible date is a bound, this is
experience. It is for the teacher alone, never for a child or a family. A *case* is a skill of the
same kind that a student of the same age band learnt here, from the lesson in which it was first
asked for to the one that made it secure; only lessons of that student are counted. A case still
under way says that it takes longer than that (right-censored): left out, the quick ones alone would
be counted. With fewer than five finished cases nothing is said (caution C12), and the usual weeks of
the unit stand in its place, which are the course's own number.

Unfinished cases are counted by the product-limit estimate (Kaplan and Meier 1958, Nonparametric
estimation from incomplete observations). If the next case is like the earlier ones in no known
order, then at every finish each of those still under way, the next one among them, is equally
likely to be the one that finishes. So the next one is counted as one more under way, which makes
the range wider the fewer there are, and of all such ranges at least eight in ten hold, whatever the
distribution (Berliner and Hill 1988, Bayesian nonparametric survival analysis; Coolen and Yan 2004,
Nonparametric predictive inference with right-censored data; from memory). What the student has spent
with the skill already is given: only cases that took longer count, from there on.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from readiness.course.model import KINDS, Band, Course
from readiness.judging.answer import Answer
from readiness.judging.history import Known, known_on
from readiness.judging.states import fold
from readiness.lazy import dataclass
from readiness.record.model import Record, latest
from readiness.terms import Kind, State

__all__ = ["FEWEST", "Case", "Estimate", "Lasted", "cases_of", "estimates", "holding_range", "product_limit"]

Lasted = tuple[int, bool]
"""How many lessons a case took, or has taken so far, and whether it is finished."""

FEWEST: Final = 5
"""Under so many finished cases nothing is said (C12)."""
_OUTSIDE: Final = Fraction(2, 10)
"""The share of ranges that do not hold, at most."""
_BEFORE_SECURE: Final = (State.UNTRIED, State.BUILDING, State.WITH_HELP, State.NOT_SHOWN)


@dataclass(frozen=True)
class Case:
    """A skill somebody learnt here, or is still learning.

    ``lessons`` counts that student's lessons from the first in which it was asked for; ``done``
    is False where it was not secure by then.
    """

    kind: Kind
    band: str
    lessons: int
    done: bool


@dataclass(frozen=True)
class Estimate:
    """What is known from earlier cases about one skill.

    Attributes:
        skill, kind, band: the skill, its kind and the student's band.
        so_far: this student's lessons with it, from the first in which it was asked for.
        cases: how many lessons more such skills took from there on, by finished case, in order.
        under_way: cases not finished yet that have taken longer than this one.
        low, high: the range, in lessons from now; None where there is none.
        usual_weeks: of the skill's unit, as the course has it; no measurement.
    """

    skill: str
    kind: Kind
    band: str
    so_far: int
    cases: tuple[int, ...]
    under_way: int
    low: int | None
    high: int | None
    usual_weeks: int

    @property
    def is_silent(self) -> bool:
        """Return whether there are too few finished cases to say anything."""
        return len(self.cases) < FEWEST


def estimates(
    course: Course, records: Iterable[Record], record: Record, answer: Answer
) -> tuple[Estimate, ...]:
    """Return an estimate for each blocking skill never secure, from the ``records`` of the studio."""
    day = answer.on
    past = [case for one in records for case in cases_of(course, one, day)]
    known = known_on(course, record, day)
    return tuple(_estimate(course, known, answer, skill, past) for skill in _asked(answer))


def _asked(answer: Answer) -> Iterator[str]:
    """Yield what keeps the student in the unit and was never secure; open rest where that is all."""
    named = [skill for blocker in answer.blockers for skill in blocker.skills]
    for skill in dict.fromkeys(named or answer.open_rest):
        one = answer.standings[skill]
        if one.state in _BEFORE_SECURE and not one.slipped:
            yield skill


def cases_of(course: Course, record: Record, day: int) -> Iterator[Case]:
    """Yield the cases in one student's record, as known on a day.

    What was settled elsewhere is no case: nobody saw how long it took. What was settled or set
    aside while it was learnt was under way until then.
    """
    course = course.on(day)
    known = known_on(course, record, day)
    plan = course.plan
    aside = {one.skill: one.on for one in reversed(record.set_aside) if one.on <= day}
    for i, notes in known.notes.items():
        ended = known.settled[plan.unit[i]], aside.get(plan.ids[i])
        if any(on is not None and on <= notes[0][0] for on in ended):
            continue
        since = _secure_since(course, record, known, i)
        last = min(on for on in (since, *ended, known.lesson_days[-1]) if on is not None)
        band = _band_on(course, record, known, last).name
        yield Case(KINDS[plan.kind[i]], band, _lessons(known, notes[0][0], last), last == since)


def _band_on(course: Course, record: Record, known: Known, day: int) -> Band:
    """Return the band that held on a day that is past, which may be one chosen then."""
    if not record.band_choices:
        return known.band_on(course, day)
    choice = latest(one for one in record.band_choices if one.on <= day)
    return replace(known, chosen_band=None if choice is None else choice.band).band_on(course, day)


def _secure_since(course: Course, record: Record, known: Known, i: int) -> int | None:
    """Return the day on which a skill was first secure by its notes alone."""
    plan, kind = course.plan, course.plan.kind[i]
    for day, given, _ in known.notes[i]:
        band = _band_on(course, record, known, day)
        if given > band.accepts[kind]:
            continue  # what does not count makes nothing secure; else all notes would be folded for each
        notes = tuple(note for note in known.evidence_of(i, plan, band) if note[0] <= day)
        needed = plan.days[i] or band.days_needed[kind]
        if fold(notes, band.accepts[kind], needed, band.whole("spread_days"), None).secure_since is not None:
            return day
    return None


def _lessons(known: Known, first: int, last: int) -> int:
    return sum(first <= day <= last for day in known.lesson_days)


def _estimate(course: Course, known: Known, answer: Answer, skill: str, past: Sequence[Case]) -> Estimate:
    kind, band = course.skill[skill].kind, answer.band
    notes = known.notes.get(course.plan.index[skill], ())
    so_far = _lessons(known, notes[0][0], answer.on) if notes else 0
    like = [
        (case.lessons - so_far, case.done)
        for case in past
        if (case.kind, case.band) == (kind, band) and case.lessons > so_far
    ]
    cases = tuple(sorted(lessons for lessons, done in like if done))
    low, high = (holding_range(like) if len(cases) >= FEWEST else None) or (None, None)
    usual = course.unit[course.skill[skill].unit].lesson_weeks
    return Estimate(skill, kind, band, so_far, cases, len(like) - len(cases), low, high, usual)


def product_limit(cases: Sequence[Lasted]) -> list[Fraction]:
    """Return the share of cases not finished after 0, 1, 2 ... lessons, up to the longest.

    Those under way count among the ones that could finish as long as they have taken.

    >>> [float(share) for share in product_limit([(1, True), (2, False), (3, True), (3, True)])]
    [1.0, 0.75, 0.75, 0.0]
    """
    ended, finished = Counter(lessons for lessons, _ in cases), Counter(n for n, done in cases if done)
    under_way, shares = len(cases), [Fraction(1)]
    for lessons in range(1, max(ended, default=0) + 1):
        shares.append(shares[-1] * (1 - Fraction(finished[lessons], under_way)))
        under_way -= ended[lessons]
    return shares


def holding_range(cases: Sequence[Lasted]) -> tuple[int, int] | None:
    """Return the lowest and highest number that the next case has, in at least eight of ten such ranges.

    Each end takes its share of the two in ten that need not hold: the lower one at most half of it,
    the upper one what is left. None where too few are finished for an upper end.
    """
    longest = max((lessons for lessons, _ in cases), default=0)
    left = product_limit([*cases, (longest, False)])
    ended, finished = Counter(lessons for lessons, _ in cases), Counter(n for n, done in cases if done)
    low, below, under_way = 1, Fraction(0), len(cases) + 1
    while low < longest:  # is the next case, too, finished by the low end?
        share = 1 - left[low - 1] * (1 - Fraction(finished[low] + 1, under_way))
        if share > _OUTSIDE / 2:
            break
        under_way -= ended[low]
        low, below = low + 1, share
    high = next((n for n in range(low, longest + 1) if left[n] <= _OUTSIDE - below), None)
    return None if high is None else (low, high)
