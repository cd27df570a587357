"""Writing a page or a text to a file somebody names: a new file, or one made here before."""

from __future__ import annotations

from pathlib import Path

from readiness.cli.commands import CommandError
from readiness.cli.saying import aside
from readiness.files.writing import create, replace
from readiness.words.cautions import caution

__all__ = ["write_file"]


def write_file(path: Path, text: str, mark: str = "") -> None:
    """Write a text and say so with the caution about what leaves one's hands.

    Args:
        path: where to.
        text: what.
        mark: what stands in every such file made here; one that has it may be written over.
            Without a mark nothing is.

    Raises:
        CommandError: something else is there, or the folder cannot be written to.
    """
    data = text.encode("utf-8")
    try:
        if path.is_dir() or not path.parent.is_dir():
            raise CommandError(f"{path} is no file in a folder that is there; nothing was written.")
        is_there = path.exists()
        if is_there and (not mark or mark.encode() not in path.read_bytes()):
            raise CommandError(f"{path} is there already; nothing was written. Please name another file.")
    except OSError as error:
        raise CommandError(f"{path} cannot be written: {(error.strerror or str(error)).lower()}.") from None
    refusal = replace(path, path.parent, lambda _: data) if is_there else create(path, path.parent, data)
    if refusal is not None:
        raise CommandError(refusal.message)
    aside(f"{path} is written. {caution('C8')}")
