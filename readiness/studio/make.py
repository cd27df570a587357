"""A new studio: a folder with a course to make one's own, a folder for students, and studio.toml.

Everything is made apart and put in place, studio.toml last, so that there is a whole studio or none. A
folder with anything in it is left alone, but for what a start that was stopped has left there. Who may
read and write follows the folder it is made in: its group where a group works there, else one person.
"""

from __future__ import annotations

import os
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from readiness.record.append import quoted
from readiness.shipped import shipped
from readiness.studio.find import FILE_NAME
from readiness.studio.schema import FOLDER, StudioFile, schemas, with_schema
from readiness.toml.new_files import Standing, give, is_for_a_group, lock, write_all
from readiness.toml.problems import errors
from readiness.toml.read import parse_toml
from readiness.toml.write import Refusal

__all__ = ["group_of", "make_studio"]

_COURSE: Final = Path("skill_graphs", "first-two-years")
_EMPTY: Final = Path("skill_graphs", "empty")
"""The graph of a course to be written; its pace is that of the other."""
_COURSE_FILES: Final = ("graph.toml", "pacing.toml", "names.es.toml")
_STUDENTS: Final = "demo_students"
_MERGING: Final = b"""\
# Teachers who keep this folder in git: notes added on two machines to one student are both kept.
students/*.toml merge=union
"""
_NOT_KEPT: Final = b"""\
# Lessons half entered, which are nobody's but whose they are, and what a program that was stopped leaves.
.*.half-done.*
.*.new
.*.was
.*.doctor.json
"""
_SUFFIX: Final = ".studio.new"
_PARTS: Final = ("course", "students", FOLDER, ".gitattributes", ".gitignore")
_NEW: Final = """\
# Where things are. Folders are given as seen from the folder this file is in.

format = 1
name = {name}
course = "course"
students = "students"

# All of this may be added:
# term_end = 2025-12-19
#
# [teachers] # the initials used in the lesson notes
# OB = "Odalys Brandt"
#
# [[event]]
# name = "Sharing afternoon"
# on = 2026-03-14
#
# Planned lessons, where they do not simply come every seven days:
# [lesson_dates]
# all = [2025-12-16]
"""


def make_studio(
    folder: Path, name: str, *, with_demo: bool = False, shared: bool = False, empty: bool = False
) -> Refusal | None:
    """Make a studio folder.

    Args:
        folder: not there yet, or empty.
        name: what the studio is called.
        with_demo: with the invented students, and the day they are asked about.
        shared: for the group of the folder, whoever may use the one it is made in.
        empty: with a course of one unit to begin one's own from.
    """
    text = _studio_text(name, with_demo=with_demo)
    wrong = errors(parse_toml(text, folder / FILE_NAME, StudioFile).problems)
    if wrong:
        return Refusal("no-name", f"the name of the studio cannot be used: {wrong[0].message}.")
    try:
        files = _files(with_schema(text, "studio", ""), with_demo=with_demo, empty=empty)
        return _stands_in_the_way(folder) or _make(folder, files, shared=shared)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        return Refusal("cannot-write", f"{folder} cannot be made: {why}.")


def group_of(folder: Path) -> str:
    """Return the group that works in a folder, by name or number; empty where none does."""
    if sys.platform == "win32" or not is_for_a_group(folder):
        return ""
    try:
        return folder.group()
    except KeyError:
        return str(folder.stat().st_gid)


def _stands_in_the_way(folder: Path) -> Refusal | None:
    room = folder if folder.is_dir() else folder.parent
    for left in tuple(room.glob(f".*{_SUFFIX}")):
        if room == folder or left.name.startswith(f".{folder.name}."):
            _clear(left, folder)
    if folder.is_dir():
        if any(folder.iterdir()):
            return Refusal("not-empty", f"{folder} has something in it already; please name a new folder.")
    elif folder.exists() or folder.is_symlink():
        return Refusal("not-a-folder", f"{folder} is there already, and is no folder.")
    if not folder.parent.is_dir():
        missing = f"there is no folder {folder.parent} to make it in"
        return Refusal("no-parent", f"{missing}; please make that one first.")
    return None


def _files(text: str, *, with_demo: bool, empty: bool = False) -> dict[str, bytes]:
    """Return what is to be in a studio, by its place in it; studio.toml comes last."""
    found = {f"course/{one}": (shipped() / _COURSE / one).read_bytes() for one in _COURSE_FILES}
    if empty:
        del found["course/names.es.toml"]
        found["course/graph.toml"] = (shipped() / _EMPTY / "graph.toml").read_bytes()
    for name in ("graph", "pacing"):
        plain = found[f"course/{name}.toml"].decode()
        found[f"course/{name}.toml"] = with_schema(plain, name, "../").encode()
    found |= {f"{FOLDER}/{name}": schema.encode() for name, schema in schemas().items()}
    for student in sorted((shipped() / _STUDENTS).glob("*.toml")) if with_demo else ():
        if student.name != FILE_NAME:
            found[f"students/{student.name}"] = student.read_bytes()
    return {**found, ".gitattributes": _MERGING, ".gitignore": _NOT_KEPT, FILE_NAME: text.encode()}


def _make(folder: Path, files: Mapping[str, bytes], *, shared: bool) -> Refusal | None:
    """Make everything apart, in the folder where there is one already, then put it in its place."""
    is_new = not folder.is_dir()
    room = folder.parent if is_new else folder
    with _begun(room, folder.name) as new:
        is_group = shared or is_for_a_group(room)
        group = room.stat().st_gid if is_group and (is_for_a_group(room) or not is_new) else None
        dirs = Standing(0o2770 if is_group else 0o700, None, group)
        for one in (new, new / "course", new / "students", new / FOLDER):
            one.mkdir(exist_ok=True)
            give(one, dirs)
        for name, data in files.items():
            path = new / name
            file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
            try:
                write_all(file, data)
            finally:
                os.close(file)
            give(path, Standing(0o660 if is_group else 0o600, None, group))
        if is_new:
            new.rename(folder)
            return None
        if shared and not is_for_a_group(folder):
            give(folder, dirs)
        _put_in_place(new, folder)
    return None


def _put_in_place(new: Path, folder: Path) -> None:
    """Put all parts in their place, studio.toml last, or none."""
    try:
        for name in (*_PARTS, FILE_NAME):
            (new / name).rename(folder / name)
    except BaseException:
        for name in _PARTS:
            if (folder / name).exists():
                _delete(folder / name)
        raise


@contextmanager
def _begun(room: Path, name: str) -> Iterator[Path]:
    """Give a new folder, held as long as this program lives; it is gone again where it was not taken."""
    new = Path(tempfile.mkdtemp(prefix=f".{name}.", suffix=_SUFFIX, dir=room))
    held = _held(new)
    try:
        yield new
    finally:
        shutil.rmtree(new, ignore_errors=True)
        if held is not None:
            os.close(held)


def _held(folder: Path) -> int | None:
    """Return a folder opened and held; None where somebody else holds it, or it cannot be."""
    if sys.platform == "win32":  # pragma: no cover - folders are not opened there
        return None
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    if lock(handle, waits=False):
        return handle
    os.close(handle)
    return None


def _clear(left: Path, folder: Path) -> None:
    """Delete what a start that was stopped has left, and what it had put in place if nobody changed it."""
    held = _held(left)
    if held is None:
        return
    try:
        if left.parent == folder and (left / FILE_NAME).exists():
            known = {*_files("", with_demo=True).values(), *_files("", with_demo=False, empty=True).values()}
            for one in filter(Path.exists, (folder / name for name in _PARTS)):
                if all(file.is_dir() or file.read_bytes() in known for file in (one, *one.rglob("*"))):
                    _delete(one)
        shutil.rmtree(left)
    finally:
        os.close(held)


def _delete(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink()


def _studio_text(name: str, *, with_demo: bool) -> str:
    """Return ``studio.toml``: a new one, or the demo's with the folders of the copy and its own name.

    The first of each key is the studio's; an event further down has a name, too.
    """
    if not with_demo:
        return _NEW.format(name=quoted(name))
    text = (shipped() / _STUDENTS / FILE_NAME).read_text(encoding="utf-8")
    for key, value in (("course", "course"), ("students", "students"), ("name", name)):
        if value:
            said = quoted(value).replace("\\", r"\\")
            text = re.sub(rf"(?m)^({key} = ).*$", rf"\g<1>{said}", text, count=1)
    return text
