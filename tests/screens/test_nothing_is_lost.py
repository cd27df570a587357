"""What was typed is there again, and what somebody else noted meanwhile stays as it is."""

from __future__ import annotations

from functools import partial

import pytest
from textual.widgets import Input

from readiness.days import day_number
from readiness.record import draft_entry as half_done
from readiness.record.entries import close_hold
from readiness.record.marks import standing
from readiness.record.noting import NewLesson, note_lesson
from screens.hands import desk_at, eventually, press, read, shows, told, use

DAY = day_number("2025-12-08")
WORDS = "from elsewhere"


def from_elsewhere(students, on=DAY, name="temwa"):
    """Note a lesson as another window or a command would."""
    desk = desk_at(students)
    row = desk.read().by_id[name]
    assert not note_lesson(row.course, row.record, NewLesson(on, note=WORDS), students, DAY)


def words_of(students, name="temwa"):
    return standing((students / f"{name}.toml").read_bytes()).decode()


@pytest.mark.parametrize("keys", ["l 1 q enter", "d s enter"])
def test_undo_takes_back_its_own_entry_or_nothing(students, keys):
    before = words_of(students)

    async def walk(pilot):
        await press(pilot, f"slash t e m w a enter {keys}")
        own = words_of(students).removeprefix(before)
        assert "noted" in own
        from_elsewhere(students)
        await press(pilot, "u")
        assert "Nothing was taken back: something else was noted since." in told(pilot.app)
        assert own in words_of(students)
        assert WORDS in words_of(students)

    use(desk_at(students), walk)


def test_undo_of_a_student_takes_back_what_it_asked_about_or_nothing(students):
    from_elsewhere(students, DAY - 1)

    async def walk(pilot):
        await press(pilot, "end u")
        assert shows(pilot.app, "take back the lesson of 7 December?")
        from_elsewhere(students)
        await press(pilot, "enter")
        assert words_of(students).count(WORDS) == 2  # Enter takes nothing back
        await press(pilot, "escape u")
        assert shows(pilot.app, "take back the lesson of 8 December?")
        from_elsewhere(students, DAY - 2)
        await press(pilot, "y")
        assert "something else was noted since" in told(pilot.app)
        assert words_of(students).count(WORDS) == 3
        await press(pilot, "u y")
        assert words_of(students).count(WORDS) == 2

    use(desk_at(students), walk)


@pytest.mark.parametrize("keys", ["q enter", "full_stop"])
def test_a_lesson_noted_meanwhile_is_said_before_this_one_is_noted(students, keys):
    """Also where the question was open already when the other one was noted."""

    async def walk(pilot):
        await press(pilot, "end l 1")
        if keys == "q enter":
            await press(pilot, "q")
        from_elsewhere(students)
        await press(pilot, keys.removeprefix("q "))
        assert "Temwa on 8 December 2025 was noted meanwhile, with 1 remark." in pilot.app.screen.words
        await press(pilot, "enter")
        assert "feet-supported" not in words_of(students).rpartition("[[lesson]]")[2]
        await press(pilot, "q y")
        assert shows(pilot.app, "Noted. Before:")
        assert WORDS in words_of(students)

    use(desk_at(students), walk)


def test_half_typed_words_are_there_after_the_program_was_left_and_after_an_undo(students):
    async def first(pilot):
        await press(pilot, "end l 1 quotation_mark s o space n e a r")
        await eventually(pilot, lambda: "so near" in half_done.typed(students / "temwa.toml").values())
        await press(pilot, "ctrl+q")

    async def second(pilot):
        await press(pilot, "end l quotation_mark")
        assert shows(pilot.app, "so near")
        await press(pilot, "escape q")
        assert shows(pilot.app, 'Typed and not kept, so it is not noted: "so near".')
        await press(pilot, "enter q y u quotation_mark")
        assert shows(pilot.app, "so near")
        await press(pilot, "enter")
        assert not half_done.typed(students / "temwa.toml")

    use(desk_at(students), first)
    use(desk_at(students), second)


@pytest.mark.parametrize("keys", [
    "w enter f i v e", "exclamation_mark 1 f i v e", "w down enter f i v e", "d m enter f i v e",
])  # fmt: skip
def test_words_that_are_written_nowhere_are_asked_about_before_the_program_is_left(students, keys):
    """Whichever of the two keys leaves it, also once the field was closed; it is said whose they are."""
    begun = 'A pause is begun and not kept: "five". Key ! goes on with it.'
    left = begun if keys.startswith("exclamation") else 'Typed and not written: "five".'

    async def walk(pilot):
        await press(pilot, f"end {keys} ctrl+c")
        assert shows(pilot.app, "Temwa: ")
        assert pilot.app.screen.words == f"Temwa: {left} Leave without it?"
        await press(pilot, "escape ctrl+q")
        assert pilot.app.screen.words == f"Temwa: {left} Leave without it?"
        await press(pilot, "ctrl+q escape")
        assert pilot.app.is_running
        assert pilot.app.focused.value == "five"
        for leave in ("escape ctrl+q", "escape q"):
            await press(pilot, leave)
            assert pilot.app.screen.words == f"Temwa: {left} Leave without it?"
            await press(pilot, "escape")
        while len(pilot.app.screen_stack) > 2:
            await press(pilot, "escape")
        await press(pilot, "q y")
        assert not pilot.app.is_running

    use(desk_at(students), walk)


@pytest.mark.parametrize("keys", [
    "w enter", "exclamation_mark 1", "w down enter", "d m enter", "l quotation_mark", "l plus", "slash",
    "m c enter",
])  # fmt: skip
def test_from_a_field_in_which_nothing_was_typed_two_keys_leave_at_once(students, keys):
    async def walk(pilot, leave):
        await press(pilot, f"end {keys}")
        assert isinstance(pilot.app.focused, Input)
        await press(pilot, leave)
        assert not pilot.app.is_running

    for leave in ("ctrl+c", "ctrl+q"):
        use(desk_at(students), partial(walk, leave=leave))


def test_a_typed_day_is_asked_about_where_another_is_half_entered(students):
    async def walk(pilot):
        await press(pilot, "end l 1 escape w enter 5 space d e c enter")
        assert shows(pilot.app, "The lesson of 8 December 2025 is half entered: 5 without help.")
        await press(pilot, "enter")
        assert "Kept from 8 December" in told(pilot.app)
        await press(pilot, "x y")
        assert shows(pilot.app, "Lesson of 5 December")

    use(desk_at(students), walk)


def test_a_lesson_half_entered_is_on_the_list_of_the_day_until_it_is_not(students):
    """As ``readiness today`` has it, without anything being saved in between."""

    def rows(app):
        lines = read(app)
        at = next((at for at, line in enumerate(lines) if "Here, and not noted yet" in line), len(lines))
        return [line for line in lines[at + 1 :] if "on 25 November" in line and "half done" in line]

    async def walk(pilot):
        assert not rows(pilot.app)
        await press(pilot, "slash c h i k enter w enter 2 5 space n o v enter 1 escape escape")
        await eventually(pilot, lambda: rows(pilot.app))
        assert "Chikondi" in rows(pilot.app)[0]
        await press(pilot, "l x y escape")
        await eventually(pilot, lambda: not rows(pilot.app))

    use(desk_at(students, "2025-12-02"), walk)


def test_a_form_left_with_escape_has_what_was_typed_the_next_time(students):
    async def walk(pilot):
        await press(pilot, "end w down enter a u n t enter s o n g escape")
        assert "It is there again when you open this, until you leave" in told(pilot.app)
        await press(pilot, "up w down enter")  # of another student it is empty
        assert not shows(pilot.app, "aunt")
        await press(pilot, "escape down w down enter")
        assert shows(pilot.app, "aunt")
        assert shows(pilot.app, "song")
        await press(pilot, "ctrl+s w down enter")
        assert not shows(pilot.app, "aunt")

    use(desk_at(students), walk)


def test_a_name_typed_on_a_page_finds_the_student_and_is_no_command(students):
    before = {file: file.read_bytes() for file in students.glob("*.toml")}

    async def walk(pilot):
        for page in ("enter", "enter t", "a", "d"):
            await press(pilot, f"end {page} slash b o g d enter")
            assert pilot.app.screen.student == "bogdan"
            await press(pilot, "escape")

    use(desk_at(students), walk)
    assert before == {file: file.read_bytes() for file in students.glob("*.toml")}


def test_what_is_saved_as_a_file_replaces_none(students, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    async def walk(pilot):
        await press(pilot, "end enter f f escape")
        for _ in range(2):
            await press(pilot, "w end up up up up enter enter")

    use(desk_at(students), walk)
    names = {"temwa-why.txt", "temwa-why-2.txt", "temwa-sheet.html", "temwa-sheet-2.html"}
    assert names <= {file.name for file in tmp_path.iterdir()}


def test_only_keys_that_do_something_are_named(students):
    graph = students.parent / "skill_graphs" / "first-two-years" / "graph.toml"

    async def walk(pilot):
        await press(pilot, "end l 1 full_stop")
        await press(pilot, "down")
        assert not shows(pilot.app, "Key q notes it")
        graph.write_text(graph.read_text(encoding="utf-8") + "x\n", encoding="utf-8")
        await eventually(pilot, lambda: "Escape, then key p shows the line." in told(pilot.app))

    use(desk_at(students), walk)


def test_care_after_a_pause_stands_on_the_row_of_the_day_beside_the_answer(students):
    row = (desk := desk_at(students)).read().by_id["linnea"]
    assert close_hold(row.record, students, row.day, "the mother", "fine after advice") is None
    assert desk.read().by_id["linnea"].is_paused is False
    from_elsewhere(students, DAY, "linnea")

    async def walk(pilot):
        line = next(one for one in read(pilot.app) if "Linnea" in one)
        assert "look again first" in line
        assert "Gently" in line

    for size in ((80, 24), (120, 40)):
        use(desk_at(students), walk, size)


def test_what_a_pause_says_is_read_to_its_end_where_little_room_is(students):
    async def walk(pilot):
        await press(pilot, "home d")
        assert shows(pilot.app, "more below")
        await press(pilot, "tab")
        for _ in range(20):  # how many lines there are is known once they are laid out
            if shows(pilot.app, "more below"):
                await press(pilot, "down")
        await eventually(pilot, lambda: not shows(pilot.app, "more below"))
        assert shows(pilot.app, "until an adult ends the")
        await press(pilot, "f1 end")
        await eventually(pilot, lambda: not shows(pilot.app, "more below"))

    use(desk_at(students), walk)
