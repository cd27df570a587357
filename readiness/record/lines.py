"""On which line of a student's file every block and every showing stands.

Every reason names its line, so every reading of a file has to know them all. Nearly every file
is written as this program writes it: a header a line, a list a line or an item a line. There the
lines are simply counted. Whatever is written in another way is left to the locator, which
understands all of TOML and takes its time; nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from readiness.files.read import Loaded
from readiness.record.schema import SHOWN, LessonBlock, StudentFile

__all__ = ["Lines", "counted_lines", "lines_of", "located_lines"]

Fields = Mapping[str, Sequence[int]]
"""By list of a lesson, the line of each of its items."""

_HEADER: Final = re.compile(r"\[\[([a-z_]+)\]\][ \t]*(?:#.*)?")
_AFTER: Final = r"""[ \t]*(?:#[^"'\[\]]*)?"""
"""What may follow on a line: a remark in which no text and no list can begin or end."""
_LIST: Final = re.compile(rf"([a-z_]+)[ \t]*=[ \t]*\[(?:([^#\[\]]*)\])?{_AFTER}")
"""A list on one line, or the first line of one with an item a line."""
_ITEM: Final = re.compile(rf'[ \t]*"[^"#]*",?{_AFTER}')
_NAMES: Final = frozenset(SHOWN)
_STARTS: Final = frozenset({"[", *(name[0] for name in SHOWN)})


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines, from 1.

    Attributes:
        blocks: by kind of block, the line of each.
        shown: by lesson, the lists that are not empty.
    """

    blocks: Mapping[str, Sequence[int]]
    shown: Sequence[Fields]

    def of(self, kind: str) -> Sequence[int]:
        """Return the lines of all blocks of a kind."""
        return self.blocks.get(kind, ())


def lines_of(loaded: Loaded[StudentFile], file: StudentFile) -> Lines:
    """Return the lines of a file that keeps to the schema."""
    return counted_lines(loaded.text, file) or located_lines(loaded, file)


def located_lines(loaded: Loaded[StudentFile], file: StudentFile) -> Lines:
    """Return the lines as the locator finds them."""
    lessons = enumerate(file.lesson)
    return Lines(
        {
            kind: tuple(loaded.key_place(kind, i).line for i in range(count))
            for kind, count in _counts(file).items()
        },
        tuple(
            {
                name: tuple(loaded.value_place("lesson", i, name, j).line for j in range(len(items)))
                for name in SHOWN
                if (items := getattr(lesson, name))
            }
            for i, lesson in lessons
        ),
    )


def _counts(file: StudentFile) -> dict[str, int]:
    kinds = {kind: getattr(file, kind) for kind in StudentFile.model_fields}
    return {kind: len(blocks) for kind, blocks in kinds.items() if isinstance(blocks, list)}


def counted_lines(text: str, file: StudentFile) -> Lines | None:
    """Return the lines of a file in the usual layout; None where it has another."""
    if '"""' in text or "'''" in text:
        return None
    lines = text.split("\n")
    starts = [(number, line) for number, line in enumerate(lines, 1) if line[:1] in _STARTS]
    blocks, shown = _headers(starts), []
    if any(len(blocks.get(kind, ())) != count for kind, count in _counts(file).items()):
        return None
    listed = _lists(starts)
    for lesson, first in zip(file.lesson, blocks.get("lesson", ()), strict=True):
        fields = _fields(lines, listed[first], lesson)
        if fields is None:
            return None
        shown.append(fields)
    return Lines(blocks, shown)


def _headers(starts: Iterable[tuple[int, str]]) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for number, line in starts:
        if line[:2] == "[[" and (header := _HEADER.match(line)):
            found.setdefault(header[1], []).append(number)
    return found


def _lists(starts: Iterable[tuple[int, str]]) -> dict[int, dict[str, int]]:
    """Return, by the line of each header, the lines on which lists of a lesson may begin."""
    found: dict[int, dict[str, int]] = {}
    here: dict[str, int] = {}
    for number, line in starts:
        if line[0] == "[":
            here = found[number] = {}
        elif (name := line.split(" ", 1)[0]) in _NAMES:
            here[name] = number
    return found


def _fields(lines: Sequence[str], listed: Mapping[str, int], lesson: LessonBlock) -> Fields | None:
    """Return the lines of the items of one lesson; None where a list is not among those ``listed``."""
    found: dict[str, Sequence[int]] = {}
    for name in SHOWN:
        count = len(getattr(lesson, name))
        if count:
            items = _items(lines, listed.get(name, 0), name, count)
            if items is None:
                return None
            found[name] = items
    return found


def _items(lines: Sequence[str], number: int, name: str, count: int) -> Sequence[int] | None:
    """Return the lines of the items of the list that begins on line ``number`` (0: on none)."""
    opened = _LIST.fullmatch(lines[number - 1]) if number else None
    if opened is None or opened[1] != name:
        return None
    if opened[2] is not None:
        return (number,) * count if opened[2].count('"') == 2 * count else None
    items = lines[number : number + count]
    return range(number + 1, number + 1 + count) if all(map(_ITEM.fullmatch, items)) else None
