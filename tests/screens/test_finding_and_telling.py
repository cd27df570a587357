"""Finding with a slip of the finger, one message at a time, what waits half entered, help to its end."""

from __future__ import annotations

import pytest

from readiness.words.noting import CROSSED_OUT
from screens.hands import desk_at, eventually, pane, press, read, shows, told, use
from tui.course_map import CourseMap


def names(app):
    return [line.split()[0].strip("▸") for line in read(app)[6:12] if line.strip()]


def test_a_slip_in_a_name_shows_who_was_probably_meant_and_says_so(students):
    async def walk(pilot):
        for typed in ("temva", "tmewa", "tewa"):
            await press(pilot, f"slash {' '.join(typed)}")
            assert names(pilot.app) == ["Temwa"]
            assert shows(pilot.app, f'Nobody called "{typed}". Did you mean Temwa?')
            await press(pilot, "enter enter")
            assert pilot.app.screen.student == "temwa"
            await press(pilot, "escape escape")

    use(desk_at(students), walk)


def test_what_is_written_right_is_not_guessed_at(students):
    async def walk(pilot):
        await press(pilot, "slash t e m")
        assert names(pilot.app) == ["Temwa"]
        assert not shows(pilot.app, "Did you mean")
        await press(pilot, "x x x x")
        assert shows(pilot.app, 'Nobody called "temxxxx".')
        assert not shows(pilot.app, "Did you mean")

    use(desk_at(students), walk)


def test_a_skill_is_found_on_the_map_by_its_name_also_with_a_slip(students):
    async def walk(pilot):
        guess = 'Nothing called "wrst". Did you mean wrist?'
        for typed, is_slip in (("l i f t s space t h e space w r i s", False), ("w r s t", True)):
            await press(pilot, "end m slash")
            await press(pilot, typed)
            assert shows(pilot.app, guess) == is_slip
            await press(pilot, "enter")
            chosen = pilot.app.screen.query_one(CourseMap).chosen
            assert "wrist" in pilot.app.desk.course.skill[chosen].name
            assert pilot.app.desk.course.skill[chosen].name in pane(pilot.app, "#skill-text")
            await press(pilot, "escape")

    use(desk_at(students), walk)


def test_nothing_chosen_leaves_the_map_as_it_is(students):
    async def walk(pilot):
        await press(pilot, "end m")
        before = pilot.app.screen.query_one(CourseMap).chosen
        await press(pilot, "slash w r i s t escape")
        assert pilot.app.screen.NAME == "course"
        assert pilot.app.screen.query_one(CourseMap).chosen == before

    use(desk_at(students), walk)


def test_one_message_at_a_time_and_what_was_written_here_is_no_news(students):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "end l 1 1 escape l")
        assert len(app._notifications) == 1
        await press(pilot, "q enter")
        await eventually(pilot, lambda: app.desk.row("temwa").answer.last_lesson == app.view.day)
        await press(pilot, "u")
        await eventually(pilot, lambda: app.desk.row("temwa").answer.last_lesson != app.view.day)
        await pilot.pause(0.7)
        assert len(app._notifications) == 1
        assert f"The lesson does not count any more; your answers are still here. {CROSSED_OUT}" == told(app)

    use(desk_at(students), walk)


def test_a_file_saved_by_somebody_else_is_news_and_takes_no_warning_away(students):
    def add(skill):
        file = students / "temwa.toml"
        text = file.read_text(encoding="utf-8") + f'\n[[lesson]]\non = 2025-12-08\nnot_shown = ["{skill}"]\n'
        file.write_text(text, encoding="utf-8")

    async def walk(pilot):
        app = pilot.app
        add("wrist-lift")
        saved = "A file was saved. Temwa: now not yet (before: look again first)"
        await eventually(pilot, lambda: saved in told(app))
        app.notify("Stop playing [here].", severity="warning", timeout=30)
        await eventually(pilot, lambda: told(app) == "Stop playing [here].")
        before = app.changes
        add("rounded-hand-keys")
        await eventually(pilot, lambda: app.changes is not before)
        await pilot.pause(0.1)
        assert told(app) == "Stop playing [here]."
        assert shows(app, "Stop playing [here].")

    use(desk_at(students), walk)


def test_a_message_covers_no_line_of_the_sheet(students):
    async def walk(pilot):
        await press(pilot, "end l 1 1 u u u")
        for size in ((80, 24), (120, 40)):
            await pilot.resize_terminal(*size)
            await eventually(pilot, lambda: shows(pilot.app, "Nothing to take back."))
            lines = read(pilot.app)
            at = next(i for i, line in enumerate(lines) if "Nothing to take back." in line)
            assert at < next(i for i, line in enumerate(lines) if "At one glance" in line)

    use(desk_at(students), walk)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_a_half_entered_lesson_is_shown_in_the_list_until_it_is_noted(students, size):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "end l 1 2 escape")
        line = next(line for line in read(app) if "▸Temwa" in line)
        assert "half done" in line
        known = "#card" if size[0] < 110 else "#sentence"
        await eventually(pilot, lambda: "Half entered, 8 December 2025:" in pane(app, known))
        assert "Key l goes on with it." in pane(app, known)
        await press(pilot, "l q enter escape")
        await eventually(pilot, lambda: "today" in next(one for one in read(app) if "▸Temwa" in one))
        await eventually(pilot, lambda: "Half entered" not in pane(app, known))

    use(desk_at(students), walk, size)


def test_help_can_be_read_to_its_last_line(students):
    async def walk(pilot):
        await press(pilot, "end l")
        for size in ((80, 24), (120, 40)):
            await pilot.resize_terminal(*size)
            await press(pilot, "f1")
            await eventually(pilot, lambda: shows(pilot.app, "more below: arrow keys, Page Down, End"))
            await press(pilot, "end")
            await eventually(pilot, lambda: shows(pilot.app, "set aside by agreement"))
            await press(pilot, "escape")

    use(desk_at(students), walk)


def test_after_noting_what_went_well_comes_first_and_the_verdict_is_said_quietly(students):
    async def walk(pilot):
        await press(pilot, "end l H 1 B 5 q enter")
        words = pane(pilot.app, "#now")
        assert words.startswith("Went well: moves at the beat and half as fast.")
        assert words.endswith("Noted. Before: look again first. Now: not yet. Key u takes it back.")
        assert "rounded" not in words
        for size in ((80, 24), (120, 40)):
            await pilot.resize_terminal(*size)
            await eventually(pilot, lambda lines=size[1]: len(read(pilot.app)) == lines)
            assert not any(block in "".join(read(pilot.app)) for block in "█▀▄")

    use(desk_at(students), walk)


def test_where_nothing_came_alone_help_is_told_kindly(students):
    async def walk(pilot):
        await press(pilot, "end l H 2 q enter")
        assert pane(pilot.app, "#now").startswith("Went well with a little help: moves at the beat")
        await press(pilot, "u u 5 q enter")
        assert pane(pilot.app, "#now").startswith("Thank you for trying so many things.")

    use(desk_at(students), walk)
