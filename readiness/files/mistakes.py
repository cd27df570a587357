"""One of pydantic's errors with all that a sentence about it may need, and what is said of keys.

A key that is there under a wrong name, and a key that is missing, are often one slip: then it
is told once. Where something is missing, what stands in the files that come with the program
is suggested (``models.Suggesting``), never a made-up value.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final, get_args

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from readiness.files.locate import Path, Places
from readiness.files.models import Suggesting, Usual, example_at, keys_of, kinds_at, sample_of
from readiness.files.spoken import as_toml, say_path
from readiness.files.suggest import did_you_mean, nearest

__all__ = ["Mistake", "Said", "missing_key", "unknown_key", "without_echoes", "written_path"]

_MANY: Final = 14  # so many keys are still worth listing
Said = tuple[str, str, str]
"""The id of a problem, its message and its hint."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One of pydantic's errors with all that a sentence about it may need."""

    error: ErrorDetails
    path: Path
    model: type[BaseModel]
    places: Places
    data: Mapping[str, object]

    @property
    def name(self) -> str:
        """The key, with its place in a list from 1, as in ``stands_on, item 2``."""
        return say_path(self.path[len(self.places.header(self.path)[0]) :])

    @property
    def where(self) -> str:
        """The key and the table it is in, as in ``kind in [skill.wrist-lift]``."""
        table = self.places.header(self.path)[1]
        return f"{self.name} in {table}" if table and self.name else table or self.name or "the file"

    @property
    def value(self) -> Any:  # noqa: ANN401 - whatever was written
        """What was written."""
        return self.error["input"]

    def about(self, name: str) -> Any:  # noqa: ANN401 - pydantic's own
        """Return what pydantic knows about the rule that was broken."""
        return self.error.get("ctx", {}).get(name, "")


def written_path(error: ErrorDetails, data: object) -> Path:
    """Return pydantic's ``loc`` without the steps that are not in the file, such as names of types."""
    path: Path = ()
    inside: Any = data
    for step in error["loc"]:
        if _has(inside, step):
            inside = inside[step]
        elif error["type"] != "missing" or step != error["loc"][-1]:
            continue
        path = (*path, step)
    return path


def _has(inside: object, step: str | int) -> bool:
    if isinstance(inside, list):
        return isinstance(step, int) and step < len(inside)
    return isinstance(inside, dict) and step in inside


def without_echoes(
    found: Iterable[ErrorDetails], data: Mapping[str, object], model: type[BaseModel]
) -> Iterator[ErrorDetails]:
    """Yield pydantic's errors without the keys that are missing only because they are misspelt.

    Such a slip is one problem: the key that is there under another name, with what was meant.
    """
    errors = tuple(found)
    meant = {
        (*above, nearest(str(last), sorted(keys_of(kinds_at(model, tuple(above))))))
        for error in errors
        if error["type"] == "extra_forbidden"
        for *above, last in [written_path(error, data)]
    }
    for error in errors:
        if error["type"] != "missing" or written_path(error, data) not in meant:
            yield error


def unknown_key(m: Mistake) -> Said:
    """Return that a key or table is not known here, with what was probably meant."""
    *above, last = m.path
    known = sorted(keys_of(kinds_at(m.model, tuple(above))))
    hint = did_you_mean(str(last), known)
    if not hint and 0 < len(known) <= _MANY:
        hint = f"known here: {', '.join(known)}"
    table = m.places.header(m.path)[1]
    if m.path in m.places.headers:
        return "unknown-key", f"this kind of file has no table {table}", hint
    if not table:
        what = f"table [{last}]" if isinstance(m.value, dict | list) else f'key "{last}" above its tables'
        return "unknown-key", f"this kind of file has no {what}", hint
    return "unknown-key", f'{table} has no key "{last}"', hint


def missing_key(m: Mistake) -> Said:
    """Return that a key or table is missing, with what to add."""
    *above, last = m.path
    table = m.places.header(m.path)[1]
    inside = say_path(tuple(above)[len(m.places.header(m.path)[0]) :])
    whole = f"{inside} in {table}" if table and inside else table or inside or "the file"
    where = "inside the braces" if inside else f"below {table}" if table else "above the first table"
    usual = m.model.usual(m.data, m.path) if isinstance(m.model, Suggesting) else None
    sample = next((sample_of(kind) for kind in kinds_at(m.model, m.path)), "")
    if not sample:
        header = f"[{table.strip('[]')}.{last}]" if table else f"[{last}]"
        return (
            "missing-key",
            f"{whole} needs the table {header}",
            f"add it, with this header{_lines_of(usual)}",
        )
    return "missing-key", f"{whole} needs the key {last}", _add(m, usual, where, f"{last} = ", sample)


def _add(m: Mistake, usual: Usual | None, where: str, key: str, sample: str) -> str:
    """Return what to add: the default, else what is usual, else what such a value looks like."""
    if usual is not None:
        value = f"{key}{as_toml(usual.value)}"
        return f"add the default {where}: {value}" if usual.is_default else f"add {where}, such as: {value}"
    if (example := example_at(m.model, m.path)) is not None:
        return f"add {where}, such as: {key}{as_toml(example)}"
    allowed = [str(word) for kind in kinds_at(m.model, m.path) for word in get_args(kind)]
    if len(allowed) > 1 and sample.startswith('"'):
        return f"add {where} one of {', '.join(allowed)}: {key}{sample}"
    return f"add {where}: {key}{sample}"


def _lines_of(usual: Usual | None) -> str:
    """Return the lines of a table that is missing, where its defaults are known."""
    if usual is None or not isinstance(usual.value, dict):
        return ""
    return (
        f" and the defaults: {', '.join(f'{key} = {as_toml(value)}' for key, value in usual.value.items())}"
    )
