"""How soon the first screen is there with 40 students, a student is open, and a key answered with 1,500.

Not a test: it prints, and judges nothing. The first screen is compared with an empty Textual program plus
the engine's imports, each in a fresh interpreter, in turn, the best of several; a student's page with a
plain screen of as many lines. Keys and pages in processor time of the one thread that draws.

    python tests/bench/first_screen.py [rounds]
"""

from __future__ import annotations

import asyncio
import json
import shutil
import subprocess
import sys
import tempfile
import time
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from textual import events
from textual.app import App
from textual.screen import Screen
from textual.widgets import Footer, Input, OptionList, Static

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from textual.widget import Widget

    from tui.app import Browse

ROOT = Path(__file__).parents[2]
SIZE = (120, 40)

EMPTY = """
import time; began = time.perf_counter()
import asyncio
import readiness.studio.load, readiness.studio.find, readiness.judging.engine, readiness.judging.engine
from textual.app import App
from textual.widgets import Static

class Empty(App):
    def compose(self):
        yield Static("ready")

async def go():
    async with Empty().run_test(size=(120, 40)) as pilot:
        await pilot.pause(0)
        print(time.perf_counter() - began)

asyncio.run(go())
"""

OURS = """
import time; began = time.perf_counter()
import asyncio, sys
from datetime import datetime
from pathlib import Path
from tui.app import Browse
from tui.desk import Desk

async def go():
    folder = Path(sys.argv[1])
    app = Browse(Desk(None, folder, folder, {}, None, lambda: datetime(2025, 12, 2).astimezone()))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause(0)
        seen = time.perf_counter() - began
        while app.view is None:
            await asyncio.sleep(0.005)
        await pilot.pause(0)
        print(seen, time.perf_counter() - began)

asyncio.run(go())
"""


def make_studio(folder: Path, count: int) -> Path:
    """Write a studio with so many students, made from the demo's."""
    files = sorted(p for p in (ROOT / "demo_students").glob("*.toml") if p.name != "studio.toml")
    for number in range(count):
        source = files[number % len(files)]
        name = f'name = "{source.stem.capitalize()}'
        text = source.read_text(encoding="utf-8").replace(f'{name}"', f'{name} {number:04}"', 1)
        (folder / f"s{number:04}.toml").write_text(text, encoding="utf-8")
    shutil.copytree(ROOT / "skill_graphs" / "first-two-years", folder / "course")
    (folder / "studio.toml").write_text(
        'format = 1\nname = "Large"\ncourse = "course"\nstudents = "."\ntoday = 2025-12-02\n',
        encoding="utf-8",
    )
    return folder


def fresh(code: str, *words: str) -> list[float]:
    """Run code in a fresh interpreter; return the numbers it prints."""
    done = subprocess.run(
        [sys.executable, "-c", code, *words], cwd=ROOT, check=True, capture_output=True, text=True
    )
    return [float(one) for one in done.stdout.split()]


MOVES = ["down"] * 21 + ["pagedown"] * 11 + ["3", "1"] * 5
LETTERS = ["t", "e", "m", "w", "a", *["backspace"] * 5]
WORD = ["slash", *LETTERS, "escape"]


async def keys(folder: Path) -> dict[str, object]:
    """Return how soon the list of many is there, and how soon keys are answered, in ms: [middle, longest].

    Once at rest, and once while every file is read and judged again, because the course was saved.
    """
    from tui.app import Browse
    from tui.desk import Desk

    app = Browse(Desk(None, folder, folder, {}, None, lambda: datetime(2025, 12, 2).astimezone()))
    async with app.run_test(size=SIZE) as pilot:
        began = time.perf_counter()
        while app.view is None:
            await asyncio.sleep(0.005)
        await pilot.pause(0)
        seen = time.perf_counter() - began
        while not app.is_whole:
            await asyncio.sleep(0.02)
        found: dict[str, object] = {
            "list seen, s": round(seen, 2), "everybody judged, s": round(time.perf_counter() - began, 2),
        }  # fmt: skip
        await pilot.pause(0.5)
        began = time.process_time()
        await asyncio.sleep(20)
        found["processor at rest, in 100"] = round(5 * (time.process_time() - began), 2)
        ours, plain = await answered(app), await plain_list([row.record.name for row in app.view.rows])
        found["a key: here, in a plain list of as many, and what the answer beside it takes after it"] = {
            what: [key, plain[what][0], after] for what, (key, after) in ours.items()
        }
        found["moving and asking"] = _told([await _press(app, key) for key in MOVES])
        pacing = folder / "course" / "pacing.toml"
        pacing.write_text(pacing.read_text(encoding="utf-8") + "\n# saved\n", encoding="utf-8")
        before, took = app.view, []
        while app.view is before or not app.is_whole:
            took += [await _press(app, key) for key in WORD]
            await asyncio.sleep(0.3)  # somebody looks at what was found
        found["typing names while all is read again"] = _told(took)
    return found


async def _drawn_twice(app: App[object]) -> None:
    """Wait until what a key or a page changed is drawn, and what its layout changed after it."""
    for _ in range(2):
        drawn = asyncio.Event()
        app.screen.call_after_refresh(drawn.set)
        await drawn.wait()


async def answered(app: App[object]) -> dict[str, tuple[float, float]]:
    """Return the middle of the milliseconds of a key and of what follows it at rest, for three kinds of keys.

    The mark moves down 25 lines, 25 with which the list scrolls, and a name is typed and deleted five times.
    """
    lines = app.screen.query(OptionList).first()
    down = [await _answered(app, "down", lambda: lines.highlighted) for _ in range(70)]
    app.post_message(events.Key("slash", "/"))
    await asyncio.sleep(0.5)
    typed = [await _answered(app, key, lambda: app.screen.typed) for key in LETTERS * 5]
    app.post_message(events.Key("escape", None))
    await asyncio.sleep(0.5)
    kinds = {"the mark moves": down[:25], "the list scrolls": down[-25:], "a letter typed": typed}
    return {kind: tuple(map(_middle, zip(*took, strict=True))) for kind, took in kinds.items()}


async def _answered(app: App[object], key: str, state: Callable[[], object]) -> tuple[float, float]:
    """Return the milliseconds until a key has changed a state and that is drawn, and of the rest after it."""
    was, began = state(), time.thread_time()
    app.post_message(events.Key(key, key if len(key) == 1 else None))
    while state() == was:
        await asyncio.sleep(0.0005)
    await _drawn_twice(app)
    drawn = time.thread_time()
    await asyncio.sleep(0.15)
    return 1000 * (drawn - began), 1000 * (time.thread_time() - drawn)


async def plain_list(names: list[str]) -> dict[str, tuple[float, float]]:
    """Return the same of a program that has a list of these lines and a field that narrows it."""

    class Plain(Screen[None]):
        BINDINGS = (("slash", "find", "Find"), ("escape", "back", "Back"))
        typed = ""

        def compose(self) -> Iterator[Widget]:
            yield OptionList(*names)
            yield Input()
            yield Footer()

        def action_find(self) -> None:
            self.query_one(Input).focus()

        def action_back(self) -> None:
            self.query_one(OptionList).focus()

        def on_input_changed(self, event: Input.Changed) -> None:
            self.typed = event.value
            self.query_one(OptionList).set_options(one for one in names if self.typed in one.lower())

    class PlainApp(App[None]):
        def on_mount(self) -> None:
            self.push_screen(Plain())

    async with (app := PlainApp()).run_test(size=SIZE) as pilot:
        await pilot.pause(0.5)
        return await answered(app)


def _middle(took: list[float]) -> float:
    return round(sorted(took)[len(took) // 2], 1)


async def _press(app: Browse, key: str) -> float:
    """Return the milliseconds from a key to the refreshed screen."""
    drawn = asyncio.Event()
    began = time.thread_time()
    app.post_message(events.Key(key, key if len(key) == 1 else None))
    await asyncio.sleep(0)
    app.screen.call_after_refresh(drawn.set)
    await drawn.wait()
    took = 1000 * (time.thread_time() - began)
    await asyncio.sleep(0.03)
    return took


async def opening(folder: Path) -> float:
    """Return the processor time of opening a student, in that of a plain screen with as many lines."""
    from tui.app import Browse
    from tui.desk import Desk

    class Plain(Screen[None]):
        BINDINGS = (("escape", "app.pop_screen", "Back"), *((key, "none", key) for key in "abcdefg"))
        lines = 0

        def compose(self) -> Iterator[Widget]:
            yield Static("title")
            yield OptionList(*(f"a line of text, like many others: {line}" for line in range(self.lines)))
            yield Footer()

    app = Browse(Desk(None, folder, folder, {}, None, lambda: datetime(2025, 12, 2).astimezone()))
    async with app.run_test(size=(80, 24)) as pilot:
        while not app.is_whole:
            await asyncio.sleep(0.02)
        first = app.screen

        async def opened(start: Callable[[], object]) -> float:
            await pilot.pause(0.3)
            began = time.thread_time()
            start()
            while app.screen is first:
                await asyncio.sleep(0.001)
            await _drawn_twice(app)
            took = time.thread_time() - began
            lists = app.screen.query(OptionList)
            Plain.lines = Plain.lines or 8 + sum(one.virtual_size.height for one in lists)
            await pilot.press("escape")
            return took

        student = app.view.rows[0].record.id
        both = [
            (await opened(lambda: app.go_to(student)), await opened(lambda: app.push_screen(Plain())))
            for _ in range(9)
        ]
    ours, plain = (sorted(column)[4] for column in zip(*both, strict=True))
    return round(ours / plain, 2)


def _told(took: list[float]) -> list[float]:
    return [_middle(took), round(max(took), 1)]


def main() -> None:
    """Measure and print."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    with tempfile.TemporaryDirectory() as small, tempfile.TemporaryDirectory() as large:
        forty = make_studio(Path(small), 40)
        pairs = [(fresh(EMPTY)[0], *fresh(OURS, str(forty))) for _ in range(rounds)]
        empty, seen, filled = (min(column) for column in zip(*pairs, strict=True))
        found = {
            "empty program with the engine's imports, s": round(empty, 3),
            "first screen, s": round(seen, 3),
            "first screen against the empty program": round(seen / empty, 2),
            "40 students read and judged, s": round(filled, 3),
            "40 students against the empty program": round(filled / empty, 2),
            "opening a student against a plain screen of as many lines": asyncio.run(opening(forty)),
            "1,500 students": asyncio.run(keys(make_studio(Path(large), 1500))),
        }
    print(json.dumps(found, indent=2))


if __name__ == "__main__":
    main()
