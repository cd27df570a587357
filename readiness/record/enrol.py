"""A student comes, is described and is forgotten: the file made, its particulars changed, all of it deleted.

Deletes only what this program made for that student. Where else a name stands is found by
``studio.doctor`` and left to the person who put it there.

The id becomes the name of a file, so it is looked at first; what was typed never becomes a
path before that. Nothing is written over, the file is there whole or not at all, and what was kept of an
earlier student with that id is deleted first.

Of particulars only the words that change are put in place of others, in one step; every other byte stays.
What was agreed and who was told is added at the end, as every other entry is.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, field, replace
from datetime import date
from pathlib import Path
from typing import Final

from readiness.course.find import find_unit, unknown_unit
from readiness.course.model import Course
from readiness.days import age_on, birth_day, iso
from readiness.lazy import dataclass, regex
from readiness.record.append import add_blocks, block, entries_of, last_line, line, read_file, why_wrong
from readiness.record.checks import AGES
from readiness.record.consents import delete_by_line
from readiness.record.marks import standing
from readiness.record.model import Alternative, Particulars, Record, Told, is_id
from readiness.record.noting import odd_letters, unless_of_another
from readiness.record.schema import StudentFile
from readiness.toml import write as writing
from readiness.toml.locate import STRING, locate, offset
from readiness.toml.new_files import clear, following
from readiness.toml.problems import errors
from readiness.toml.read import parse_toml
from readiness.toml.texts import as_id, quoted
from readiness.toml.write import Refusal, create, lines_into, remove, why_not, within

__all__ = [
    "Forgotten", "NewStudent", "agreed_text", "beside", "change_particulars", "check_new", "enrol",
    "forget", "forget_beside", "is_reserved", "odd_birth", "student_text",
]  # fmt: skip

# What this program keeps beside a student's file: half-entered lessons, and what writers that died left.
#
# Each such file begins with a dot and the id, so that it can be found when the student is forgotten.

_BESIDE: Final = regex(r"\.([A-Za-z0-9][\w-]*)\.(?:.*\.)?(?:json|new|was)", re.ASCII)


def beside(folder: Path, id: str) -> tuple[Path, ...]:  # noqa: A002 - it is an id
    """Return what is kept beside the file of an id, there or not; OSError where the folder is unreadable."""
    found = ((path, _BESIDE.fullmatch(path.name)) for path in sorted(folder.iterdir()))
    return tuple(path for path, whose in found if whose and whose[1] == id)


@dataclass(frozen=True)
class Forgotten:
    """What was deleted, and what of it stays.

    Attributes:
        deleted: the files that are gone.
        led_to: the file that stays where a link was deleted, None where none was.
        other_names: how many further names the deleted file has, somewhere on the disk.
    """

    deleted: tuple[Path, ...]
    led_to: Path | None = None
    other_names: int = 0


def forget(path: Path, folder: Path, export: Path | None = None) -> Forgotten | Refusal:
    """Delete a student's file and what is kept beside it; with a copy elsewhere first.

    What is beside it goes first: wherever this is stopped, the file is still there to be forgotten.

    Args:
        path: the student's file; folder: the students folder it must be in.
        export: where the copy goes; outside the students folder, and nothing is written over.
    """
    if not within(path, folder):
        return Refusal("outside", f"nothing was deleted: {path} leads out of {folder}.")
    if export is not None and (refusal := _copy(path, folder, export)):
        return _not_deleted(refusal)
    gone: list[Path] = []
    try:
        led_to = path.resolve() if path.is_symlink() else None
        other_names = 0 if led_to else path.stat().st_nlink - 1
    except OSError as error:
        return Refusal("cannot-read", f"nothing was deleted: {path}: {why_not(error)}.")

    def with_it() -> list[Path]:
        gone[:] = beside(path.parent, path.stem)
        return gone

    refusal = remove(path, folder, with_it)
    if refusal is not None:
        return _not_deleted(refusal, "nothing" if all(map(os.path.lexists, gone)) else "not all")
    return Forgotten((path, *gone), led_to, other_names)


def forget_beside(id: str, folder: Path) -> Forgotten | Refusal:  # noqa: A002 - it is an id
    """Delete what is kept beside a student's file that is gone; OSError where its folder cannot be read."""
    gone = beside(folder, id)
    for path in gone:
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            why = why_not(error)
            return Refusal("beside", f"{path}, kept of an earlier student, cannot be deleted: {why}.")
    return Forgotten(gone)


def _not_deleted(refusal: Refusal, how_much: str = "nothing") -> Refusal:
    return replace(refusal, message=f"{how_much} was deleted: {refusal.why}") if refusal.why else refusal


def _copy(path: Path, folder: Path, export: Path) -> Refusal | None:
    if export.resolve().is_relative_to(folder.resolve()):
        return Refusal("export-inside", f"nothing was deleted: {export} would stay among the students.")
    try:
        data = path.read_bytes()
        is_there = export.is_file() and not export.is_symlink() and export.read_bytes() == data
    except OSError as error:
        return Refusal("cannot-read", f"nothing was deleted: {error.filename or path}: {why_not(error)}.")
    clear(export.parent, export.stem)
    return None if is_there else create(export, export.parent, data)


_RESERVED: Final = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10)))
)
"""What Windows keeps for devices, whatever the ending (Microsoft, "Naming Files, Paths, and Namespaces")."""

_HEAD: Final = "# Keep little: what the lessons need, in words the family may read.\n"


@dataclass(frozen=True)
class NewStudent:
    """What is known of a student on the first day.

    Attributes:
        id: the name of the file to be; name: a given name or a code.
        born: ``YYYY-MM`` is enough, ``YYYY-MM-DD`` is possible.
        on: the day of enrolling; unit begins that day, where one is given.
        placing: whether that day is a placing lesson.
        delete_by: the day on which the file is to be deleted.
        particulars, alternatives, told: what is known of them, agreed on and told by that day.
    """

    id: str
    name: str
    born: str
    on: int
    family: str = ""
    home_keys: int | None = None
    unit: str = ""
    placing: bool = False
    delete_by: int | None = None
    particulars: Particulars = field(default_factory=Particulars)
    alternatives: tuple[Alternative, ...] = ()
    told: tuple[Told, ...] = ()


def enrol(course: Course, new: NewStudent, folder: Path) -> tuple[Refusal, ...]:
    """Make the file of a new student; empty when it is safely there."""
    if wrong := check_new(course, new, folder):
        return wrong
    try:
        left = forget_beside(new.id, folder)
        standing = following(folder)
    except OSError as error:
        return (_cannot_read(folder, error),)
    if isinstance(left, Refusal):
        return (left,)
    refusal = create(folder / f"{new.id}.toml", folder, student_text(new).encode(), standing)
    return () if refusal is None else (refusal,)


def check_new(course: Course, new: NewStudent, folder: Path) -> tuple[Refusal, ...]:
    """Return why there cannot be such a file, without writing anything; empty where it can be made."""
    return (*_check_id(new.id, folder), *_check_fields(course, new))


def _cannot_read(folder: Path, error: OSError) -> Refusal:
    return Refusal("cannot-read", f"{folder} cannot be read: {why_not(error)}.")


def student_text(new: NewStudent) -> str:
    """Return the file of a new student."""
    day = date.fromordinal(new.on)
    until = "" if new.delete_by is None else delete_by_line(new.delete_by)
    fields = ("format", 1), ("name", new.name), ("family", new.family), ("born", new.born)
    head = _lines([*fields, ("home_keys", new.home_keys)])
    known = _lines(asdict(new.particulars).items())
    table = f"[{_TABLE}]\n{known}" if known else ""
    start = block("unit_start", [("unit", new.unit), ("on", day)]) if new.unit else ""
    placing = block("placing", [("on", day)]) if new.placing else ""
    blocks = table, agreed_text(new.alternatives, new.told), start, placing
    return f"{_HEAD}{until}\n" + "\n".join([head, *filter(None, blocks)])


def _lines(fields: Iterable[tuple[str, object]]) -> str:
    return "".join(f"{line(name, value)}\n" for name, value in fields if value not in (None, ""))


def agreed_text(alternatives: Iterable[Alternative], told: Iterable[Told]) -> str:
    """Return what was agreed and who was told, as blocks of a student file; empty without any."""
    blocks: list[tuple[str, Alternative | Told]] = [("alternative", one) for one in alternatives]
    blocks += [("told", one) for one in told]
    said = (
        block(kind, {**asdict(one), "on": date.fromordinal(one.on), "line": None}.items())
        for kind, one in blocks
    )
    return "\n".join(said)


def is_reserved(id: str) -> bool:  # noqa: A002 - it is an id
    """Return whether some systems cannot have a file of that name, whatever its ending.

    >>> is_reserved("NUL"), is_reserved("null")
    (True, False)
    """
    return id.casefold() in _RESERVED


def _check_id(id: str, folder: Path) -> tuple[Refusal, ...]:  # noqa: A002 - it is an id
    if not is_id(id):
        plain = as_id(id)
        message = (
            f'"{id}" cannot be an id: it becomes the name of a file, so letters, digits, hyphens and '
            "underscores only, beginning with a letter or a digit"
        )
        return (Refusal("no-id", f"{message}, as in {plain}." if plain else f"{message}."),)
    if id.casefold() in ("studio", "all"):  # the studio's own file, everybody in its lesson dates
        return (Refusal("id-taken", f'"{id}" means something else in a studio; please choose another id.'),)
    if is_reserved(id):
        message = f'some computers cannot hold a file named "{id}"; please choose another id.'
        return (Refusal("id-reserved", message),)
    try:
        stems = [path.stem for path in folder.iterdir() if path.suffix == ".toml"]
    except OSError as error:
        return (_cannot_read(folder, error),)
    there = next((stem for stem in stems if stem.casefold() == id.casefold()), None)
    if there is None:
        return ()
    same = "" if there == id else ", and some computers take the two for one"
    return (Refusal("exists", f'there already is a student "{there}"{same}; please choose another id.'),)


def _check_fields(course: Course, new: NewStudent) -> tuple[Refusal, ...]:
    typed = (asdict(new.particulars), *map(asdict, new.alternatives), *map(asdict, new.told))
    said = (words for one in typed for words in one.values() if isinstance(words, str))
    found = list(odd_letters(new.name, new.family, *said))
    if not new.name:
        found.append(Refusal("no-name", "a student needs a given name, or a code."))
    if not new.born:
        found.append(Refusal("no-born", "a student needs a month of birth, as in 2018-03."))
    if new.delete_by is not None and new.delete_by <= new.on:
        told = f"{iso(new.delete_by)}, the day of deleting, is not after the first day, {iso(new.on)}."
        found.append(Refusal("deleted-before", told))
    if found:
        return tuple(found)
    loaded = parse_toml(student_text(new), Path(f"{new.id}.toml"), StudentFile)
    for problem in errors(loaded.problems):
        hint = f" ({problem.hint})" if problem.hint else ""
        found.append(Refusal(problem.id, f"{problem.message}{hint}."))
    if new.unit and new.unit not in course.unit:
        several = find_unit(course, new.unit)
        found.append(several if isinstance(several, Refusal) else unknown_unit(course, new.unit))
    if loaded.value is not None and birth_day(new.born[:7]) - 30 > new.on:
        before = f"{iso(new.on)} is before the birth date, {new.born}.{_century_meant(new)}"
        found.append(Refusal("before-birth", before))
    return tuple(found)


def odd_birth(new: NewStudent) -> Iterator[Refusal]:
    """Yield that somebody would be very young or very old, with the year that was probably meant."""
    age = age_on(birth_day(new.born), new.on)
    if age >= 0 and age not in AGES:
        told = f"born {new.born}, this student would be {age} now; is the year right?{_century_meant(new)}"
        yield Refusal("odd-age", told)


def _century_meant(new: NewStudent) -> str:
    """Return the birth a hundred years away where somebody of that age has lessons, as a question."""
    for years in (100, -100):
        other = f"{int(new.born[:4]) + years}{new.born[4:]}"
        if new.born[5:] != "02-29" and age_on(birth_day(other), new.on) in AGES[:-10]:
            return f" Did you mean {other}?"
    return ""


_TABLE: Final = "particulars"
_VALUE: Final = re.compile(STRING, re.DOTALL)


def change_particulars(
    record: Record, folder: Path, changed: Mapping[str, str], blocks: str = ""
) -> Refusal | None:
    """Put other particulars into a student's file; return why nothing was written, if so.

    Args:
        record: the student, as read when the change was asked for.
        changed: the new words by the names of ``Particulars``; empty words take the line out.
        blocks: what was agreed and who was told, to be added at the end.
    """
    path = record.own_path
    if not changed:
        return add_blocks(path, folder, blocks, unless_of_another(record))

    def edit(before: bytes) -> bytes | Refusal:
        file = read_file(path, before)
        if isinstance(file, str):
            return why_wrong(path, before, file)
        if refusal := unless_of_another(record)(file) or _changed_since(record, file, changed):
            return refusal
        after = before
        for name, words in changed.items():
            after = _with(after, name, words)
        if refusal := _no_longer_right(path, before, after, file, changed):
            return refusal
        added = entries_of(path, after, (blocks,)) if blocks else b""
        return added if isinstance(added, Refusal) else after + added

    return writing.replace(path, folder, edit)


def _changed_since(record: Record, file: StudentFile, changed: Mapping[str, str]) -> Refusal | None:
    """Refuse where somebody else has changed the same words meanwhile."""
    known, now = asdict(record.entire.particulars), file.particulars.model_dump()
    if all(now[name] == known[name] for name in changed):
        return None
    return Refusal("changed", f"nothing was written: {record.path} was changed meanwhile; please look again.")


def _no_longer_right(
    path: Path, before: bytes, after: bytes, file: StudentFile, changed: Mapping[str, str]
) -> Refusal | None:
    """Refuse where the file would say anything else than these words more than before."""
    found = read_file(path, after)
    if isinstance(found, str):
        return why_wrong(path, before, found)
    from readiness.record.schema import ParticularsTable

    wanted = ParticularsTable.model_validate({**file.particulars.model_dump(), **changed})
    if found.model_dump() == file.model_copy(update={_TABLE: wanted}).model_dump():
        return None
    message = f"nothing was written: [{_TABLE}] in {path} is written in a way of its own; change it by hand."
    return Refusal("own-way", message)


def _with(before: bytes, name: str, words: str) -> bytes:
    """Return a file with other words under one name, where it has a table as this program writes it."""
    places = locate(text := standing(before).decode("utf-8-sig"))
    spot = places.spots.get((_TABLE, name))
    if (_TABLE,) not in places.headers:
        is_there = (_TABLE,) in places.spots or spot is not None
        added = "" if is_there or not words else f"\n[{_TABLE}]\n{line(name, words)}"
        return lines_into(before, last_line(text, places, 0), added) if added else before
    if spot is None:
        table = places.spots[_TABLE,].line
        return lines_into(before, last_line(text, places, table), line(name, words)) if words else before
    raw = before.decode()
    begin = offset(raw, spot.value_line, spot.value_column)
    value = _VALUE.match(raw, begin)
    assert value is not None
    if words:
        return f"{raw[:begin]}{quoted(words)}{raw[value.end() :]}".encode()
    rest = raw[value.end() :].partition("\n")[2]
    return f"{raw[: offset(raw, spot.line, 1)]}{rest}".encode()
