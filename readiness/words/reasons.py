"""The reasons as they are, for whoever checks them: the tree of findings as an outline.

No sentence is made here and nothing is folded: ids, facts and the file and line of each.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import fields

from readiness.days import iso
from readiness.judging.findings import Finding
from readiness.record.model import HELPS
from readiness.words.grammar import tidy

__all__ = ["tell_reasons"]

_DAYS = frozenset({"day", "opened", "last_lesson"})
_SOURCE = re.compile(r"\b([a-z]+)(\d{4})\b")
"""How pacing.toml names what was published: first author and year in one word."""
_APART = frozenset({"place", "because"})


def tell_reasons(findings: Iterable[Finding]) -> str:
    """Return findings as an indented outline, one line each, as deep as they go."""
    lines = []
    waiting = [(finding, 0) for finding in findings][::-1]
    while waiting:
        finding, depth = waiting.pop()
        lines.append(f"{'  ' * depth}{_line(finding)}")
        waiting += [(child, depth + 1) for child in finding.because[::-1]]
    return "".join(f"{line}\n" for line in lines)


def _line(finding: Finding) -> str:
    facts = [
        f"{one.name}={_fact(one.name, getattr(finding, one.name))}"
        for one in fields(finding)
        if one.name not in _APART
    ]
    place = [] if finding.place is None else [f"[{finding.place.file.name}:{finding.place.line}]"]
    return " ".join((finding.id, *facts, *place))


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
