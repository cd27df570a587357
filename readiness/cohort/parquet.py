"""Columns in files: one folder a part, with one Parquet file of students and one of notes.

``students.parquet`` has a row for each student and names the file of its notes, so that putting
it in place is the one step with which a part is a new one; whoever reads at that moment gets the
old part or the new one, never half of each. Notes are read some students at a time.

Any program that writes Parquet can make such a folder; README.md beside it has the columns. What does
not fit is said in one sentence.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from readiness.cohort.columns import STILL_OPEN, Array, Columns, Dated, Notes, Unreadable, in_order
from readiness.lazy import dataclass
from readiness.toml.write import Refusal, put

__all__ = ["KEY", "STUDENTS", "TROUBLE", "Label", "label_of", "read_part", "unreadable", "write_part"]

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
        with pq.ParquetFile(self.path, memory_map=True) as file:
            for group in range(file.num_row_groups):
                table = file.read_row_group(group, use_threads=False)
                yield Notes(
                    _plain(table["student"], pa.uint32()),
                    _plain(table["skill"], number),
                    _plain(table["day"], pa.int32()),
                    _plain(table["help"], pa.uint8()),
                )


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
    """Return the columns of a part, or why they cannot be read.

    Args:
        folder: the folder of the part; its name is the part's.
        keep: whether to hold all notes in memory, so that they can be judged again and again.
    """
    try:
        table = pq.read_table(folder / STUDENTS, use_threads=False, partitioning=None)
        about = json.loads((table.schema.metadata or {})[KEY])
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
    """Return a column as numbers, without a copy where it can be.

    Raises:
        pyarrow.ArrowInvalid: a value is missing or does not fit.
    """
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
    """Write the columns of a part in place of what was there, in one step.

    Args:
        folder: the folder of the part; made if it is not there.

    Returns:
        Why nothing was written, or nothing.
    """
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
    holds = {
        "opened": _days(columns.holds.on),
        "closed": _known_days(columns.holds.what),
        "since": _known_days(columns.since.what),
    }
    table = pa.table(
        {
            "id": columns.ids,
            "born": _days(columns.born),
            **{name: _entries(getattr(columns, name)) for name in ENTRIES},
            "holds": _lists(columns.holds.start, holds),
            "rhythm_weeks": pa.array(columns.rhythm, pa.uint8()),
            "lessons_without_notes": _lists(columns.lessons.start, {"on": _days(columns.lessons.on)}),
        }
    )
    sink = pa.BufferOutputStream()
    pq.write_table(table.replace_schema_metadata({KEY: json.dumps(about)}), sink, compression="zstd")
    return bytes(sink.getvalue())


def _known_days(days: Array) -> pa.Array:
    return pa.array(days, pa.int32(), mask=days == STILL_OPEN).cast(pa.date32())


def _days(days: Array) -> pa.Array:
    return pa.array(days, pa.int32()).cast(pa.date32())


def _entries(entries: Dated) -> pa.Array:
    return _lists(entries.start, {"on": _days(entries.on), "what": pa.array(entries.what, pa.int32())})


def _lists(start: Array, fields: dict[str, pa.Array]) -> pa.Array:
    values = pa.StructArray.from_arrays(list(fields.values()), names=list(fields))
    return pa.ListArray.from_arrays(pa.array(start, pa.int32()), values)
