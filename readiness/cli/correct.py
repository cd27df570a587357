"""Notes put right (``correct``, ``move-note``) or read from a sheet of paper (``enter``).

``readiness enter ID CODES``: a sheet that was filled in on paper, as fast as it is read aloud.

A code is the number of a line and the letter of how it was shown: 1a 2c 3-. The word on the sheet says
that it is the very sheet the numbers belong to; without it the one is meant that would be printed now.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from readiness.advice.sheet import CheckSheet, check_sheet
from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import day_asked, student_options
from readiness.cli.inputs import Entry, open_entry, refuse, respond, taken
from readiness.cli.note import OfferedSkills, day_unsure, near_skills, steps, write_lesson, yes_option
from readiness.course.find import find_skills
from readiness.days import iso
from readiness.lazy import dataclass
from readiness.record.model import SHOWN, Lesson
from readiness.record.noting import NewLesson, check_lesson, odd_letters
from readiness.record.undo import correct, last_entry, move_entry, move_lessons, stays
from readiness.toml.write import Refusal
from readiness.words.english import HELP_WORDS
from readiness.words.lesson import CODES
from readiness.words.lists import no_such_lesson_words
from readiness.words.noting import corrected_words, entry_words, lessons_words, moved_words, not_noted_words
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


_CODE: Final = re.compile(rf"(?P<line>\d{{1,2}})(?:\.(?P<part>\d{{1,2}}))?(?P<how>[{CODES}-])", re.IGNORECASE)
_WORD: Final = re.compile(r"[a-z]{3}", re.IGNORECASE)


@command(
    "enter",
    option("--by", metavar="INITIALS", default="", help="who noted it"),
    option("--text", metavar="WORDS", default="", help="a few words about the lesson"),
    yes_option,
    student_options("the day of the sheet"),
    option("loose", metavar="CODES", nargs="*", help="the word of the sheet, then a code a line"),
)
def run_enter(args: argparse.Namespace) -> Exit:
    """Note a sheet from its codes."""
    entry = open_entry(args)
    words = " ".join(args.loose).replace(",", " ").split()
    word = words[0].lower() if words and _WORD.fullmatch(words[0]) else ""
    found = _sheets(entry) if word else iter([check_sheet(entry.course, entry.record, entry.answer())])
    sheet = next((one for one in found if word in ("", one.word)), None)
    if sheet is None:
        raise CommandError(
            f'no sheet of {entry.record.name} for that day has the word "{word}": more was noted since, or '
            f"it is of another day (--on). `readiness note {entry.record.id}` takes names of skills."
        )
    read = _read(sheet, words[bool(word) :])
    refuse(read.wrong)
    left = tuple(skill for skill, how in read.given.items() if how == len(CODES))
    helps = {skill: how for skill, how in read.given.items() if how < len(CODES)}
    lesson = NewLesson(entry.on, helps, left, args.by, args.text)
    unsure = day_unsure(args, entry)
    refuse([*check_lesson(entry.course, entry.record, lesson, tuple(read.given), entry.latest), *unsure])
    return write_lesson(args, entry, entry.answer(), lesson)


def _sheets(entry: Entry) -> Iterator[CheckSheet]:
    """Yield every sheet that may have been printed: now or before the lesson, for any minutes."""
    earlier = tuple(one for one in entry.record.lessons if one.on != entry.on)
    for minutes in (None, *range(1, 61)):
        for record in (entry.record, replace(entry.record, lessons=earlier)):
            yield check_sheet(entry.course, record, entry.answer(record), None, minutes)


@dataclass
class _Read:
    """What codes say: by skill the help (one more than the ladder has is not asked), and what is wrong."""

    given: dict[str, int]
    wrong: list[Refusal]


def _read(sheet: CheckSheet, words: Sequence[str]) -> _Read:
    """Read codes, of a line before those of its parts."""
    text, read = " ".join(words), _Read({}, [])
    rest = _CODE.sub(" ", text).strip()
    if rest or not words:
        told = f'"{rest}" is no code' if rest else "there are no codes"
        ladder = ", ".join(f"{code} {words}" for code, words in zip(CODES, HELP_WORDS, strict=True))
        told += f"; a code is a line and how it was shown, as in 1a 2c 3-: {ladder}, - not asked."
        read.wrong.append(Refusal("no-code", told))
    codes = sorted(_CODE.finditer(text), key=lambda one: bool(one["part"]))
    seen: set[tuple[str, str | None]] = set()
    for code in codes:
        skills = _skills(sheet, int(code["line"]), code["part"])
        twice = (code["line"], code["part"]) in seen
        if not skills or twice:
            why = "is there twice" if twice else "names no line of this sheet with a skill"
            read.wrong.append(Refusal("odd-code", f"{code[0]} {why}."))
        seen.add((code["line"], code["part"]))
        how = len(CODES) if code["how"] == "-" else CODES.index(code["how"].lower())
        read.given |= dict.fromkeys(skills, how)
    return read


def _skills(sheet: CheckSheet, line: int, part: str | None) -> tuple[str, ...]:
    skills = sheet.items[line - 1].skills if 1 <= line <= len(sheet.items) else ()
    return skills if part is None else skills[int(part) - 1 : int(part)] if int(part) else ()
