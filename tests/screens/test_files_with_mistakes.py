"""A broken file is a line to read, never a crash; a saved file shows at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from readiness.record.entries import open_hold
from screens.hands import copy_of_demo, desk_at, eventually, pane, press, read, shows, told, use

ROOT = Path(__file__).parents[2]


def test_a_broken_student_file_is_a_line_among_the_others(students):
    (students / "temwa.toml").write_text("name = Temwa\n", encoding="utf-8")

    async def walk(pilot):
        lines = "\n".join(read(pilot.app))
        assert "temwa.toml:1" in lines
        assert "cannot be read" in lines
        assert "Chikondi" in lines
        await press(pilot, "home")
        assert "The file of temwa cannot be read now. Enter shows where and why." in pane(pilot.app, "#card")
        await press(pilot, "l")
        assert "key p shows where and why" in told(pilot.app)
        await press(pilot, "enter")
        assert "name = Temwa" in "\n".join(read(pilot.app))
        await press(pilot, "escape")
        assert "Chikondi" in "\n".join(read(pilot.app))

    use(desk_at(students), walk)


def test_a_broken_course_still_shows_where_and_why(students):
    pacing = students.parent / "skill_graphs" / "first-two-years" / "pacing.toml"
    pacing.write_text(pacing.read_text(encoding="utf-8").replace("carry_limit = 2", "carry_limit = two"))

    async def walk(pilot):
        assert shows(pilot.app, "pacing.toml:19")
        for keys in ("enter", "l", "m", "s", "2", "slash t escape"):
            await press(pilot, keys)
        await press(pilot, "p")
        assert "carry_limit = two" in "\n".join(read(pilot.app))

    use(desk_at(students), walk)


def test_an_empty_studio_says_how_a_student_begins(tmp_path):
    students = copy_of_demo(tmp_path)
    for file in students.glob("*.toml"):
        if file.name != "studio.toml":
            file.unlink()

    async def walk(pilot):
        assert shows(pilot.app, "No students yet.")
        for keys in ("down", "enter", "l", "s", "4", "slash x escape", "m", "escape", "f1", "escape", "p"):
            await press(pilot, keys)
        assert "No problems in the files" in read(pilot.app)[0]
        await press(pilot, "escape w")
        assert shows(pilot.app, "A new student")
        assert not shows(pilot.app, "A promise")
        await press(pilot, "enter")
        for typed in ("b o enter", "B o enter", "2 0 1 8 minus 0 3 enter", "1 enter"):
            await press(pilot, typed)
        assert "Bo is enrolled: bo.toml is new." in told(pilot.app)
        await eventually(pilot, lambda: pilot.app.desk.row("bo") is not None)
        assert shows(pilot.app, "Bo")

    use(desk_at(students), walk)


def test_where_no_problem_is_the_keys_for_one_say_so(students):
    async def walk(pilot):
        await press(pilot, "end p")
        for key in "ce":
            await press(pilot, key)
            assert told(pilot.app) == "There is no problem in the files."
            assert pilot.app.clipboard == ""
            pilot.app.clear_notifications()

    use(desk_at(students), walk)


def test_a_studio_that_goes_away_keeps_what_was_seen_and_says_so(students):
    async def walk(pilot):
        moved = students.parent / "elsewhere"
        students.rename(moved)
        await eventually(pilot, lambda: pilot.app.view.is_old)
        await eventually(pilot, lambda: shows(pilot.app, "from before"))
        assert shows(pilot.app, "Temwa")
        moved.rename(students)
        await eventually(pilot, lambda: not pilot.app.view.is_old)

    use(desk_at(students), walk)


def test_a_mistake_saved_while_the_map_is_open_shows_with_its_line_and_goes_again(students):
    graph = students.parent / "skill_graphs" / "first-two-years" / "graph.toml"
    good = graph.read_text(encoding="utf-8")

    async def walk(pilot):
        await press(pilot, "end m")
        graph.write_text(
            good.replace('stands_on = ["rounded-hand-keys"]', 'stands_on = ["rounded-hnd-keys"]', 1)
        )
        await eventually(pilot, lambda: shows(pilot.app, "rounded-hnd-keys"))
        assert shows(pilot.app, "What you see is from before.")
        await press(pilot, "p")
        assert shows(pilot.app, "did you mean")
        graph.write_text(good)
        await eventually(pilot, lambda: not shows(pilot.app, "rounded-hnd-keys"))

    use(desk_at(students), walk)


def test_a_changed_number_tells_whose_answer_it_changes(students):
    pacing = students.parent / "skill_graphs" / "first-two-years" / "pacing.toml"

    async def walk(pilot):
        await press(pilot, "end m")
        pacing.write_text(pacing.read_text(encoding="utf-8").replace("motor = 3", "motor = 2", 1))
        await eventually(pilot, lambda: pilot.app.changes != ())
        await press(pilot, "v")
        assert shows(pilot.app, "Temwa: now ready, some to finish (before: look again first)")
        assert not shows(pilot.app, "Bogdan:")

    use(desk_at(students), walk)


def test_a_new_student_file_joins_the_list_and_a_lost_one_leaves_it(students):
    async def walk(pilot):
        text = (students / "temwa.toml").read_text(encoding="utf-8")
        (students / "zola.toml").write_text(text.replace('"Temwa"', '"Zola"'), encoding="utf-8")
        await eventually(pilot, lambda: shows(pilot.app, "Zola"))
        (students / "zola.toml").unlink()
        await eventually(pilot, lambda: not any(line.startswith(" Zola") for line in read(pilot.app)))

    use(desk_at(students), walk)


CHANGE = """
[[change]]
on = 2025-12-01
band = "4-5"
rule = "carry_limit"
by = "OB"
"""


def test_a_day_that_can_hardly_be_is_said_beside_its_student_and_in_the_list_of_problems(students):
    temwa, odd = students / "temwa.toml", "this lesson is dated 2199-01-05, which has not come yet"
    text = temwa.read_text(encoding="utf-8")
    temwa.write_text(f'{text}\n[[lesson]]\non = 2199-01-05\nalone = ["wrist-lift"]\n', encoding="utf-8")

    async def walk(pilot):
        assert not shows(pilot.app, odd)
        await press(pilot, "end")
        assert odd in pane(pilot.app, "#card")
        await press(pilot, "enter")
        assert odd in pane(pilot.app, "#sentence")
        await press(pilot, "p")
        line = text.count("\n") + 2
        assert shows(pilot.app, f"temwa.toml:{line} this lesson is dated 2199-01-05, which has not come yet")

    use(desk_at(students), walk)


def test_a_past_day_says_on_the_screens_what_was_changed_since(students):
    pacing = students.parent / "skill_graphs" / "first-two-years" / "pacing.toml"
    pacing.write_text(pacing.read_text(encoding="utf-8") + CHANGE, encoding="utf-8")
    since = "Changed since: carry_limit at age 4-5 (1 December 2025)."

    async def says(pilot):
        assert since in pane(pilot.app, "#banner")
        await press(pilot, "end enter")
        assert since in pane(pilot.app, "#sentence")

    async def says_nothing(pilot):
        assert not shows(pilot.app, "Changed since")

    use(desk_at(students, "2025-11-25"), says)
    use(desk_at(students, "2025-12-01"), says_nothing)


@pytest.mark.parametrize("keys", ["home", "end", "down down down"])
def test_the_mark_stays_on_its_student_whatever_is_saved(students, keys):
    """The next key is about the child it is seen on: broken and mended files, a pause, a find that ends."""

    async def walk(pilot):
        roster = pilot.app.screen.query_one("#roster")
        await press(pilot, keys)
        who = roster.marked
        for name in (who, "noemi"):
            file = students / f"{name}.toml"
            whole = file.read_bytes()
            file.write_bytes(whole.replace(b"family =", b"family", 1))
            await eventually(pilot, lambda name=name: name in pilot.app.view.studio.broken)
            assert roster.marked == who
            file.write_bytes(whole)
            await eventually(pilot, lambda: not pilot.app.view.studio.broken)
            assert roster.marked == who
        row = pilot.app.desk.row("temwa")
        assert open_hold(row.record, students, row.day, "the wrist hurts", "all") is None
        await eventually(pilot, lambda: pilot.app.desk.row("temwa").is_paused)
        assert roster.marked == who
        await press(pilot, "slash n o e m i enter escape")
        assert roster.marked == "noemi"

    use(desk_at(students, "2025-12-02"), walk)


PACING = ("carry_limit = 2", "cary_limit = 2")


def test_a_course_that_cannot_be_read_takes_no_students_file_away_and_every_answer_says_so(students):
    pacing = students.parent / "skill_graphs" / "first-two-years" / "pacing.toml"
    good, temwa = pacing.read_text("utf-8"), students / "temwa.toml"
    before = "pacing.toml:19"

    async def walk(pilot):
        await press(pilot, "end enter")
        pacing.write_text(good.replace(*PACING, 1), "utf-8")
        await eventually(pilot, lambda: pilot.app.view.is_old)
        assert "from before" in read(pilot.app)[0]
        assert before in pane(pilot.app, "#sentence")
        await press(pilot, "c")
        assert pilot.app.clipboard.startswith(before)
        for keys in ("t", "escape a"):
            await press(pilot, keys)
            assert pane(pilot.app, "#draft-text").startswith(before)
            await press(pilot, "c")
            assert pilot.app.clipboard.startswith(before)
        await press(pilot, "escape")
        pacing.write_text(good, "utf-8")
        await eventually(pilot, lambda: not pilot.app.view.is_old)
        assert not shows(pilot.app, "from before")
        temwa.write_text(temwa.read_text("utf-8").replace('"wrist-lift"', '"wrist-lft"', 1), "utf-8")
        await eventually(pilot, lambda: shows(pilot.app, "temwa: the file cannot be read now"))
        pacing.write_text(good.replace(*PACING, 1), "utf-8")
        await eventually(pilot, lambda: pilot.app.view.is_old)
        assert shows(pilot.app, "temwa: the file cannot be read now")

    use(desk_at(students), walk)


def test_nobody_is_new_when_a_course_or_a_file_is_mended(students):
    pacing = students.parent / "skill_graphs" / "first-two-years" / "pacing.toml"
    good, temwa = pacing.read_text("utf-8"), students / "temwa.toml"
    whole = temwa.read_bytes()
    pacing.write_text(good.replace(*PACING, 1), "utf-8")

    async def walk(pilot):
        pacing.write_text(good, "utf-8")
        await eventually(pilot, lambda: not pilot.app.view.is_old)
        assert pilot.app.changes == ()
        temwa.write_bytes(whole.replace(b"born", b"borne", 1))
        await eventually(pilot, lambda: pilot.app.view.studio.broken)
        temwa.write_bytes(whole)
        await eventually(pilot, lambda: not pilot.app.view.studio.broken)
        assert pilot.app.changes == ("Temwa: can be read now, look again first",)

    use(desk_at(students), walk)
