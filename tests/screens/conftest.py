"""The studio that most tests of the screens use."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
import textual.screen
from textual._compositor import Compositor
from textual.css.stylesheet import Stylesheet

from screens.hands import copy_of_demo

if TYPE_CHECKING:
    from collections.abc import Iterator
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


@pytest.fixture(scope="session", autouse=True)
def _sheets_read_once() -> Iterator[None]:
    """Parse what a style sheet says once for all programs: each start parses a few hundred rules."""
    parse, parsed = Stylesheet._parse_rules, {}

    def once(sheet: Stylesheet, css: str, read_from: object, *more: object, **named: object) -> object:
        key = (css, read_from, more, *named.items(), *sheet._variables.items())
        if key not in parsed:
            parsed[key] = parse(sheet, css, read_from, *more, **named)
        return parsed[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", once)
        yield


@pytest.fixture(scope="session", autouse=True)
def _drawn_when_looked_at() -> Iterator[None]:
    """Draw the screen where a test reads it, and at once: without a terminal, all between is thrown away."""
    draw = Compositor.render_update

    def looked_at(screen: Compositor, *, full: bool = False, **named: Any) -> object:
        screen._dirty_regions.clear()
        return draw(screen, full=True, **named) if full else None

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Compositor, "render_update", looked_at)
        patch.setattr(textual.screen, "UPDATE_PERIOD", 0.001)  # nobody looks on sixty times a second
        patch.setattr("tui.app.LOOK_EVERY", 0.05)  # and nobody waits for what an editor saved
        yield
