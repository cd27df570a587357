"""What changes when a birthday changes the age band: numbers, skills asked for, the verdict.

Time passes until a birthday, and that alone changes states. So the day itself is judged twice,
by the band of the day before and by the new one, with nothing new noted: what differs, the
birthday does. Bands have edges, so on some days one day of age decides; that is said.
"""

from __future__ import annotations

from dataclasses import replace

from readiness.advice.answer_changes import StudentChange, student_change
from readiness.course.model import Course
from readiness.days import age_on
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.judging.history import known_on
from readiness.lazy import dataclass
from readiness.record.model import BandChoice, Record
from readiness.record.rhythm import NO_CALENDAR, Calendar

__all__ = ["Birthday", "OneDay", "birthday_changes", "one_day_of_age"]


@dataclass(frozen=True)
class Birthday:
    """A birthday that changes the band.

    Attributes:
        day: the day; age: the age on it; old, new: the bands before and from it on.
        numbers: (rule, old, new) of every number that differs, in the order of the file.
        due: skills asked for from that day on that were not before; skipped: the other way.
        change: the day judged by the old band and by the new one.
    """

    day: int
    age: int
    old: str
    new: str
    numbers: tuple[tuple[str, object, object], ...]
    due: tuple[str, ...]
    skipped: tuple[str, ...]
    change: StudentChange

    @property
    def one_day_decides(self) -> bool:
        """Return whether on that day the verdict of somebody born a day later is another."""
        return self.change.before.verdict != self.change.after.verdict


@dataclass(frozen=True)
class OneDay:
    """Somebody with the same notes, born one day later, or else earlier, and the answer for them."""

    later: bool
    answer: Answer

    @property
    def born(self) -> str:
        """Return when: earlier or later."""
        return "later" if self.later else "earlier"


def birthday_changes(
    course: Course, record: Record, on: int, calendar: Calendar = NO_CALENDAR
) -> Birthday | None:
    """Return what the next birthday that changes the band changes; None where none does.

    None too where the teacher has set the band, because it then goes by the teacher.
    """
    known = known_on(course, record, on)
    record = replace(record, lessons=tuple(lesson for lesson in record.lessons if lesson.on <= on))
    day = known.next_band_day(course, on)
    if day is None:
        return None
    now, then = known.band_on(course, on), known.band_on(course, day)
    kept = replace(record, band_choices=(*record.band_choices, BandChoice(now.name, day)))
    taught = course.on(day)
    asked = [[s.id for s in taught.skills if band.name not in s.optional_in] for band in (now, then)]
    before, after = judge(course, kept, day, calendar), judge(course, record, day, calendar)
    return Birthday(
        day=day,
        age=age_on(record.born, day),
        old=now.name,
        new=then.name,
        numbers=tuple(
            (rule, now.numbers.get(rule), value)
            for rule, value in then.numbers.items()
            if rule != "from_age" and now.numbers.get(rule) != value
        ),
        due=tuple(skill for skill in asked[1] if skill not in asked[0]),
        skipped=tuple(skill for skill in asked[0] if skill not in asked[1]),
        change=student_change(course, course, before, after, (kept, record)),
    )


def one_day_of_age(course: Course, record: Record, answer: Answer) -> OneDay | None:
    """Return the answer for the same notes of somebody born one day earlier or later.

    None where the verdict is that of the answer, or goes by the same band: then no day of age decides.
    """
    for later in (False, True):
        born = record.born + (1 if later else -1)
        other = judge(course, replace(record, born=born), answer.on, answer.calendar)
        if other.band != answer.band and other.verdict != answer.verdict:
            return OneDay(later, other)
    return None
