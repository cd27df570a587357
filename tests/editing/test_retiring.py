"""Can this skill be deleted, are these two really one: questions of the trade, on the demo studio."""

from __future__ import annotations

import shutil
from dataclasses import replace

import pytest

from readiness.course.load import load_course
from readiness.days import day_number
from readiness.editing.dry_run import retiring
from readiness.judging import answer_to_dict, judge
from readiness.judging.recheck import recheck
from readiness.record.load import load_record
from readiness.words.course import retiring_sections
from readiness.words.layout import lay_out

DAY = day_number("2025-12-02")


def told(found, course):
    return " ".join(lay_out(retiring_sections(found, course), 80).split())


def test_what_stands_on_it_and_whose_records_name_it(demo):
    found = retiring(demo, ("wrist-lift",), (), DAY)
    assert [user for user, _, _ in found.uses] == ["arm-arc-octave", "separate-arm-gestures", "phrase-lift"]
    assert [(one.student, one.notes, one.tasks) for one in found.mentions] == [
        ("rafiq", 1, 0),
        ("temwa", 3, 1),
    ]
    (change,) = found.trial.comparison.changed
    assert change.after.student == "temwa"
    assert ("dropped-blocker", "wrist-lift") in {(one.id, one.skill) for one in change.reasons}
    assert "Please do not delete it: retire it" in told(found, demo.course)


def test_a_new_name_keeps_the_notes(demo):
    found = retiring(demo, ("wrist-lift",), ("floating-wrist",), DAY)
    (change,) = found.trial.comparison.changed
    new = next(one for one in change.reasons if one.id == "new-blocker")
    before = change.before.standings["wrist-lift"]
    assert new.skill == "floating-wrist"
    assert replace(new.standing, skill="wrist-lift") == replace(before, warmed_by=new.standing.warmed_by)
    assert change.before.verdict == change.after.verdict


def test_of_two_made_one_the_note_with_more_help_counts(demo):
    found = retiring(demo, ("rounded-hand-rest", "rounded-hand-keys"), ("rounded-hand",), DAY)
    assert found.trial.course is not None
    now = judge(found.trial.course, demo.records["temwa"], DAY).standings["rounded-hand"]
    then = judge(demo.course, demo.records["temwa"], DAY).standings
    helps = [{note.day: note.help for note in then[name].evidence} for name in found.skills]
    expected = {day: max(one.get(day, 0) for one in helps) for day in {*helps[0], *helps[1]}}
    assert {note.day: note.help for note in now.evidence} == expected


def test_a_refused_one_says_why_and_writes_nothing(demo):
    found = retiring(demo, ("feet-supported",), ("same-moment",), DAY)
    assert found.trial.course is None
    assert "later-unit" in {p.id for p in found.trial.problems}


@pytest.fixture
def retired(tmp_path, course_folder):
    """Return a copy of the course with what the command says written into it."""
    folder = shutil.copytree(course_folder, tmp_path / "course")
    text = (folder / "graph.toml").read_text(encoding="utf-8")
    begin = text.index("[skill.wrist-lift]")
    end = text.index("[skill.", begin + 1)
    table = text[begin:end]
    copied = table.replace("[skill.wrist-lift]", "[skill.floating-wrist]\nsince = 2025-12-02")
    old = table.replace("]", ']\nretired = 2025-12-02\nreplaced_by = ["floating-wrist"]', 1)
    (folder / "graph.toml").write_text(text[:begin] + old + copied + text[end:], encoding="utf-8")
    return load_course(folder)


def test_written_down_it_keeps_every_answer_of_days_before(retired, course, demo_folder):
    assert retired.course is not None
    assert {p.id for p in retired.problems} <= {"small-leap"}
    for path in sorted(demo_folder.glob("*.toml")):
        if path.stem == "studio":
            continue
        record = load_record(path, retired.course).record
        for day in range(DAY - 40, DAY):
            plain, now = (judge(one, record, day) for one in (course, retired.course))
            keys = [key for key in answer_to_dict(plain) if key != "findings"]
            assert all(answer_to_dict(plain)[key] == answer_to_dict(now)[key] for key in keys)
            assert recheck(answer_to_dict(now), retired.course, record).differ == ()


def test_a_record_that_points_nowhere_names_the_way_out(tmp_path, course_folder, demo_folder):
    """A skill that was deleted instead of retired is an error in the student's file."""
    folder = shutil.copytree(course_folder, tmp_path / "course")
    text = (folder / "graph.toml").read_text(encoding="utf-8").replace('"wrist-lift"', '"rounded-hand-keys"')
    begin = text.index("[skill.wrist-lift]")
    text = text[:begin] + text[text.index("[skill.", begin + 1) :]
    (folder / "graph.toml").write_text(text, encoding="utf-8")
    course = load_course(folder).course
    assert course is not None
    loaded = load_record(demo_folder / "temwa.toml", course)
    assert loaded.record is None
    problem = next(p for p in loaded.problems if p.id == "unknown-skill")
    assert problem.severity == "error"
    assert "retired" in problem.hint
