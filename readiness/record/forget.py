"""Forgetting a student who left: a copy if wanted, then the file and all that belongs to it.

Deletes only what this program made for that student. Where else a name stands is found by
``studio.leftovers`` and left to the person who put it there.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from readiness.files.writing import Refusal, create, remove, within

__all__ = ["forget"]


def forget(path: Path, folder: Path, export: Path | None = None) -> Refusal | None:
    """Delete a student's file and what is kept beside it; with a copy elsewhere first.

    Args:
        path: the student's file; folder: the students folder it must be in.
        export: where the copy goes; outside the students folder, and nothing is written over.
    """
    if not within(path, folder):
        return Refusal("outside", f"nothing was deleted: {path} leads out of {folder}.")
    if export is not None and (refusal := _copy(path, folder, export)):
        return Refusal(refusal.id, refusal.message.replace("nothing was written", "nothing was deleted"))
    refusal = remove(path, folder)
    if refusal is not None:
        return Refusal(refusal.id, refusal.message.replace("nothing was written", "nothing was deleted"))
    for beside in _beside(path):
        with suppress(OSError):
            beside.unlink()
    return None


def _copy(path: Path, folder: Path, export: Path) -> Refusal | None:
    """Write the copy, to the byte."""
    if export.resolve().is_relative_to(folder.resolve()):
        return Refusal("export-inside", f"nothing was deleted: {export} would stay among the students.")
    try:
        data = path.read_bytes()
    except OSError as error:
        return Refusal("cannot-read", f"nothing was deleted: {path}: {error.strerror}.")
    return create(export, export.parent, data)


def _beside(path: Path) -> Iterator[Path]:
    """Yield what this program keeps beside a student's file: half-entered lessons, unfinished copies."""
    begin = f".{path.stem}."
    for one in path.parent.iterdir():
        if one.name.startswith(begin) and one.suffix in (".json", ".new"):
            yield one
