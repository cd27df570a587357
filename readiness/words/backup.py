"""What is said of a backup, and of what would come back from it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from readiness.studio.backup import Archive, State, Step
from readiness.words.grammar import counted, date_words, tidy, wrap

__all__ = ["backup_words", "name_in", "restore_words", "restored_words"]

_SEEN: Final = 12
"""So many letters of a seal are compared by eye."""
_KEEP: Final = (
    "It holds all that is kept about these children. Keep it where only you can read it, and delete older "
    "ones: who is forgotten in the studio is still in them."
)
_FORGOTTEN: Final = (
    "Leave out the ids of children who were forgotten, and of files from which something was deleted on "
    "purpose: nothing is kept by which to know them. Then make a new backup and delete this one."
)
_STATES: Final[Mapping[State, str]] = {
    "missing": "is lost, and comes back",
    "not-here": "is not here, and comes back only if you name the child",
    "newer": "stays as it is: it has something that the archive does not have",
    "other": "stays as it is: it is another one than in the archive",
}


def backup_words(
    path: Path, archive: Archive, left: Sequence[tuple[Path, str]] = (), width: int = 80
) -> str:
    """Return what a backup holds, what was left out, and how to try it."""
    told = [
        f"{path} is written: {counted(len(archive.files), 'file')}, sealed with {archive.seal[:_SEEN]}.",
        *(f"Left out: {one.name}, for {why}." for one, why in left),
        _KEEP,
        f"Try it now and then: `readiness restore {path} --check`",
    ]
    return _lines(told, width)


def restore_words(path: Path, archive: Archive, plan: Sequence[Step], width: int = 80) -> str:
    """Return what restoring would change, file by file."""
    whole = f"{path} is whole, made on {date_words(archive.made)}, sealed with {archive.seal[:_SEEN]}."
    told = [whole, *(_told(one, archive) for one in plan if one.state != "same")]
    same = sum(one.state == "same" for one in plan)
    told.append(f"{counted(same, 'file is', 'files are')} as in the archive.")
    if gone := [one.student for one in plan if one.state in ("adds", "not-here")]:
        named = f"`readiness restore {path} --bring-back {' '.join(gone)}`"
        told += [f"To bring back what is lost: {named}", _FORGOTTEN]
    elif any(one.state == "missing" for one in plan):
        told.append(f"`readiness restore {path}` brings it back.")
    return _lines(told, width)


def _told(one: Step, archive: Archive) -> str:
    name = name_in(archive.files[one.file]) if one.student else ""
    what = _STATES.get(one.state) or f"lacks its last {counted(one.lines, 'line')}, which can come back"
    return f"{one.file}{f' ({name})' if name else ''} {what}."


def restored_words(done: Sequence[Step], plan: Sequence[Step], width: int = 80) -> str:
    """Return what was brought back, what was not, and what to look at."""
    back = [f"{one.file} is back." for one in done] or ["Nothing was brought back."]
    stays = [f"{one.file} {_STATES[one.state]}." for one in plan if one.state in _STATES]
    return _lines([*back, *stays, "Now look it over: `readiness doctor`"], width)


def name_in(data: bytes) -> str:
    """Return the given name in a student's file, empty where none is to be read."""
    try:
        return tidy(str(tomllib.loads(data.decode("utf-8-sig")).get("name", "")))
    except (ValueError, RecursionError):
        return ""


def _lines(texts: Sequence[str], width: int) -> str:
    return "".join(f"{line}\n" for text in texts for line in wrap(text, width))
