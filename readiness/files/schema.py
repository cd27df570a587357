"""What a file says that its model does not allow, in sentences a teacher can act on.

pydantic finds the mistakes and knows the path to each; its own wording is for programmers
and is not shown. Every sentence is in one table here, by pydantic's error type. A model's
own validators speak for themselves: raise ``PydanticCustomError(id, message, {"hint": ...})``
and id, message and hint are taken as they are. Nothing here reads or mends a value.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path as File
from typing import Any, Final, get_args

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from readiness.files.locate import Path, Places
from readiness.files.models import keys_of, kinds_at, sample_of
from readiness.files.problems import Place, Problem, few, sort_problems
from readiness.files.suggest import did_you_mean

__all__ = ["schema_problems"]

_AT_THE_KEY: Final = ("extra_forbidden", "invalid_key", "missing")
_MANY: Final = 14  # so many keys are still worth listing


@dataclass(frozen=True, slots=True)
class _Mistake:
    """One of pydantic's errors with all that a sentence about it may need."""

    error: ErrorDetails
    path: Path
    model: type[BaseModel]
    places: Places

    @property
    def name(self) -> str:
        """The key, with its place in a list from 1, as in ``stands_on, item 2``."""
        return _say(self.path[len(self.places.header(self.path)[0]) :])

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


_Said = tuple[str, str, str]  # id, message, hint


def schema_problems(
    found: Iterable[ErrorDetails],
    data: Mapping[str, object],
    model: type[BaseModel],
    file: File,
    places: Places,
) -> tuple[Problem, ...]:
    """Return pydantic's errors as problems, each at the very word that is wrong.

    Args:
        found: ``ValidationError.errors()``.
        data: what ``tomllib`` read.
        model: what the file should look like.
        file: the file's path, for the places.
        places: where everything stands in it.
    """
    return sort_problems(few(_problem(error, data, model, file, places) for error in found))


def _problem(
    error: ErrorDetails, data: Mapping[str, object], model: type[BaseModel], file: File, places: Places
) -> Problem:
    mistake = _Mistake(error, _written_path(error, data), model, places)
    at_key = error["type"] in _AT_THE_KEY or error["loc"][-1:] == ("[key]",)
    line, column = (places.at_key if at_key else places.at_value)(mistake.path)
    id_, message, hint = _say_mistake(mistake)
    return Problem(id_, "error", Place(file, line, column), message, hint)


def _written_path(error: ErrorDetails, data: object) -> Path:
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


def _say(path: Path) -> str:
    """Return a path as it is spoken of, list items counted from 1.

    >>> _say(("stands_on_some", 0, "of", 1))
    'stands_on_some, item 1, of, item 2'
    """
    return ", ".join(f"item {step + 1}" if isinstance(step, int) else _quote_odd(step) for step in path)


def _quote_odd(name: str) -> str:
    return name if name.replace("-", "").replace("_", "").isalnum() else f'"{name}"'


# ---------------------------------------------------------------- the sentences


def _say_mistake(m: _Mistake) -> _Said:
    kind = m.error["type"]
    if kind in _SENTENCES:
        return _SENTENCES[kind](m)
    wanted = next((what for start, what in _WANTED if kind.startswith(start)), None)
    if wanted is not None:
        return _wrong_type(m, wanted)
    if "error" in m.error.get("ctx", {}):  # a plain ValueError of a model
        return "not-valid", f"{m.where}: {m.about('error')}", ""
    if "url" not in m.error:  # a model's own PydanticCustomError
        return kind, m.error["msg"], str(m.about("hint"))
    return "not-valid", f"{m.where} is not right: {m.error['msg']}", ""


def _unknown_key(m: _Mistake) -> _Said:
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


def _missing_key(m: _Mistake) -> _Said:
    *above, last = m.path
    table = m.places.header(m.path)[1]
    inside = _say(tuple(above)[len(m.places.header(m.path)[0]) :])
    whole = f"{inside} in {table}" if table and inside else table or inside or "the file"
    where = "inside the braces" if inside else f"below {table}" if table else "above the first table"
    sample = next((sample_of(kind) for kind in kinds_at(m.model, m.path)), "")
    if not sample:
        header = f"[{table.strip('[]')}.{last}]" if table else f"[{last}]"
        return "missing-key", f"{whole} needs the table {header}", "add it, with this header"
    return "missing-key", f"{whole} needs the key {last}", f"add {where}: {last} = {sample}"


def _wrong_type(m: _Mistake, wanted: str) -> _Said:
    return (
        "wrong-type",
        f"{m.where} must be {wanted}, not {_what_it_is(m.value)}",
        _how_to_write(m.value, wanted),
    )


def _not_allowed(m: _Mistake) -> _Said:
    words = [str(w) for kind in kinds_at(m.model, m.path) for w in get_args(kind)]
    listed = ", ".join(words) or str(m.about("expected")).replace("'", "")
    only = f"must be {listed}" if len(words) == 1 else f"must be one of {listed}"
    hint = did_you_mean(m.value, words) if isinstance(m.value, str) else ""
    return "not-allowed", f"{m.where} {only}, not {_written(m.value)}", hint


def _out_of_range(words: str, name: str) -> Callable[[_Mistake], _Said]:
    return lambda m: ("out-of-range", f"{m.where} must be {words} {m.about(name)}, not {m.value}", "")


def _too_short(m: _Mistake) -> _Said:
    least = m.about("min_length")
    if not m.value:
        return "empty", f"{m.where} is empty", "" if isinstance(m.value, str) else "write at least one"
    return "too-short", f"{m.where} must have at least {least} {_counted(m.value, least)}", ""


def _too_long(m: _Mistake) -> _Said:
    most = m.about("max_length")
    return "too-long", f"{m.where} may have at most {most} {_counted(m.value, most)}", ""


def _counted(value: object, number: int) -> str:
    return ("letter" if isinstance(value, str) else "item") + ("" if number == 1 else "s")


def _bad_pattern(m: _Mistake) -> _Said:
    if not m.value.strip():
        return "empty", f"{m.where} is empty", ""
    hint = "an id is written with a-z, 0-9 and hyphens, as in wrist-lift"
    if any(letter not in m.about("pattern") for letter in ("a-z", "0-9")):
        hint = f"the form is {m.about('pattern')}"
    return "bad-form", f"{_written(m.value)} is not written the way {m.where} needs it", hint


_SENTENCES: Final[Mapping[str, Callable[[_Mistake], _Said]]] = {
    "extra_forbidden": _unknown_key,
    "missing": _missing_key,
    "literal_error": _not_allowed,
    "enum": _not_allowed,
    "greater_than": _out_of_range("more than", "gt"),
    "greater_than_equal": _out_of_range("at least", "ge"),
    "less_than": _out_of_range("less than", "lt"),
    "less_than_equal": _out_of_range("at most", "le"),
    "multiple_of": _out_of_range("a multiple of", "multiple_of"),
    "finite_number": lambda m: ("out-of-range", f"{m.where} must be an ordinary number, not {m.value}", ""),
    "string_too_short": _too_short,
    "too_short": _too_short,
    "string_too_long": _too_long,
    "too_long": _too_long,
    "string_pattern_mismatch": _bad_pattern,
}

_WANTED: Final = (
    ("string_", "text in quotes"),
    ("int_", "a whole number"),
    ("float_", "a number"),
    ("bool_", "true or false"),
    ("list_", "a list"),
    ("tuple_", "a list"),
    ("dict_", "a table"),
    ("mapping_", "a table"),
    ("model_", "a table"),
    ("datetime_", "a date with a time of day"),
    ("date_", "a date"),
    ("time_", "a time of day"),
)
"""What was wanted, by how the error type begins."""


# ---------------------------------------------------------------- values, as they are spoken of


def _what_it_is(value: object) -> str:
    for kinds, name in _NAMES_OF_KINDS:
        if isinstance(value, kinds):
            return name
    return "that"


_NAMES_OF_KINDS: Final[tuple[tuple[type, str], ...]] = (
    (str, "text"),
    (bool, "true or false"),
    (int, "a number"),
    (float, "a number with a decimal point"),
    (list, "a list"),
    (dict, "a table"),
    (datetime, "a date with a time of day"),
    (date, "a date"),
    (time, "a time of day"),
)


def _written(value: object) -> str:
    """Return a value as it is written in a file, short."""
    if isinstance(value, str):
        return f'"{value[:40]}..."' if len(value) > 40 else f'"{value}"'
    if isinstance(value, bool):
        return str(value).lower()
    return _what_it_is(value) if isinstance(value, list | dict) else str(value)


def _how_to_write(value: object, wanted: str) -> str:
    """Return how to write what was wanted, with the value that is there where that helps."""
    plain = value.strip() if isinstance(value, str) else ""
    number = plain.removeprefix("-").replace(".", "", 1)
    if wanted == "a date":
        return "write the date without quotes: 2025-12-02"
    if wanted == "text in quotes" and not isinstance(value, list | dict):
        return f'put it in quotes: "{_written(value)}"'
    if "number" in wanted and number.isascii() and number.isdigit():
        return f"write {plain} without the quotes"
    if wanted == "true or false":
        return f"write {plain.lower()} without the quotes" if plain.lower() in ("true", "false") else ""
    if wanted == "a list" and not isinstance(value, dict):
        return f"put it in square brackets: [{_written(value)}]"
    return ""
