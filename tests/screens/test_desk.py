"""The desk knows no screen, and reads again only what changed."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from readiness.cli.main import main
from screens.hands import desk_at
from tui import reading
from tui.lettering import large
from tui.panes.paths import draw_lines, plot
from tui.screens.studio import QUESTIONS


def test_desk_and_library_are_used_without_textual():
    code = "import sys, tui.desk, tui.lesson_desk, tui.round; sys.exit('textual' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_one_saved_student_is_read_and_judged_alone(students, monkeypatch):
    desk = desk_at(students)
    desk.read()
    read, judged = [], []
    load, judge = reading.load_record, reading.judge
    monkeypatch.setattr(
        reading, "load_record", lambda path, course: (read.append(path.stem), load(path, course))[1]
    )
    monkeypatch.setattr(
        reading,
        "judge",
        lambda course, record, *more: (judged.append(record.id), judge(course, record, *more))[1],
    )
    before = desk.stamps()
    file = students / "temwa.toml"
    file.write_text(file.read_text(encoding="utf-8") + "\n# a thought\n", encoding="utf-8")
    assert desk.stamps() != before
    desk.read()
    assert read == ["temwa"]
    assert judged == ["temwa"]


def test_open_holds_come_first_and_then_the_names(students):
    view = desk_at(students).read()
    assert [row.record.name for row in view.rows] == [
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
        if question == "everyone":
            continue
        assert main(["ask", question, "--on", on, "--students", str(students), "--json"]) == 0
        asked = {row["student"] for row in json.loads(capsys.readouterr().out)["rows"]}
        assert {row.record.id for row in rows if question in row.lists} == asked, question


def test_promises_that_were_answered_are_not_open(students):
    view = desk_at(students, "2025-12-08").read()
    assert len(view.by_id["chikondi"].promises) == 1
    # on the day before it was answered, the older one was open too
    earlier = desk_at(students, "2025-12-01").read()
    assert len(earlier.by_id["chikondi"].promises) == 1
    assert earlier.by_id["chikondi"].promises != view.by_id["chikondi"].promises


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
