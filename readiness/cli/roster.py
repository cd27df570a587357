"""``readiness roster``: every student in one list, in order of name."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator

from readiness.cli.commands import Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked, latest_day
from readiness.cli.opening import add_studio_options, open_studio, print_problems
from readiness.cli.saying import text_width
from readiness.judging.as_json import answer_to_dict
from readiness.judging.engine import judge
from readiness.planning.placing.round import placing_round
from readiness.record.keeping_until import delete_by
from readiness.record.model import Record
from readiness.school.clocks import odd_days
from readiness.words.keeping import deletion_words
from readiness.words.lists import roster_words
from readiness.words.paused import rest_elsewhere
from readiness.words.placing_round import start_words
from readiness.words.promises import overdue_words


def roster_arguments(parser: Parser) -> None:
    """Add the arguments."""
    add_day_option(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object a line, as `why --json` has it")
    add_studio_options(parser)


def _reminders(record: Record, day: int) -> Iterator[str]:
    """Yield what is to be known of a student beside the answer; an empty text is nothing."""
    yield rest_elsewhere(record, day)
    yield overdue_words(record, day)
    yield deletion_words(record, day, delete_by(record.path))


@command("roster", roster_arguments)
def run_roster(args: argparse.Namespace) -> Exit:
    """List the students; files with problems come below, on the error stream."""
    studio, course = open_studio(args)
    day = day_asked(args.on, studio.today)
    answers = [judge(course, record, day, studio.calendar(record.id)) for record in studio.records.values()]
    if args.json:
        for answer in answers:
            print(json.dumps(answer_to_dict(answer), ensure_ascii=False))
    else:
        reminders = {
            one.id: tuple(filter(None, _reminders(one, day))) for one in studio.records.values()
        }
        starts = {
            one.student: start_words(placing_round(course, studio.records[one.student], day), course)
            for one in answers
            if one.verdict == "not-placed"
        }
        told = roster_words(answers, course, text_width(), reminders, len(studio.broken), starts)
        print(told, end="", flush=True)
    print_problems(problem for one in studio.loaded for problem in one.problems)
    latest = max(day, latest_day(studio.today))
    print_problems(problem for one in studio.records.values() for problem in odd_days(one, latest))
    return Exit.WRONG if studio.broken else Exit.READY
