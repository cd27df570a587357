"""What is wrong with a text that is not TOML: where ``tomllib`` stopped, and why."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from readiness.files.problems import Place, Problem

__all__ = ["syntax_problems"]


def syntax_problems(text: str, path: Path) -> tuple[Problem, ...]:
    """Return where ``tomllib`` stops in a text, empty for good TOML."""
    try:
        tomllib.loads(text)
    except ValueError as err:
        at = re.search(r"line (\d+), column (\d+)", str(err))
        line, column = (int(at[1]), int(at[2])) if at else (1, 1)
        return (Problem("not-toml", "error", Place(path, line, column), str(err)),)
    return ()
