"""A new studio: a folder with a course to make one's own, a folder for students, and studio.toml.

Everything is made beside and put in place in one step, so that there is a whole studio or
none. A folder with anything in it is left alone.
"""

from __future__ import annotations

import re
import shutil
import tempfile
from pathlib import Path
from typing import Final

from readiness.files.problems import errors
from readiness.files.read import parse_toml
from readiness.files.writing import Refusal
from readiness.record.blocks import quoted
from readiness.shipped import shipped
from readiness.studio.find import FILE_NAME
from readiness.studio.schema import StudioFile

__all__ = ["make_studio"]

_COURSE: Final = Path("skill_graphs", "first-two-years")
_COURSE_FILES: Final = ("graph.toml", "pacing.toml")
_STUDENTS: Final = "demo_students"
_MERGING: Final = """\
# Teachers who keep this folder in git: notes added on two machines to one student are both kept.
students/*.toml merge=union
"""
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


def make_studio(folder: Path, name: str, *, with_demo: bool = False) -> Refusal | None:
    """Make a studio folder.

    Args:
        folder: not there yet, or empty.
        name: what the studio is called.
        with_demo: with the invented students, and the day they are asked about.
    """
    text = _studio_text(name, with_demo=with_demo)
    wrong = errors(parse_toml(text, folder / FILE_NAME, StudioFile).problems)
    if wrong:
        return Refusal("no-name", f"the name of the studio cannot be used: {wrong[0].message}.")
    return _stands_in_the_way(folder) or _make(folder, text, with_demo=with_demo)


def _stands_in_the_way(folder: Path) -> Refusal | None:
    if folder.is_dir():
        if any(folder.iterdir()):
            return Refusal("not-empty", f"{folder} has something in it already; please name a new folder.")
    elif folder.exists() or folder.is_symlink():
        return Refusal("not-a-folder", f"{folder} is there already, and is no folder.")
    if not folder.parent.is_dir():
        missing = f"there is no folder {folder.parent} to make it in"
        return Refusal("no-parent", f"{missing}; please make that one first.")
    return None


def _make(folder: Path, text: str, *, with_demo: bool) -> Refusal | None:
    """Make everything beside the place, then put it there."""
    try:
        new = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", suffix=".new", dir=folder.parent))
    except OSError as error:
        return _cannot(folder, error)
    try:
        (new / "course").mkdir()
        (new / "students").mkdir()
        for one in _COURSE_FILES:
            shutil.copyfile(shipped() / _COURSE / one, new / "course" / one)
        for student in sorted((shipped() / _STUDENTS).glob("*.toml")) if with_demo else ():
            if student.name != FILE_NAME:
                shutil.copyfile(student, new / "students" / student.name)
        (new / FILE_NAME).write_text(text, encoding="utf-8")
        (new / ".gitattributes").write_text(_MERGING, encoding="utf-8")
        if folder.is_dir():
            folder.rmdir()
        new.rename(folder)
    except OSError as error:
        shutil.rmtree(new, ignore_errors=True)
        return _cannot(folder, error)
    return None


def _cannot(folder: Path, error: OSError) -> Refusal:
    return Refusal("cannot-write", f"{folder} cannot be made: {(error.strerror or str(error)).lower()}.")


def _studio_text(name: str, *, with_demo: bool) -> str:
    """Return ``studio.toml``: a new one, or the demo's with the folders of the copy and its own name.

    The first of each key is the studio's; an event further down has a name, too.
    """
    if not with_demo:
        return _NEW.format(name=quoted(name))
    text = (shipped() / _STUDENTS / FILE_NAME).read_text(encoding="utf-8")
    for key, value in (("course", "course"), ("students", "students"), ("name", name)):
        if value:
            text = re.sub(rf"(?m)^({key} = ).*$", rf"\g<1>{_safe(quoted(value))}", text, count=1)
    return text


def _safe(text: str) -> str:
    """Return a text as it stands in what a pattern is replaced by."""
    return text.replace("\\", r"\\")
