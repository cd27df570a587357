"""``readiness correct ID``: something was noted wrongly; ``move-note``: for the wrong student."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace

from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import student_options
from readiness.cli.day import day_asked
from readiness.cli.inputs import Entry, open_entry, refuse, respond, taken
from readiness.cli.note import OfferedSkills, near_skills, steps
from readiness.course.find import find_skills
from readiness.days import iso
from readiness.record.corrections import correct, move_lessons, stays
from readiness.record.model import SHOWN, Lesson
from readiness.record.noting import NewLesson, odd_letters
from readiness.record.undo import last_entry, move_entry
from readiness.toml.write import Refusal
from readiness.words.noting import (
    corrected_words,
    entry_words,
    lessons_words,
    moved_words,
    no_such_lesson_words,
    not_noted_words,
)
from readiness.words.phrases import Phrases


@command(
    "correct",
    option("--why", metavar="WORDS", default="", help="a few words, kept beside it"),
    option("--by", metavar="INITIALS", default="", help="who says so"),
    student_options("the day that was noted wrongly", "that of the latest lesson"),
    option(
        "loose", metavar="SKILLS", nargs="*",
        help="what was noted wrongly; a figure (1 to 5) before it: how it was in truth; nothing: all of it",
    ),
)
def run_correct(args: argparse.Namespace) -> Exit:
    """Keep that something was noted wrongly; the old note stays and counts no longer."""
    entry, lessons = _lessons(args)
    refuse(odd_letters(args.by, args.why))
    answer = entry.answer()
    near = near_skills(OfferedSkills(entry), answer)
    noted = [one.skill for lesson in lessons for one in lesson.showings]
    wrong: list[Refusal] = []
    given: dict[str, int] = {}
    for how, text in steps(args.loose, wrong, bare=-1):
        for skill in find_skills(entry.course, text, own=(noted, *near)):
            if isinstance(skill, Refusal):
                wrong.append(skill)
            elif skill not in noted:
                told = not_noted_words(entry.course, entry.record, entry.on, skill)
                wrong.append(Refusal("not-noted", told))
            else:
                given[skill] = how
    refuse(wrong)
    helps = {skill: how for skill, how in given.items() if 0 <= how < len(SHOWN)}
    today, why = day_asked(None, entry.studio.today), args.why.strip()
    instead = NewLesson(entry.on, helps, by=args.by.strip())
    record = entry.written(correct(entry.record.entire, entry.folder, list(given), instead, today, why))
    after = entry.answer(record)
    return respond(args, lambda: {
        "student": record.id, "on": iso(entry.on), "corrected": list(given) or noted,
        "verdict_before": answer.verdict, "verdict": after.verdict,
    }, corrected_words(answer, Phrases(after, entry.course, record), given, lessons))  # fmt: skip


def _lessons(args: argparse.Namespace) -> tuple[Entry, Sequence[Lesson]]:
    """Return the file and the lessons of the day that was typed; without one those of the latest day."""
    entry = open_entry(args)
    lessons = entry.record.entire.lessons
    days = [one.on for one in lessons if one.on <= entry.on]
    if args.on is None and days:
        entry = replace(entry, on=max(days))
    found = [one for one in lessons if one.on == entry.on]
    if not found:
        raise CommandError(no_such_lesson_words(entry.record, entry.on))
    return entry, found


# ``readiness move-note ID OTHER``: what was noted for the wrong student.


@command(
    "move-note",
    student_options("the day of a lesson", "what was noted last, whatever it was"),
    option("other", metavar="OTHER", help="whose it was"),
)
def run_move_note(args: argparse.Namespace) -> Exit:
    """Take a lesson, or what was noted last, out of one file and put it into another, in one step."""
    entry, lessons = _moving(args)
    there = open_entry(argparse.Namespace(**{**vars(args), "student": args.other, "on": iso(entry.on)}))
    if there.record.id == entry.record.id:
        raise CommandError(f"both are {entry.record.name}; please say for which other student it was.")
    there.check_day()
    were = entry.answer(), there.answer()
    if lessons:
        today = day_asked(None, entry.studio.today)
        what = lessons_words(lessons)
        refused = move_lessons(entry.record.entire, there.record, entry.folder, lessons, today)
    else:
        found = taken(last_entry(entry.path))
        refuse(stays(found[1], entry.record, there.record))
        what, refused = entry_words(found[0]), move_entry(entry.path, there.path, entry.folder)
    refuse(refused)
    now = [(one, one.again()) for one in (entry, there)]
    turns = [
        (was, Phrases(one.answer(record), one.course, record))
        for was, (one, record) in zip(were, now, strict=True)
    ]
    return respond(args, lambda: {
        "from": entry.record.id, "to": there.record.id, "on": iso(entry.on), "moved": what,
        "verdicts": {after.record.id: after.answer.verdict for _, after in turns},
    }, moved_words(what, turns))  # fmt: skip


def _moving(args: argparse.Namespace) -> tuple[Entry, Sequence[Lesson]]:
    """Return the file and the lessons to be moved: of a day, else noted last; none: another entry."""
    entry = open_entry(args)
    found = last_entry(entry.path)
    if args.on is not None or isinstance(found, Refusal) or found[1] == {"lesson"}:
        entry, lessons = _lessons(args)
        if args.on is None:
            lessons = [max(entry.record.entire.lessons, key=lambda one: one.line)]
            entry = replace(entry, on=lessons[0].on)
        return entry, lessons
    return entry, ()
