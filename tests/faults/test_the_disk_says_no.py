"""A full disk, a folder that may not be written to: one sentence, and every byte as it was."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from readiness.days import day_number
from readiness.record import draft_entry as half_done
from readiness.record.enrol import forget
from readiness.record.entries import answer_promise, open_hold
from readiness.record.noting import NewLesson, note_lesson
from readiness.record.undo import take_back
from readiness.studio.folder import make_studio
from readiness.toml import write as writing

ROOT = Path(__file__).parents[2]
DAY = day_number("2025-12-10")
LESSON = NewLesson(DAY, {"wrist-lift": 0}, note="x" * 50)


def tree(folder):
    """Return everything in a folder."""
    return {path: path.read_bytes() if path.is_file() else None for path in folder.rglob("*")}


def full(*_args):
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def half_then_full(monkeypatch):
    """Let the disk take half of what is written, then no more."""
    write, taken = os.write, []

    def some(file, data):
        if taken:
            full()
        taken.append(data)
        return write(file, data[: len(data) // 2])

    monkeypatch.setattr(writing.os, "write", some)
    return taken


@pytest.mark.parametrize("step", ["write", "fsync"])
def test_a_disk_that_fills_up_leaves_the_file_as_it_was(step, temwa, folder, read, course, monkeypatch):
    before, record = tree(folder), read(temwa)
    if step == "write":
        taken = half_then_full(monkeypatch)
    else:
        monkeypatch.setattr(writing.os, "fsync", full)
    (refusal,) = note_lesson(course, record, LESSON, folder, DAY)
    monkeypatch.undo()
    assert refusal.message == f"nothing was written: {temwa}: no space left on device."
    assert step != "write" or taken
    assert tree(folder) == before
    assert note_lesson(course, record, LESSON, folder, DAY) == ()
    assert read(temwa).lessons[-1].note == LESSON.note


@pytest.mark.skipif(sys.platform == "win32", reason="that system has no such limit")
def test_a_file_that_may_not_grow_is_left_as_it_was(temwa, folder, course_folder):
    """The limit is the system's own: it takes a part of the entry, then refuses the rest."""
    before = temwa.read_bytes()
    program = f"""
import resource
from pathlib import Path
from readiness.course.load import load_course
from readiness.record.load import load_record
from readiness.record.noting import NewLesson, note_lesson
course = load_course(Path({str(course_folder)!r})).course
path = Path({str(temwa)!r})
record = load_record(path, course).record
most = path.stat().st_size + 20
resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
(refusal,) = note_lesson(course, record, NewLesson({DAY}, {{"wrist-lift": 0}}), path.parent, {DAY})
print(refusal.id, refusal.message)
"""
    done = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.stderr == ""
    assert done.stdout == f"cannot-write nothing was written: {temwa}: file too large.\n"
    assert temwa.read_bytes() == before


def test_a_replacement_that_cannot_be_written_leaves_the_file_and_nothing_beside_it(
    temwa, folder, read, monkeypatch
):
    before, record = tree(folder), read(temwa)
    monkeypatch.setattr(writing.os, "fsync", full)
    refusal = answer_promise(record, folder, 1, DAY, "done")
    assert refusal is not None
    assert refusal.id == "cannot-write"
    assert tree(folder) == before


def test_a_round_that_cannot_be_kept_says_so_and_keeps_the_one_before(temwa, folder, monkeypatch):
    assert half_done.keep(temwa, LESSON) is None
    before = tree(folder)
    monkeypatch.setattr(writing.os, "fsync", full)
    refusal = half_done.keep(temwa, NewLesson(DAY))
    assert refusal is not None
    assert refusal.message == "this round cannot be kept safe: no space left on device."
    assert tree(folder) == before


def test_an_interruption_in_the_middle_of_writing_leaves_no_half_entry(
    temwa, folder, read, course, monkeypatch
):
    before, record, write = temwa.read_bytes(), read(temwa), os.write

    def interrupted(file, data):
        write(file, data[:10])
        raise KeyboardInterrupt

    monkeypatch.setattr(writing.os, "write", interrupted)
    with pytest.raises(KeyboardInterrupt):
        note_lesson(course, record, LESSON, folder, DAY)
    assert temwa.read_bytes() == before


def test_a_folder_that_may_not_be_written_to(temwa, folder, read, course, monkeypatch, tmp_path):
    """As a read-only disk answers; whoever may do everything cannot take the right away."""
    before, record = tree(folder), read(temwa)
    open_file = os.open

    def read_only(path, flags, *mode, **more):
        if flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
            raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(path))
        return open_file(path, flags, *mode, **more)

    monkeypatch.setattr(os, "open", read_only)
    monkeypatch.setattr(os, "mkdir", lambda path, *_: read_only(path, os.O_CREAT))
    answers = [
        *note_lesson(course, record, LESSON, folder, DAY),
        take_back(temwa, folder),
        open_hold(record, folder, DAY, "thumb hurts", "hand"),
        answer_promise(record, folder, 1, DAY, "done"),
        forget(temwa, folder),
        forget(temwa, folder, tmp_path / "copy.toml"),
        half_done.keep(temwa, LESSON),
        make_studio(tmp_path / "new", "New"),
    ]
    monkeypatch.undo()
    assert len(answers) == 8
    for answer in answers:
        assert answer is not None
        assert "read-only file system" in answer.message
        assert ".new" not in answer.message
        assert "\n" not in answer.message
    assert tree(folder) == before
    assert not (tmp_path / "new").exists()


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="whoever may do everything may do this"
)
def test_a_file_that_is_write_protected(temwa, folder, read, course):
    record = read(temwa)
    temwa.chmod(0o400)
    (refusal,) = note_lesson(course, record, LESSON, folder, DAY)
    assert refusal.message == f"nothing was written: {temwa}: permission denied."


def test_a_studio_that_cannot_be_made_whole_is_not_made(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "write", full)
    refusal = make_studio(tmp_path / "new", "New")
    assert refusal is not None
    assert "no space left on device" in refusal.message
    assert list(tmp_path.iterdir()) == []
