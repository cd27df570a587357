"""What was seen of many students, as columns, and their files: the numbers that judging needs, nothing else.

No name, no sentence, no remark and no cause of a pause is in them, because a network needs no
child's name to see how many are ready. The id is whatever the sender chose; let it be a
pseudonym. Columns hold what was seen and never what follows from it, so that an edit of the
course judges all of them anew without reading a file again.

Days are days since 1 January 1970. Of several notes on a skill and day only the one with most
help is kept (rule R1). Everything is sorted by student and then by day.

What the loop over all students is given, and where it puts the answers, are tuples with names, because
the compiled loop takes those as they are.

``students.parquet`` has a row for each student and names the file of its notes, so that putting
it in place is the one step with which a part is a new one; whoever reads at that moment gets the
old part or the new one, never half of each. Notes are read some students at a time.

Any program that writes Parquet can make such a folder; README.md beside it has the columns. What does
not fit is said in one sentence.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
from numpy.typing import NDArray

from readiness.lazy import dataclass, fields_of
from readiness.toml.write import Refusal, put

__all__ = [
    "KINDS", "STILL_OPEN", "STUDENTS", "TROUBLE", "Array", "Columns", "Dated", "Label", "NoteColumns",
    "Notes", "People", "Results", "RuleTables", "Unreadable", "fixed", "in_order", "label_of", "packed",
    "read_part", "starts_of", "unpacked", "unreadable", "write_part",
]  # fmt: skip

Array = NDArray[Any]


class NoteColumns(NamedTuple):
    """Notes of the students from row ``first`` up to ``end``, sorted by student, skill and day.

    ``student`` is the row, ``skill`` the number of a skill in the columns, ``help`` an index into HELPS.
    """

    first: int
    end: int
    student: Array
    skill: Array
    day: Array
    help: Array


class People(NamedTuple):
    """What is known of each student beside the notes, by row.

    ``settled_*`` and ``lesson_*`` are lists in one: those of row i go from ``_start[i]`` to
    ``_start[i + 1]``, oldest first. ``lesson_on`` has the lesson days without a note; ``hold_*`` the days
    opened, closed and known to hurt (none: a day later than all). ``closed`` is the latest closing
    up to the day (none: earlier than all), ``rhythm`` the weeks from lesson to lesson (0: not known).
    """

    case: Array
    paused: Array
    closed: Array
    rhythm: Array
    hold_start: Array
    hold_opened: Array
    hold_closed: Array
    hold_since: Array
    settled_start: Array
    settled_unit: Array
    settled_on: Array
    lesson_start: Array
    lesson_on: Array


class RuleTables(NamedTuple):
    """A course on a day, compiled for some columns (``rules``).

    A *case* is a unit, a band and what was set aside.

    Attributes:
        place: by skill, its unit, its number, from where to where its users are in ``user``, and
            whether it is quiet.
        user: the numbers of skills whose use keeps another one fresh.
        rule: by band and skill, accepts, days needed, days from first to last, days it stays fresh.
        accepts: by band and number in the columns, the most help that counts.
        played: by number in the columns, whether it is played or sung: a skill that is not quiet.
        pace: by band, what may come along unfinished, and from how many days on one was away.
        case: by case, the unit (-1: not placed), the band, and from where to where its skills are
            in ``asked`` and its entry groups in ``group``.
        role: by case and skill.
        group: how many are asked for, and from where to where they are in ``member``.
    """

    on: int
    units: int
    place: Array
    user: Array
    rule: Array
    accepts: Array
    played: Array
    pace: Array
    case: Array
    role: Array
    asked: Array
    group: Array
    member: Array


class Results(NamedTuple):
    """Where the answers go. ``state`` has no row where states are not asked for.

    ``gap`` and ``look`` count, by skill, the students whom it keeps in their unit: tried and not
    there, or to be looked at.
    """

    verdict: Array
    underlying: Array
    state: Array
    gap: Array
    look: Array


def fixed(values: Array, kind: Any = None) -> Array:  # noqa: ANN401 - a kind of number
    """Return numbers in a row and not to be written to, as those from a file are.

    The loop is compiled for each sort of array that it gets; so there is one sort.
    """
    row = np.ascontiguousarray(values, kind).view()
    row.flags.writeable = False
    return row


STILL_OPEN: Final = 2**31 - 1
"""The day on which a hold was closed that is not closed; of ``since``, that no day is known."""


@dataclass(frozen=True)
class Unreadable:
    """Why a part could not be read or judged: a stable kebab-case id and one sentence."""

    part: str
    id: str
    message: str


KINDS: Final = (np.uint32, np.uint8, np.int32, np.uint8)
"""The kinds of number in :class:`Notes`; a course with more than 256 skills has u16 for them."""


class Notes(NamedTuple):
    """Notes of some students in a row, one a student, skill and day, sorted by these three.

    ``student`` is the row of the student (u32), ``skill`` an index into ``Columns.skills`` (u8 or
    u16), ``day`` i32, ``help`` an index into ``record.HELPS`` (u8).
    """

    student: Array
    skill: Array
    day: Array
    help: Array


@dataclass(frozen=True)
class Dated:
    """Entries of one sort, sorted by student and day: ``on`` a day, ``what`` they name.

    Those of row i go from ``start[i]`` to ``start[i + 1]``. Of equal days the order is that of
    the student's file.
    """

    start: Array
    what: Array
    on: Array

    @property
    def student(self) -> Array:
        """The row of the student, by entry."""
        return np.repeat(np.arange(len(self.start) - 1), np.diff(self.start))


@dataclass(frozen=True)
class Columns:
    """One part of a network: a school, or some of its students.

    Attributes:
        ids: the students' ids, by row; born: the days they were born.
        skills, units, bands: what the numbers stand for, as the course names them.
        notes: blocks of whole students, in order.
        unit_starts, settled: ``what`` is a unit; band_choices: a band; set_aside: a skill.
        holds: ``on`` is the day opened and ``what`` the day closed; since: ``on`` again and ``what``
            the first day that is known to have hurt.
        rhythm: by row, every how many weeks a lesson falls where that is known, else 0.
        lessons: the lesson days without any note; ``what`` is 0.
        course: the name and edition of the course they were gathered for, where that is known.
        source: the same for everything one school ever sent, where that is known.
    """

    part: str
    ids: pa.Array
    born: Array
    skills: tuple[str, ...]
    units: tuple[str, ...]
    bands: tuple[str, ...]
    notes: Iterable[Notes]
    unit_starts: Dated
    settled: Dated
    band_choices: Dated
    set_aside: Dated
    holds: Dated
    since: Dated
    rhythm: Array
    lessons: Dated
    course: tuple[str, ...] = ()
    source: str = ""


def in_order(entries: Dated) -> Dated:
    """Return entries sorted by student and day, those of equal days as they were."""
    order = np.lexsort((entries.on, entries.student))
    return Dated(entries.start, entries.what[order], entries.on[order])


def starts_of(counts: Sequence[int] | Array) -> Array:
    """Return where each of some lists begins when they stand in one, and where the last one ends.

    >>> starts_of([2, 0, 3]).tolist()
    [0, 2, 2, 5]
    """
    return np.concatenate([[0], np.cumsum(counts, dtype=np.int64)])


FORMAT: Final = 2
STUDENTS: Final = "students.parquet"
KEY: Final = b"readiness.cohort"
AT_ONCE: Final = 1 << 20
"""About so many notes are read at a time: few enough to stay near the processor."""

TROUBLE: Final = (OSError, KeyError, TypeError, ValueError, pa.ArrowException)
"""What is raised where a file is missing or not what it must be."""

ENTRIES: Final = ("unit_starts", "settled", "band_choices", "set_aside")


@dataclass(frozen=True)
class NotesFile:
    """Notes that stay in their file and are read each time they are gone through."""

    path: Path
    skills: int

    def __iter__(self) -> Iterator[Notes]:
        """Yield the notes, some whole students at a time."""
        number = pa.uint8() if self.skills <= 256 else pa.uint16()
        kinds = {"student": pa.uint32(), "skill": number, "day": pa.int32(), "help": pa.uint8()}
        with pq.ParquetFile(self.path, memory_map=True) as file:
            for group in range(file.num_row_groups):
                table = file.read_row_group(group, use_threads=False)
                yield Notes(*(_plain(table[name], kind) for name, kind in kinds.items()))


class Label(NamedTuple):
    """What a part says of itself.

    Attributes:
        course: the name and edition of the course it was gathered for; empty where it says none.
        source: the same for everything one school sent; empty where nobody is in it.
    """

    course: tuple[str, ...]
    source: str


def label_of(folder: Path) -> Label | None:
    """Return what a part says of itself, without reading its notes; None where it cannot be read."""
    path = folder / STUDENTS
    try:
        found = pq.read_metadata(path, memory_map=True)
        about = json.loads((found.metadata or {})[KEY])
        source = about.get("source") or (sha256(path.read_bytes()).hexdigest() if found.num_rows else "")
        return Label(tuple(about.get("course", ())), source)
    except TROUBLE:
        return None


def read_part(folder: Path, keep: bool = False) -> Columns | Unreadable:
    """Return the columns of a part's folder, or why not; ``keep`` holds all notes, to judge them often."""
    try:
        table, about = unpacked(folder / STUDENTS)
        if about["format"] != FORMAT:
            raise ValueError(f"format {about['format']} is not known, only {FORMAT}")
        notes = NotesFile(folder / Path(about["notes"]).name, len(about["skills"]))
        return Columns(
            part=folder.name,
            ids=table["id"].combine_chunks(),
            born=_plain(table["born"], pa.int32()),
            skills=tuple(about["skills"]),
            units=tuple(about["units"]),
            bands=tuple(about["bands"]),
            course=tuple(about.get("course", ())),
            source=about.get("source", ""),
            notes=tuple(notes) if keep else notes,
            holds=_dated(table["holds"], "opened", "closed"),
            since=_dated(table["holds"], "opened", "since"),
            rhythm=_plain(table["rhythm_weeks"], pa.uint8()),
            lessons=_dated(table["lessons_without_notes"], "on", None),
            **{name: _dated(table[name], "on", "what") for name in ENTRIES},
        )
    except TROUBLE as error:
        return unreadable(folder.name, error)


def unreadable(part: str, error: Exception) -> Unreadable:
    """Say why the files of a part could not be read."""
    if isinstance(error, FileNotFoundError):
        return Unreadable(part, "no-file", f"{part}: a file of this part is not there.")
    first = (str(error).splitlines() or [""])[0]
    return Unreadable(part, "damaged", f"{part}: the files are not as they must be ({first}).")


def _plain(column: pa.ChunkedArray, kind: pa.DataType) -> Array:
    """Return a column as numbers, seldom copied; ArrowInvalid where a value is missing or does not fit."""
    whole = column.combine_chunks() if column.num_chunks != 1 else column.chunk(0)
    return np.asarray(whole.cast(kind).to_numpy(zero_copy_only=True))


def _dated(column: pa.ChunkedArray, on: str, what: str | None) -> Dated:
    lists = column.combine_chunks() if column.num_chunks != 1 else column.chunk(0)
    entries = lists.flatten()
    start = lists.offsets.to_numpy() - lists.offsets[0].as_py()
    days = entries.field(on).cast(pa.int32())
    named = pa.array(np.zeros(len(days), np.int32)) if what is None else entries.field(what).cast(pa.int32())
    if what in ("closed", "since"):
        named = named.fill_null(STILL_OPEN)
    return in_order(Dated(start, named.to_numpy(), days.to_numpy()))


def write_part(folder: Path, columns: Columns) -> Refusal | None:
    """Put the columns of a part into its folder, made if need be, in one step; return why not, if so."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        return Refusal("cannot-write", f"nothing was written: {folder}: {error.strerror}.")
    data = _notes_bytes(columns)
    notes = folder / f"notes-{sha256(data).hexdigest()[:16]}.parquet"
    refusal = put(notes, data) or put(folder / STUDENTS, _students_bytes(columns, notes.name))
    if refusal is None:
        for old in folder.glob("notes-*.parquet"):
            if old != notes:
                old.unlink(missing_ok=True)
    return refusal


def _notes_bytes(columns: Columns) -> bytes:
    skill = pa.uint8() if len(columns.skills) <= 256 else pa.uint16()
    schema = pa.schema(
        [("student", pa.uint32()), ("skill", skill), ("day", pa.date32()), ("help", pa.uint8())]
    )
    sink = pa.BufferOutputStream()
    with pq.ParquetWriter(sink, schema, compression="zstd") as writer:
        for notes in columns.notes:
            for some in _some_students(notes):
                arrays = [pa.array(one).cast(kind) for one, kind in zip(some, schema.types, strict=True)]
                writer.write_table(pa.table(arrays, schema=schema), row_group_size=2 * len(some.day) + 1)
    return bytes(sink.getvalue())


def _some_students(notes: Notes) -> Iterator[Notes]:
    """Yield notes about so many at a time, never one student's in two."""
    begin = 0
    while begin < len(notes.day):
        end = begin + AT_ONCE
        if end < len(notes.day):
            end = int(np.searchsorted(notes.student, notes.student[end], side="right"))
        yield Notes(*(one[begin:end] for one in notes))
        begin = end


def _students_bytes(columns: Columns, notes: str) -> bytes:
    about = {
        "format": FORMAT,
        "skills": columns.skills,
        "units": columns.units,
        "bands": columns.bands,
        "notes": notes,
        "course": columns.course,
        "source": columns.source,
    }
    holds, since = columns.holds, _days(columns.since.what)
    table = pa.table(
        {
            "id": columns.ids,
            "born": _days(columns.born),
            **{
                name: _lists(one.start, on=_days(one.on), what=pa.array(one.what, pa.int32()))
                for name, one in fields_of(columns) if name in ENTRIES
            },
            "holds": _lists(holds.start, opened=_days(holds.on), closed=_days(holds.what), since=since),
            "rhythm_weeks": pa.array(columns.rhythm, pa.uint8()),
            "lessons_without_notes": _lists(columns.lessons.start, on=_days(columns.lessons.on)),
        }
    )
    return packed(table, about)


def packed(table: pa.Table, about: object) -> bytes:
    """Return the bytes of a file with a table, and with what is said of it."""
    sink = pa.BufferOutputStream()
    pq.write_table(table.replace_schema_metadata({KEY: json.dumps(about)}), sink, compression="zstd")
    return bytes(sink.getvalue())


def unpacked(path: Path) -> tuple[pa.Table, Any]:
    """Return what :func:`packed` put into a file; raise one of ``TROUBLE`` where it is no such file."""
    table = pq.read_table(path, use_threads=False, partitioning=None)
    return table, json.loads((table.schema.metadata or {})[KEY])


def _days(days: Array) -> pa.Array:
    return pa.array(days, pa.int32(), mask=days == STILL_OPEN).cast(pa.date32())


def _lists(start: Array, **fields: pa.Array) -> pa.Array:
    values = pa.StructArray.from_arrays(list(fields.values()), names=list(fields))
    return pa.ListArray.from_arrays(pa.array(start, pa.int32()), values)
