"""What an edit of the course is, in words, and what is different between two courses.

A refused edit has no words about students, because nobody is judged by a course that is
refused; who changes by one that is not is told below.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from readiness.advice.answer_changes import Reason, StudentChange
from readiness.advice.placing_round import PlacingRound
from readiness.course.model import Course
from readiness.editing.compare import TEXTS, Comparison, Difference
from readiness.judging.answer import Answer, Standing
from readiness.terms import State
from readiness.toml.problems import Problem, errors
from readiness.words.english import HELP_WORDS, STATE_WORDS, called, namesakes, needed_of, verdict_brief, who
from readiness.words.grammar import counted, date_words, few_of, listed, quoted, tidy, unit_words, written
from readiness.words.layout import Heading, Page, Paragraph, Section, bullets, item, plain, under

if TYPE_CHECKING:
    from readiness.editing.edits import Edit

__all__ = [
    "comparison_counts", "comparison_reasons", "comparison_sections", "difference_section", "edit_words",
    "lost_words", "refusal_words", "skill_words", "value_words", "watching_words",
]  # fmt: skip

DIFFERENCES_AT_MOST: Final = 40


def edit_words(edit: Edit, course: Course | None) -> str:
    """Return one edit as a clause."""
    from readiness.editing.edits import Add, Drop, Move, Retire, Set  # here: an answer has no need of models

    if isinstance(edit, Add):
        return f"{skill_words(course, edit.skill)} also builds on {skill_words(course, edit.before)}"
    if isinstance(edit, Drop):
        return f"{skill_words(course, edit.skill)} no longer builds on {skill_words(course, edit.before)}"
    if isinstance(edit, Move):
        place = unit_words(course, edit.unit) if course else edit.unit
        return f"{skill_words(course, edit.skill)} is taught in {place}"
    if isinstance(edit, Retire):
        heirs = listed([skill_words(course, name) for name in edit.into])
        words = f"{skill_words(course, edit.skill)} is retired from {date_words(edit.day)} on"
        return f"{words}; {heirs} {'takes' if len(edit.into) == 1 else 'take'} its place" if heirs else words
    assert isinstance(edit, Set)
    if edit.path[0] == "skill" and edit.path[2:] == ("name",):
        return f"{skill_words(course, edit.path[1])} is called {quoted(str(edit.value))}"
    where, rule, *part = edit.path
    is_number = course is not None and where == "band" and rule in course.band
    now = course.band[rule].numbers.get(".".join(part)) if course and is_number else None
    was = "" if now is None else f"; now {value_words(now)}"
    return f"{'.'.join(edit.path)} is {value_words(edit.value)}{was}"


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
    who = counted(students, "student")
    return f"Watching {folder} with {who}. Save the course to see what changes. Ctrl-C ends it."


def refusal_words(problems: Sequence[Problem]) -> str:
    """Return the last line for a course that is refused."""
    wrong = len(errors(problems))
    warnings = f" (and {counted(len(problems) - wrong, 'warning')})" if len(problems) > wrong else ""
    return f"Refused for {counted(wrong, 'error')}{warnings}. Nothing was changed.\n"


def lost_words(count: int) -> str:
    """Return that files name something the new course does not have, and the way out."""
    files = "1 student's file names" if count == 1 else f"{count} students' files name"
    retire = "Retire a skill, never delete it: put its table back with a line such as retired = 2026-09-01."
    return f"{files} something that is no longer in this course. {retire}"


def difference_section(found: Sequence[Difference], old: Course, new: Course) -> Section:
    """Return what is different between two courses, a long list cut."""
    told = []
    for one in found[:DIFFERENCES_AT_MOST]:
        where = written(one.place)
        where = where.replace("(", "(before: ", 1) if one.new is None else where
        told.append(f"{_difference(one, old, new)}{where}.")
    if len(found) > DIFFERENCES_AT_MOST:
        told.append(f"{len(found) - DIFFERENCES_AT_MOST} more; --json lists all.")
    return bullets(f"Different in the course: {counted(len(found), 'thing')}", told)


def _difference(found: Difference, old: Course, new: Course) -> str:
    about = skill_words(new if found.subject in new.skill else old, found.subject)
    unit = unit_words(new if found.subject in new.unit else old, found.subject)
    values = f"{value_words(found.old)} > {value_words(found.new)}"
    renamed = f"{quoted(str(found.old))} ({found.what}) is now {skill_words(new, found.subject)}, and"
    put_back = f'put its table back with retired = and replaced_by = ["{found.subject}"]'
    lost = f"{renamed} notes under the old id are not found: {put_back}"
    before = unit_words(old, str(found.old))
    changed = f"{about}: {found.what} {values}"
    if found.what in TEXTS:
        changed = f"{about}: the text of {found.what} has changed"
    elif found.what == "retired" and found.new is not None:
        changed = f"{about} is retired from {found.new} on"
    return {
        "unit-added": f"new {unit}",
        "unit-gone": f"{unit} is gone",
        "unit-changed": f"{unit}: {found.what} {values}",
        "units-in-another-order": f"the units come in another order, from {unit} on",
        "skill-added": f"new skill {about}",
        "skill-gone": f"{about} is gone",
        "skill-renamed": f"{renamed} its notes count for it" if found.what in new.skill else lost,
        "skill-moved": f"{about} is taught in {unit_words(new, str(found.new))}, before in {before}",
        "skill-changed": changed,
        "link-added": f"{about} also builds on {skill_words(new, found.what)}",
        "link-dropped": f"{about} no longer builds on {skill_words(old, found.what)}",
        "groups-changed": f"{about}: its groups have changed",
        "band-added": f"new age {found.subject}",
        "band-gone": f"age {found.subject} is gone",
        "number-changed": f"{found.what} at age {found.subject}: {values}",
    }[found.id]


# Who changes by another course, and why: first in short, then one line a reason, in order of name.
# Each student stands alone; nobody is compared with anybody.

MANY: Final = 3
"""From so many students on, how many change in which way is told first."""
NAMES_AT_MOST: Final = 40
REASONS_SHORT: Final = 3
"""So many reasons a student are told at first."""
SKILLS_AT_MOST: Final = 2
"""So many skills are named in a sentence; more are counted."""


def comparison_sections(found: Comparison, old: Course, new: Course) -> Page:
    """Yield who changes, whose advice changes, and who does not."""
    every = len(found.changed) + len(found.advised) + len(found.unchanged)
    if not every:
        yield plain("There are no students to ask about.")
        return
    answers = [one.after for one in (*found.changed, *found.advised)] + list(found.unchanged)
    on, words = date_words(found.on), _Reasons(old, new, found.on, namesakes(one.name for one in answers))
    yield replace(comparison_counts(found), more=len(found.changed) < MANY)
    many = counted(every, "student")
    yield plain("" if found.changed else f"Nobody's answer changes on {on}, of {many}.")
    title = f"Who changes on {on}: {len(found.changed)} of {many}"
    for head, changes in ((title, found.changed), ("Same answer, other advice", found.advised)):
        yield Heading(head)
        for change in changes:
            was, now = (verdict_brief(answer) for answer in (change.before, change.after))
            verdict = f"{was}, as before" if was == now else f"was {was}, now {now}"
            yield item(f"{words.who(change.after)}: {verdict}.")
            for at, reason in enumerate(change.reasons):
                yield under(f"{words.reason(reason, change)}.", more=at >= REASONS_SHORT)
    names = few_of([words.who(answer) for answer in found.unchanged], NAMES_AT_MOST)
    yield Section("Unchanged", (Paragraph(f"{names}."),) if found.unchanged else ())


def comparison_counts(found: Comparison) -> Section:
    """Return in numbers alone how many students go from which verdict to which, or get other advice.

    For readers who are not to know of whom it is said.
    """
    turns = Counter((verdict_brief(one.before), verdict_brief(one.after)) for one in found.changed)
    stays = {turn: count for turn, count in turns.items() if turn[0] == turn[1]}
    most = ((turn, count) for turn, count in turns.most_common() if turn not in stays)
    advised, unchanged = (counted(len(some), "student") for some in (found.advised, found.unchanged))
    return bullets(f"In short, on {date_words(found.on)}", (
        *(f"{counted(count, 'student')}: was {turn[0]}, now {turn[1]}." for turn, count in most),
        *(f"{counted(count, 'student')}: {was} as before, for another reason."
          for (was, _), count in stays.items()),
        f"{advised}: the same answer, other advice." if found.advised else "",
        f"{unchanged}: nothing changes." if found.unchanged else "",
    ))  # fmt: skip


def comparison_reasons(change: StudentChange, course: Course) -> tuple[str, ...]:
    """Return the reasons of one change by one and the same course, each as a clause."""
    words = _Reasons(course, course, change.after.on)
    return tuple(words.reason(reason, change) for reason in change.reasons)


class _Reasons:
    """The words for reasons; names are those of the new course, else of the old one."""

    def __init__(self, old: Course, new: Course, on: int, shared: AbstractSet[str] = frozenset()) -> None:
        self.old, self.new, self.on, self.shared = old, new, on, shared

    def who(self, answer: Answer) -> str:
        """Return whom an answer is about; with the id where the name alone would not say it."""
        told = who(answer.name, answer.student)
        return called(answer.name, answer.student, self.shared) if told == tidy(answer.name) else told

    def reason(self, reason: Reason, change: StudentChange) -> str:
        return _REASONS[reason.id](self, reason, change)

    def skill(self, skill: object) -> str:
        return skill_words(self.new if skill in self.new.skill else self.old, str(skill)) if skill else "none"

    def skills(self, skills: Iterable[object]) -> str:
        return few_of([self.skill(skill) for skill in skills], SKILLS_AT_MOST) or "nothing"

    def what(self, reason: Reason) -> str:
        some = f"at least {reason.at_least} of {self.skills(reason.members)}"
        return self.skill(reason.skill) if reason.skill else some

    def unit(self, unit: object) -> str:
        known = self.new.unit.get(str(unit)) or self.old.unit.get(str(unit))
        return f"unit {known.number}, {tidy(known.name)}" if known else "none: this is the last one"

    def new_blocker(self, reason: Reason, change: StudentChange) -> str:
        state = f": {_state_words(reason.standing, self.on)}" if reason.standing else ""
        blockers = [b.needed_by for b in change.after.blockers if reason.skill and b.skill == reason.skill]
        because = f"; needed for {self.skills(blockers[0])}" if blockers and blockers[0] else ""
        return f"still needed now: {self.what(reason)}{state}{because}"

    def dropped_blocker(self, reason: Reason, change: StudentChange) -> str:
        if reason.skill and reason.skill not in self.new.skill:
            return f"no longer needed: {self.what(reason)}, which has left the course"
        if reason.skill and reason.skill in self.new.on(self.on).gone:
            return f"no longer needed: {self.what(reason)}, which is retired"
        if reason.new == State.SECURE:
            return f"no longer in the way: {self.what(reason)}, now secure"
        rest = "may be finished later" if reason.skill in change.after.rest else "not needed now"
        return f"{rest}: {self.what(reason)}"

    def other_state(self, reason: Reason, _: StudentChange) -> str:
        now = _state_words(reason.standing, self.on) if reason.standing else str(reason.new)
        return f"{self.skill(reason.skill)}: {now}; before: {STATE_WORDS.get(str(reason.old), reason.old)}"

    def number_changed(self, reason: Reason, change: StudentChange) -> str:
        origin = self.new.provenance.get((change.after.band, reason.rule))
        numbers = f"{value_words(reason.old)}, then {value_words(reason.new)}"
        where = written(origin.place) if origin else ""
        return f"{reason.rule} at age {change.after.band}: {numbers}{where}"

    def other_start(self, _: Reason, change: StudentChange) -> str:
        was, now = change.starts
        if was is None or now is None:
            return "where to start is asked again"
        for sentence, words, of in self.starts():
            if of(was) != of(now):
                return sentence.format(words(of(now)), words(of(was)))
        return f"look at in any case: {self.skills(now.result.always_look_open)}"

    def starts(self) -> Iterator[tuple[str, Callable[[Any], str], Callable[[PlacingRound], object]]]:
        """Yield what may be different where a student starts, the most important first."""
        yield "start in {}, before in {}", self.unit, lambda now: now.start
        span = "start as before; perhaps {}, before {}"
        yield span, lambda ends: " to ".join(map(self.unit, ends)), lambda now: (now.fits[0], now.fits[-1])
        yield "to learn on the way: {}, before: {}", self.skills, lambda now: now.patches
        seen = "start as before; what was seen is enough for {}, before for {}"
        yield seen, self.unit, lambda now: now.result.start_unit
        yield "still missing: {}, before: {}", self.skills, lambda now: now.result.patches
        yield "it also needs {}, before: {}", self.skills, lambda now: now.result.stopped_by

    def other_looks(self, reason: Reason, _: StudentChange) -> str:
        assert isinstance(reason.new, tuple)
        return f"look first at {self.skills(reason.new)}"


_REASONS: Final[Mapping[str, Callable[[_Reasons, Reason, StudentChange], str]]] = {
    "new-blocker": _Reasons.new_blocker,
    "dropped-blocker": _Reasons.dropped_blocker,
    "other-state": _Reasons.other_state,
    "too-many-open": lambda w, r, _: (
        f"needed: {needed_of(len(r.members), r.new if isinstance(r.new, int) else 0)}: {w.skills(r.members)}"
    ),
    "few-enough-open": lambda _w, r, _: (
        f"no longer too much unfinished: {len(r.members)}, and {r.new} may be finished later"
    ),
    "comes-along": lambda w, r, _: f"to finish on the way: {w.skill(r.skill)}",
    "comes-along-no-more": lambda w, r, _: f"no longer to finish on the way: {w.skill(r.skill)}",
    "number-changed": _Reasons.number_changed,
    "other-band": lambda _w, r, _: f"the rules of age {r.new}, before those of age {r.old}",
    "other-next-unit": lambda w, r, _: f"the next unit is {w.unit(r.new)}, before it was {w.unit(r.old)}",
    "other-start": _Reasons.other_start,
    "other-one-thing": lambda w, r, _: (
        f"start here: {w.skill(r.new)}{f', before: {w.skill(r.old)}' if r.old else ''}"
    ),
    "other-looks": _Reasons.other_looks,
    "other-earliest": lambda _w, r, _: f"earliest possible move: {_day(r.new)}, before: {_day(r.old)}",
    "other-holds-until": lambda _w, r, _: (
        f"with nothing new noted, it holds until {_day(r.new)}{f', before: {_day(r.old)}' if r.old else ''}"
    ),
}


def _day(day: object) -> str:
    return date_words(day) if isinstance(day, int) else "no date"


def _state_words(now: Standing, on: int) -> str:
    """Return a state with the facts that make it so: "not seen lately (last seen 26 August)"."""
    facts = ""
    if now.state == State.STALE and now.last_seen is not None and now.fresh_until is not None:
        settled = now.last_seen == now.settled_on
        seen = f"{'noted as secure' if settled else 'last seen'} {date_words(now.last_seen, on)}"
        weeks, often = ((day - now.last_seen) // 7 for day in (on, now.fresh_until))
        facts = f" ({seen}, {counted(weeks, 'week')} ago, look every {often})"
    elif now.state == State.BUILDING:
        facts = f" ({now.have} of {counted(now.need, 'day')})"
    elif now.last_note is not None and now.last_help is not None and now.state != State.SECURE:
        facts = f" (last {HELP_WORDS[now.last_help]}, {date_words(now.last_note, on)})"
    return f"{STATE_WORDS[now.state]}{facts}"
