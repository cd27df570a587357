"""What the letter to the school can say: facts, the rule with its number, whose number it is, and dates.

Skills that were set aside by agreement are not named and not counted. Under a hold the school hears
"no playing" and nothing about the body or about where the student stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.advice.placing.presumed import presumed
from readiness.advice.skill_traits import left_out
from readiness.judging.findings import Rule
from readiness.judging.reasons import rules_in
from readiness.terms import State
from readiness.words.blocking import brought_along
from readiness.words.english import ENGLISH
from readiness.words.grammar import capital, counted, listed, number_words, quoted
from readiness.words.letter_words import NAMED_AT_MOST, LetterWords
from readiness.words.reasons import rules_together

__all__ = ["SchoolWords"]


class SchoolWords(LetterWords):
    """The names that a letter to the school may use."""

    def last_lesson(self) -> str:
        """Return the day of the latest lesson."""
        return "" if self._answer.last_lesson is None else self._day(self._answer.last_lesson)

    def lessons(self) -> str:
        """Return how many lesson days the unit has had."""
        return counted(self._answer.lesson_days or 0, "lesson day")

    def usual(self) -> str:
        """Return how many are usual."""
        return str(self._course.unit[self._answer.unit].lesson_weeks) if self._answer.unit else ""

    def secure(self) -> str:
        """Return how much of the unit is secure, what waits for a look, what is unfinished."""
        asked = [one for one in self._course.skills if one.unit == self._answer.unit]
        asked = [one for one in asked if not left_out(one, self._answer)]
        states = [self._state(skill.id) for skill in asked]
        there = states.count(State.SECURE)
        if there == len(asked):
            return f"All of this unit is secure: {counted(there, 'skill')}."
        due = states.count(State.STALE) + states.count(State.WOBBLING)
        likely = presumed(self._course, self._say.record, self._answer)
        unseen = sum(one.id in likely and self._state(one.id) == State.UNTRIED for one in asked)
        rest = len(asked) - there - due - unseen
        parts = [
            counted(there, "is secure", "are secure") if there else "none is secure for now",
            *(
                [
                    counted(
                        due, "was secure and waits for another look", "were secure and wait for another look"
                    )
                ]
                if due
                else []
            ),
            *([f"{counted(unseen, 'was', 'were')} not seen here yet but probably there"] if unseen else []),
            *([counted(rest, "is unfinished", "are unfinished")] if rest else []),
        ]
        return f"Of the {counted(len(asked), 'skill')} of this unit, {listed(parts)}."

    def result(self) -> str:
        """Return the verdict; a decision to stay in its place."""
        answer = self._answer
        if answer.waits_by_decision and answer.decision is not None:
            day = self._day(answer.decision.on)
            return f"By the teacher's decision of {day}, staying with this unit for now."
        number = self._course.unit[answer.next_unit].number if answer.next_unit else None
        words = ENGLISH.verdict(answer.verdict, number, len(answer.taken_along))
        names = f": {self._names(answer.taken_along)}" if answer.taken_along else ""
        return f"Result: {words}{names}."

    def away(self) -> str:
        """Return how long there was no lesson."""
        if self._answer.away is None or self._answer.away_days is None:
            return ""
        weeks = counted(self._answer.away_days // 7, "week")
        return f"{weeks} without a lesson; no new unit in the first lesson back."

    def needed(self) -> str:
        """Return what is needed for the next unit, those in one state together, the rest counted."""
        return " ".join(self._needed())

    def _needed(self) -> Iterator[str]:
        skills = [one.skill for one in self._answer.blockers if one.skill is not None]
        alike: dict[str, list[str]] = {}
        for skill in skills[:NAMED_AT_MOST]:
            alike.setdefault(self._say.state(skill), []).append(quoted(self._course.skill[skill].name))
        shown = [f"{listed(names)} ({state})" for state, names in alike.items()]
        if len(skills) > NAMED_AT_MOST:
            shown.append(f"{len(skills) - NAMED_AT_MOST} more")
        ahead = self._answer.next_unit
        for_what = f"for unit {self._course.unit[ahead].number}" if ahead else "at the end"
        if shown:
            yield f"Needed {for_what}: {listed(shown)}."
        for group in [one.group for one in self._answer.blockers if one.group is not None]:
            yield f"Also needed: {number_words(group.at_least)} of {self._names(group.of)}."
        if (rest := len(self._answer.open_rest)) and not self._answer.is_ready:
            yield f"Also unfinished: {rest}, of which {self._say.carry_limit} may be finished later."

    def before(self) -> str:
        """Return what is unfinished from earlier units (rule R12)."""
        self._told |= dict.fromkeys(one.skill for one in self._answer.brought_along)
        return brought_along(self._say)

    def rule(self) -> str:
        """Return the numbers that decided and where they come from, those of one family together."""
        rules = self._deciding_rules()
        parts = [f"{capital(words)}{_changed(told[0])}" for words, told in rules_together(rules)]
        usual = all(rule.basis.startswith("common practice") for rule in rules)
        whose = f"age {self._answer.band}" if self._answer.band[:1].isdigit() else self._answer.band
        return f"Rule ({whose}{', common practice' if usual else ''}): {'. '.join(parts)}." if parts else ""

    def _deciding_rules(self) -> tuple[Rule, ...]:
        """Return the rules about finishing later and, where something is open, about days and freshness."""
        is_open = bool(self._answer.blockers or self._answer.open_rest)
        wanted = ("days_needed", "fresh_weeks", "carry_limit") if is_open else ("carry_limit",)
        found = [rule for rule in rules_in(self._answer.findings) if rule.rule.partition(".")[0] in wanted]
        return tuple({rule.rule: rule for rule in found}.values())

    def when(self) -> str:
        """Return when it is looked at again, and the earliest move where that may be told."""
        answer = self._answer
        when = "" if answer.next_lesson is None else f"Next look {self._day(answer.next_lesson)}"
        is_told = answer.is_ready or answer.earliest is None or answer.stays
        if when and not is_told and answer.earliest is not None:
            return f"{when}; earliest possible move {self._day(answer.earliest)}."
        return f"{when}." if when else ""

    def start(self) -> str:
        """Return where a new student starts."""
        if self._answer.last_lesson is None:
            return "New here, no lesson noted yet."
        now = self._start()
        patches = f"To catch up on the way: {self._names(now.patches)}." if now.patches else ""
        return self._joined(f"New here; start in {self._unit(now.start)}.", self._perhaps(now), patches)

    def start_rule(self) -> str:
        """Return by which rule the start was found."""
        limit = self._say.carry_limit
        is_are = "is" if limit == 1 else "are"
        most = f"at most {number_words(limit)} of what is asked for {is_are} missing"
        return f"Rule: start where, most likely, {most}."

    def resting(self) -> str:
        """Return that another course is paused; the school hears nothing of the body."""
        resting = self._say.record.resting(self._answer.on)
        if not resting or self._case == "paused":
            return ""
        since = self._day(min(hold.opened for hold in resting))
        return f"Another course is paused for care since {since}, until an adult ends the pause."

    def gently(self) -> str:
        """Return nothing: the school hears nothing of the body."""
        return ""

    def unit(self) -> str:
        """Return the unit as a sentence begins."""
        return capital(super().unit())

    def _names(self, skills: Sequence[str]) -> str:
        names = [quoted(self._course.skill[skill].name) for skill in skills[:NAMED_AT_MOST]]
        more = len(skills) - NAMED_AT_MOST
        return listed([*names, f"{more} more"] if more > 0 else names)


def _changed(rule: Rule) -> str:
    if not rule.changed:
        return ""
    by = f" by {rule.changed_by}" if rule.changed_by else ""
    return f" (changed{by})" if rule.default is None else f" (changed{by}; the default is {rule.default})"
