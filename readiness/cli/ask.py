"""``readiness ask QUESTION``: a question over the whole studio."""

from __future__ import annotations

import argparse
import csv
import io
import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser
from readiness.cli.day import add_day_option, day_asked, latest_day
from readiness.cli.opening import add_studio_options, open_studio, print_problems
from readiness.cli.page_file import write_file
from readiness.cli.saying import aside, text_width
from readiness.course.model import Course
from readiness.pages.document import MADE_BY
from readiness.record.keeping_until import delete_by
from readiness.school.clocks import entries_ahead
from readiness.school.judged import Judged, judge_all
from readiness.school.questions import QUESTIONS, Reply, ask, ask_outside, reply_to_dict
from readiness.words.keeping import deletion_words
from readiness.words.school import reply_words

__all__ = ["configure", "run"]

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def configure(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument(
        "question", metavar="QUESTION", choices=(*QUESTIONS, "all"),
        help="ready: and waiting; look: need a look; stuck: no change for a while; paused: may not play; "
        "due: a check is; where: students get stuck most; time: how long units take; numbers: how many "
        "are where; all: all of these",
    )  # fmt: skip
    add_day_option(parser)
    shape = parser.add_mutually_exclusive_group()
    shape.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    shape.add_argument("--csv", action="store_true", help="a table, for spreadsheets (not with all)")
    shape.add_argument("--html", metavar="FILE", type=Path, help="a page with charts, in a file")
    parser.add_argument(
        "--for", dest="reader", choices=("school", "third-party"), default="school",
        help="third-party: counts only, no names, nothing under 5 (default: school)",
    )  # fmt: skip
    add_studio_options(parser)


def run(args: argparse.Namespace) -> Exit:
    """Answer; files with problems come below, on the error stream, and are not counted."""
    if args.csv and args.question == "all":
        raise CommandError("--csv is one table; please ask one question at a time.")
    studio, course = open_studio(args)
    day = day_asked(args.on, studio.today)
    judged = judge_all(course, studio.records.values(), day, studio.planned)
    answer = ask_outside if args.reader == "third-party" else ask
    asked = QUESTIONS if args.question == "all" else (args.question,)
    _show(args, [answer(course, judged, day, question) for question in asked], course)
    if args.reader == "school":
        _say_overdue(judged, day)
    latest = max(day, latest_day(studio.today))
    print_problems(problem for one in studio.loaded for problem in one.problems)
    print_problems(problem for one in judged for problem in entries_ahead(one.record, latest))
    return Exit.READY


def _say_overdue(judged: Iterable[Judged], day: int) -> None:
    """Say whose file was to be deleted by now."""
    for one in judged:
        if due := deletion_words(one.record, day, delete_by(one.record.path)):
            aside(due)


def _show(args: argparse.Namespace, replies: list[Reply], course: Course) -> None:
    """Print the answers, or write the page."""
    found = [reply_to_dict(reply) for reply in replies]
    if args.json:
        together = {"answers": found} if args.question == "all" else found[0]
        print(json.dumps({"format": 1, **together}, ensure_ascii=False, indent=2))
    elif args.csv:
        print(_table(replies[0], found[0]["rows"]), end="")
    elif args.html is not None:
        write_file(args.html, _page(replies, course), MADE_BY)
    else:
        print(reply_words(replies, course, text_width()), end="", flush=True)


def _page(replies: list[Reply], course: Course) -> str:
    from readiness.pages.school import school_page

    try:
        return school_page(replies, course)
    except ModuleNotFoundError as missing:
        needed = f"the charts of a page need {missing.name}, which is not installed"
        raise CommandError(f"{needed}: `pip install 'readiness[charts]'`.") from None


def _table(reply: Reply, rows: object) -> str:
    """Return rows as CSV; a cell that a spreadsheet would work out is made text."""
    assert isinstance(rows, list)
    flat = [_flat(row) for row in rows]
    text = io.StringIO()
    lines = csv.writer(text, lineterminator="\n")
    lines.writerow(flat[0] if flat else reply.columns)
    lines.writerows(map(_cell, row.values()) for row in flat)
    return text.getvalue()


def _flat(row: Mapping[str, object]) -> dict[str, object]:
    """Return a row with the counts inside it as columns of their own."""
    flat: dict[str, object] = {}
    for name, value in row.items():
        flat |= value if isinstance(value, dict) else {name: value}
    return flat


def _cell(value: object) -> str:
    if isinstance(value, list):
        return "; ".join(map(str, value))
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(_STARTS_A_FORMULA) else text
