"""How soon the first screen is there with 40 students, and how soon a key is answered with 1,500.

Not a test: it prints, and judges nothing. The first screen is compared with an empty Textual
program plus the engine's imports, each in a fresh interpreter, in turn, the best of several.

    python tests/bench/first_screen.py [rounds]
"""

from __future__ import annotations

import asyncio
import json
import subprocess
import sys
import tempfile
import time
from datetime import datetime
from pathlib import Path

ROOT = Path(__file__).parents[2]
SIZE = (120, 40)

EMPTY = """
import time; began = time.perf_counter()
import asyncio
import readiness.studio.load, readiness.studio.find, readiness.judging.engine, readiness.judging.what_if
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
    (folder / "studio.toml").write_text(
        f'format = 1\nname = "Large"\ncourse = "{ROOT / "skill_graphs" / "first-two-years"}"\n'
        'students = "."\ntoday = 2025-12-02\n',
        encoding="utf-8",
    )
    return folder


def fresh(code: str, *words: str) -> list[float]:
    """Run code in a fresh interpreter; return the numbers it prints."""
    done = subprocess.run(
        [sys.executable, "-c", code, *words], cwd=ROOT, check=True, capture_output=True, text=True
    )
    return [float(one) for one in done.stdout.split()]


async def keys(folder: Path) -> dict[str, float]:
    """Return milliseconds from a key to the refreshed screen, by key, the middle of several."""
    from textual import events

    from tui.app import Browse
    from tui.desk import Desk

    app = Browse(Desk(None, folder, folder, {}, None, lambda: datetime(2025, 12, 2).astimezone()))
    took: dict[str, list[float]] = {}
    async with app.run_test(size=SIZE) as pilot:
        while app.view is None:
            await asyncio.sleep(0.05)
        await pilot.pause(0.5)
        for key in ["down"] * 21 + ["pagedown"] * 11 + ["3", "1"] * 5 + ["slash", "t", "e", "m", "w"]:
            drawn = asyncio.Event()
            began = time.perf_counter()
            app.post_message(events.Key(key, key if len(key) == 1 else None))
            await asyncio.sleep(0)
            app.screen.call_after_refresh(drawn.set)
            await drawn.wait()
            took.setdefault(key, []).append(1000 * (time.perf_counter() - began))
            await asyncio.sleep(0.03)
    return {key: sorted(all_)[len(all_) // 2] for key, all_ in took.items()}


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
            "1,500 students, ms a key": {
                key: round(took, 1) for key, took in asyncio.run(keys(make_studio(Path(large), 1500))).items()
            },
        }
    print(json.dumps(found, indent=2))


if __name__ == "__main__":
    main()
