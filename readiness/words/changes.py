"""The words of a change: which verdict before and after, since when, and what made it.

Every cause named here was worked out again with that one thing undone. Nobody is blamed: time passes,
children have birthdays, courses are edited. It ends with what to do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from types import MappingProxyType
from typing import Final

from readiness.advice.changes import Cause, Changed, Fact
from readiness.course.model import FADES, Course
from readiness.editing.course_history import changes_since
from readiness.judging.answer import Answer
from readiness.judging.findings import Rule
from readiness.judging.reasons import pacing_rule
from readiness.record.model import Record
from readiness.terms import Verdict
from readiness.words.brief import plain_verdict
from readiness.words.cautions import caution, closing
from readiness.words.english import STATE_WORDS, VERDICT_BRIEF
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out, under
from readiness.words.phrases import Phrases
from readiness.words.reasons import numbers_section, rule_words

__all__ = ["fact_sentences", "since_then", "tell_changed"]

# The words of the facts behind a change: one fact, one sentence.
#
# Which fact belongs to which cause was worked out elsewhere (``advice.changes``).


def fact_sentences(facts: Iterable[Fact], say: Phrases) -> tuple[str, ...]:
    """Return the facts of one cause as sentences; those not seen from one day on are one sentence."""
    told = tuple(facts)
    return (*_due(told, say), *filter(None, (_fact(fact, say) for fact in told)))


def _fact(fact: Fact, say: Phrases) -> str:
    return _FACT[fact.kind](fact, say) if fact.kind in _FACT else ""


def _state_fact(fact: Fact, say: Phrases) -> str:
    skill = str(fact.skill)
    last = say.last_note(skill)
    seen = f" ({last})" if last else ""
    return f"{say.titled(skill)}: {say.state(skill)}{seen}; without these notes: {_state(fact.before)}."


def _state(state: object) -> str:
    return STATE_WORDS.get(str(state), str(state))


def _due(facts: Iterable[Fact], say: Phrases) -> Iterator[str]:
    """Yield what is not seen lately now and was then, skills of one day and one number of weeks together."""
    groups: dict[str, list[str]] = {}
    for fact in facts:
        if fact.kind == "due" and fact.skill is not None and fact.day is not None:
            weeks = (fact.day - 1 - (say.standing(fact.skill).last_seen or 0)) // 7
            seen = f"{say.last_seen(fact.skill)}; look every {counted(weeks, 'week')}"
            groups.setdefault(f"Look again from {say.day(fact.day)} on ({seen})", []).append(fact.skill)
    for words, skills in groups.items():
        yield f"{words}: {say.names(skills, _NAMES)}."


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


_RULE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "unit": "its unit",
        "kind": "its kind",
        "fade": "how often to look",
        "always_look": "always looked at",
        "safety": "a safety point",
        "must_be_seen": "has to be seen itself",
        "optional_in": "optional at age",
    }
)


def _edited(fact: Fact, say: Phrases) -> str:
    before, after = (_value(one) for one in (fact.before, fact.after))
    return f"{_name(fact, say)}: {_RULE[fact.rule]} was {before}, is {after} (graph.toml:{fact.line})."


def _value(value: object) -> str:
    return {"True": "yes", "False": "no", "": "none"}.get(str(value), str(value))


def _birthday(fact: Fact, say: Phrases) -> str:
    return f"A birthday on {_day(fact, say)}: age {fact.before} before, age {fact.after} since."


_FACT: Final[Mapping[str, Callable[[Fact, Phrases], str]]] = MappingProxyType({
    "lesson": lambda f, say: f"Lesson of {_day(f, say)}{_at(f, say)}{_by(f)}.",
    "settled": lambda f, say: (
        f"Noted as secure on {_day(f, say)}, up to {say.unit(str(f.after))}{_at(f, say)}."
    ),
    "state": _state_fact,
    "unit-start": lambda f, say: (
        f"{capital(say.unit(str(f.after)))} started on {_day(f, say)}{_at(f, say)}."
        if f.after in say.course.unit else ""
    ),
    "set-aside": lambda f, say: f"{_name(f, say)} on {_day(f, say)}{_at(f, say)}.",
    "birthday": _birthday,
    "band-choice": lambda f, say: (
        f"Age {f.after} was chosen on {_day(f, say)}, {f.before} before{_at(f, say)}."
    ),
    "asked-for-now": lambda f, say: f"{_name(f, say)}: asked for at this age now.",
    "optional-now": lambda f, say: f"{_name(f, say)}: optional at this age now.",
    "number": _number,
    "break-begun": lambda f, say: f"{f.after} days without a lesson since {_day(f, say)}.",
    "break-over": lambda _f, _say: "The lessons of review after it are under way.",
    "hold-opened": lambda f, say: f"A pause began on {_day(f, say)}{_at(f, say)}.",
    "hold-closed": lambda f, say: f"A pause ended on {_day(f, say)}{_by(f)}{_at(f, say)}.",
    "edit": lambda f, say: f"{capital(_day(f, say))}{_by(f)}{f': {tidy(str(f.after))}' if f.after else ''}.",
    "skill-new": lambda f, say: f"New in it: {_name(f, say)} (graph.toml:{f.line}).",
    "skill-gone": lambda f, say: f"No longer in it: {_name(f, say)}.",
    "units-edited": lambda _f, _say: "The list of units, or their order, has changed.",
    "link-new": lambda f, say: (
        f"{_name(f, say)} builds on {_name(f, say, f.after)} now (graph.toml:{f.line})."
    ),
    "link-gone": lambda f, say: (
        f"{_name(f, say)} no longer builds on {_name(f, say, f.before)} (graph.toml:{f.line})."
    ),
    "groups-edited": lambda f, say: f"{_name(f, say)}: its groups have changed (graph.toml:{f.line}).",
    "skill-edited": _edited,
    "taught-from": lambda f, say: f"{_name(f, say)} is taught from {_day(f, say)} on.",
    "retired": lambda f, say: f"{_name(f, say)} is no longer taught from {_day(f, say)} on.",
})  # fmt: skip


FACTS_AT_MOST: Final = 10
FACTS_SHORT: Final = 3
"""So many facts a cause are told at first."""
_NAMES: Final = 2
"""So many skills are named in a sentence; more are counted."""


def tell_changed(
    found: Changed, course: Course, record: Record, known_by: str, width: int = 80, *, full: bool = True
) -> str:
    """Return why the answer of one day differs from that of another.

    Args:
        found: what was worked out.
        course: the course as it is on the later day.
        record: the student's record.
        known_by: how the course of the earlier day is known: git, folder, notes or not.
        width: the widest line.
        full: with what made no difference, the rules used and how it was worked out.
    """
    say = Phrases(found.later, course, record)
    numbers = numbers_section(_rules(found, say), found.later.band)
    return lay_out(
        [
            Section("", (Paragraph(_title(found)), *map(Paragraph, _what(found, say)))),
            Section("Why", tuple(_why(found, say))),
            Section(_beside_title(found), tuple(map(item, _beside(found))), more=True),
            Section("Made no difference", tuple(map(item, _idle(found))), more=True),
            replace(numbers, more=True),
            Section("How this was worked out", tuple(map(item, _basis(found, known_by))), more=True),
            Section("Next", tuple(map(item, _to_do(found, say)))),
            *closing(("" if full else "More: --full",), ("C14",), full=full),
        ],
        width,
        full=full,
    )


def _title(found: Changed) -> str:
    days = f"{date_words(found.earlier.on, found.later.on)} to {date_words(found.later.on)}"
    return f"{tidy(found.later.name)} · {days}"


def _what(found: Changed, say: Phrases) -> Iterator[str]:
    if found.asked == "nothing":
        yield "Nothing has changed."
    yield _answer(found.earlier, say)
    if found.followed_from > found.earlier.on:
        yield f"There are very many notes since, so days before {say.day(found.followed_from)} are left out."
    for turn in found.turns:
        yield f"From {say.day(turn.day)} on: {VERDICT_BRIEF[turn.verdict]}."
    yield _answer(found.later, say)
    if found.asked == "in-the-way":
        yield "The verdict is the same; the reasons have changed."


def _answer(answer: Answer, say: Phrases) -> str:
    unit = answer.unit
    where = f" ({say.unit(unit)})" if unit is not None and unit in say.course.unit else ""
    return f"{say.day(answer.on)}: {plain_verdict(answer, say.course)}{where}."


def _why(found: Changed, say: Phrases) -> Iterator[Paragraph]:
    if found.asked == "nothing":
        return
    if not found.restoring:
        yield item("There is no single cause.")
    for cause in found.causes:
        yield item(f"{_CAUSE[cause.id]}.{_alone(cause, found)}")
        words = fact_sentences(cause.facts, say)
        for at, line in enumerate(words[:FACTS_AT_MOST]):
            yield replace(under(line), more=at >= FACTS_SHORT)
        if len(words) > FACTS_AT_MOST:
            yield replace(under(f"And {len(words) - FACTS_AT_MOST} more (--json has all)."), more=True)
    yield from map(item, _together(found))


def _alone(cause: Cause, found: Changed) -> str:
    if not cause.alone:
        return ""
    if found.asked == "verdict":
        return f" Without this: still {VERDICT_BRIEF[found.earlier.verdict]}."
    return " Without this: as before."


def _together(found: Changed) -> Iterator[str]:
    """Yield how the causes act together, where there is more than one."""
    alone = [one[0] for one in found.restoring if len(one) == 1]
    if len(alone) > 1:
        both = "both" if len(alone) == 2 else "all of these"
        yield f"It took {both}: {_names(alone)}."
    for causes in found.restoring:
        if len(causes) > 1:
            yield f"Each of these would have been enough: {_names(causes)}."


def _names(causes: Iterable[str]) -> str:
    return listed([_SHORT[cause] for cause in causes])


def _beside_title(found: Changed) -> str:
    return "What kept it so" if found.asked == "nothing" else "Made a difference too"


def _beside(found: Changed) -> Iterator[str]:
    """Yield what would be said on the later day without each other thing that made a difference."""
    for one in found.beside:
        if one.answer.verdict == found.later.verdict:
            yield f"Without {_SHORT[one.id]}: the same verdict for another reason."
        else:
            yield f"Without {_SHORT[one.id]}: {VERDICT_BRIEF[one.answer.verdict]}."


def _idle(found: Changed) -> Iterator[str]:
    if found.asked != "nothing" and found.without_effect:
        yield f"{capital(_names(found.without_effect))}."
    if found.asked == "nothing" and found.without_effect:
        yield f"Since then: {_names(found.without_effect)}."


def _to_do(found: Changed, say: Phrases) -> Iterator[str]:
    later, ids = found.later, {cause.id for cause in found.causes}
    if later.verdict == Verdict.PAUSED:
        yield caution("C1")
        return
    if "window" in ids and later.look_first:
        yield f"Look first at {say.names(later.look_first, _NAMES)}. One look is enough."
    elif later.one_thing is not None:
        yield f"Start here: {say.name(later.one_thing)}."
    if ids & {"graph", "numbers"}:
        yield "If an edit was not meant to do this, change the line back; or decide otherwise, with a reason."
    if "band" in ids:
        yield (
            "Rules change on a birthday, the child does not. Until the unit ends you can keep the earlier "
            "rules with a [[band_choice]] and a reason."
            if not say.is_adult
            else "You can keep the rules of the earlier age with a [[band_choice]] and a reason."
        )
    if found.asked != "verdict" and found.turns:
        day = date.fromordinal(found.turns[-1].day - 1)
        yield f"For the days between, ask from one of them: --since {day}"
    yield f"All reasons: readiness why {later.student}"


def _rules(found: Changed, say: Phrases) -> tuple[Rule, ...]:
    """Return the numbers behind windows and breaks; the others are told with their cause."""
    ids = {cause.id for cause in found.causes}
    fades = {
        say.course.skill[f.skill].fade for c in found.causes for f in c.facts if f.kind == "due" and f.skill
    }
    names = [f"fresh_weeks.{fade}" for fade in FADES if fade in fades]
    names += ["break_weeks"] if "break" in ids else []
    band = say.course.band[found.later.band]
    return tuple(pacing_rule(say.course, band, name) for name in names)


def _basis(found: Changed, known_by: str) -> Iterator[str]:
    yield _KNOWN_BY[known_by]
    if found.earlier.band != found.later.band:
        yield f"The days to look again are by the rules of age {found.later.band}."
    yield (
        "For each cause the answer was worked out again without that one thing. A note written later "
        "under an earlier day looks like an old one."
    )


_CAUSE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "notes": "New notes",
        "unit": "A new unit, so other skills are needed",
        "set-aside": "Something was set aside by agreement",
        "window": "Time passed, with nothing new noted",
        "band": "The rules of another age",
        "break": "A break",
        "hold": "A pause, because something hurts",
        "graph": "The skill graph was edited",
        "numbers": "Rules of the pacing were changed",
        "dated": "Skills of the course that start or stop on a day",
    }
)
_SHORT: Final[Mapping[str, str]] = MappingProxyType(
    {
        "notes": "the new notes",
        "unit": "the new unit",
        "set-aside": "the skills set aside",
        "window": "the time that passed",
        "band": "the other age",
        "break": "the break",
        "hold": "the pause",
        "graph": "the edited skill graph",
        "numbers": "the changed rules",
        "dated": "the skills that start or stop on a day",
    }
)
_KNOWN_BY: Final[Mapping[str, str]] = MappingProxyType(
    {
        "git": "The course of the earlier day was taken from the history of its folder (git).",
        "folder": "The course of the earlier day is the one in the folder you named.",
        "notes": "The rules of the earlier day are the defaults, by the dated [[change]] blocks.",
        "not": (
            "The course of today was used for both days: its folder has no history (git), and no older copy "
            "was named (--old-course). An edit since then cannot be seen."
        ),
    }
)


def since_then(course: Course, day: int, today: int) -> str:
    """Return in a sentence that a past day is answered by what was changed since; empty where nothing was."""
    changed = [
        f"{rule} at age {band} ({date_words(on)})"
        for on, band, rule, *_ in (changes_since(course, day, today) if day < today else ())
    ]
    if any(day < one <= today for one in (course.entire or course).turning_days):
        changed.append("skills that started or stopped, which are read as they were that day")
    if not changed:
        return ""
    return (
        f"{date_words(day)} is answered with the course and the rules of today. Changed since: "
        f"{listed(changed)}."
    )
