"""Quick edits: a course as it would be with one link more, a number changed, a skill moved.

An edit is laid over what was read; no file is touched. The edited course is then checked like any other, so
that a refused edit is refused with the same problems as a saved one, at the place where it would be written.
What cannot even be laid over, because there is no such skill or link, is an :class:`EditError`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any, Final, Generic, NoReturn, TypeVar

import tomli
from pydantic import BaseModel

from readiness.course.layers import CourseFile, CourseFiles, validated
from readiness.course.schema import GraphFile
from readiness.lazy import dataclass
from readiness.toml.locate import Path, Places
from readiness.toml.texts import did_you_mean

__all__ = ["Add", "Drop", "Edit", "EditError", "Move", "Retire", "Set", "EditedFile", "apply", "parse_edit"]

# A copy of a course file on which something is changed, while the file stays as it is.
#
# Every value keeps the place it is written on; what is new stands where the nearest thing it is
# in stands. Whether the result makes sense is asked of it afterwards, as of any file.

M = TypeVar("M", bound=BaseModel)


class EditedFile(Generic[M]):
    """One file with the changes made so far."""

    def __init__(self, file: CourseFile[M]) -> None:
        self.file = file
        self.data: Mapping[str, Any] = file.data
        self.spots = dict(file.places.spots)
        self.inherited = dict(file.inherited)

    def finished(self) -> CourseFile[M]:
        """Return the file with the changes, checked against its schema again."""
        if self.data is self.file.data:
            return self.file
        places = Places(self.spots, self.file.places.headers)
        known = () if self.file.value is not None else self.file.problems
        return validated(replace(self.file, places=places, inherited=self.inherited), self.data, known)

    def table(self, *path: str) -> Mapping[str, Any]:
        """Return a table, an empty one where there is none."""
        inside: Any = self.data
        for step in path:
            inside = inside.get(step) if isinstance(inside, dict) else None
        return inside if isinstance(inside, dict) else {}

    def put(self, path: Path, value: object, kept: Sequence[int] = ()) -> None:
        """Put a value in place; the way there is copied, never changed.

        Args:
            kept: of a list, the old numbers of the items it begins with.
        """
        self.data = _with(self.data, path, value)
        self._lift(path, {(*path, old): (*path, new) for new, old in enumerate(kept)})

    def copy(self, old: Path, new: Path, value: object) -> None:
        """Put a new table in place that stands where an old one stands."""
        self.data = _with(self.data, new, value)
        for path in [path for path in self.spots if path[: len(old)] == old]:
            here = (*new, *path[len(old) :])
            self.spots[here] = self.spots[path]
            if path in self.inherited:
                self.inherited[here] = self.inherited[path]

    def _lift(self, path: Path, moved: Mapping[Path, Path]) -> None:
        """Forget where everything under a path stands, except what is there under another number."""
        depth = len(path)
        below = [one for one in self.spots if len(one) > depth and one[:depth] == path]
        spots = {one: (self.spots.pop(one), self.inherited.pop(one, None)) for one in below}
        for old, (spot, file) in spots.items():
            new = moved.get(old[: depth + 1])
            if new is not None:
                self.spots[(*new, *old[depth + 1 :])] = spot
                if file is not None:
                    self.inherited[(*new, *old[depth + 1 :])] = file


def _with(inside: Any, path: Path, value: object) -> Any:  # noqa: ANN401 - whatever a file holds
    """Return a value with something put in at a path, as deep as the format goes."""
    if not path:
        return value
    step, below = path[0], path[1:]
    if isinstance(inside, list) and isinstance(step, int):
        return [_with(item, below, value) if at == step else item for at, item in enumerate(inside)]
    table = inside if isinstance(inside, dict) else {}
    return {**table, step: _with(table.get(step, {}), below, value)}


class EditError(ValueError):
    """An edit that cannot be laid over this course; the text is one sentence without its stop."""


@dataclass(frozen=True)
class Add:
    """``skill`` also stands on ``before``."""

    skill: str
    before: str


@dataclass(frozen=True)
class Drop:
    """``skill`` stands on ``before`` no longer, neither directly nor as one of a group."""

    skill: str
    before: str


@dataclass(frozen=True)
class Move:
    """``skill`` is taught in another unit."""

    skill: str
    unit: str


@dataclass(frozen=True)
class Set:
    """One value, by the path it has in its file (``band.6-7.carry_limit``)."""

    path: tuple[str, ...]
    value: object


@dataclass(frozen=True)
class Retire:
    """``skill`` is not asked for from a day on; ``into`` takes its place.

    What is not in the course yet is made for it, as a copy that begins on that day.
    """

    skill: str
    day: int
    into: tuple[str, ...] = ()


Edit = Add | Drop | Move | Set | Retire


def parse_edit(kind: str, text: str) -> Edit:
    """Return an edit: ``add``, ``drop``, ``move`` take A:B, ``set`` takes A=B; else an EditError."""
    sign, example, made = _SHAPES[kind]
    first, found, second = (part.strip() for part in text.partition(sign))
    if not (first and found and second):
        raise EditError(f'--{kind} is written as in {example}, and "{text}" is not')
    return made(first, second)


def _typed(path: str, text: str) -> Set:
    """Return the edit that sets a value as TOML has it; what is none is text."""
    try:
        value = tomli.loads(f"value = {text}")["value"]
    except ValueError:
        value = text
    return Set(tuple(part.strip("\"'") for part in path.split(".")), value)


_SHAPES: Final[Mapping[str, tuple[str, str, Callable[[str, str], Edit]]]] = {
    "add": (":", "wrist-lift:rounded-hand-keys", Add),
    "drop": (":", "wrist-lift:rounded-hand-keys", Drop),
    "move": (":", "wrist-lift:arms-that-travel", Move),
    "set": ("=", "band.6-7.carry_limit=1", _typed),
}


def apply(files: CourseFiles, edits: Iterable[Edit]) -> CourseFiles:
    """Return a course's files with edits laid over in order; EditError where one names nothing there."""
    graph, pacing = EditedFile(files.graph), EditedFile(files.pacing)
    for edit in edits:
        if isinstance(edit, Set):
            _set(pacing if edit.path[0] in ("band", "basis", "change") else graph, edit)
        elif isinstance(edit, Add):
            links = _listed(_skill(graph, edit.skill).get("stands_on"))
            graph.put(("skill", edit.skill, "stands_on"), [*links, edit.before], range(len(links)))
        elif isinstance(edit, Drop):
            _drop(graph, edit)
        elif isinstance(edit, Move):
            _skill(graph, edit.skill)
            graph.put(("skill", edit.skill, "unit"), edit.unit)
        else:
            _retire(graph, edit)
    return CourseFiles(graph.finished(), pacing.finished())


def _skill(sheet: EditedFile[GraphFile], name: str) -> Mapping[str, Any]:
    """Return a skill's table, or refuse."""
    table = sheet.table("skill").get(name)
    if not isinstance(table, dict):
        _unknown("skill", name, sheet.table("skill"))
    return table


def _drop(sheet: EditedFile[GraphFile], edit: Drop) -> None:
    table = _skill(sheet, edit.skill)
    links = _listed(table.get("stands_on"))
    groups = [
        _listed(group.get("of")) if isinstance(group, dict) else []
        for group in _listed(table.get("stands_on_some"))
    ]
    if not any(edit.before in names for names in (links, *groups)):
        stands = ", ".join(map(str, [*links, *(name for of in groups for name in of)])) or "nothing"
        raise EditError(f'"{edit.skill}" does not name "{edit.before}"; it stands on {stands}')
    _without(sheet, ("skill", edit.skill, "stands_on"), links, edit.before)
    for number, of in enumerate(groups):
        _without(sheet, ("skill", edit.skill, "stands_on_some", number, "of"), of, edit.before)


def _without(sheet: EditedFile[GraphFile], path: Path, names: list[Any], gone: str) -> None:
    kept = [number for number, name in enumerate(names) if name != gone]
    if len(kept) < len(names):
        sheet.put(path, [names[number] for number in kept], kept)


def _set(sheet: EditedFile[Any], edit: Set) -> None:
    known: tuple[str, ...] = ()
    for step in edit.path[:-1]:
        if step not in sheet.table(*known):
            _unknown(known[-1] if known else "table", step, sheet.table(*known))
        known = (*known, step)
    if isinstance(sheet.table(*known).get(edit.path[-1]), dict):
        raise EditError(f"{'.'.join(edit.path)} is a table: name one of {', '.join(sheet.table(*edit.path))}")
    sheet.put(edit.path, edit.value)


def _retire(sheet: EditedFile[GraphFile], edit: Retire) -> None:
    table = _skill(sheet, edit.skill)
    if "retired" in table:
        raise EditError(f'"{edit.skill}" is retired already, on {table["retired"]}')
    if edit.skill in edit.into:
        raise EditError(f'"{edit.skill}" cannot take its own place')
    day = date.fromordinal(edit.day)
    for name in edit.into:
        if name not in sheet.table("skill"):
            sheet.copy(("skill", edit.skill), ("skill", name), {**table, "since": day})
    sheet.put(("skill", edit.skill, "retired"), day)
    if edit.into:
        sheet.put(("skill", edit.skill, "replaced_by"), list(edit.into))


def _listed(value: object) -> list[Any]:
    return value if isinstance(value, list) else []


def _unknown(what: str, name: str, known: Iterable[str]) -> NoReturn:
    hint = did_you_mean(name, known)
    raise EditError(f'there is no {what} "{name}"{f"; {hint}" if hint else ""}')
