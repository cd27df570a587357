"""``readiness when ID``: the earliest possible date, and apart from it what earlier cases took."""

from __future__ import annotations

import argparse
import json

from readiness.cli.commands import Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.saying import aside, text_width
from readiness.judging.engine import judge
from readiness.planning.ahead_json import when_to_dict
from readiness.planning.estimates import estimates
from readiness.words.lists import other_file_words
from readiness.words.when import tell_when


def when_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a student's id, its beginning, or the given name")
    add_day_option(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("when", when_arguments)
def run_when(args: argparse.Namespace) -> Exit:
    """Print both."""
    studio, course = open_studio(args)
    record = pick_student(studio, args.student)
    day, calendar = day_asked(args.on, studio.today), studio.calendar(record.id)
    answer = judge(course, record, day, calendar)
    if studio.broken:
        aside(other_file_words(len(studio.broken)))
    found = estimates(course, studio.records.values(), record, answer)
    if args.json:
        print(json.dumps(when_to_dict(answer, found), ensure_ascii=False, indent=2))
    else:
        print(tell_when(answer, found, course, record, text_width()), end="")
    return Exit.READY if answer.is_ready else Exit.NOT_READY
