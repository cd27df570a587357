"""What a file says that its model does not allow, in sentences a teacher can act on.

pydantic finds the mistakes and knows the path to each; its own wording is for programmers
and is not shown. Every sentence is in one table here, by pydantic's error type. A model's
own validators speak for themselves: raise ``PydanticCustomError(id, message, {"hint": ...})``
and id, message and hint are taken as they are. Nothing here reads or mends a value.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path as File
from typing import Final, get_args

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from readiness.files.locate import Places
from readiness.files.mistakes import Mistake, Said, missing_key, unknown_key, without_echoes, written_path
from readiness.files.models import kinds_at
from readiness.files.problems import Place, Problem, few, sort_problems
from readiness.files.spoken import how_to_write, what_it_is, written
from readiness.files.suggest import did_you_mean

__all__ = ["schema_problems"]

_AT_THE_KEY: Final = ("extra_forbidden", "invalid_key", "missing")


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
        data: what ``tomli`` read.
        model: what the file should look like.
        file: the file's path, for the places.
        places: where everything stands in it.
    """
    told = without_echoes(found, data, model)
    return sort_problems(few(_problem(error, data, model, file, places) for error in told))


def _problem(
    error: ErrorDetails, data: Mapping[str, object], model: type[BaseModel], file: File, places: Places
) -> Problem:
    mistake = Mistake(error, written_path(error, data), model, places, data)
    at_key = error["type"] in _AT_THE_KEY or error["loc"][-1:] == ("[key]",)
    line, column = (places.at_key if at_key else places.at_value)(mistake.path)
    id_, message, hint = _say_mistake(mistake)
    return Problem(id_, "error", Place(file, line, column), message, hint)


def _say_mistake(m: Mistake) -> Said:
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


def _wrong_type(m: Mistake, wanted: str) -> Said:
    return (
        "wrong-type",
        f"{m.where} must be {wanted}, not {what_it_is(m.value)}",
        how_to_write(m.value, wanted),
    )


def _not_allowed(m: Mistake) -> Said:
    words = [str(w) for kind in kinds_at(m.model, m.path) for w in get_args(kind)]
    listed = ", ".join(words) or str(m.about("expected")).replace("'", "")
    only = f"must be {listed}" if len(words) == 1 else f"must be one of {listed}"
    hint = did_you_mean(m.value, words) if isinstance(m.value, str) else ""
    return "not-allowed", f"{m.where} {only}, not {written(m.value)}", hint


def _out_of_range(words: str, name: str) -> Callable[[Mistake], Said]:
    return lambda m: ("out-of-range", f"{m.where} must be {words} {m.about(name)}, not {m.value}", "")


def _too_short(m: Mistake) -> Said:
    least = m.about("min_length")
    if not m.value:
        return "empty", f"{m.where} is empty", "" if isinstance(m.value, str) else "write at least one"
    return "too-short", f"{m.where} must have at least {least} {_counted(m.value, least)}", ""


def _too_long(m: Mistake) -> Said:
    most = m.about("max_length")
    return "too-long", f"{m.where} may have at most {most} {_counted(m.value, most)}", ""


def _counted(value: object, number: int) -> str:
    return ("letter" if isinstance(value, str) else "item") + ("" if number == 1 else "s")


def _bad_pattern(m: Mistake) -> Said:
    if not m.value.strip():
        return "empty", f"{m.where} is empty", ""
    hint = "an id is written with a-z, 0-9 and hyphens, as in wrist-lift"
    if any(letter not in m.about("pattern") for letter in ("a-z", "0-9")):
        hint = f"the form is {m.about('pattern')}"
    return "bad-form", f"{written(m.value)} is not written the way {m.where} needs it", hint


_SENTENCES: Final[Mapping[str, Callable[[Mistake], Said]]] = {
    "extra_forbidden": unknown_key,
    "missing": missing_key,
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
