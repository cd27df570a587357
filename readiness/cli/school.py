"""``readiness ask QUESTION``: a question over the whole studio.

Where a student file could not be read the answer lacks it. The text, the page and the JSON say so
themselves; a table stays a table, and the exit code says it for every shape.
"""

from __future__ import annotations

import argparse
import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from readiness.advice.placing.round import placing_round
from readiness.cli.commands import CommandError, Exit, command, epilog, option, other_shape
from readiness.cli.context import (
    add_full_option,
    add_studio_options,
    answers_told,
    open_studio,
    print_problems,
    say_files,
    studio_options,
)
from readiness.cli.day import add_day_option, day_for, day_meant, latest_day, order_of
from readiness.cli.inputs import print_json, respond, unit_typed
from readiness.cli.output import aside, say, watched
from readiness.cli.page_file import add_page_options, show
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.engine import judge
from readiness.record.keeping_until import delete_by
from readiness.record.model import HELPS, Record
from readiness.school.clocks import odd_days
from readiness.school.disclosure import published_day, there_on
from readiness.school.moderation import moderation
from readiness.school.questions import PROMISES, QUESTIONS, Reply, ask, ask_outside, reply_to_dict
from readiness.school.students import Judged, judge_all
from readiness.studio.load import Studio
from readiness.terms import Verdict
from readiness.words.entries import overdue_words
from readiness.words.lists import roster_words
from readiness.words.paused import rest_elsewhere
from readiness.words.placing_round import start_words
from readiness.words.school import moderation_words, reply_words
from readiness.words.studio import deletion_words

_STARTS_A_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")


@command(
    "ask",
    studio_options(),
    option(
        "question", metavar="QUESTION", choices=(*QUESTIONS, PROMISES, "all"),
        help="paused: may not play; ready; stuck: tried often; look: needs one more look; due: a check is; "
        "where: students get stuck most; time: how long units take; numbers: students by verdict and unit; "
        "all: the first five, a line each; promises: what is still open",
    ),
    other_shape("--csv", action="store_true", help="a table, for spreadsheets (not with all)"),
    add_page_options,
    option(
        "--for", dest="reader", choices=("school", "third-party"), default="school",
        help="third-party: counts of the first of the month, no names, nothing under 5 (default: school)",
    ),
    option("--unit", metavar="UNIT", help="only students in this unit (not for a third party)"),
    option("--limit", metavar="N", type=int, help="at most N rows a list; says how many more"),
    add_full_option,
    epilog(
        "Exit code 2 where a student file could not be read, whatever the shape: the answer lacks that "
        "student. Text, page and JSON say so themselves; a CSV table is only a table."
    ),
)
def run_ask(args: argparse.Namespace) -> Exit:
    """Answer; files with problems come below, on the error stream, and are not counted."""
    _refuse_what_does_not_fit(args)
    studio, course = open_studio(args)
    day = day_for(args, studio)
    records = tuple(studio.records.values())
    if args.reader == "third-party":
        day = published_day(day)
        records = tuple(one for one in records if there_on(one, day))
    judged = judge_all(course, watched(records, len(records), "Judging"), day, studio.calendar)
    unread = sorted(one.path.name for one in studio.broken.values())
    replies = _answers(args, course, judged, day, unread)
    found = [reply_to_dict(reply) for reply in replies]
    if args.json:
        together = {"answers": found} if args.question == "all" else found[0]
        print_json(together)
    elif args.csv:
        print(_table(replies[0], found[0]["rows"]), end="")
    else:
        show(args, reply_words(replies, course, full=args.full), lambda paper: _page(replies, course, paper))
    if args.reader == "school":
        for due in (deletion_words(one, day, delete_by(one.path)) for one in records):
            if due:
                aside(due)
    return _with_problems(studio, records, day)


def _with_problems(studio: Studio, records: Iterable[Record], day: int) -> Exit:
    """Say what is wrong in any file, and which days are odd; return the code of a run over all students."""
    latest = max(day, latest_day(studio.today))
    say_files(studio.loaded)
    print_problems(problem for one in records for problem in odd_days(one, latest))
    return Exit.WRONG if studio.broken else Exit.READY


def _refuse_what_does_not_fit(args: argparse.Namespace) -> None:
    if args.csv and args.question == "all":
        raise CommandError("--csv is one table; please ask one question at a time.")
    if args.unit is not None and args.reader == "third-party":
        raise CommandError(
            "--unit is not for a third party: what one unit leaves of the whole would give small counts "
            "away. `readiness ask numbers --for third-party` has every unit that can be shown."
        )
    if args.question == PROMISES and args.reader == "third-party":
        raise CommandError("promises are not for a third party: they hold words said to families.")
    if args.limit is not None and args.limit < 1:
        raise CommandError("--limit takes a whole number from 1 on: how many rows of a list are wanted.")


def _answers(
    args: argparse.Namespace, course: Course, judged: Sequence[Judged], day: int, unread: Sequence[str]
) -> list[Reply]:
    asked = QUESTIONS if args.question == "all" else (args.question,)
    if args.reader == "third-party":
        found = [ask_outside(course, judged, day, question, unread) for question in asked]
    else:
        unit = None if args.unit is None else unit_typed(course, args.unit)
        found = [ask(course, judged, day, question, unread, unit) for question in asked]
    return [replace(one, limit=args.limit) for one in found]


def _page(replies: list[Reply], course: Course, paper: str) -> str:
    from readiness.pages.school import school_page

    try:
        return school_page(replies, course, paper)
    except ModuleNotFoundError as missing:
        needed = f"the charts of a page need {missing.name}, which is not installed"
        raise CommandError(f"{needed}: `pip install '.[charts]'`.") from None


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


# ``readiness moderate``: where two teachers noted the same check differently.


@command(
    "moderate",
    studio_options("the last day looked at"),
    option("--since", metavar="DATE", help="the first day looked at (default: all)"),
    add_full_option,
)
def run_moderate(args: argparse.Namespace) -> Exit:
    """Compare what two noted; files with problems come below, on the error stream, and are not counted."""
    studio, course = open_studio(args)
    until = day_for(args, studio)
    since = None if args.since is None else day_meant(args.since, "--since", until, order_of(studio), -1)
    found = moderation(course, studio.records.values(), since, until)
    unread = sorted(one.path.name for one in studio.broken.values())
    respond(args, lambda: {
        "since": iso(since), "on": iso(until), "checks": found.checks, "days": found.days,
        "pairs": found.pairs, "agreed": found.agreed, "kappa": found.kappa,
        "weighted_kappa": found.weighted, "too_few": found.too_few,
        "unread": len(unread), "unread_files": unread,
        "criteria": [{
            "skill": one.skill, "checks": one.checks, "days": one.days, "pairs": one.pairs,
            "agreed": one.agreed, "one_apart": one.one_apart, "too_few": one.too_few,
            "levels": [[HELPS[less], HELPS[more], times] for (less, more), times in one.levels],
        } for one in found.criteria],
    }, moderation_words(found, course, unread))  # fmt: skip
    return _with_problems(studio, (), until)


# ``readiness roster``: every student in one list, in order of name.


def _reminders(record: Record, day: int) -> Iterator[str]:
    """Yield what is to be known of a student beside the answer; an empty text is nothing."""
    yield rest_elsewhere(record, day)
    yield overdue_words(record, day)
    yield deletion_words(record, day, delete_by(record.path))


@command(
    "roster",
    add_day_option,
    option("--json", action="store_true", help="one JSON object a line, as `why --json` has it"),
    add_full_option,
    add_studio_options,
)
def run_roster(args: argparse.Namespace) -> Exit:
    """List the students; files with problems come below, on the error stream."""
    studio, course = open_studio(args)
    day = day_for(args, studio)
    records = watched(studio.records.values(), len(studio.records), "Judging")
    if args.json:
        for told, _ in answers_told(studio, records, day):
            print(told)
    else:
        answers = [judge(course, record, day, studio.calendar(record.id)) for record in records]
        reminders = {
            one.id: tuple(filter(None, _reminders(one, day))) for one in studio.records.values()
        }
        starts = {
            one.student: start_words(placing_round(course, studio.records[one.student], day), course)
            for one in answers
            if one.verdict == Verdict.NOT_PLACED
        }
        listed = roster_words(answers, course, reminders, len(studio.broken), starts, full=args.full)
        say(listed, full=args.full)
    return _with_problems(studio, studio.records.values(), day)
