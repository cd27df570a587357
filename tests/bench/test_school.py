"""The made-up school is what it says: the program's own files, always the same, every verdict in it."""

from collections import Counter
from datetime import date
from itertools import islice

import pytest
from bench.school import HEAD, TODAY, entry, student_texts, write_school

from readiness.judging import judge
from readiness.record.entries import decide
from readiness.record.load import load_record
from readiness.record.model import Decision
from readiness.record.noting import NewLesson, lesson_text, note_lesson
from readiness.studio.find import find_studio
from readiness.studio.load import load_studio

MANY = 150


@pytest.fixture(scope="module")
def studio(tmp_path_factory):
    file = write_school(tmp_path_factory.mktemp("made-up") / "school", MANY)
    return load_studio(find_studio(None, file.parent / "students", file.parent, {}))


def test_nothing_in_it_is_wrong(studio, course):
    assert [one.problems for one in studio.loaded if one.problems] == []
    assert len(studio.records) == MANY


def test_every_verdict_and_state_occurs(studio, course):
    answers = [judge(course, record, TODAY.toordinal()) for record in studio.records.values()]
    states = Counter(one.state for answer in answers for one in answer.standings.values())
    verdicts = {"paused", "not-yet", "look-again", "ready-taking-along", "ready", "not-placed"}
    assert {answer.verdict for answer in answers} == verdicts
    assert set(states) == {
        "secure", "wobbling", "stale", "untried", "slipped",
        "building", "not-shown", "with-help", "set-aside",
    }  # fmt: skip


def test_each_has_about_200_notes_in_20_to_40_lessons(studio):
    for record in studio.records.values():
        assert 20 <= len(record.lessons) <= 40
        assert 160 <= sum(len(lesson.showings) for lesson in record.lessons) <= 240


def test_the_same_seed_gives_the_same_bytes_and_a_large_school_begins_like_a_small_one(course):
    few = list(student_texts(course, 5))
    assert few == list(islice(student_texts(course, 50), 5))
    assert few != list(student_texts(course, 5, seed=1))


def test_entries_are_byte_for_byte_those_of_the_program(tmp_path, course):
    path = tmp_path / "mine.toml"
    header = f'{HEAD}name = "Mine"\nborn = "2019-02-22"\n'
    path.write_text(header, encoding="utf-8")
    day = date(2025, 10, 7)
    skills = list(course.skill)
    lesson = NewLesson(
        day.toordinal(), {s: i % 5 for i, s in enumerate(skills[:30])}, (skills[40],), "OB", "two\nlines",
        {skills[0]: "left"},
    )  # fmt: skip
    record = load_record(path, course).record
    assert note_lesson(course, record, lesson, tmp_path, TODAY.toordinal()) == ()
    first, second = (unit.id for unit in course.units[:2])
    assert decide(record, tmp_path, Decision(day.toordinal(), first, "ready", "move"), second) is None
    moved = (
        f'[[decision]]\non = {day}\nunit = "{first}"\ncomputed = "ready"\ndecided = "move"\n\n'
        f'[[unit_start]]\nunit = "{second}"\non = {day}\n'
    )
    assert path.read_text(encoding="utf-8") == header + entry(lesson_text(lesson)) + entry(moved)
