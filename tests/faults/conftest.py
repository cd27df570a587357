"""Student files of one's own, to be written to."""

from __future__ import annotations

import pytest

from readiness.record.load import load_record


@pytest.fixture
def folder(tmp_path, demo_folder):
    """Return a students folder with copies of the invented students."""
    students = tmp_path / "students"
    students.mkdir()
    for path in demo_folder.glob("*.toml"):
        if path.name != "studio.toml":
            (students / path.name).write_bytes(path.read_bytes())
    return students


@pytest.fixture
def temwa(folder):
    """Return the path of one student's file."""
    return folder / "temwa.toml"


@pytest.fixture
def read(course):
    """Return a function that reads a student's file, which must be right."""

    def of(path):
        loaded = load_record(path, course)
        assert loaded.problems == ()
        return loaded.record

    return of
