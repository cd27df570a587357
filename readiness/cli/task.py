"""``readiness task ID``: home practice - list it, give a task, note what was reported."""

from __future__ import annotations

import argparse

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.entering import (
    Entry,
    add_entry_options,
    open_entry,
    print_json,
    refuse,
    skill_typed,
    whole,
)
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.record.model import Task
from readiness.record.noting import odd_letters
from readiness.record.practice import Practice, practice_on
from readiness.record.steps import give_task, report_task
from readiness.words.steps import reported_words, task_list_words, task_words


def task_arguments(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the day it is given, or the day listed")
    parser.add_argument("--give", metavar="SKILL", help="give a task, with --text, --minutes and --days")
    parser.add_argument("--text", metavar="WORDS", default="", help="what is done at home")
    parser.add_argument("--minutes", metavar="N", help="minutes a day")
    parser.add_argument("--report", metavar="NUMBER", help="note what was reported about a task, with --days")
    parser.add_argument("--days", metavar="N", help="days planned (--give) or done (--report)")
    parser.add_argument("--words", metavar="WORDS", default="", help="what was said about it")


@command("task", task_arguments)
def run_task(args: argparse.Namespace) -> Exit:
    """List, give or report."""
    if args.give is not None and args.report is not None:
        raise CommandError("--give and --report are two steps; please take one after the other.")
    if args.give is None and args.report is None and (args.text or args.minutes or args.days or args.words):
        raise CommandError("--text, --minutes, --days and --words go with --give SKILL or --report NUMBER.")
    entry = open_entry(args, writes=args.give is not None or args.report is not None)
    if args.give is not None:
        return _give(args, entry)
    return _report(args, entry) if args.report is not None else _list(args, entry)


def _give(args: argparse.Namespace, entry: Entry) -> Exit:
    """Give a task and say where it is much."""
    if args.minutes is None or args.days is None or not args.text.strip():
        raise CommandError('--give takes also --text "what is done", --minutes a day and --days.')
    entry.check_day()
    minutes, days = whole(args.minutes, "--minutes", 1, 600), whole(args.days, "--days", 1, 31)
    answer = entry.answer()
    skill = skill_typed(entry.course, args.give, (*answer.deciding, *answer.rest))
    refuse(odd_letters(args.text))
    refusal = give_task(entry.record, entry.folder, entry.on, skill, args.text.strip(), minutes, days)
    refuse([refusal] if refusal else [])
    record = entry.again()
    practice = practice_on(record.tasks, entry.course.band[answer.band], entry.on)
    if args.json:
        tasks = record.entire.tasks
        print_json({
            "student": record.id, "on": iso(entry.on), "task": _plain(len(tasks), tasks[-1]),
            "practice": _sums(practice), "cautions": ["C4"] if practice.too_much else [],
        })  # fmt: skip
    else:
        print(task_words(answer, entry.course, record, practice, text_width()), end="")
    return Exit.READY


def _report(args: argparse.Namespace, entry: Entry) -> Exit:
    """Note what was reported about a task."""
    if args.days is None:
        raise CommandError("--report takes also --days: on how many days it was done.")
    number, days = whole(args.report, "--report", 1, 9999), whole(args.days, "--days", 0, 366)
    refuse(odd_letters(args.words))
    refusal = report_task(entry.record, entry.folder, number, days, args.words.strip())
    refuse([refusal] if refusal else [])
    record = entry.again()
    if args.json:
        print_json({"student": record.id, "task": _plain(number, record.entire.tasks[number - 1])})
    else:
        print(reported_words(record, entry.on, number, text_width()), end="")
    return Exit.READY


def _list(args: argparse.Namespace, entry: Entry) -> Exit:
    """List the tasks; none while a hold is open."""
    answer, record = entry.answer(), entry.record
    practice = practice_on(record.tasks, entry.course.band[answer.band], entry.on)
    if not args.json:
        print(task_list_words(answer, entry.course, record, practice, text_width()), end="")
        return Exit.READY
    paused = answer.verdict == "paused"
    numbered = [
        (i, task) for i, task in enumerate(record.entire.tasks, 1)
        if task in record.tasks and task.given <= entry.on and not paused
    ]  # fmt: skip
    print_json({
        "student": record.id, "on": iso(entry.on), "paused": paused,
        "tasks": [_plain(i, task) for i, task in numbered],
        "practice": None if paused else _sums(practice),
        "cautions": ["C1"] if paused else ["C4"] if practice.too_much else [],
    })  # fmt: skip
    return Exit.READY


def _plain(number: int, task: Task) -> dict[str, object]:
    return {
        "number": number, "given": iso(task.given), "for_skill": task.for_skill, "text": task.text,
        "minutes_day": task.minutes_day, "days_planned": task.days_planned,
        "days_reported": task.days_reported, "reported": task.reported, "line": task.line,
    }  # fmt: skip


def _sums(practice: Practice) -> dict[str, object]:
    return {
        "minutes_day": practice.minutes_day, "usual": list(practice.usual),
        "minutes_week": practice.minutes_week, "week_before": practice.week_before,
        "too_much": list(practice.too_much),
    }  # fmt: skip
