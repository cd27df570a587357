"""Adding blocks and lines to a student file, by the quick way where it goes; one step in two files.

A student file is only ever added to; each entry has a mark made from its text (``record.marks``). Closing a
hold or answering a promise puts lines into the block they belong to; all other bytes stay as they are.

Lessons are nearly all that is ever written. Added to a file that was checked before, they are looked at by
the same rules as ``record.schema`` and ``record.checks`` have for them, without loading the models. Whatever
is not plainly right here is left to these, which say what is wrong with it.

What is to be done in two files is first written down beside them, in one step; then it is done, each once
only; then what was written down is taken away. Whoever opens the folder next finishes what was cut short.
Where one file cannot be written to, what was done in the other is taken back.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from contextlib import suppress
from dataclasses import asdict
from datetime import date, datetime
from functools import partial
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import tomli

from readiness.course.model import Course
from readiness.days import YEARS
from readiness.lazy import dataclass
from readiness.record.marks import (
    ABOVE,
    CUT_OFF,
    NOTED,
    TAKEN,
    cut_off,
    end_of,
    entries_with,
    entry_around,
    entry_words,
    line_end,
    mark_above,
    mark_of,
    standing,
    taken_back,
    with_cut_off_named,
    with_marks,
)
from readiness.record.model import AGAIN, SHOWN, corrected
from readiness.toml import write as writing
from readiness.toml.problems import Problem, visible
from readiness.toml.read import LARGEST, Loaded, parse_toml, plain
from readiness.toml.texts import quoted, unseen
from readiness.toml.write import Refusal

if TYPE_CHECKING:
    from readiness.record.schema import StudentFile
    from readiness.toml.locate import Places

__all__ = [
    "Checked", "Step", "Unless", "add_blocks", "add_entries", "block", "carry_out", "entries_of",
    "entry_moved", "fill_in", "finish", "is_lesson", "last_line", "line", "quoted", "read_file", "take_out",
    "why_wrong", "with_lessons",
]  # fmt: skip

Unless = Callable[["StudentFile"], Refusal | None]
"""Given the file as it is at the moment of writing: why not to write after all."""
IsRight = Callable[[bytes], bool]
"""Given the bytes of a file: whether it is known to be right; else it is read."""


def add_blocks(
    path: Path,
    folder: Path,
    text: str,
    unless: Unless | None = None,
    *,
    even_if_broken: bool = False,
    is_right: IsRight | None = None,
) -> Refusal | None:
    """Add blocks at the end of a student file, as one entry.

    Args:
        path: the student file; folder: the students folder it must be in.
        text: the blocks, each ending in a line end.
        unless: looks at the file once more, under the lock, and may refuse.
        even_if_broken: keep the blocks also where a file of text has a mistake in it already, for
            what must not wait until that is mended.
        is_right: where it knows that the file with the entry is right, and the one ``unless`` has nothing
            against, the file is not read.
    """
    asked = (unless, even_if_broken, is_right)
    return writing.append(path, folder, lambda before: entries_of(path, before, (text,), *asked), end_of)


def add_entries(path: Path, folder: Path, texts: Sequence[str], unless: Unless) -> Refusal | None:
    """Do the same with several entries, all of them in one step; ``texts``: of each entry the blocks."""
    return writing.append(path, folder, lambda before: entries_of(path, before, texts, unless), end_of)


def entries_of(
    path: Path,
    before: bytes,
    texts: Sequence[str],
    unless: Unless | None = None,
    even_if_broken: bool = False,
    is_right: IsRight | None = None,
) -> bytes | Refusal:
    """Return the bytes of some entries, once the file with them was seen to be right (:func:`add_blocks`)."""
    try:
        words = [text.encode() for text in texts]
    except UnicodeEncodeError:
        return Refusal("odd-character", "nothing was written: a character in it cannot be saved.")
    gap = b"" if before.endswith(b"\n") or not before else b"\n"
    entry = b"".join(_marked(one, b"" if number else gap) for number, one in enumerate(words))
    entry = entry.replace(b"\n", line_end(before))
    if is_right is not None and is_right(before + entry):
        return entry
    file = read_file(path, before + entry)
    if isinstance(file, str):
        wrong = why_wrong(path, before, file)
        return entry if even_if_broken and wrong.id == "broken-file" and _is_text(before) else wrong
    return (unless(file) if unless is not None else None) or entry


def take_out(path: Path, before: bytes, marks: Iterable[bytes]) -> bytes | Refusal:
    """Return the lines that take entries back from the midst of a file.

    A correction of them would then take out others that are alike (``record.model.corrected``). So those of
    that day are taken back too, and all that is left of them is noted again in their order: the other notes
    that they take out, and how it was instead.
    """
    back = [*marks]
    lines, left = (standing(one).split(b"\n") for one in (before, before + taken_back(before, back)))
    wrong, lessons = ([at for at, one in enumerate(lines) if one.startswith(head)] for head in _HEADS)
    if wrong and isinstance(told := read_file(path, before), str):
        return why_wrong(path, before, told)
    file = tomli.loads(b"\n".join(lines).decode("utf-8-sig")) if wrong else {}
    if wrong and [len(file.get(kind, ())) for kind in ("correction", "lesson")] != [len(wrong), len(lessons)]:
        file = {}  # written in another way, by hand
    taken, gone = corrected(file).taken, {i for i, at in enumerate(lessons) if not left[at].strip()}
    days = {file["correction"][n]["of"] for n, notes in enumerate(taken) if gone & {i for i, *_ in notes}}
    on_day = (n for n in range(len(taken)) if file["correction"][n]["of"] in days)
    ours = {n: entry_around(lines, wrong[n]) for n in on_day}
    texts: list[str] = []
    for entry in dict.fromkeys(ours.values()):
        if entry is None or not left[entry.start].strip():
            continue  # written by hand, or taken back itself
        *_, end = words = lines[entry.start : entry.stop + 1]
        back.append(end.removeprefix(NOTED).strip())
        blocks = re.split(r"^(?=\[\[)", entry_words(b"\n".join([*words, b""])).decode(), flags=re.MULTILINE)
        numbers = (n for n in ours if ours[n] == entry)
        kept = [
            _left_of(one, file["correction"][n := next(numbers)], taken[n], gone)
            if one.startswith("[[correction]]") else one
            for one in blocks
        ]  # fmt: skip
        texts += ["".join(kept).strip("\n") + "\n"] * any("[[" in one for one in kept)
    lines_back = taken_back(before, back)
    added = entries_of(path, before + lines_back, texts) if texts else b""
    return added if isinstance(added, Refusal) else lines_back + added


_HEADS: Final = (b"[[correction]]", b"[[lesson]]")


def _left_of(
    text: str, wrong: Mapping[str, object], taken: Iterable[tuple[int, str, int]], gone: AbstractSet[int]
) -> str:
    """Return a correction without the notes of lessons that are gone."""
    rest = sorted(one for one in taken if one[0] not in gone)
    if not rest or wrong.get("whole"):
        return text * bool(rest)
    lists = {name: [skill for _, skill, how in rest if SHOWN[how] == name] for name in SHOWN}
    return block("correction", ((key, lists.get(key, value)) for key, value in wrong.items())) + "\n"


def _marked(words: bytes, gap: bytes) -> bytes:
    mark = mark_of(words, gap)
    return gap + b"\n" + with_marks(words, mark) + NOTED + mark + b"\n"


def why_wrong(path: Path, before: bytes, wrong: str) -> Refusal:
    """Return whether a file was broken before, or would be after."""
    found = read_file(path, before)
    if isinstance(found, str):
        message = f"nothing was written: {path} has a mistake in it; please mend that first ({found})."
        return Refusal("broken-file", message)
    return Refusal("would-break", f"nothing was written: {path} would no longer be right ({wrong}).")


def _is_text(data: bytes) -> bool:
    """Return whether a file is text as this program writes it, so that adding to it spoils nothing."""
    try:
        return bool(data) and "\0" not in data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return False


def read_file(path: Path, data: bytes) -> StudentFile | str:
    """Return what a student file says, or the first thing that is wrong with it."""
    from readiness.record.schema import StudentFile  # here, since what only reads has no need of it

    try:
        text = standing(data).decode("utf-8-sig")
    except UnicodeDecodeError:
        return "it is not saved as UTF-8"
    loaded = with_cut_off_named(parse_toml(text, path, StudentFile))
    if loaded.value is not None:
        return loaded.value
    problem = loaded.problems[0]
    hint = f"; {problem.hint}" if problem.id == CUT_OFF else ""
    return f"line {problem.place.line}: {visible(problem.message)}{hint}"


def fill_in(
    path: Path, folder: Path, block: tuple[str, int], fields: Mapping[str, object], known: dict[str, object]
) -> Refusal | None:
    """Put lines at the end of a block, such as the closing of a hold.

    Args:
        path: the student file; folder: the students folder it must be in.
        block: its kind and its number, from 0.
        fields: what they say, by the names.
        known: by key, what the block said when it was chosen, None for nothing; where it says anything
            else, nothing is written.
    """
    text = "\n".join(line(*one) for one in fields.items())

    def edit(before: bytes) -> bytes | Refusal:
        file = read_file(path, before)
        if isinstance(file, str):
            return why_wrong(path, before, file)
        (kind, at), said = block, standing(before).decode("utf-8-sig")
        chosen = tomli.loads(said).get(kind, [])[at : at + 1]
        if [{key: one.get(key) for key in known} for one in chosen] != [known]:
            message = f"nothing was written: {path} was changed meanwhile; please look again."
            return Refusal("changed", message)
        from readiness.toml.locate import locate

        places = locate(said)
        after = _filled(before, last_line(said, places, places.spots[block].line), text)
        filled = read_file(path, after)
        return why_wrong(path, before, filled) if isinstance(filled, str) else after

    return writing.replace(path, folder, edit)


def _filled(before: bytes, line: int, text: str) -> bytes:
    """Return a file with lines put in after one (from 1), and with what says so at the end."""
    words, end = text.encode() + b"\n", line_end(before)
    mark = mark_above(before, words)
    after = writing.lines_into(before, line, with_marks(words, mark, 1).decode())
    return after + (b"" if after.endswith(b"\n") else end) + ABOVE + mark + end


def last_line(text: str, places: Places, start: int) -> int:
    """Return the last line (from 1) that says something of the block at a line; 0 is the head of the file."""
    lines = text.split("\n")
    later = [line for path in places.headers if (line := places.spots[path].line) > start]
    end = min(later, default=len(lines) + 1) - 1
    while end > start and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    return end


# The text of one block of a student file, as a teacher would have typed it.
#
# Only what is known is written: an empty list or an empty remark stays out.

_WIDE: Final = 100
_EMPTY: Final[tuple[object, ...]] = (None, "", [], (), {})
"""What says nothing."""


def block(kind: str, fields: Iterable[tuple[str, object]]) -> str:
    """Return one ``[[kind]]`` block with the fields that have something to say.

    >>> print(block("lesson", [("on", date(2025, 12, 2)), ("alone", ["wrist-lift"]), ("cue", [])]), end="")
    [[lesson]]
    on = 2025-12-02
    alone = ["wrist-lift"]
    """
    lines = [f"[[{kind}]]", *(line(name, value) for name, value in fields if value not in _EMPTY)]
    return "".join(f"{one}\n" for one in lines)


def line(name: str, value: object) -> str:
    """Return ``name = value``; a list too long for one line gets a line an item."""
    text = f"{name} = {quoted(value)}"
    if len(text) <= _WIDE or not isinstance(value, (list, tuple)):
        return text
    items = "".join(f"  {quoted(item)},\n" for item in value)
    return f"{name} = [\n{items}]"


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
    is_apart = b"\n" in data[checked.size - 1 : checked.size + 1] and more.lstrip().startswith(_HEADS[1])
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


def _is_line(value: object, also: str = "") -> bool:
    return isinstance(value, str) and not unseen(value, also)


_is_a_text: Final = partial(_is_line, also="\n\t")
_LISTS: Final = (*SHOWN, "not_tried", "disliked", "liked_again")
_NAMING: Final = (*_LISTS, "remarks", "tried_again")
_FORM: Final[Mapping[str, Callable[[object], bool]]] = {
    **dict.fromkeys(_LISTS, lambda value: isinstance(value, list) and all(map(_is_line, value))),
    "on": lambda value: isinstance(value, date) and not isinstance(value, datetime) and value.year in YEARS,
    "by": _is_line,
    "note": _is_a_text,
    "remarks": lambda value: isinstance(value, dict) and all(map(_is_a_text, value.values())),
    "tried_again": lambda value: isinstance(value, dict) and all(one in [*AGAIN] for one in value.values()),
}


_NAME: Final = ".moving.json"


@dataclass(frozen=True)
class Step:
    """What is done in one file: an entry is added, or the entry with a mark is taken back."""

    file: str
    add: str = ""
    back: str = ""


def entry_moved(folder: Path, token: bytes, besides: Path) -> tuple[Step, bytes] | None:
    """Return what takes back the entry of another file that has a token and stands, and its blocks."""
    for path in (one for one in sorted(folder.glob("*.toml")) if one.name != besides.name):
        for mark, words in entries_with(path.read_bytes(), b"# moved " + token):
            return Step(path.name, back=mark.decode()), words or b""
    return None


def carry_out(folder: Path, steps: Sequence[Step]) -> Refusal | None:
    """Do all of some steps in the files of a folder, or none; return why none."""
    finish(folder)
    plan = json.dumps([asdict(step) for step in steps]).encode()

    def edit(before: bytes | None) -> bytes | Refusal:
        busy = "nothing was written: a note is being moved just now; please try again."
        return plan if before is None else Refusal("moving", busy)

    return writing.put_beside(folder / steps[0].file, folder / _NAME, edit) or _done(folder, steps)


def finish(folder: Path) -> str:
    """Finish what was cut short in a folder; return what is to be said of it, nothing where nothing was."""
    try:
        steps = [Step(**one) for one in json.loads((folder / _NAME).read_bytes())]
    except FileNotFoundError:
        return ""
    except (OSError, ValueError, TypeError):
        return f"{folder / _NAME} cannot be read: a note was being moved; please look at both files."
    files = " and ".join(step.file for step in steps)
    refusal = _done(folder, steps)
    if refusal is not None:
        return f"moving a note between {files} was cut short and is taken back: {refusal.message}"
    return f"moving a note between {files} was cut short; it is finished now."


def _done(folder: Path, steps: Sequence[Step]) -> Refusal | None:
    """Do what is written down and take it off the list; where a step cannot be done, undo those before."""
    for number, step in enumerate(steps):
        if refusal := _do(folder, step):
            left = [not one.add or _do(folder, one, undo=True) for one in steps[:number]]
            if not any(left):
                _forget(folder)
            return refusal
    _forget(folder)
    return None


def _do(folder: Path, step: Step, *, undo: bool = False) -> Refusal | None:
    """Add the entry of a step once, or take it back if it still stands."""
    path, done, adds = folder / step.file, Refusal("done", ""), bool(step.add) and not undo
    added = [mark_of(step.add.encode(), gap) for gap in (b"", b"\n")]

    def edit(before: bytes) -> bytes | Refusal:
        if adds:
            was_added = any(NOTED + mark in before for mark in added)  # also where it was taken back since
            return done if was_added else entries_of(path, before, (step.add,))
        stands = standing(before)
        marks = added if undo else [step.back.encode()]
        mark = next((one for one in marks if NOTED + one in stands), None)
        return done if mark is None else take_out(path, before, [mark])

    refusal = writing.append(path, folder, edit, end_of if adds else bytes)
    return None if refusal == done else refusal


def _forget(folder: Path) -> None:
    with suppress(OSError):
        (folder / _NAME).unlink()
