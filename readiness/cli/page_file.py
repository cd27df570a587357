"""Writing a page or a text to a file somebody names: a new file, or one made here before."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from readiness.cli.commands import CommandError, Parser
from readiness.cli.inputs import print_json, refuse
from readiness.cli.output import aside, say
from readiness.pages.document import MADE_BY, PAPERS
from readiness.toml.write import create, replace
from readiness.words.cautions import caution
from readiness.words.layout import Told, lay_out

__all__ = ["add_page_options", "print_file", "put_file", "show", "tell_written", "write_file"]

_WIDTH = 80
"""The lines of a text in a file."""


def add_page_options(parser: Parser, *, alone: bool = False) -> None:
    """Add what whatever makes a page has: the file, a shape of its own or ``alone``, and the paper."""
    to = "write it to this file: a page to print where it ends in .html, else the text"
    where = parser if alone else parser.shapes
    where.add_argument("--to", metavar="FILE", type=Path, help=to)
    where.add_argument("--html", metavar="FILE", type=Path, help=argparse.SUPPRESS)  # an older name for it
    paper = "the paper of the page (default: a4)"
    parser.add_argument("--paper", choices=list(PAPERS), default="a4", help=paper)


def show(
    args: argparse.Namespace,
    told: Told,
    page: Callable[[str], str],
    values: Callable[[], Mapping[str, object]] | None = None,
) -> bool:
    """Print an answer, or write it or the page of it to the file that was named; return whether to a file.

    Args:
        args: what was typed, with ``add_page_options``.
        told: the text; page: makes the page, for a paper.
        values: makes the JSON object, where there is one.
    """
    file = args.html or args.to
    if values is not None and args.json:
        print_json(values())
    elif file is None:
        say(told, full=getattr(args, "full", True))
    elif args.html or file.suffix.lower() in (".html", ".htm"):
        write_file(file, page(args.paper), MADE_BY)
    else:
        write_file(file, lay_out(told, _WIDTH, full=getattr(args, "full", True)))
    return file is not None


def print_file(text: str, name: str) -> None:
    """Print what belongs in a file, for a pipe; a screen is no place for it.

    Raises:
        CommandError: the output is a terminal; ``name`` is a file to name in place of it.
    """
    if sys.stdout.isatty():
        raise CommandError(f"please name a file: --to {name}")
    print(text, end="", flush=True)


def write_file(path: Path, text: str, mark: str = "") -> None:
    """Write a text as :func:`put_file` does, and say so with the caution about what leaves one's hands."""
    put_file(path, text, mark)
    aside(f"{path} is written. {caution('C8')}")


def tell_written(text: str) -> None:
    """Print that something is written: where nobody can be told, it is not to be done twice."""
    say([text])


def put_file(path: Path, text: str, mark: str = "") -> None:
    """Write a text to a file.

    Args:
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
    refuse(replace(path, path.parent, lambda _: data) if is_there else create(path, path.parent, data))


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
