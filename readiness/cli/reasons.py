"""The tree of reasons as it is: names and values, no sentence. For whoever looks after the rules."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from readiness.judging.findings import Finding, finding_to_dict

__all__ = ["reasons_as_text"]


def reasons_as_text(findings: Iterable[Finding]) -> str:
    """Return one line a finding, what it rests on indented below it."""
    lines = [line for finding in findings for line in _lines(finding_to_dict(finding), 0)]
    return "\n".join(lines) if lines else "(no reasons)"


def _lines(found: Mapping[str, Any], depth: int) -> list[str]:
    """Return a finding's line and those below it."""
    values = [
        f"{name}={json.dumps(value, ensure_ascii=False)}"
        for name, value in found.items()
        if name not in ("id", "because", "file", "line")
    ]
    source = [f"[{found['file']}:{found['line']}]"] if "file" in found else []
    own = "  " * depth + " ".join([found["id"], *values, *source])
    return [own, *(line for child in found.get("because", ()) for line in _lines(child, depth + 1))]
