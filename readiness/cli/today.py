"""``readiness today``, one screen, and ``readiness pocket``, a page for a phone: who comes, what is due."""

from __future__ import annotations

import argparse
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, command, one_of, option
from readiness.cli.context import add_full_option, day_for, open_studio, say_unread, studio_options
from readiness.cli.inputs import print_file, print_json, respond, write_file
from readiness.cli.output import aside
from readiness.days import iso
from readiness.record.entries import open_promises
from readiness.record.rhythm import WEEK
from readiness.school.evening import evening, evening_to_dict, next_day
from readiness.school.students import judge_all
from readiness.terms import Verdict
from readiness.words.cautions import caution
from readiness.words.english import called, namesakes
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


@command(
    "pocket",
    option("--week", action="store_true", help="seven days, in place of one"),
    option("--names", action="store_true", help="given names in place of initials"),
    option("--to", metavar="FILE", type=Path, help="write the page to this file"),
    studio_options("the first day"),
)
def run_pocket(args: argparse.Namespace) -> Exit:
    """Print the page, or write it."""
    from readiness.pages.document import MADE_BY
    from readiness.pages.pocket import pocket_page, visits
    from readiness.studio.feed import codes

    studio, course = open_studio(args)
    on = day_for(args, studio)
    until = on + (WEEK - 1 if args.week else 0)
    records = list(studio.records.values())
    judged = judge_all(course, records, on, studio.calendar)
    shared = namesakes(one.name for one in records)
    by_id = {one.id: called(one.name, one.id, shared) for one in records} if args.names else codes(records)
    if args.json:
        print_json({
            "on": iso(on), "until": iso(until),
            "lessons": [
                {"on": iso(one.day), "student": by_id[one.student.record.id],
                 "may_play": one.student.answer.verdict != Verdict.PAUSED, "look": list(one.looks),
                 "one_thing": one.student.answer.one_thing,
                 "promises": len(open_promises(one.student.record, on))}
                for one in visits(course, judged, until)
            ],
        })  # fmt: skip
        return say_unread(studio, Exit.READY)
    page = pocket_page(course, judged, by_id, (on, until), names=args.names)
    if args.to is None:
        print_file(page, "pocket.html")
        aside(caution("C8"))
    else:
        write_file(args.to, page, MADE_BY)
    return say_unread(studio, Exit.READY)
