"""``import``: what stands in a table you have; ``calendar``: lessons to come, and a school's days.

What was understood is shown first; nothing is written before ``--write``. What is unclear is asked at a
terminal and elsewhere said with an option. What cannot be placed is kept beside the table.

What a school's calendar holds is shown with what it is taken for; nothing is written before ``--write``.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import Final

from readiness.advice.sheet import check_sheet
from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import (
    add_full_option,
    day_asked,
    day_for,
    day_meant,
    latest_day,
    locate_studio,
    open_studio,
    pick_student,
    say_unread,
    studio_options,
)
from readiness.cli.inputs import (
    never_the_demo,
    print_file,
    print_json,
    put_file,
    refuse,
    respond,
    sides,
    taken,
    tell_written,
    whole,
)
from readiness.cli.keys import Keys, is_terminal
from readiness.cli.output import aside, say, text_width
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.engine import judge
from readiness.record.checks import before_the_unit
from readiness.record.load import load_record
from readiness.record.model import HELPS, SHOWN, Record
from readiness.record.rhythm import FURTHEST, WEEK
from readiness.record.table_file import ORDERS, Cell, Question, Table, as_csv, read_table, shown
from readiness.record.table_notes import Choices, KnownNames, Understood, understand, write_notes
from readiness.school.students import judge_all
from readiness.studio.feed import MADE_BY, calendar_text, codes, feed_events
from readiness.studio.load import Studio
from readiness.studio.school_calendar import KINDS, SchoolEvent, add_to_studio, new_in, read_calendar
from readiness.toml.problems import render
from readiness.toml.write import Refusal
from readiness.words import importing
from readiness.words.cautions import caution
from readiness.words.english import namesakes
from readiness.words.layout import plain

_WHY: Final = "Why it was not noted"
_AS_WRITTEN: Final = "As written: "
"""Heads the last column of rows to finish, before what tells whether anybody changed them since."""
_HEADS: Final = ("Student", "Day", "Skill", "How", "By", "Remark")
_MOST_ASKED: Final = 20


@command(
    "import",
    option("file", metavar="FILE", nargs="?", type=Path, help="a table: CSV, XLSX or ODS"),
    option("--write", action="store_true", help="write it (without this it is only shown)"),
    option(
        "--column", metavar="ROLE=HEAD", action="append", default=[],
        help="which column holds what: student, day, skill, how, by, remark, born, unit, id, family, none",
    ),
    option(
        "--word", metavar="WORD=MEANING", action="append", default=[],
        help="what a word of the table means: a student, a skill, or alone, cue, model, hands-on, not-shown, "
        "not-tried, nothing",
    ),
    option("--dates", choices=list(ORDERS), help="the order of day, month and year"),
    option("--scale", metavar="1|5", help="of numbers from 1 to 5, the one for without help"),
    option("--student", metavar="ID", help="whose notes they are, where no column says it"),
    option("--sheet", metavar="NAME", help="which sheet of the file (default: the first)"),
    option(
        "--template", metavar="class|sheet", nargs="?", const="class",
        help="an empty table in place of reading one: for a class, or --student's next check",
    ),
    add_full_option,
    studio_options("the day of the notes, where no column says it", ""),
)
def run_import(args: argparse.Namespace) -> Exit:
    """Show what was understood; write it with ``--write``."""
    studio, course = open_studio(args)
    if args.template is not None:
        return _template(args, studio, course)
    if args.file is None:
        raise CommandError(importing.NOT_A_TABLE)
    if args.write:
        never_the_demo(studio.where, args)
    table = taken(read_table(args.file, args.sheet))
    if not table.rows:
        raise CommandError(f"{args.file} holds nothing.")
    found = _understood(args, table, studio, course)
    if found.questions:
        raise CommandError("\n".join(map(importing.question_words, found.questions)))
    if not args.json:
        told = importing.understood_words(args.file, table, found, course, full=args.full)
        say([*told, plain("" if args.write else importing.next_words(found))])
    return _finish(args, table, found, studio, course)


def _understood(args: argparse.Namespace, table: Table, studio: Studio, course: Course) -> Understood:
    """Return what is understood, once everything that can be asked has been."""
    folder = studio.where.students
    assert folder is not None
    choices, latest = _choices(args, studio), latest_day(studio.today)
    asked: set[str] = set()
    while True:
        found = understand(table, KnownNames(course, studio.records.values(), choices), folder, latest)
        if not is_terminal() or args.json:
            return found
        unknown = [word for _, word in found.unknown if word not in asked]
        if found.questions:
            choices = _ask(found.questions[0], choices)
        elif unknown and len(asked) < _MOST_ASKED:
            asked.add(unknown[0])
            asks = f'What does "{unknown[0]}" mean here? (Enter: leave it for later) '
            if typed := (Keys().line(asks) or "").strip():
                choices = replace(choices, words={**choices.words, unknown[0]: typed})
        else:
            return found


def _choices(args: argparse.Namespace, studio: Studio) -> Choices:
    scale = re.fullmatch(r"(?:best=)?([15])(?:[-=](?:best|alone))?", args.scale or "1")
    if scale is None:
        told = f'--scale takes 1 or 5, the number for without help, and "{args.scale}" is neither.'
        raise CommandError(told)
    return Choices(
        dict(sides(one, "--column takes ROLE=HEAD") for one in args.column),
        dict(sides(one, "--word takes WORD=MEANING", last=True) for one in args.word),
        args.dates or "",
        int(scale[1]) if args.scale else 0,
        pick_student(studio, args.student).id if args.student else "",
        None if args.on is None else day_asked(args.on, studio.today, studio.date_order, -1),
    )


def _ask(question: Question, choices: Choices) -> Choices:
    keys = Keys()
    keys.say(question.text)
    for number, choice in enumerate(question.choices, 1):
        keys.say(f"  {number}  {ORDERS.get(choice, choice)}")
    typed = (keys.line("Which one? ") or "").strip()
    if not typed:
        raise CommandError(importing.question_words(question))
    by_number = question.kind != "scale" and typed.isdecimal() and 0 < int(typed) <= len(question.choices)
    answer = question.choices[int(typed) - 1] if by_number else typed
    if question.kind == "column":
        return replace(choices, columns={**choices.columns, question.about: answer})
    if answer not in question.choices:
        raise CommandError(importing.question_words(question))
    if question.kind == "dates":
        return replace(choices, order=answer)
    return replace(choices, best=int(answer))


def _finish(
    args: argparse.Namespace, table: Table, found: Understood, studio: Studio, course: Course
) -> Exit:
    """Write where that was asked for: first what cannot be placed, so that nothing is lost."""
    folder, done, refused = studio.where.students, list[str](), list[str]()
    assert folder is not None
    token = sha256(args.file.read_bytes() + str(args.sheet).encode()).hexdigest()[:8]
    unfinished = _unfinished_path(args.file) if args.write and found.unplaced else None
    if unfinished is not None:
        text = as_csv(_unfinished(table, found), table.separator or ",")
        seal = _AS_WRITTEN + sha256(text.encode()).hexdigest()[:16]
        put_file(unfinished, text.replace(_AS_WRITTEN, seal), _is_as_written)
    if args.write:
        for student, wrong in write_notes(course, found, folder, token):
            done += [student] if wrong is None else []
            refused += [wrong.message] if wrong is not None else []
    if args.json:
        print_json(_as_dict(args, course, found, done, unfinished, token))
    elif args.write:
        print()
        there = [one for one in found.students if one.record.id in done]
        noted = [one.record.id for one in there if one.lessons or one.starts]
        new = [one.record.id for one in there if one.new is not None]
        say(importing.written_words(noted, new, unfinished, token))
        _say_uncounted(noted, folder, course)
        if done:
            aside(caution("C9"))
    refuse(Refusal("not-written", message) for message in refused)
    return Exit.READY if found.students or found.already or not found.unplaced else Exit.WRONG


def _say_uncounted(students: Iterable[str], folder: Path, course: Course) -> None:
    """Print of which students lessons came before the unit that they were noted for."""
    for record in filter(None, (load_record(folder / f"{one}.toml", course).record for one in students)):
        for problem in before_the_unit(record, course):
            print(f"\n{render(problem, width=text_width())}")


def _unfinished_path(file: Path) -> Path:
    """Return where the rows to finish go: beside the table, never over it or what a person changed."""
    before = re.fullmatch(r"(.*)-unfinished(?:-(\d+))?", file.stem)
    stem, first = (file.stem, 1) if before is None else (before[1], int(before[2] or 1) + 1)
    names = (f"{stem}-unfinished{f'-{number}' if number > 1 else ''}.csv" for number in count(first))
    paths = (file.with_name(name) for name in names)
    return next(path for path in paths if not path.is_file() or _is_as_written(path.read_bytes()))


def _is_as_written(data: bytes) -> bool:
    """Return whether rows to finish are as they were written here, and nobody changed any since."""
    seals = re.findall(rb"(?<=%s)[0-9a-f]{16}" % _AS_WRITTEN.encode(), data)
    return bool(seals) and sha256(data.replace(seals[-1], b"")).hexdigest()[:16].encode() == seals[-1]


def _unfinished(table: Table, found: Understood) -> Iterator[Sequence[Cell]]:
    """Yield what stands above, the heads, and the rows that are not placed, each with its reason."""
    for number, row in enumerate(table.rows[: found.heads.row + 1]):
        yield (*row, *(("Row", _WHY, _AS_WRITTEN) if number == found.heads.row else ("", "")))
    for one in found.unplaced:
        yield (*one.row, str(one.number), one.why)


def _as_dict(
    args: argparse.Namespace,
    course: Course,
    found: Understood,
    done: Sequence[str],
    unfinished: Path | None,
    token: str,
) -> dict[str, object]:
    return {
        "file": str(args.file),
        "columns": {one.head: one.role or one.why for one in found.heads.columns},
        "words": [
            {"role": role, "word": word, "meaning": meant, "times": times}
            for (role, word, meant), times in sorted(found.words.items())
        ],
        "notes": [
            {"student": mine.record.id, "on": iso(lesson.on), "by": lesson.by, "note": lesson.note,
             **{name: [skill for skill, given in lesson.helps.items() if HELPS[given] == HELPS[at]]
                for at, name in enumerate(SHOWN)},
             "not_tried": list(lesson.not_tried), "remarks": dict(lesson.remarks)}
            for mine in found.students for lesson in mine.lessons.values()
        ],
        "held": [
            {"student": record.id, "on": iso(day), "skills": list(skills)}
            for record, day, skills in found.held(course)
        ],
        "new": [mine.record.id for mine in found.students if mine.new is not None],
        "already": found.already,
        "silent": list(found.silent),
        "not_placed": [
            {"row": one.number, "why": one.why, "cells": [shown(cell) for cell in one.row]}
            for one in found.unplaced
        ],
        "written": list(done),
        "import": token,
        "unfinished": None if unfinished is None else str(unfinished),
    }  # fmt: skip


def _template(args: argparse.Namespace, studio: Studio, course: Course) -> Exit:
    """Write an empty table to FILE, else to the output."""
    kind, file = args.template, args.file
    if kind not in ("class", "sheet"):
        if file is not None:
            raise CommandError(f'--template takes class or sheet, and "{kind}" is neither.')
        kind, file = ("sheet" if args.student else "class"), Path(kind)
    if kind == "sheet" and not args.student:
        raise CommandError("a sheet is one student's; please say whose with --student ID.")
    day = "" if args.on is None else iso(day_for(args, studio)) or ""
    if kind == "class":
        text = as_csv(_class_rows(studio, course, day))
    else:
        text = as_csv(_sheet_rows(args, studio, course, pick_student(studio, args.student)))
    if file is None:
        print(text.lstrip("\ufeff").replace("\r\n", "\n"), end="")
    else:
        put_file(file, text)
        tell_written(f"{file} is written. {caution('C8')}")
    return Exit.READY


def _class_rows(studio: Studio, course: Course, day: str) -> Iterator[Sequence[str]]:
    """Yield a grid: a row a student, a column for each skill of the units they are in."""
    records = list(studio.records.values())
    units = {max(one.unit_starts, key=lambda start: start.on).unit for one in records if one.unit_starts}
    units = units or {course.units[0].id}
    skills = [one for one in course.skills if one.unit in units and one.id not in course.gone]
    names = [one.name for one in course.skills]
    shared = namesakes(one.name for one in records)
    heads = (one.name if names.count(one.name) == 1 else one.id for one in skills)
    yield ("Student", "Day", *heads, "Remark")
    for one in records:
        yield (one.id if one.name.casefold() in shared else one.name, day, *("" for _ in skills), "")


def _sheet_rows(
    args: argparse.Namespace, studio: Studio, course: Course, record: Record
) -> Iterator[Sequence[str]]:
    """Yield a list with a row for each skill of a student's next check."""
    day = day_for(args, studio)
    yield _HEADS
    for thing in check_sheet(course, record, judge(course, record, day, studio.calendar(record.id))).items:
        yield from ((record.id, iso(day) or "", skill, "", "", "") for skill in thing.skills)


@command(
    "calendar",
    option("what", metavar="import", nargs="?", choices=["import"], help="bring in FILE"),
    option("file", metavar="FILE", nargs="?", type=Path, help="a school's calendar (.ics)"),
    option("--to", metavar="FILE", type=Path, help="write the calendar to this file"),
    option("--weeks", metavar="N", default="12", help="so many weeks of lessons (default: 12)"),
    option("--names", action="store_true", help="given names in place of initials"),
    option("--write", action="store_true", help="put what was read into studio.toml"),
    option(
        "--as", dest="meant", metavar="NAME=KIND", action="append", default=[],
        help="what the events of a name are: holiday, lesson, lesson:ID, event or leave",
    ),
    option("--zone", metavar="ZONE", default="", help="whose days they are, as in Europe/Vienna"),
    option("--until", metavar="DATE", help="read so far ahead (default: a year)"),
    studio_options(),
)
def run_calendar(args: argparse.Namespace) -> Exit:
    """Write the calendar out, or bring one in."""
    if args.what is not None:
        return _bring_in(args)
    studio, course = open_studio(args)
    on = day_for(args, studio)
    until = on + WEEK * whole(args.weeks, "--weeks", 1, 104)
    records = list(studio.records.values())
    judged = judge_all(course, records, on, studio.calendar)
    events = feed_events(course, judged, until)
    called = {one.id: one.name for one in records} if args.names else codes(records)
    titles = [importing.feed_title(one.kind, called[one.student]) for one in events]
    if undated := [called[one.record.id] for one in judged if not one.answer.is_day_known]:
        aside(importing.undated_words(undated))
    if args.json:
        told = [{"on": iso(one.day), "kind": one.kind, "title": title, "uid": one.uid}
                for one, title in zip(events, titles, strict=True)]  # fmt: skip
        print_json({"on": iso(on), "events": told})
        return say_unread(studio, Exit.READY)
    try:
        text = calendar_text(events, titles, studio.name or "readiness", on).decode()
    except ImportError:
        raise CommandError("making a calendar needs `pip install '.[calendar]'`.") from None
    if args.to is None:
        print_file(text, "lessons.ics")
    else:
        put_file(args.to, text, lambda data: MADE_BY.encode() in data)
        tell_written(f"{args.to} is written. {caution('C8')}")
    return say_unread(studio, Exit.READY)


def _bring_in(args: argparse.Namespace) -> Exit:
    if args.file is None:
        raise CommandError("please name the calendar, as in `readiness calendar import school.ics`.")
    where = locate_studio(args.course, args.students)
    if args.write:
        never_the_demo(where, args)
    studio, _ = open_studio(args)
    file = studio.where.file
    if file is None or file.value is None:
        raise CommandError("holidays and lesson days stand in studio.toml, and there is none here.")
    on = day_for(args, studio)
    until = args.until and day_meant(args.until, "--until", on, studio.date_order, 1)
    span = (on - FURTHEST, until or on + FURTHEST)
    found = taken(read_calendar(args.file, span, args.zone, _meant(args, studio), _called(studio)))
    blocks, lessons = new_in(file.value, found)
    if args.write and (blocks or lessons):
        refuse(add_to_studio(file.path, found))
    new = len(blocks) + sum(map(len, lessons.values()))
    return respond(args, lambda: {
        "file": str(args.file), "events": [_event_to_dict(one) for one in found], "new": new,
        "written": bool(args.write and new),
    }, importing.calendar_words(args.file, found, new, file.path if args.write else None))  # fmt: skip


def _meant(args: argparse.Namespace, studio: Studio) -> dict[str, str]:
    """Return what was said about events by their names."""
    said = {}
    for text in args.meant:
        name, _, kind = (part.strip() for part in text.rpartition("="))
        first, _, who = kind.partition(":")
        if not name or first not in KINDS or (who and first != "lesson"):
            kinds = ", ".join(KINDS)
            raise CommandError(f'--as takes NAME=KIND, a kind being {kinds}; "{text}" is not that.')
        if who and who not in studio.records:
            raise CommandError(f'there is no student "{who}"; after lesson: stands the whole id.')
        said[name] = kind
    return said


def _called(studio: Studio) -> dict[str, str]:
    """Return the ids by what students are called, as long as one alone is called so."""
    names = [one.name.casefold() for one in studio.records.values()]
    alone = {one.name: one.id for one in studio.records.values() if names.count(one.name.casefold()) == 1}
    return {**{one: one for one in studio.records}, **alone}


def _event_to_dict(event: SchoolEvent) -> dict[str, object]:
    days = [[date.fromordinal(day).isoformat() for day in span] for span in event.days]
    return {"name": event.name, "kind": event.kind, "who": event.who or None, "days": days}
