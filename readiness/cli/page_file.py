"""Writing a page or a text to a file somebody names: a new file, or one made here before."""

from __future__ import annotations

from pathlib import Path

from readiness.cli.commands import CommandError
from readiness.cli.output import aside
from readiness.toml.write import create, replace
from readiness.words.cautions import caution

__all__ = ["put_file", "write_file"]


def write_file(path: Path, text: str, mark: str = "") -> None:
    """Write a text as :func:`put_file` does, and say so with the caution about what leaves one's hands."""
    put_file(path, text, mark)
    aside(f"{path} is written. {caution('C8')}")


def put_file(path: Path, text: str, mark: str = "") -> None:
    """Write a text to a file.

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
        is_there = _may_be_written_over(path, mark)
    except OSError as error:
        raise CommandError(f"{path} cannot be written: {(error.strerror or str(error)).lower()}.") from None
    refusal = replace(path, path.parent, lambda _: data) if is_there else create(path, path.parent, data)
    if refusal is not None:
        raise CommandError(refusal.message)


def _may_be_written_over(path: Path, mark: str) -> bool:
    """Return whether a file made here is there; refuse where nothing may be written."""
    if path.is_dir():
        raise CommandError(f"{path} is a folder; nothing was written. Please name a file in it.")
    if not path.parent.is_dir():
        raise CommandError(f"there is no folder {path.parent}; nothing was written. Please make it first.")
    is_there = path.exists()
    if is_there and (not mark or mark.encode() not in path.read_bytes()):
        raise CommandError(f"{path} is there already; nothing was written. Please name another file.")
    return is_there
