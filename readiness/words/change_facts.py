"""The words of the facts behind a change: one fact, one sentence.

Which fact belongs to which cause was worked out elsewhere (``planning.change_facts``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from readiness.judging.reasons import pacing_rule
from readiness.planning.change_facts import Fact
from readiness.words.grammar import capital, counted, quoted, tidy
from readiness.words.numbers import rule_words
from readiness.words.phrases import Phrases

__all__ = ["fact_sentences"]


def fact_sentences(facts: Iterable[Fact], say: Phrases) -> tuple[str, ...]:
    """Return the facts of one cause as sentences; what is due on one day is one sentence."""
    told = tuple(facts)
    return (*_due(told, say), *filter(None, (_fact(fact, say) for fact in told)))


def _fact(fact: Fact, say: Phrases) -> str:
    return _FACT[fact.kind](fact, say) if fact.kind in _FACT else ""


def _state_fact(fact: Fact, say: Phrases) -> str:
    skill = str(fact.skill)
    last = say.last_note(skill)
    seen = f" ({last})" if last else ""
    return f"{say.titled(skill)}: {say.state(skill)}{seen}; without these notes {_state(fact.before)}."


def _state(state: object) -> str:
    return _STATE.get(str(state), str(state))


def _due(facts: Iterable[Fact], say: Phrases) -> Iterator[str]:
    """Yield what is due now and was not, those of one day and one window together."""
    groups: dict[str, list[str]] = {}
    for fact in facts:
        if fact.kind == "due" and fact.skill is not None and fact.day is not None:
            one = say.standing(fact.skill)
            weeks = counted((fact.day - 1 - (one.last_seen or 0)) // 7, "week")
            words = (
                f"Due for a look from {say.day(fact.day)} on ({say.last_seen(fact.skill)}; window {weeks})"
            )
            groups.setdefault(words, []).append(fact.skill)
    for words, skills in groups.items():
        yield f"{words}: {say.names(skills, len(skills))}."


def _by(fact: Fact) -> str:
    return f", by {tidy(fact.by)}" if fact.by else ""


def _at(fact: Fact, say: Phrases) -> str:
    return f" ({say.line(fact.line)})" if fact.line else ""


def _day(fact: Fact, say: Phrases) -> str:
    return say.day(fact.day) if fact.day is not None else "a day not noted"


def _name(fact: Fact, say: Phrases, skill: object = None) -> str:
    """Return a skill's name; one that is in the course no more by its id."""
    one = str(skill or fact.skill)
    return say.titled(one) if one in say.course.skill else quoted(one)


def _number(fact: Fact, say: Phrases) -> str:
    where = f", pacing.toml:{fact.line}" if fact.line else ""
    rule = pacing_rule(say.course, say.course.band[say.answer.band], fact.rule)
    words = capital(rule_words(replace(rule, value=fact.after)))
    return f"{words}; before: {fact.before}{where}{_by(fact)}."


_STATE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "secure": "settled",
        "building": "part-way",
        "untried": "not asked yet",
        "wobbling": "settled, with one off day",
        "stale": "due for a look",
        "slipped": "come loose",
        "with-help": "shown with help",
        "not-shown": "not shown yet",
        "set-aside": "set aside",
    }
)
_RULE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "unit": "its unit",
        "kind": "its kind",
        "fade": "how soon it fades",
        "always_look": "always looked at",
        "safety": "a safety point",
        "must_be_seen": "has to be seen itself",
        "optional_in": "optional in the bands",
    }
)


def _edited(fact: Fact, say: Phrases) -> str:
    before, after = (_value(one) for one in (fact.before, fact.after))
    return f"{_name(fact, say)}: {_RULE[fact.rule]} was {before}, is {after} (graph.toml:{fact.line})."


def _value(value: object) -> str:
    return {"True": "yes", "False": "no", "": "none"}.get(str(value), str(value))


def _birthday(fact: Fact, say: Phrases) -> str:
    return f"A birthday on {_day(fact, say)}: band {fact.before} before, band {fact.after} since."


_FACT: Final[Mapping[str, Callable[[Fact, Phrases], str]]] = MappingProxyType({
    "lesson": lambda f, say: f"Lesson of {_day(f, say)}{_at(f, say)}{_by(f)}.",
    "settled": lambda f, say: (
        f"Noted as settled on {_day(f, say)}, up to {say.unit(str(f.after))}{_at(f, say)}."
    ),
    "state": _state_fact,
    "unit-start": lambda f, say: (
        f"{capital(say.unit(str(f.after)))} began on {_day(f, say)}{_at(f, say)}."
        if f.after in say.course.unit else ""
    ),
    "set-aside": lambda f, say: f"{_name(f, say)} on {_day(f, say)}{_at(f, say)}.",
    "birthday": _birthday,
    "band-choice": lambda f, say: (
        f"Band {f.after} was chosen on {_day(f, say)}, {f.before} before{_at(f, say)}."
    ),
    "asked-for-now": lambda f, say: f"{_name(f, say)}: asked for at this age now.",
    "optional-now": lambda f, say: f"{_name(f, say)}: optional at this age now.",
    "number": _number,
    "break-begun": lambda f, say: f"{f.after} days without a lesson since {_day(f, say)}.",
    "break-over": lambda _f, _say: "The lessons of review after it are under way.",
    "hold-opened": lambda f, say: f"A hold was opened on {_day(f, say)}{_at(f, say)}.",
    "hold-closed": lambda f, say: f"A hold was closed on {_day(f, say)}{_by(f)}{_at(f, say)}.",
    "edit": lambda f, say: f"{capital(_day(f, say))}{_by(f)}{f': {tidy(str(f.after))}' if f.after else ''}.",
    "skill-new": lambda f, say: f"New in it: {_name(f, say)} (graph.toml:{f.line}).",
    "skill-gone": lambda f, say: f"No longer in it: {_name(f, say)}.",
    "units-edited": lambda _f, _say: "The list of units, or their order, is another one.",
    "link-new": lambda f, say: (
        f"{_name(f, say)} stands on {_name(f, say, f.after)} now (graph.toml:{f.line})."
    ),
    "link-gone": lambda f, say: (
        f"{_name(f, say)} stood on {_name(f, say, f.before)} and does not now (graph.toml:{f.line})."
    ),
    "groups-edited": lambda f, say: f"{_name(f, say)}: its groups are others (graph.toml:{f.line}).",
    "skill-edited": _edited,
    "taught-from": lambda f, say: f"{_name(f, say)} is taught from {_day(f, say)} on.",
    "retired": lambda f, say: f"{_name(f, say)} is taught no more from {_day(f, say)} on.",
})  # fmt: skip
