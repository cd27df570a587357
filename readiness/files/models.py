"""What a pydantic model has at a path: the types there, the keys, what a value looks like.

pydantic names the rule that was broken but not what would have been right; this looks that
up in the model's annotations, so that nothing about a file is written down twice.
"""

from __future__ import annotations

import types
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Final, Literal, Protocol, Union, get_args, get_origin, runtime_checkable

from pydantic import BaseModel

from readiness.files.locate import Path

__all__ = ["Suggesting", "Usual", "example_at", "keys_of", "kinds_at", "sample_of"]

_SAMPLES: Final[dict[Any, str]] = {str: '"..."', bool: "false", int: "1", float: "1.0", date: "2025-12-02"}


@dataclass(frozen=True, slots=True)
class Usual:
    """A value to suggest where one is missing; ``is_default``: the program brings it for this very key."""

    value: object
    is_default: bool = False


@runtime_checkable
class Suggesting(Protocol):
    """A model of a file that knows what its values usually are."""

    def usual(self, data: Mapping[str, Any], path: Path) -> Usual | None:
        """Return the value to suggest at a path where there is none, None without one."""


def example_at(model: type[BaseModel], path: Path) -> str | None:
    """Return the example that the model itself gives for a value, as ``Field(examples=...)`` has it."""
    *above, last = path
    for kind in kinds_at(model, tuple(above)):
        if isinstance(kind, type) and issubclass(kind, BaseModel) and str(last) in kind.model_fields:
            return next(iter(kind.model_fields[str(last)].examples or ()), None)
    return None


def kinds_at(model: type[BaseModel], path: Path) -> list[Any]:
    """Return the types that the model allows at a path."""
    kinds: list[Any] = [model]
    for step in path:
        kinds = [inner for kind in kinds for inner in _inside(kind, step)]
    return kinds


def _inside(kind: Any, step: str | int) -> Iterator[Any]:  # noqa: ANN401 - annotations are of any type
    """Yield the types one step further in."""
    args = get_args(kind)
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        for name, field in kind.model_fields.items():
            if step in (name, field.alias):
                yield from _alternatives(field.annotation)
    elif args and isinstance(step, str):
        yield from _alternatives(args[-1])
    elif args:
        yield from _alternatives(args[0])


def _alternatives(kind: Any) -> Iterator[Any]:  # noqa: ANN401 - annotations are of any type
    """Yield the types that an annotation stands for."""
    origin = get_origin(kind)
    if origin is Annotated:
        yield from _alternatives(get_args(kind)[0])
    elif origin in (Union, types.UnionType):
        for other in get_args(kind):
            yield from _alternatives(other)
    elif kind is not types.NoneType:
        yield kind


def keys_of(kinds: Iterable[Any]) -> set[str]:
    """Return the keys a teacher may write in any of these models."""
    return {
        field.alias or name
        for kind in kinds
        if isinstance(kind, type) and issubclass(kind, BaseModel)
        for name, field in kind.model_fields.items()
    }


def sample_of(kind: Any) -> str:  # noqa: ANN401 - annotations are of any type
    """Return what a value of a type looks like, empty for tables."""
    if get_origin(kind) is Literal:
        first = get_args(kind)[0]
        return f'"{first}"' if isinstance(first, str) else str(first)
    if get_origin(kind) in (list, tuple):
        return "[...]"
    return _SAMPLES.get(kind, "")
