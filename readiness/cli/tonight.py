"""``readiness today``: who comes, what is not noted, what is due, who waits, what ends. One screen."""

from __future__ import annotations

import argparse

from readiness.cli.commands import CommandError, Exit, command, one_of, option
from readiness.cli.context import add_full_option, open_studio, say_unread, studio_options
from readiness.cli.day import day_for
from readiness.cli.inputs import respond
from readiness.record.rhythm import WEEK
from readiness.school.evening import evening, evening_to_dict, next_day
from readiness.school.students import judge_all
from readiness.words.lists import tell_evening


@command(
    "today",
    studio_options(),
    one_of(
        option("--next", action="store_true", help="the next day on which somebody comes"),
        option("--week", action="store_true", help="the seven days from that day on"),
    ),
    add_full_option,
)
def run_today(args: argparse.Namespace) -> Exit:
    """Say what is to be known of a day, of the next one with lessons, or of a week."""
    studio, course = open_studio(args)
    day = day_for(args, studio)
    judged = judge_all(course, studio.records.values(), day, studio.calendar)
    if args.next:
        found = next_day(judged, day)
        if found is None:
            raise CommandError("nobody is expected within a year; `readiness enrol` makes a new student.")
        day = found
        judged = judge_all(course, studio.records.values(), day, studio.calendar)
    last = day + (WEEK - 1) * args.week
    told = evening(course, judged, day, last, studio.events, studio.term_end)
    words = tell_evening(told, course, full=args.full)
    return say_unread(studio, respond(args, lambda: evening_to_dict(told), words))
