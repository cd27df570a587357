"""Reading one student's file into a :class:`Record`.

The file is checked whole, every problem in one go, and never changed. A record is made
only of a file without an error; whoever asked for the others goes on without it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TypeVar

import tomli_w

from readiness.course.model import Course
from readiness.files.problems import Problem, errors, render, sort_problems
from readiness.files.read import Loaded, parse_bytes, parse_toml, read_toml
from readiness.record.checks import birth_day, check_record
from readiness.record.cut_off import with_cut_off_named
from readiness.record.lines import Fields, lines_of
from readiness.record.marks import ABOVE, is_marked, standing
from readiness.record.model import (
    Alternative,
    BandChoice,
    Decision,
    Hold,
    Lesson,
    Particulars,
    Placing,
    Promise,
    Record,
    SetAside,
    Settled,
    Showing,
    Task,
    Told,
    UnitStart,
)
from readiness.record.rhythm import rhythm_of
from readiness.record.schema import SHOWN, LessonBlock, StudentFile
from readiness.record.several import seen_from

__all__ = ["LoadedRecord", "build_record", "load_record", "load_without_course", "record_in"]

B = TypeVar("B")


@dataclass(frozen=True, slots=True)
class LoadedRecord:
    """A record, None where the file has an error, beside all problems of the file."""

    record: Record | None
    problems: tuple[Problem, ...]
    path: Path
    text: str = ""


def load_record(path: Path, course: Course) -> LoadedRecord:
    """Read a student file. Content never raises."""
    return _finish(read_toml(path, StudentFile, standing), course)


def load_without_course(path: Path) -> LoadedRecord:
    """Read a student file as it is, where no course can be asked or none may stand in the way.

    Only whether it keeps to the form of a student file is checked.
    """
    loaded = with_cut_off_named(read_toml(path, StudentFile, standing))
    record = None if loaded.value is None else _Reader(loaded, loaded.value).record()
    return LoadedRecord(record, sort_problems(loaded.problems), loaded.path, loaded.text)


def record_in(data: bytes, path: Path, course: Course) -> LoadedRecord:
    """Do the same for the content of a file; ``path`` gives the id and names places."""
    return _finish(parse_bytes(standing(data), path, StudentFile), course)


def build_record(id: str, data: Mapping[str, object], course: Course) -> Record:  # noqa: A002 - it is an id
    """Make a record from plain values, as a student file would hold them.

    Lines are those of the file that these values make when written down.

    Raises:
        ValueError: the values break a rule of the student file; the text says which.
    """
    text = tomli_w.dumps(data)
    path = Path(f"{id}.toml")
    loaded = _finish(parse_toml(text, path, StudentFile), course)
    if loaded.record is None:
        raise ValueError("\n".join(render(p, {path: text}) for p in loaded.problems))
    return loaded.record


def _finish(loaded: Loaded[StudentFile], course: Course) -> LoadedRecord:
    """Check what was read and turn it into a record."""
    loaded = with_cut_off_named(loaded)
    problems = [_on_both_sides(one, loaded.text) for one in loaded.problems]
    if loaded.value is not None:
        problems += check_record(loaded, course)
    found = sort_problems(problems)
    if loaded.value is None or errors(found):
        return LoadedRecord(None, found, loaded.path, loaded.text)
    record = seen_from(_Reader(loaded, loaded.value).record(), course)
    return LoadedRecord(record, found, loaded.path, loaded.text)


def _on_both_sides(problem: Problem, text: str) -> Problem:
    """Return a problem with a way out where two people put lines into one block and a merge kept both."""
    if problem.id != "written-twice" or problem.other is None:
        return problem
    lines = text.split("\n")
    here, there = (_with_its_mark(lines, place.line) for place in (problem.place, problem.other))
    if not here or not there or here == there:
        return problem
    kept = f"keep one, and delete lines {here} or lines {there}"
    return replace(problem, hint=f"two people wrote this, each in a copy of the file: {kept}")


def _with_its_mark(lines: Sequence[str], number: int) -> str:
    """Return which lines around one (from 1) were put into the file together with it."""
    mark = lines[number - 1].rpartition(" # ")[2].strip()
    if f"{ABOVE.decode()}{mark}" not in (line.strip() for line in lines):
        return ""
    first = last = number
    while first > 1 and is_marked(lines[first - 2].encode(), mark.encode()):
        first -= 1
    while last < len(lines) and is_marked(lines[last].encode(), mark.encode()):
        last += 1
    return f"{first} to {last}" if first < last else f"{first}"


class _Reader:
    """Turns the blocks of one checked file into plain values with their lines."""

    def __init__(self, loaded: Loaded[StudentFile], file: StudentFile) -> None:
        self.path = loaded.path
        self.file = file
        self.lines = lines_of(loaded, file)

    def record(self) -> Record:
        """Return the whole record."""
        file = self.file
        return Record(
            id=self.path.stem,
            name=file.name,
            born=birth_day(file.born),
            family=file.family,
            home_keys=file.home_keys,
            rhythm=rhythm_of(file.rhythm),
            consents=file.consents,
            unit_starts=self.blocks("unit_start", UnitStart),
            settled=self.blocks("settled", Settled),
            lessons=tuple(map(self.lesson, file.lesson, self.lines.of("lesson"), self.lines.shown)),
            holds=self.blocks("hold", Hold),
            set_aside=self.blocks("set_aside", SetAside),
            band_choices=self.blocks("band_choice", BandChoice),
            decisions=self.blocks("decision", Decision),
            tasks=self.blocks("task", Task),
            promises=self.blocks("promise", Promise),
            placings=self.blocks("placing", Placing),
            particulars=Particulars(**dict(file.particulars)),
            alternatives=self.blocks("alternative", Alternative),
            told=self.blocks("told", Told),
            path=self.path,
        )

    def blocks(self, kind: str, make: Callable[..., B]) -> tuple[B, ...]:
        """Return all blocks of a kind; their fields have the names the record uses."""
        return tuple(
            make(**{name: _plain(value) for name, value in block}, line=line)
            for block, line in zip(getattr(self.file, kind), self.lines.of(kind), strict=True)
        )

    def lesson(self, block: LessonBlock, line: int, shown: Fields) -> Lesson:
        """Return one lesson with every showing on its own line."""
        return Lesson(
            on=block.on.toordinal(),
            showings=tuple([
                Showing(skill, most, at)
                for most, field in enumerate(SHOWN)
                if field in shown
                for skill, at in zip(getattr(block, field), shown[field], strict=True)
            ]),
            not_tried=tuple(block.not_tried),
            by=block.by,
            note=block.note,
            remarks=block.remarks,
            disliked=tuple(block.disliked),
            liked_again=tuple(block.liked_again),
            tried_again=block.tried_again,
            line=line,
        )


def _plain(value: object) -> object:
    """Return a date as its day number, anything else as it is."""
    return value.toordinal() if isinstance(value, date) else value
