"""What most commands begin with: find the studio, read it, pick a student and the day asked about.

Problems are printed where they stand (``file:line:column:``) on the error stream. No other module
of the commands looks at a clock.
"""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, suppress
from datetime import date, datetime
from pathlib import Path
from typing import Final

from readiness.cli.commands import Argument, CommandError, Exit, Parser
from readiness.cli.output import as_sentence, aside, text_width, watched
from readiness.course.model import Course
from readiness.days import DAY_MONTH, LONG_AGO, YEARS, birth_day, iso, month_number, written_day
from readiness.lazy import regex
from readiness.record.append import finish
from readiness.record.checks import odd_days
from readiness.record.load import LoadedRecord, load_without_course
from readiness.record.model import Record
from readiness.studio.cache import as_told, keeping, kept_name, kept_names
from readiness.studio.find import FILE_NAME, Location, StudioNotFoundError, find_studio
from readiness.studio.kept_files import cache_folder
from readiness.studio.load import COPY, Studio, load_studio, student_files
from readiness.toml.problems import Problem, errors, render
from readiness.toml.texts import composed, did_you_mean
from readiness.toml.write import settle
from readiness.words.english import namesake_words
from readiness.words.grammar import commands, counted, date_words, no_day_words, speak, worded
from readiness.words.lists import NO_STUDENT, begun_pause_words, mend_course_words, mend_words

__all__ = [
    "add_day_option", "add_full_option", "add_studio_options", "answers_told", "born_typed",
    "course_without_errors", "day_asked", "day_for", "day_meant", "latest_day", "locate_studio",
    "meant_so_far", "only_file", "open_studio", "pick_id", "pick_student", "print_problems",
    "read_studio", "say_files", "say_unread", "sought", "student_options", "studio_options",
    "tell_begun_pauses",
]  # fmt: skip

_FAR: Final = 120
"""So many days ahead a day is odd that was written without its year."""
_FAR_APART: Final = 60
"""Where the other order of day and month is so many days nearer, it is asked which was meant."""
_YEARS_ON: Final = 3660
"""Read so many days later, a day without its year is another one."""
_BORN: Final = regex(r"\d{4}-\d{2}(-\d{2})?")


def add_day_option(parser: Parser, what: str = "the day asked about", default: str = "today") -> None:
    """Add ``--on``; ``default``: what is meant without it, nothing where that needs no words."""
    how = "2025-12-02, 2 Dec, tue, yesterday"
    told = f" (default: {default})" if default else ""
    parser.add_argument("--on", metavar="DATE", help=f"{what}, as in {how}{told}")


def day_asked(typed: str | None, fixed: int | None, order: str = DAY_MONTH, when: int = 0) -> int:
    """Return the day that was typed, else the one the studio fixes, else today's.

    Args:
        typed: as people write days; fixed: the day that the studio fixes.
        order: what comes first in 10/12, see :func:`day_meant`.
        when: -1 for a day that has been, see :func:`day_meant`.
    """
    today = fixed if fixed is not None else _clock()
    return today if typed is None else day_meant(typed, "--on", today, order, when)


def day_meant(text: str, where: str, today: int, order: str = DAY_MONTH, when: int = 0) -> int:
    """Return the number of a day as people write it, see :func:`readiness.days.written_day`.

    Args:
        text: what was typed; where: the option it was typed for.
        today, order, when: as there; a far one is refused, see :func:`meant_so_far`.

    Raises:
        CommandError: it is no day, or without its year one to come where one is asked for that has been.
    """
    found = written_day(text, today, order, when)
    if found is None:
        with suppress(ValueError):
            if date.fromisoformat(text).year not in YEARS:
                raise CommandError(f"{where} takes a day from {YEARS[0]} to {YEARS[-1]}, and {text} is not.")
        near = "tomorrow" if when > 0 else "yesterday"
        no_day = no_day_words(text, today, order, when)
        raise CommandError(f"{where} takes a day such as 2025-12-02, 2 Dec, tue or {near}, and {no_day}")
    last = written_day(text, found - LONG_AGO // 2, order, -1)
    if when < 0 < found - today and any(map(str.isdigit, text)) and last != found:
        ahead = "tomorrow" if found - today == 1 else f"in {found - today} days, on {date_words(found)}"
        told = f'"{text}" is {ahead}, and {where} takes a day that has been.'
        no_year = "" if text.startswith("in ") else f" For the last one, write the year: {where} {iso(last)}."
        raise CommandError(f"{told}{no_year}")
    return meant_so_far(found, text, where, today, order) if when else found


def meant_so_far(day: int, text: str, where: str, today: int, order: str) -> int:
    """Return a day; one far away that was written without its year, or may be another nearer one, is refused.

    A day that has just been would otherwise be that of next year in silence, tomorrow that of last year.

    Args:
        day: what was understood; text, where, today, order: as for :func:`day_meant`.

    Raises:
        CommandError: it is far away, or could be meant the other way round.
    """
    has_year = written_day(text, today + _YEARS_ON, order, 1 if day > today else -1) == day
    turned = "month-day" if order == DAY_MONTH else DAY_MONTH
    other = written_day(text, today, turned, 1 if day > today else -1) if "/" in text else None
    if not has_year and other is not None and abs(other - today) + _FAR_APART < abs(day - today):
        meant = f'"{text}" can be {date_words(day)} or {date_words(other)}'
        raise CommandError(f"{meant}. Write the month as a word, or the year: {where} {iso(other)}.")
    if -LONG_AGO <= day - today <= _FAR or has_year:
        return day
    away = f"{day - today} days ahead" if day > today else f"{today - day} days ago"
    told = f'"{text}" would be {date_words(day)}, {away}.'
    raise CommandError(f"{told} If that is right, write the year: {where} {iso(day)}.")


def day_for(args: argparse.Namespace, studio: Studio) -> int:
    """Return the day that a question in a studio is about: the one typed for ``--on``, or today."""
    return day_asked(args.on, studio.today, studio.date_order)


def latest_day(fixed: int | None) -> int:
    """Return the latest day on which something can have happened.

    A studio that fixes its day may fix one that has not come; then that one counts.
    """
    return max(_clock(), fixed or 0)


def _clock() -> int:
    return datetime.now().astimezone().date().toordinal()


_YEAR: Final = r"(?P<year>\d{4}|\d{2})"
_MONTH: Final = r"(?P<month>\d{1,2}|[A-Za-z]{3,9})"
_BORN_SHAPES: Final = (
    regex(rf"{_YEAR}[-./ ] ?{_MONTH}", re.ASCII),
    regex(rf"{_MONTH}[-./ ] ?{_YEAR}", re.ASCII),
)


def born_typed(text: str) -> str:
    """Return a birth month or day as typed; a CommandError, with what was meant, where it is none."""
    typed = text.strip()
    with suppress(ValueError):
        if _BORN.fullmatch(typed) and int(typed[:4]) in YEARS and birth_day(typed):
            return typed
    meant = _month_meant(typed) or iso(written_day(typed, _clock(), when=-1))
    told = f'--born takes a month such as 2019-05, or a day, and "{text}" is not.'
    raise CommandError(f"{told} Did you mean {meant}?" if meant else told)


def _month_meant(typed: str) -> str | None:
    for shape in _BORN_SHAPES:
        found = shape.fullmatch(typed)
        if found is not None and 1 <= (month := month_number(found["month"])) <= 12:
            year = int(found["year"]) + 2000 * (len(found["year"]) == 2)
            return f"{year}-{month:02}" if year in YEARS else None
    return None


_MANY: Final = 100


def student_options(
    day: str = "the day asked about", default: str = "today", *, may_leave_out: bool = False
) -> Argument:
    """Return what adds what every command about one student takes: whom, and :func:`studio_options`.

    Args:
        day: which day ``--on`` is; default: which it is without it.
        may_leave_out: whether there is something to do without a student, too.
    """
    whom = "a student's id, its beginning, or the given name"

    def add(parser: Parser) -> None:
        parser.add_argument("student", metavar="ID", nargs="?" if may_leave_out else None, help=whom)
        studio_options(day, default)(parser)

    return add


def studio_options(day: str = "the day asked about", default: str = "today") -> Argument:
    """Return what adds the day, where the studio is, and ``--json``, the first of the shapes."""

    def add(parser: Parser) -> None:
        add_day_option(parser, day, default)
        add_studio_options(parser)
        parser.shapes = parser.add_mutually_exclusive_group()
        parser.shapes.add_argument("--json", action="store_true", help="one JSON object, for other programs")

    return add


def add_studio_options(parser: Parser) -> None:
    """Add ``--course`` and ``--students``."""
    for name, held in (("--course", "graph.toml and pacing.toml"), ("--students", "the student files")):
        parser.add_argument(name, metavar="DIR", type=Path, help=f"the folder with {held}")


def add_full_option(parser: Parser) -> None:
    """Add ``--full``: what is not needed every time (``words.layout``)."""
    parser.add_argument(
        "--full", action="store_true", help="all of it: dates, lines of the files, rules, cautions in full"
    )


def sought(find: Callable[..., Location], *named: Path | None) -> Location:
    """Return where a studio is, by one of the two ways of ``studio.find``; refuse where it finds none."""
    try:
        return find(*named, Path.cwd(), os.environ)
    except StudioNotFoundError as error:
        raise CommandError(str(error)) from None


def locate_studio(course: Path | None, students: Path | None) -> Location:
    """Return where the studio is; say so when it is the demo."""
    where = sought(find_studio, course, students)
    if where.is_demo:
        used = " and ".join(
            what for what, given in (("course", course), ("students", students)) if given is None
        )
        aside(f"no studio.toml here or above, so this uses the demo {used}.")
    return where


def open_studio(args: argparse.Namespace, student: str | None = None) -> tuple[Studio, Course]:
    """Return the studio and its course.

    Args:
        student: whom alone it is about. Where there are very many students, only that one's
            file is read, so that an answer about one never waits for all.

    Raises:
        CommandError: the course or ``studio.toml`` has errors; they have been printed.
    """
    where = locate_studio(args.course, args.students)
    studio = read_studio(where, only_file(where, student))
    print_problems(p for p in studio.problems if p.severity == "error" or p.place.file.name == FILE_NAME)
    wrong = errors(studio.problems)
    if studio.course is None or wrong:
        raise CommandError(mend_course_words(len(wrong)))
    speak(studio.wording)
    if student is None:
        tell_begun_pauses(studio, studio.records.values())
    return studio, studio.course if getattr(args, "json", False) else worded(studio.course)


def tell_begun_pauses(studio: Studio, records: Iterable[Record]) -> None:
    """Say of whom a pause was typed and not kept, unless there is one today."""
    from readiness.record.draft_entry import begun_pauses  # here: most of what opens a studio enters nothing

    begun = begun_pauses(studio.where.students) if studio.where.students is not None else ()
    for record in records:
        if record.id in begun and not record.open_holds(day_asked(None, studio.today)):
            aside(begun_pause_words(record))


def course_without_errors(folder: Path) -> Course:
    """Return the course of a folder; a CommandError where it has errors, which have been printed."""
    from readiness.course.load import load_course  # here: what was read before needs no models

    loaded = load_course(folder)
    if loaded.course is None:
        print_problems(errors(loaded.problems))
        raise CommandError
    return loaded.course


def read_studio(where: Location, only: Path | None = None) -> Studio:
    """Read a studio with what was kept of its files before; ``only``: that one student's file."""
    if where.students is not None:
        settle(where.students)
        if told := finish(where.students):
            aside(told)
    files = student_files(where.students) if only is None and where.students is not None else ()
    cache = cache_folder(os.environ)
    count = watched(files, len(files), "Reading the students")
    with keeping(cache, files, only) as read_student, closing(count):

        def read(path: Path, course: Course) -> LoadedRecord:
            next(count, None)
            return read_student(path, course)

        return load_studio(where, read, only, cache)


def answers_told(
    studio: Studio, records: Iterable[Record], day: int, *, fresh: bool = False
) -> Iterator[tuple[str, bool]]:
    """Yield answers as ``roster --json`` tells them, and whether each was told before (``fresh``: none)."""
    from readiness.judging.as_json import answer_to_dict
    from readiness.judging.engine import judge

    def work_out(record: Record) -> dict[str, object]:
        assert studio.course is not None
        return answer_to_dict(judge(studio.course, record, day, studio.calendar(record.id)))

    return as_told(None if fresh else cache_folder(os.environ), studio, day, records, work_out)


def only_file(where: Location, student: str | None) -> Path | None:
    """Return the one file to read, None for all."""
    files = student_files(where.students) if student is not None and where.students is not None else ()
    if student is None or len(files) <= _MANY:
        return None
    by_id = {path.stem: path for path in files}
    return by_id.get(student) or _found_alone(by_id, student)


def _found_alone(by_id: Mapping[str, Path], typed: str) -> Path | None:
    """Return the file of the one student who is meant, by the given names of the last reading.

    None where it takes a reading of all: more than one could be meant, or nearly nothing is kept.
    """
    cache = cache_folder(os.environ)
    names = {path.stem: name.casefold() for path, name in kept_names(cache, by_id.values()).items()}
    if len(by_id) - len(names) > _MANY:
        return None
    meant = _meant(sorted(by_id), names, typed)
    if len(meant) != 1:
        return None
    for one in {*by_id} - {*names} | {*meant}:  # what changed since, and whether this one did
        name = kept_name(cache, by_id[one])
        if name is None and (record := load_without_course(by_id[one]).record) is not None:
            name = record.name
        names |= {} if name is None else {one: name.casefold()}
    return by_id[meant[0]] if _meant(sorted(by_id), names, typed) == meant else None


def print_problems(problems: Iterable[Problem]) -> None:
    """Print problems on the error stream; of several warnings of one kind about a file the first alone."""
    alike: dict[object, list[Problem]] = {}
    for one in problems:
        alike.setdefault(object() if one.severity == "error" else (one.place.file, one.id), []).append(one)
    for first, *more in alike.values():
        if more:
            told = f"{first.message}, and {counted(len(more), 'more warning')} like it ({first.id})"
            aside(f"{first.place.file.name}, line {first.place.line}: {told}. {as_sentence(first.hint)}")
        else:
            print(commands(render(first, width=text_width(sys.stderr))), file=sys.stderr)


def say_unread(studio: Studio, code: Exit) -> Exit:
    """Return the code of a run over all students, which is 2 where a file was left out; say which."""
    say_files(studio.broken.values())
    return Exit.WRONG if studio.broken else code


_PAUSE: Final = regex(r"^[ \t]*(?:\[+[ \t]*hold\b|opened[ \t]*=)", re.MULTILINE)
"""A pause, also where the name of its table is misspelt: nothing else in a student file was opened."""


def say_files(files: Iterable[LoadedRecord]) -> None:
    """Say what is wrong with files, and which of those that cannot be read has a pause nobody sees now."""
    loaded = tuple(files)
    print_problems(problem for one in loaded for problem in one.problems)
    for one in loaded:
        if one.record is None and _PAUSE.search(one.text):
            told = "has a pause in it, which cannot be read now: no playing until you have looked."
            aside(f"{one.path.name} {told}")


def pick_student(studio: Studio, typed: str) -> Record:
    """Return whom an id, a name or a beginning means; a CommandError for nobody, several or a broken file."""
    student = pick_id(studio, typed)
    if student in studio.broken:
        say_files((studio.broken[student],))
        raise CommandError(mend_words(student, len(errors(studio.broken[student].problems))))
    record = studio.records[student]
    print_problems(  # notes in a second copy are not counted
        problem for one in studio.broken.values() for problem in one.problems
        if problem.id == COPY and problem.other and problem.other.file.stem == student
    )  # fmt: skip
    print_problems(odd_days(record, latest_day(studio.today)))
    if others := namesake_words(record, studio.records.values()):
        aside(others)
    return record


def pick_id(studio: Studio, typed: str) -> str:
    """Return the id of whom somebody means, with errors or none; a CommandError for nobody or several."""
    names = {one: record.name.casefold() for one, record in studio.records.items()}
    meant = _meant(sorted([*studio.records, *studio.broken]), names, typed)
    if len(meant) > 1:
        raise CommandError(f'"{typed}" could be {" or ".join(meant)}. Please type the whole id.')
    if not meant:
        raise CommandError(_nobody(studio, typed))
    return meant[0]


def _meant(ids: Sequence[str], names: Mapping[str, str], typed: str) -> list[str]:
    """Return the ids that are meant, by the most exact reading that finds any; ``names`` are given names."""
    low = composed(typed).casefold()
    readings = (
        [one for one in ids if one == typed],
        [one for one in ids if low in (one.casefold(), names.get(one))],
        [one for one in ids if low and one.casefold().startswith(low)],
    )
    return next((found for found in readings if found), [])


def _nobody(studio: Studio, typed: str) -> str:
    ids = [*studio.records, *studio.broken]
    if not ids:
        return NO_STUDENT.format(studio.where.students)
    names = [record.name for record in studio.records.values()]
    hint = did_you_mean(typed, ids) or did_you_mean(typed, names)
    files = f"The files are in {studio.where.students}; `readiness roster` lists everybody."
    return f'there is no student "{typed}". {as_sentence(hint, files)}'
