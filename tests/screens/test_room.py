"""Two panes where they fit, all that matters where little fits, and colours that mean one thing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.color import Color

from screens.hands import at_rest, desk_at, eventually, press, read, shows, use
from tui.screens.base import LID, PAGE, borrowed
from tui.screens.studio import Roster
from tui.widgets import columns, fitted

CSS = (Path(__file__).parents[2] / "tui" / "browse.tcss").read_text(encoding="utf-8")


def test_the_answer_beside_the_list_follows_the_cursor(students):
    async def walk(pilot):
        await press(pilot, "end")
        await eventually(pilot, lambda: shows(pilot.app, "Still needed for unit 4"))
        assert shows(pilot.app, "2 of 3 days")
        await press(pilot, "up up up")
        await eventually(pilot, lambda: shows(pilot.app, "Chikondi · unit 6"))
        assert pilot.app.screen.NAME == "studio"
        await press(pilot, "tab")
        await press(pilot, "down right")
        assert pilot.app.screen.NAME == "studio"
        await pilot.resize_terminal(80, 24)
        await eventually(pilot, lambda: not pilot.app.screen.query_one("#beside").display)

    use(desk_at(students), walk, (120, 40))


def test_the_day_comes_first(students):
    async def walk(pilot):
        lines = [line.strip(" ▸") for line in read(pilot.app)]
        at = [lines.index(one) for one in ("Come today", "Here, and not noted yet", "May not play")]
        at += [lines.index(one) for one in ("Wait for your decision", "Everybody")]
        assert at == sorted(at)
        assert lines[at[0] + 2].startswith("Rafiq")
        assert lines[at[1] + 1].startswith("Chikondi")
        assert "on 9 December" in lines[at[1] + 1]

    use(desk_at(students, "2025-12-11"), walk, (100, 40))


def test_on_the_line_of_a_lesson_not_noted_the_lesson_is_of_that_day(students):
    async def walk(pilot):
        roster = pilot.app.screen.query_one(Roster)
        roster.highlighted = next(at for at, one in enumerate(roster.listed) if one.day is not None)
        await press(pilot, "l")
        assert shows(pilot.app, "Lesson of 9 December")
        await press(pilot, "escape end l")
        assert not shows(pilot.app, "Lesson of")
        assert shows(pilot.app, "11 December")

    use(desk_at(students, "2025-12-11"), walk, (100, 40))


@pytest.mark.parametrize("size", [(60, 20), (40, 15)])
def test_where_there_is_little_room_nothing_is_cut_without_a_sign(students, size):
    async def walk(pilot):
        for keys in ("end", "enter", "escape l", "escape d", "escape a", "escape m", "escape p"):
            await press(pilot, keys)
            assert "F1 Help" in read(pilot.app)[-1]
            for line in read(pilot.app):
                assert cell_len(line) <= size[0]
        await press(pilot, "escape 5")
        assert shows(pilot.app, "[5 stuck]")
        assert shows(pilot.app, "unit 6")
        await pilot.resize_terminal(30, 8)
        await eventually(pilot, lambda: shows(pilot.app, "There is not room enough here"))

    use(desk_at(students), walk, size)


def _where(app, words):
    """Return at which column words begin, in each line that has them."""
    return [line.index(words) for line in read(app) if words in line]


def test_a_list_is_laid_out_for_the_width_it_has(students):
    last = "last without help"

    async def walk(pilot):
        await press(pilot, "end l")
        for width in (120, 80, 100):
            await pilot.resize_terminal(width, 30)
            await eventually(pilot, lambda at=width - 1 - 22: {*_where(pilot.app, last)} == {at})
            assert any("Moves at the beat" in line and last in line for line in read(pilot.app))

    use(desk_at(students), walk, (120, 30))


@pytest.mark.parametrize("name", ["Temwa", "山田さくら", "Zoë\u0301", "Mia 🎹", "Ottilie-Wilhelmine"])
def test_columns_are_measured_in_cells(name):
    """East Asian letters take two cells, combining marks none (Unicode Standard Annex 11)."""
    for width in (3, 8, 12, 30):
        assert cell_len(fitted(name, width)) == width
        assert cell_len(columns([(name, 12), (name, 0), ("6", 2)], width + 20)) == width + 20


def test_something_hurts_is_on_every_footer_about_a_student(students):
    async def walk(pilot):
        for keys in ("end", "l", "escape d", "escape a", "escape enter", "t"):
            await press(pilot, keys)
            assert "! Hurts" in read(pilot.app)[-1]

    use(desk_at(students), walk)


def test_escape_is_offered_where_it_leads_somewhere(students):
    async def walk(pilot):
        assert "Esc Back" not in read(pilot.app)[-1]
        await press(pilot, "3")
        await eventually(pilot, lambda: "Esc" in read(pilot.app)[-1])
        await press(pilot, "escape")
        await eventually(pilot, lambda: "Esc" not in read(pilot.app)[-1])

    use(desk_at(students), walk, (100, 24))


def test_red_means_pain_alone():
    """A colour is red where its hue is within 20 degrees of red and it is far from grey."""
    for rule in re.findall(r"([^{}]+)\{([^{}]*)\}", CSS):
        if "$felt" in rule[1]:
            assert "paused" in rule[0], rule
    for theme in (LID, PAGE):
        own = {**theme.variables, "accent": theme.accent, "error": theme.error, "warning": theme.warning}
        for name, value in own.items():
            if value.startswith("#") and not name.startswith("felt"):
                hue, _, _ = Color.parse(value).hsl
                strong = max(Color.parse(value).rgb) - min(Color.parse(value).rgb) > 60
                assert not (strong and min(hue, 1 - hue) < 20 / 360), (name, value)
        assert borrowed(theme)["felt"]


def test_the_colours_that_were_chosen_are_there_the_next_time(students, tmp_path):
    desk = desk_at(students)
    desk._named = (*desk._named[:3], {"HOME": str(tmp_path)})

    async def choose(pilot):
        pilot.app.theme = "page"
        await at_rest(pilot)

    async def look(pilot):
        assert pilot.app.theme == "page"

    use(desk, choose)
    use(desk, look)
