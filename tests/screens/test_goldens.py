"""Every screen as text at both sizes, held against a file a teacher could read.

Run with ``UPDATE_GOLDENS=1`` to write the files anew; then read the difference.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from screens.hands import desk_at, press, read, use

GOLDEN = Path(__file__).parent / "golden"

WALK = {
    "studio": "end",
    "studio-ready": "3",
    "why": "escape end enter",
    "why-open": "down right",
    "why-what-if": "2",
    "tellings": "0 t 2",
    "map": "escape m",
    "lesson": "escape l a a c",
    "lesson-sure": "s",
    "placing": "escape x enter escape escape home down down down down s",
    "problems": "escape p",
    "help": "f1",
}
"""The keys that lead from each screen to the next."""


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
def test_every_screen_looks_as_it_did(students, size):
    pictures = {}

    async def walk(pilot):
        for name, keys in WALK.items():
            await press(pilot, keys)
            pilot.app.clear_notifications()
            await pilot.pause(0.1)
            pictures[name] = read(pilot.app)

    use(desk_at(students), walk, size)
    for name, lines in pictures.items():
        assert len(lines) == size[1], name
        assert max(map(len, lines)) <= size[0], name
        path = GOLDEN / f"{name}-{size[0]}x{size[1]}.txt"
        found = "\n".join(lines).replace(str(students), "STUDENTS") + "\n"
        if os.environ.get("UPDATE_GOLDENS"):
            GOLDEN.mkdir(exist_ok=True)
            path.write_text(found, encoding="utf-8")
        assert found == path.read_text(encoding="utf-8"), name
