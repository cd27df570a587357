"""The facts behind a cause of change: which skill, which day, which number, whose.

Each fact is one plain value; sentences are made of them elsewhere. An empty tuple says that
nothing of that kind happened between the two days.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from readiness.course.model import Band, Course, Skill
from readiness.days import birthday
from readiness.judging.answer import Answer
from readiness.record.model import Hold
from readiness.record.seen import latest

if TYPE_CHECKING:
    from readiness.planning.undoing import Question

__all__ = ["Fact", "Sides", "facts_of"]

RULES: Final = (
    "days_needed.", "accepts.", "fresh_weeks.", "spread_days", "carry_limit", "break_weeks",
)  # fmt: skip
"""The rules a verdict can rest on; those that end in a dot are families."""

_READ: Final = ("unit", "kind", "fade", "always_look", "safety", "must_be_seen", "optional_in")
"""What else of a skill a verdict can rest on."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact. What is not known or does not apply is None or empty.

    Attributes:
        kind: a kebab-case id.
        skill: a skill's id; day: a day number.
        before, after: a state, a number, a unit, a band, a hold's part.
        rule: the name of a pacing rule; by: who.
        line: of the student's file, of the pacing file for a rule.
    """

    kind: str
    skill: str | None = None
    day: int | None = None
    before: object = None
    after: object = None
    rule: str = ""
    by: str = ""
    line: int = 0


@dataclass(frozen=True)
class Sides:
    """The question, the answers of both days, and that of the later day without the cause."""

    asked: Question
    earlier: Answer
    later: Answer
    without: Answer


def facts_of(cause: str, sides: Sides) -> tuple[Fact, ...]:
    """Return the facts of one cause."""
    return tuple(_FACTS[cause](sides))


def _states(kind: str, later: Answer, without: Answer) -> Iterator[Fact]:
    """Yield what decides, or is of the unit, and has another state without the cause."""
    asked = _asked_for(later)
    for skill in later.standings:
        there, not_there = later.standings[skill], without.standings.get(skill)
        if skill in asked and not_there is not None and there.state != not_there.state:
            yield Fact(kind, skill, there.last_seen, not_there.state, there.state)


def _asked_for(answer: Answer) -> frozenset[str]:
    """Return what decides, is of the unit, or is in a group that decides."""
    return frozenset((*answer.deciding, *answer.rest, *(m for group in answer.groups for m in group.of)))


def _notes(sides: Sides) -> Iterator[Fact]:
    for lesson in sides.asked.record.lessons:
        if sides.asked.since < lesson.on <= sides.asked.on and lesson.showings:
            yield Fact("lesson", day=lesson.on, by=lesson.by, line=lesson.line)
    for block in sides.asked.record.settled:
        if sides.asked.since < block.on <= sides.asked.on:
            yield Fact("settled", day=block.on, after=block.through, line=block.line)
    yield from _states("state", sides.later, sides.without)


def _unit(sides: Sides) -> Iterator[Fact]:
    if sides.earlier.unit != sides.later.unit:
        begun = [one for one in sides.asked.record.unit_starts if one.on <= sides.asked.on]
        mine = [one for one in begun if one.unit == sides.later.unit]
        last = latest(mine)
        yield Fact(
            "unit-start",
            day=last.on if last else None,
            before=sides.earlier.unit,
            after=sides.later.unit,
            line=last.line if last else 0,
        )


def _set_aside(sides: Sides) -> Iterator[Fact]:
    for block in sides.asked.record.set_aside:
        if sides.asked.since < block.on <= sides.asked.on:
            yield Fact("set-aside", block.skill, block.on, by=block.agreed_with, line=block.line)


def _window(sides: Sides) -> Iterator[Fact]:
    asked_for = _asked_for(sides.later)
    for skill, there in sides.later.standings.items():
        was = sides.without.standings.get(skill)
        if skill in asked_for and was is not None and (was.state, there.state) == ("secure", "stale"):
            assert there.fresh_until is not None
            yield Fact("due", skill, there.fresh_until + 1, "secure", "stale")


def _band(sides: Sides) -> Iterator[Fact]:
    if sides.earlier.band == sides.later.band:
        return
    choices = [one for one in sides.asked.record.band_choices if sides.asked.since < one.on <= sides.asked.on]
    chosen = latest(choices)
    yield Fact(
        "band-choice" if chosen else "birthday",
        day=chosen.on if chosen else birthday(sides.asked.record.born, _begins(sides)),
        before=sides.earlier.band,
        after=sides.later.band,
        line=chosen.line if chosen else 0,
    )
    course = sides.asked.after
    if sides.earlier.band in course.band:
        yield from _numbers_between(course, course.band[sides.earlier.band], course.band[sides.later.band])
    for skill in course.skills:
        then, now = sides.earlier.band in skill.optional_in, sides.later.band in skill.optional_in
        if then != now:
            yield Fact("asked-for-now" if then else "optional-now", skill.id)


def _begins(sides: Sides) -> int:
    """Return the age at which the later band begins."""
    return sides.asked.after.band[sides.later.band].from_age


def _numbers_between(course: Course, then: Band, now: Band) -> Iterator[Fact]:
    """Yield the numbers of a verdict that two bands have differently."""
    for rule, value in now.numbers.items():
        if rule.startswith(RULES) and then.numbers.get(rule) != value:
            origin = course.provenance.get((now.name, rule))
            line = origin.place.line if origin and origin.place else 0
            yield Fact("number", rule=rule, before=then.numbers.get(rule), after=value, line=line)


def _break(sides: Sides) -> Iterator[Fact]:
    if (sides.earlier.away is None) != (sides.later.away is None):
        away = sides.later if sides.later.away else sides.earlier
        kind = "break-begun" if sides.later.away else "break-over"
        yield Fact(kind, day=sides.later.last_lesson, after=away.away_days)


def _hold(sides: Sides) -> Iterator[Fact]:
    for hold in sides.asked.record.holds:
        then, now = hold.is_open(sides.asked.since), hold.is_open(sides.asked.on)
        if then != now:
            yield _hold_fact(hold, now)


def _hold_fact(hold: Hold, is_open: bool) -> Fact:
    if is_open:
        return Fact("hold-opened", day=hold.opened, after=hold.part, line=hold.line)
    return Fact("hold-closed", day=hold.closed, before=hold.part, by=hold.closed_by, line=hold.line)


def _graph(sides: Sides) -> Iterator[Fact]:
    then, now = sides.asked.before, sides.asked.after
    edited = tuple(_graph_edits(then, now))
    if edited:
        yield from _edits(sides.asked)
        yield from edited


def _edits(asked: Question) -> Iterator[Fact]:
    for edit in asked.edits:
        if edit.by or edit.about or edit.day is not None:
            yield Fact("edit", day=edit.day, after=edit.about, by=edit.by)


def _graph_edits(then: Course, now: Course) -> Iterator[Fact]:
    """Yield what a skill graph has otherwise now, as far as a verdict can rest on it."""
    for skill in now.skills:
        old = then.skill.get(skill.id)
        if old is None:
            yield Fact("skill-new", skill.id, line=skill.place.line if skill.place else 0)
        else:
            yield from _skill_edits(old, skill)
    for gone in then.skills:
        if gone.id not in now.skill:
            yield Fact("skill-gone", gone.id)
    if [unit.id for unit in then.units] != [unit.id for unit in now.units]:
        yield Fact("units-edited")


def _skill_edits(old: Skill, new: Skill) -> Iterator[Fact]:
    line = new.place.line if new.place else 0
    for other in new.stands_on:
        if other not in old.stands_on:
            yield Fact("link-new", new.id, after=other, line=line)
    for other in old.stands_on:
        if other not in new.stands_on:
            yield Fact("link-gone", new.id, before=other, line=line)
    if old.stands_on_some != new.stands_on_some:
        yield Fact("groups-edited", new.id, line=line)
    for name in _READ:
        then, now = getattr(old, name), getattr(new, name)
        if then != now:
            yield Fact("skill-edited", new.id, before=_plain(then), after=_plain(now), rule=name, line=line)


def _plain(value: object) -> object:
    """Return a list as one text, anything else as it is."""
    return ", ".join(value) if isinstance(value, tuple) else value


def _numbers(sides: Sides) -> Iterator[Fact]:
    then, now = sides.asked.before, sides.asked.after
    changed = []
    for band in now.bands:
        old = then.band.get(band.name)
        for rule, value in band.numbers.items():
            if old is None or not rule.startswith(RULES) or old.numbers.get(rule) == value:
                continue
            origin = now.provenance.get((band.name, rule))
            line = origin.place.line if origin and origin.place else 0
            by = origin.changed_by if origin else ""
            changed.append(
                (band.name, Fact("number", None, None, old.numbers.get(rule), value, rule, by, line))
            )
    mine = [fact for name, fact in changed if name in (sides.earlier.band, sides.later.band)]
    if mine:
        yield from _edits(sides.asked)
        yield from mine


def _dated(sides: Sides) -> Iterator[Fact]:
    for skill in sides.asked.after.skills:
        if skill.since is not None and sides.asked.since < skill.since <= sides.asked.on:
            yield Fact("taught-from", skill.id, skill.since)
        if skill.retired is not None and sides.asked.since < skill.retired <= sides.asked.on:
            yield Fact("retired", skill.id, skill.retired)


_FACTS: Final[dict[str, Callable[[Sides], Iterator[Fact]]]] = {
    "notes": _notes, "unit": _unit, "set-aside": _set_aside, "window": _window, "band": _band,
    "break": _break, "hold": _hold, "graph": _graph, "numbers": _numbers, "dated": _dated,
}  # fmt: skip
