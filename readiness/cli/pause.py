"""``readiness pause ID``: somebody said that something hurts. Ten seconds, and nothing else matters."""

from __future__ import annotations

import argparse

from readiness.cli.commands import Exit, Parser
from readiness.cli.entering import add_entry_options, open_entry, print_json, refuse
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.record.noting import odd_letters
from readiness.record.steps import open_hold
from readiness.words.steps import paused_words

__all__ = ["configure", "run"]


def configure(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the day it was said")
    parser.add_argument(
        "--words", metavar="WORDS", required=True, help="what was said, in the words it was said in"
    )
    parser.add_argument(
        "--part", choices=["hand", "voice", "all"], default="all", help="what rests (default: everything)"
    )


def run(args: argparse.Namespace) -> Exit:
    """Open the hold and say what comes first."""
    entry = open_entry(args)
    entry.check_day()
    refuse(odd_letters(args.words))
    refusal = open_hold(entry.record, entry.folder, entry.on, args.words.strip(), args.part)
    refuse([refusal] if refusal else [])
    record = entry.again()
    hold = record.entire.holds[-1]
    if args.json:
        print_json({
            "student": record.id, "on": iso(entry.on), "part": hold.part, "words": hold.words,
            "line": hold.line, "cautions": ["C1"],
        })  # fmt: skip
    else:
        print(paused_words(record, hold, text_width()), end="")
    return Exit.READY
