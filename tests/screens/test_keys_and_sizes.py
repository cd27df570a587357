"""Letters work wherever the cursor is, Escape always leads back, and any size is a size."""

from __future__ import annotations

import pytest
from textual.widgets import Input

from readiness.record.entries import close_hold
from readiness.words.cautions import GENTLE
from screens.hands import add_new_student, at_rest, desk_at, eventually, pane, press, read, shows, use
from screens.test_goldens import MORE, NEW_STUDENT, WALK
from tui.actions import ACTIONS, EVERYWHERE, actions_of
from tui.screens.base import BaseScreen
from tui.screens.forms import OnTop, TextPage
from tui.screens.studio import StudioScreen
from tui.screens.why import WhyScreen
from tui.widgets import MarkedList


def test_letters_work_wherever_the_cursor_is_on_a_page(students):
    async def walk(pilot):
        await press(pilot, "end enter")
        for _ in range(4):
            assert isinstance(pilot.app.screen, WhyScreen)
            await press(pilot, "m")
            assert pilot.app.screen.NAME == "course"
            await press(pilot, "escape tab")

    use(desk_at(students), walk)


def test_a_field_takes_every_letter_and_escape_leaves_it(students):
    async def walk(pilot):
        await press(pilot, "slash q l m p 2")
        assert isinstance(pilot.app.screen, StudioScreen)
        assert pilot.app.screen.query_one(Input).value == "qlmp2"
        assert shows(pilot.app, 'Nobody called "qlmp2". Escape shows everyone again.')
        await press(pilot, "escape")
        assert shows(pilot.app, "Temwa")
        await press(pilot, "end l")
        assert pilot.app.screen.NAME == "lesson"

    use(desk_at(students), walk)


def test_the_footer_of_a_field_has_the_keys_that_work_in_it(students):
    async def walk(pilot):
        for keys, hidden in (("slash", "/ Find"), ("escape end l quotation_mark", "+ Add")):
            await press(pilot, keys)
            footer = read(pilot.app)[-1]
            assert "Enter Keep" in footer
            assert "Esc Back" in footer
            assert hidden not in footer
            assert not shows(pilot.app, "1 alone")
        await press(pilot, "plus slash minus enter")
        assert shows(pilot.app, '"+/-"')
        assert shows(pilot.app, "1 alone")

    use(desk_at(students), walk)


@pytest.mark.parametrize("size", [(60, 20), (40, 12)], ids=str)
def test_what_hurts_the_way_back_and_help_are_seen_however_little_room_there_is(students, size):
    """On every screen there is, in each of its fields too; in a field the first is a letter like others."""
    add_new_student(students)
    seen = set()

    async def walk(pilot):
        for keys in (*WALK.values(), *MORE.values(), "escape escape", *NEW_STUDENT.values()):
            await press(pilot, keys)
            screen, footer = pilot.app.screen, read(pilot.app)[-1]
            if not isinstance(screen, BaseScreen):
                continue
            seen.add(screen.NAME)
            is_typing = isinstance(pilot.app.focused, Input)
            has = {row.title for row in actions_of(screen.NAME) if not is_typing or row.title != "Hurts"}
            at_rest = screen.NAME == "studio" and screen.question == "today" and not is_typing
            for key, title in (("!", "Hurts"), ("Esc", "Back"), ("F1", "Help")):
                if title in has and not (title == "Back" and at_rest):
                    assert f"{key} {title}" in footer, (screen.NAME, keys, footer)

    use(desk_at(students), walk, size)
    assert seen == {name for row in ACTIONS for name in row.on} - {EVERYWHERE}


def test_a_page_on_in_a_list_of_which_no_line_is_seen_breaks_nothing(students):
    """As where messages and a field take the whole of a small window."""

    async def walk(pilot):
        roster = pilot.app.screen.query_one(MarkedList)
        roster.highlighted = 1
        roster.action_page_down()
        roster.action_page_up()
        assert roster.highlighted == 1

    use(desk_at(students), walk, size=(20, 3))


def test_what_has_no_room_is_reached_with_tab(students):
    async def walk(pilot):
        for keys, scrolled in (("end m", "#skill"), ("escape enter 2", "#switches")):
            await press(pilot, keys)
            box = pilot.app.screen.query_one(scrolled)
            assert box.max_scroll_y > 0, "it has room here; the test needs a smaller terminal"
            await press(pilot, "tab down down")
            assert pilot.app.focused is box
            await eventually(pilot, lambda box=box: box.scroll_y > 0)

    use(desk_at(students), walk)


def test_escape_leads_back_from_everywhere(students):
    async def walk(pilot):
        await press(pilot, "end enter t f1 escape escape m v escape p escape escape l 1 q")
        for _ in range(8):
            await press(pilot, "escape")
        assert isinstance(pilot.app.screen, StudioScreen)

    use(desk_at(students), walk)


def test_quick_questions_show_whom_they_ask_for(students):
    answers = {}

    async def walk(pilot):
        for key in "23456":
            await press(pilot, key)
            rows = read(pilot.app)[6:12]
            answers[key] = [line.split()[0].strip("▸") for line in rows if line.strip()]

    use(desk_at(students, "2025-12-05"), walk)
    # who may not play, who only needs a look, who is stuck: the hand-worked answers of the demo
    assert answers["2"] == ["Linnea"]
    assert answers["4"] == ["Noemi", "Temwa"]
    assert answers["5"] == ["Chikondi"]
    assert answers["3"] == ["Bogdan"]
    assert answers["6"] == ["Bogdan", "Chikondi", "Noemi", "Temwa"]


def test_what_is_copied_is_what_the_command_line_prints(students):
    from readiness.words.why import tell_answer

    async def walk(pilot):
        await press(pilot, "end enter c")
        row = pilot.app.desk.row("temwa")
        assert pilot.app.clipboard == tell_answer(row.answer, pilot.app.desk.course, row.record)

    use(desk_at(students), walk)


def test_a_mouse_does_what_the_keys_do(students):
    async def walk(pilot):
        await pilot.click("#roster", offset=(5, 11))
        await pilot.click("#roster", offset=(5, 11), times=2)
        await eventually(pilot, lambda: isinstance(pilot.app.screen, WhyScreen))
        assert read(pilot.app)[0].startswith(" Temwa")
        await press(pilot, "escape")
        await pilot.click("#questions", offset=(18, 0))
        await eventually(pilot, lambda: shows(pilot.app, "[2 may not play]"))

    use(desk_at(students), walk)


def test_a_resize_keeps_the_place_and_the_words(students):
    async def walk(pilot):
        for keys in ("end", "enter", "m", "escape l", "escape t", "escape escape p"):
            await press(pilot, keys)
            for size in ((40, 12), (200, 60), (80, 24)):
                await pilot.resize_terminal(*size)
                await eventually(pilot, lambda lines=size[1]: len(read(pilot.app)) == lines)
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, StudioScreen)
        assert shows(pilot.app, "▸Temwa")

    use(desk_at(students), walk)


def test_every_theme_can_show_every_screen(students):
    async def walk(pilot):
        for keys in ("end", "enter", "m", "escape l", "escape escape p", "f1"):
            await press(pilot, keys)
            for theme in ("page", "ansi-dark", "ansi-light", "nord", "lid"):
                pilot.app.theme = theme
                await at_rest(pilot)
        assert shows(pilot.app, "Mend it in any editor")

    use(desk_at(students), walk)


def test_without_colours_marks_and_words_say_the_same(students, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("TEXTUAL_ANIMATIONS", "none")

    async def walk(pilot):
        lines = "\n".join(read(pilot.app))
        for words in (
            "|| paused",
            "+> ready, some to finish",
            ".. not yet",
            ":| look again first",
            "|: no starting unit yet",
        ):
            assert words in lines
        assert "▸Linnea" in lines
        assert "[1 today]" in lines

    use(desk_at(students), walk)


@pytest.mark.parametrize("keys", ["w", "w down enter x", "l plus x", "enter slash x", "d m", "m c", "u"])
def test_the_key_of_help_helps_on_top_of_every_screen(students, keys):
    """It says how what is open is answered, and leads back to it as it was."""

    async def walk(pilot):
        await press(pilot, f"end {keys}")
        asking, before = pilot.app.screen, read(pilot.app)
        assert isinstance(asking, OnTop)
        await press(pilot, "f1")
        assert isinstance(pilot.app.screen, TextPage)
        assert asking.HELP in pilot.app.screen.text
        await press(pilot, "f1")
        assert pilot.app.screen is asking
        assert read(pilot.app) == before

    use(desk_at(students, "2025-12-02"), walk)


def test_what_a_field_asks_for_fits_a_narrow_screen(students):
    """Whole, and what stands in it from its beginning: which task it is can be told from its first words."""

    async def walk(pilot):
        for keys in (
            "slash", "escape l quotation_mark", "escape plus", "escape escape d slash", "escape m enter",
            "escape escape a s o", "escape a w", "escape escape exclamation_mark 1",
            "escape escape enter slash",
        ):  # fmt: skip
            await press(pilot, keys)
            fields = [one for one in pilot.app.screen.query(Input) if one.display]
            assert fields, keys
            for field in fields:
                assert len(field.placeholder) <= field.content_size.width, field.placeholder
        await press(pilot, "escape escape escape slash c h i k enter w")
        pilot.app.screen.dismiss("report")
        await press(pilot, "up")
        field = pilot.app.screen.query_one("#number")
        assert field.value.startswith("2 Closed hands, right-left")
        assert len(field.value) < field.content_size.width

    use(desk_at(students, "2025-12-02"), walk, (60, 20))


def test_what_a_row_has_no_room_for_stands_below_the_list(students):
    row = desk_at(students).read().by_id["linnea"]
    assert close_hold(row.record, students, row.day, "the mother", "fine after advice") is None

    async def walk(pilot):
        await press(pilot, "slash l i n n e a enter")
        assert f"{GENTLE}." in pane(pilot.app, "#card")

    use(desk_at(students), walk)
