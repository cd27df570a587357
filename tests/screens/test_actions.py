"""The table of actions: every row is bound, shown in help and palette, and does something."""

from __future__ import annotations

from collections import Counter

import pytest
from textual.widgets import Input

from screens.hands import (
    add_misspelt_student,
    add_new_student,
    desk_at,
    eventually,
    press,
    read,
    shows,
    to_the_studio,
    use,
)
from tui.actions import ACTIONS, EVERYWHERE, actions_of, bindings_of, with_keys
from tui.screens.course import CourseScreen, ProblemsScreen
from tui.screens.forms import help_text
from tui.screens.noting import LessonScreen, PlacingScreen
from tui.screens.step import DecideScreen, PauseScreen
from tui.screens.studio import StudioScreen
from tui.screens.why import AnswersScreen, TellingsScreen, WhyScreen

SCREENS = {
    one.NAME: one
    for one in (
        StudioScreen, WhyScreen, TellingsScreen, AnswersScreen, LessonScreen, PlacingScreen, PauseScreen,
        DecideScreen, CourseScreen, ProblemsScreen,
    )
}  # fmt: skip

WAYS = {
    "studio": "down",
    "why": "end enter",
    "tellings": "end enter t",
    "answers": "end enter a",
    "lesson": "end l 1",
    "placing": "slash a l m a enter s 1",
    "decide": "end d",
    "pause": "end exclamation_mark",
    "course": "end m",
    "problems": "p",
}
"""The keys from the first screen to each other one, with something on it to act upon."""

BEFORE = {
    ("studio", "ask('today')"): "2",
    ("studio", "open('placing')"): "slash a l m a enter",
    ("studio", "back"): "2",
    ("why", "suppose('nothing')"): "2",
    ("why", "suppose('cue')"): "",
    ("lesson", "press('s')"): "u",
    ("lesson", "press('*')"): "u",
    ("lesson", "press('u')"): "5",
    ("placing", "press('u')"): "5",
    ("placing", "press('s')"): "x y",
    ("tellings", "choose('child')"): "2",
    ("answers", "choose('plan')"): "b",
    ("answers", "unfold"): "w",
    ("decide", "other"): "escape slash a l m a enter d",
}
"""What has to be so before a row can show that it does something."""

FROM_THE_START = {*(f"press('{key}')" for key in "us*.q"), "afresh", "go(-1)"}
"""Rows that are tried on a screen as it is when one comes to it."""


def test_every_row_belongs_to_a_screen_and_has_a_method():
    for row in ACTIONS:
        assert row.on
        for name in row.on:
            for screen in SCREENS.values() if name == EVERYWHERE else [SCREENS[name]]:
                assert hasattr(screen, f"action_{row.id.split('(')[0]}"), (name, row.id)


@pytest.mark.parametrize("name", SCREENS)
def test_no_key_means_two_things_on_one_screen(name):
    keys = Counter(key for row in actions_of(name) for key in row.keys.split(","))
    assert [key for key, count in keys.items() if count > 1] == []


@pytest.mark.parametrize("name", SCREENS)
def test_bindings_and_help_have_every_row(name):
    bound = {binding.action for binding in bindings_of(name)}
    words = help_text(name, SCREENS[name].ABOUT)
    for row in actions_of(name):
        assert row.id in bound
        assert row.help in words
        assert row.all_keys in words


@pytest.mark.parametrize("name", SCREENS)
def test_every_row_of_the_table_does_something_one_can_see(name, students, tmp_path, monkeypatch):
    """Each row: go to its screen, press its key, and the screen, a toast or the clipboard differs."""
    add_new_student(students)
    if name == "problems":
        add_misspelt_student(students)
    monkeypatch.chdir(tmp_path)
    idle = []

    async def walk(pilot):
        for row in sorted(actions_of(name), key=lambda one: one.id == "leave"):
            if not await _is_back_at(name, pilot) or row.id in FROM_THE_START:
                await to_the_studio(pilot)
                await press(pilot, WAYS[name])
            if BEFORE.get((name, row.id)):
                await press(pilot, BEFORE[name, row.id])
            before = _seen(pilot.app)
            await press(pilot, row.keys.split(",")[0])
            if row.id == "leave":
                return
            if _seen(pilot.app) == before:
                idle.append(row.id)

    use(desk_at(students), walk)
    assert idle == []


async def _is_back_at(name, pilot):
    """Leave what a row opened on top of a screen; return whether that is shown again."""

    def names():
        return [getattr(one, "NAME", "") for one in pilot.app.screen_stack]

    while isinstance(pilot.app.focused, Input) or name in names()[:-1]:
        await press(pilot, "escape")
    return names()[-1] == name


def _seen(app):
    return read(app), app.clipboard


def test_the_palette_offers_every_action_and_every_student(students):
    add_new_student(students)
    offered = {}

    async def walk(pilot):
        app = pilot.app
        for name, keys in WAYS.items():
            await to_the_studio(pilot)
            await press(pilot, keys)
            offered[name] = {one.title for one in app.get_system_commands(app.screen)}
        await to_the_studio(pilot)
        await press(pilot, "enter slash n o e m enter")
        await eventually(pilot, lambda: read(app)[0].startswith(" Noemi"))
        await press(pilot, "ctrl+p g o space t o space t e m")
        await eventually(pilot, lambda: shows(app, "Go to Temwa"))
        await press(pilot, "enter")
        await eventually(pilot, lambda: read(app)[0].startswith(" Temwa"))

    use(desk_at(students), walk)
    for name, titles in offered.items():
        assert {row.help for row in actions_of(name)} <= titles, name
        finds = "find" in {row.id for row in actions_of(name)}
        assert ("Go to Temwa" in titles) is finds, name
    assert "Go to Temwa" in offered["studio"]
    assert "Go to Temwa" not in offered["lesson"]


def test_an_action_chosen_in_the_palette_is_done(students):
    async def walk(pilot):
        await press(pilot, "ctrl+p s t u c k")
        await eventually(pilot, lambda: shows(pilot.app, "Who is stuck?"))
        await press(pilot, "enter")
        await eventually(pilot, lambda: not shows(pilot.app, "Temwa"))
        assert shows(pilot.app, "Chikondi")

    use(desk_at(students), walk)


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("command", [
    "pause ID WORDS --part hand", "note ID", "decide ID move", "undo ID", "resume ID --by NAME", "task ID",
    "promise ID", "consent ID", "place ID", "plan ID", "back ID", "review ID", "why ID", "tell ID",
])  # fmt: skip
def test_a_screen_names_its_key_in_place_of_the_command_that_does_the_same(screen, command):
    told = with_keys(f"It does. `readiness {command}` does it: `readiness {command}`", screen)
    assert "readiness" not in told
    keys = {row.all_keys for row in (*actions_of(screen), *actions_of("why"), *actions_of("studio"))}
    way = told.removeprefix("It does. ").partition(" does it")[0].lower().removeprefix("escape, then ")
    way, then = way.removeprefix("key ").partition(", then ")[::2]
    assert way in {one.lower() for one in keys}
    assert then in {"", *(row.all_keys for row in actions_of("answers"))}


def test_what_only_a_command_can_do_stays_a_command():
    for command in ("undo ID --by NAME --why WORDS", "decide ID move --unit UNIT", "enrol", "forget ID"):
        assert with_keys(f"`readiness {command}`", "why") == f"`readiness {command}`"
