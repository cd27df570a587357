"""How the laws ask the library: a drawn situation in, an answer and its JSON out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta
from typing import Any

from hypothesis import given, seed, settings
from hypothesis import strategies as st
from hypothesis.vendor.pretty import RepresentationPrinter
from strategies import LEANINGS, WEEKDAYS, Leaning, Situation

from readiness.course.load import build_course
from readiness.course.model import Course
from readiness.judging import Answer, answer_to_dict, judge
from readiness.record.load import build_record
from readiness.record.model import Record
from readiness.record.rhythm import Calendar, Rhythm

__all__ = [
    "READY", "Asked", "ask", "calendar_of", "for_each_leaning", "rank", "record_of",
    "settled_beforehand", "without_places",
]

READY = ("ready", "ready-taking-along")

_GAPS = ("with-help", "not-shown", "slipped")
_GOOD = ("secure", "set-aside")


@dataclass(frozen=True)
class Asked:
    """A question with its answer.

    Where a law is broken only the situation is printed: all the rest is made from it.
    """

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

    def _repr_pretty_(self, printer: RepresentationPrinter, cycle: bool) -> None:
        """Print the situation, for Hypothesis, which would print every field."""
        printer.pretty(self.situation)


def record_of(situation: Situation, course: Course, name: str = "somebody") -> Record:
    """Return the record of a situation's student."""
    return build_record(name, dict(situation.student), course)


def ask(situation: Situation, course: Course | None = None, name: str = "somebody") -> Asked:
    """Judge a situation's student; a course that was built before is used again."""
    course = course or build_course(dict(situation.graph), dict(situation.pacing))
    record = record_of(situation, course, name)
    answer = judge(course, record, situation.on.toordinal(), calendar_of(situation))
    return Asked(situation, course, record, answer)


def calendar_of(situation: Situation) -> Calendar:
    """Return what the studio of a situation says of lessons."""
    studio = situation.studio
    rhythm = studio.get("rhythm")
    return Calendar(
        planned=tuple(sorted({day.toordinal() for day in situation.planned})),
        rhythm=None if rhythm is None else Rhythm(WEEKDAYS.index(rhythm["day"]), rhythm.get("weeks", 1)),
        holidays=tuple((one["from"].toordinal(), one["to"].toordinal()) for one in studio.get("event", ())),
    )


FRESH = 10
"""So many examples Hypothesis draws afresh; after them most are variations of the one before."""


def for_each_leaning(law: Callable[[Any], None], drawn: Callable[[Leaning], st.SearchStrategy[Any]]) -> None:
    """Try a law on as many examples of each leaning: fixed ones, where those of the profile are."""
    profile = settings()
    each = settings(profile, max_examples=max(FRESH, profile.max_examples // len(LEANINGS)))
    for number, lean in enumerate(LEANINGS.values()):
        one = given(drawn(lean))(law)
        each(seed(number)(one) if profile.derandomize else one)()


def rank(state: str) -> int:
    """Return 0 for a gap state, 1 for an open one, 2 for one that is met."""
    return 0 if state in _GAPS else 2 if state in _GOOD else 1


def settled_beforehand(situation: Situation) -> Situation:
    """Return the situation with all units settled a day before, so that most students are ready."""
    units = list(situation.graph["unit"])
    block = {"through": units[-1], "on": situation.on - timedelta(days=1)}
    return replace(situation, student={**situation.student, "settled": [block], "hold": []})


def without_places(value: Any) -> Any:
    """Return JSON without the files and lines it names, which say where and not what."""
    if isinstance(value, Mapping):
        return {k: without_places(v) for k, v in value.items() if k not in ("file", "line")}
    return [without_places(item) for item in value] if isinstance(value, list) else value
