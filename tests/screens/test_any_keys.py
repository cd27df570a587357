"""Any keys in any order, while the files change: no exception, and nothing that was entered is lost.

The test runs for a few seconds; ``python tests/screens/test_any_keys.py 600 [seed]`` runs for ten minutes.
"""

from __future__ import annotations

import asyncio
import os
import random
import sys
import tempfile
import time
from pathlib import Path

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from readiness.days import day_number
from readiness.record import draft_entry
from readiness.record.load import load_without_course
from readiness.record.noting import NewLesson, note_lesson
from screens.hands import copy_of_demo, desk_at, eventually
from tui.app import Browse
from tui.screens.noting import NotingScreen

KEYS = (
    *"abcdefghijklmnoprstuvwxyz0123456789", "slash", "plus", "minus", "exclamation_mark", "escape", "enter",
    "enter", "escape", "up", "down", "down", "left", "right", "tab", "home", "end", "pagedown", "space",
    "backspace", "f1", "f2", "ctrl+p", "left_square_bracket", "right_square_bracket", "question_mark",
    "quotation_mark", "apostrophe", "full_stop",
)  # fmt: skip
SIZES = ((80, 24), (120, 40), (40, 15), (200, 60), (30, 8))


class World:
    """A studio that somebody else writes to, and what they wrote."""

    def __init__(self, students: Path, chance: random.Random) -> None:
        self.students, self.chance = students, chance
        self.written: list[tuple[Path, str]] = []
        self.aside: dict[Path, bytes] = {}

    def change(self) -> None:
        """Note a lesson, break a file or mend it, take one away or bring it back, change a number."""
        self.chance.choice((self._note, self._note, self._break, self._take_away, self._number, self.mend))()

    def mend(self) -> None:
        """Bring back all that was broken or taken away."""
        for path, data in self.aside.items():
            path.write_bytes(data)
        self.aside.clear()

    def _file(self) -> Path:
        return self.students / f"{self.chance.choice(('bogdan', 'chikondi', 'noemi'))}.toml"

    def _note(self) -> None:
        path = self._file()
        record = None if path in self.aside else load_without_course(path).record
        if record is not None:
            words = f"from elsewhere {len(self.written)}"
            course = desk_at(self.students).read().course
            lesson, today = NewLesson(day_number("2025-12-08"), note=words), day_number("2025-12-17")
            if course and not note_lesson(course, record, lesson, self.students, today):
                self.written.append((path, words))

    def _put_aside(self, path: Path) -> bool:
        # only files that the keys write to under a lock of their own are left alone
        if path in self.aside or not path.exists():
            return False
        self.aside[path] = path.read_bytes()
        return True

    def _break(self) -> None:
        path = self.students / "rafiq.toml"
        if self._put_aside(path):
            path.write_text("name = Rafiq\n", encoding="utf-8")

    def _take_away(self) -> None:
        path = self.students / "rafiq.toml"
        if self._put_aside(path):
            path.unlink()

    def _number(self) -> None:
        path = self.students.parent / "skill_graphs" / "first-two-years" / "pacing.toml"
        text = path.read_text(encoding="utf-8")
        old, new = self.chance.sample(("motor = 3", "motor = 2", "motor = x"), 2)
        if old in text:
            path.write_text(text.replace(old, new, 1), encoding="utf-8")


def run(folder: Path, seconds: float, seed: int) -> int:
    """Press keys for so long; return how many. Raises what goes wrong."""
    chance = random.Random(seed)
    world = World(copy_of_demo(folder), chance)
    until, pressed = time.monotonic() + seconds, 0
    os.chdir(folder)
    while time.monotonic() < until:
        pressed += asyncio.run(_session(world, chance, until))
    world.mend()
    for path, words in world.written:
        assert words in path.read_text(encoding="utf-8"), (path.name, words, seed)
    return pressed


async def _session(world: World, chance: random.Random, until: float) -> int:
    app, pressed = Browse(desk_at(world.students)), 0
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await eventually(pilot, lambda: app.view is not None, 120)
        while time.monotonic() < until and app.is_running:
            await pilot.press(*chance.choices(KEYS, k=chance.randint(1, 6)))
            await eventually(pilot, lambda: app.turns.at_rest or not app.is_running, 60)
            pressed += 1
            if chance.random() < 0.05:
                await asyncio.to_thread(world.change)
            if chance.random() < 0.03:
                await pilot.resize_terminal(*chance.choice(SIZES))
        kept = [one for one in app.screen_stack if isinstance(one, NotingScreen)]
        for sheet in kept:
            lesson = sheet.round.lesson
            if not sheet.noted and not lesson.is_empty and not sheet.unkept():
                assert draft_entry.offered(sheet.lesson.path) is not None
            if not sheet.noted and not sheet.unkept():
                assert draft_entry.typed(sheet.lesson.path) == sheet.field.typed
        app.hold()
        _forms_are_kept(app)
    assert app.mistake is None
    return pressed


def _forms_are_kept(app: Browse) -> None:
    for (form, path), words in app.desk.typed.items():
        if path and path.stem != "rafiq":  # which may be away just when it is kept
            assert draft_entry.forms(path).get(form, {}) == words


def test_any_keys_while_the_files_change(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run(tmp_path, 5, seed=1) > 0


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        numbers = [float(one) for one in sys.argv[1:]] or [60.0]
        seed = int(numbers[1]) if numbers[1:] else random.randrange(10**6)
        print(f"seed {seed}", flush=True)
        print(run(Path(place), numbers[0], seed), "presses, nothing lost")
        os.chdir("/")
