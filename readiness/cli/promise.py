"""``readiness promise ID``: what was promised - list it, give one, mark one as answered.

``--family`` lists what was promised about brothers and sisters, side by side.
"""

from __future__ import annotations

import argparse

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import day_asked, day_typed
from readiness.cli.entering import Entry, add_entry_options, open_entry, print_json, refuse, whole
from readiness.cli.opening import open_studio
from readiness.cli.saying import as_sentence, text_width
from readiness.days import iso
from readiness.files.suggest import did_you_mean
from readiness.files.texts import composed
from readiness.record.model import Promise
from readiness.record.noting import odd_letters
from readiness.record.steps import answer_promise, give_promise, open_promises
from readiness.words.promises import (
    answered_words,
    family_promise_words,
    promise_list_words,
    promised_words,
)


def promise_arguments(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the day it is given or answered, or the day listed", may_leave_out=True)
    parser.add_argument("--family", metavar="NAME", help="list those about all of a family, in place of ID")
    parser.add_argument("--give", metavar="WORDS", help="what is promised, with --to")
    parser.add_argument("--to", metavar="WHOM", default="", help="to whom")
    parser.add_argument("--due", metavar="DATE", help="until when")
    parser.add_argument("--answer", metavar="NUMBER", help="mark a promise as answered")
    parser.add_argument("--words", metavar="WORDS", default="", help="what was answered")


@command("promise", promise_arguments)
def run_promise(args: argparse.Namespace) -> Exit:
    """List, give or answer."""
    if args.give is not None and args.answer is not None:
        raise CommandError("--give and --answer are two steps; please take one after the other.")
    if args.give is None and (args.to or args.due):
        raise CommandError('--to and --due go with --give "what is promised".')
    if args.answer is None and args.words:
        raise CommandError("--words goes with --answer NUMBER.")
    if args.family is not None:
        return _family(args)
    if args.student is None:
        raise CommandError("please say whose promises: a student's id, or --family NAME.")
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
        print(answered_words(record, entry.on, number, text_width()), end="")
    return Exit.READY


def _list(args: argparse.Namespace, entry: Entry) -> Exit:
    record = entry.record
    if args.json:
        found = [_plain(number, one, entry.on) for number, one in open_promises(record, entry.on)]
        print_json({"student": record.id, "on": iso(entry.on), "open": found})
    else:
        print(promise_list_words(record, entry.on, text_width()), end="")
    return Exit.READY


def _family(args: argparse.Namespace) -> Exit:
    """List what was promised about brothers and sisters, what was answered too."""
    if args.student is not None or args.give is not None or args.answer is not None:
        raise CommandError("--family only lists; please name one student to give or answer a promise.")
    studio, _ = open_studio(args)
    day = day_asked(args.on, studio.today)
    wanted = composed(args.family.strip()).casefold()
    family = [one for one in studio.records.values() if one.family and one.family.casefold() == wanted]
    if not family:
        known = sorted({one.family for one in studio.records.values() if one.family})
        hint = as_sentence(did_you_mean(args.family, known), "See the line family = in the student files.")
        raise CommandError(f'no student has the family "{args.family}". {hint}')
    if args.json:
        found = {
            one.id: [_plain(i, p, day) for i, p in enumerate(one.promises, 1) if p.given <= day]
            for one in family
        }
        print_json({"family": args.family, "on": iso(day), "promises": found})
    else:
        print(family_promise_words(family, day, text_width()), end="")
    return Exit.READY


def _plain(number: int, one: Promise, day: int) -> dict[str, object]:
    return {
        "number": number, "given": iso(one.given), "to": one.to, "text": one.text, "due": iso(one.due),
        "overdue": one.answered is None and one.due is not None and one.due < day,
        "answered": iso(one.answered), "answer": one.answer, "line": one.line,
    }  # fmt: skip
