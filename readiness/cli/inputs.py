"""What every command that writes begins with - whose file, which day - and the file an answer goes to.

The demo that comes with the program is never written to when nobody asked for it by name.

Writing a page or a text to a file somebody names: a new file, or one made here before.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from readiness.advice.ground import may_be_placed
from readiness.cli.commands import CommandError, Exit, Parser
from readiness.cli.context import (
    day_asked,
    latest_day,
    only_file,
    open_studio,
    pick_id,
    pick_student,
    sought,
    tell_begun_pauses,
)
from readiness.cli.output import aside, say
from readiness.course.find import find_skill, find_unit
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.lazy import dataclass
from readiness.record.append import Checked, finish
from readiness.record.load import load_record, load_without_course
from readiness.record.model import Record
from readiness.record.noting import check_day
from readiness.record.rhythm import Calendar
from readiness.studio.find import Location, find_students
from readiness.studio.load import Studio, student_files, with_copies_named
from readiness.toml.problems import Problem
from readiness.toml.write import Refusal, create, replace, settle
from readiness.words.cautions import caution
from readiness.words.layout import Parts, lay_out

if TYPE_CHECKING:
    from readiness.advice.offer import Offer
    from readiness.words.phrases import Phrases

__all__ = [
    "Care", "Entry", "add_page_options", "each", "find_care", "never_the_demo", "open_entry",
    "print_file", "print_json", "put_file", "refuse", "respond", "show", "sides", "skill_typed", "taken",
    "tell_written", "unit_typed", "whole", "write_file",
]  # fmt: skip

T = TypeVar("T")
_DEMO = (
    "this would be written into the demo that comes with the program. "
    "`readiness start DIR --with-demo` makes a copy of it that is yours."
)


@dataclass(frozen=True)
class Entry:
    """One student's file on a day: asked about, or about to be added to.

    Attributes:
        folder: the students folder, out of which nothing is written.
        on: the day it is about; latest: the latest day it can be about.
    """

    studio: Studio
    course: Course
    record: Record
    folder: Path
    on: int
    latest: int

    @property
    def path(self) -> Path:
        """The student's file."""
        return self.record.own_path

    @property
    def today(self) -> int:
        """Today, or the day that the studio fixes."""
        return day_asked(None, self.studio.today)

    @property
    def calendar(self) -> Calendar:
        """The days that are planned for the student, and those that fall out."""
        return self.studio.calendar(self.record.id)

    @property
    def checked(self) -> Checked | None:
        """The content of the file that the record was read from, where that had no problem."""
        return next((one.checked for one in self.studio.loaded if one.path == self.path), None)

    @cached_property
    def offer(self) -> Offer:
        """What the lesson of the day offers."""
        from readiness.advice.offer import lesson_offer

        return lesson_offer(self.course, self.record, self.on, self.calendar)

    def answer(self, record: Record | None = None, lesson: int | None = None) -> Answer:
        """Return the answer on the day of the entry; ``lesson``: the next lesson, where it is known."""
        return judge(self.course, record or self.record, self.on, self.calendar, lesson)

    def phrases(self, answer: Answer | None = None, record: Record | None = None) -> Phrases:
        """Return the words for an answer about the student: the one of the day, or another one."""
        from readiness.words.phrases import Phrases

        record = record or self.record
        return Phrases(answer or self.answer(record), self.course, record)

    def again(self) -> Record:
        """Return the record as the file has it now."""
        found = load_record(self.path, self.course, self.checked).record
        if found is None:
            raise CommandError(f"{self.path} cannot be read any more; `readiness roster` shows why.")
        return found

    def written(self, refusals: Iterable[Refusal] | Refusal | None) -> Record:
        """Return the record with what was written just now; say why it was not, if so."""
        refuse(refusals)
        return self.again()

    def check_day(self) -> None:
        """Refuse a day that has not come, or before the birth."""
        refuse(check_day(self.record, self.on, self.latest))

    def refuse_begun(self, answer: Answer) -> None:
        """Refuse to look for a start, or to choose one, once lessons in a unit are noted."""
        if answer.unit is not None and not may_be_placed(self.record, answer):
            number = self.course.unit[answer.unit].number
            raise CommandError(
                f"{self.record.name} has begun unit {number}; placing is for who has just begun. "
                f"`readiness why {self.record.id}` says where things stand. To go back to a unit, add "
                f'[[unit_start]] with unit = "..." and on = {iso(self.on)} to {self.record.file}.'
            )


def open_entry(args: argparse.Namespace, *, writes: bool = True, alone: bool = True) -> Entry:
    """Return the file of the student who was typed, on the day that was.

    Args:
        writes: whether something will be written; only looking is allowed in the demo too.
        alone: whether nobody else's file is asked about.
    """
    studio, course = open_studio(args, args.student if alone else None)
    if writes:
        never_the_demo(studio.where, args)
    record = pick_student(studio, args.student)
    assert studio.where.students is not None
    if alone:
        tell_begun_pauses(studio, [record])
    day = day_asked(args.on, studio.today, studio.date_order, -1 if writes else 0)
    return Entry(studio, course, record, studio.where.students, day, latest_day(studio.today))


def never_the_demo(where: Location, args: argparse.Namespace) -> None:
    """Refuse to write to the demo when it was only found because there is no studio."""
    if where.is_demo and args.students is None:
        raise CommandError(_DEMO)


def refuse(refusals: Iterable[Refusal] | Refusal | None) -> None:
    """Say everything that stands in the way, if anything does."""
    found = (refusals,) if isinstance(refusals, Refusal) else refusals or ()
    if messages := dict.fromkeys(one.message for one in found):
        raise CommandError("\n".join(messages))


def taken(found: T | Refusal) -> T:
    """Return what was found, unless it is why there is nothing; that is said."""
    if isinstance(found, Refusal):
        raise CommandError(found.message)
    return found


def skill_typed(course: Course, typed: str, *nearby: Iterable[str]) -> str:
    """Return the id of the skill that was typed, see :func:`find_skill`."""
    return taken(find_skill(course, typed, *nearby))


def unit_typed(course: Course, typed: str) -> str:
    """Return the id of the unit that was typed, see :func:`find_unit`."""
    return taken(find_unit(course, typed))


def whole(typed: str, where: str, least: int, most: int, what: str = "") -> int:
    """Return a typed number, said to be ``what``; a CommandError where it is none or out of bounds."""
    if typed.isascii() and typed.isdigit() and len(typed) < 10 and least <= int(typed) <= most:
        return int(typed)
    span, end = f"{what or 'a whole number'} from {least} to {most}", " that" if what else ""
    raise CommandError(f'{where} takes {span}, and "{typed}" is not{end}.')


def each(*wanted: Callable[[], Any]) -> list[Any]:
    """Return what several typed things are; a CommandError that says all that cannot be understood."""
    found, wrong = list[Any](), list[str]()
    for one in wanted:
        try:
            found.append(one())
        except CommandError as error:
            wrong.append(str(error))
    if wrong:
        raise CommandError("\n".join(wrong))
    return found


def sides(text: str, takes: str, *, last: bool = False) -> tuple[str, str]:
    """Return both sides of the first equals sign or the last; a CommandError says what it ``takes``."""
    before, _, after = (part.strip() for part in (text.rpartition("=") if last else text.partition("=")))
    if not (before and after):
        raise CommandError(f'{takes}, and "{text}" is not that.')
    return before, after


def respond(args: argparse.Namespace, values: Callable[[], Mapping[str, object]], told: Parts) -> Exit:
    """Print an answer in the shape that was asked for; return that all is well.

    Args:
        args: what was typed, with ``--json`` among it, and ``--full`` where there is more on request.
        values: makes the JSON object; told: the text.
    """
    if args.json:
        print_json(values())
    else:
        say(told, full=getattr(args, "full", True))
    return Exit.READY


def print_json(values: Mapping[str, object]) -> None:
    """Print one JSON object."""
    print(json.dumps({"format": 1, **values}, ensure_ascii=False, indent=2))


# Finding one student's file when nothing may stand in the way: something hurts, or would be lost.
#
# No course is read, and another student's file, or a mistake in this one, hinders nothing. Whoever
# needs a verdict begins with what stands above.


@dataclass(frozen=True)
class Care:
    """One student's file, whatever is wrong with the rest; of one with a mistake only the id and path."""

    record: Record
    folder: Path
    on: int
    problems: tuple[Problem, ...]

    @property
    def path(self) -> Path:
        """The student's file."""
        return self.record.own_path

    def again(self) -> Record:
        """Return the file as it is now, as far as it can be read."""
        return load_without_course(self.path).record or self.record


def find_care(args: argparse.Namespace) -> Care:
    """Return the typed student's file; a CommandError without one or its folder, or for no possible day."""
    where = sought(find_students, args.students)
    never_the_demo(where, args)
    if where.students is None:
        raise CommandError("where the students are is not known; please name their folder with --students.")
    settle(where.students)
    finish(where.students)
    only = only_file(where, args.student)
    files = student_files(where.students) if only is None else (only,)
    loaded = with_copies_named([load_without_course(path) for path in files])
    student = pick_id(Studio("", None, loaded, (), where), args.student)
    one = next(one for one in loaded if one.path.stem == student)
    record = one.record or Record(id=student, name=student, born=0, path=one.path)
    fixed = where.file.value.today if where.file is not None and where.file.value is not None else None
    on = day_asked(args.on, fixed, where.date_order, -1)
    refuse(check_day(record, on, latest_day(fixed)))
    return Care(record, where.students, on, one.problems if one.record is None else ())


_WIDTH = 80
"""The lines of a text in a file."""


def add_page_options(parser: Parser, *, alone: bool = False) -> None:
    """Add what whatever makes a page has: the file, a shape of its own or ``alone``, and the paper."""
    from readiness.pages.document import PAPERS

    to = "write it to this file: a page to print where it ends in .html, else the text"
    where = parser if alone else parser.shapes
    where.add_argument("--to", metavar="FILE", type=Path, help=to)
    where.add_argument("--html", metavar="FILE", type=Path, help=argparse.SUPPRESS)  # an older name for it
    paper = "the paper of the page (default: a4)"
    parser.add_argument("--paper", choices=list(PAPERS), default="a4", help=paper)


def show(
    args: argparse.Namespace,
    told: Parts,
    page: Callable[[str], str] | None = None,
    values: Callable[[], Mapping[str, object]] | None = None,
    *,
    kind: str = "",
) -> bool:
    """Print an answer, or write it or the page of it to the file that was named; return whether to a file.

    Args:
        args: what was typed, with ``add_page_options``.
        told: the text; page: makes the page, for a paper, where it is not that text as one.
        values: makes the JSON object, where it is not the text.
        kind: that of the page, see :func:`readiness.pages.document.sections_page`.
    """
    file = args.html or args.to
    if values is not None and args.json:
        print_json(values())
    elif file is None:
        say(told, full=getattr(args, "full", True))
    elif args.html or file.suffix.lower() in (".html", ".htm"):
        from readiness.pages.document import sections_page

        if args.json:
            raise CommandError("--json is no page; please name a file that does not end in .html.")
        text = page(args.paper) if page else sections_page(told, args.paper, kind=kind)
        write_file(file, text, is_page=True)
    else:
        write_file(file, lay_out(told, _WIDTH, full=getattr(args, "full", True)))
    return file is not None


def print_file(text: str, name: str) -> None:
    """Print what belongs in a file, for a pipe; at a terminal a CommandError says which file to name."""
    if sys.stdout.isatty():
        raise CommandError(f"please name a file: --to {name}")
    print(text, end="", flush=True)


def write_file(path: Path, text: str, *, is_page: bool = False) -> None:
    """Write a text as :func:`put_file` does, and say so with the caution about what leaves one's hands.

    A page is written over one that nobody changed since it was written here.
    """
    if is_page:
        from readiness.pages.document import is_as_written, sealed

        put_file(path, sealed(text), is_as_written)
    else:
        put_file(path, text)
    aside(f"{path} is written. {caution('C8')}")


def tell_written(text: str) -> None:
    """Print that something is written: where nobody can be told, it is not to be done twice."""
    say([text])


def put_file(path: Path, text: str, is_ours: Callable[[bytes], bool] = lambda _: False) -> None:
    """Write a text to a file.

    Args:
        is_ours: whether what is there was made here and may be written over; nothing may without it.

    Raises:
        CommandError: something else is there, or the folder cannot be written to.
    """
    data = text.encode("utf-8")
    try:
        is_there = _may_be_written_over(path, is_ours)
    except OSError as error:
        raise CommandError(f"{path} cannot be written: {(error.strerror or str(error)).lower()}.") from None
    refuse(replace(path, path.parent, lambda _: data) if is_there else create(path, path.parent, data))


def _may_be_written_over(path: Path, is_ours: Callable[[bytes], bool]) -> bool:
    """Return whether a file made here is there; refuse where nothing may be written."""
    if path.is_dir():
        raise CommandError(f"{path} is a folder; nothing was written. Please name a file in it.")
    if not path.parent.is_dir():
        raise CommandError(f"there is no folder {path.parent}; nothing was written. Please make it first.")
    is_there = path.exists()
    if is_there and not is_ours(path.read_bytes()):
        raise CommandError(f"{path} is there already; nothing was written. Please name another file.")
    return is_there
