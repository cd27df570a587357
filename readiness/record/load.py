"""Reading one student's file into a :class:`Record`, and what each course sees of it.

The file is checked whole, every problem in one go, and never changed. A record is made
only of a file without an error; whoever asked for the others goes on without it.

One student file for several courses: what each course sees of it.

A student who sings and plays has one file. A skill with the same id in two courses is the same
skill, so what was noted counts in both; a unit belongs to the one course that teaches it, and
so does what was begun, settled or decided there. A lesson counts for every course of which it
names a skill, and for all where it names none.

A hold pauses every course, except one that uses another part of the body than the hold names, and only where
a course of the same studio uses that part: a sore throat then pauses singing and not playing. All later
steps, judging first, get a record that has been narrowed here, and none of them asks about courses again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import tomli

from readiness.course.model import Course, Skill
from readiness.days import birth_day
from readiness.lazy import dataclass, regex
from readiness.record import model
from readiness.record.append import Checked, with_lessons
from readiness.record.marks import ABOVE, is_marked, standing
from readiness.record.model import Lesson, Record
from readiness.record.rhythm import rhythm_of
from readiness.toml.problems import Problem, errors, few, render, sort_problems
from readiness.toml.read import Loaded, parse_bytes, parse_toml, read_toml
from readiness.toml.texts import composed

if TYPE_CHECKING:
    from readiness.record.schema import StudentFile

__all__ = [
    "Lines", "LoadedRecord", "build_record", "care_elsewhere", "checked_record", "counted_lines",
    "elsewhere", "lines_of", "load_record", "load_without_course", "located_lines", "record_in",
    "seen_from", "shared_skills",
]  # fmt: skip


def elsewhere(course: Course) -> frozenset[str]:
    """Return the parts of the body whose holds pause another course and not this one."""
    return frozenset(other.uses for other in course.beside) - {course.uses}


def shared_skills(course: Course) -> tuple[str, ...]:
    """Return the skills that another course of the studio has too, in the order of the file."""
    others = {skill for other in course.beside for skill in other.skill}
    return tuple(skill for skill in course.skill if skill in others)


def care_elsewhere(course: Course) -> tuple[Skill, ...]:
    """Return the safety points and what is looked at every time that another course alone has."""
    care = (one for other in course.beside for one in other.skills if one.safety or one.always_look)
    return tuple(one for one in care if one.id not in course.skill)


def seen_from(record: Record, course: Course) -> Record:
    """Return a student's file as one course sees it; the file itself where there is no other."""
    if not course.beside:
        return record
    parts = elsewhere(course)
    return replace(
        record,
        unit_starts=tuple(one for one in record.unit_starts if one.unit in course.unit),
        settled=tuple(one for one in record.settled if one.through in course.unit),
        lessons=tuple(_own(one, course) for one in record.lessons if _concerns(one, course)),
        holds=tuple(one for one in record.holds if one.part not in parts),
        set_aside=tuple(one for one in record.set_aside if one.skill in course.skill),
        band_choices=tuple(one for one in record.band_choices if one.band in course.band),
        decisions=tuple(one for one in record.decisions if one.unit in course.unit),
        alternatives=tuple(one for one in record.alternatives if one.skill in course.skill),
        tasks=tuple(one for one in record.tasks if one.for_skill in course.skill),
        elsewhere=parts,
        whole=record,
    )


def _concerns(lesson: Lesson, course: Course) -> bool:
    named = {*(showing.skill for showing in lesson.showings), *lesson.named}
    return not named or any(skill in course.skill for skill in named)


def _own(lesson: Lesson, course: Course) -> Lesson:
    """Return a lesson with what it says about the skills of this course."""
    named = {*(showing.skill for showing in lesson.showings), *lesson.named}
    others = {skill for other in course.beside for skill in other.skill}
    return replace(
        lesson,
        is_beside=bool(named & (others - {*course.skill})) and named <= others,
        showings=tuple(one for one in lesson.showings if one.skill in course.skill),
        not_tried=tuple(skill for skill in lesson.not_tried if skill in course.skill),
        remarks={skill: text for skill, text in lesson.remarks.items() if skill in course.skill},
        disliked=tuple(skill for skill in lesson.disliked if skill in course.skill),
        liked_again=tuple(skill for skill in lesson.liked_again if skill in course.skill),
        tried_again={skill: how for skill, how in lesson.tried_again.items() if skill in course.skill},
    )


# On which line of a student's file every block and every showing stands.
#
# Every reason names its line, so every reading of a file has to know them all. Nearly every file
# is written as this program writes it: a header a line, a list a line or an item a line. There the
# lines are simply counted. Whatever is written in another way is left to the locator, which
# understands all of TOML and takes its time; nothing is guessed.

Fields = Mapping[str, Sequence[int]]
"""By list of a lesson, the line of each of its items."""
Plain = Mapping[str, Any]
"""A table of a file that keeps to the schema, as tomli gives it."""

_HEADER: Final = regex(r"\[\[([a-z_]+)\]\][ \t]*(?:#.*)?")
_AFTER: Final = r"""[ \t]*(?:#[^"'\[\]]*)?"""
"""What may follow on a line: a remark in which no text and no list can begin or end."""
_LIST: Final = regex(rf"([a-z_]+)[ \t]*=[ \t]*\[(?:([^#\[\]]*)\])?{_AFTER}")
"""A list on one line, or the first line of one with an item a line."""
_ITEM: Final = regex(rf'[ \t]*"[^"#]*",?{_AFTER}')
_NAMES: Final = frozenset(model.SHOWN)
_STARTS: Final = frozenset({"[", *(name[0] for name in model.SHOWN)})


@dataclass(frozen=True)
class Lines:
    """The lines, from 1, of each kind of block, and of the lists of each lesson that are not empty."""

    blocks: Mapping[str, Sequence[int]]
    shown: Sequence[Fields]

    def of(self, kind: str) -> Sequence[int]:
        """Return the lines of all blocks of a kind."""
        return self.blocks.get(kind, ())


def lines_of(loaded: Loaded[StudentFile]) -> Lines:
    """Return the lines of a file that keeps to the schema."""
    return counted_lines(loaded.text, loaded.data) or located_lines(loaded)


def located_lines(loaded: Loaded[StudentFile]) -> Lines:
    """Return the lines as the locator finds them."""
    return Lines(
        {
            kind: tuple(loaded.key_place(kind, i).line for i in range(count))
            for kind, count in _counts(loaded.data).items()
        },
        tuple(
            {
                name: tuple(loaded.value_place("lesson", i, name, j).line for j in range(len(items)))
                for name in model.SHOWN
                if (items := lesson.get(name))
            }
            for i, lesson in enumerate(loaded.data.get("lesson", ()))
        ),
    )


def _counts(file: Plain) -> dict[str, int]:
    return {kind: len(blocks) for kind, blocks in file.items() if blocks and isinstance(blocks, list)}


def counted_lines(text: str, file: Plain) -> Lines | None:
    """Return the lines of a file in the usual layout; None where it has another."""
    if '"""' in text or "'''" in text:
        return None
    lines = text.split("\n")
    blocks, listed = dict[str, list[int]](), dict[int, dict[str, int]]()
    here: dict[str, int] = {}
    for number, line in ((at, one) for at, one in enumerate(lines, 1) if one[:1] in _STARTS):
        if line[0] == "[":
            here = listed[number] = {}
            if header := _HEADER.match(line):
                blocks.setdefault(header[1], []).append(number)
        elif (name := line.split(" ", 1)[0]) in _NAMES:
            here[name] = number
    if {kind: len(found) for kind, found in blocks.items()} != _counts(file):
        return None
    lessons = zip(file.get("lesson", ()), blocks.get("lesson", ()), strict=True)
    fields = [_fields(lines, listed[first], lesson) for lesson, first in lessons]
    shown = [one for one in fields if one is not None]
    return Lines(blocks, shown) if len(shown) == len(fields) else None


def _fields(lines: Sequence[str], listed: Mapping[str, int], lesson: Plain) -> Fields | None:
    """Return the lines of the items of one lesson; None where a list is not among those ``listed``."""
    found: dict[str, Sequence[int]] = {}
    for name in model.SHOWN:
        count = len(lesson.get(name, ()))
        if count:
            items = _items(lines, listed.get(name, 0), name, count)
            if items is None:
                return None
            found[name] = items
    return found


def _items(lines: Sequence[str], number: int, name: str, count: int) -> Sequence[int] | None:
    """Return the lines of the items of the list that begins on line ``number`` (0: on none)."""
    opened = _LIST.fullmatch(lines[number - 1]) if number else None
    if opened is None or opened[1] != name:
        return None
    if opened[2] is not None:
        return (number,) * count if opened[2].count('"') == 2 * count else None
    items = lines[number : number + count]
    return range(number + 1, number + 1 + count) if all(map(_ITEM.fullmatch, items)) else None


@dataclass(frozen=True)
class LoadedRecord:
    """A record, None where the file has an error, beside all problems of the file.

    ``checked``: the content that had no problem, where it is kept which one that was.
    """

    record: model.Record | None
    problems: tuple[Problem, ...]
    path: Path
    text: str = ""
    checked: Checked | None = field(default=None, compare=False)


def load_record(path: Path, course: Course, checked: Checked | None = None) -> LoadedRecord:
    """Read a student file; ``checked``: a content of it that had no problem. Content never raises."""
    with suppress(OSError):
        if checked is not None and (loaded := with_lessons(path.read_bytes(), path, checked, course)):
            return _without_problems(loaded, course)
    from readiness.record.schema import StudentFile  # here and below, since what is kept needs no model

    return _finish(read_toml(path, StudentFile, standing), course)


def load_without_course(path: Path) -> LoadedRecord:
    """Read a student file by its form alone, where no course can be asked or may stand in the way."""
    from readiness.record.marks import with_cut_off_named
    from readiness.record.schema import StudentFile

    loaded = with_cut_off_named(read_toml(path, StudentFile, standing))
    record = None if loaded.value is None else _RecordReader(loaded).record()
    return LoadedRecord(record, sort_problems(loaded.problems), loaded.path, loaded.text)


def record_in(data: bytes, path: Path, course: Course, checked: Checked | None = None) -> LoadedRecord:
    """Do the same for the content of a file; ``path`` gives the id and names places."""
    if loaded := with_lessons(data, path, checked, course):
        return _without_problems(loaded, course)
    from readiness.record.schema import StudentFile

    return _finish(parse_bytes(standing(data), path, StudentFile), course)


def checked_record(data: bytes, path: Path, course: Course) -> model.Record:
    """Do the same for content that was read before with this course, and had no problem."""
    text = standing(data).decode("utf-8-sig")
    loaded: Loaded[StudentFile] = Loaded(None, (), text, path, tomli.loads(text), True)
    return seen_from(_RecordReader(loaded).record(), course)


def build_record(id: str, data: Mapping[str, object], course: Course) -> model.Record:  # noqa: A002 - it is an id
    """Make a record of plain values, with lines as if written down; ValueError says what they break."""
    if not model.is_id(id):
        raise ValueError(f"{id!r} is no student's id: letters without accents, digits, hyphens, underscores")
    import tomli_w

    from readiness.record.schema import StudentFile

    text = tomli_w.dumps(data)
    path = Path(f"{id}.toml")
    loaded = _finish(parse_toml(text, path, StudentFile), course)
    if loaded.record is None:
        raise ValueError("\n".join(render(p, {path: text}) for p in loaded.problems))
    return loaded.record


def _without_problems(loaded: Loaded[StudentFile], course: Course) -> LoadedRecord:
    return LoadedRecord(seen_from(_RecordReader(loaded).record(), course), (), loaded.path, loaded.text)


def _finish(loaded: Loaded[StudentFile], course: Course) -> LoadedRecord:
    """Check what was read and turn it into a record."""
    from readiness.record.checks import check_names, check_record, units_by_number
    from readiness.record.marks import with_cut_off_named

    loaded = with_cut_off_named(loaded)
    of_number = {} if loaded.value is not None else dict(units_by_number(loaded, course))
    problems = [_on_both_sides(one, loaded.text) for one in loaded.problems]
    problems = [replace(one, hint=of_number.get(one.place, one.hint)) for one in problems]
    problems += few(check_names(loaded, course)) if loaded.value is None else check_record(loaded, course)
    found = sort_problems(problems)
    if loaded.value is None or errors(found):
        return LoadedRecord(None, found, loaded.path, loaded.text)
    return LoadedRecord(seen_from(_RecordReader(loaded).record(), course), found, loaded.path, loaded.text)


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


class _RecordReader:
    """Turns the blocks of one checked file into plain values with their lines."""

    def __init__(self, loaded: Loaded[StudentFile]) -> None:
        self.path = loaded.path
        self.file: Plain = loaded.data
        self.lines = lines_of(loaded)

    def record(self) -> model.Record:
        file = self.file
        blocks: dict[str, Any] = {
            name: self.blocks(name.removesuffix("s"), made) for name, made in model.BLOCKS.items()
        }
        return model.Record(
            id=self.path.stem,
            name=composed(file["name"]),
            born=birth_day(str(file["born"])),
            family=composed(file.get("family", "")),
            language=file.get("language", ""),
            home_keys=file.get("home_keys"),
            rhythm=rhythm_of(file.get("rhythm")),
            consents=file.get("consents", {}),
            lessons=tuple(self.lessons()),
            particulars=model.Particulars(**file.get("particulars", {})),
            corrected=tuple(self.corrected()),
            path=self.path,
            **blocks,
        )

    def blocks(self, kind: str, make: type[Any]) -> tuple[Any, ...]:
        """Return all blocks of a kind; their fields have the names the record uses."""
        return tuple(
            make(line=line, **{
                key: one.toordinal() if isinstance(one, date) else one for key, one in block.items()
            })
            for block, line in zip(self.file.get(kind, ()), self.lines.of(kind), strict=True)
        )

    def lessons(self) -> Iterator[model.Lesson]:
        """Yield every lesson but what was corrected since: to whoever judges it was never noted."""
        wrong = model.corrected(self.file)
        read = zip(self.file.get("lesson", ()), self.lines.of("lesson"), self.lines.shown, strict=True)
        for number, (block, line, shown) in enumerate(read):
            if number not in wrong.whole:
                lesson = self.lesson(block, line, shown)
                left = tuple(one for one in lesson.showings if (number, *one[:2]) not in wrong.shown)
                yield lesson if len(left) == len(lesson.showings) else replace(lesson, showings=left)

    def corrected(self) -> Iterator[model.Correction]:
        """Yield each note that was said to be wrong."""
        for one, line in zip(self.file.get("correction", ()), self.lines.of("correction"), strict=True):
            of, on = one["of"].toordinal(), one["on"].toordinal()
            by, why = composed(one.get("by", "")), one.get("why", "")
            for given, name in enumerate(model.SHOWN):
                for skill in one.get(name, ()):
                    yield model.Correction(skill, given, of, on, by, why, line)

    def lesson(self, block: Plain, line: int, shown: Fields) -> model.Lesson:
        """Return one lesson with every showing on its own line."""
        return model.Lesson(
            on=block["on"].toordinal(),
            showings=tuple([
                model.Showing(skill, most, at)
                for most, field in enumerate(model.SHOWN)
                if field in shown
                for skill, at in zip(block[field], shown[field], strict=True)
            ]),
            not_tried=tuple(block.get("not_tried", ())),
            by=composed(block.get("by", "")),
            note=block.get("note", ""),
            remarks=block.get("remarks", {}),
            disliked=tuple(block.get("disliked", ())),
            liked_again=tuple(block.get("liked_again", ())),
            tried_again=block.get("tried_again", {}),
            line=line,
        )
