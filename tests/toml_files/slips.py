"""The small course with a teacher's slip in it: each folder of ``bad_courses`` is one.

A folder has a whole file or what is different in it: ``-`` a line that goes, ``+`` one that comes, and before
them, where the line is there more than once, one that stays. ``expected.txt`` is every word said about it.
"""

from __future__ import annotations

import shutil
from pathlib import Path

__all__ = ["BAD", "SMALL", "lay_over"]

SMALL = Path(__file__).parent / "good_courses" / "small"
BAD = Path(__file__).parent / "bad_courses"


def lay_over(course: Path, slip: str) -> Path:
    """Make a slip in a copy of the small course, and return the copy; it is made where there is none."""
    if not course.exists():
        shutil.copytree(SMALL, course)
    for file in (BAD / slip).glob("*.toml"):
        shutil.copy(file, course)
    for file in (BAD / slip).glob("*.diff"):
        spoilt = course / f"{file.stem}.toml"
        spoilt.write_text(_changed(spoilt.read_text("utf-8"), file.read_text("utf-8")), "utf-8")
    return course


def _changed(text: str, changes: str) -> str:
    made, left = list[str](), text.splitlines(keepends=True)
    for change in changes.splitlines(keepends=True):
        sign, line = change[0], change[1:]
        if sign == "+":
            made.append(line)
        else:
            at = left.index(line)
            made += left[: at + (sign == " ")]
            left = left[at + 1 :]
    return "".join(made + left)
