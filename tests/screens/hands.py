"""What the tests of the screens share: a studio to spoil, hands to press keys, eyes to read.

A screen is read as text: ``export_screenshot(simplify=True)`` gives the picture's text with
its places, and those become lines. Clocks stand still at three in the afternoon.
"""

from __future__ import annotations

import asyncio
import html
import re
import shutil
from collections.abc import Awaitable, Callable
from datetime import datetime
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Static

from readiness.days import day_number
from tui.app import Browse
from tui.desk import Desk

__all__ = [
    "Walk", "add_misspelt_student", "add_new_student", "copy_of_demo", "desk_at", "eventually", "pane",
    "press", "read", "settled", "shows", "told", "use",
]  # fmt: skip

ROOT = Path(__file__).parents[2]
TEXT = re.compile(r'<text class="[^"]*-r\d+" x="([\d.]+)" y="([\d.]+)"[^>]*>(.*?)</text>')
CELL_WIDTH, CELL_HEIGHT, FIRST_LINE = 12.2, 24.4, 20

Walk = Callable[["Pilot[None]"], Awaitable[None]]


def copy_of_demo(folder: Path) -> Path:
    """Copy the demo studio and its course; return the folder of the students."""
    for name in ("demo_students", "skill_graphs"):
        shutil.copytree(ROOT / name, folder / name)
    return folder / "demo_students"


def add_new_student(students: Path, more: str = "") -> Path:
    """Write Alma, seven, of whom nothing is known yet; the list has her right below the open hold."""
    file = students / "alma.toml"
    file.write_text(f'format = 1\nname = "Alma"\nborn = "2018-03-02"\n{more}', encoding="utf-8")
    return file


def add_misspelt_student(students: Path) -> Path:
    """Write Pia, seven, with one skill misspelt, so that there is something wrong in the files."""
    file = students / "pia.toml"
    seen = '\n[[lesson]]\non = 2025-12-02\nalone = ["wrst-lift"]\n'
    file.write_text(f'format = 1\nname = "Pia"\nborn = "2018-03-02"\n{seen}', encoding="utf-8")
    return file


def desk_at(students: Path, on: str | None = "2025-12-08") -> Desk:
    """Return a desk for a studio on a day, with a clock that stands still when all of the demo has come."""
    day = None if on is None else day_number(on)
    return Desk(None, students, students, {}, day, lambda: datetime(2025, 12, 17, 15, 0).astimezone())


def use(desk: Desk, walk: Walk, size: tuple[int, int] = (80, 24), first: str | None = None) -> Browse:
    """Start the program on a desk, let the walk press its keys, and leave."""
    app = Browse(desk, first)

    async def go() -> None:
        async with app.run_test(size=size, notifications=True) as pilot:
            await eventually(pilot, lambda: app.view is not None)
            await pilot.pause()
            await walk(pilot)

    asyncio.run(go())
    return app


async def press(pilot: Pilot[None], keys: str) -> None:
    """Press keys, parted by spaces, and let everything they set off come to rest.

    Also on a busy machine: what was waiting before in the queues of the program, the screen and
    the widget with the cursor has been dealt with when this returns.
    """
    for key in keys.split():
        await pilot.press(key)
        await settled(pilot)
        for pump in (pilot.app, pilot.app.screen, pilot.app.focused or pilot.app.screen, pilot.app.screen):
            done = asyncio.Event()
            if pump.is_running and pump.call_later(done.set):
                await asyncio.wait_for(done.wait(), 30)
    await pilot.pause()


async def settled(pilot: Pilot[None]) -> None:
    """Wait until every key has had its effect."""
    app = pilot.app
    assert isinstance(app, Browse)
    await eventually(pilot, lambda: app.turns.at_rest)


async def eventually(pilot: Pilot[None], is_so: Callable[[], bool], seconds: float = 20) -> None:
    """Wait until something is so; fail with the screen when it does not come."""
    for _ in range(int(seconds / 0.05)):
        if is_so():
            return
        await pilot.pause(0.05)
    raise AssertionError("this never came:\n" + "\n".join(read(pilot.app)))


def read(app: object) -> list[str]:
    """Return what stands on the screen, line by line."""
    assert isinstance(app, Browse)
    rows: dict[int, str] = {}
    for x, y, text in TEXT.findall(app.export_screenshot(simplify=True)):
        row = round((float(y) - FIRST_LINE) / CELL_HEIGHT)
        before = rows.get(row, "").ljust(round(float(x) / CELL_WIDTH))
        rows[row] = before + html.unescape(text).replace("\xa0", " ")
    return [rows.get(row, "").rstrip() for row in range(app.size.height)]


def told(app: object) -> str:
    """Return everything the small messages at the edge say at the moment, in one line."""
    assert isinstance(app, Browse)
    return " ".join(" ".join(one.message.split()) for one in app._notifications)


def pane(app: object, selector: str) -> str:
    """Return the text of one pane in one line, also what is scrolled out of sight."""
    assert isinstance(app, Browse)
    return " ".join(str(app.screen.query_one(selector, Static).visual).split())


def shows(app: object, words: str) -> bool:
    """Return whether words stand on the screen, however the lines are broken."""
    return " ".join(words.split()) in " ".join(" ".join(read(app)).split())
