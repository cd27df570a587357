"""``readiness decide ID move|stay``: keep what the teacher decided, beside what was computed."""

from __future__ import annotations

import argparse

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import day_typed
from readiness.cli.entering import Entry, add_entry_options, open_entry, print_json, refuse, unit_typed
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.planning.deciding import decision_on, unit_begun
from readiness.record.noting import odd_letters
from readiness.record.steps import decide
from readiness.words.steps import decided_words


def decide_arguments(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the day of the decision")
    what = "move to the next unit, or stay"
    parser.add_argument("decided", metavar="WHAT", choices=["move", "stay"], help=what)
    parser.add_argument("--reason", metavar="WORDS", default="", help="why; asked for where you differ")
    parser.add_argument("--until", metavar="DATE", help="the last day of a stay (default: for four lessons)")
    parser.add_argument("--by", metavar="INITIALS", default="", help="who decided; kept with the reason")
    parser.add_argument("--unit", metavar="UNIT", help="where a student begins who is not placed yet")


@command("decide", decide_arguments)
def run_decide(args: argparse.Namespace) -> Exit:
    """Keep the decision; with a move the next unit begins that day."""
    entry = open_entry(args)
    entry.check_day()
    answer = entry.answer()
    chosen = _unit_chosen(entry, answer, args)
    starts = unit_begun(entry.course, entry.record, answer, chosen)
    reason = args.reason.strip() + (f" ({args.by.strip()})" if args.by.strip() else "")
    refuse(odd_letters(reason))
    given = reason if args.reason.strip() else ""
    until = _until(args, entry)
    decision = decision_on(entry.course, entry.record, answer, args.decided, given, chosen, until)
    refusal = decide(entry.record, entry.folder, decision, starts)
    refuse([refusal] if refusal else [])
    record = entry.again()
    begun = starts if args.decided == "move" else None
    if args.json:
        print_json({
            "student": record.id,
            "on": iso(entry.on),
            "unit": decision.unit,
            "computed": answer.verdict,
            "decided": args.decided,
            "until": iso(decision.until),
            "reason": decision.reason,
            "begins": begun,
            "line": record.decisions[-1].line,
        })  # fmt: skip
    else:
        print(decided_words(answer, entry.course, record, args.decided, begun, text_width()), end="")
    return Exit.READY


def _until(args: argparse.Namespace, entry: Entry) -> int | None:
    """Return the last day of a stay, if one was named."""
    if args.until is None:
        return None
    if args.decided != "stay":
        raise CommandError("--until is the last day of a stay; a move has none.")
    until = day_typed(args.until, "--until")
    if until < entry.on:
        raise CommandError(f"{iso(until)} is before the decision, on {iso(entry.on)}.")
    return until


def _unit_chosen(entry: Entry, answer: Answer, args: argparse.Namespace) -> str | None:
    """Return the unit that somebody chose for a student who is not placed yet, if they did."""
    if args.unit is None:
        return None
    if answer.unit is not None:
        raise CommandError(f"{entry.record.name} is placed already; --unit is for somebody who is not.")
    return unit_typed(entry.course, args.unit)
