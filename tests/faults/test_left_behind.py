"""What a writer that died has left beside the files goes with the next writing; what is held stays."""

from __future__ import annotations

import os
import sys
import threading

import pytest

from readiness.days import day_number
from readiness.record.enrol import NewStudent, enrol
from readiness.record.entries import answer_promise
from readiness.record.noting import NewLesson, note_lesson
from readiness.toml import new_files
from readiness.toml import write as writing
from readiness.toml.new_files import PRIVATE, FileRights
from readiness.toml.write import Refusal

DAY = day_number("2025-12-10")
LESSON = NewLesson(DAY, {"wrist-lift": 0})


def hidden(folder):
    return sorted(path.name for path in folder.iterdir() if path.name.startswith("."))


@pytest.mark.skipif(sys.platform == "win32", reason="only what is old is told from what is held there")
def test_the_next_command_clears_what_is_nobodys_and_nothing_else(temwa, folder, course, read):
    record = read(temwa)
    left = [folder / ".noemi.abcd1234.new", folder / ".zuri.half-done.anna.abcd1234.new"]
    for path in left:
        path.write_bytes(b"a child's file")
    others = [".noemi.new", "noemi.abcd1234.new", ".noemi.ABCD1234.new", ".noemi.abcd1234.new.txt"]
    for name in others:
        (folder / name).write_bytes(b"somebody else's")
    with new_files.new_file(folder / "rafiq.toml", b"in work", PRIVATE) as held:
        assert note_lesson(course, record, LESSON, folder, DAY) == ()
        assert held.read_bytes() == b"in work"
        assert not any(path.exists() for path in left)
    assert not held.exists()
    assert all((folder / name).exists() for name in others)


def test_what_is_old_is_nobodys_wherever_it_comes_from(temwa, folder, course, read):
    left = folder / ".noemi.abcd1234.new"
    left.write_bytes(b"a child's file")
    with left.open("rb") as file:
        new_files.lock(file.fileno())
        new_files.clear(folder)
        assert left.exists()
        os.utime(left, (0, 0))
        new_files.clear(folder)
    assert not left.exists()


def test_beside_a_page_only_what_was_that_page_is_cleared(tmp_path):
    for name in (".letter.abcd1234.new", ".other.abcd1234.new"):
        (tmp_path / name).write_bytes(b"x")
    assert writing.create(tmp_path / "letter.html", tmp_path, b"page") is None
    assert hidden(tmp_path) == [".other.abcd1234.new"]


def test_of_many_who_enrol_one_id_at_once_one_does(folder, course):
    answers: list[tuple[Refusal, ...]] = []
    begun = threading.Barrier(6)

    def enrolling(name):
        begun.wait()
        answers.append(enrol(course, NewStudent("zuri", name, "2019-05", DAY), folder))

    threads = [threading.Thread(target=enrolling, args=(f"Zuri {i}",)) for i in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sum(answer == () for answer in answers) == 1
    assert b"Zuri" in (folder / "zuri.toml").read_bytes()
    assert hidden(folder) == []


@pytest.mark.skipif(sys.platform == "win32", reason="a file has one name there")
@pytest.mark.parametrize("written", [0, 1, 700, 900, 10_000])
def test_what_was_half_written_over_is_made_what_it_was(written, temwa, folder, read, monkeypatch):
    """A file with a second name is written over; here the writer dies after some bytes of it."""
    (folder.parent / "second").hardlink_to(temwa)
    before, record = temwa.read_bytes(), read(temwa)

    class DiedError(BaseException):
        pass

    def some(path, data):
        with path.open("r+b") as file:
            file.write(data[:written])
        raise DiedError

    monkeypatch.setattr(new_files, "_put_over", some)
    monkeypatch.setattr(new_files, "mend", lambda path: None)
    with pytest.raises(DiedError):
        answer_promise(record, folder, 1, DAY, "done")
    monkeypatch.undo()
    whole = written >= 10_000
    assert new_files.half_written(folder) == (temwa,)
    writing.settle(folder)
    assert hidden(folder) == []
    assert (temwa.read_bytes() == before) != whole
    read(temwa)
    assert (answer_promise(read(temwa), folder, 1, DAY, "done") is None) != whole
    assert (folder.parent / "second").read_bytes() == temwa.read_bytes()


def test_what_somebody_saved_after_a_death_half_way_is_not_put_back(temwa, folder, monkeypatch):
    before = temwa.read_bytes()
    was = folder / ".temwa.toml.abcd1234.was"
    was.write_bytes(f"{len(before)}\n".encode() + before + before + b"# more\n")
    temwa.write_bytes(before.replace(b"before breakfast", b"after breakfast"))
    saved = temwa.read_bytes()
    writing.settle(folder)
    assert temwa.read_bytes() == saved
    assert hidden(folder) == []


@pytest.mark.skipif(sys.platform == "win32", reason="rights are others there")
def test_who_may_use_a_file_stays_as_it_was(temwa, folder, read):
    temwa.chmod(0o640)
    assert answer_promise(read(temwa), folder, 1, DAY, "done") is None
    assert temwa.stat().st_mode & 0o7777 == 0o640
    folder.chmod(0o2770)
    assert new_files.following(folder) == FileRights(0o660, None, folder.stat().st_gid)
    folder.chmod(0o1777)
    assert new_files.following(folder) == PRIVATE
    folder.chmod(0o755)
    assert new_files.following(folder) == PRIVATE
