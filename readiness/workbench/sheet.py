"""A copy of a course file on which something is changed, while the file stays as it is.

Every value keeps the place it is written on; what is new stands where the nearest thing it is
in stands. Whether the result makes sense is asked of it afterwards, as of any file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Generic, TypeVar

from pydantic import BaseModel

from readiness.course.layers import CourseFile, validated
from readiness.files.locate import Path, Places

__all__ = ["Sheet"]

M = TypeVar("M", bound=BaseModel)


class Sheet(Generic[M]):
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
            path: the way there.
            value: the new value.
            kept: of a list, the old numbers of the items it begins with.
        """
        self.data = _with(self.data, path, value)
        self._lift(path, {(*path, old): (*path, new) for new, old in enumerate(kept)})

    def copy(self, old: Path, new: Path, value: object) -> None:
        """Put a new table in place that stands where an old one stands."""
        self.data = _with(self.data, new, value)
        for path in [path for path in self.spots if path[: len(old)] == old]:
            self._note((*new, *path[len(old) :]), path)

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

    def _note(self, new: Path, old: Path) -> None:
        self.spots[new] = self.spots[old]
        if old in self.inherited:
            self.inherited[new] = self.inherited[old]


def _with(inside: Any, path: Path, value: object) -> Any:  # noqa: ANN401 - whatever a file holds
    """Return a value with something put in at a path, as deep as the format goes."""
    if not path:
        return value
    step, below = path[0], path[1:]
    if isinstance(inside, list) and isinstance(step, int):
        return [_with(item, below, value) if at == step else item for at, item in enumerate(inside)]
    table = inside if isinstance(inside, dict) else {}
    return {**table, step: _with(table.get(step, {}), below, value)}
