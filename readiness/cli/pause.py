"""``readiness pause ID``: somebody said that something hurts. Ten seconds, and nothing else matters.

So no course is read, and no mistake in any file hinders it; and where the hold cannot be kept
after all, what comes first is said all the same.
"""

from __future__ import annotations

import argparse

from readiness.cli.care import Care, find_care
from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.entering import add_entry_options, print_json, refuse
from readiness.cli.opening import print_problems
from readiness.cli.saying import aside, text_width
from readiness.days import iso
from readiness.record.model import Hold
from readiness.record.noting import odd_letters
from readiness.record.steps import open_hold
from readiness.words.steps import kept_in_broken_words, paused_words, unpaused_words


def pause_arguments(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the day it was said")
    parser.add_argument(
        "--words", metavar="WORDS", required=True, help="what was said, in the words it was said in"
    )
    parser.add_argument(
        "--part", choices=["hand", "voice", "all"], default="all", help="what rests (default: everything)"
    )


@command("pause", pause_arguments)
def run_pause(args: argparse.Namespace) -> Exit:
    """Open the hold and say what comes first."""
    try:
        care = find_care(args)
        refuse(odd_letters(args.words))
        print_problems(care.problems)
        refusal = open_hold(care.record, care.folder, care.on, args.words.strip(), args.part)
        refuse([refusal] if refusal else [])
    except CommandError as error:
        raise CommandError(unpaused_words(str(error))) from None
    _say(args, care)
    return Exit.READY


def _say(args: argparse.Namespace, care: Care) -> None:
    record = care.again()
    hold = record.holds[-1] if record.holds else Hold(care.on, args.words.strip(), args.part)
    if args.json:
        print_json({
            "student": record.id, "on": iso(care.on), "part": hold.part, "words": hold.words,
            "line": hold.line, "cautions": ["C1"],
        })  # fmt: skip
    else:
        print(paused_words(record, hold, text_width()), end="", flush=True)
    if care.problems:
        aside(kept_in_broken_words(record))
