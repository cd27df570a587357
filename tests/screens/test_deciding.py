"""Deciding on the screen writes, to the byte, what the command writes, and one key takes it back."""

from __future__ import annotations

import pytest

from readiness.cli.main import main
from screens.hands import (
    add_new_student,
    copy_of_demo,
    desk_at,
    eventually,
    pane,
    press,
    read,
    shows,
    to_the_studio,
    told,
    use,
)
from tui.outline import large
from tui.screens.forms import AreYouSure

DAY = "2025-12-08"


def by_command(folder, *words):
    """Return what the command makes of a student's file in a studio of its own."""
    students = copy_of_demo(folder / "other")
    add_new_student(students)
    assert main(["decide", *words, "--on", DAY, "--students", str(students)]) == 0
    return (students / f"{words[0]}.toml").read_bytes()


DECISIONS = (
    ("temwa", "end d m enter s h e space i s space s u r e enter", ("move", "--reason", "she is sure")),
    ("alma", "slash a l m a enter d m enter", ("move",)),
    ("linnea", "slash l i n n enter d s enter", ("stay",)),
    ("noemi", "slash n o e m i enter enter d s enter", ("stay",)),
)


def test_it_writes_what_the_command_writes_and_undo_takes_it_out(students, tmp_path, left):
    add_new_student(students)

    async def walk(pilot):
        for student, keys, words in DECISIONS:
            file = students / f"{student}.toml"
            before = file.read_bytes()
            await press(pilot, keys)
            assert file.read_bytes() == by_command(tmp_path / student, student, *words)
            assert "Noted:" in pane(pilot.app, "#draft-text")
            await press(pilot, "u")
            assert left(file) == before.rstrip()
            assert "You decide." in pane(pilot.app, "#draft-text")
            await to_the_studio(pilot)

    use(desk_at(students), walk)


def test_the_answer_follows_the_decision(students):
    async def walk(pilot):
        await press(pilot, "end d m enter o k enter")
        await eventually(pilot, lambda: pilot.app.desk.row("temwa").answer.unit == "arms-that-travel")
        await press(pilot, "escape")
        assert any("Temwa" in line and " 4 " in line for line in read(pilot.app))

    use(desk_at(students), walk)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_a_decision_to_stay_stands_in_the_row_the_large_words_and_the_list_of_names(students, size):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "home down")
        assert any("Bogdan" in line and "ready, some to finish" in line for line in read(app))
        before = app.view
        await press(pilot, "d s enter o k enter")
        await eventually(pilot, lambda: app.view is not before)
        assert app.changes == ("Bogdan: now ready, you decided to stay (before: ready, some to finish)",)
        await press(pilot, "escape")
        assert any("Bogdan" in line and "ready, you" in line for line in read(app))
        assert shows(app, "READY, STAYING") == (size[1] > 34)
        await press(pilot, "enter")
        assert large("READY, STAYING").split("\n")[0] in "\n".join(read(app))
        assert "on 8 December you decided to stay" in pane(app, "#sentence")
        await press(pilot, "slash b o g d")
        await eventually(pilot, lambda: shows(app, "ready, you decided to stay"))

    use(desk_at(students), walk, size)


def test_the_page_shows_both_ways_and_says_no_way_is_better(students):
    async def walk(pilot):
        await press(pilot, "end d")
        text = pane(pilot.app, "#draft-text")
        assert "8 December 2025: Look again first." in text
        assert "To move on: Temwa moves on to unit 4, Arms that travel." in text
        assert "To stay: Temwa stays in unit 3," in text
        assert "m Move on" in read(pilot.app)[-1]
        assert "s Stay" in read(pilot.app)[-1]

    use(desk_at(students), walk)


def test_without_a_yes_and_a_reason_nothing_is_written(students):
    before = (students / "temwa.toml").read_bytes()

    async def walk(pilot):
        for keys in ("m escape", "m enter escape", "m enter enter", "m enter space enter", "s escape"):
            await press(pilot, f"end d {keys}")
            assert "You decide." in pane(pilot.app, "#draft-text")
            await press(pilot, "u")
            assert "Nothing was decided here yet." in told(pilot.app)
            await to_the_studio(pilot)

    use(desk_at(students), walk)
    assert (students / "temwa.toml").read_bytes() == before


def test_nobody_moves_while_a_hold_is_open(students):
    before = (students / "linnea.toml").read_bytes()

    async def walk(pilot):
        await press(pilot, "home d m")
        assert "There is no move during a pause" in pane(pilot.app, "#draft-text")
        assert "key w" in pane(pilot.app, "#draft-text")
        assert not shows(pilot.app, "m Move on")
        assert "To move on" not in pane(pilot.app, "#draft-text")
        assert not isinstance(pilot.app.screen, AreYouSure)  # nothing is asked that will be refused
        assert "is paused" in pane(pilot.app, "#draft-text") or "Paused" in pane(pilot.app, "#draft-text")

    use(desk_at(students), walk)
    assert (students / "linnea.toml").read_bytes() == before


def test_the_demo_that_comes_with_the_program_is_not_written_to(students, monkeypatch):
    monkeypatch.setattr("tui.desk.Desk.is_demo", True)
    before = (students / "temwa.toml").read_bytes()

    async def walk(pilot):
        await press(pilot, "end d s enter")
        assert "Nothing is written into the demo" in told(pilot.app)

    use(desk_at(students), walk)
    assert (students / "temwa.toml").read_bytes() == before


def test_a_reason_asks_for_few_words_and_no_letter_of_it_is_a_command(students):
    async def walk(pilot):
        await press(pilot, "end d m enter")
        assert "please say why" in pane(pilot.app, "#draft-text")
        await press(pilot, "m u s i c")
        assert shows(pilot.app, "music")
        await press(pilot, "escape m enter")
        assert shows(pilot.app, "music")

    use(desk_at(students), walk)


def test_a_second_move_on_one_day_asks_why(students):
    async def walk(pilot):
        await press(pilot, "end d m enter o k enter escape")
        await eventually(pilot, lambda: pilot.app.desk.row("temwa").answer.unit == "arms-that-travel")
        before = (students / "temwa.toml").read_bytes()
        await press(pilot, "d")
        assert "Decided on 8 December 2025 already: to move on." in pane(pilot.app, "#draft-text")
        await press(pilot, "m enter")
        assert (students / "temwa.toml").read_bytes() == before
        await press(pilot, "t w o enter")
        assert (students / "temwa.toml").read_text(encoding="utf-8").count("[[unit_start]]") == before.count(
            b"[[unit_start]]"
        ) + 1

    use(desk_at(students), walk)


def test_who_is_not_placed_begins_in_the_unit_that_is_chosen_as_by_the_command(students, tmp_path):
    file = add_new_student(students)

    async def walk(pilot):
        await press(pilot, "slash a l m a enter d")
        assert shows(pilot.app, "To move on: Alma begins with unit 1,")
        await press(pilot, "o down down enter")
        assert shows(pilot.app, "To move on: Alma begins with unit 3,")
        await press(pilot, "m")
        assert pilot.app.screen.words.startswith("Alma begins with unit 3,")
        await press(pilot, "enter")
        assert file.read_bytes() == by_command(tmp_path / "alma", "alma", "move", "--unit", "3")
        assert shows(pilot.app, "Escape, then key a, then p says when to look")
        assert not any(line.strip() in ("p", "then", "a, then p") for line in read(pilot.app))
        await press(pilot, "escape slash t e m w a enter d o")
        assert pilot.app.screen.NAME == "decide"  # who has begun is offered none

    use(desk_at(students), walk)


@pytest.mark.parametrize("words", ["she is sure", "music is easy", "my", "you decide", "in May", "sy"])
def test_whoever_types_a_reason_at_once_decides_nothing_by_a_letter_of_it(words, students):
    file = students / "temwa.toml"
    before = file.read_bytes()

    async def walk(pilot):
        await press(pilot, "end d")
        await press(pilot, " ".join("space" if one == " " else one for one in words))
        assert shows(pilot.app, words)
        await press(pilot, "enter")
        assert "Nothing is decided yet. Key m or s decides, with these words." in told(pilot.app)
        assert file.read_bytes() == before
        await press(pilot, "m")
        assert f'"{words}"' in pilot.app.screen.words
        await press(pilot, "enter")
        assert f'reason = "{words}"' in file.read_text("utf-8")

    use(desk_at(students), walk)
