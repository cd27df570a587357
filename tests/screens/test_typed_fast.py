"""Keys that come faster than they are dealt with, as from a fast hand or while files are read."""

from __future__ import annotations

from textual import events
from textual.widgets import Input

from screens.hands import desk_at, press, settled, shows, use
from tui.screens.studio import StudioScreen

CHARACTERS = {"space": " ", "minus": "-"}


async def at_once(pilot, keys):
    """Put keys, parted by spaces, into the program's queue in one go, and wait until all had their effect."""
    for key in keys.split():
        character = CHARACTERS.get(key, key if len(key) == 1 else None)
        pilot.app.post_message(events.Key(key, character))
    await pilot.pause(0.01)
    await settled(pilot)


TYPED = {
    "w r s t backspace backspace backspace r i s t": "wrist",
    "a b c left left x end y home z": "zaxbcy",
    "a space b ctrl+w c d backspace e": "a ce",
    " ".join("abcdefghijklmnopqrstuvwxyz") + " backspace" * 25 + " z": "az",
}


def test_nothing_typed_into_a_field_is_lost_or_changes_place(students):
    async def walk(pilot):
        for keys, left in TYPED.items():
            await press(pilot, "slash")
            await at_once(pilot, keys)
            assert pilot.app.screen.query_one(Input).value == left
            await press(pilot, "escape")
        await press(pilot, "end l")
        for keys, left in TYPED.items():
            await press(pilot, "down quotation_mark")
            await at_once(pilot, keys)
            assert pilot.app.screen.query_one("#remark", Input).value == left
            await press(pilot, "escape")

    use(desk_at(students), walk)


def test_what_opens_a_field_has_opened_it_before_the_next_letter(students):
    async def walk(pilot):
        await at_once(pilot, "slash t e m")
        assert isinstance(pilot.app.screen, StudioScreen)
        assert pilot.app.screen.query_one(Input).value == "tem"
        await at_once(pilot, "enter escape end l quotation_mark s a m e enter 2 down quotation_mark s q")
        screen = pilot.app.screen
        assert screen.round.lesson.remarks == {screen.round.lines[0].skills[0]: "same"}
        assert list(screen.round.lesson.helps.values()) == [1] * 5
        assert screen.query_one("#remark", Input).value == "sq"

    use(desk_at(students), walk)


def test_a_whole_lesson_typed_in_one_go_is_noted(students):
    before = (students / "temwa.toml").read_text(encoding="utf-8")

    async def walk(pilot):
        await at_once(pilot, "end l 1 2 3 q enter escape")
        assert pilot.app.screen.NAME == "studio"
        await at_once(pilot, "q")

    app = use(desk_at(students), walk)
    assert app.return_code == 0
    added = (students / "temwa.toml").read_text(encoding="utf-8").removeprefix(before)
    assert added.count("[[lesson]]") == 1
    assert all(f"\n{help_} = [" in added for help_ in ("alone", "cue", "model"))


def test_a_screen_that_is_left_meanwhile_holds_no_key_back(students):
    async def walk(pilot):
        await at_once(pilot, "end enter m escape t 2 escape escape home f1 escape 3")
        assert shows(pilot.app, "[3 ready]")

    use(desk_at(students), walk)
