"""``readiness start DIR``: make a studio folder."""

from __future__ import annotations

import argparse
from pathlib import Path

from readiness.cli.commands import Exit, Parser, command
from readiness.cli.entering import print_json, refuse
from readiness.cli.saying import text_width
from readiness.files.writing import WRITTEN
from readiness.studio.make import group_of, make_studio
from readiness.words.keeping import started_words


def start_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("folder", metavar="DIR", type=Path, help="a folder that is not there yet, or empty")
    parser.add_argument("--name", metavar="NAME", default="", help="what the studio is called")
    parser.add_argument("--with-demo", action="store_true", help="with the six invented students")
    parser.add_argument("--shared", action="store_true", help="for all teachers of the folder's group")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")


@command("start", start_arguments)
def run_start(args: argparse.Namespace) -> Exit:
    """Make it and say what to do next."""
    name = args.name if args.name or args.with_demo else args.folder.resolve().name
    refusal = make_studio(args.folder, name, with_demo=args.with_demo, shared=args.shared)
    refuse([refusal] if refusal else [])
    WRITTEN.set()
    group = group_of(args.folder)
    if args.json:
        print_json({"studio": str(args.folder), "with_demo": args.with_demo, "group": group or None})
    else:
        print(started_words(args.folder, group, with_demo=args.with_demo, width=text_width()), end="")
    return Exit.READY
