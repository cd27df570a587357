"""A network on the disk and its command: what is left out is named, what did not change is not read again."""

from __future__ import annotations

import json
import os
import shutil
from collections import Counter
from csv import DictReader
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from bench.cohort_made_up import TODAY, made_up
from cohort.test_parts import as_bytes

from readiness.cli.main import main
from readiness.cohort import Unreadable, judge_network, judge_parts, numbers, parts_in, read_part, write_part
from readiness.cohort import network as disk
from readiness.course.load import load_course

DAY = "2025-12-02"


@pytest.fixture
def schools(course, tmp_path):
    """Return the folder of three schools, of which one has nobody."""
    for number, (name, students) in enumerate((("east", 9), ("north", 30), ("west", 0))):
        assert write_part(tmp_path / "net" / name, made_up(course, students, number, name)) is None
    return tmp_path / "net"


@pytest.fixture
def say(capsys, monkeypatch, tmp_path):
    """Return a function that carries out the command, by the demo studio, in an empty folder."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))

    def carry_out(*words):
        capsys.readouterr()
        code = main(["network", *map(str, words)])
        out, err = capsys.readouterr()
        return code, out, " ".join(err.split())

    return carry_out


def die_once(part: Path, mark: Path, name: str) -> Unreadable:
    """Answer, but end the process at one part as long as there is no mark."""
    if part.name == name and not mark.exists():
        mark.write_text("died")
        os._exit(1)
    return Unreadable(part.name, "seen", "")


def die(part: Path, name: str) -> Unreadable:
    if part.name == name:
        os._exit(1)
    return Unreadable(part.name, "seen", "")


def test_a_worker_that_is_lost_is_tried_again(tmp_path):
    parts = [Path(name) for name in "abcde"]
    job = partial(die_once, mark=tmp_path / "mark", name="c")
    found = list(disk._handed_out(job, parts, disk.processes(2)))
    assert [(one.part, one.id) for one in found] == [(name, "seen") for name in "abcde"]


def test_a_part_that_takes_every_worker_along_is_left_out_alone():
    found = list(disk._handed_out(partial(die, name="b"), [Path(name) for name in "abc"], disk.processes(2)))
    assert [(one.part, one.id) for one in found] == [("a", "seen"), ("b", "lost-worker"), ("c", "seen")]


@pytest.mark.parametrize("engine", [None, disk.processes(2)])
def test_the_answers_are_those_of_the_parts(schools, course, tmp_path, engine):
    plain = as_bytes(judge_parts(parts_in(schools), course, TODAY))
    for _ in range(2):  # the second time from what was kept
        found = judge_network(parts_in(schools), course, TODAY, cache=tmp_path / "kept", engine=engine)
        assert as_bytes(found) == plain


def test_a_part_that_did_not_change_is_not_read_again(schools, course, tmp_path, monkeypatch):
    read = Counter[str]()

    def counted(part, *words):
        read[part.name] += 1
        return whole(part, *words)

    whole = disk.judge_part
    monkeypatch.setattr(disk, "judge_part", counted)

    def judge(course=course, on=TODAY):
        read.clear()
        return list(judge_network(parts_in(schools), course, on, cache=tmp_path / "kept")), dict(read)

    before, first = judge()
    again, second = judge()
    assert (first, second) == ({"east": 1, "north": 1, "west": 1}, {})
    assert as_bytes(again) == as_bytes(before)
    assert write_part(schools / "east", made_up(course, 8, 7, "east")) is None
    changed, third = judge()
    assert third == {"east": 1}
    assert len(changed[0].verdict) == 8
    assert judge(on=TODAY - 1)[1] == {"east": 1, "north": 1, "west": 1}
    skill = replace(course.skills[0], days=9)
    edited = replace(course, skills=(skill, *course.skills[1:]))
    assert judge(edited, TODAY - 1)[1] == {"east": 1, "north": 1, "west": 1}
    for kept in (tmp_path / "kept").iterdir():
        kept.write_bytes(b"no such thing")
    assert judge(edited, TODAY - 1)[1] == {"east": 1, "north": 1, "west": 1}


def test_a_course_is_named_alike_in_every_process(course, course_folder):
    """Sets have another order in another process; the digest has not."""
    assert disk.course_digest(course) == disk.course_digest(load_course(course_folder).course)


def test_what_is_no_part_of_the_network_is_named(schools, course):
    (schools / "readme.txt").write_text("hello")
    (schools / "empty").mkdir()
    (schools / ".hidden").mkdir()
    shutil.copytree(schools / "north", schools / "north-again")
    old = replace(made_up(course, 3, 5), course=(course.name, "2019-01"))
    assert write_part(schools / "old", old) is None
    same = replace(made_up(course, 4, 6), source="s1")
    assert write_part(schools / "x1", same) is None
    assert write_part(schools / "x2", replace(same, ids=read_part(schools / "x1").ids)) is None
    found = list(judge_network(parts_in(schools), course, TODAY))
    said = {one.part: (one.id, one.message) for one in found if isinstance(one, Unreadable)}
    assert said == {
        "empty": ("not-a-part", "empty is not a part: a part is a folder with students.parquet."),
        "north-again": ("same-part", "north-again is the same school as north. Keep one of the two."),
        "old": (
            "other-course",
            (f"old was gathered for {course.name}, edition 2019-01; asked is {course.name}, edition "
            f"{course.edition}. Gather it again."),
        ),
        "readme.txt": ("not-a-part", "readme.txt is not a part: a part is a folder with students.parquet."),
        "x2": ("same-part", "x2 is the same school as x1. Keep one of the two."),
    }
    assert numbers(found, course).students == 9 + 30 + 4


def test_codes_stay_and_are_kept(say, tmp_path):
    assert say("gather", "net", "--name", "north", "--codes", "codes.json")[0] == 0
    first = json.loads(Path("codes.json").read_text())
    ids = read_part(Path("net/north")).ids.to_pylist()
    assert sorted(first["codes"].values()) == ids
    assert say("gather", "net", "--name", "north", "--codes", "codes.json")[0] == 0
    assert json.loads(Path("codes.json").read_text()) == first
    code, _, err = say("gather", "net", "--name", "../out", "--codes", "codes.json")
    assert (code, "is no name for a school" in err) == (2, True)
    assert say("gather", "net")[0] == 2, "the demo keeps no codes"
    Path("codes.json").write_text("[]")
    assert say("gather", "net", "--codes", "codes.json")[0] == 2
    assert Path("codes.json").read_text() == "[]"


def test_the_report_counts_what_the_table_holds(say, answered, records):
    assert say("gather", "net", "--name", "north", "--codes", "codes.json")[0] == 0
    code, out, _err = say("report", "net", "--on", DAY, "--json")
    assert code == 0
    said = json.loads(out)
    answers = [answered(student, DAY) for student in records]
    verdicts = Counter("ready" if one.is_ready else str(one.verdict) for one in answers)
    assert dict(map(tuple, said["numbers"]["verdicts"])) == {**dict.fromkeys(
        ("ready", "look-again", "not-yet", "paused", "not-placed"), 0), **verdicts}  # fmt: skip
    assert say("judge", "net", "--on", DAY, "--to", "all.csv")[0] == 0
    with Path("all.csv").open() as file:
        rows = list(DictReader(file))
    assert Counter(row["verdict"] for row in rows) == Counter(str(one.verdict) for one in answers)
    assert say("judge", "net", "--to", "all.csv")[0] == 2, "nothing is written over"
    (Path("net") / "stray").mkdir()
    code, out, _err = say("report", "net", "--on", DAY)
    assert code == 2
    assert "stray is not a part" in " ".join(out.split())
    assert f"{len(records)} students" in out
    code, out, _err = say("report", "net", "--on", DAY, "--for", "third-party")
    assert "stray" not in out
    assert "1 December 2025" in out


@pytest.mark.parametrize("words", [
    ("report", "nowhere"), ("judge", "net"), ("judge", "net", "--to", "a.txt"),
    ("report", ".", "--workers", "0"),
])  # fmt: skip
def test_what_does_not_fit_is_a_sentence(say, words):
    code, out, err = say(*words)
    assert (code, out) == (2, "")
    assert err.startswith("readiness: ")
