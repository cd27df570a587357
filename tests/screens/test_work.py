"""All the work from the screens: written by the library, said where, and taken back by one key."""

from __future__ import annotations

import tomllib
from collections import Counter
from dataclasses import replace

import pytest

from screens.hands import add_misspelt_student, desk_at, eventually, press, read, shows, told, use
from tui.screens.forms import editor_command
from tui.writing import COURSE_EDITS, WORKS, Tried, take_last_back

GIVEN = {
    "promise": ({"to": "the mother", "text": "a recording", "due": "2025-12-12"}, "temwa"),
    "kept": ({"number": "1 one more", "answer": "we looked together"}, "temwa"),
    "task": ({"skill": "wrist-lift", "text": "the lid game", "minutes": "5", "days": "4"}, "temwa"),
    "report": ({"number": "1", "days": "3", "words": ""}, "temwa"),
    "consent": ({"what": "school, photo", "said": "yes", "by": "the mother", "on": "2025-11-30"}, "temwa"),
    "resume": ({"by": "her mother", "words": "after two weeks", "allow": "yes", "part": ""}, "linnea"),
    "move": ({"to": "noemi"}, "temwa"),
    "enrol": ({"id": "alma", "name": "Alma", "born": "2018-03", "unit": ""}, "temwa"),
}
"""What is typed into each form that writes about a student, and about whom."""


def work(name):
    return next(one for one in WORKS if one.name == name)


@pytest.mark.parametrize("name", GIVEN)
def test_what_is_written_says_where_and_is_taken_back(students, name, left):
    desk = desk_at(students)
    given, who = GIVEN[name]
    if name in ("report", "move"):  # there must be a task, and a lesson that was noted here
        _prepare(desk, name)
    before = {file: tomllib.loads(left(file).decode()) for file in students.glob("*.toml")}
    desk.read()
    said = work(name).carry_out(desk, desk.row(who), given)
    assert isinstance(said, str), said
    assert ".toml" in said
    assert before != {file: tomllib.loads(left(file).decode()) for file in students.glob("*.toml")}
    desk.read()
    taken = {"move": "noemi", "enrol": "alma"}.get(name, who)
    back = take_last_back(desk, desk.row(taken))
    assert isinstance(back, str), back
    assert not {"[", "=", "\n"} & set(back)
    assert before == {file: tomllib.loads(left(file).decode()) for file in students.glob("*.toml")}


def test_the_end_of_a_pause_says_which_day_counts_now(students):
    from readiness.record.noting import NewLesson
    from tui.writing import LessonDesk

    desk = desk_at(students)
    desk.read()
    row = desk.row("linnea")
    later = replace(row, day=row.day + 1)
    assert LessonDesk(desk, later).note(NewLesson(later.day, {"wrist-lift": 0})) == ""
    desk.read()
    said = work("resume").carry_out(desk, desk.row("linnea"), GIVEN["resume"][0])
    assert "What was noted on 9 December counts now" in said
    assert "`readiness correct linnea --on 2025-12-09`" in said


def _prepare(desk, name):
    from readiness.record.noting import NewLesson
    from tui.writing import LessonDesk

    desk.read()
    row = desk.row("temwa")
    if name == "report":
        assert isinstance(work("task").carry_out(desk, row, GIVEN["task"][0]), str)
    else:
        assert LessonDesk(desk, row).note(NewLesson(row.day, {"wrist-lift": 0})) == ""


def test_a_wrong_answer_is_said_and_nothing_is_written(students):
    desk = desk_at(students)
    desk.read()
    before = (students / "temwa.toml").read_bytes()
    for name, given in (
        ("promise", {"to": "x", "text": "y", "due": "soon"}),
        ("consent", {"what": "everybody", "said": "yes", "by": "x", "on": ""}),
        ("consent", {"what": "school", "said": "yes", "by": "x", "on": "2027-01-01"}),
        ("task", {"skill": "wrist-lift", "text": "z", "minutes": "few", "days": "4"}),
        ("task", {"skill": "wrist-lift", "text": "z", "minutes": "5", "days": "8"}),
        ("task", {"skill": "wrist-lift", "text": "z", "minutes": "0", "days": "4"}),
        ("kept", {"number": "99", "answer": "x"}),
        ("move", {"to": "temwa"}),
    ):
        assert not isinstance(work(name).carry_out(desk, desk.row("temwa"), given), str), name
    assert (students / "temwa.toml").read_bytes() == before


def test_a_new_student_without_a_field_is_told_which_and_led_there(students):
    async def walk(pilot):
        for typed, field, words in (
            ("enter", "id", "Not written."),
            ("b o enter", "name", "A student needs a given name, or a code."),
            ("b o enter B o enter", "born", "A student needs a month of birth, as in 2018-03."),
            ("b o enter B o enter 2 0 1 8 minus 0 3 enter 9 9", "unit", "99"),
        ):
            await press(pilot, "end w")
            pilot.app.screen.dismiss("enrol")
            await press(pilot, f"up {typed} ctrl+s")
            assert shows(pilot.app, words)
            assert pilot.app.focused.id == field
            await press(pilot, "escape")
            for held in pilot.app.desk.typed.values():
                held.clear()

    use(desk_at(students), walk)
    assert not (students / "bo.toml").exists()


def test_pages_are_written_for_a_browser(students, tmp_path):
    desk = desk_at(students)
    desk.read()
    for name in ("sheet", "handover", "letter"):
        file = tmp_path / f"{name}.html"
        given = {"file": str(file), "reader": "family"}
        assert str(file) in work(name).carry_out(desk, desk.row("temwa"), given)
        assert "<html" in file.read_text(encoding="utf-8")
        assert not isinstance(work(name).carry_out(desk, desk.row("temwa"), given), str)


def test_a_promise_by_keys_and_its_undo(students, left):
    before = left(students / "temwa.toml")

    async def walk(pilot):
        await press(pilot, "end w down enter")
        assert shows(pilot.app, "A promise · Temwa")
        await press(pilot, "a u n t enter s o n g enter x enter")
        assert shows(pilot.app, '"x" is not a day.')
        await press(pilot, "backspace enter")
        assert "written into temwa.toml" in told(pilot.app)
        await eventually(pilot, lambda: len(pilot.app.desk.row("temwa").promises) == 2)
        await press(pilot, "u")
        assert shows(pilot.app, "Temwa: take back the promise of 8 December?")
        await press(pilot, "y")
        gone = "Taken back in temwa.toml: the promise of 8 December. The lines stay in the file, crossed out"
        assert told(pilot.app).startswith(gone)
        assert b"aunt" in (students / "temwa.toml").read_bytes()

    use(desk_at(students), walk)
    assert left(students / "temwa.toml") == before


def test_a_pause_ends_once_its_words_are_said_to_allow_playing(students, left):
    before = left(students / "linnea.toml")

    async def walk(pilot):
        await press(pilot, "home w down down down down down down enter")
        assert shows(pilot.app, "The pause ends · Linnea")
        await press(pilot, "m u m enter n o t space y e t enter")
        assert shows(pilot.app, "Do these words allow playing again? yes or no")
        await press(pilot, "enter enter")  # whoever does not say yes leaves the pause
        assert shows(pilot.app, "the pause stays")
        assert left(students / "linnea.toml") == before
        await press(pilot, "shift+tab y e s ctrl+s")
        assert "written into linnea.toml" in told(pilot.app)
        assert left(students / "linnea.toml") != before
        await press(pilot, "slash l i n n e a enter u")
        called = "the end of a pause of 8 December (the pause is open again)"
        assert pilot.app.screen.words == f"Linnea: take back {called}?"
        await press(pilot, "y")
        assert told(pilot.app) == f"Taken back in linnea.toml: {called}."
        assert pilot.app.desk.row("linnea").is_paused

    use(desk_at(students), walk)


@pytest.mark.parametrize("name", ["kept", "report"])
def test_what_was_added_above_is_called_by_what_it_is(students, name):
    row = (desk := desk_at(students)).read().by_id["temwa"]
    given = {"number": "1", "answer": "sung", "days": "3", "words": ""}
    assert "written into" in work(name).carry_out(desk, row, given)
    called = {"kept": "the answer to a promise of 8 December", "report": "the report of a task"}[name]
    assert take_last_back(desk, desk.read().by_id["temwa"]) == f"Taken back in temwa.toml: {called}."


def test_a_lesson_of_another_day_is_noted_on_that_day(students):
    async def walk(pilot):
        await press(pilot, "end w enter")
        await press(pilot, "2 0 2 5 minus 1 2 minus 0 5 enter")
        assert shows(pilot.app, "Lesson of 5 December")
        await press(pilot, "1 q enter")

    use(desk_at(students), walk)
    noted = tomllib.loads((students / "temwa.toml").read_text())["lesson"][-1]
    assert noted["on"].isoformat() == "2025-12-05"


def test_an_editor_is_opened_at_the_line(students, tmp_path, monkeypatch):
    add_misspelt_student(students)
    opened = []
    take = lambda _app, file, line: opened.append((file.name, line))  # noqa: E731
    monkeypatch.setattr("tui.screens.base.open_in_editor", take)

    async def walk(pilot):
        await press(pilot, "end e enter down e m e escape p e")

    use(desk_at(students), walk)
    names = [name for name, _ in opened]
    assert names == ["temwa.toml", "temwa.toml", "graph.toml", "pia.toml"]
    assert all(line > 1 for _, line in opened)
    assert editor_command(tmp_path, 3, {"EDITOR": "emacs -nw"})[-2:] == ["+3", str(tmp_path)]


EDITS = {
    "number": ("wrist-lift", "4-5: 2", "pacing.toml"),
    "name": ("rounded-hand-keys", "Rounded hand on the keys now", "graph.toml"),
    "unit": ("free-black-key-piece", "", "graph.toml"),
    "retire": ("free-black-key-piece", "2026-01-10", "graph.toml"),
    "add": ("finger-numbers-shown", "counts-groups", "graph.toml"),
    "drop": ("alternate-arms-steady", "", "graph.toml"),
}
"""What is typed into each form that changes the course, and the file it is written into."""


ENDS = {"plain": ("", "\n"), "as on Windows": ("", "\r\n"), "with a mark in front": ("\ufeff", "\n")}


def write_as(path, kind):
    """Write a file as other editors do; return its lines."""
    mark, end = ENDS[kind]
    path.write_bytes((mark + path.read_text("utf-8").replace("\n", end)).encode())
    return path.read_bytes().decode().split("\n")


@pytest.mark.parametrize("kind", ENDS)
@pytest.mark.parametrize("name", EDITS)
def test_an_edit_of_the_course_shows_who_changes_and_changes_one_line(students, name, kind):
    desk = desk_at(students)
    skill, typed, file = EDITS[name]
    path = students.parent / "skill_graphs" / "first-two-years" / file
    before = write_as(path, kind)
    desk.read()
    edit = next(one for one in COURSE_EDITS if one.name == name)
    first = next(iter(desk.course.skill[skill].stands_on), "")
    typed = typed or (first if name == "drop" else desk.course.units[3].id)
    tried = Tried(desk, edit, skill)
    shown = tried.keep({"value": typed})
    assert not isinstance(shown, str)
    assert shown.id == "shown", shown.message
    assert path.read_bytes().decode().split("\n") == before
    kept = tried.keep({"value": typed})
    assert isinstance(kept, str), kept
    after = path.read_bytes().decode().split("\n")
    assert {line[-1:] == "\r" for line in after[:-1]} == {kind == "as on Windows"}
    gone, new = Counter(before) - Counter(after), Counter(after) - Counter(before)
    assert sum(new.values()) == 1
    assert sum(gone.values()) <= 1
    assert desk.read().course is not None
    assert desk.put_back(path) == f"{file} is as it was before."
    assert path.read_bytes().decode().split("\n") == before


SETTINGS = {
    "name": ("name", "The other school"), "end": ("term_end", "2026-02-01"), "no end": ("term_end", ""),
    "seat": ("seat", "stool"), "values": ("note_values", "crotchet"), "dates": ("dates", "month-day"),
}  # fmt: skip


@pytest.mark.parametrize("kind", ENDS)
@pytest.mark.parametrize("setting", SETTINGS)
def test_a_setting_changes_its_line_and_is_taken_back(students, setting, kind):
    """Only what is another one is written; the rest of the file, its remarks too, stays as it is."""
    desk, path = desk_at(students), students / "studio.toml"
    before = write_as(path, kind)
    desk.read()
    row, settings = desk.row("temwa"), work("settings")
    given = {ask.name: next(iter(ask.choices(desk, row)), "") for ask in settings.asks}
    assert all(isinstance(one, str) for ask in settings.asks for one in ask.choices(desk, row))
    same = settings.carry_out(desk, row, given)
    assert not isinstance(same, str)
    name, value = SETTINGS[setting]
    said = settings.carry_out(desk, row, given | {name: value})
    assert isinstance(said, str), said
    after = path.read_bytes().decode().split("\n")
    assert sum((Counter(before) - Counter(after)).values()) <= 1
    assert {line[-1:] == "\r" for line in after[:-1]} == {kind == "as on Windows"}
    desk.read()
    assert next(iter({ask.name: ask for ask in settings.asks}[name].choices(desk, row)), "") == value
    assert desk.written_last([path], row.record.path) == path
    assert isinstance(desk.put_back(path), str)
    assert path.read_bytes().decode().split("\n") == before


def test_what_was_set_for_all_is_taken_back_by_the_key_of_undo(students):
    """On the first screen the settings, on the map the course; each says which file it is about."""
    settings = students / "studio.toml"
    graph = students.parent / "skill_graphs" / "first-two-years" / "graph.toml"
    before = settings.read_bytes(), graph.read_bytes()

    async def walk(pilot):
        await press(pilot, "end w end up enter enter enter s t right enter enter enter enter")
        await eventually(pilot, lambda: settings.read_bytes() != before[0])
        await press(pilot, "u")
        assert shows(pilot.app, "written last into studio.toml?")
        await press(pilot, "y")
        await eventually(pilot, lambda: settings.read_bytes() == before[0])
        await press(pilot, "m c down enter ! enter enter")
        await eventually(pilot, lambda: graph.read_bytes() != before[1])
        await press(pilot, "u y")
        await eventually(pilot, lambda: graph.read_bytes() == before[1])
        await press(pilot, "c down enter ! enter enter")
        await eventually(pilot, lambda: graph.read_bytes() != before[1])
        await press(pilot, "u")
        graph.write_bytes(graph.read_bytes() + b"# by hand\n")
        await press(pilot, "y")
        assert "written again since" in told(pilot.app)
        assert graph.read_bytes().endswith(b"# by hand\n")

    use(desk_at(students), walk)


def test_a_setting_that_makes_no_sense_is_refused(students):
    desk, path = desk_at(students), students / "studio.toml"
    desk.read()
    row, settings, before = desk.row("temwa"), work("settings"), path.read_bytes()
    given = {ask.name: next(iter(ask.choices(desk, row)), "") for ask in settings.asks}
    for name, value in (("name", ""), ("term_end", "soon"), ("seat", "sofa")):
        refused = settings.carry_out(desk, row, given | {name: value})
        assert not isinstance(refused, str)
        assert refused.message
    assert path.read_bytes() == before


def test_an_edit_that_breaks_the_course_is_refused_with_its_reason(students):
    desk = desk_at(students)
    desk.read()
    edits = {one.name: one for one in COURSE_EDITS}
    for name, typed, reason in (
        ("unit", "nowhere", "nowhere"), ("unit", "nowhere", "nowhere"), ("name", "", "is empty"),
        ("retire", "soon", '"soon" is not a day.'), ("add", "", 'no skill ""'),
    ):  # fmt: skip
        refused = Tried(desk, edits[name], "rounded-hand-keys").keep({"value": typed})
        assert not isinstance(refused, str)
        assert reason in " ".join(refused.message.split())
        assert ".." not in refused.message


@pytest.mark.parametrize("size", [(80, 24), (40, 12)])
def test_tab_leads_in_a_form_from_field_to_field_and_nowhere_else(students, size):
    """Also where the form is longer than the screen, which Page Down shows to its end."""

    async def walk(pilot):
        for work in WORKS:
            await press(pilot, "end w")
            pilot.app.screen.dismiss(work.name)
            await press(pilot, "up")
            fields = [one.id for one in pilot.app.screen.query("Input")]
            assert fields == [ask.name for ask in work.asks]
            for keys, led in (("tab", [*fields[1:], fields[0]]), ("shift+tab", [fields[-1]])):
                for name in led:
                    await press(pilot, keys)
                    assert pilot.app.focused.id == name
                await press(pilot, "z")
                assert "z" in pilot.app.focused.value
            await press(pilot, "pagedown pagedown pagedown")
            await eventually(pilot, lambda: any("back." in line for line in read(pilot.app)))
            await press(pilot, "escape")
            for held in pilot.app.desk.typed.values():
                held.clear()

    use(desk_at(students), walk, size)
