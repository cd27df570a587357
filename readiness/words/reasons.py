"""The reasons as they are, for whoever checks them, and the rules in plain words.

The tree of findings is an outline of ids, facts and the file and line of each: no sentence is made there, and
nothing is folded.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields
from typing import Final

from readiness.course.band_rules import BAND, BY_KIND
from readiness.days import iso
from readiness.judging.findings import Finding, Link, NoteSeen, Numbers, Rule, SettledOn, SkillOpen
from readiness.judging.reasons import rules_in
from readiness.record.model import HELPS
from readiness.terms import Fade, Help
from readiness.words.english import KIND_WORDS
from readiness.words.grammar import capital, counted, listed, tidy, wrap
from readiness.words.layout import Paragraph, Section, item, lay_out, plain

__all__ = [
    "numbers_section", "plain_value", "rule_value", "rules_together", "tell_reasons",
    "tell_rule",
]  # fmt: skip

_DAYS: Final = frozenset({"day", "opened", "last_lesson"})
_SOURCE = re.compile(r"\b([a-z]+)(\d{4})\b")
"""How pacing.toml names what was published: first author and year in one word."""


def tell_reasons(findings: Sequence[Finding], width: int = 80, *, full: bool = False) -> str:
    """Return findings a line each and then the rules they used; ``full``: the whole outline they make."""
    lines: list[str] = []
    for depth, finding in _outline(findings, full=full):
        short = f"{finding.skill}: {finding.state}" if isinstance(finding, SkillOpen) else _line(finding)
        words = _line(finding) if full else "; ".join((short, *_leaves(finding)))
        lines += wrap(words, width, indent=min(depth, width // 2), lead="- ")
    for rule in () if full else dict.fromkeys(rules_in(findings)):
        changed = f", changed; the default is {rule.default}" if rule.changed else ""
        words = f"{rule.rule} = {_fact(rule.rule, rule.value)}{_written(rule)}{changed}"
        lines += wrap(words, width, lead="- ")
    return "".join(f"{line}\n" for line in lines)


def _outline(findings: Sequence[Finding], *, full: bool) -> Iterator[tuple[int, Finding]]:
    """Yield findings and how far each is indented, as deep as they go; what rests on nothing if ``full``."""
    waiting = [(0, finding) for finding in reversed(findings) if full or not isinstance(finding, Numbers)]
    while waiting:
        depth, finding = waiting.pop()
        yield depth, finding
        waiting += [(depth + 2, child) for child in reversed(finding.because) if full or child.because]


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


def tell_rule(rule: Rule, width: int = 80) -> str:
    """Return what one rule says, what it does, where it is written, and its source."""
    whose = f"Changed{_by(rule)}; the default is {rule.default}" if rule.changed else "The default"
    told = plain(
        f"{capital(rule_value(rule.rule, rule.value))}.",
        BAND[rule.rule].does if rule.rule in BAND else BY_KIND[rule.rule.partition(".")[0]],
        f"{whose}{_written(rule)}.",
        f"Source: {_source(rule.basis) or '-'}.",
    )
    return lay_out([Section(f"{rule.rule}, at age {rule.band}", told.paragraphs)], width)


def rules_together(rules: Iterable[Rule]) -> Iterator[tuple[str, list[Rule]]]:
    """Yield rules in plain words: the defaults of one family in one sentence, each changed one by itself."""
    families: dict[str, list[Rule]] = {}
    for rule in rules:
        families.setdefault(rule.rule.partition(".")[0], []).append(rule)
    for family, members in families.items():
        if kept := [rule for rule in members if not rule.changed]:
            yield _of_family(family, kept), kept
        yield from ((rule_value(rule.rule, rule.value), [rule]) for rule in members if rule.changed)


def _of_family(family: str, rules: Sequence[Rule]) -> str:
    """Return rules of one family, the kinds of one value together."""
    if family not in _FAMILIES:
        return rule_value(rules[0].rule, rules[0].value)
    title, names, words = _FAMILIES[family]
    kinds: dict[object, list[str]] = {}
    for rule in rules:
        kinds.setdefault(rule.value, []).append(names[rule.rule.partition(".")[2]])
    told = [words(listed(alike), value) for value, alike in kinds.items()]
    return f"{title} {'; '.join(told) if any(' and ' in each for each in told) else listed(told)}"


def numbers_section(rules: Iterable[Rule], band: str) -> Section:
    """Return the numbers that decided, and where each is written; shown on request."""
    used = tuple(rules)
    parts = [item(f"{capital(words)} ({_whose(members)}).") for words, members in rules_together(used)]
    if used and all(rule.basis.startswith("common practice") for rule in used):
        customs = "These are customs of the trade, not research. Change them if you know better."
        parts.append(Paragraph(customs))
    return Section(f"The rules used (age {band})", tuple(parts), more=True)


def _whose(rules: Sequence[Rule]) -> str:
    """Return where rules stand, and whose they are: "pacing.toml:34, 35 and 36, the defaults"."""
    places = [rule.place for rule in rules if rule.place is not None]
    lines = listed([str(place.line) for place in places])
    whose = "the default" if len(rules) == 1 else "the defaults"
    if rules[0].changed:
        changed = f"changed{_by(rules[0])}; the default is {rules[0].default}"
        whose = "this course's own number" if rules[0].default is None else changed
    return f"{places[0].file.name}:{lines}, {whose}" if places else whose


def _by(rule: Rule) -> str:
    return f" by {tidy(rule.changed_by)}" if rule.changed_by else ""
