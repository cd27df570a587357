"""What an edit of the course is, in words, and what is different between two courses.

A refused edit has no words about students, because nobody is judged by a course that is
refused; who changes by one that is not is told in ``words.editing``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from pathlib import Path
from typing import Final

from readiness.advice.answer_changes import Reason, StudentChange
from readiness.advice.placing.round import PlacingRound
from readiness.course.model import Course
from readiness.editing.compare import TEXTS, Comparison, Difference
from readiness.editing.edits import Add, Drop, Edit, Move, Retire, Set
from readiness.judging.answer import Answer, PlacingResult, Standing
from readiness.terms import State
from readiness.words.brief import called, namesakes, verdict_brief
from readiness.words.grammar import HELP_WORDS, STATE_WORDS, counted, date_words, listed, quoted, tidy, wrap
from readiness.words.layout import Paragraph, Section, item, lay_out, under
from readiness.words.school_rows import who

__all__ = [
    "comparison_counts", "comparison_reasons", "comparison_sections", "comparison_words",
    "difference_section", "edit_words", "lost_words", "refusal_words", "skill_words", "value_words",
    "watching_words",
]  # fmt: skip

DIFFERENCES_AT_MOST: Final = 40


def edit_words(edit: Edit, course: Course | None) -> str:
    """Return one edit as a clause."""
    if isinstance(edit, Add):
        return f"{skill_words(course, edit.skill)} also builds on {skill_words(course, edit.before)}"
    if isinstance(edit, Drop):
        return f"{skill_words(course, edit.skill)} no longer builds on {skill_words(course, edit.before)}"
    if isinstance(edit, Move):
        unit = course.unit.get(edit.unit) if course else None
        place = f"unit {unit.number}, {tidy(unit.name)}" if unit else edit.unit
        return f"{skill_words(course, edit.skill)} is taught in {place}"
    if isinstance(edit, Retire):
        heirs = listed([skill_words(course, name) for name in edit.into])
        words = f"{skill_words(course, edit.skill)} is retired from {date_words(edit.day)} on"
        return f"{words}; {heirs} {'takes' if len(edit.into) == 1 else 'take'} its place" if heirs else words
    assert isinstance(edit, Set)
    return f"{'.'.join(edit.path)} is {value_words(edit.value)}{_was(edit, course)}"


def _was(edit: Set, course: Course | None) -> str:
    if course is None or edit.path[0] != "band" or edit.path[1] not in course.band:
        return ""
    now = course.band[edit.path[1]].numbers.get(".".join(edit.path[2:]))
    return "" if now is None else f"; now {value_words(now)}"


def value_words(value: object) -> str:
    """Return a value as the file has it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(map(value_words, value))}]"
    return tidy(str(value))


def skill_words(course: Course | None, skill: str) -> str:
    """Return a skill's name with its id; the id alone where there is no such skill."""
    known = course.skill.get(skill) if course else None
    return f"{quoted(known.name)} ({skill})" if known and known.name != skill else f'"{skill}"'


def watching_words(folder: Path, students: int) -> str:
    """Return that watching starts, and how it ends."""
    return (
        f"Watching {folder} with {counted(students, 'student')}. "
        "Save the course to see what changes. Ctrl-C ends it."
    )


def refusal_words(errors: int, warnings: int) -> str:
    """Return the last line for a course that is refused."""
    more = f" (and {counted(warnings, 'warning')})" if warnings else ""
    return f"Refused for {counted(errors, 'error')}{more}. Nothing was changed.\n"


def lost_words(count: int, width: int = 80) -> str:
    """Return that files name something the new course does not have, and the way out."""
    files = "1 student's file names" if count == 1 else f"{count} students' files name"
    words = (
        f"{files} something that is no longer in this course. Retire a skill, never delete it: put its table "
        "back with a line such as retired = 2026-09-01."
    )
    return "\n".join(wrap(words, width))


def difference_section(found: Sequence[Difference], old: Course, new: Course) -> Section:
    """Return what is different between two courses, a long list cut."""
    lines = [item(f"{_difference(one, old, new)}{_where(one)}.") for one in found[:DIFFERENCES_AT_MOST]]
    if len(found) > DIFFERENCES_AT_MOST:
        lines.append(item(f"{len(found) - DIFFERENCES_AT_MOST} more; --json lists all."))
    return Section(f"Different in the course: {counted(len(found), 'thing')}", tuple(lines))


def _where(difference: Difference) -> str:
    if difference.place is None:
        return ""
    before = "before: " if difference.new is None else ""
    return f" ({before}{difference.place.file.name}:{difference.place.line})"


def _difference(one: Difference, old: Course, new: Course) -> str:
    course = new if one.subject in new.skill else old
    about = skill_words(course, one.subject)
    unit = _unit_words(new if one.subject in new.unit else old, one.subject)
    values = f"{value_words(one.old)} > {value_words(one.new)}"
    words = {
        "unit-added": f"new {unit}",
        "unit-gone": f"{unit} is gone",
        "unit-changed": f"{unit}: {one.what} {values}",
        "units-in-another-order": f"the units come in another order, from {unit} on",
        "skill-added": f"new skill {about}",
        "skill-gone": f"{about} is gone",
        "skill-renamed": _renamed(one, new),
        "skill-moved": f"{about} is taught in {_unit_words(new, one.new)}, "
        f"before in {_unit_words(old, one.old)}",
        "link-added": f"{about} also builds on {skill_words(new, one.what)}",
        "link-dropped": f"{about} no longer builds on {skill_words(old, one.what)}",
        "groups-changed": f"{about}: its groups have changed",
        "band-added": f"new age {one.subject}",
        "band-gone": f"age {one.subject} is gone",
        "number-changed": f"{one.what} at age {one.subject}: {values}",
    }
    if one.id != "skill-changed":
        return words[one.id]
    if one.what in TEXTS:
        return f"{about}: the text of {one.what} has changed"
    if one.what == "retired" and one.new is not None:
        return f"{about} is retired from {one.new} on"
    return f"{about}: {one.what} {values}"


def _renamed(one: Difference, new: Course) -> str:
    """Return that a skill has another name, with its notes or without them."""
    was, now = f"{quoted(str(one.old))} ({one.what})", skill_words(new, one.subject)
    if one.what in new.skill:
        return f"{was} is now {now}, and its notes count for it"
    return (
        f"{was} is now {now}, and notes under the old id are not found: put its table back with "
        f'retired = and replaced_by = ["{one.subject}"]'
    )


def _unit_words(course: Course, unit: object) -> str:
    known = course.unit.get(str(unit))
    return f"unit {known.number}, {tidy(known.name)}" if known else str(unit)


# Who changes by another course, and why: first in short, then one line a reason, in order of name.
#
# Each student stands alone; nobody is compared with anybody. What the edit itself is, and what a
# refused one is told, is said in ``words.editing``.

MANY: Final = 3
"""From so many students on, how many change in which way is told first."""
NAMES_AT_MOST: Final = 40
REASONS_SHORT: Final = 3
"""So many reasons a student are told at first."""
SKILLS_AT_MOST: Final = 2
"""So many skills are named in a sentence; more are counted."""


def comparison_words(
    found: Comparison, old: Course, new: Course, head: Sequence[Section] = (), width: int = 80,
    *, full: bool = True,
) -> str:
    """Return who changes, whose advice changes, and who does not; ``head`` is said before it."""
    return lay_out((*head, *comparison_sections(found, old, new)), width, full=full)


def comparison_sections(found: Comparison, old: Course, new: Course) -> Iterator[Section]:
    """Yield who changes, whose advice changes, and who does not."""
    every = len(found.changed) + len(found.advised) + len(found.unchanged)
    if not every:
        yield Section("", (Paragraph("There are no students to ask about."),))
        return
    answers = [one.after for one in (*found.changed, *found.advised)] + list(found.unchanged)
    on, say = date_words(found.on), _Say(old, new, found.on, namesakes(one.name for one in answers))
    yield replace(comparison_counts(found), more=len(found.changed) < MANY)
    if found.changed:
        title = f"Who changes on {on}: {len(found.changed)} of {counted(every, 'student')}"
        yield Section(title, tuple(p for change in found.changed for p in _student(say, change)))
    else:
        yield Section("", (Paragraph(f"Nobody's answer changes on {on}, of {counted(every, 'student')}."),))
    yield Section("Same answer, other advice", tuple(p for one in found.advised for p in _student(say, one)))
    names = [say.who(answer) for answer in found.unchanged]
    rest = [f"{len(names) - NAMES_AT_MOST} more"] if len(names) > NAMES_AT_MOST + 1 else []
    names = names[:NAMES_AT_MOST] if rest else names
    yield Section("Unchanged", (Paragraph(f"{listed([*names, *rest])}."),) if names else ())


def comparison_counts(found: Comparison) -> Section:
    """Return who changes in numbers alone, for readers who are not to know of whom it is said."""
    return Section(f"In short, on {date_words(found.on)}", tuple(map(item, _in_short(found))))


def _in_short(found: Comparison) -> Iterator[str]:
    """Yield how many students go from which verdict to which, and how many have only other advice."""
    turns = Counter((verdict_brief(one.before), verdict_brief(one.after)) for one in found.changed)
    stays = {turn: count for turn, count in turns.items() if turn[0] == turn[1]}
    for turn, count in turns.most_common():
        if turn not in stays:
            yield f"{counted(count, 'student')}: was {turn[0]}, now {turn[1]}."
    for (was, _), count in stays.items():
        yield f"{counted(count, 'student')}: {was} as before, for another reason."
    if found.advised:
        yield f"{counted(len(found.advised), 'student')}: the same answer, other advice."
    if found.unchanged:
        yield f"{counted(len(found.unchanged), 'student')}: nothing changes."


def comparison_reasons(change: StudentChange, course: Course) -> tuple[str, ...]:
    """Return the reasons of one change by one and the same course, each as a clause."""
    say = _Say(course, course, change.after.on)
    return tuple(say.reason(one, change) for one in change.reasons)


def _student(say: _Say, change: StudentChange) -> Iterator[Paragraph]:
    was, now = (verdict_brief(answer) for answer in (change.before, change.after))
    verdict = f"{was}, as before" if was == now else f"was {was}, now {now}"
    yield item(f"{say.who(change.after)}: {verdict}.")
    for at, one in enumerate(change.reasons):
        yield replace(under(f"{say.reason(one, change)}."), more=at >= REASONS_SHORT)


class _Say:
    """The words for one reason; names are those of the new course, else of the old one."""

    def __init__(self, old: Course, new: Course, on: int, shared: AbstractSet[str] = frozenset()) -> None:
        self.old, self.new, self.on, self.shared = old, new, on, shared

    def who(self, answer: Answer) -> str:
        """Return whom an answer is about; with the id where the name alone would not say it."""
        told = who(answer.name, answer.student)
        return called(answer.name, answer.student, self.shared) if told == tidy(answer.name) else told

    def reason(self, one: Reason, change: StudentChange) -> str:
        return str(getattr(self, f"_{one.id.replace('-', '_')}")(one, change))

    def skill(self, skill: str | None) -> str:
        return skill_words(self.new if skill in self.new.skill else self.old, skill or "")

    def skills(self, skills: Iterable[object]) -> str:
        words = [self.skill(str(skill)) for skill in skills]
        more = [f"{len(words) - SKILLS_AT_MOST} more"] if len(words) > SKILLS_AT_MOST + 1 else []
        return listed([*(words[:SKILLS_AT_MOST] if more else words), *more]) or "nothing"

    def what(self, one: Reason) -> str:
        return (
            self.skill(one.skill) if one.skill else f"at least {one.at_least} of {self.skills(one.members)}"
        )

    def _new_blocker(self, one: Reason, change: StudentChange) -> str:
        state = f": {_state_words(one.standing, self.on)}" if one.standing else ""
        return f"still needed now: {self.what(one)}{state}{self._because(one, change.after)}"

    def _because(self, one: Reason, after: Answer) -> str:
        """Return the skills of the next unit that now build on it."""
        named = [b.needed_by for b in after.blockers if one.skill and b.skill == one.skill]
        return f"; needed for {self.skills(named[0])}" if named and named[0] else ""

    def _dropped_blocker(self, one: Reason, change: StudentChange) -> str:
        if one.skill and one.skill not in self.new.skill:
            return f"no longer needed: {self.what(one)}, which has left the course"
        if one.skill and one.skill in self.new.on(self.on).gone:
            return f"no longer needed: {self.what(one)}, which is retired"
        if one.new == State.SECURE:
            return f"no longer in the way: {self.what(one)}, now secure"
        if one.skill in change.after.rest:
            return f"may be finished later: {self.what(one)}"
        return f"not needed now: {self.what(one)}"

    def _other_state(self, one: Reason, _: StudentChange) -> str:
        now = _state_words(one.standing, self.on) if one.standing else str(one.new)
        return f"{self.skill(one.skill)}: {STATE_WORDS.get(str(one.old), one.old)} > {now}"

    def _too_many_open(self, one: Reason, _: StudentChange) -> str:
        return (
            f"unfinished: {len(one.members)}, of which {one.new} may be finished later: "
            f"{self.skills(one.members)}"
        )

    def _few_enough_open(self, one: Reason, _: StudentChange) -> str:
        return f"no longer too much unfinished: {len(one.members)}, and {one.new} may be finished later"

    def _comes_along(self, one: Reason, _: StudentChange) -> str:
        return f"to finish on the way: {self.skill(one.skill)}"

    def _comes_along_no_more(self, one: Reason, _: StudentChange) -> str:
        return f"no longer to finish on the way: {self.skill(one.skill)}"

    def _number_changed(self, one: Reason, change: StudentChange) -> str:
        origin = self.new.provenance.get((change.after.band, one.rule))
        where = f" ({origin.place.file.name}:{origin.place.line})" if origin and origin.place else ""
        numbers = f"{value_words(one.old)} > {value_words(one.new)}"
        return f"{one.rule} at age {change.after.band}: {numbers}{where}"

    def _other_band(self, one: Reason, _: StudentChange) -> str:
        return f"the rules of age {one.new}, before those of age {one.old}"

    def _other_next_unit(self, one: Reason, _: StudentChange) -> str:
        return f"the next unit is {self.unit(one.new)}, before it was {self.unit(one.old)}"

    def unit(self, unit: object) -> str:
        known = self.new.unit.get(str(unit)) or self.old.unit.get(str(unit))
        return f"unit {known.number}, {tidy(known.name)}" if known else "none: this is the last one"

    def _other_start(self, _: Reason, change: StudentChange) -> str:
        was, now = change.starts
        if was is None or now is None:
            return "where to start is asked again"
        if was.start != now.start:
            return f"start in {self.unit(now.start)}, before in {self.unit(was.start)}"
        if (was.fits[0], was.fits[-1]) != (now.fits[0], now.fits[-1]):
            return f"start as before; {self.between(now)}, before {self.between(was)}"
        if was.patches != now.patches:
            return f"to learn on the way: {self.skills(now.patches)}, before: {self.skills(was.patches)}"
        return self._start_by_rule(was.result, now.result)

    def between(self, now: PlacingRound) -> str:
        return f"perhaps from {self.unit(now.fits[0])} to {self.unit(now.fits[-1])}"

    def _start_by_rule(self, was: PlacingResult, now: PlacingResult) -> str:
        if was.start_unit != now.start_unit:
            units = self.unit(now.start_unit), self.unit(was.start_unit)
            return f"start as before; what was seen is enough for {units[0]}, before for {units[1]}"
        if was.patches != now.patches:
            return f"still missing: {self.skills(now.patches)}, before: {self.skills(was.patches)}"
        if was.stopped_by != now.stopped_by:
            return f"it also needs {self.skills(now.stopped_by)}, before: {self.skills(was.stopped_by)}"
        return f"look at in any case: {self.skills(now.always_look_open)}"

    def _other_one_thing(self, one: Reason, _: StudentChange) -> str:
        return f"start here: {self._one(one.new)}, before: {self._one(one.old)}"

    def _one(self, skill: object) -> str:
        return "none" if skill is None else self.skill(str(skill))

    def _other_looks(self, one: Reason, _: StudentChange) -> str:
        assert isinstance(one.new, tuple)
        return f"look first at {self.skills(one.new)}"

    def _other_earliest(self, one: Reason, _: StudentChange) -> str:
        return f"ready at the earliest: {_day(one.new)}, before: {_day(one.old)}"

    def _other_holds_until(self, one: Reason, _: StudentChange) -> str:
        return f"with nothing new noted, stands until {_day(one.new)}, before: {_day(one.old)}"


def _day(day: object) -> str:
    return date_words(day) if isinstance(day, int) else "no date"


def _state_words(standing: Standing, on: int) -> str:
    """Return a state with the facts that make it so: "not seen lately (last seen 26 August)"."""
    facts = _facts(standing, on)
    return f"{STATE_WORDS[standing.state]}{f' ({facts})' if facts else ''}"


def _facts(one: Standing, on: int) -> str:
    if one.state == State.STALE and one.last_seen is not None and one.fresh_until is not None:
        settled = one.last_seen == one.settled_on
        seen = f"{'noted as secure' if settled else 'last seen'} {date_words(one.last_seen, on)}"
        weeks, often = ((day - one.last_seen) // 7 for day in (on, one.fresh_until))
        return f"{seen}, {counted(weeks, 'week')} ago, look every {often}"
    if one.state == State.BUILDING:
        return f"{one.have} of {counted(one.need, 'day')}"
    if one.last_note is not None and one.last_help is not None and one.state != State.SECURE:
        return f"last {HELP_WORDS[one.last_help]}, {date_words(one.last_note, on)}"
    return ""
