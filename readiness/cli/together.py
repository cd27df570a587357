"""``readiness together A B``: what two students can do together, without comparing them."""

from __future__ import annotations

import argparse
import json

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.saying import text_width
from readiness.judging.engine import judge
from readiness.planning.calendar_json import pair_to_dict
from readiness.planning.together import pair_up
from readiness.words.names import called, namesakes
from readiness.words.together import tell_pair


def together_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("one", metavar="A", help="a student's id, its beginning, or the given name")
    parser.add_argument("other", metavar="B", help="another student, such as a sister or a brother")
    add_day_option(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("together", together_arguments)
def run_together(args: argparse.Namespace) -> Exit:
    """Name what both can do."""
    studio, course = open_studio(args)
    records = [pick_student(studio, typed) for typed in (args.one, args.other)]
    if records[0].id == records[1].id:
        raise CommandError(f"both names mean {records[0].name}. Please name two students.")
    day = day_asked(args.on, studio.today)
    pair = pair_up(
        course, [(record, judge(course, record, day, studio.calendar(record.id))) for record in records]
    )
    if args.json:
        print(json.dumps(pair_to_dict(pair, day, course.on(day)), ensure_ascii=False, indent=2))
    else:
        shared = namesakes(record.name for record in records)
        names = (called(record.name, record.id, shared) for record in records)
        print(tell_pair(pair, tuple(names), day, course.on(day), text_width()), end="")
    return Exit.READY
