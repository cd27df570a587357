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

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Final, TypeVar

from readiness.advice.timeline import Edit, Turn, course_on, fitting, followed_from, turns
from readiness.course.model import Band, Course, Provenance, Skill
from readiness.days import birthday
from readiness.judging.answer import Answer, Standing
from readiness.judging.engine import judge, judge_known
from readiness.judging.history import Known, known_on
from readiness.lazy import dataclass, differing
from readiness.record.model import BandChoice, Lesson, Record, SetAside, Settled, latest
from readiness.record.rhythm import NO_CALENDAR, Calendar
from readiness.terms import READY, State, Verdict

__all__ = [
    "CAUSES", "Beside", "Cause", "ChangeQuestion", "Changed", "Fact", "Sides", "Undoing", "facts_of",
    "why_changed",
]  # fmt: skip

# The facts behind a cause of change: which skill, which day, which number, whose.
#
# Each fact is one plain value; sentences are made of them elsewhere. An empty tuple says that
# nothing of that kind happened between the two days.

RULES: Final = (
    "days_needed.", "accepts.", "fresh_weeks.", "spread_days", "carry_limit", "break_weeks",
)  # fmt: skip
"""The rules a verdict can rest on; those that end in a dot are families."""

_READ: Final = ("unit", "kind", "fade", "always_look", "safety", "must_be_seen", "optional_in")
"""What else of a skill a verdict can rest on."""


@dataclass(frozen=True)
class Fact:
    """One fact. What is not known or does not apply is None or empty.

    Attributes:
        kind: a kebab-case id.
        skill: a skill's id; day: a day number.
        before, after: a state, a number, a unit, a band, a hold's part.
        rule: the name of a pacing rule; by: who.
        line: of the student's file, of the pacing file for a rule.
        was: where the skill would stand without the cause.
    """

    kind: str
    skill: str | None = None
    day: int | None = None
    before: object = None
    after: object = None
    rule: str = ""
    by: str = ""
    line: int = 0
    was: Standing | None = None


@dataclass(frozen=True)
class Sides:
    """The question, the answers of both days, and that of the later day without the cause."""

    asked: ChangeQuestion
    earlier: Answer
    later: Answer
    without: Answer


def facts_of(cause: str, sides: Sides) -> tuple[Fact, ...]:
    """Return the facts of one cause."""
    return tuple(_FACTS[cause](sides))


def _turned(sides: Sides) -> Iterator[tuple[str, Standing, Standing]]:
    """Yield what the answer names and has another state without the cause, as it stands then and now."""
    later, without = sides.later, sides.without.standings
    asked = {*later.deciding, *later.rest, *(one for group in later.groups for one in group.of)}
    asked |= {*later.look_first, *(one.skill for one in later.brought_along), later.one_thing or ""}
    for skill, there in later.standings.items():
        if skill in asked and skill in without and without[skill].state != there.state:
            yield skill, without[skill], there


def _notes(sides: Sides) -> Iterator[Fact]:
    for lesson in sides.asked.lately(sides.asked.record.lessons):
        if lesson.showings:
            yield Fact("lesson", day=lesson.on, by=lesson.by, line=lesson.line)
    for block in sides.asked.lately(sides.asked.record.settled):
        yield Fact("settled", day=block.on, after=block.through, line=block.line)
    for skill, was, there in _turned(sides):
        yield Fact("state", skill, there.last_seen, was.state, there.state, was=was)


def _unit(sides: Sides) -> Iterator[Fact]:
    if sides.earlier.unit != sides.later.unit:
        starts = (one for one in sides.asked.record.unit_starts if one.on <= sides.asked.on)
        last = latest(one for one in starts if one.unit == sides.later.unit)
        yield Fact(
            "unit-start",
            day=last.on if last else None,
            before=sides.earlier.unit,
            after=sides.later.unit,
            line=last.line if last else 0,
        )


def _set_aside(sides: Sides) -> Iterator[Fact]:
    for block in sides.asked.lately(sides.asked.record.set_aside):
        yield Fact("set-aside", block.skill, block.on, by=block.agreed_with, line=block.line)


def _window(sides: Sides) -> Iterator[Fact]:
    for skill, was, there in _turned(sides):
        if (was.state, there.state) == (State.SECURE, State.STALE):
            assert there.fresh_until is not None
            yield Fact("due", skill, there.fresh_until + 1, "secure", "stale")


def _band(sides: Sides) -> Iterator[Fact]:
    if sides.earlier.band == sides.later.band:
        return
    chosen, course = latest(sides.asked.lately(sides.asked.record.band_choices)), sides.asked.after
    begins = course.band[sides.later.band].from_age
    yield Fact(
        "band-choice" if chosen else "birthday",
        day=chosen.on if chosen else birthday(sides.asked.record.born, begins),
        before=sides.earlier.band,
        after=sides.later.band,
        line=chosen.line if chosen else 0,
    )
    if sides.earlier.band in course.band:
        old, new = course.band[sides.earlier.band], course.band[sides.later.band]
        yield from (replace(fact, by="") for fact in _numbers_between(course, old, new))
    for skill in course.skills:
        then, now = sides.earlier.band in skill.optional_in, sides.later.band in skill.optional_in
        if then != now:
            yield Fact("asked-for-now" if then else "optional-now", skill.id)


def _numbers_between(course: Course, then: Band, now: Band) -> Iterator[Fact]:
    """Yield the numbers of a verdict that two bands have differently; ``now`` is one of the course."""
    for rule, value in now.numbers.items():
        if rule.startswith(RULES) and then.numbers.get(rule) != value:
            origin = course.provenance.get((now.name, rule))
            line, by = (_line(origin), origin.changed_by) if origin else (0, "")
            yield Fact("number", None, None, then.numbers.get(rule), value, rule, by, line)


def _line(written: Provenance | Skill) -> int:
    return written.place.line if written.place else 0


def _break(sides: Sides) -> Iterator[Fact]:
    if (sides.earlier.away is None) != (sides.later.away is None):
        away = sides.later if sides.later.away else sides.earlier
        kind = "break-begun" if sides.later.away else "break-over"
        yield Fact(kind, day=sides.later.last_lesson, after=away.away_days)


def _hold(sides: Sides) -> Iterator[Fact]:
    for hold in sides.asked.record.holds:
        then, now = hold.is_open(sides.asked.since), hold.is_open(sides.asked.on)
        if now and not then:
            yield Fact("hold-opened", day=hold.opened, after=hold.part, line=hold.line)
        elif then and not now:
            yield Fact("hold-closed", day=hold.closed, before=hold.part, by=hold.closed_by, line=hold.line)


def _edited(asked: ChangeQuestion, facts: Iterable[Fact]) -> Iterator[Fact]:
    """Yield the edits of the course and what they changed, where they changed any of this."""
    if found := tuple(facts):
        for edit in asked.edits:
            if edit.by or edit.about or edit.day is not None:
                yield Fact("edit", day=edit.day, after=edit.about, by=edit.by)
        yield from found


def _graph_edits(then: Course, now: Course) -> Iterator[Fact]:
    """Yield what a skill graph has otherwise now, as far as a verdict can rest on it."""
    for skill in now.skills:
        old = then.skill.get(skill.id)
        if old is None:
            yield Fact("skill-new", skill.id, line=_line(skill))
        else:
            yield from _skill_edits(old, skill)
    for gone in then.skills:
        if gone.id not in now.skill:
            yield Fact("skill-gone", gone.id)
    if [unit.id for unit in then.units] != [unit.id for unit in now.units]:
        yield Fact("units-edited")


def _skill_edits(old: Skill, new: Skill) -> Iterator[Fact]:
    line = _line(new)
    for other in new.stands_on:
        if other not in old.stands_on:
            yield Fact("link-new", new.id, after=other, line=line)
    for other in old.stands_on:
        if other not in new.stands_on:
            yield Fact("link-gone", new.id, before=other, line=line)
    if old.stands_on_some != new.stands_on_some:
        yield Fact("groups-edited", new.id, line=line)
    for name, then, now in differing(old, new):
        if name in _READ:
            yield Fact("skill-edited", new.id, before=_plain(then), after=_plain(now), rule=name, line=line)


def _plain(value: object) -> object:
    """Return a list as one text, anything else as it is."""
    return ", ".join(value) if isinstance(value, tuple) else value


def _numbers(sides: Sides) -> Iterator[Fact]:
    then, now = sides.asked.before, sides.asked.after
    return _edited(sides.asked, (
        fact
        for band in now.bands
        if band.name in (sides.earlier.band, sides.later.band) and band.name in then.band
        for fact in _numbers_between(now, then.band[band.name], band)
    ))  # fmt: skip


def _dated(sides: Sides) -> Iterator[Fact]:
    for skill in sides.asked.after.skills:
        for kind, day in (("taught-from", skill.since), ("retired", skill.retired)):
            if day is not None and sides.asked.since < day <= sides.asked.on:
                yield Fact(kind, skill.id, day)


_FACTS: Final[dict[str, Callable[[Sides], Iterator[Fact]]]] = {
    "notes": _notes, "unit": _unit, "set-aside": _set_aside, "window": _window, "band": _band,
    "break": _break, "hold": _hold,
    "graph": lambda sides: _edited(sides.asked, _graph_edits(sides.asked.before, sides.asked.after)),
    "numbers": _numbers, "dated": _dated,
}  # fmt: skip


# The answer of a later day with some of what happened since an earlier day undone.
#
# One cause of a change at a time is taken back, or several: notes, a unit begun, something set
# aside, the end of windows, an age band, a break, a hold, an edit of the course. Which of them
# explain a change is decided at the end of this file.


_Dated = TypeVar("_Dated", Lesson, Settled, SetAside, BandChoice)


@dataclass(frozen=True)
class ChangeQuestion:
    """Between which days, by which courses.

    Attributes:
        record: the student's file.
        since, on: the earlier and the later day.
        before: the course as it was on ``since``.
        edits: what was done to it since, oldest first; each with the course as it was then.
        calendar: planned lessons, rhythm and holidays: a fortnightly lesson makes a longer break.
    """

    record: Record
    since: int
    on: int
    before: Course
    edits: tuple[Edit, ...] = ()
    calendar: Calendar = NO_CALENDAR

    @property
    def after(self) -> Course:
        """The course on the later day."""
        return course_on(self.before, self.edits, self.on)

    def lately(self, entries: Iterable[_Dated]) -> list[_Dated]:
        """Return the entries that came after the earlier day, up to the later one."""
        return [one for one in entries if self.since < one.on <= self.on]


class Undoing:
    """The answer of the later day, with some of what happened since undone."""

    def __init__(self, asked: ChangeQuestion, earlier: Answer) -> None:
        self.asked = asked
        self.earlier = earlier
        self.known_before = known_on(
            asked.before, fitting(asked.record, asked.before), asked.since, asked.calendar
        )
        self.later = self.answer(frozenset())

    def answer(self, undone: frozenset[str]) -> Answer:
        """Return what would be said on the later day without these causes."""
        asked = self.asked
        course = self._course(undone)
        record = fitting(_cut(asked.record, asked.since, undone), course)
        known = self._known(known_on(course, record, asked.on, asked.calendar), course, undone)
        if "window" in undone:  # windows so much longer that only what was due before is due
            days = asked.on - asked.since
            course = replace(course, bands=tuple(replace(one, longer_days=days) for one in course.bands))
        answer = judge_known(course, record, known)
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
            known = replace(known, holds=self.known_before.holds, paused=self.known_before.paused)
        if "band" in undone and self.earlier.band in course.band:
            known = replace(known, chosen_band=self.earlier.band)
        if "unit" in undone:
            start = self.known_before
            unit = None if self.earlier.unit is None else course.plan.unit_index.get(self.earlier.unit)
            known = replace(known, unit=unit, unit_start=start.unit_start)
        return known

    def _with_break(self, answer: Answer) -> Answer:
        """Return the answer as on a day that is as far from a break as the earlier one."""
        if answer.verdict in (Verdict.PAUSED, Verdict.NOT_PLACED):
            return answer
        stays = (self.earlier.away or answer.after_hold) and answer.underlying in READY
        return replace(answer, verdict=Verdict.LOOK_AGAIN if stays else answer.underlying)

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
    if State.SET_ASIDE in undone:
        record = replace(record, set_aside=tuple(one for one in record.set_aside if one.on <= since))
    return record


CAUSES: Final = tuple(_FACTS)
"""Everything a verdict rests on, each thing once."""


@dataclass(frozen=True)
class Cause:
    """One thing without which the verdict would be another one; ``alone`` undoes the change by itself."""

    id: str
    alone: bool
    facts: tuple[Fact, ...]


@dataclass(frozen=True)
class Beside:
    """Something else that made a difference: undone alone, it gives another answer than either day's.

    ``answer`` is what would be said on the later day without it.
    """

    id: str
    answer: Answer


@dataclass(frozen=True)
class Changed:
    """What changed, when and why.

    Attributes:
        earlier, later: the answers of the two days.
        turns: the days in between on which the verdict became another one; looked for from
            ``followed_from`` to ``followed_to``: the two days, but where too many were to be asked about.
        asked: verdict, or in-the-way where only what is in the way differs, or nothing.
        restoring: the smallest sets of causes whose undoing brings the earlier state back.
        causes: all that are in such a set.
        beside: what is in none of them, and without which the later answer would be another one too.
        without_effect: what happened too, and without which the later answer would be the same.
    """

    earlier: Answer
    later: Answer
    turns: tuple[Turn, ...]
    followed_from: int
    followed_to: int
    asked: str
    restoring: tuple[tuple[str, ...], ...]
    causes: tuple[Cause, ...]
    beside: tuple[Beside, ...]
    without_effect: tuple[str, ...]


def why_changed(asked: ChangeQuestion) -> Changed:
    """Return why the answer of the later day differs from that of the earlier one."""
    earlier = judge(asked.before, fitting(asked.record, asked.before), asked.since, asked.calendar)
    undone = Undoing(asked, earlier)
    later = undone.later
    what, target = _target(earlier, later)
    facts = {cause: facts_of(cause, undone.facts_about(cause)) for cause in CAUSES}
    happened = tuple(cause for cause in CAUSES if facts[cause])
    restoring = _smallest(undone, happened, what, target) if what != "nothing" else ()
    named = {cause for one in restoring for cause in one}
    beside = tuple(_beside(undone, [cause for cause in happened if cause not in named]))
    told = named | {one.id for one in beside}
    start = followed_from(asked.record, asked.since, asked.on)
    turned, end = turns(asked.record, asked.before, asked.edits, start, asked.on, asked.calendar)
    return Changed(
        earlier,
        later,
        turned,
        start,
        end,
        what,
        restoring,
        tuple(Cause(one, (one,) in restoring, facts[one]) for one in happened if one in named),
        beside,
        tuple(cause for cause in happened if cause not in told),
    )


def _beside(undone: Undoing, causes: Sequence[str]) -> Iterator[Beside]:
    """Yield those of the causes that change the later answer when they alone are undone."""
    later = undone.later
    for cause in causes:
        answer = undone.answer(frozenset([cause]))
        if (answer.verdict, _in_the_way(answer)) != (later.verdict, _in_the_way(later)):
            yield Beside(cause, answer)


def _target(earlier: Answer, later: Answer) -> tuple[str, object]:
    """Return what is asked about, and what it was."""
    if earlier.verdict != later.verdict:
        return "verdict", earlier.verdict
    if _in_the_way(earlier) != _in_the_way(later):
        return "in-the-way", _in_the_way(earlier)
    return "nothing", None


def _in_the_way(answer: Answer) -> frozenset[object]:
    return frozenset(one.key for one in answer.blockers)


def _smallest(
    undone: Undoing, happened: Sequence[str], what: str, target: object
) -> tuple[tuple[str, ...], ...]:
    """Return the sets of causes that bring back what was, and of which no part does.

    What happened may hide what else would have: with new notes undone windows end that, with them,
    never ended. Only where nothing that happened brings it back alone is that undone too.
    """
    for beside in (frozenset[str](), frozenset(CAUSES) - frozenset(happened)):
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
