"""The reasons as they are, for whoever checks them, and the rules in plain words.

The tree of findings is an outline of ids, facts and the file and line of each: no sentence is made there, and
nothing is folded.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, replace
from typing import Final

from readiness.days import iso
from readiness.judging.findings import Finding, Link, NoteSeen, Numbers, Rule, SettledOn, SkillOpen
from readiness.judging.reasons import rules_in
from readiness.record.model import HELPS
from readiness.terms import Fade, Help
from readiness.words.english import KIND_WORDS
from readiness.words.grammar import capital, counted, listed, tidy
from readiness.words.layout import Paragraph, Section, item, plain

__all__ = [
    "numbers_section", "plain_value", "reasons_outline", "rule_section", "rule_value", "rules_together",
]  # fmt: skip

_DAYS: Final = frozenset({"day", "opened", "last_lesson"})
_SOURCE = re.compile(r"\b([a-z]+)(\d{4})\b")
"""How pacing.toml names what was published: first author and year in one word."""


def reasons_outline(findings: Sequence[Finding], *, full: bool = False) -> Iterator[Paragraph]:
    """Yield findings a line each and then the rules they used; ``full``: the whole outline they make.

    Each is indented as deep as it goes; what rests on nothing is told only if ``full``.
    """
    waiting = [(0, finding) for finding in reversed(findings) if full or not isinstance(finding, Numbers)]
    while waiting:
        depth, finding = waiting.pop()
        short = f"{finding.skill}: {finding.state}" if isinstance(finding, SkillOpen) else _line(finding)
        yield Paragraph(_line(finding) if full else "; ".join((short, *_leaves(finding))), depth, "- ")
        waiting += [(depth + 2, child) for child in reversed(finding.because) if full or child.because]
    for rule in () if full else dict.fromkeys(rules_in(findings)):
        changed = f", changed; the default is {rule.default}" if rule.changed else ""
        yield item(f"{rule.rule} = {_fact(rule.rule, rule.value)}{_written(rule)}{changed}")


def _leaves(finding: Finding) -> Iterator[str]:
    """Yield the days that count, the other days, and what needs it, each with its line."""
    leaves: dict[str, list[str]] = {title: [] for title in _LEAVES}
    apart = []
    for below in finding.because:
        match below:
            case NoteSeen():
                title = "counts" if below.counts else "other days"
                leaves[title].append(f"{iso(below.day)} {HELPS[below.help]}{_written(below)}")
            case Link():
                leaves["needed by"].append(f"{below.by}{_written(below)}")
            case SettledOn():
                leaves["secure with its unit"].append(f"{iso(below.day)}{_written(below)}")
            case _ if not below.because and not isinstance(below, Rule):
                apart.append(_line(below))
    yield from (f"{title} {', '.join(told)}" for title, told in leaves.items() if told)
    yield from apart


_LEAVES: Final = ("counts", "other days", "needed by", "secure with its unit")


def _written(finding: Finding) -> str:
    return "" if finding.place is None else f" [{finding.place.file.name}:{finding.place.line}]"


def _line(finding: Finding) -> str:
    names = (field.name for field in fields(finding) if field.name not in ("place", "because"))
    facts = (f"{name}={_fact(name, getattr(finding, name))}" for name in names)
    return f"{' '.join((finding.id, *facts))}{_written(finding)}"


def _fact(name: str, value: object) -> str:
    if name == "basis":
        return _source(str(value)) or "-"
    match value:
        case bool():
            return "yes" if value else "no"
        case int() if name in _DAYS:
            return iso(value) or ""
        case int() if name == "help":
            return HELPS[value]
        case tuple():
            return ",".join(map(str, value)) or "-"
    return tidy(str(value)) if value not in (None, "") else "-"


def _source(basis: str) -> str:
    return _SOURCE.sub(lambda found: f"{found[1].capitalize()} {found[2]}", tidy(basis))


# The pacing numbers that decided, in plain words, with the line each stands on.
#
# A teacher who disagrees with a verdict mostly disagrees with a number. So every number used
# is shown, with whose it is: the default, or changed, and then the default beside it.

_FADES: Final[Mapping[str, str]] = {
    Fade.FAST: "what is soon lost",
    Fade.MEDIUM: "most things",
    Fade.SLOW: "what lasts long",
}


def _count(value: object, noun: str) -> str:
    return counted(value, noun) if isinstance(value, int) else f"{value} {noun}s"


_SINGLE: Final[Mapping[str, Callable[[object], str]]] = {
    "spread_days": lambda n: f"first and last of those days: at least {_count(n, 'day')} apart",
    "carry_limit": lambda n: f"may be finished later: at most {n}",
    "break_weeks": lambda n: f"a break: {_count(n, 'week')} or more without a lesson",
    "min_unit_factor": lambda n: f"a quick unit: below {n} times its usual lessons",
    "max_unit_factor": lambda n: f"a long unit: above {n} times its usual lessons",
    "stuck_tries": lambda n: f"no change for a while: {_count(n, 'day')} tried in a row",
}
"""Rules of a verdict that are one number each."""

_FAMILIES: Final[Mapping[str, tuple[str, Mapping[str, str], Callable[[str, object], str]]]] = {
    "days_needed": (
        "secure after", KIND_WORDS,
        lambda kinds, n: f"{'1 day' if n == 1 else f'{n} different days'} for {kinds}",
    ),
    "accepts": (
        "how it must be shown:", KIND_WORDS,
        lambda kinds, n: f"{'a reminder still' if n == Help.CUE else 'only without help'} counts for {kinds}",
    ),
    "fresh_weeks": ("look again:", _FADES, lambda what, n: f"{what} after {_count(n, 'week')}"),
}
"""Rules with one number for each kind of skill, or for how soon it fades."""

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


def rule_value(rule: str, value: object) -> str:
    """Return a rule by its name in the pacing file, with one value, in plain words."""
    family, _, part = rule.partition(".")
    if part and family in _FAMILIES:
        title, names, words = _FAMILIES[family]
        return f"{title} {words(names[part], value)}"
    return _SINGLE[rule](value) if rule in _SINGLE else f"{_TITLES.get(rule, rule)}: {plain_value(value)}"


def plain_value(value: object) -> str:
    """Return a value as it is said: a range of one number is that number."""
    if isinstance(value, (tuple, list)):
        return " to ".join(dict.fromkeys(map(str, value)))
    return tidy(str(value))


def rule_section(rule: Rule) -> Section:
    """Return what one rule says, what it does, where it is written, and its source."""
    whose = f"Changed{_by(rule)}; the default is {rule.default}" if rule.changed else "The default"
    return replace(plain(
        f"{capital(rule_value(rule.rule, rule.value))}.",
        _MEANS.get(rule.rule.partition(".")[0], ""),
        f"{whose}{_written(rule)}.",
        f"Source: {_source(rule.basis) or '-'}.",
    ), title=f"{rule.rule}, at age {rule.band}")  # fmt: skip


def rules_together(rules: Iterable[Rule]) -> Iterator[tuple[str, list[Rule]]]:
    """Yield rules in plain words: the defaults of one family in one sentence, each changed one by itself."""
    families: dict[str, list[Rule]] = {}
    for rule in rules:
        families.setdefault(rule.rule.partition(".")[0], []).append(rule)
    for family, members in families.items():
        kept = [rule for rule in members if not rule.changed]
        if kept and family in _FAMILIES:
            title, names, words = _FAMILIES[family]
            alike: dict[object, list[str]] = {}  # the kinds of one value together
            for rule in kept:
                alike.setdefault(rule.value, []).append(names[rule.rule.partition(".")[2]])
            told = [words(listed(kinds), value) for value, kinds in alike.items()]
            both = any(" and " in each for each in told)
            yield f"{title} {'; '.join(told) if both else listed(told)}", kept
        elif kept:
            yield rule_value(kept[0].rule, kept[0].value), kept
        yield from ((rule_value(rule.rule, rule.value), [rule]) for rule in members if rule.changed)


def numbers_section(rules: Iterable[Rule], band: str) -> Section:
    """Return the numbers that decided, and where each is written and whose it is; shown on request."""
    used, parts = tuple(rules), list[Paragraph]()
    for words, members in rules_together(used):
        places = [rule.place for rule in members if rule.place is not None]
        lines = listed([str(place.line) for place in places])
        where = f"{places[0].file.name}:{lines}, " if places else ""
        whose, first = "the default" if len(members) == 1 else "the defaults", members[0]
        if first.changed:
            changed = f"changed{_by(first)}; the default is {first.default}"
            whose = "this course's own number" if first.default is None else changed
        parts.append(item(f"{capital(words)} ({where}{whose})."))
    if used and all(rule.basis.startswith("common practice") for rule in used):
        customs = "These are customs of the trade, not research. Change them if you know better."
        parts.append(Paragraph(customs))
    return Section(f"The rules used (age {band})", tuple(parts), more=True)


def _by(rule: Rule) -> str:
    return f" by {tidy(rule.changed_by)}" if rule.changed_by else ""
