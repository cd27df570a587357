"""The words of a change: of an answer, and of a course with all it does to its students.

A refused edit has no words about students, because nobody is judged by a course that is
refused; who changes by one that is not is told below.

Every cause named here was worked out again with that one thing undone. Nobody is blamed: time passes,
children have birthdays, courses are edited. It ends with what to do.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.advice.timeline import Reason, StudentChange, student_change
from readiness.course.model import FADES, Course
from readiness.editing.compare import TEXTS, Comparison, Difference
from readiness.judging.answer import Answer, Standing
from readiness.record.model import HELPS, Record
from readiness.terms import State, Verdict
from readiness.toml.problems import Problem, errors
from readiness.words.cautions import closing, stop_first
from readiness.words.english import (
    HELP_WORDS,
    STATE_WORDS,
    VERDICT_BRIEF,
    called,
    namesakes,
    needed_of,
    plain_verdict,
    supposed_line,
    verdict_brief,
    who,
)
from readiness.words.grammar import (
    birthday_words,
    capital,
    counted,
    date_words,
    few_of,
    listed,
    quoted,
    tidy,
    together,
    unit_words,
    written,
)
from readiness.words.layout import Heading, Page, Paragraph, Section, bullets, item, items, plain, under
from readiness.words.phrases import Phrases
from readiness.words.reasons import numbers_section, rule_value

if TYPE_CHECKING:
    from readiness.advice.changes import Changed, Fact
    from readiness.editing.edits import Edit

__all__ = [
    "changed_sections", "compare_sections", "comparison_counts", "comparison_reasons",
    "comparison_sections", "difference_section", "edit_words", "lost_words", "refusal_words",
    "since_then", "skill_words", "value_words", "watching_words",
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
    return f"Watching {folder} with {who}. Save the course to see what is different from now. Ctrl-C ends it."


def refusal_words(problems: Sequence[Problem]) -> str:
    """Return the last line for a course that is refused."""
    wrong = len(errors(problems))
    warnings = f" (and {counted(len(problems) - wrong, 'warning')})" if len(problems) > wrong else ""
    what = f"{counted(wrong, 'error')}{warnings}"
    return f"Refused for {what}; please correct {'it' if wrong == 1 else 'them'} first.\n"


def lost_words(count: int, of: int) -> Section:
    """Return that files name something the new course does not have, and the way out; empty for none."""
    files = "the file names" if count == 1 else "their files name"
    retire = "Retire a skill, never delete it: put its table back with a line such as retired = 2026-09-01."
    told = f"There is no answer any more about {count} of {counted(of, 'student')}: {files}"
    return plain(f"{told} something that is no longer in this course. {retire}" if count else "")


def difference_section(found: Sequence[Difference], old: Course, new: Course) -> Section:
    """Return what is different between two courses, a long list cut."""
    told = []
    for one in found[:DIFFERENCES_AT_MOST]:
        where = written(one.place).replace("(", "(before: " if one.new is None else "(", 1)
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
        "band-added": f"new age {new.years(found.subject)}",
        "band-gone": f"age {old.years(found.subject)} is gone",
        "number-changed": f"{found.what} at age {new.years(found.subject)}: {values}",
    }[found.id]


# Who changes by another course, and why: first in short, then one line a reason, in order of name.
# Each student stands alone; nobody is compared with anybody.

MANY: Final = 3
"""From so many students on, how many change in which way is told first."""
NAMES_AT_MOST: Final = 40
_OF_A_STUDENT: Final = 3
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
            was, now, one = verdict_brief(change.before), verdict_brief(change.after), words.who(change.after)
            yield item(f"{one}: {_turn(was, now) if head == title else f'{was} as before'}.")
            for at, reason in enumerate(change.reasons):
                yield under(f"{words.reason(reason, change)}.", more=at >= _OF_A_STUDENT)
    names = few_of([words.who(answer) for answer in found.unchanged], NAMES_AT_MOST)
    yield Section("Unchanged", (Paragraph(f"{names}."),) if found.unchanged else ())


def comparison_counts(found: Comparison) -> Section:
    """Return in numbers alone how many students go from which verdict to which, or get other advice.

    For readers who are not to know of whom it is said.
    """
    turns = Counter(_turn(verdict_brief(one.before), verdict_brief(one.after)) for one in found.changed)
    advised, unchanged = (counted(len(some), "student") for some in (found.advised, found.unchanged))
    return bullets(f"In short, on {date_words(found.on)}", (
        *(f"{counted(count, 'student')}: {turn}." for turn, count in turns.most_common()),
        f"{advised}: the same answer, other advice." if found.advised else "",
        f"{unchanged}: nothing changes." if found.unchanged else "",
    ))  # fmt: skip


def _turn(was: str, now: str) -> str:
    return f"{was} as before, for another reason" if was == now else f"now {now} (before: {was})"


def comparison_reasons(change: StudentChange, course: Course) -> tuple[str, ...]:
    """Return the reasons of one change by one and the same course, each as a clause."""
    words = _Reasons(course, course, change.after.on)
    told_of = (one for one in change.reasons if one.new or one.id not in _WORK)
    return tuple(words.reason(reason, change) for reason in told_of)


class _Reasons:
    """The words for reasons; names are those of the new course, else of the old one."""

    def __init__(self, old: Course, new: Course, on: int, shared: AbstractSet[str] = frozenset()) -> None:
        self.old, self.new, self.on, self.shared = old, new, on, shared

    def who(self, answer: Answer) -> str:
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

    def other_state(self, reason: Reason, change: StudentChange) -> str:
        now = _state_words(reason.standing, self.on) if reason.standing else str(reason.new)
        was = _state_words(change.before.standings[reason.skill or ""], change.before.on)
        return f"{self.skill(reason.skill)}: {now}; before: {was}"

    def number_changed(self, reason: Reason, change: StudentChange) -> str:
        origin = self.new.provenance.get((change.after.band, reason.rule))
        numbers = f"{value_words(reason.old)}, then {value_words(reason.new)}"
        age, where = self.new.years(change.after.band), written(origin.place if origin else None)
        return f"{reason.rule} at age {age}: {numbers}{where}"

    def other_start(self, _: Reason, change: StudentChange) -> str:
        was, now = change.starts
        if was is None or now is None:
            return "where to start is asked again"
        if was.start != now.start:
            return f"start in {self.unit(now.start)}, before in {self.unit(was.start)}"
        ends, before = ([self.unit(one.fits[0]), self.unit(one.fits[-1])] for one in (now, was))
        if ends != before:
            return f"start as before; perhaps {' to '.join(ends)}, before {' to '.join(before)}"
        return f"start as before; to learn on the way: {self.skills(now.patches)}"


_REASONS: Final[Mapping[str, Callable[[_Reasons, Reason, StudentChange], str]]] = {
    "new-blocker": _Reasons.new_blocker,
    "dropped-blocker": _Reasons.dropped_blocker,
    "other-state": _Reasons.other_state,
    "too-many-open": lambda w, r, _: (
        f"{needed_of(len(r.members), r.new if isinstance(r.new, int) else 0)}; {w.skills(r.members)}"
    ),
    "few-enough-open": lambda _w, r, _: (
        f"no longer too much unfinished: {len(r.members)}, and {r.new} may be finished later"
    ),
    "comes-along": lambda w, r, _: f"to finish on the way: {w.skill(r.skill)}",
    "comes-along-no-more": lambda w, r, _: f"no longer to finish on the way: {w.skill(r.skill)}",
    "number-changed": _Reasons.number_changed,
    "other-band": lambda w, r, _: (
        f"the rules of age {w.new.years(r.new)}, before those of age {w.new.years(r.old)}"
    ),
    "other-next-unit": lambda w, r, _: f"the next unit is {w.unit(r.new)}, before it was {w.unit(r.old)}",
    "other-start": _Reasons.other_start,
    "other-one-thing": lambda w, r, _: (
        f"start here: {w.skill(r.new)}{f', before: {w.skill(r.old)}' if r.old else ''}"
    ),
    "other-looks": lambda w, r, _: f"look first at {w.skills(r.new if isinstance(r.new, tuple) else ())}",
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
        return f"{now.have} of {counted(now.need, 'day')}"
    elif now.last_note is not None and now.last_help is not None and now.state != State.SECURE:
        facts = f" (last {HELP_WORDS[now.last_help]}, {date_words(now.last_note, on)})"
    return f"{STATE_WORDS[now.state]}{facts}"


FACTS_AT_MOST: Final = 10
FACTS_SHORT: Final = 2
"""So many facts a cause are told at first."""
_NAMES: Final = 2
"""So many skills are named in a sentence; more are counted."""


def changed_sections(found: Changed, course: Course, record: Record, known_by: str) -> Page:
    """Yield why the answer of one day differs from that of another.

    ``course`` is as it is on the later day; ``known_by``: how that of the earlier one is known, by _KNOWN_BY.
    """
    p, later, asked = _Facts(found.later, course, record), found.later, found.asked
    yield f"{tidy(later.name)} · {date_words(found.earlier.on, later.on)} to {date_words(later.on)}"
    between = listed([*_between(p, found.earlier.on)])
    nothing = f"The answer is the same. In between: {between}." if between else "Nothing has changed."
    yield nothing if asked == "nothing" else ""
    yield p.verdict_of(found.earlier)
    if found.followed_from > found.earlier.on:
        yield f"There are very many notes since, so days before {p.day(found.followed_from)} are left out."
    yield from (f"From {p.day(turn.day)} on: {VERDICT_BRIEF[turn.verdict]}." for turn in found.turns)
    if found.followed_to < later.on:
        yield f"There are too many days to look at, so those after {p.day(found.followed_to)} are left out."
    yield p.verdict_of(later)
    yield "The verdict is the same; the reasons have changed." if asked == "in-the-way" else ""
    yield Heading("Why")
    yield from _why(p, found) if asked != "nothing" else ()
    yield Heading("Made a difference too", more=True)
    for cause in found.beside:  # without each other thing that made a difference
        same, then = cause.answer.verdict == later.verdict, VERDICT_BRIEF[cause.answer.verdict]
        then = "the same verdict for another reason" if same else then
        yield item(f"Without {_causes([cause.id])}: {then}.")
    # the numbers behind windows and breaks; the others are told with their cause
    facts = (fact for cause in found.causes for fact in cause.facts if fact.kind == "due")
    fades = {course.skill[fact.skill].fade for fact in facts if fact.skill}
    broke = ("break_weeks",) if any(cause.id == "break" for cause in found.causes) else ()
    rules = p.rules(*(f"fresh_weeks.{fade}" for fade in FADES if fade in fades), *broke)
    yield numbers_section(rules, p.age)
    yield bullets("The course of the earlier day", [_KNOWN_BY[known_by]], more=True)
    yield bullets("Next", _to_do(p, found))
    yield from closing((), ("C14",))


def _between(p: _Facts, since: int) -> Iterator[str]:
    days = [(one.on, f"you decided to {one.decided}") for one in p.record.decisions]
    for hold in p.record.holds:
        days += [(hold.opened, "a pause began"), (hold.closed or 0, "a pause ended")]
    lately = sorted((day, what) for day, what in days if since < day <= p.answer.on)
    yield from (f"{what} on {p.day(day)}" for day, what in lately)


def _why(p: _Facts, found: Changed) -> Iterator[Paragraph]:
    yield from items(["" if found.restoring else "There is no single cause."])
    for cause in found.causes:
        still = f"still {VERDICT_BRIEF[found.earlier.verdict]}" if found.asked == "verdict" else "as before"
        yield item(f"{_CAUSES[cause.id][0]}.{f' Without this: {still}.' if cause.alone else ''}")
        told = (*p.not_seen(cause.facts), *filter(None, map(p.fact, cause.facts)))
        yield from (under(line, more=at >= FACTS_SHORT) for at, line in enumerate(told[:FACTS_AT_MOST]))
        if len(told) > FACTS_AT_MOST:
            yield under(f"And {len(told) - FACTS_AT_MOST} more (--json has all).", more=True)
    alone = [causes[0] for causes in found.restoring if len(causes) == 1]
    if len(alone) > 1:
        yield item(f"It took {'both' if len(alone) == 2 else 'all of these'}: {_causes(alone)}.")
    for causes in (causes for causes in found.restoring if len(causes) > 1):
        yield item(f"{'Either' if len(causes) == 2 else 'Any'} of these was enough: {_causes(causes)}.")


class _Facts(Phrases):
    """One fact, one sentence; for the answer of the later day."""

    def verdict_of(self, answer: Answer) -> str:
        where = f" ({self.unit(answer.unit)})" if answer.unit and answer.unit in self.course.unit else ""
        return f"{self.day(answer.on)}: {plain_verdict(answer, self.course)}{where}."

    def fact(self, fact: Fact) -> str:
        return _FACTS[fact.kind](self, fact) if fact.kind in _FACTS else ""

    def not_seen(self, facts: Iterable[Fact]) -> Iterator[str]:
        def look_again(skill: str, day: int) -> str:
            weeks = (day - 1 - (self.standing(skill).last_seen or 0)) // 7
            seen = f"{self.last_seen(skill)}; look every {counted(weeks, 'week')}"
            return f"Look again from {self.day(day)} on ({seen})"

        due = [(fact.skill, fact.day) for fact in facts if fact.kind == "due" and fact.skill and fact.day]
        alike = together((look_again(skill, day), skill) for skill, day in due)
        yield from (f"{words}: {self.names(skills, _NAMES)}." for words, skills in alike.items())

    def state_fact(self, fact: Fact) -> str:
        last = self.last_note(str(fact.skill))
        before = _state_words(fact.was, self.answer.on) if fact.was else fact.before
        state = f"{self.state(str(fact.skill))}{f' ({last})' if last else ''}"
        return f"{self.about(fact)}: {state}; without these notes: {before}."

    def about(self, fact: Fact, skill: object = None) -> str:
        id_ = str(skill or fact.skill)
        return self.titled(id_) if id_ in self.course.skill else quoted(id_)

    def when(self, fact: Fact) -> str:
        return self.day(fact.day) if fact.day is not None else "a day not noted"

    def where(self, fact: Fact) -> str:
        return f" ({self.line(fact.line)})" if fact.line else ""

    def number(self, fact: Fact) -> str:
        where = f", pacing.toml:{fact.line}" if fact.line else ""
        return f"{capital(rule_value(fact.rule, fact.after))}; before: {fact.before}{where}{_by(fact)}."


def _to_do(p: _Facts, found: Changed) -> Iterator[str]:
    later, ids = found.later, {cause.id for cause in found.causes}
    if later.verdict == Verdict.PAUSED:
        yield stop_first(p.record, later.on)
        return
    if "window" in ids and later.look_first:
        yield f"Look first at {p.names(later.look_first, _NAMES)}. One look is enough."
    elif later.one_thing is not None:
        yield f"Start here: {p.name(later.one_thing)}."
    if ids & {"graph", "numbers"}:
        yield "If an edit was not meant to do this, change the line back; or decide otherwise, with a reason."
    if "band" in ids:
        yield "You can keep the rules of the earlier age with a [[band_choice]] and a reason."
    if found.asked != "verdict" and found.turns:
        day = date.fromordinal(found.turns[-1].day - 1)
        yield f"For the days between, ask from one of them: --since {day}"


def _causes(causes: Iterable[str]) -> str:
    return listed([_CAUSES[cause][1] for cause in causes])


def _by(fact: Fact) -> str:
    return f", by {tidy(fact.by)}" if fact.by else ""


def _value(value: object) -> str:
    return {"True": "yes", "False": "no", "": "none"}.get(str(value), str(value))


_EDITED: Final = {
    "unit": "its unit", "kind": "its kind", "fade": "how often to look", "always_look": "always looked at",
    "safety": "a safety point", "must_be_seen": "has to be seen itself", "optional_in": "optional at age",
}  # fmt: skip

_FACTS: Final[Mapping[str, Callable[[_Facts, Fact], str]]] = {
    "lesson": lambda p, f: f"Lesson of {p.when(f)}{p.where(f)}{_by(f)}.",
    "settled": lambda p, f: f"Noted as secure on {p.when(f)}, up to {p.unit(str(f.after))}{p.where(f)}.",
    "state": _Facts.state_fact,
    "unit-start": lambda p, f: (
        f"{capital(p.unit(str(f.after)))} started on {p.when(f)}{p.where(f)}."
        if f.after in p.course.unit else ""
    ),
    "set-aside": lambda p, f: f"{p.about(f)} on {p.when(f)}{p.where(f)}.",
    "birthday": lambda p, f: (
        f"A birthday {birthday_words(p.record.born, p.when(f))}: "
        f"age {p.course.years(f.before)} before, age {p.course.years(f.after)} since."
    ),
    "band-choice": lambda p, f: (
        f"Age {p.course.years(f.after)} was chosen on {p.when(f)}, "
        f"{p.course.years(f.before)} before{p.where(f)}."
    ),
    "asked-for-now": lambda p, f: f"{p.about(f)}: asked for at this age now.",
    "optional-now": lambda p, f: f"{p.about(f)}: optional at this age now.",
    "number": _Facts.number,
    "break-begun": lambda p, f: f"{f.after} days without a lesson since {p.when(f)}.",
    "break-over": lambda _p, _f: "The lessons of review after it are under way.",
    "hold-opened": lambda p, f: f"A pause began on {p.when(f)}{p.where(f)}.",
    "hold-closed": lambda p, f: f"A pause ended on {p.when(f)}{_by(f)}{p.where(f)}.",
    "edit": lambda p, f: f"{capital(p.when(f))}{_by(f)}{f': {tidy(str(f.after))}' if f.after else ''}.",
    "skill-new": lambda p, f: f"New in it: {p.about(f)} (graph.toml:{f.line}).",
    "skill-gone": lambda p, f: f"No longer in it: {p.about(f)}.",
    "units-edited": lambda _p, _f: "The list of units, or their order, has changed.",
    "link-new": lambda p, f: f"{p.about(f)} builds on {p.about(f, f.after)} now (graph.toml:{f.line}).",
    "link-gone": lambda p, f: (
        f"{p.about(f)} no longer builds on {p.about(f, f.before)} (graph.toml:{f.line})."
    ),
    "groups-edited": lambda p, f: f"{p.about(f)}: its groups have changed (graph.toml:{f.line}).",
    "skill-edited": lambda p, f: (
        f"{p.about(f)}: {_EDITED[f.rule]} was {_value(f.before)}, is {_value(f.after)} (graph.toml:{f.line})."
    ),
    "taught-from": lambda p, f: f"{p.about(f)} is taught from {p.when(f)} on.",
    "retired": lambda p, f: f"{p.about(f)} is no longer taught from {p.when(f)} on.",
}  # fmt: skip

_CAUSES: Final[Mapping[str, tuple[str, str]]] = {
    "notes": ("New notes", "the new notes"),
    "unit": ("A new unit, so other skills are needed", "the new unit"),
    "set-aside": ("Something was set aside by agreement", "the skills set aside"),
    "window": ("Time passed, with nothing new noted", "the time that passed"),
    "band": ("The rules of another age", "the other age"),
    "break": ("A break", "the break"),
    "hold": ("A pause, because something hurts", "the pause"),
    "graph": ("The skill graph was edited", "the edited skill graph"),
    "numbers": ("Rules of the pacing were changed", "the changed rules"),
    "dated": ("Skills of the course that start or stop on a day", "the skills that start or stop on a day"),
}
"""Each cause as it is told, and inside a sentence."""

_KNOWN_BY: Final[Mapping[str, str]] = {
    "git": "Taken from the history of its folder (git).",
    "folder": "The one in the folder you named.",
    "notes": "The one of today, with the rules of then by the dated [[change]] blocks.",
    "not": "The one of today: without git or --old-course an edit since then cannot be seen.",
}


def since_then(course: Course, day: int, today: int) -> str:
    """Return in a sentence that a past day is answered by what was changed since; empty where nothing was."""
    if day >= today:
        return ""
    from readiness.editing.course_history import changes_since  # it runs git, which few questions need

    since = changes_since(course, day, today)
    changed = [f"{rule} at age {course.years(band)} ({date_words(on)})" for on, band, rule, *_ in since]
    if any(day < turning <= today for turning in (course.entire or course).turning_days):
        changed.append("skills that started or stopped, which are read as they were that day")
    now = f"{date_words(day)} is answered with the course and the rules of today"
    return f"{now}. Changed since: {listed(changed)}." if changed else ""


# What if: the plain answer beside the one with a change, and what the change does.
# Only the differences are told. Nothing of it is saved, and the default of a changed number
# stands beside it, so that a supposed answer is never taken for the answer.

SHOW = "show."
STATES_AT_MOST: Final = 12
_WORK: Final = ("other-one-thing", "other-looks", "other-holds-until")
"""What is told of the work to do and of how long a yes holds, where there is any."""
REASONS_SHORT: Final = 6
"""So many differences are told at first."""


def compare_sections(p: Phrases, changed: Phrases, changes: Mapping[str, object]) -> Page:
    """Yield what ``changes`` (pacing rules and ``show.SKILL``, by name) would do, beside how things are.

    ``p`` and ``changed``: the words for the answer as it is and for the supposed one.
    """
    answer, then = p.answer, changed.answer
    yield plain(f"What if · {tidy(answer.name)} · {date_words(answer.on)}")
    yield bullets(supposed_line(answer, then), (_change(p, changed, *each) for each in changes.items()))
    on = f" on {p.day(then.on)}" if then.on != answer.on else ""
    yield bullets("The answer", (f"As it is: {p.verdict}.", f"Then{on}: {changed.verdict}."))
    if answer.verdict == Verdict.PAUSED:
        yield plain(stop_first(p.record, answer.on))
        return
    yield Heading("What changes")
    found = student_change(p.course, p.course, answer, then, (p.record, p.record))
    told = [f"{capital(words)}." for words in comparison_reasons(found, p.course)]
    if found.before.earliest_told != found.after.earliest_told:
        told += changed.kept_back()
    # last, how skills stand of which nothing else was told, such as those of earlier units
    named = {reason.skill for reason in found.reasons} | {name.removeprefix(SHOW) for name in changes}
    others = [one for one in answer.standings if one not in named]
    turned = [one for one in others if p.standing(one).state != changed.standing(one).state]
    states = [f"{p.titled(one)}: {changed.state(one)}; before: {p.state(one)}." for one in turned]
    told += states[:STATES_AT_MOST]
    if len(states) > STATES_AT_MOST:
        told.append(f"The states of {len(states) - STATES_AT_MOST} more skills change.")
    yield from (item(words, more=at >= REASONS_SHORT) for at, words in enumerate(told or ["Nothing."]))
    before = {blocker.skill for blocker in answer.blockers}
    still = [one.skill for one in then.blockers if one.skill in before]
    unfinished = f"{capital(changed.unfinished)}; {changed.inventory(then.open_rest)}."
    yield bullets("Still needed all the same", (
        *(f"{changed.name(one)}: {changed.state(one)}." for one in still if one is not None),
        unfinished if changed.too_much_open else "",
    ), more=True)  # fmt: skip
    yield from closing((), ("C11", "C14") if any(not one.startswith(SHOW) for one in changes) else ("C14",))


def _change(p: Phrases, changed: Phrases, name: str, value: object) -> str:
    if name.startswith(SHOW):
        how = HELP_WORDS[HELPS.index(str(value))] if value in HELPS else tidy(str(value))
        skill, day = name.removeprefix(SHOW), p.day(changed.answer.on)
        return f"{p.titled(skill)}: {how} on {day}; then {changed.state(skill)}."
    band = p.course.band[p.answer.band]
    origin = p.course.provenance.get((band.name, name))
    now = band.numbers.get(name)
    if origin is None:
        return f"{name}: {value}; now {now}."
    default = "" if origin.default is None else f"; the default is {origin.default}"
    return f"{name}: {value}; now {now}{written(origin.place)}{default}."
