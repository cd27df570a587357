"""The commands of the workbench as a teacher types them, and what they never say."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from readiness.cli.main import main

AVOIDED = [
    line
    for line in (Path(__file__).parents[1] / "words" / "avoided.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]
NEVER = re.compile("|".join(rf"\b{re.escape(word)}" for word in AVOIDED), re.IGNORECASE)


@pytest.fixture
def say(capsys, monkeypatch, tmp_path):
    """Return a function that carries out a command in an empty folder and holds what it says."""
    monkeypatch.chdir(tmp_path)

    def carry_out(*words):
        code = main([str(word) for word in words])
        out, err = capsys.readouterr()
        assert not NEVER.findall(out), out
        if ": [" not in out:  # problems of files have lines of their own width
            assert max(map(len, out.splitlines()), default=0) <= 80
        return code, out, err

    return carry_out


def test_an_edit_is_tried_and_told(say):
    code, out, _ = say("compare", "--add", "thumb-on-side-tip:separate-touch")
    assert code == 0
    assert "Who changes on 2 December 2025: 1 of 6 students" in out


def test_what_an_edit_does_is_said_in_short_first(say, course_folder, demo_folder, tmp_path):
    """Everybody's file twice under another id: counts by what turns into what, then one by one."""
    students = tmp_path / "students"
    students.mkdir()
    for path in demo_folder.glob("*.toml"):
        for number in range(2 if path.name != "studio.toml" else 0):
            shutil.copyfile(path, students / f"{path.stem}-n{number}.toml")
            text = (students / f"{path.stem}-n{number}.toml").read_text(encoding="utf-8")
            text = re.sub(r'(?m)^born = "(\d{4})', lambda born, n=number: f'born = "{int(born[1]) - n}', text)
            (students / f"{path.stem}-n{number}.toml").write_text(text, encoding="utf-8")
    words = ("--set", "band.6-7.carry_limit=0", "--set", "band.4-5.carry_limit=0", "--on", "2025-12-05")
    words = ("compare", course_folder, "--students", students, *words)
    found = json.loads(say(*words, "--json")[1])
    _, out, _ = say(*words, "--full")
    told = " ".join(out.split())
    assert told.index("In short, on 5 December 2025") < told.index("Who changes on 5 December 2025")
    short = told[told.index("In short") : told.index("Who changes")]
    counts = [int(count) for count in re.findall(r"- (\d+) students?: ", short)]
    assert sum(counts) == 12
    assert f"{len(found['unchanged'])} students: nothing changes." in short
    turned = [one for one in found["changed"] if one["from"] != one["to"]]
    assert turned
    assert sum(counts[: short.count(": now ")]) == len(turned)
    assert all(f"({one['student']})" in told for one in found["changed"])


def test_a_refused_edit_says_so_on_its_line(say):
    code, out, _ = say("compare", "--add", "rounded-hand-rest:wrist-lift")
    assert code == 2
    told = " ".join(out.split())
    assert "rounded-hand-rest > rounded-hand-keys > wrist-lift > rounded-hand-rest" in told
    assert out.splitlines()[-1] == "Refused for 2 errors; please correct them first."


def test_edits_keep_their_order_and_count_together(say):
    words = (
        "--set",
        "band.adult.carry_limit=1",
        "--drop",
        "phrase-lift:wrist-lift",
        "--set",
        "band.6-7.carry_limit=0",
    )
    code, out, _ = say("compare", *words, "--on", "2025-12-05", "--json")
    found = json.loads(out)
    assert (code, found["accepted"], found["on"]) == (0, True, "2025-12-05")
    assert [one["student"] for one in found["changed"]] == ["bogdan"]
    told = {one["id"] for one in found["changed"][0]["reasons"]}
    assert {"too-many-open", "number-changed"} <= told
    assert set(found["unchanged"]) == {"chikondi", "linnea", "noemi", "rafiq", "temwa"}


def test_two_courses_are_compared(say, course_folder, demo_folder, tmp_path):
    other = shutil.copytree(course_folder, tmp_path / "other")
    text = (other / "graph.toml").read_text(encoding="utf-8")
    (other / "graph.toml").write_text(
        text.replace("lesson_weeks = 4", "lesson_weeks = 5", 1), encoding="utf-8"
    )
    code, out, _ = say("compare", course_folder, other, "--students", demo_folder)
    assert code == 0
    assert "unit 1, Sitting well, high and low: lesson_weeks 4 > 5" in " ".join(out.split())
    assert "Nobody's answer changes" in out


def test_a_deleted_skill_is_told_with_the_files_that_name_it(say, course_folder, demo_folder, tmp_path):
    other = shutil.copytree(course_folder, tmp_path / "other")
    text = (other / "graph.toml").read_text(encoding="utf-8").replace('"wrist-lift"', '"rounded-hand-keys"')
    begin = text.index("[skill.wrist-lift]")
    text = text[:begin] + text[text.index("[skill.", begin + 1) :]
    (other / "graph.toml").write_text(text, encoding="utf-8")
    code, out, _ = say("compare", course_folder, other, "--students", demo_folder)
    assert code == 2
    told = "There is no answer any more about 2 of 6 students: their files name something that is no longer"
    assert " ".join(out.split()).startswith(told)
    assert "temwa.toml:36:3: error: [unknown-skill]" in out


@pytest.mark.parametrize("words,said", [
    (("compare",), "please name two course folders, or an edit"),
    (("compare", "a", "b", "c"), "compare takes two course folders"),
    (("compare", "--add", "x"), "--add is written as in"),
    (("compare", "--move", "wrist-lift:nowhere", "--move", "nothing:x"), 'there is no unit "nowhere" in the'),
    (("compare", "nowhere", "--add", "a:b"), "there is no course folder nowhere"),
    (("retire", "wrist-lft"), 'there is no skill "wrist-lft" in the course. Did you mean "wrist-lift"?'),
    (("retire", "wrist-lift", "phrase-lift"), "several skills are merged into one"),
    (("watch", "nowhere"), "there is no course folder nowhere"),
    (("exchange", "import", "nowhere", "x"), "there is no file nowhere"),
    (("check", "--to", "wrist-lft", "--facts"), 'Did you mean "wrist-lift"?'),
])  # fmt: skip
def test_a_slip_of_the_command_is_one_sentence(say, words, said):
    code, out, err = say(*words)
    assert code == 2
    assert said in " ".join(err.split())
    assert not out


def test_retiring_is_a_question(say):
    code, out, _ = say("retire", "wrist-lift", "--into", "floating-wrist", "--on", "2026-09-01")
    assert code == 0
    assert 'replaced_by = ["floating-wrist"]' in out
    assert "since = 2026-09-01" in out
    found = json.loads(say("retire", "wrist-lift", "--json")[1])
    assert [one["student"] for one in found["records"]] == ["rafiq", "temwa"]
    assert found["lines"][0]["text"] == "retired = 2025-12-02"


def test_what_is_refused_is_not_offered_as_lines_to_write(say):
    code, out, _ = say("retire", "tells-when-it-hurts")
    assert code == 2
    assert "it cannot be retired" in out
    assert "retired = " not in out
    assert "retire it from" not in " ".join(out.split())


def test_other_advice_is_not_another_reason(say):
    """The blockers stay as they are; only where to begin is different."""
    _, out, _ = say("compare", "--drop", "wrist-lift:rounded-hand-keys")
    assert "Nobody's answer changes" in out
    assert "Temwa: look again first as before.\n" in out


def test_every_text_of_the_workbench_keeps_to_the_words(say):
    for words in (
        ("compare", "--set", "band.4-5.days_needed.motor=1", "--set", "band.6-7.fresh_weeks.fast=1"),
        ("compare", "--set", "band.8-10.from_age=7", "--on", "2025-12-20"),
        ("compare", "--drop", "white-key-piece:holds-long-notes"),
        ("retire", "rounded-hand-rest", "rounded-hand-keys", "--into", "rounded-hand"),
        ("fading", "chikondi", "--days", "60"),
        ("why", "temwa", "--birthday"),
        ("check", "--facts"),
    ):
        say(*words)
