"""Before a lesson: ``sheet``, ``plan``, ``handover``, ``together``."""

from __future__ import annotations

import argparse

from readiness.advice.as_json import handover_to_dict, pair_to_dict, plan_to_dict, sheet_to_dict
from readiness.advice.handover import hand_over, pair_up
from readiness.advice.lesson import MINUTES, plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import (
    add_full_option,
    day_for,
    open_studio,
    pick_student,
    student_options,
    studio_options,
)
from readiness.cli.inputs import add_page_options, open_entry, respond, show, whole
from readiness.cli.output import aside
from readiness.judging.engine import judge
from readiness.pages.sheets import sheet_page
from readiness.record.consents import as_if_agreed
from readiness.words.cautions import caution
from readiness.words.english import called, namesakes
from readiness.words.grammar import date_words
from readiness.words.lesson import pair_sections, plan_sections, sheet_sections
from readiness.words.share import handover_sections, not_asked


@command(
    "sheet",
    student_options(),
    add_page_options,
    option("--keys", metavar="N", help="how many keys the instrument in use has (default: the one at home)"),
    option("--minutes", metavar="N", help="how many minutes there are (default: the usual ones at this age)"),
    add_full_option,
)
def run_sheet(args: argparse.Namespace) -> Exit:
    """Print the sheet, or write it as a page."""
    keys = None if args.keys is None else whole(args.keys, "--keys", 1, 128, "a number of keys")
    minutes = None if args.minutes is None else whole(args.minutes, "--minutes", 1, 60)
    entry = open_entry(args, writes=False)
    course, record, answer = entry.course, entry.record, entry.answer()
    sheet = check_sheet(course, record, answer, keys, minutes)
    show(
        args,
        sheet_sections(sheet, entry.phrases(answer), with_counts=keys is not None),
        lambda paper: sheet_page(sheet, answer, course, record, paper),
        lambda: sheet_to_dict(sheet, answer),
    )
    return Exit.READY


@command(
    "plan",
    student_options(),
    add_page_options,
    option(
        "--today", action="store_true",
        help="the lesson of that very day, also outside the rhythm (default: the next lesson to come)",
    ),
    option("--minutes", metavar="N", help="the length of the lesson (default: the usual one at this age)"),
    add_full_option,
)
def run_plan(args: argparse.Namespace) -> Exit:
    """Print the plan."""
    minutes = None if args.minutes is None else whole(args.minutes, "--minutes", *MINUTES, "whole minutes")
    entry = open_entry(args, writes=False)
    course, record, on = entry.course, entry.record, entry.on
    if args.today and on in record.seen.lesson_days:
        raise CommandError(
            f"the lesson of {date_words(on)} is noted already; without --today the next one is planned."
        )
    answer = entry.answer(lesson=on if args.today else None)
    plan = plan_lesson(course, record, answer, minutes)
    show(args, plan_sections(plan, entry.phrases(answer)), values=lambda: plan_to_dict(plan, answer))
    return Exit.READY


# ``readiness handover ID``: the one page for a substitute, as a text, as JSON or as a page to print.
#
# This is the teacher's own page and it is whole; where no consent is noted, it says so at the
# top. What may be given away without consent is made by ``readiness share``.


@command("handover", student_options(), add_page_options, add_full_option)
def run_handover(args: argparse.Namespace) -> Exit:
    """Print the page, or write it."""
    entry = open_entry(args, writes=False)
    answer, record = entry.answer(), entry.record
    page = hand_over(entry.course, record, answer)
    sharing = as_if_agreed(record, "substitute", entry.on)
    phrases = entry.phrases(answer)
    told = handover_sections(page, phrases, sharing)
    is_written = show(args, told, values=lambda: handover_to_dict(page, answer, sharing), kind="stand")
    if not (is_written or args.json):
        aside(caution("C8"))
    if words := not_asked(sharing, phrases):
        aside(words)
    return Exit.READY


@command(
    "together",
    option("one", metavar="A", help="a student's id, its beginning, or the given name"),
    option("other", metavar="B", help="another student, such as a sister or a brother"),
    studio_options(),
    add_full_option,
)
def run_together(args: argparse.Namespace) -> Exit:
    """Name what both can do."""
    studio, course = open_studio(args)
    records = [pick_student(studio, typed) for typed in (args.one, args.other)]
    if records[0].id == records[1].id:
        raise CommandError(f"both names mean {records[0].name}. Please name two students.")
    day = day_for(args, studio)
    pair = pair_up(
        course, [(record, judge(course, record, day, studio.calendar(record.id))) for record in records]
    )
    shared = namesakes(record.name for record in records)
    names = tuple(called(record.name, record.id, shared) for record in records)
    return respond(
        args, lambda: pair_to_dict(pair, day, course.on(day)), pair_sections(pair, names, day, course.on(day))
    )
