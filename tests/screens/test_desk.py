"""The desk knows no screen, and reads again only what changed."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import datetime

import pytest

from readiness.cli.main import main
from readiness.studio import cache as kept
from screens.hands import desk_at
from tui import view
from tui.course_map import draw_lines, plot
from tui.desk import Desk
from tui.outline import large
from tui.screens.studio import QUESTIONS


def test_desk_and_library_are_used_without_textual():
    code = "import sys, tui.desk; sys.exit('textual' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_one_saved_student_is_read_and_judged_alone(students, monkeypatch):
    desk = desk_at(students)
    for row in desk.read().rows:
        row.work_out()
    read, judged = [], []
    load, judge = kept.load_record, view.judge
    monkeypatch.setattr(
        kept, "load_record", lambda path, course: (read.append(path.stem), load(path, course))[1]
    )
    monkeypatch.setattr(
        view,
        "judge",
        lambda course, record, *more: (judged.append(record.id), judge(course, record, *more))[1],
    )
    before = desk.stamps()
    file = students / "temwa.toml"
    file.write_text(file.read_text(encoding="utf-8") + "\n# a thought\n", encoding="utf-8")
    assert desk.stamps() != before
    for row in desk.read().rows:
        row.work_out()
    assert read == ["temwa"]
    assert judged == ["temwa"]


def test_open_holds_come_first_and_then_the_names(students):
    rows = desk_at(students).read().rows
    assert [row.record.name for row in rows] == [
        "Linnea",
        "Bogdan",
        "Chikondi",
        "Noemi",
        "Rafiq",
        "Temwa",
    ]


@pytest.mark.parametrize("on", ["2025-10-06", "2025-11-20", "2025-12-02", "2025-12-08", "2026-02-02"])
def test_every_quick_question_is_answered_as_the_command_line_answers_it(students, on, capsys):
    desk = desk_at(students, on)
    rows = desk.read().rows
    for question in QUESTIONS:
        if question == "today":
            continue
        assert main(["ask", question, "--on", on, "--students", str(students), "--json"]) == 0
        asked = {row["student"] for row in json.loads(capsys.readouterr().out)["rows"]}
        assert {row.record.id for row in rows if question in row.lists} == asked, question


def test_promises_that_were_answered_are_not_open(students):
    now = desk_at(students, "2025-12-08").read()
    assert len(now.by_id["chikondi"].promises) == 1
    # on the day before it was answered, the older one was open too
    earlier = desk_at(students, "2025-12-01").read()
    assert len(earlier.by_id["chikondi"].promises) == 1
    assert earlier.by_id["chikondi"].promises != now.by_id["chikondi"].promises


def test_large_letters_have_three_rows_of_one_width():
    for words in ("LOOK AGAIN", "READY +", "UNIT 12"):
        assert len(large(words).split("\n")) == 3


def test_every_skill_has_a_place_of_its_own_on_the_map(course):
    for width in (80, 120, 200):
        where = plot(course, width, 1)
        assert len(set(where.at.values())) == len(course.skills)
        assert where.width <= width


def test_a_line_goes_from_a_footing_to_what_stands_on_it(course):
    where = plot(course, 80, 1)
    lines = draw_lines(where, course, [("rounded-hand-keys", "wrist-lift")], heavy=True)
    assert set(lines.values()) <= set("╹╺┗╻┃┏┣╸┛━┻┓┫┳╋")
    assert not set(lines) & set(where.at.values())


@pytest.mark.parametrize("folder", ["demo_students", "demo_students/two-courses"])
@pytest.mark.parametrize("on", ["2025-09-01", "2025-11-27", "2025-12-02", "2026-03-01"])
def test_an_open_hold_is_known_before_anything_is_worked_out(students, folder, on):
    rows = desk_at(students.parent / folder, on).read().rows
    assert rows
    for row in rows:
        known = row.is_paused
        assert not row.is_worked_out
        assert known == (row.answer.verdict == "paused")


def test_a_new_day_is_a_new_answer_although_no_file_was_saved(students):
    days = [datetime(2025, 12, 8, 23, 0).astimezone(), datetime(2025, 12, 9, 6, 0).astimezone()]
    (students / "studio.toml").write_text(
        (students / "studio.toml").read_text(encoding="utf-8").replace("today = ", "# today = "),
        encoding="utf-8",
    )
    desk = Desk(None, students, students, {}, None, lambda: days[0])
    desk.read()
    before = desk.stamps()
    assert desk.stamps() == before
    days.pop(0)
    assert desk.stamps() != before
    assert {row.answer.on for row in desk.read().rows} == {days[0].date().toordinal()}


def test_a_name_is_found_without_its_accents_and_capitals():
    assert view.folded("Zoë ÅRDAL") == "zoe ardal"
