"""A question that can be asked, as plain tables, and the answer that the library gives.

The tables are those that ``tomllib`` reads from a course and a student's file, so that a drawn question
comes through the same door as a teacher's files, and another reading of the rules sees the same values.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace
from datetime import date
from typing import Any, Protocol, Self

from readiness.course.load import build_course
from readiness.course.model import Course
from readiness.judging import Answer, answer_to_dict, judge
from readiness.lazy import dataclass
from readiness.record.load import build_record
from readiness.record.model import Record
from readiness.record.rhythm import DAY_CODES, Calendar, Event, Rhythm

__all__ = ["Asked", "Situation", "ask", "ask_on", "calendar_of", "record_of", "without_places"]


@dataclass(frozen=True)
class Situation:
    """A question that can be asked: this course, this pacing, this file, on this day.

    Attributes:
        graph, pacing, student: as the three files hold them.
        on: the day asked about.
        studio: what ``studio.toml`` says of lessons: ``lesson_dates``, ``rhythm`` and ``event``.
    """

    graph: Mapping[str, Any]
    pacing: Mapping[str, Any]
    student: Mapping[str, Any]
    on: date
    studio: Mapping[str, Any] = field(default_factory=dict)
    _built: Course | None = field(default=None, init=False, repr=False, compare=False)

    @property
    def planned(self) -> tuple[date, ...]:
        """The planned lesson days."""
        return tuple(self.studio.get("lesson_dates", {}).get("all", ()))

    @property
    def course(self) -> Course:
        """The course of the two files, built once; ValueError says why they hold no valid course."""
        built = self._built or build_course(dict(self.graph), dict(self.pacing))
        self.of_course(built)
        return built

    def with_student(self, **tables: object) -> Situation:
        """Return the same question with some tables of the student's file replaced."""
        return replace(self, student={**self.student, **tables}).of_course(self._built)

    def of_course(self, course: Course | None) -> Self:
        """Return this question, its course built already, if it is."""
        object.__setattr__(self, "_built", course)
        return self


class _Printer(Protocol):
    def pretty(self, obj: object) -> None: ...


@dataclass(frozen=True)
class Asked:
    """A question with its answer, of which only the situation is printed where a law is broken."""

    situation: Situation
    course: Course = field(repr=False)
    record: Record = field(repr=False)
    answer: Answer = field(repr=False)

    @property
    def calendar(self) -> Calendar:
        """What is known of the lessons to come."""
        return calendar_of(self.situation)

    @property
    def json(self) -> dict[str, Any]:
        """The answer as its JSON object."""
        return answer_to_dict(self.answer)

    def _repr_pretty_(self, printer: _Printer, cycle: bool) -> None:  # noqa: ARG002 - Hypothesis asks with both
        """Print the situation, for Hypothesis, which would print every field."""
        printer.pretty(self.situation)


def ask(situation: Situation, course: Course | None = None, name: str = "somebody") -> Asked:
    """Judge a situation's student, by its ``course`` where that is built; ValueError for no valid files."""
    course = course or situation.course
    record = record_of(situation, course, name)
    answer = judge(course, record, situation.on.toordinal(), calendar_of(situation))
    return Asked(situation, course, record, answer)


def ask_on(asked: Asked, day: date) -> Answer:
    """Judge the same student on another day."""
    return judge(asked.course, asked.record, day.toordinal(), asked.calendar)


def record_of(situation: Situation, course: Course, name: str = "somebody") -> Record:
    """Return the record of a situation's student."""
    return build_record(name, dict(situation.student), course)


def calendar_of(situation: Situation) -> Calendar:
    """Return what the studio of a situation says of lessons."""
    studio = situation.studio
    rhythm = studio.get("rhythm")
    return Calendar(
        planned=tuple(sorted({day.toordinal() for day in situation.planned})),
        rhythm=None if rhythm is None else Rhythm(DAY_CODES.index(rhythm["day"]), rhythm.get("weeks", 1)),
        events=tuple(
            Event(one.get("name", ""), one["from"].toordinal(), one["to"].toordinal(), is_stretch=True)
            for one in studio.get("event", ())
        ),
    )


def without_places(value: Any) -> Any:  # noqa: ANN401 - JSON is anything
    """Return JSON without the files and lines it names, which say where and not what."""
    if isinstance(value, Mapping):
        return {k: without_places(v) for k, v in value.items() if k not in ("file", "line")}
    return [without_places(item) for item in value] if isinstance(value, list) else value
