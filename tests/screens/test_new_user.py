"""A new user's walk, written down: from the start to a changed answer and out again.

Also what the program leaves alone on the way: the network, and every file but one.
"""

from __future__ import annotations

import socket

from screens.hands import desk_at, eventually, press, read, shows, use


def test_from_the_start_to_a_changed_answer(students, monkeypatch):
    def refuse(*_args, **_more):
        raise AssertionError("the network was asked")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    before = {file.name: file.read_bytes() for file in students.iterdir() if file.is_file()}

    async def walk(pilot):
        app = pilot.app
        # start: the day is there, then everybody, and who may not play comes first
        assert shows(app, "Nobody comes today. Next, on 9 December: Chikondi, Noemi, Temwa.")
        lines = [line.split()[0].strip("▸") for line in read(app)[6:18] if line.strip()]
        names = lines[lines.index("Everybody") + 1 :]
        assert names[:6] == ["Linnea", "Bogdan", "Chikondi", "Noemi", "Rafiq", "Temwa"]
        # find out why Temwa is not moving up
        await press(pilot, "slash t e m enter enter")
        assert shows(app, "Still needed for unit 4, Arms that travel")
        assert shows(app, "Lifts the wrist")
        await press(pilot, "down right")
        assert shows(app, "temwa.toml:35")
        # what if a small reminder counted? nothing changes, and it says so
        await press(pilot, "1")
        assert shows(app, "Supposed for this once; nothing is saved")
        assert shows(app, "1 [on ]")
        await press(pilot, "0")
        assert not shows(app, "nothing is saved")
        # note a lesson
        await press(pilot, "l 1 1 1 1 1 1 q enter")
        assert shows(app, "Noted.")
        # see the verdict change
        await press(pilot, "escape")
        await eventually(pilot, lambda: shows(app, "Ready for unit 4"))
        # and leave
        await press(pilot, "escape escape q")

    app = use(desk_at(students), walk)
    assert app.return_code == 0
    after = {file.name: file.read_bytes() for file in students.iterdir() if file.is_file()}
    assert [name for name in after if after[name] != before.get(name)] == ["temwa.toml"]
    assert before.keys() == after.keys()


def test_a_showing_is_supposed_for_the_next_lesson_also_on_a_day_that_is_noted(students):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "slash t e m enter enter down right")
        assert shows(app, "shows it on 9 December")
        await press(pilot, "4")
        assert shows(app, "Supposed for the lesson on 9 December;")
        assert shows(app, "secure")
        assert not shows(app, "No state, no date")
        await press(pilot, "4")
        assert not shows(app, "nothing is saved")

    use(desk_at(students, "2025-12-02"), walk, (120, 40))
