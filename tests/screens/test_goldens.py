"""Every screen as text at two sizes, the first ones at two more, held against a file a teacher could read."""

from __future__ import annotations

from pathlib import Path

import pytest
from pinned import hold_against
from textual import events

from screens.hands import add_misspelt_student, add_new_student, desk_at, press, read, settled, use
from tui.actions import with_keys

GOLDEN = Path(__file__).parent / "golden"

WALK = {
    "studio": "end",
    "studio-ready": "3",
    "why": "escape end enter",
    "why-open": "down right",
    "why-what-if": "2",
    "answers": "0 a",
    "answers-way": "w u n i t space 6 enter",
    "tellings": "escape t 2",
    "decide": "escape d",
    "decide-sure": "m",
    "decide-why": "enter",
    "decide-kept": "s u r e enter",
    "decide-undone": "u",
    "map": "escape m",
    "lesson": "escape l 1 1 2",
    "lesson-sure": "q",
    "placing-again": "escape x y escape escape slash r a f i q enter s",
    "problems": "escape p",
    "help": "f1",
}
"""The keys that lead from each screen to the next."""

MORE = {"pause": "escape escape exclamation_mark", "write": "escape w", "write-form": "enter"}
"""The keys to the screens that are seen nowhere else."""

NEW_STUDENT = {
    "placing": "slash a l m a enter s",
    "placing-later": "1 1 1 2",
    "placing-sure": "q",
    "placing-noted": "enter",
}
"""The keys that lead through the first lesson of a student of whom nothing is known."""

SIZES = pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])


@SIZES
def test_every_screen_looks_as_it_did(students, size):
    _look(students, size, {**WALK, **MORE})


@pytest.mark.parametrize("size", [(60, 20), (200, 60)], ids=["60x20", "200x60"])
def test_the_first_screens_have_little_room_and_much(students, size):
    way = {"studio": "end", "why": "enter", "why-open": "down right", "settings": "w end up enter"}
    _look(students, size, way)


@SIZES
def test_every_step_of_placing_looks_as_it_did(students, size):
    add_new_student(students)
    _look(students, size, NEW_STUDENT)


@SIZES
def test_a_mistake_in_a_file_looks_as_it_did(students, size):
    add_misspelt_student(students)
    _look(students, size, {"problems-found": "p"})


@pytest.mark.parametrize("size", [(60, 20), (97, 31)], ids=str)
def test_every_screen_is_the_same_at_other_sizes_when_laid_out_again(students, size):
    _look(students, size, {**WALK, **MORE}, pinned=False)


async def _still(pilot):
    """Return what stands on the screen when it is laid out, also on a busy machine."""
    seen, now = None, []
    while now != seen:
        for _ in range(3):  # a layout may ask for another
            await settled(pilot)
            await pilot.app.animator.wait_until_complete()
            await pilot.pause(0)
        seen, now = now, read(pilot.app)
    return now


def _look(students, size, way, *, pinned=True):
    """Go the way, and hold every screen on it against its file.

    Whatever is made for a width is made for the one it has in the end, beside a scroll bar too: a second
    layout and a window that was another change nothing.
    """
    pictures = {}

    async def walk(pilot):
        for name, keys in way.items():
            await press(pilot, keys)
            pilot.app.clear_notifications()
            pictures[name] = once = await _still(pilot)
            for one in (pilot.app.screen, *pilot.app.screen.walk_children()):
                one.post_message(events.Resize(one.size, one.virtual_size, one.container_size))
            pilot.app.screen.refresh(layout=True)
            assert await _still(pilot) == once, name
            if size[0] >= 80:  # below, Textual keeps the height that a text over the reasons had before
                await pilot.resize_terminal(size[0] + 11, size[1] + 7)
                await _still(pilot)
                await pilot.resize_terminal(*size)
                assert await _still(pilot) == once, name

    use(desk_at(students), walk, size)
    for name, lines in pictures.items():
        assert len(lines) == size[1], name
        assert max(map(len, lines)) <= size[0], name
        assert all(with_keys(line, "why") == line for line in lines), "a key does what this command does"
        found = "\n".join(lines).replace(str(students), "STUDENTS") + "\n"
        if pinned:
            hold_against(GOLDEN / f"{name}-{size[0]}x{size[1]}.txt", found)
