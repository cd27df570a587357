"""``readiness consent ID [WHAT yes|no --by NAME]``: note what was agreed to, or list it."""

from __future__ import annotations

import argparse

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.entering import Entry, add_entry_options, open_entry, print_json, refuse
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.record.consents import CONSENTS, note_consent
from readiness.record.noting import odd_letters
from readiness.words.consents import consent_list_words, consent_words


def consent_arguments(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the day it was said")
    parser.add_argument(
        "what", metavar="WHAT", nargs="?", choices=list(CONSENTS),
        help=f"{', '.join(CONSENTS)}; without it, all are listed",
    )  # fmt: skip
    parser.add_argument("answer", metavar="yes|no", nargs="?", choices=["yes", "no"], help="what was said")
    parser.add_argument("--by", metavar="NAME", default="", help="who said it")


@command("consent", consent_arguments)
def run_consent(args: argparse.Namespace) -> Exit:
    """Note the answer; without one, list what is noted."""
    entry = open_entry(args)
    if args.what is None:
        _list(args, entry)
        return Exit.READY
    if args.answer is None or not args.by.strip():
        raise CommandError(f"please say yes or no, and who said it: {_form(args)}")
    entry.check_day()
    refuse(odd_letters(args.by))
    is_given, by = args.answer == "yes", args.by.strip()
    refusal = note_consent(entry.record, entry.folder, CONSENTS[args.what], is_given, by, entry.on)
    refuse([refusal] if refusal else [])
    record = entry.again()
    if args.json:
        print_json({
            "student": record.id, "on": iso(entry.on), "what": args.what, "given": is_given, "by": by,
            "consents": dict(record.consents),
        })  # fmt: skip
    else:
        print(consent_words(record, args.what, by, entry.on, is_given=is_given, width=text_width()), end="")
    return Exit.READY


def _form(args: argparse.Namespace) -> str:
    return f"`readiness consent {args.student} {args.what} yes|no --by NAME`."


def _list(args: argparse.Namespace, entry: Entry) -> None:
    if args.json:
        print_json({"student": entry.record.id, "consents": dict(entry.record.consents)})
    else:
        print(consent_list_words(entry.record, text_width()), end="")
