"""One step in two files: both or neither, also where the program is ended half-way.

What is to be done is first written down beside the files, in one step; then it is done, file by file, each
once only; then what was written down is taken away. Whoever opens the folder next finishes what was cut
short. Where one file cannot be written to, what was done in the other is taken back.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from typing import Final

from readiness.lazy import dataclass
from readiness.record.append import entries_of
from readiness.record.marks import NOTED, end_of, entry_begin, entry_words, mark_of, standing, taken_back
from readiness.toml import write as writing
from readiness.toml.write import Refusal

__all__ = ["Step", "carry_out", "entry_moved", "finish", "moved_line", "moved_token"]

_NAME: Final = ".moving.json"
_MOVED: Final = re.compile(rb"^# moved ([0-9a-f]{8})(?: # [0-9a-f]{8})?\r?$", re.MULTILINE)


@dataclass(frozen=True)
class Step:
    """What is done in one file: an entry is added, or the entry with a mark is taken back."""

    file: str
    add: str = ""
    back: str = ""


def moved_line(token: str) -> str:
    """Return the last line of an entry that belongs to one in another file; both have the same token."""
    return f"# moved {token}\n"


def moved_token(words: bytes) -> bytes | None:
    """Return the token of an entry that belongs to one in another file."""
    found = _MOVED.search(words)
    return None if found is None else found[1]


@dataclass(frozen=True)
class Partner:
    """The entry of another file that belongs to one: its file, its mark, its words."""

    file: str
    mark: str
    words: bytes


def entry_moved(folder: Path, token: bytes, besides: Path) -> Partner | None:
    """Return the entry of another file that has a token and stands; None without one."""
    for path in sorted(folder.glob("*.toml")):
        lines = standing(path.read_bytes()).split(b"\n") if path.name != besides.name else []
        at = next((i for i, line in enumerate(lines) if line.startswith(b"# moved " + token)), None)
        ends = (i for i, line in enumerate(lines) if at is not None and i > at and line.startswith(NOTED))
        if end := next(ends, 0):
            mark = lines[end].removeprefix(NOTED).strip()
            first = (entry_begin(lines, end, mark) or (end, b""))[0]
            words = entry_words(b"\n".join([*lines[first : end + 1], b""]))
            return Partner(path.name, mark.decode(), words)
    return None


def carry_out(folder: Path, steps: Sequence[Step]) -> Refusal | None:
    """Do all of some steps in the files of a folder, or none; return why none."""
    finish(folder)
    plan = json.dumps([asdict(step) for step in steps]).encode()

    def edit(before: bytes | None) -> bytes | Refusal:
        busy = "nothing was written: a note is being moved just now; please try again."
        return plan if before is None else Refusal("moving", busy)

    refusal = writing.put_beside(folder / steps[0].file, folder / _NAME, edit)
    return refusal or _done(folder, steps)


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
            undone = [_undo(folder, one) for one in steps[:number]]
            if not any(undone):
                _forget(folder)
            return refusal
    _forget(folder)
    return None


def _do(folder: Path, step: Step) -> Refusal | None:
    path = folder / step.file
    if not step.add:
        return _taken_back(path, folder, [step.back.encode()])
    done, marks = Refusal("done", ""), _marks(step)

    def edit(before: bytes) -> bytes | Refusal:
        was_added = any(NOTED + mark in before for mark in marks)  # also where it was taken back since
        return done if was_added else entries_of(path, before, (step.add,))

    refusal = writing.append(path, folder, edit, end_of)
    return None if refusal == done else refusal


def _undo(folder: Path, step: Step) -> Refusal | None:
    if not step.add:
        return Refusal("waits", "")
    return _taken_back(folder / step.file, folder, _marks(step))


def _marks(step: Step) -> list[bytes]:
    return [mark_of(step.add.encode(), gap) for gap in (b"", b"\n")]


def _taken_back(path: Path, folder: Path, marks: Sequence[bytes]) -> Refusal | None:
    """Take the entry with one of some marks back, if it still stands."""
    done = Refusal("done", "")

    def edit(before: bytes) -> bytes | Refusal:
        stands = standing(before)
        mark = next((one for one in marks if NOTED + one in stands), None)
        return done if mark is None else taken_back(before, [mark])

    refusal = writing.append(path, folder, edit)
    return None if refusal == done else refusal


def _forget(folder: Path) -> None:
    with suppress(OSError):
        (folder / _NAME).unlink()
