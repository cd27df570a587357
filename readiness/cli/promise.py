"""``readiness promise ID``: what was promised - list it, give one, mark one as answered."""

from __future__ import annotations

import argparse

from readiness.cli.commands import CommandError, Exit, Parser
from readiness.cli.day import day_typed
from readiness.cli.entering import Entry, add_entry_options, open_entry, print_json, refuse, whole
from readiness.cli.why import text_width
from readiness.days import iso
from readiness.record.model import Promise
from readiness.record.noting import odd_letters
from readiness.record.steps import answer_promise, give_promise, open_promises
from readiness.words.steps import answered_words, promise_list_words, promised_words

__all__ = ["configure", "run"]


def configure(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the day it is given or answered, or the day listed")
    parser.add_argument("--give", metavar="WORDS", help="what is promised, with --to")
    parser.add_argument("--to", metavar="WHOM", default="", help="to whom")
    parser.add_argument("--due", metavar="DATE", help="until when")
    parser.add_argument("--answer", metavar="NUMBER", help="mark a promise as answered")
    parser.add_argument("--words", metavar="WORDS", default="", help="what was answered")


def run(args: argparse.Namespace) -> Exit:
    """List, give or answer."""
    if args.give is not None and args.answer is not None:
        raise CommandError("--give and --answer are two steps; please take one after the other.")
    if args.give is None and (args.to or args.due):
        raise CommandError('--to and --due go with --give "what is promised".')
    if args.answer is None and args.words:
        raise CommandError("--words goes with --answer NUMBER.")
    entry = open_entry(args, writes=args.give is not None or args.answer is not None)
    if args.give is not None:
        return _give(args, entry)
    return _answer(args, entry) if args.answer is not None else _list(args, entry)


def _give(args: argparse.Namespace, entry: Entry) -> Exit:
    entry.check_day()
    due = None if args.due is None else day_typed(args.due, "--due")
    refuse(odd_letters(args.give, args.to))
    refusal = give_promise(entry.record, entry.folder, entry.on, args.to.strip(), args.give.strip(), due)
    refuse([refusal] if refusal else [])
    record = entry.again()
    if args.json:
        promises = record.promises
        print_json({"student": record.id, "promise": _plain(len(promises), promises[-1], entry.on)})
    else:
        print(promised_words(record, entry.on, text_width()), end="")
    return Exit.READY


def _answer(args: argparse.Namespace, entry: Entry) -> Exit:
    entry.check_day()
    number = whole(args.answer, "--answer", 1, 9999)
    refuse(odd_letters(args.words))
    refusal = answer_promise(entry.record, entry.folder, number, entry.on, args.words.strip())
    refuse([refusal] if refusal else [])
    record = entry.again()
    if args.json:
        print_json({"student": record.id, "promise": _plain(number, record.promises[number - 1], entry.on)})
    else:
        print(answered_words(record, number, text_width()), end="")
    return Exit.READY


def _list(args: argparse.Namespace, entry: Entry) -> Exit:
    record = entry.record
    if args.json:
        found = [_plain(number, one, entry.on) for number, one in open_promises(record, entry.on)]
        print_json({"student": record.id, "on": iso(entry.on), "open": found})
    else:
        print(promise_list_words(record, entry.on, text_width()), end="")
    return Exit.READY


def _plain(number: int, one: Promise, day: int) -> dict[str, object]:
    return {
        "number": number, "given": iso(one.given), "to": one.to, "text": one.text, "due": iso(one.due),
        "overdue": one.answered is None and one.due is not None and one.due < day,
        "answered": iso(one.answered), "answer": one.answer, "line": one.line,
    }  # fmt: skip
