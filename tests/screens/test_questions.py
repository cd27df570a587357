"""What is asked before something is written is whole in a small terminal."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from textual.widgets import Button, Label

from readiness.toml.write import Refusal
from screens.hands import desk_at, press, read, use
from tui.screens.forms import AreYouSure, FormField, WorkForm
from tui.writing import COURSE_EDITS, WORKS

TUI = Path(__file__).parents[2] / "tui"


def asked():
    """Yield of each question the program asks what its buttons say."""
    for path in TUI.glob("**/*.py"):
        for call in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(call, ast.Call) and getattr(call.func, "id", "") == "AreYouSure":
                given = [one.value for one in call.keywords if one.arg == "other"]
                said = [one for value in given for one in ast.walk(value) if isinstance(one, ast.Constant)]
                yield call.args[1].value, next((one.value for one in said if one.value), "")


QUESTIONS = sorted(set(asked()))
LONG = "What is to be read before anything is written, said at some length. " * 30


def test_the_questions_are_found():
    assert len(QUESTIONS) > 4
    assert any(other for _, other in QUESTIONS)


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
@pytest.mark.parametrize("is_usual", [True, False])
def test_every_button_is_whole_whatever_is_asked(size, is_usual, students):
    async def walk(pilot):
        for yes, other in QUESTIONS:
            for words in ("Short?", LONG):
                pilot.app.push_screen(AreYouSure(words, yes, is_usual=is_usual, other=other))
                await press(pilot, "")
                lines = read(pilot.app)
                for button in pilot.app.screen.query(Button):
                    assert any(str(button.label) in line for line in lines), (yes, button.label)
                    assert button.region in pilot.app.screen.query_one("#sure").content_region
                await press(pilot, "escape")

    use(desk_at(students), walk, size)


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
def test_what_a_form_asks_for_is_whole(size, students):
    async def walk(pilot):
        asked = [(one.title, [ask.words for ask in one.asks]) for one in WORKS]
        asked += [(one.title, [one.asks]) for one in COURSE_EDITS] + [("A lesson", [LONG[:60].strip()])]
        for title, words in asked:
            fields = [FormField(f"f{at}", one) for at, one in enumerate(words)]
            refused = Refusal("no", "This cannot be written, for a reason of some length. " * 2)
            pilot.app.push_screen(WorkForm(title, fields, lambda _, refused=refused: refused, {}))
            await press(pilot, "x ctrl+s")
            for label, one in zip(pilot.app.screen.query(Label), words, strict=True):
                lines = [strip.text.strip() for strip in label.render_lines(label.size.region)]
                assert " ".join(filter(None, lines)).casefold() == one.casefold(), (title, lines)
                assert label.region.right <= pilot.app.screen.query_one("#form").content_region.right
            await press(pilot, "escape")

    use(desk_at(students), walk, size)
