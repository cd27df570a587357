"""Several programs write at once, and programs are killed in the middle: nothing confirmed is lost."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest

from readiness.record.load import load_record

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
WRITES = 300


@pytest.fixture
def writer(course_folder, temwa):
    """Return a function that starts a program that notes lessons."""
    started = []

    def begin(name, count):
        words = [sys.executable, str(HERE / "writer.py"), str(course_folder), str(temwa), name, str(count)]
        process = subprocess.Popen(
            words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        started.append(process)
        assert process.stdout.readline() == "here\n"
        return process

    yield begin
    for process in started:
        process.kill()
        process.communicate()


def go(process):
    process.stdin.write("\n")
    process.stdin.flush()


def notes(path):
    """Return what was noted by the writers, in the order of the file, which must be right."""
    lessons = tomllib.loads(path.read_text(encoding="utf-8"))["lesson"]
    return [lesson["note"].split()[0] for lesson in lessons if "note" in lesson]


@pytest.mark.parametrize("names, count", [(("a", "b"), 50), (("a", "b", "c", "d", "e", "f", "p", "pp"), 12)])
def test_writers_at_the_same_time_lose_nothing(names, count, writer, temwa, course):
    before = temwa.read_bytes()
    processes = {name: writer(name, count) for name in names}
    for process in processes.values():
        go(process)
    for name, process in processes.items():
        out, err = process.communicate(timeout=300)
        assert err == ""
        assert out.split() == [f"{name}-{i}" for i in range(count)]
    found = notes(temwa)
    for name in names:
        own = [note for note in found if note.rpartition("-")[0] == name]
        assert own == ([] if name.startswith("p") else [f"{name}-{i}" for i in range(count)])
    record = load_record(temwa, course).record
    answered = sorted(one.text for one in record.promises if one.answer == "done")
    assert answered == sorted(f"{name}-{i}" for name in names if name.startswith("p") for i in range(count))
    assert temwa.read_bytes().startswith(before[:-1])
    assert list(temwa.parent.glob(".*")) == []


@pytest.mark.skipif(sys.platform == "win32", reason="programs end in another way there")
def test_a_program_killed_at_any_point_loses_nothing_that_was_confirmed(writer, temwa, course):
    chance = random.Random(20251202)
    confirmed: list[str] = []
    kills = 0
    while len(confirmed) < WRITES:
        process = writer(f"k{kills}", WRITES - len(confirmed))
        go(process)
        for _ in range(chance.randrange(1, 60)):
            line = process.stdout.readline()
            if not line:
                break
            confirmed.append(line.strip())
        time.sleep(chance.random() * 0.006)
        process.kill()
        out, err = process.communicate()
        assert err == ""
        confirmed += [line for line in out.splitlines() if line]
        kills += 1
        found = notes(temwa)
        assert set(confirmed) <= set(found)
        assert len(found) == len(set(found)) <= len(confirmed) + kills
        assert load_record(temwa, course).problems == ()
    assert kills >= 5
    assert list(temwa.parent.glob(".*")) == []
