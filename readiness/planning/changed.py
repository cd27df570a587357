"""Why a verdict is another one than it was, although nobody wrote a verdict anywhere.

What a verdict rests on is taken apart into causes: new notes, a unit begun, something set
aside, the end of a window, another age band, a break, a hold, an edited skill graph, changed
numbers, skills that come or go on a day. A cause is *undone* by asking about the later day as
if that one thing were still as on the earlier day. Every set of causes is tried, so the
smallest sets whose undoing brings the earlier verdict back are found exactly:

    {window}                 the window alone did it
    {window}, {birthday}     it took both: without either it would still be as it was
    {window, birthday}       each alone would have done it: only undoing both brings it back

Nothing is claimed that was not recomputed. What nobody wrote down - a note put in later
under an older day, an edit outside any history - cannot be seen, and is not guessed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

from readiness.course.model import Band, Course
from readiness.judging.answer import READY, Answer
from readiness.judging.engine import judge, judge_known
from readiness.judging.known import Known, known_on
from readiness.planning.change_facts import Fact, Sides, facts_of
from readiness.planning.turns import Edit, Turn, course_on, fitting, turns
from readiness.record.model import Lesson, Record

__all__ = ["CAUSES", "Cause", "Changed", "Question", "Undoing", "why_changed"]

CAUSES: Final = (
    "notes", "unit", "set-aside", "window", "band", "break", "hold", "graph", "numbers", "dated",
)  # fmt: skip
"""Everything a verdict rests on, each thing once."""


@dataclass(frozen=True)
class Question:
    """Between which days, by which courses.

    Attributes:
        record: the student's file.
        since, on: the earlier and the later day.
        before: the course as it was on ``since``.
        edits: what was done to it since, oldest first; each with the course as it was then.
    """

    record: Record
    since: int
    on: int
    before: Course
    edits: tuple[Edit, ...] = ()

    @property
    def after(self) -> Course:
        """The course on the later day."""
        return course_on(self.before, self.edits, self.on)


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing without which the verdict would be another one; ``alone`` undoes the change by itself."""

    id: str
    alone: bool
    facts: tuple[Fact, ...]


@dataclass(frozen=True)
class Changed:
    """What changed, when and why.

    Attributes:
        earlier, later: the answers of the two days.
        turns: the days in between on which the verdict became another one.
        asked: verdict, or in-the-way where only what is in the way differs, or nothing.
        restoring: the smallest sets of causes whose undoing brings the earlier state back.
        causes: all that are in such a set.
        without_effect: what happened too and is in none of them.
    """

    earlier: Answer
    later: Answer
    turns: tuple[Turn, ...]
    asked: str
    restoring: tuple[tuple[str, ...], ...]
    causes: tuple[Cause, ...]
    without_effect: tuple[str, ...]


def why_changed(asked: Question) -> Changed:
    """Return why the answer of the later day differs from that of the earlier one."""
    earlier = judge(asked.before, fitting(asked.record, asked.before), asked.since)
    undone = Undoing(asked, earlier)
    later = undone.later
    what, target = _target(earlier, later)
    happened = tuple(cause for cause in CAUSES if undone.happened(cause))
    restoring = _smallest(undone, happened, what, target) if what != "nothing" else ()
    named = {cause for one in restoring for cause in one}
    return Changed(
        earlier,
        later,
        tuple(turns(asked.record, asked.before, asked.edits, asked.since, asked.on)),
        what,
        restoring,
        tuple(
            Cause(cause, (cause,) in restoring, facts_of(cause, undone.facts_about(cause)))
            for cause in happened
            if cause in named
        ),
        tuple(cause for cause in happened if cause not in named),
    )


def _target(earlier: Answer, later: Answer) -> tuple[str, object]:
    """Return what is asked about, and what it was."""
    if earlier.verdict != later.verdict:
        return "verdict", earlier.verdict
    if _in_the_way(earlier) != _in_the_way(later):
        return "in-the-way", _in_the_way(earlier)
    return "nothing", None


def _in_the_way(answer: Answer) -> frozenset[object]:
    return frozenset(
        one.skill or (one.group and (one.group.at_least, one.group.of)) for one in answer.blockers
    )


def _smallest(
    undone: Undoing, happened: Sequence[str], what: str, target: object
) -> tuple[tuple[str, ...], ...]:
    """Return the sets of causes that bring back what was, and of which no part does.

    What happened may hide what else would have: with new notes undone windows end that, with them,
    never ended. Only where nothing that happened brings it back alone is that undone too.
    """
    hidden = frozenset(CAUSES) - frozenset(happened)
    for beside in (frozenset[str](), hidden):
        if found := tuple(_restoring(undone, happened, beside, what, target)):
            return found
    return ()


def _restoring(
    undone: Undoing, happened: Sequence[str], beside: frozenset[str], what: str, target: object
) -> Iterator[tuple[str, ...]]:
    """Yield the smallest sets that bring back what was with ``beside`` undone as well."""
    found: list[frozenset[str]] = []
    for size in range(1, len(happened) + 1):
        for causes in map(frozenset, combinations(happened, size)):
            if any(one <= causes for one in found):
                continue
            answer = undone.answer(causes | beside)
            if (answer.verdict if what == "verdict" else _in_the_way(answer)) == target:
                found.append(causes)
                yield tuple(cause for cause in happened if cause in causes)


class Undoing:
    """The answer of the later day, with some of what happened since undone."""

    def __init__(self, asked: Question, earlier: Answer) -> None:
        self.asked = asked
        self.earlier = earlier
        self.known_before = known_on(asked.before, fitting(asked.record, asked.before), asked.since)
        self.later = self.answer(frozenset())

    def answer(self, undone: frozenset[str]) -> Answer:
        """Return what would be said on the later day without these causes."""
        asked = self.asked
        course = self._course(undone)
        record = fitting(_cut(asked.record, asked.since, undone), course)
        known = self._known(known_on(course, record, asked.on), course, undone)
        answer = judge_known(
            _patient(course, asked.on - asked.since) if "window" in undone else course, record, known
        )
        return self._with_break(answer) if "break" in undone else answer

    def _course(self, undone: frozenset[str]) -> Course:
        """Return the skill graph and the numbers of one day or the other."""
        before, after = self.asked.before, self.asked.after
        graph = before if "graph" in undone else after
        numbers = before if "numbers" in undone else after
        whole = graph.entire or graph
        if graph is not numbers:
            other = numbers.entire or numbers
            whole = replace(whole, bands=other.bands, provenance=other.provenance)
        return replace(whole.on(self.asked.since if "dated" in undone else self.asked.on), entire=None)

    def _known(self, known: Known, course: Course, undone: frozenset[str]) -> Known:
        if "hold" in undone:
            known = replace(known, holds=self.known_before.holds)
        if "band" in undone and self.earlier.band in course.band:
            known = replace(known, chosen_band=self.earlier.band)
        if "unit" in undone:
            start = self.known_before
            unit = None if self.earlier.unit is None else course.plan.unit_index.get(self.earlier.unit)
            known = replace(known, unit=unit, unit_start=start.unit_start)
        return known

    def _with_break(self, answer: Answer) -> Answer:
        """Return the answer as on a day that is as far from a break as the earlier one."""
        if answer.verdict in ("paused", "not-placed"):
            return answer
        stays = self.earlier.away is not None and answer.underlying in READY
        return replace(answer, verdict="look-again" if stays else answer.underlying)

    def happened(self, cause: str) -> bool:
        """Return whether something of this kind lies between the two days."""
        return bool(facts_of(cause, self.facts_about(cause)))

    def facts_about(self, cause: str) -> Sides:
        """Return what the facts of a cause are read from: both days, and the later one without it."""
        return Sides(self.asked, self.earlier, self.later, self.answer(frozenset([cause])))


def _cut(record: Record, since: int, undone: frozenset[str]) -> Record:
    """Return a record without what came after a day; the days of lessons stay, for they are no notes."""
    if "notes" in undone:
        lessons = tuple(one if one.on <= since else Lesson(one.on, line=one.line) for one in record.lessons)
        record = replace(
            record, lessons=lessons, settled=tuple(one for one in record.settled if one.on <= since)
        )
    if "set-aside" in undone:
        record = replace(record, set_aside=tuple(one for one in record.set_aside if one.on <= since))
    return record


def _patient(course: Course, days: int) -> Course:
    """Return the course with windows so much longer that only what was due before is due."""
    bands = tuple(_with_windows(band, days) for band in course.bands)
    longer = replace(course, bands=bands)
    longer.__dict__["plan"] = course.plan
    return longer


def _with_windows(band: Band, days: int) -> Band:
    longer = replace(band)
    longer.__dict__["fresh_days"] = tuple(window + days for window in band.fresh_days)
    return longer
