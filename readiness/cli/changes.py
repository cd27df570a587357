"""``readiness changed ID --since DATE``: why the verdict has changed, though nothing was noted."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from readiness.advice.as_json import changed_to_dict
from readiness.advice.changes import Question, why_changed
from readiness.advice.timeline import Edit
from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import add_full_option, day_meant, print_problems, student_options
from readiness.cli.inputs import open_entry, respond
from readiness.course.load import load_course
from readiness.course.model import Course
from readiness.days import iso
from readiness.editing.course_history import CourseThen, course_then
from readiness.judging.answer import Answer
from readiness.record.model import HELPS, Record
from readiness.toml.problems import errors
from readiness.words.changes import changed_sections
from readiness.words.grammar import date_words
from readiness.words.lists import no_lesson_words
from readiness.words.noting import shown_words
from readiness.words.phrases import Phrases


@command(
    "changed",
    student_options("the later day"),
    option("--since", metavar="DATE", required=True, help="the earlier day, as in 2025-11-25"),
    option(
        "--old-course", metavar="DIR", type=Path,
        help="a copy of the course as it was on the earlier day (default: from its folder's git history)",
    ),
    add_full_option,
)
def run_changed(args: argparse.Namespace) -> Exit:
    """Tell what changed, when and why."""
    entry = open_entry(args, writes=False)
    course, record, on = entry.course, entry.record, entry.on
    since = day_meant(args.since, "--since", on, entry.studio.date_order, -1)
    if since >= on:
        raise CommandError(
            f"--since takes a day before {date_words(on)}, the day asked about; --on asks about another day."
        )
    copy = args.old_course
    then = _from_copy(course, copy) if copy is not None else course_then(course, since, on)
    found = why_changed(Question(record, since, on, then.course, then.edits, entry.calendar))
    respond(
        args,
        lambda: changed_to_dict(found, then.known_by),
        changed_sections(found, then.now.on(on), record, then.known_by),
    )
    return Exit.READY if found.later.is_ready else Exit.NOT_READY


def _from_copy(course: Course, copy: Path) -> CourseThen:
    """Return the course of the copy that was named.

    Raises:
        CommandError: it is no course; its problems have been printed.
    """
    loaded = load_course(copy)
    if loaded.course is None:
        print_problems(errors(loaded.problems))
        raise CommandError
    return CourseThen(loaded.course, (Edit(None, "", "", course),), "folder")


# ``readiness shown ID``: what exactly was shown in a lesson, and what it changed.


@command("shown", student_options("the lesson of that day, or the one before"), add_full_option)
def run_shown(args: argparse.Namespace) -> Exit:
    """Show the latest lesson day up to the day asked about."""
    entry = open_entry(args, writes=False)
    days = [lesson.on for lesson in entry.record.lessons if lesson.on <= entry.on]
    if not days:
        raise CommandError(no_lesson_words(entry.record, entry.on))
    entry = replace(entry, on=max(days))
    record = entry.record
    without = replace(record, lessons=tuple(one for one in record.lessons if one.on != entry.on))
    before, after = entry.answer(without), entry.answer()
    return respond(
        args,
        lambda: _shown_to_dict(before, after, entry.course, record),
        shown_words(
            Phrases(before, entry.course, record), Phrases(after, entry.course, record), full=args.full
        ),
    )


def _shown_to_dict(before: Answer, after: Answer, course: Course, record: Record) -> dict[str, object]:
    states = {skill: [before.standings[skill].state, after.standings[skill].state] for skill in course.skill}
    return {
        "student": record.id,
        "on": iso(after.on),
        "lessons": [
            {
                "line": lesson.line,
                "by": lesson.by,
                "shown": {one.skill: HELPS[one.help] for one in lesson.showings},
                "not_tried": list(lesson.not_tried),
                "note": lesson.note,
                "remarks": dict(lesson.remarks),
                "disliked": list(lesson.disliked),
                "liked_again": list(lesson.liked_again),
                "tried_again": dict(lesson.tried_again),
            }
            for lesson in record.lessons
            if lesson.on == after.on
        ],
        "changed": {skill: pair for skill, pair in states.items() if pair[0] != pair[1]},
        "verdict_before": before.verdict,
        "verdict": after.verdict,
    }
