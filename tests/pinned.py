"""Whole texts that are kept in files: ``UPDATE_GOLDEN=1`` writes them anew; then read the difference."""

from __future__ import annotations

import os
from pathlib import Path

__all__ = ["hold_against"]


def hold_against(path: Path, text: str) -> None:
    """Compare a text with the one kept, or keep it where the person asks for that."""
    if os.environ.get("UPDATE_GOLDEN") == "1":
        path.write_text(text, encoding="utf-8", newline="\n")
    assert text == path.read_text(encoding="utf-8"), path.name
