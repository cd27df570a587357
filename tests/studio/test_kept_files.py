"""A course that did not change is taken as it was read; for whatever did change it is read again."""

from __future__ import annotations

import os
import pickle
import shutil
from hashlib import sha256
from pathlib import Path

import pytest

from readiness.course.load import load_course
from readiness.studio import kept_files
from readiness.studio.kept_files import read_course


@pytest.fixture
def read(tmp_path, course_folder, monkeypatch):
    """Return a function that reads a copy of the course, and says whether its files were read through."""
    folder = tmp_path / "graphs" / "mine"
    shutil.copytree(course_folder, folder)
    calls = []

    def counted(where):
        calls.append(where)
        return load_course(where)

    monkeypatch.setattr("readiness.course.load.load_course", counted)

    def carry_out(of=folder):
        calls.clear()
        return read_course(of, tmp_path / "cache"), bool(calls)

    carry_out.folder, carry_out.cache = folder, tmp_path / "cache"
    return carry_out


def kept_file(read) -> Path:
    (path,) = read.cache.iterdir()
    return path


def test_the_second_time_it_is_the_same_course(read):
    first, was_read = read()
    again, was_read_again = read()
    assert (was_read, was_read_again) == (True, False)
    assert again == first == load_course(read.folder)
    assert again.course.plan == first.course.plan


@pytest.mark.parametrize("name", ["graph.toml", "pacing.toml"])
def test_a_change_is_read(read, name):
    read()
    path = read.folder / name
    before = path.stat()
    path.write_bytes(path.read_bytes().replace(b"common practice", b"Common practice", 1) + b"# once more\n")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert read()[1]
    assert not read()[1]


def test_what_is_inherited_counts_and_what_comes_to_be_there(read):
    variant = read.folder.parent / "variant"
    variant.mkdir()
    (variant / "graph.toml").write_text('format = 1\nname = "V"\nbased_on = "../mine"\n', encoding="utf-8")
    first = read(variant)[0]
    assert first.course is not None, first.problems
    assert not read(variant)[1]
    graph = read.folder / "graph.toml"
    graph.write_bytes(graph.read_bytes() + b"# an end\n")
    assert read(variant)[1]
    assert not read(variant)[1]
    shutil.copy(read.folder / "pacing.toml", variant / "pacing.toml")
    assert read(variant)[1]


def test_warnings_are_kept_and_a_course_with_an_error_is_not(read):
    text = (read.folder / "graph.toml").read_text(encoding="utf-8")
    (read.folder / "graph.toml").write_text(text + "\nsurprise = 1\n", encoding="utf-8")
    loaded, _ = read()
    assert loaded.course is None
    assert read()[1]


def test_without_a_place_nothing_is_kept(course_folder):
    assert read_course(course_folder, None) == load_course(course_folder)


def test_another_program_reads_again(read, monkeypatch):
    read()
    monkeypatch.setattr(kept_files, "program", lambda: b"another")
    assert read()[1]


@pytest.mark.parametrize("bad", [b"", b"no such thing", bytes(100), None])
def test_what_a_disk_spoiled_is_read_again(read, bad):
    loaded, _ = read()
    path = kept_file(read)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(bytes(data) if bad is None else bad)
    assert read() == (loaded, True)
    assert not read()[1]


class Runs:
    """What runs a command when it is read."""

    def __reduce__(self):
        return os.system, ("touch it-ran",)


@pytest.mark.parametrize("made", [Runs(), ((), Runs()), [Path("a")], 7])
def test_nothing_foreign_is_ever_made(read, made, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    loaded, _ = read()
    data = pickle.dumps(made)
    kept_file(read).write_bytes(sha256(data).digest() + data)
    assert read() == (loaded, True)
    assert not (tmp_path / "it-ran").exists()


def test_it_is_nobody_elses(read):
    read()
    assert kept_file(read).stat().st_mode & 0o077 == 0


def test_what_was_not_written_for_long_goes(read):
    read()
    old = kept_file(read)
    os.utime(old, (0, 0))
    other = read.folder.parent / "other"
    shutil.copytree(read.folder, other)
    read(other)
    assert not old.exists()
    assert kept_file(read)
