"""Lessons added to a student file that was checked before: nearly all that is ever written into one.

They are looked at by the same rules as ``record.schema`` and ``record.checks`` have for them, without loading
the models. Whatever is not plainly right here is left to these, which say what is wrong with it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any, Final, NamedTuple

from readiness.course.model import Course
from readiness.days import YEARS
from readiness.record.cut_off import cut_off
from readiness.record.marks import TAKEN, standing
from readiness.record.model import AGAIN, SHOWN
from readiness.toml.problems import Problem
from readiness.toml.read import LARGEST, Loaded, plain
from readiness.toml.texts import unseen

__all__ = ["Checked", "is_lesson", "with_lessons"]

_HEADER: Final = b"[[lesson]]"


class Checked(NamedTuple):
    """The content of a student file that had no problem: its size and its SHA-256."""

    size: int
    content: bytes


def with_lessons(
    data: bytes, path: Path, checked: Checked | None, course: Course | None
) -> Loaded[Any] | None:
    """Return a file to which only lessons were added since it was checked with this course, if with any.

    None: whether it has a problem is not known, and has to be looked for.
    """
    if checked is None or sha256(data[: checked.size]).digest() != checked.content or len(data) > LARGEST:
        return None
    more = data[checked.size :]
    is_apart = b"\n" in data[checked.size - 1 : checked.size + 1] and more.lstrip().startswith(_HEADER)
    if not is_apart or TAKEN in more:
        return None
    try:
        text = standing(data).decode("utf-8-sig")
        file, added = plain(text, path), plain(more.decode(), path)
    except ValueError:
        return None
    if isinstance(file, Problem) or isinstance(added, Problem) or cut_off(text):
        return None
    is_right = added.keys() == {"lesson"} and all(map(is_lesson, added["lesson"]))
    return Loaded(None, (), text, path, file, True) if is_right and _fits(file, added, course) else None


def _fits(file: Mapping[str, Any], added: Mapping[str, Any], course: Course | None) -> bool:
    """Return whether nothing is to be said of lessons beside their form.

    They name what is taught, none comes before the first day that was noted, and nothing is in them twice.
    """
    lessons, every = added["lesson"], file["lesson"]
    begun = (one["on"] for one in (*every[: -len(lessons)], *file.get("unit_start", ())))
    first, words = min(begun, default=date.max), [*map(str, every)]
    lists = [skills for one in lessons for name in _LISTS if (skills := one.get(name))]
    named = {skill for one in lessons for name in _NAMING for skill in one.get(name, ())}
    return (
        (course is None or named <= course.skill.keys())
        and all(one["on"] >= first for one in lessons)
        and all(len({*one}) == len(one) for one in (words, *lists))
    )


def is_lesson(block: Mapping[str, object]) -> bool:
    """Return whether a block has the form of a lesson: just what ``record.schema.LessonBlock`` accepts."""
    return "on" in block and all(name in _FORM and _FORM[name](value) for name, value in block.items())


def _is_day(value: object) -> bool:
    return isinstance(value, date) and not isinstance(value, datetime) and value.year in YEARS


def _is_line(value: object) -> bool:
    return isinstance(value, str) and not unseen(value)


def _is_text(value: object) -> bool:
    return isinstance(value, str) and not unseen(value, "\n\t")


def _are_lines(value: object) -> bool:
    return isinstance(value, list) and all(map(_is_line, value))


def _are_texts(value: object) -> bool:
    return isinstance(value, dict) and all(map(_is_text, value.values()))


def _are_ways(value: object) -> bool:
    return isinstance(value, dict) and all(isinstance(one, str) and one in AGAIN for one in value.values())


_LISTS: Final = (*SHOWN, "not_tried", "disliked", "liked_again")
_NAMING: Final = (*_LISTS, "remarks", "tried_again")
_FORM: Final[Mapping[str, Callable[[object], bool]]] = {
    **dict.fromkeys(_LISTS, _are_lines),
    "on": _is_day,
    "by": _is_line,
    "note": _is_text,
    "remarks": _are_texts,
    "tried_again": _are_ways,
}
