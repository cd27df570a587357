"""``readiness resume ID``: a named adult says that a hold is over."""

from __future__ import annotations

import argparse

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.entering import add_entry_options, open_entry, print_json, refuse
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.record.noting import odd_letters
from readiness.record.steps import close_hold
from readiness.words.empty import no_hold_words
from readiness.words.steps import resumed_words


def resume_arguments(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the day it was closed")
    parser.add_argument("--by", metavar="NAME", required=True, help="the adult who closes it")
    parser.add_argument("--words", metavar="WORDS", required=True, help="in a few words, after what advice")
    parser.add_argument("--part", choices=["hand", "voice", "all"], help="which hold, of several")


@command("resume", resume_arguments)
def run_resume(args: argparse.Namespace) -> Exit:
    """Close the hold and say how to begin again."""
    entry = open_entry(args)
    entry.check_day()
    refuse(odd_letters(args.by, args.words))
    were_open = [i for i, hold in enumerate(entry.record.entire.holds) if hold.is_open(entry.on)]
    refusal = close_hold(
        entry.record, entry.folder, entry.on, args.by.strip(), args.words.strip(), args.part or ""
    )
    if refusal is not None and refusal.id == "no-hold":
        raise CommandError(no_hold_words(entry.record, entry.on, args.part or ""))
    refuse([refusal] if refusal else [])
    record = entry.again()
    holds = record.entire.holds
    closed = next(holds[i] for i in were_open if not holds[i].is_open(entry.on))
    still = [hold for hold in holds if hold.is_open(entry.on)]
    if args.json:
        print_json({
            "student": record.id, "on": iso(entry.on), "part": closed.part, "by": closed.closed_by,
            "words": closed.closed_words, "line": closed.line, "still_open": [hold.part for hold in still],
        })  # fmt: skip
    else:
        print(resumed_words(record, closed, still, text_width()), end="")
    return Exit.READY
