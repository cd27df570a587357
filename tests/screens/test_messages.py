"""What is said at the edge stays in sight, one thing at a time; what must be read is a page."""

from __future__ import annotations

import errno
import os
import re

import pytest
from textual import events

from readiness.record.entries import open_hold
from screens.hands import add_misspelt_student, at_rest, desk_at, eventually, press, read, shows, told, use
from tui.app import Browse
from tui.screens.studio import StudioScreen


def test_a_message_stands_whole_at_the_edge_however_many_came_before(students):
    long = "Not kept: " + " ".join(f"word{i}" for i in range(30)) + " last."

    async def walk(pilot):
        for number in range(30):
            pilot.app.notify(f"Message {number}.")
            await at_rest(pilot)
        await eventually(pilot, lambda: any("Message 29." in line for line in read(pilot.app)[1:3]))
        assert len(pilot.app.screen.query("ToastHolder")) == 1
        for width in (60, 80, 120):
            await pilot.resize_terminal(width, 24)
            pilot.app.notify(long, severity="error")
            await eventually(pilot, lambda: shows(pilot.app, "last."))
            pilot.app.clear_notifications()
            await eventually(pilot, lambda: not shows(pilot.app, "last."))
        await press(pilot, "f2")
        assert shows(pilot.app, "Message 29.")

    use(desk_at(students), walk)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=str)
def test_a_message_of_one_line_covers_no_word(students, size):
    """It has the row below the title, which every screen keeps free; on the map the numbers of the units."""
    add_misspelt_student(students)
    ways = "end", "enter", "a", "escape t", "escape d", "escape l", "2 escape p", "escape exclamation_mark"

    async def walk(pilot):
        for keys in ways:
            await press(pilot, keys)
            pilot.app.clear_notifications()
            await eventually(pilot, lambda: not pilot.app.screen.query("Toast"))
            before = read(pilot.app)
            pilot.app.notify("Kept. It is offered again when you open the lesson.")
            await eventually(pilot, lambda: shows(pilot.app, "Kept. It is offered"))
            (at,) = (at for at, row in enumerate(read(pilot.app)) if "Kept. It is offered" in row)
            assert set(before[at]) <= set(" ▀│"), keys

    use(desk_at(students), walk, size)


def test_who_cannot_leave_is_told_on_a_page(students, monkeypatch):
    async def walk(pilot):
        await press(pilot, "end l 1")
        monkeypatch.setattr("tui.writing.LessonDesk.keep", lambda *_: "the disk is full")
        await press(pilot, "2 ctrl+q")
        assert shows(pilot.app, "The disk is full")
        await press(pilot, "ctrl+q")
        assert pilot.app.is_running
        await press(pilot, "enter")
        assert pilot.app.screen.NAME == "lesson"
        await press(pilot, "escape")
        assert shows(pilot.app, "Enter or Escape closes this.")
        await press(pilot, "escape")
        assert pilot.app.screen.NAME == "lesson"

    use(desk_at(students), walk)


def test_a_folder_that_cannot_be_read_keeps_what_was_seen_until_it_can(students, monkeypatch):
    scandir = os.scandir
    state = {"is_shut": False}

    def scan(path):
        if state["is_shut"] and str(path) == str(students):
            raise OSError(errno.EIO, "Input/output error", str(path))
        return scandir(path)

    monkeypatch.setattr(os, "scandir", scan)

    async def walk(pilot):
        for _ in range(2):
            state["is_shut"] = True
            await eventually(pilot, lambda: pilot.app.view.is_old)
            await eventually(pilot, lambda: shows(pilot.app, "input/output error"))
            assert shows(pilot.app, "Temwa")
            assert not shows(pilot.app, "demo_students:1")
            state["is_shut"] = False
            await eventually(pilot, lambda: not pilot.app.view.is_old)

    app = use(desk_at(students), walk)
    assert app.mistake is None


def test_a_file_that_is_gone_is_not_said_to_be_unreadable(students):
    async def walk(pilot):
        await press(pilot, "end enter")
        (students / "temwa.toml").unlink()
        await eventually(pilot, lambda: shows(pilot.app, "temwa: the file is gone"))
        assert not shows(pilot.app, "cannot be read")

    use(desk_at(students), walk)


def test_keys_typed_while_it_starts_are_kept_in_order(students):
    app = Browse(desk_at(students))

    async def go():
        async with app.run_test(size=(80, 24)) as pilot:
            for key in ("slash", "t", "e", "m"):
                app.post_message(events.Key(key, key if len(key) == 1 else "/"))
            await eventually(pilot, lambda: app.view is not None)
            await eventually(pilot, lambda: app.turns.at_rest)
            assert isinstance(app.screen, StudioScreen)
            assert app.screen.typed == "tem"

    import asyncio

    asyncio.run(go())


def test_enter_does_not_forget_a_lesson(students):
    async def walk(pilot):
        await press(pilot, "end l 1 x enter")
        assert len(pilot.app.screen.round.lesson.helps) == 5
        await press(pilot, "x y")
        assert pilot.app.screen.round.lesson.is_empty

    use(desk_at(students), walk)


@pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=str)
def test_a_message_goes_with_the_screen_on_which_it_was_said(students, size):
    """What is said by the key that leads on stays; nothing stale stands beside what is said there."""

    async def walk(pilot):
        await press(pilot, "slash t e m w a enter d m enter x escape")
        assert "These words are not kept yet." in told(pilot.app)
        await press(pilot, "m")
        assert not told(pilot.app)
        await press(pilot, "enter escape escape l 1 escape")
        assert "It is offered again when you open the lesson." in told(pilot.app)
        await press(pilot, "down")
        assert "It is offered again when you open the lesson." in told(pilot.app)
        await press(pilot, "enter")
        assert not told(pilot.app)
        await press(pilot, "escape l 1 quotation_mark o u c h enter enter q enter")
        assert shows(pilot.app, "If something hurts")
        await press(pilot, "enter")
        assert shows(pilot.app, "Noted. Before:")
        assert not told(pilot.app)

    use(desk_at(students), walk, size)


def test_a_long_message_is_told_to_its_end(students):
    """Textual works its height out for more room than it has beside a bar."""
    row = desk_at(students).read().by_id["temwa"]
    assert open_hold(row.record, students, row.day, "the wrist hurts", "all") is None

    async def walk(pilot):
        await press(pilot, "slash t e m w a enter u y")
        assert any(re.search(r"\bfirst\.", line) for line in read(pilot.app))

    for width in range(56, 100, 4):
        use(desk_at(students), walk, (width, 24))


def test_the_key_that_ends_other_programs_says_how_this_one_is_left(students):
    async def walk(pilot):
        for keys in ("ctrl+c", "end enter ctrl+c", "l ctrl+c"):
            await press(pilot, keys)
            assert told(pilot.app) == "ctrl+q leaves the program."
            assert shows(pilot.app, "ctrl+q leaves the program.")

    use(desk_at(students), walk)
