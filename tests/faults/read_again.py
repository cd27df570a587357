"""What is read once more, for places or from what was kept, must be the same, whatever bytes there are."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory

from faults.good_files import STUDENT, small_course
from toml_files.in_order import levels, levels_placed

from readiness.record.load import LoadedRecord, load_record
from readiness.studio.cache import keeping
from readiness.studio.load import student_files
from readiness.toml.locate import locate

__all__ = ["a_kept_file", "kept", "places"]


def places(data: bytes, folder: Path) -> None:
    """Every text that ``tomllib`` accepts is read with a place for each key and item, in its order."""
    text = data.decode(errors="replace").removeprefix("\ufeff")
    try:
        value = tomllib.loads(text)
    except (ValueError, RecursionError):
        return
    assert levels_placed(locate(text)) == levels(value)


def kept(data: bytes, folder: Path) -> None:
    """Whatever stands in the place of what was kept, the students are what their files say."""
    students = _few_students(folder)
    (file,) = _keep(students, folder)
    file.write_bytes(data)
    expected = [load_record(path, small_course()) for path in students]
    for _ in range(2):
        found = _read_kept(students, folder)
        assert [one.record.seen for one in found] == [one.record.seen for one in expected]
        assert found == expected


def _few_students(folder: Path) -> tuple[Path, ...]:
    """Write three students with the same time of change each time, so that what was kept of them fits."""
    (folder / "students").mkdir()
    for name in ("bo", "mia", "ty"):
        path = folder / "students" / f"{name}.toml"
        path.write_text(STUDENT.replace("Mia", name.capitalize()), encoding="utf-8")
        os.utime(path, (1_764_000_000, 1_764_000_000))
    return student_files(folder / "students")


def _read_kept(students: tuple[Path, ...], folder: Path) -> list[LoadedRecord]:
    with keeping(folder / "kept", students) as read:
        return [read(path, small_course()) for path in students]


def _keep(students: tuple[Path, ...], folder: Path) -> list[Path]:
    _read_kept(students, folder)
    return list((folder / "kept").glob("*.sqlite"))


def a_kept_file() -> bytes:
    """Return what is kept of three students."""
    with TemporaryDirectory() as name:
        (file,) = _keep(_few_students(Path(name)), Path(name))
        return file.read_bytes()
