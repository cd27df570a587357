"""``readiness back ID``: what a break cost, what to look at first, and a list before the next one."""

from __future__ import annotations

import argparse
import json

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked, day_typed
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.saying import text_width
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.planning.after_break import after_break
from readiness.planning.calendar_json import back_to_dict
from readiness.planning.keep_warm import KeepWarm, break_between, keep_warm, near_break
from readiness.record.model import Record
from readiness.studio.load import Studio
from readiness.words.back import tell_back


def back_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a student's id, its beginning, or the given name")
    add_day_option(parser)
    parser.add_argument(
        "--ahead",
        metavar=("FROM", "TO"),
        nargs="+",
        help="a break to come, first and last day: what to keep warm (default: a near one in studio.toml)",
    )
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("back", back_arguments)
def run_back(args: argparse.Namespace) -> Exit:
    """Tell what is due and what comes first."""
    studio, course = open_studio(args, args.student)
    record = pick_student(studio, args.student)
    answer = judge(course, record, day_asked(args.on, studio.today), studio.calendar(record.id))
    course = course.on(answer.on)
    back = after_break(course, record, answer)
    warm = _warm(args.ahead, studio, course, record, answer)
    if args.json:
        print(json.dumps(back_to_dict(back, warm, answer), ensure_ascii=False, indent=2))
    else:
        print(tell_back(back, warm, answer, course, record, text_width()), end="")
    return Exit.READY


def _warm(
    typed: list[str] | None, studio: Studio, course: Course, record: Record, answer: Answer
) -> KeepWarm | None:
    """Return the list for the break that was typed, else for the next one of the calendar, if one is near."""
    if typed is None:
        return near_break(course, record, answer, studio.events)
    first, last, name = _days(typed, studio, answer.on)
    ahead = break_between(record, answer, first, last, name)
    return None if ahead is None else keep_warm(course, record, answer, ahead)


def _days(typed: list[str], studio: Studio, on: int) -> tuple[int, int, str]:
    """Return the first and last day away and the name of the event, if the days are one's.

    Raises:
        CommandError: no days, too many, the wrong way round, past, or the last one is not known.
    """
    if len(typed) > 2:
        raise CommandError("--ahead takes the first day away and the last one, and nothing more.")
    first = day_typed(typed[0], "--ahead")
    if first <= on:
        raise CommandError("--ahead is about a break to come: its first day comes after the day asked about.")
    stretches = [one for one in studio.events if one.last > one.first]
    event = next((one for one in stretches if one.first <= first <= one.last), None)
    if len(typed) == 1 and event is None:
        raise CommandError(
            f"no event in studio.toml covers {typed[0]}. Please give the last day: --ahead {typed[0]} DATE"
        )
    last = day_typed(typed[1], "--ahead") if len(typed) == 2 else event.last if event else first
    if last < first:
        raise CommandError("--ahead takes the first day away before the last one.")
    is_the_event = event is not None and (first, last) == (event.first, event.last)
    return first, last, event.name if event is not None and is_the_event else ""
