"""Forgetting a student who left: a copy if wanted, then all that belongs to the file and the file itself.

Deletes only what this program made for that student. Where else a name stands is found by
``studio.doctor`` and left to the person who put it there.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Final

from readiness.lazy import dataclass, regex
from readiness.toml.new_files import clear
from readiness.toml.write import Refusal, create, remove, within

__all__ = ["Forgotten", "beside", "forget", "forget_beside"]

# What this program keeps beside a student's file: half-entered lessons, and what writers that died left.
#
# Each such file begins with a dot and the id, so that it can be found when the student is forgotten.

_BESIDE: Final = regex(r"\.([A-Za-z0-9][\w-]*)\.(?:.*\.)?(?:json|new|was)", re.ASCII)


def beside(folder: Path, id: str) -> tuple[Path, ...]:  # noqa: A002 - it is an id
    """Return what is kept beside the file of one id, whether that file is there or not.

    Raises:
        OSError: the folder cannot be read; nothing is known then.
    """
    found = ((path, _BESIDE.fullmatch(path.name)) for path in sorted(folder.iterdir()))
    return tuple(path for path, whose in found if whose and whose[1] == id)


@dataclass(frozen=True)
class Forgotten:
    """What was deleted, and what of it stays.

    Attributes:
        deleted: the files that are gone.
        led_to: the file that stays where a link was deleted, None where none was.
        other_names: how many further names the deleted file has, somewhere on the disk.
    """

    deleted: tuple[Path, ...]
    led_to: Path | None = None
    other_names: int = 0


def forget(path: Path, folder: Path, export: Path | None = None) -> Forgotten | Refusal:
    """Delete a student's file and what is kept beside it; with a copy elsewhere first.

    What is beside it goes first: wherever this is stopped, the file is still there to be forgotten.

    Args:
        path: the student's file; folder: the students folder it must be in.
        export: where the copy goes; outside the students folder, and nothing is written over.
    """
    if not within(path, folder):
        return Refusal("outside", f"nothing was deleted: {path} leads out of {folder}.")
    if export is not None and (refusal := _copy(path, folder, export)):
        return _not_deleted(refusal)
    gone: list[Path] = []
    try:
        led_to = path.resolve() if path.is_symlink() else None
        other_names = 0 if led_to else path.stat().st_nlink - 1
    except OSError as error:
        return Refusal("cannot-read", f"nothing was deleted: {path}: {(error.strerror or '').lower()}.")

    def with_it() -> list[Path]:
        gone[:] = beside(path.parent, path.stem)
        return gone

    refusal = remove(path, folder, with_it)
    if refusal is not None:
        return _not_deleted(refusal, "nothing" if all(map(os.path.lexists, gone)) else "not all")
    return Forgotten((path, *gone), led_to, other_names)


def forget_beside(id: str, folder: Path) -> Forgotten | Refusal:  # noqa: A002 - it is an id
    """Delete what is kept beside a student's file that is gone.

    Raises:
        OSError: the folder cannot be read.
    """
    gone = beside(folder, id)
    for path in gone:
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            why = (error.strerror or str(error)).lower()
            return Refusal("beside", f"{path}, kept of an earlier student, cannot be deleted: {why}.")
    return Forgotten(gone)


def _not_deleted(refusal: Refusal, how_much: str = "nothing") -> Refusal:
    return Refusal(refusal.id, refusal.message.replace("nothing was written", f"{how_much} was deleted"))


def _copy(path: Path, folder: Path, export: Path) -> Refusal | None:
    if export.resolve().is_relative_to(folder.resolve()):
        return Refusal("export-inside", f"nothing was deleted: {export} would stay among the students.")
    try:
        data = path.read_bytes()
        is_there = export.is_file() and not export.is_symlink() and export.read_bytes() == data
    except OSError as error:
        where = error.filename or path
        return Refusal("cannot-read", f"nothing was deleted: {where}: {(error.strerror or '').lower()}.")
    clear(export.parent, export.stem)
    return None if is_there else create(export, export.parent, data)
