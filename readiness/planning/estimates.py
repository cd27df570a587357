"""How many lessons such skills took in this studio before: counted cases, and a range that holds.

An estimate stands apart from what the rules say: the earliest possible date is a bound, this is
experience. It is for the teacher alone, never for a child or a family. A *case* is a skill of the
same kind that a student of the same age band learnt here, from the lesson in which it was first
asked for to the one that made it secure; only lessons of that student are counted. Cases still
under way are left out and counted apart. With fewer than five cases nothing is said (caution C12).

The range is one of order statistics. If the next case is like the earlier ones in no known order,
its place among them is equally likely to be any; ties are broken by a lot, the same one for the
same question for ever. So of all such ranges eight in ten hold, whatever the distribution
(Vovk, Gammerman and Shafer 2005, Algorithmic Learning in a Random World; from memory). Under
nine cases no such range exists, and only the cases are given.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from readiness.course.model import KINDS, Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.judging.folds import fold
from readiness.judging.known import Known, known_on
from readiness.record.model import Record

__all__ = ["FEWEST", "Case", "Estimate", "cases_of", "estimates", "holding_range"]

FEWEST: Final = 5
"""Under so many cases nothing is said (C12)."""
_FEWEST_FOR_A_RANGE: Final = 9
_OUTSIDE: Final = 0.2
"""The share of ranges that do not hold."""
_BEFORE_SECURE: Final = ("untried", "building", "with-help", "not-shown")


@dataclass(frozen=True, slots=True)
class Case:
    """A skill somebody learnt here, or is still learning.

    ``lessons`` counts that student's lessons from the first in which it was asked for; ``done``
    is False where it was not secure by then.
    """

    kind: str
    band: str
    lessons: int
    done: bool


@dataclass(frozen=True, slots=True)
class Estimate:
    """What is known from earlier cases about one skill.

    Attributes:
        skill, kind, band: the skill, its kind and the student's band.
        so_far: this student's lessons with it, from the first in which it was asked for.
        cases: how many lessons more such skills took from there on, by case, in order.
        under_way: cases not done yet, which are not among them.
        low, high: the range, in lessons from now; None where there is none.
    """

    skill: str
    kind: str
    band: str
    so_far: int
    cases: tuple[int, ...]
    under_way: int
    low: int | None
    high: int | None

    @property
    def is_silent(self) -> bool:
        """Return whether there are too few cases to say anything."""
        return len(self.cases) < FEWEST


def estimates(
    course: Course, records: Iterable[Record], record: Record, answer: Answer
) -> tuple[Estimate, ...]:
    """Return an estimate for each blocking skill of a student that was never secure.

    Args:
        course: what is taught.
        records: everybody of the studio.
        record: the student; answer: the answer on the day asked about.
    """
    day = answer.on
    past = [case for one in records for case in cases_of(course, one, day)]
    known = known_on(course, record, day)
    return tuple(_estimate(course, known, answer, skill, past) for skill in _asked(answer))


def _asked(answer: Answer) -> Iterator[str]:
    """Yield what keeps the student in the unit and was never secure; open rest where that is all."""
    named: list[str] = []
    for blocker in answer.blockers:
        named += [blocker.skill] if blocker.skill else blocker.group.of if blocker.group else ()
    for skill in dict.fromkeys(named or answer.open_rest):
        one = answer.standings[skill]
        if one.state in _BEFORE_SECURE and one.settled_on is None:
            yield skill


def cases_of(course: Course, record: Record, day: int) -> Iterator[Case]:
    """Yield the cases in one student's record, as known on a day.

    What was settled elsewhere is no case: nobody saw how long it took.
    """
    course = course.on(day)
    known = known_on(course, record, day)
    plan = course.plan
    for i, notes in known.notes.items():
        settled = known.settled[plan.unit[i]]
        if settled is not None and notes[0][0] >= settled:
            continue
        since = _secure_since(course, known, i)
        if since is None and settled is not None:
            continue
        last = known.lesson_days[-1] if since is None else since
        band = known.band_on(course, last).name
        yield Case(KINDS[plan.kind[i]], band, _lessons(known, notes[0][0], last), since is not None)


def _secure_since(course: Course, known: Known, i: int) -> int | None:
    """Return the day on which a skill was first secure by its notes alone."""
    plan, notes = course.plan, known.notes[i]
    for upto in range(1, len(notes) + 1):
        band = known.band_on(course, notes[upto - 1][0])
        kind = plan.kind[i]
        shown = fold(
            notes[:upto], band.accepts[kind], band.days_needed[kind], band.whole("spread_days"), None
        )
        if shown.secure_since is not None:
            return notes[upto - 1][0]
    return None


def _lessons(known: Known, first: int, last: int) -> int:
    return sum(first <= day <= last for day in known.lesson_days)


def _estimate(course: Course, known: Known, answer: Answer, skill: str, past: Sequence[Case]) -> Estimate:
    kind, band = course.skill[skill].kind, answer.band
    notes = known.notes.get(course.plan.index[skill], ())
    so_far = _lessons(known, notes[0][0], answer.on) if notes else 0
    like = [case for case in past if (case.kind, case.band) == (kind, band)]
    cases = tuple(sorted(case.lessons - so_far for case in like if case.done and case.lessons > so_far))
    under_way = sum(not case.done for case in like) - bool(notes)
    low, high = holding_range(cases, _lot(answer.student, skill, str(iso(answer.on)))) or (None, None)
    return Estimate(skill, kind, band, so_far, cases, max(0, under_way), low, high)


def _lot(*question: str) -> float:
    """Return a number from 0 up to 1 that is always the same for one question."""
    return int.from_bytes(sha256("\n".join(question).encode()).digest()[:6]) / 2**48


def holding_range(cases: Sequence[int], lot: float) -> tuple[int, int] | None:
    """Return the lowest and highest number that the next case has, in eight of ten such ranges.

    Args:
        cases: earlier cases, in order.
        lot: from 0 up to 1; where the next case equals earlier ones it says where among them it counts.

    None under nine cases. A number is in the range when its place among the cases is in the
    middle eight tenths. Where the cases are so alike that none is, the middle one stands.
    """
    if len(cases) < _FEWEST_FOR_A_RANGE:
        return None

    def place(number: int) -> float:
        below = bisect_left(cases, number)
        same = bisect_left(cases, number + 1) - below
        return (below + lot * (same + 1)) / (len(cases) + 1)

    inside = [
        number
        for number in range(cases[0], cases[-1] + 1)
        if _OUTSIDE / 2 <= place(number) < 1 - _OUTSIDE / 2
    ]
    if not inside:
        return cases[len(cases) // 2], cases[len(cases) // 2]
    return inside[0], inside[-1]
