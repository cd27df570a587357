"""The studio that most tests of the screens use."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from screens.hands import copy_of_demo

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def students(tmp_path: Path) -> Path:
    """Return the students' folder of a fresh copy of the demo studio."""
    return copy_of_demo(tmp_path)


@pytest.fixture(autouse=True)
def _plain_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the look of the terminal that runs the tests out of them."""
    for name in ("TEXTUAL_THEME", "TEXTUAL_ANIMATIONS", "NO_COLOR", "TERM_PROGRAM"):
        monkeypatch.delenv(name, raising=False)
