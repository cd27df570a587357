"""What the tests of the screens share: a studio to spoil, hands to press keys, eyes to read.

A screen is read as text, as it is drawn. Clocks stand still at three in the afternoon.
"""

from __future__ import annotations

import asyncio
import shutil
import unicodedata
from collections.abc import Awaitable, Callable, Iterable
from datetime import datetime
from pathlib import Path

from textual import events
from textual._compositor import LayoutUpdate
from textual.keys import REPLACED_KEYS, _get_unicode_name_from_key
from textual.pilot import Pilot
from textual.widgets import Static

from readiness.days import day_number
from tui.app import Browse, _passed
from tui.desk import Desk

__all__ = [
    "Walk", "add_misspelt_student", "add_new_student", "at_rest", "copy_of_demo", "desk_at", "eventually",
    "pane", "press", "read", "settled", "shows", "to_the_studio", "told", "typed", "use",
]  # fmt: skip

ROOT = Path(__file__).parents[2]

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
    app.animation_level = "none"
    app.NOTIFICATION_TIMEOUT = 600  # a busy machine may rest for longer than a message stays otherwise

    async def go() -> None:
        async with app.run_test(size=size, notifications=True) as pilot:
            await eventually(pilot, lambda: app.view is not None)
            await walk(pilot)

    asyncio.run(go())
    return app


async def press(pilot: Pilot[None], keys: str) -> None:
    """Press keys, parted by spaces, and let everything they set off come to rest.

    Also on a busy machine: what was waiting before in the queues of the program, the screen and
    the widget with the cursor has been dealt with when this returns.
    """
    for key in keys.split():
        await typed(pilot, [key])
    await at_rest(pilot)


async def typed(pilot: Pilot[None], keys: Iterable[str]) -> None:
    """Press keys as fast as can be, and wait until each has had its effect."""
    for key in keys:
        pilot.app.post_message(events.Key(key, _character(key)))
    await settled(pilot)


def _character(key: str) -> str | None:
    """Return what a key types, as Textual's pilot has it."""
    try:
        return unicodedata.lookup(_get_unicode_name_from_key(REPLACED_KEYS.get(key, key)))
    except KeyError:
        return key if len(key) == 1 else None


async def settled(pilot: Pilot[None]) -> None:
    """Wait until every key has had its effect, and what it wrote has been read again."""
    app = pilot.app
    assert isinstance(app, Browse)
    await _passed(app)
    while (following := app.turns._following) is not None:
        await asyncio.wait([following])
    while app.is_behind and app.is_running:
        await asyncio.sleep(0.01)
    for pump in (app, app.screen, app.focused or app.screen, app.screen):
        await _passed(pump)


async def at_rest(pilot: Pilot[None]) -> None:
    """Wait until nothing moves: nothing is left to be done, and no timer is about to go off."""
    loop = asyncio.get_running_loop()
    began = loop.time()
    while pilot.app.is_running:
        await asyncio.sleep(0)
        if loop._ready:
            continue
        timers = (timer.when() for timer in loop._scheduled if not timer.cancelled())
        until = max((when for when in timers if when < loop.time() + SOON), default=None)
        if until is None or until > began + ROLLING:
            return
        await asyncio.sleep(until - loop.time())


SOON, ROLLING = 0.06, 0.3
"""Seconds: who waits longer, as a message does before it goes, or goes off for ever, is not waited for."""


async def eventually(pilot: Pilot[None], is_so: Callable[[], bool], seconds: float = 20) -> None:
    """Wait until something is so; fail with the screen when it does not come."""
    for _ in range(int(seconds / 0.01)):
        if is_so():
            await at_rest(pilot)
            return
        await asyncio.sleep(0.01)
    raise AssertionError("this never came:\n" + "\n".join(read(pilot.app)))


def read(app: object) -> list[str]:
    """Return what stands on the screen, line by line."""
    assert isinstance(app, Browse)
    drawn = app.screen._compositor.render_update(full=True, screen_stack=app._background_screens)
    assert isinstance(drawn, LayoutUpdate)
    return ["".join(strip.text for strip in line).rstrip() for line in drawn.strips]


async def to_the_studio(pilot: Pilot[None]) -> None:
    """Go back to the first screen as it is at the start, on its first line."""
    pilot.app.clear_notifications()
    while len(pilot.app.screen_stack) > 2:
        await press(pilot, "escape")
    await press(pilot, "escape home")


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
