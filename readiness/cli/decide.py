"""``readiness decide ID move|stay``: keep what the teacher decided, beside what was computed."""

from __future__ import annotations

import argparse

from readiness.cli.commands import CommandError, Exit, Parser
from readiness.cli.entering import Entry, add_entry_options, open_entry, print_json, refuse, unit_typed
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.record.model import Decision
from readiness.record.noting import odd_letters
from readiness.record.steps import decide
from readiness.words.steps import decided_words

__all__ = ["configure", "run"]


def configure(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the day of the decision")
    what = "move to the next unit, or stay"
    parser.add_argument("decided", metavar="WHAT", choices=["move", "stay"], help=what)
    parser.add_argument("--reason", metavar="WORDS", default="", help="why; asked for where you differ")
    parser.add_argument("--by", metavar="INITIALS", default="", help="who decided; kept with the reason")
    parser.add_argument("--unit", metavar="UNIT", help="where a student begins who is not placed yet")


def run(args: argparse.Namespace) -> Exit:
    """Keep the decision; with a move the next unit begins that day."""
    entry = open_entry(args)
    entry.check_day()
    answer = entry.answer()
    unit, starts = _units(entry, answer, args)
    reason = args.reason.strip() + (f" ({args.by.strip()})" if args.by.strip() else "")
    decision = Decision(entry.on, unit, answer.verdict, args.decided, reason if args.reason.strip() else "")
    refuse(odd_letters(reason))
    refusal = decide(entry.record, entry.folder, decision, starts)
    refuse([refusal] if refusal else [])
    record = entry.again()
    begun = starts if args.decided == "move" else None
    if args.json:
        print_json({
            "student": record.id,
            "on": iso(entry.on),
            "unit": unit,
            "computed": answer.verdict,
            "decided": args.decided,
            "reason": decision.reason,
            "begins": begun,
            "line": record.decisions[-1].line,
        })  # fmt: skip
    else:
        print(decided_words(answer, entry.course, record, args.decided, begun, text_width()), end="")
    return Exit.READY


def _units(entry: Entry, answer: Answer, args: argparse.Namespace) -> tuple[str, str | None]:
    """Return the unit the decision is about, and the one a move begins."""
    if answer.unit is not None:
        if args.unit is not None:
            raise CommandError(f"{entry.record.name} is placed already; --unit is for somebody who is not.")
        return answer.unit, answer.next_unit
    found = answer.placing.start_unit if answer.placing else entry.course.units[0].id
    begins = unit_typed(entry.course, args.unit) if args.unit else found
    return begins, begins
