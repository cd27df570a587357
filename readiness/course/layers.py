"""A file of a course together with the files it is based on, read as one.

A course may hold only what it does otherwise than another one: ``based_on = "../first-two-years"``
(a folder, as seen from its own) at the top of ``graph.toml`` or ``pacing.toml``. A table of the
file then extends the same table of the other, key by key; a list or a value replaces the other;
``[[change]]`` blocks are added to those there. A unit of its own says where it comes:
``after = "hand-shape-wrist"``. Nothing is taken out this way: a skill is retired (``course.model``).
Without a ``pacing.toml`` of its own a course has that of the course its graph is based on.

Every value keeps the file and line it is written on, so that a number or a link can be told
to be the course's own or inherited. Nothing here asks whether a course makes sense.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import field, replace
from pathlib import Path as File
from typing import Any, Final, Generic, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from readiness.course.draft import Written
from readiness.course.schema import GraphFile, PacingFile
from readiness.lazy import dataclass
from readiness.toml.locate import Path, Places
from readiness.toml.problems import Place, Problem, sort_problems
from readiness.toml.read import Loaded, parse_toml, read_toml
from readiness.toml.schema_errors import schema_problems, without_echoes
from readiness.toml.texts import did_you_mean

__all__ = ["GRAPH", "PACING", "CourseFile", "CourseFiles", "as_read", "read_files", "validated"]

M = TypeVar("M", bound=BaseModel)

GRAPH: Final = "graph.toml"
PACING: Final = "pacing.toml"
_NOWHERE: Final = Places({}, {})
NOTHING_UNSAVED: Final[Mapping[File, str]] = {}


@dataclass(frozen=True)
class CourseFile(Generic[M]):
    """One file of a course with all it inherits.

    Attributes:
        value: the checked content, None where there is an error.
        data: the plain content, whatever its shape; empty where it is no TOML.
        problems: what the schema and the reading found, in any of the files.
        places: where everything stands, each in its own file.
        inherited: the file of every path that is not written in ``path``.
        bases: the files it is based on, the nearest first.
        lost: what was left out because it is no TOML, None where all of the file could be read.
    """

    path: File
    model: type[M]
    value: M | None
    data: Mapping[str, Any]
    problems: tuple[Problem, ...]
    places: Places
    inherited: Mapping[Path, File] = field(default_factory=dict)
    bases: tuple[File, ...] = ()
    lost: str | None = None

    def key_place(self, *path: str | int) -> Place:
        """Return where a key or a table's header stands, or the nearest thing it is in."""
        known, spot = self.places.nearest(path)
        return Place(self.inherited.get(known, self.path), spot.line, spot.column)

    def value_place(self, *path: str | int) -> Place:
        """Return where a value or a list item stands, or the nearest thing it is in."""
        spot = self.places.spots.get(path)
        if spot is None:
            return self.key_place(*path)
        return Place(self.inherited.get(path, self.path), spot.value_line, spot.value_column)

    @property
    def written(self) -> Written:
        """All that it says and where, whatever its shape."""
        return Written(self.data, self)


@dataclass(frozen=True)
class CourseFiles:
    """The two files of a course."""

    graph: CourseFile[GraphFile]
    pacing: CourseFile[PacingFile]


def read_files(folder: File, unsaved: Mapping[File, str] = NOTHING_UNSAVED) -> CourseFiles:
    """Read the two files of a course with their bases, never raising; ``unsaved`` are texts by path."""
    pacing = folder / _pacing_folder(folder) / PACING
    return CourseFiles(
        _read(folder / GRAPH, GraphFile, (), unsaved.get(folder / GRAPH)),
        _read(pacing, PacingFile, (), unsaved.get(pacing)),
    )


def as_read(loaded: Loaded[M], model: type[M]) -> CourseFile[M]:
    """Return a file that is based on no other."""
    if (rest := loaded.mended) is not None:
        file = CourseFile(loaded.path, model, None, rest.data, loaded.problems, rest.places, lost=rest.lost)
        return replace(file, data={}) if "based_on" in rest.data else file
    places = loaded.places or _NOWHERE
    problems = (*loaded.problems, *_afters_in_vain(loaded))
    value = None if problems else loaded.value
    return CourseFile(loaded.path, model, value, loaded.data, problems, places)


def validated(
    file: CourseFile[M], data: Mapping[str, Any], problems: Iterable[Problem] = ()
) -> CourseFile[M]:
    """Return a file with this content, checked against its schema; ``problems`` are known already.

    What is wrong in an inherited place is wrong in the other file, and was said there.
    """
    file, known = replace(file, data=data), tuple(problems)
    try:
        value: M | None = file.model.model_validate(data)
        found: tuple[Problem, ...] = ()
    except ValidationError as err:
        value, found = None, tuple(_said(file, err.errors()))
    return replace(file, value=None if known else value, problems=sort_problems((*known, *found)))


def _said(file: CourseFile[M], errors: Iterable[ErrorDetails]) -> Iterator[Problem]:
    by_file: dict[File, list[ErrorDetails]] = {}
    for error in without_echoes(errors, file.data, file.model):
        by_file.setdefault(file.key_place(*error["loc"]).file, []).append(error)
    for owner, some in by_file.items():
        yield from schema_problems(some, file.data, file.model, owner, file.places)


_ONLY_IN: Final = {GRAPH: ("skill", "unit", "strand"), PACING: ("band",)}
"""The tables by which a file is known."""


def _of_the_other(loaded: Loaded[M]) -> Problem | None:
    """Return that a file holds what belongs in the other one, told once in place of all that follows."""
    name = loaded.path.name
    other = PACING if name == GRAPH else GRAPH
    strange = [kind for kind in _ONLY_IN[other] if kind in loaded.data]
    if not strange or any(kind in loaded.data for kind in _ONLY_IN[name]):
        return None
    message = f"this is {name}, and it holds what belongs in {other}"
    hint = "have the two files changed places? give each the other's name"
    return Problem("other-file", "error", loaded.key_place(strange[0]), message, hint)


def _read(path: File, model: type[M], above: tuple[File, ...], text: str | None = None) -> CourseFile[M]:
    loaded = read_toml(path, model) if text is None else parse_toml(text, path, model)
    named = loaded.data.get("based_on")
    if (wrong := _of_the_other(loaded)) is not None:
        return CourseFile(path, model, None, {}, (wrong,), _NOWHERE)
    if not isinstance(named, str) or not named:
        return as_read(loaded, model)
    own = CourseFile(path, model, None, loaded.data, (), loaded.places or _NOWHERE)
    wrong = _no_base(own, named, (*above, path))
    if wrong is not None:
        return replace(own, data={}, problems=(wrong,))
    folder = _folder(path, named)
    if path.name == PACING:
        folder = File(os.path.normpath(folder / _pacing_folder(folder)))
    base = _read(folder / path.name, model, (*above, path))
    if not base.data:
        return replace(own, data={}, problems=base.problems)
    order, problems = _unit_order(own, base)
    merged = _merged(base, own)
    data = dict(merged.data) if order is None else {**merged.data, "unit": order}
    checked = validated(merged, data, problems)
    # The base has said its own; what it got wrong is not said a second time.
    mine = [p for p in checked.problems if p.place.file == path or not base.problems]
    every = sort_problems((*base.problems, *mine))
    return replace(checked, problems=every, value=None if base.problems else checked.value)


def _folder(path: File, named: str) -> File:
    return File(os.path.normpath(path.parent / named))


def _no_base(own: CourseFile[M], named: str, above: tuple[File, ...]) -> Problem | None:
    """Return why a file cannot be based on what it names: nothing there, or a ring."""
    folder, place = _folder(own.path, named), own.value_place("based_on")
    if not folder.is_dir():
        near = did_you_mean(folder.name, [one.name for one in folder.parent.glob("*/")])
        hint = near or "name the folder of the other course, as seen from this one"
        return Problem("no-base", "error", place, f"there is no course folder {folder}", hint)
    if (folder / own.path.name).resolve() in {one.resolve() for one in above}:
        ring = " > ".join([*(one.parent.name for one in above), folder.name])
        message = f"these courses are based on each other: {ring}"
        hint = "one of them must stand on its own: take its based_on out"
        return Problem("base-ring", "error", place, message, hint)
    return None


def _pacing_folder(folder: File) -> File:
    """Return the folder whose pacing a course has, as seen from its own: mostly its own."""
    here, met = File(), set[File]()
    with suppress(OSError):  # what may not be looked at is told where it is read
        while not (folder / here / PACING).exists() and (folder / here).resolve() not in met:
            met.add((folder / here).resolve())
            graph = folder / here / GRAPH
            named = read_toml(graph, GraphFile).data.get("based_on") if graph.is_file() else None
            if not isinstance(named, str) or not named:
                return File()
            here = File(os.path.normpath(here / named))
        return here if (folder / here / PACING).exists() else File()
    return File()


def _merged(base: CourseFile[M], own: CourseFile[M]) -> CourseFile[M]:
    """Lay a file over the one it is based on."""
    before = len(base.data.get("change") or [])
    written = {_moved(path, before): spot for path, spot in own.places.spots.items()}
    mine = {
        path: spot
        for path, spot in written.items()
        if path != ("change",) and not (_is_table(own.data, path) and _is_table(base.data, path))
    }
    kept = {
        path: spot
        for path, spot in base.places.spots.items()
        if not any(path[:n] in mine for n in range(1, len(path) + 1))
    }
    headers = {_moved(path, before): header for path, header in own.places.headers.items()}
    return replace(
        own,
        data=_laid_over(base.data, own.data),
        places=Places({**kept, **mine}, {**base.places.headers, **headers}),
        inherited={path: base.inherited.get(path, base.path) for path in kept},
        bases=(base.path, *base.bases),
    )


def _moved(path: Path, before: int) -> Path:
    """Return the path of a ``[[change]]`` block, which comes after those inherited."""
    if path[:1] == ("change",) and len(path) > 1 and isinstance(path[1], int):
        return ("change", path[1] + before, *path[2:])
    return path


def _laid_over(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Return tables joined key by key, at most as deep as the format goes."""
    data = dict(base)
    for key, value in own.items():
        there = base.get(key)
        if isinstance(value, dict) and isinstance(there, dict):
            data[key] = _laid_over(there, value)
        elif key == "change" and isinstance(value, list) and isinstance(there, list):
            data[key] = [*there, *value]
        elif key != "based_on":
            data[key] = value
    return data


def _is_table(data: Mapping[str, Any], path: Path) -> bool:
    inside: Any = data
    for step in path:
        if not isinstance(inside, dict) or step not in inside:
            return False
        inside = inside[step]
    return isinstance(inside, dict)


def _unit_order(own: CourseFile[M], base: CourseFile[M]) -> tuple[dict[str, Any] | None, tuple[Problem, ...]]:
    """Return all units in the order of teaching, those with ``after`` behind the unit they name."""
    units = _tables(own.data.get("unit"))
    every = _laid_over(_tables(base.data.get("unit")), units)
    order, problems = list(every), []
    for unit, table in units.items():
        after = table.get("after") if isinstance(table, dict) else None
        if not isinstance(after, str):
            continue
        if after not in every or after == unit:
            place = own.value_place("unit", unit, "after")
            hint = did_you_mean(after, [one for one in every if one != unit])
            problems += [Problem("unknown-unit", "error", place, f'there is no other unit "{after}"', hint)]
            continue
        order.remove(unit)
        order.insert(order.index(after) + 1, unit)
    return ({unit: every[unit] for unit in order} if every else None), tuple(problems)


def _tables(value: object) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _afters_in_vain(loaded: Loaded[M]) -> Iterator[Problem]:
    """A course of its own has its units in the order of the file."""
    for unit, table in _tables(loaded.data.get("unit")).items():
        if isinstance(table, dict) and "after" in table:
            message = "the units of this course come in the order of the file"
            hint = (
                "take this line out and put the unit's table where it belongs; "
                "after is for a course that is based on another"
            )
            here = loaded.key_place("unit", unit, "after")
            yield Problem("after-without-base", "error", here, message, hint)
