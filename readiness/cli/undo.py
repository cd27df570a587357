"""``readiness undo ID``: take back what was noted last, if nothing was added since."""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import date

import tomli

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.entering import add_entry_options, open_entry, print_json
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.files.writing import Refusal
from readiness.record.taking_back import take_back
from readiness.words.empty import undo_words
from readiness.words.noting import undone_words


def undo_arguments(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the day on which the verdict is compared")


@command("undo", undo_arguments)
def run_undo(args: argparse.Namespace) -> Exit:
    """Take the last entry back and show it."""
    entry = open_entry(args)
    taken = take_back(entry.path, entry.folder)
    if isinstance(taken, Refusal):
        by_hand = taken.id in ("nothing-to-undo", "changed-since")
        raise CommandError(undo_words(taken.message, entry.record, entry.path) if by_hand else taken.message)
    record = entry.again()
    if args.on is None:
        entry = replace(entry, on=_day(taken) or entry.on)
    before, after = entry.answer(), entry.answer(record)
    if args.json:
        print_json({
            "student": record.id,
            "on": iso(entry.on),
            "taken_back": taken,
            "verdict_before": before.verdict,
            "verdict": after.verdict,
        })  # fmt: skip
    else:
        print(undone_words(before, after, entry.course, record, taken, text_width()), end="")
    return Exit.READY


def _day(taken: str) -> int | None:
    """Return the first day that an entry names."""
    read = tomli.loads(taken)
    blocks = [block for kind in read.values() if isinstance(kind, list) for block in kind]
    days = [value for block in (read, *blocks) for value in block.values() if isinstance(value, date)]
    return days[0].toordinal() if days else None
