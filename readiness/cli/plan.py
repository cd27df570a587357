"""``readiness plan ID``: a lesson in minutes, the one of that day if it is still to come, else the next."""

from __future__ import annotations

import argparse
import json

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.saying import text_width
from readiness.judging.engine import judge
from readiness.planning.as_json import plan_to_dict
from readiness.planning.lesson_day import is_noted
from readiness.planning.next_lesson import plan_lesson
from readiness.words.grammar import date_words
from readiness.words.plan import tell_plan

LENGTHS = range(10, 91)


def plan_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a student's id, its beginning, or the given name")
    add_day_option(parser)
    parser.add_argument(
        "--today", action="store_true",
        help="the lesson of that very day, also outside the rhythm (default: the next lesson to come)",
    )  # fmt: skip
    parser.add_argument(
        "--minutes", metavar="N", help="the length of the lesson (default: the usual one at this age)"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("plan", plan_arguments)
def run_plan(args: argparse.Namespace) -> Exit:
    """Print the plan."""
    minutes = _minutes(args.minutes)
    studio, course = open_studio(args, args.student)
    record = pick_student(studio, args.student)
    calendar = studio.calendar(record.id)
    on = day_asked(args.on, studio.today)
    if args.today and is_noted(record, on):
        raise CommandError(
            f"the lesson of {date_words(on)} is noted already; without --today the next one is planned."
        )
    lesson = on if args.today else None
    answer = judge(course, record, on, calendar, lesson)
    plan = plan_lesson(course, record, answer, minutes, studio.events)
    if args.json:
        print(json.dumps(plan_to_dict(plan, answer), ensure_ascii=False, indent=2))
    else:
        print(tell_plan(plan, answer, course, record, text_width()), end="")
    return Exit.READY


def _minutes(typed: str | None) -> int | None:
    """Return the length that was typed, None without one."""
    if typed is None:
        return None
    if not (typed.isascii() and typed.isdigit() and len(typed) < 4 and int(typed) in LENGTHS):
        raise CommandError(
            f'--minutes takes whole minutes from {LENGTHS[0]} to {LENGTHS[-1]}, and "{typed}" is not that.'
        )
    return int(typed)
