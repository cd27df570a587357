"""The reasons as they are, for whoever checks them: the tree of findings as an outline.

No sentence is made here and nothing is folded: ids, facts and the file and line of each.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields
from typing import Final

from readiness.days import iso
from readiness.judging.findings import Finding, Link, NoteSeen, Numbers, Rule, SettledOn, SkillOpen
from readiness.judging.reasons import rules_in
from readiness.record.model import HELPS
from readiness.terms import Fade, Help, Kind
from readiness.words.grammar import KIND_WORDS, capital, counted, listed, tidy, wrap
from readiness.words.layout import Paragraph, Section, item, lay_out

__all__ = [
    "RULE_WORDS", "numbers_section", "plain_value", "rule_value", "rule_words", "tell_reasons", "tell_rule",
]  # fmt: skip

_DAYS = frozenset({"day", "opened", "last_lesson"})
_SOURCE = re.compile(r"\b([a-z]+)(\d{4})\b")
"""How pacing.toml names what was published: first author and year in one word."""
_APART = frozenset({"place", "because"})


def tell_reasons(findings: Iterable[Finding], width: int = 80, *, full: bool = False) -> str:
    """Return findings a line each and then the rules they used; ``full``: the whole outline they make."""
    told = tuple(findings)
    lines: list[str] = []
    for indent, words in _outline(told) if full else _in_short(told):
        lines += wrap(words, width, indent=min(indent, width // 2), lead="- ")
    return "".join(f"{line}\n" for line in lines)


def _outline(findings: Sequence[Finding]) -> Iterator[tuple[int, str]]:
    """Yield each finding and how far it is indented, as deep as they go."""
    waiting = [(finding, 0) for finding in findings][::-1]
    while waiting:
        finding, depth = waiting.pop()
        yield 2 * depth, _line(finding)
        waiting += [(child, depth + 1) for child in finding.because[::-1]]


def _in_short(findings: Sequence[Finding]) -> Iterator[tuple[int, str]]:
    """Yield a line a finding with the days and links it rests on, then each rule once."""
    waiting = [(one, 0) for one in findings if not isinstance(one, Numbers)][::-1]
    while waiting:
        finding, depth = waiting.pop()
        yield depth, "; ".join(filter(None, (_head(finding), *_leaves(finding))))
        deeper = [one for one in finding.because if one.because]
        waiting += [(one, depth + 2) for one in deeper[::-1]]
    for rule in dict.fromkeys(rules_in(findings)):
        yield 0, f"{rule.rule} = {_fact(rule.rule, rule.value)}{_written(rule)}{_changed_mark(rule)}"


def _head(finding: Finding) -> str:
    if isinstance(finding, SkillOpen):
        return f"{finding.skill}: {finding.state}"
    return _line(finding)


def _leaves(finding: Finding) -> Iterator[str]:
    """Yield the days that count, the other days, and what needs it, each with its line."""
    notes = [one for one in finding.because if isinstance(one, NoteSeen)]
    for title, counts in (("counts", True), ("other days", False)):
        days = [f"{iso(one.day)} {HELPS[one.help]}{_written(one)}" for one in notes if one.counts is counts]
        if days:
            yield f"{title} {', '.join(days)}"
    links = [f"{one.by}{_written(one)}" for one in finding.because if isinstance(one, Link)]
    if links:
        yield f"needed by {', '.join(links)}"
    since = [f"{iso(one.day)}{_written(one)}" for one in finding.because if isinstance(one, SettledOn)]
    if since:
        yield f"secure with its unit {', '.join(since)}"
    apart = (NoteSeen, Link, Rule, SettledOn)
    yield from (_line(one) for one in finding.because if not one.because and not isinstance(one, apart))


def _written(finding: Finding) -> str:
    return "" if finding.place is None else f" [{finding.place.file.name}:{finding.place.line}]"


def _changed_mark(rule: Rule) -> str:
    return f", changed; the default is {rule.default}" if rule.changed else ""


def _line(finding: Finding) -> str:
    facts = [
        f"{one.name}={_fact(one.name, getattr(finding, one.name))}"
        for one in fields(finding)
        if one.name not in _APART
    ]
    return f"{' '.join((finding.id, *facts))}{_written(finding)}"


def _fact(name: str, value: object) -> str:
    if name in _DAYS and isinstance(value, int):
        return iso(value) or ""
    if name == "help" and isinstance(value, int):
        return HELPS[value]
    if name == "basis":
        return _SOURCE.sub(lambda found: f"{found[1].capitalize()} {found[2]}", tidy(str(value))) or "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ",".join(map(str, value)) or "-"
    return tidy(str(value)) if value not in (None, "") else "-"


# The pacing numbers that decided, in plain words, with the line each stands on.
#
# A teacher who disagrees with a verdict mostly disagrees with a number. So every number used
# is shown, with whose it is: the default, or changed, and then the default beside it.

_FADES: Final[Mapping[str, str]] = {
    Fade.FAST: "what is soon lost",
    Fade.MEDIUM: "most things",
    Fade.SLOW: "what lasts long",
}


def _help(value: object) -> str:
    return "a reminder still counts" if value == Help.CUE else "only without help counts"


RULE_WORDS: Final[Mapping[str, Callable[[object], str]]] = {
    "spread_days": lambda n: f"first and last of those days: at least {_count(n, 'day')} apart",
    "carry_limit": lambda n: f"may be finished later: at most {n}",
    "break_weeks": lambda n: f"a break: {_count(n, 'week')} or more without a lesson",
    "min_unit_factor": lambda n: f"a quick unit: below {n} times its usual lessons",
    "max_unit_factor": lambda n: f"a long unit: above {n} times its usual lessons",
    "stuck_tries": lambda n: f"no change for a while: {_count(n, 'day')} tried in a row",
}
"""Rules that are one number each."""

_TITLES: Final[Mapping[str, str]] = {
    "activity_minutes": "minutes for one activity",
    "new_skills_per_lesson": "new things in a lesson",
    "new_skills_per_lesson_max": "new things in a lesson, at most",
    "review_share": "share of the lesson for what is known",
    "check_minutes": "minutes for a check",
    "check_items_max": "things on a check sheet, at most",
    "check_gap_days": "days between two checks",
    "practice_minutes_day": "minutes of practice a day",
    "practice_days_week": "days of practice a week",
    "play_without_pause_minutes": "minutes of playing without a pause",
    "adult_beside": "an adult sits beside",
    "beat_range": "beats in a minute",
    "lesson_minutes": "minutes of a lesson",
    "lesson_minutes_range": "minutes that a lesson may have",
    "from_age": "from the age of",
    "practice_rise_percent_week": "hundredths by which practice may rise in a week",
    "review_lessons": "lessons for going over things",
    "same_day": "of several notes on one day",
    "note": "note",
}
"""What other rules are about; their value stands behind it."""

_FAMILIES: Final[Mapping[str, tuple[str, Callable[[str, object], str]]]] = {
    "days_needed": ("different days needed", lambda kind, n: f"{KIND_WORDS[Kind(kind)]} {n}"),
    "accepts": ("how it must be shown", lambda kind, n: f"{KIND_WORDS[Kind(kind)]}: {_help(n)}"),
    "fresh_weeks": ("look again", lambda fade, n: f"{_FADES[fade]} after {_count(n, 'week')}"),
}
"""Rules with one number for each kind of skill, or for how soon it fades."""

def _count(value: object, noun: str) -> str:
    return counted(value, noun) if isinstance(value, int) else f"{value} {noun}s"


def rule_words(rule: Rule) -> str:
    """Return one number in plain words."""
    return rule_value(rule.rule, rule.value)


def rule_value(rule: str, value: object) -> str:
    """Return a rule by its name in the pacing file, with one value, in plain words."""
    family, _, part = rule.partition(".")
    if family in _FAMILIES and part:
        title, words = _FAMILIES[family]
        return f"{title}: {words(part, value)}"
    if rule in RULE_WORDS:
        return RULE_WORDS[rule](value)
    return f"{_TITLES.get(rule, rule)}: {plain_value(value)}"


_MEANS: Final[Mapping[str, str]] = {
    "days_needed": "A skill is secure after so many different days. One good day may be luck.",
    "spread_days": "The first and the last of those days lie so far apart, so that it lasts.",
    "accepts": "A day counts where there was no more help than this.",
    "fresh_weeks": "After so many weeks a skill is looked at again. It is not lost, only not seen lately.",
    "carry_limit": (
        "So many things of a unit may be unfinished at the move. None of them is about safety, looked at in "
        "every check, or needed straight away in the next unit."
    ),
    "break_weeks": "After so long without a lesson, the first one back is for looking, and a new unit waits.",
    "min_unit_factor": "Fewer lessons than this in a unit are quick, which never holds a move up.",
    "max_unit_factor": "More lessons than this in a unit are long, which never holds a move up.",
    "stuck_tries": "After so many days in a row without less help, another way in is suggested.",
}
"""What each rule of a verdict does."""


def tell_rule(rule: Rule, width: int = 80) -> str:
    """Return what one rule says, what it does, where it is written, and its source."""
    family = rule.rule.partition(".")[0]
    by = f" by {tidy(rule.changed_by)}" if rule.changed_by else ""
    whose = f"Changed{by}; the default is {rule.default}" if rule.changed else "The default"
    where = f"{whose}{_written(rule)}."
    source = f"Source: {_fact('basis', rule.basis)}."
    told = (f"{capital(rule_words(rule))}.", _MEANS.get(family, ""), where, source)
    title = f"{rule.rule}, at age {rule.band}"
    return lay_out([Section(title, tuple(map(Paragraph, filter(None, told))))], width)


def plain_value(value: object) -> str:
    """Return a value as it is said: a range of one number is that number."""
    if isinstance(value, (tuple, list)):
        return " to ".join(dict.fromkeys(map(str, value)))
    return tidy(str(value))


def numbers_section(rules: Iterable[Rule], band: str) -> Section:
    """Return the numbers that decided, those of one family together."""
    ordered = tuple(rules)
    lines = []
    for family in dict.fromkeys(rule.rule.partition(".")[0] for rule in ordered):
        mine = [rule for rule in ordered if rule.rule.partition(".")[0] == family]
        kept = [rule for rule in mine if not rule.changed]
        lines += [_default(family, kept)] if kept else []
        lines += [_changed(rule) for rule in mine if rule.changed]
    return Section(f"The rules used (age {band})", (*map(item, lines), *_basis(ordered)))


def _default(family: str, rules: Sequence[Rule]) -> str:
    """Return rules of one family that are the defaults, in one sentence."""
    where = _lines(rules)
    if family not in _FAMILIES:
        return f"{capital(rule_words(rules[0]))} ({where}the default)."
    title, words = _FAMILIES[family]
    parts = [words(rule.rule.partition(".")[2], rule.value) for rule in rules]
    if family == "accepts":
        return f"{capital(title)}: {_by_help(rules)} ({where}{_defaults(rules)})."
    return f"{capital(title)}: {listed(parts)} ({where}{_defaults(rules)})."


def _by_help(rules: Sequence[Rule]) -> str:
    """Return the kinds of skill by how they must be shown."""
    parts = []
    for value in dict.fromkeys(rule.value for rule in rules):
        kinds = [KIND_WORDS[Kind(rule.rule.partition(".")[2])] for rule in rules if rule.value == value]
        parts.append(f"{_help(value)} for {listed(kinds)}")
    return "; ".join(parts)


def _changed(rule: Rule) -> str:
    by = f" by {tidy(rule.changed_by)}" if rule.changed_by else ""
    if rule.default is None:
        return f"{capital(rule_words(rule))} ({_lines([rule])}this course's own number)."
    return f"{capital(rule_words(rule))} ({_lines([rule])}changed{by}; the default is {rule.default})."


def _lines(rules: Sequence[Rule]) -> str:
    """Return where rules stand: "pacing.toml:34, 35 and 36, ", empty when they stand nowhere."""
    places = [rule.place for rule in rules if rule.place is not None]
    if not places:
        return ""
    return f"{places[0].file.name}:{listed([str(place.line) for place in places])}, "


def _defaults(rules: Sequence[Rule]) -> str:
    return "the default" if len(rules) == 1 else "the defaults"


def _basis(rules: Sequence[Rule]) -> tuple[Paragraph, ...]:
    if rules and all(rule.basis.startswith("common practice") for rule in rules):
        return (
            Paragraph("These are customs of the trade, not research. Change them if you know better."),
        )
    return ()
