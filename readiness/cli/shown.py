"""``readiness shown ID``: what exactly was shown in a lesson, and what it changed."""

from __future__ import annotations

import argparse
from dataclasses import replace

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.entering import add_entry_options, open_entry, print_json
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.record.model import HELPS
from readiness.words.empty import no_lesson_words
from readiness.words.noting import shown_words


def shown_arguments(parser: Parser) -> None:
    """Add the arguments."""
    add_entry_options(parser, "the lesson of that day, or the one before")


@command("shown", shown_arguments)
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
    if args.json:
        today = [one for one in record.lessons if one.on == entry.on]
        print_json({
            "student": record.id,
            "on": iso(entry.on),
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
                for lesson in today
            ],
            "changed": {
                skill: [before.standings[skill].state, after.standings[skill].state]
                for skill in entry.course.skill
                if before.standings[skill].state != after.standings[skill].state
            },
            "verdict_before": before.verdict,
            "verdict": after.verdict,
        })  # fmt: skip
    else:
        print(shown_words(before, after, entry.course, record, text_width()), end="")
    return Exit.READY
