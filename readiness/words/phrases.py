"""One fact, one phrase.

A :class:`Phrases` turns single facts of one answer into a teacher's words: where a skill
stands, what was seen on which day and where that is written, what is missing. It knows no
order, no section and no layout, and it never decides anything.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from readiness.advice.skill_traits import activities
from readiness.course.graph import first_needed
from readiness.course.model import Course
from readiness.judging.answer import Answer, Standing
from readiness.judging.reasons import rules_in
from readiness.record.consents import ADULT_AGE
from readiness.record.model import HELPS, Record
from readiness.terms import State
from readiness.words.english import HELP_WORDS, STATE_WORDS
from readiness.words.grammar import (
    counted,
    date_words,
    help_words,
    listed,
    number_words,
    quoted,
    tidy,
)

__all__ = ["Phrases"]

NOT_SHOWN = HELPS.index("not-shown")
NAMES_AT_MOST = 6
GROWN_TONE_AGE = 13
"""From here on the tone for children is dropped."""

_CHILD = re.compile(r"\b([Cc])hild\b")


@dataclass(frozen=True)
class Phrases:
    """The words for the facts of one answer."""

    answer: Answer
    course: Course
    record: Record

    @cached_property
    def numbers(self) -> Mapping[str, object]:
        """The pacing numbers of the band, as this answer used them."""
        used = {rule.rule: rule.value for rule in rules_in(self.answer.findings)}
        return {**self.course.band[self.answer.band].numbers, **used}

    @cached_property
    def carry_limit(self) -> int:
        """How many open things may come along."""
        limit = self.numbers["carry_limit"]
        assert isinstance(limit, int)
        return limit

    @property
    def is_adult(self) -> bool:
        """Whether the student's band begins when remarks for children no longer fit."""
        return self.course.band[self.answer.band].from_age >= 15

    @property
    def is_grown(self) -> bool:
        """Whether the tone for children is dropped."""
        return self.answer.age >= GROWN_TONE_AGE

    @property
    def of_age(self) -> bool:
        """Whether the student speaks for herself, and no family is told or asked."""
        return self.answer.age >= ADULT_AGE

    # names and places

    def name(self, skill: str) -> str:
        """Return a skill's name for a sentence."""
        return quoted(self.course.skill[skill].name)

    def titled(self, skill: str) -> str:
        """Return a skill's name with the id that stands in the files."""
        return f"{tidy(self.course.skill[skill].name)} ({skill})"

    def names(self, skills: Sequence[str], at_most: int = NAMES_AT_MOST) -> str:
        """Return skills as a list in a sentence, the last ones of a long list only counted."""
        words = [self.name(skill) for skill in skills]
        if len(words) > at_most + 1:
            words = [*words[:at_most], f"{len(words) - at_most} more"]
        return listed(words)

    def few(self, skills: Sequence[str]) -> str:
        """Return up to three skills in a sentence, the others counted."""
        return self.names(skills, 2)

    def inventory(self, skills: Sequence[str]) -> str:
        """Return all of some skills, as a list that is no sentence."""
        return "; ".join(tidy(self.course.skill[skill].name) for skill in skills)

    def unit(self, unit: str) -> str:
        """Return a unit with its number."""
        return f"unit {self.course.unit[unit].number}, {tidy(self.course.unit[unit].name)}"

    def day(self, day: int | None) -> str:
        """Return a day, with the year when it is not that of the day asked about."""
        return date_words(day, self.answer.on)

    def line(self, line: int) -> str:
        """Return a line of the student's file, or that there is none."""
        file = self.record.path.name if self.record.path else f"{self.record.id}.toml"
        return f"{file}:{line}" if line else "supposed, not noted"

    # where a skill stands

    def standing(self, skill: str) -> Standing:
        """Return where a skill stands in this answer."""
        return self.answer.standings[skill]

    def state(self, skill: str) -> str:
        """Return the state of a skill in a few words."""
        one = self.standing(skill)
        if one.state == State.BUILDING:
            return self._building(one)
        if one.state == State.WITH_HELP and one.last_help is not None:
            if one.have:
                days = f"{min(one.have, one.need)} of {counted(one.need, 'day')}"
                return f"{days}, last {HELP_WORDS[one.last_help]}"
            return f"{HELP_WORDS[one.last_help]} so far"
        if one.state == State.STALE and one.last_seen is not None and one.fresh_until is not None:
            weeks, often = ((day - one.last_seen) // 7 for day in (self.answer.on, one.fresh_until))
            return f"not seen for {counted(weeks, 'week')}, look every {often}"
        return STATE_WORDS[one.state]

    def state_short(self, skill: str) -> str:
        """Return the state of a skill in the few words that a column has room for."""
        one = self.standing(skill)
        if one.state == State.STALE and one.last_seen is not None:
            return f"not seen for {counted((self.answer.on - one.last_seen) // 7, 'week')}"
        if one.state == State.WITH_HELP and one.last_help is not None:
            return HELP_WORDS[one.last_help]
        return _SHORT.get(one.state) or self.state(skill)

    def missing_short(self, skill: str) -> str:
        """Return what would make a skill secure, in the few words that a column has room for."""
        one = self.standing(skill)
        how = " without help" if self._how(skill) == HELP_WORDS[0] else ""
        if one.state in (State.STALE, State.WOBBLING):
            return "one look"
        more = " more" if one.have else ""
        return f"{number_words(one.missing)}{more} {'day' if one.missing == 1 else 'days'}{how}"

    def _building(self, one: Standing) -> str:
        if one.have >= one.need:
            return f"{counted(one.have, 'day')}, too close together"
        return f"{one.have} of {counted(one.need, 'day')}"

    def missing(self, skill: str) -> str:
        """Return what would make a skill secure."""
        one = self.standing(skill)
        how = self._how(skill)
        if one.state == State.STALE:
            return f"Missing: one look, shown {how}."
        if one.state == State.WOBBLING:
            return (
                f"Missing: one day {how}, and it is secure again. "
                "One off day is no reason to conclude anything."
            )
        short = one.missing
        more = " more" if one.have else ""
        again = ", begun afresh" if one.state == State.SLIPPED and not one.have else ""
        day = "day" if short == 1 else "days"
        return f"Missing: {number_words(short)}{more} {day} {how}{again}{self._apart(one)}."

    def _how(self, skill: str) -> str:
        kind = self.course.skill[skill].kind
        return help_words(("alone", "cue").index(str(self.numbers[f"accepts.{kind}"])))

    def _apart(self, one: Standing) -> str:
        """Return how far apart the days must lie, where that is still open."""
        spread = self.numbers["spread_days"]
        assert isinstance(spread, int)
        counting = [note.day for note in one.evidence if note.counts][-one.have :] if one.have else []
        lesson = self.answer.next_lesson
        if one.need < 2 or (counting and lesson is not None and lesson - counting[0] >= spread):
            return ""
        if counting:
            return f", on {self.day(counting[0] + spread)} or later"
        return f", the first and the last at least {counted(spread, 'day')} apart"

    # what was seen

    def seen(self, skill: str, at_most: int = 8) -> tuple[tuple[str, str, str], ...]:
        """Return the notes on a skill as rows: day, how, line of the student's file.

        Older notes of a long list are folded into its first row.
        """
        one = self.standing(skill)
        rows = [(self.day(e.day), HELP_WORDS[e.help], self.line(e.line)) for e in one.evidence]
        if len(rows) > at_most + 1:
            older = len(rows) - at_most
            day, _, line = rows[0]
            rows = [(day, f"the first of {older} earlier days", line), *rows[older:]]
        if one.settled_on is not None:
            rows.insert(0, (self.day(one.settled_on), "noted as secure", self.line(one.settled_line)))
        return tuple(rows)

    def last_note(self, skill: str) -> str:
        """Return the latest note on a skill with its line, empty without a note."""
        one = self.standing(skill)
        if one.state == State.UNTRIED:
            return ""
        if not one.evidence:
            if one.settled_on is None:
                return ""
            return f"noted as secure on {self.day(one.settled_on)}, {self.line(one.settled_line)}"
        last = one.evidence[-1]
        if one.state in (State.WITH_HELP, State.NOT_SHOWN):
            return f"{self.day(last.day)}, {self.line(last.line)}"
        shown = "asked for" if last.help == NOT_SHOWN else f"shown {HELP_WORDS[last.help]}"
        return f"last {shown} on {self.day(last.day)}, {self.line(last.line)}"

    def is_met(self, skill: str) -> bool:
        """Return whether a skill counts as met where it is asked for."""
        return self.standing(skill).state in (State.SECURE, State.SET_ASIDE)

    def last_seen(self, skill: str) -> str:
        """Return when a skill was last seen, or used in what, with the line."""
        one = self.standing(skill)
        if one.last_seen is None:
            return "not seen yet"
        used = f" in {self.name(one.warmed_by)}" if one.warmed_by else ""
        return f"last seen {self.day(one.last_seen)}{used}, {self.seen_line(skill)}"

    def seen_line(self, skill: str) -> str:
        """Return the line of the student's file that says when a skill was last seen."""
        one = self.standing(skill)
        notes = self.standing(one.warmed_by).evidence if one.warmed_by else one.evidence
        lines = [note.line for note in notes if note.day == one.last_seen and note.counts]
        return self.line(lines[0]) if lines else self.line(one.settled_line)

    # what stands on it

    def stands_on_it(self, skill: str, needed_by: Sequence[str]) -> str:
        """Return why a skill is needed."""
        if needed_by and self.answer.next_unit is not None:
            number = self.course.unit[self.answer.next_unit].number
            return f"Unit {number} builds on it: {self.inventory(needed_by)}."
        if self.course.skill[skill].always_look:
            return "It is looked at in every check of every unit."
        return "It is a safety point of this unit and is never left unfinished."

    def needed_for(self, skill: str, needed_by: Sequence[str]) -> str:
        """Return why a skill decides, in a few words."""
        if needed_by and self.answer.next_unit is not None:
            number = self.course.unit[self.answer.next_unit].number
            return f"needed for {self.names(needed_by)} in unit {number}"
        if self.course.skill[skill].always_look:
            return "looked at in every check"
        return "a safety point of this unit"

    def kept_back(self) -> Iterator[str]:
        """Yield why the earliest possible date is later than all could be there; nothing where it is not."""
        days: dict[str, list[int]] = {}
        for one in self.answer.kept_back:
            days.setdefault(one.because, []).append(one.on)
        for because, found in days.items():
            yield _KEPT_BACK[because].format(listed([self.day(day) for day in found]))

    def first_needed(self, skill: str) -> str:
        """Return where a skill is first needed later in the course."""
        assert self.answer.unit is not None
        later = first_needed(self.course, skill, self.answer.unit)
        if later is None:
            return "no later unit of this course needs it"
        one_of = ", as one of a group" if later.in_group else ""
        return f"first needed in {self.unit(later.unit)}{one_of}"

    def needed_short(self, skill: str) -> str:
        """Return from which unit on a skill is needed, in the few words that a column has room for."""
        assert self.answer.unit is not None
        later = first_needed(self.course, skill, self.answer.unit)
        number = 0 if later is None else self.course.unit[later.unit].number
        return f"needed from unit {number}" if number else "not needed later"

    def open_line(self, skill: str) -> str:
        """Return an open skill of the rest in one sentence."""
        told = {member for group in self.answer.groups if not group.met for member in group.of}
        words = f"{self.titled(skill)}: as above" if skill in told else self.with_note(skill)
        return f"{words}; {self.first_needed(skill)}."

    def with_note(self, skill: str) -> str:
        """Return a skill with its state and the latest note."""
        if self.standing(skill).state == State.STALE:
            return f"{self.titled(skill)}: {self.state(skill)}, {self.last_seen(skill)}"
        last = self.last_note(skill)
        return f"{self.titled(skill)}: {self.state(skill)}{f' ({last})' if last else ''}"

    def advice(self, skill: str) -> tuple[str, ...]:
        """Return the teacher's own sentence about a skill, if there is one."""
        words = tidy(self.course.skill[skill].advice)
        return (f"Your own advice: {words}",) if words else ()

    def to_try(self, skill: str) -> tuple[str, ...]:
        """Return what may be tried for a skill, without what is made for children where nobody is one."""
        one = self.course.skill[skill]
        return tuple(self.activity(one.remedies[number - 1]) for number in activities(one, self.answer.age))

    def activity(self, text: str) -> str:
        """Return an activity as it is said of somebody of this age: a student is no child."""
        words = tidy(text)
        if not self.is_grown:
            return words
        return _CHILD.sub(lambda one: "Student" if one[1] == "C" else "student", words)

    def of_units(self, skills: Iterable[str]) -> str:
        """Return skills in a sentence, those of the next unit marked."""
        ids = tuple(skills)
        here = [skill for skill in ids if self.course.skill[skill].unit != self.answer.next_unit]
        there = [skill for skill in ids if skill not in here]
        parts = [self.inventory(here)] if here else []
        if there:
            parts.append(f"of the next unit: {self.inventory(there)}")
        return "; ".join(parts)


_KEPT_BACK = {
    "on-a-break": "After the weeks away there is no move on {}.",
    "first-lesson-back": "First lesson back on {}: no move that day.",
    "after-a-hold": "Two lessons with playing after the pause come first: no move on {} yet.",
}
"""Why there is no move in a lesson although all could be there (rule R7)."""

_SHORT = {State.SLIPPED: "was secure", State.SET_ASIDE: "set aside"}
