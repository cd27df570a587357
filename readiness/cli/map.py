"""``readiness map``: the skill graph as a picture, with a student on it if wanted."""

from __future__ import annotations

import argparse
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.entering import unit_typed
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.page_file import write_file
from readiness.cli.saying import aside
from readiness.judging.engine import judge
from readiness.pictures.dot import map_as_dot
from readiness.pictures.mermaid import map_as_mermaid
from readiness.pictures.shown import Shown, shown
from readiness.pictures.svg import PAPERS, map_as_svg
from readiness.pictures.text import map_as_text
from readiness.words.paused import hold_notice

_KINDS = {".svg": "svg", ".dot": "dot", ".gv": "dot", ".mmd": "mermaid", ".mermaid": "mermaid", ".txt": "txt"}


def map_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("--student", metavar="ID", help="show where this student stands, on --on")
    parser.add_argument("--unit", metavar="UNIT", help="only this unit, with what is under and over it")
    parser.add_argument(
        "--to", choices=["svg", "dot", "mermaid", "txt"],
        help="what to draw (default: by the ending of --out, else txt)",
    )  # fmt: skip
    parser.add_argument("--out", metavar="FILE", type=Path, help="write it to this file")
    parser.add_argument("--paper", choices=list(PAPERS), default="a3", help="the paper for svg (default: a3)")
    add_day_option(parser)
    add_studio_options(parser)


@command("map", map_arguments)
def run_map(args: argparse.Namespace) -> Exit:
    """Print the picture, or write it."""
    studio, course = open_studio(args, args.student)
    unit = None if args.unit is None else unit_typed(course, args.unit)
    answer = None
    if args.student is not None:
        record = pick_student(studio, args.student)
        answer = judge(course, record, day_asked(args.on, studio.today), studio.calendar(record.id))
        if notice := hold_notice(record, answer.on):
            aside(notice)
    text = _draw(shown(course, answer, unit), _kind(args.to, args.out), args.paper)
    if args.out is None:
        print(text, end="", flush=True)
    else:
        write_file(args.out, text)
    return Exit.READY


def _draw(content: Shown, kind: str, paper: str) -> str:
    if kind == "svg":
        return map_as_svg(content, paper)
    return {"dot": map_as_dot, "mermaid": map_as_mermaid, "txt": map_as_text}[kind](content)


def _kind(typed: str | None, out: Path | None) -> str:
    """Return what to draw: what was typed, else what the file's ending says, else text."""
    if typed is not None or out is None:
        return typed or "txt"
    if out.suffix.lower() in _KINDS:
        return _KINDS[out.suffix.lower()]
    raise CommandError(f"what is {out} to be? Please add --to svg, dot, mermaid or txt.")
