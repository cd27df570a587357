"""Fifteen hundred students: the list draws what is seen and filters what is typed."""

from __future__ import annotations

import gc
from dataclasses import replace
from threading import Event

from screens.hands import desk_at, eventually, press, read, shows, use
from tui import app as program
from tui.app import Watcher
from tui.desk import Desk
from tui.view import StudentRow


class LargeDesk(Desk):
    """A desk whose studio has fifteen hundred students, made from the few of the demo."""

    def read(self, progress=lambda _done, _all: None):
        view = super().read(progress)
        rows = []
        for number in range(1500):
            row = view.rows[number % len(view.rows)]
            name = f"{row.record.name} {number:04}"
            record = replace(row.record, name=name, id=f"{row.record.id}-{number:04}")
            rows.append(replace(row, record=record))
            progress(number + 1, 1500)
        self.view = replace(view, rows=tuple(rows))
        return self.view


def test_the_list_scrolls_filters_and_opens_among_many(students):
    plain = desk_at(students)
    desk = LargeDesk(*plain._named, plain._day, plain.now)

    async def walk(pilot):
        await eventually(pilot, lambda: pilot.app.is_whole)
        assert pilot.app.screen.query_one("#roster").scroll_offset.y == 0, "the day has gone out of sight"
        for key in ("down", "down", "up", "pagedown", "up"):
            await press(pilot, key)
            assert sum(line.startswith("▸") for line in read(pilot.app)) == 1, key
        await press(pilot, "end")
        assert shows(pilot.app, "▸Noemi 1497") or shows(pilot.app, "1499")
        await press(pilot, "pageup pageup home")
        assert shows(pilot.app, "0000")
        await press(pilot, "slash 0 7 3 1 enter")
        rows = [line for line in read(pilot.app)[6:16] if "Temwa" in line or "Linnea" in line]
        assert len(rows) == 1
        await press(pilot, "enter")
        assert "0731" in read(pilot.app)[0]

    use(desk, walk)


def test_the_list_is_there_and_filtered_before_everybody_is_judged(students, monkeypatch):
    plain = desk_at(students)
    desk = LargeDesk(*plain._named, plain._day, plain.now)
    go_on = Event()
    monkeypatch.setattr(StudentRow, "work_out", lambda row: go_on.wait(30) and (row.lists, row.essence))

    async def walk(pilot):
        app = pilot.app
        assert not app.is_whole
        assert shows(app, "paused")
        assert sum(row.is_worked_out for row in app.view.rows) == 0
        await press(pilot, "slash 0 7 3 1 enter")
        assert shows(app, "0731")
        assert "answer" not in app.view.rows[-1].__dict__
        await press(pilot, "escape 5")
        assert shows(app, "Nobody so far: stuck. Not everybody has been looked at yet.")
        go_on.set()
        await eventually(pilot, lambda: app.is_whole)
        await eventually(pilot, lambda: shows(app, "Chikondi"))

    use(desk, walk)


def test_who_types_is_not_kept_waiting_by_the_reading(students, monkeypatch):
    """While keys come the watcher stands back after each student; afterwards it goes on."""
    watcher = Watcher(desk_at(students), lambda _message: None)
    pauses = []
    watcher._stand_back = pauses.append
    clock = 100.0
    monkeypatch.setattr(program, "monotonic", lambda: clock)
    rows = len(desk_at(students).read().rows)
    watcher._work_out(desk_at(students).read())
    assert pauses == []
    watcher.typed()
    watcher._work_out(desk_at(students).read())
    assert len(pauses) == rows
    clock += program.TYPING
    watcher._work_out(desk_at(students).read())
    assert len(pauses) == rows


def test_what_was_written_meanwhile_is_read_before_the_rest_is_worked_out(students):
    watcher = Watcher(desk_at(students), lambda _message: None)
    watcher.look_now()
    view = desk_at(students).read()
    assert not watcher._work_out(view)
    assert not any(row.is_worked_out for row in view.rows)


def test_memory_is_tidied_once_after_reading_again_and_only_at_rest(students, monkeypatch):
    """The collector is off while much is read, and back on when the program is left."""
    plain = desk_at(students)
    tidied = []
    monkeypatch.setattr(program, "AT_REST", 0.3)
    monkeypatch.setattr(program, "LOOK_EVERY", 0.05)
    monkeypatch.setattr(program.gc, "collect", lambda: tidied.append(gc.isenabled()))

    async def walk(pilot):
        assert gc.isenabled()
        (students / "temwa.toml").touch()
        await eventually(pilot, lambda: not gc.isenabled())
        await eventually(pilot, gc.isenabled)
        await pilot.pause(0.3)

    use(plain, walk)
    assert tidied == [False]
    assert gc.isenabled()
