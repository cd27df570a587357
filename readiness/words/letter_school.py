"""What to say to the school: facts, the rule with its number, whose number it is, and dates.

Skills that were set aside by agreement are not named and not counted. Under a hold the
school hears "no playing" and nothing about the body or about where the student stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.advice.placing.presumed import presumed
from readiness.advice.placing.round import placing_round
from readiness.advice.skill_traits import left_out
from readiness.judging.findings import Rule
from readiness.judging.reasons import rules_in
from readiness.terms import State, Verdict
from readiness.words.brief import plain_verdict
from readiness.words.grammar import capital, counted, date_words, listed, number_words, quoted
from readiness.words.phrases import Phrases
from readiness.words.placing_round import perhaps_words
from readiness.words.reasons import rule_words
from readiness.words.why import brought_along

__all__ = ["school_sentences"]

NAMED_AT_MOST = 4
_DUE = "{} settled and {} due for another look"
_UNSEEN = "{} not seen here yet but probably there"


def school_sentences(say: Phrases, named: str) -> tuple[str, ...]:
    """Return the letter to the school, sentence by sentence; ``named`` is whom it is about."""
    answer = say.answer
    head = f"{named}, {date_words(answer.on)}."
    if answer.verdict == Verdict.PAUSED:
        return (head, *_paused(say))
    told = _placed(say) if answer.placing is None else _placing(say)
    return (head, *told, *_resting(say))


def _resting(say: Phrases) -> Iterator[str]:
    resting = say.record.resting(say.answer.on)
    if resting:
        since = say.day(min(hold.opened for hold in resting))
        yield f"Another course is paused for care since {since}, until an adult closes the hold."


def _paused(say: Phrases) -> Iterator[str]:
    since = min(hold.opened for hold in say.record.holds if hold.is_open(say.answer.on))
    yield f"No playing since {say.day(since)}, until an adult closes the hold."
    yield "Lessons go on without playing where that is comfortable."
    yield f"Next lesson {say.day(say.answer.next_lesson)}."


def _placing(say: Phrases) -> Iterator[str]:
    placing = say.answer.placing
    assert placing is not None
    if say.answer.last_lesson is None:
        yield "New here, no lesson noted yet."
    else:
        now = placing_round(say.course, say.record, say.answer.on)
        yield f"New here; start in {say.unit(now.start)}. {perhaps_words(now, say.course)}".strip()
        if now.patches:
            yield f"To strengthen on the way: {_named(say, now.patches)}."
        if placing.provisional:
            yield "Provisional until a second lesson."
    limit = say.carry_limit
    few = f"at most {number_words(limit)} of what is asked for {_is_missing(limit)}"
    yield f"Rule: start where, most likely, {few}."
    yield f"Next look {say.day(say.answer.next_lesson)}."


def _is_missing(limit: int) -> str:
    return "is missing" if limit == 1 else "are missing"


def _placed(say: Phrases) -> Iterator[str]:
    answer = say.answer
    assert answer.unit is not None
    usual = say.course.unit[answer.unit].lesson_weeks
    days = counted(answer.lesson_days or 0, "lesson day")
    yield f"{capital(say.unit(answer.unit))}: {days} (usual {usual})."
    yield _settled(say)
    yield f"Result: {plain_verdict(answer, say.course)}{_along(say)}."
    if answer.away is not None and answer.away_days is not None:
        weeks = counted(answer.away_days // 7, "week")
        yield f"{weeks} without a lesson; no new unit in the first lesson back."
    yield from _open(say)
    yield from filter(None, (brought_along(say), _rules(say), _basis(say)))
    yield _dates(say)


def _along(say: Phrases) -> str:
    return f" {_named(say, say.answer.taken_along)}" if say.answer.taken_along else ""


def _settled(say: Phrases) -> str:
    """Return how much of the unit is settled, how much was and waits for a look, and how much is open."""
    asked = [
        skill
        for skill in say.course.skills
        if skill.unit == say.answer.unit and not left_out(skill, say.answer)
    ]
    states = [say.standing(skill.id).state for skill in asked]
    there = states.count(State.SECURE)
    if there == len(asked):
        return f"All of this unit is settled: {counted(there, 'skill')}."
    due = states.count(State.STALE) + states.count(State.WOBBLING)
    likely = presumed(say.course, say.record, say.answer)
    unseen = sum(skill.id in likely and say.standing(skill.id).state == State.UNTRIED for skill in asked)
    parts = [
        counted(there, "is settled", "are settled") if there else "none is settled for now",
        *([counted(due, _DUE.format("was", "is"), _DUE.format("were", "are"))] if due else []),
        *([counted(unseen, _UNSEEN.format("was"), _UNSEEN.format("were"))] if unseen else []),
        *([counted(rest, "is open", "are open")] if (rest := len(asked) - there - due - unseen) else []),
    ]
    return f"Of the {counted(len(asked), 'skill')} of this unit, {listed(parts)}."


def _open(say: Phrases) -> Iterator[str]:
    """Return what decides and is open, and whether the next unit stands on it."""
    skills = [one for one in say.answer.blockers if one.skill is not None]
    alike: dict[str, list[str]] = {}
    for one in skills[:NAMED_AT_MOST]:
        assert one.skill is not None
        alike.setdefault(say.state(one.skill), []).append(quoted(say.course.skill[one.skill].name))
    shown = [f"{listed(names)} ({state})" for state, names in alike.items()]
    more = len(skills) - NAMED_AT_MOST
    if more > 0:
        shown.append(f"{more} more")
    if shown:
        direct = [one for one in skills if one.needed_by]
        yield f"Decides: {listed(shown)}."
        if direct and say.answer.next_unit is not None:
            number = say.course.unit[say.answer.next_unit].number
            yield f"Unit {number} stands directly on {_how_many(len(direct), len(skills))}."
    for one in say.answer.blockers:
        if one.group is not None:
            yield f"Also needed: {number_words(one.group.at_least)} of {_named(say, one.group.of)}."
    if say.answer.open_rest and not say.answer.is_ready:
        of_it = ("other skill of the unit is", "other skills of the unit are")
        count = counted(len(say.answer.open_rest), *of_it)
        yield f"{count} not settled at present; at most {say.carry_limit} may come along."


def _how_many(some: int, of: int) -> str:
    if some == of:
        return {1: "it", 2: "both"}.get(of, "all of them")
    return f"{some} of them"


def _rules(say: Phrases) -> str:
    """Return the numbers that decided and where they come from, those of one family together."""
    rules = _deciding_rules(say)
    parts: dict[str, list[str]] = {}
    for rule in rules:
        title, _, words = rule_words(rule).partition(": ")
        parts.setdefault(title, []).append(f"{words}{_changed(rule)}")
    if not parts:
        return ""
    usual = all(rule.basis.startswith("common practice") for rule in rules)
    basis = ", common practice" if usual else ""
    said = "; ".join(f"{title}: {listed(words)}" for title, words in parts.items())
    return f"Rule (band {say.answer.band}{basis}): {said}."


def _deciding_rules(say: Phrases) -> tuple[Rule, ...]:
    """Return the rules about what may come along, and for what is open about days and freshness."""
    is_open = bool(say.answer.blockers or say.answer.open_rest)
    wanted = ("days_needed", "fresh_weeks", "carry_limit") if is_open else ("carry_limit",)
    found = [rule for rule in rules_in(say.answer.findings) if rule.rule.partition(".")[0] in wanted]
    return tuple({rule.rule: rule for rule in found}.values())


def _changed(rule: Rule) -> str:
    if not rule.changed:
        return ""
    by = f" by {rule.changed_by}" if rule.changed_by else ""
    shipped = "there is no default" if rule.default is None else f"the default is {rule.default}"
    return f" (changed{by}; {shipped})"


def _basis(say: Phrases) -> str:
    last = say.answer.last_lesson
    return "" if last is None else f"Basis: the teacher's lesson notes up to {say.day(last)}."


def _dates(say: Phrases) -> str:
    answer = say.answer
    when = f"Next look {say.day(answer.next_lesson)}"
    if answer.is_ready or answer.earliest is None:
        return f"{when}."
    return f"{when}; earliest possible move {say.day(answer.earliest)}."


def _named(say: Phrases, skills: Sequence[str]) -> str:
    return say.names(skills, NAMED_AT_MOST)
