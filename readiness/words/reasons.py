"""The reasons as they are, for whoever checks them, and the rules in plain words.

The tree of findings is an outline of ids, facts and the file and line of each: no sentence is made there, and
nothing is folded.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, replace
from typing import Final

from readiness.course.band_rules import BAND, BY_KIND
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
# A teacher who disagrees with a verdict mostly disagrees with a number. So every number used
# is shown, with whose it is: the default, or changed, and then the default beside it.

_FADES: Final[Mapping[str, str]] = {
    Fade.FAST: "what is soon lost",
    Fade.MEDIUM: "most things",
    Fade.SLOW: "what lasts long",
}


_NOUNS: Final = ("day", "week")

_FAMILIES: Final[Mapping[str, tuple[str, Mapping[str, str], Callable[[str, object], str]]]] = {
    "days_needed": (
        "secure after", KIND_WORDS,
        lambda kinds, n: f"{'1 day' if n == 1 else f'{n} different days'} for {kinds}",
    ),
    "accepts": (
        "how it must be shown:", KIND_WORDS,
        lambda kinds, n: f"{'a reminder still' if n == Help.CUE else 'only without help'} counts for {kinds}",
    ),
    "fresh_weeks": ("look again:", _FADES, lambda what, n: f"{what} after {n} week{'s' * (n != 1)}"),
}
"""Rules with one number for each kind of skill, or for how soon it fades."""

def rule_value(rule: str, value: object) -> str:
    """Return a rule by its name in the pacing file, with one value, in plain words."""
    family, _, part = rule.partition(".")
    if part and family in _FAMILIES:
        title, names, words = _FAMILIES[family]
        return f"{title} {words(names[part], value)}"
    many = {noun: counted(value, noun) if isinstance(value, int) else f"{value} {noun}s" for noun in _NOUNS}
    said = BAND[rule].said if rule in BAND else f"{rule}: {{n}}"
    return said.format(n=plain_value(value), **many)


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
        BAND[rule.rule].does if rule.rule in BAND else BY_KIND[rule.rule.partition(".")[0]],
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
