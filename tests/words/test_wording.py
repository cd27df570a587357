"""What a studio calls things: note values, the seventh key, the seat, the order of a date."""

from __future__ import annotations

import json
from dataclasses import fields

import pytest

from readiness.cli.main import main
from readiness.studio.find import Wording
from readiness.words.grammar import date_words, speak, worded, worded_text

DAY = 739587  # 2 December 2025
SHIPPED = {"quarter", "eighth", "bench"}


@pytest.fixture(autouse=True)
def _as_shipped():
    yield
    speak(Wording())


@pytest.fixture
def studio(tmp_path, demo_folder):
    def made(wording: str):
        (tmp_path / "students").mkdir(exist_ok=True)
        for path in demo_folder.glob("*.toml"):
            if path.name != "studio.toml":
                (tmp_path / "students" / path.name).write_bytes(path.read_bytes())
        course = demo_folder.parent / "skill_graphs" / "first-two-years"
        head = f'format = 1\nname = "Probe"\ncourse = "{course.as_posix()}"\nstudents = "students"\n'
        (tmp_path / "studio.toml").write_text(f"{head}[wording]\n{wording}\n", encoding="utf-8")
        return tmp_path

    return made


@pytest.fixture
def demo_folder(request):
    return request.config.rootpath / "demo_students"


@pytest.mark.parametrize(
    "written, said",
    [
        # Common practice, no source: how British teachers say the note values of the course.
        ("clapping quarter and half notes", "clapping crotchets and minims"),
        ("pairs of eighth notes", "pairs of quavers"),
        ("Keeps silence for a quarter rest", "Keeps silence for a crotchet rest"),
        ("half and whole rests", "minim and semibreve rests"),
        ("ties and the dotted half", "ties and the dotted minim"),
        ("a dotted half note at the right length", "a dotted minim at the right length"),
        ("Half notes are long", "Minims are long"),
        ("half steps from whole steps", "half steps from whole steps"),
        ("the front half of the bench", "the front half of the stool"),
        # German, Nordic and Slavic naming: H is the seventh key, B the flat one. Common practice, no source.
        ("Finds F, G, A and B", "Finds F, G, A and H"),
        ("B flat, then B", "B, then H"),
        ("C-B-A", "C-H-A"),
        ("Both hands, Bench", "Both hands, Stool"),
    ],
)
def test_a_text_of_the_course_in_the_words_of_a_studio(written, said):
    speak(Wording(note_values="crotchet", seventh="H", seat="stool"))
    assert worded_text(written) == said


def test_without_settings_nothing_is_worded_otherwise(course):
    speak(Wording())
    assert worded(course) is course
    assert date_words(DAY) == "2 December 2025"


def test_no_word_of_the_other_naming_is_left_in_the_course(course):
    speak(Wording(note_values="crotchet", seat="stool"))
    told = worded(course)
    texts = [str(getattr(skill, one.name)) for skill in told.skills for one in fields(skill)
             if one.name not in ("id", "stands_on", "place", "stands_on_some", "replaced_by")]  # fmt: skip
    assert not [text for text in texts if any(f"{word} " in f"{text} ".lower() for word in SHIPPED)]
    assert [skill.id for skill in told.skills] == [skill.id for skill in course.skills]


def test_a_date_is_said_in_the_order_of_the_studio():
    speak(Wording(dates="month-day"))
    assert date_words(DAY) == "December 2, 2025"
    assert date_words(DAY, DAY) == "December 2"


def test_every_answer_says_it_and_json_and_files_do_not(studio, monkeypatch, capsys):
    folder = studio('seat = "stool"\ndates = "month-day"')
    monkeypatch.chdir(folder)
    asked = ["why", "temwa", "--skill", "bench-height-check", "--on", "2025-12-02"]
    main(asked)
    told = capsys.readouterr().out
    assert "Notices stool height" in told
    assert "December 2, 2025" in told
    main([*asked, "--json"])
    worded_json = json.loads(capsys.readouterr().out)
    studio('seat = "bench"')
    main([*asked, "--json"])
    assert json.loads(capsys.readouterr().out) == worded_json


def test_a_value_that_does_not_exist_is_told_with_its_line_and_those_that_do(studio, monkeypatch, capsys):
    monkeypatch.chdir(studio('note_values = "crochet"'))
    assert main(["why", "temwa"]) == 2
    told = capsys.readouterr().err
    assert "studio.toml:6:" in told
    assert "one of quarter, crotchet" in " ".join(told.split())
