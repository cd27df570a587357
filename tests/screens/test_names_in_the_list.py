"""Two students of one given name are told apart in the list of students."""

from __future__ import annotations

from readiness.studio.find import find_studio
from readiness.studio.load import load_studio
from tui.screens.studio import line_of
from tui.view import StudentRow, View


def test_the_id_of_two_of_one_name_stands_where_no_column_cuts_it_off(students):
    text = (students / "temwa.toml").read_text(encoding="utf-8")
    (students / "temwa2.toml").write_text(text, encoding="utf-8")
    studio = load_studio(find_studio(None, students, students, {}))
    course, day = studio.course, studio.today
    view = View(studio, course, tuple(StudentRow(one, course, day) for one in studio.records.values()), day)
    names = {key: line_of(view, key).name for key in view.by_id}
    assert (names["temwa"], names["temwa2"]) == ("temwa (Temwa)", "temwa2 (Temwa)")
    assert names["noemi"] == "Noemi"
