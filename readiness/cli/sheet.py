"""``readiness sheet ID``: what to look at in a check, as a text, as JSON or as a page to print."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.entering import whole
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.page_file import write_file
from readiness.cli.saying import text_width
from readiness.judging.engine import judge
from readiness.pages.check_sheet import sheet_page
from readiness.pages.document import MADE_BY, PAPERS
from readiness.planning.as_json import sheet_to_dict
from readiness.planning.sheet import check_sheet
from readiness.words.sheet import tell_sheet

KEYS = range(1, 129)


def sheet_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a student's id, its beginning, or the given name")
    add_day_option(parser)
    parser.add_argument(
        "--keys", metavar="N", help="how many keys the instrument in use has (default: the one at home)"
    )
    parser.add_argument(
        "--minutes", metavar="N", help="how many minutes there are (default: the usual ones at this age)"
    )
    kind = parser.add_mutually_exclusive_group()
    kind.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    kind.add_argument("--html", metavar="FILE", type=Path, help="write a page to print to this file")
    parser.add_argument(
        "--paper", choices=list(PAPERS), default="a4", help="the paper of the page (default: a4)"
    )
    add_studio_options(parser)


@command("sheet", sheet_arguments)
def run_sheet(args: argparse.Namespace) -> Exit:
    """Print the sheet, or write it as a page."""
    keys = _keys(args.keys)
    minutes = None if args.minutes is None else whole(args.minutes, "--minutes", 1, 60)
    studio, course = open_studio(args, args.student)
    record = pick_student(studio, args.student)
    answer = judge(course, record, day_asked(args.on, studio.today), studio.calendar(record.id))
    sheet = check_sheet(course, record, answer, keys, minutes)
    if args.html is not None:
        write_file(args.html, sheet_page(sheet, answer, course, record, args.paper), MADE_BY)
    elif args.json:
        print(json.dumps(sheet_to_dict(sheet, answer), ensure_ascii=False, indent=2))
    else:
        print(
            tell_sheet(sheet, answer, course, record, text_width(), with_counts=keys is not None), end=""
        )
    return Exit.READY


def _keys(typed: str | None) -> int | None:
    """Return the number of keys that was typed, None without one."""
    if typed is None:
        return None
    if not (typed.isascii() and typed.isdigit() and len(typed) < 4 and int(typed) in KEYS):
        raise CommandError(
            f'--keys takes a number of keys from {KEYS[0]} to {KEYS[-1]}, and "{typed}" is not that.'
        )
    return int(typed)

