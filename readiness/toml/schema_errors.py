"""What a file says that its model does not allow, in sentences a teacher can act on.

pydantic finds the mistakes and knows the path to each; its own wording is for programmers
and is not shown. Every sentence is in one table here, by pydantic's error type. A model's
own validators speak for themselves: raise ``PydanticCustomError(id, message, {"hint": ...})``
and id, message and hint are taken as they are. Nothing here reads or mends a value.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime, time
from math import ceil, floor, isfinite
from pathlib import Path as File
from typing import Annotated, Any, Final, Literal, LiteralString, Union, get_args, get_origin

from pydantic import AfterValidator, BaseModel, BeforeValidator, Field
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails, PydanticCustomError

from readiness.days import dated
from readiness.lazy import dataclass
from readiness.toml.locate import Path, Places
from readiness.toml.problems import Place, Problem, few, sort_problems
from readiness.toml.texts import as_id, composed, did_you_mean, nearest, quoted, unseen

__all__ = [
    "Called", "Format", "Line", "Mistake", "Name", "Said", "Text", "Usual",
    "example_at", "how_to_write", "keys_of", "kinds_at", "missing_key", "refused", "sample_of", "say_path",
    "schema_problems", "unknown_key", "what_it_is", "without_echoes", "written", "written_path",
]  # fmt: skip

# What a pydantic model has at a path: the types there, the keys, what a value looks like.
#
# pydantic names the rule that was broken but not what would have been right; this looks that
# up in the model's annotations, so that nothing about a file is written down twice.

_SAMPLES: Final[dict[Any, str]] = {str: '"..."', bool: "false", int: "1", float: "1.0", date: "2025-12-02"}


@dataclass(frozen=True)
class Usual:
    """A value to suggest where one is missing; ``is_default``: the program brings it for this very key.

    A model of a file that knows such values has ``usual(data, path)``, which gives one or None.
    """

    value: object
    is_default: bool = False


def example_at(model: type[BaseModel], path: Path) -> str | None:
    """Return the example that the model itself gives for a value, as ``Field(examples=...)`` has it."""
    *above, last = path
    found = (_fields(kind).get(str(last)) for kind in kinds_at(model, tuple(above)))
    return next((next(iter(one.examples or ()), None) for one in found if one), None)


def kinds_at(model: type[BaseModel], path: Path) -> list[Any]:
    """Return the types that the model allows at a path."""
    kinds: list[Any] = [model]
    for step in path:
        kinds = [inner for kind in kinds for inner in _inside(kind, step)]
    return kinds


def _fields(kind: Any) -> dict[str, FieldInfo]:  # noqa: ANN401 - annotations are of any type
    """Return the keys of a model; of any other type none."""
    return kind.model_fields if isinstance(kind, type) and issubclass(kind, BaseModel) else {}


def _inside(kind: Any, step: str | int) -> Iterator[Any]:  # noqa: ANN401 - annotations are of any type
    """Yield the types one step further in."""
    for name, field in _fields(kind).items():
        if step in (name, field.alias):
            yield from _alternatives(field.annotation)
    if args := get_args(kind):
        yield from _alternatives(args[-1 if isinstance(step, str) else 0])


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
    return {field.alias or name for kind in kinds for name, field in _fields(kind).items()}


def sample_of(kind: Any) -> str:  # noqa: ANN401 - annotations are of any type
    """Return what a value of a type looks like, empty for tables."""
    if get_origin(kind) is Literal:
        first = get_args(kind)[0]
        return f'"{first}"' if isinstance(first, str) else str(first)
    return "[...]" if get_origin(kind) in (list, tuple) else _SAMPLES.get(kind, "")


# Values and their places as they are spoken of, and as they are written in a file.
#
# Nothing here knows what is wrong with a value.


def say_path(path: Path) -> str:
    """Return a path as it is spoken of, list items counted from 1.

    >>> say_path(("stands_on_some", 0, "of", 1))
    'stands_on_some, item 1, of, item 2'
    """
    return ", ".join(f"item {step + 1}" if isinstance(step, int) else _quote_odd(step) for step in path)


def _quote_odd(name: str) -> str:
    return name if name.replace("-", "").replace("_", "").isalnum() else f'"{name}"'


def what_it_is(value: object) -> str:
    """Return what kind of thing was written."""
    return next((name for kind, name in _NAMES_OF_KINDS if isinstance(value, kind)), "that")


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


def written(value: object) -> str:
    """Return a value as it is written in a file, short."""
    if isinstance(value, str):
        return f'"{value[:40]}..."' if len(value) > 40 else f'"{value}"'
    if isinstance(value, bool):
        return str(value).lower()
    return what_it_is(value) if isinstance(value, list | dict) else str(value)


def how_to_write(value: object, wanted: str, may_be: Callable[[int], bool]) -> str:
    """Return how to write what was wanted, with the value that is there where that helps.

    ``may_be`` says of a whole number whether it may stand there.
    """
    if wanted == "a date":
        return f"write the date without quotes: {dated(str(value)) or '2025-12-02'}"
    if wanted == "text in quotes":
        if isinstance(value, list) and len(value) == 1:
            return f"write it without the brackets: {written(value[0])}"
        return "" if isinstance(value, list | dict) else f'put it in quotes: "{written(value)}"'
    if wanted == "true or false":
        meant = _YES_OR_NO.get(str(value).strip().lower())
        return "" if meant is None else f"write {meant}{' without the quotes' * isinstance(value, str)}"
    if wanted == "a list":
        return f"put it in square brackets: [{'{ ... }' if isinstance(value, dict) else written(value)}]"
    return _as_number(value, wanted, may_be) if "number" in wanted else ""


_YES_OR_NO: Final = {
    "yes": "true", "no": "false", "true": "true", "false": "false", "1": "true", "0": "false",
}  # fmt: skip


def _as_number(value: object, wanted: str, may_be: Callable[[int], bool]) -> str:
    plain = value.strip() if isinstance(value, str) else ""
    number = plain.removeprefix("-").replace(".", "", 1)
    if number.isascii() and number.isdigit():
        return f"write {plain} without the quotes"
    if wanted != "a whole number" or not isinstance(value, float) or not isfinite(value):
        return ""
    near = sorted({floor(value), ceil(value)})
    return f"write {' or '.join(map(str, [one for one in near if may_be(one)] or near))}"


# One of pydantic's errors with all that a sentence about it may need, and what is said of keys.
#
# A key that is there under a wrong name, and a key that is missing, are often one slip: then it
# is told once. Where something is missing, what stands in the files that come with the program
# is suggested (:class:`Usual`), never a made-up value.

_MANY: Final = 60  # so many keys are still worth listing
Said = tuple[str, str, str]
"""The id of a problem, its message and its hint."""


@dataclass(frozen=True)
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

    def may_be(self, value: int) -> bool:
        """Return whether a whole number is within the bounds that the model has for it."""
        *above, last = self.path
        fields = (_fields(kind).get(str(last)) for kind in kinds_at(self.model, tuple(above)))
        bounds = [one for field in fields if field for one in field.metadata]
        return all(
            getattr(one, "ge", value) <= value <= getattr(one, "le", value)
            and getattr(one, "gt", value - 1) < value < getattr(one, "lt", value + 1)
            for one in bounds
        )

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


def misspelt_tables(errors: Iterable[ErrorDetails], data: Mapping[str, Any]) -> Mapping[Path, str]:
    """Return the tables that lack most of their keys because they are parts of another, with its name.

    So are ``[band."4-6".accepts]`` where the band is called "4-5", and ``[skill.wrist-lft]`` with one key.
    """
    missing: dict[Path, list[str]] = {}
    for error in errors:
        *above, last = written_path(error, data)
        if error["type"] == "missing" and len(above) == 2 and isinstance(above[1], str):
            missing.setdefault(tuple(above), []).append(str(last))
    found: dict[Path, str] = {}
    for (kind, name), lacking in missing.items():
        tables = data[str(kind)]
        others = [one for one, table in tables.items() if one != name and isinstance(table, dict)]
        parts = [key for key, value in tables[name].items() if isinstance(value, dict)]
        waiting = [one for one in others if parts and set(parts) <= set(missing.get((kind, one), ()))]
        whole = [one for one in others if len(missing.get((kind, one), ())) < 3]
        meant = waiting[0] if len(waiting) == 1 else nearest(str(name), whole)
        if meant is not None and len(lacking) > max(2, len(tables[name])):
            found[kind, name] = meant
    return found


_ALSO_SAID: Final[Mapping[str, str]] = {
    "builds_on": "stands_on", "depends_on": "stands_on", "needs": "stands_on", "prerequisites": "stands_on",
    "requires": "stands_on", "title": "name", "weeks": "lesson_weeks",
}  # fmt: skip
"""Other words that people have for a key, the one of sentences among them."""


def unknown_key(m: Mistake) -> Said:
    """Return that a key or table is not known here, with what was probably meant."""
    *above, last = m.path
    known = sorted(keys_of(kinds_at(m.model, tuple(above))))
    hint = _where_it_belongs(m) or did_you_mean(_ALSO_SAID.get(str(last).replace("-", "_"), str(last)), known)
    if (meant := _table_without_its_kind(m, known)) is not None:
        hint = f"did you mean {meant}?"
    elif above and str(last) in keys_of([m.model]) and isinstance(m.value, dict):
        names = [name for name, value in m.value.items() if isinstance(value, dict)]
        hint = f"a table of its own begins with [{last}.{names[0]}]" if names else hint
    if not hint and 0 < len(known) <= _MANY:
        hint = f"known here: {', '.join(known)}"
    table = m.places.header(m.path)[1]
    if m.path in m.places.headers:
        return "unknown-key", f"this kind of file has no table {table}", hint
    if not table:
        what = f"table [{last}]" if isinstance(m.value, dict | list) else f'key "{last}" above its tables'
        return "unknown-key", f"this kind of file has no {what}", hint
    return "unknown-key", f'{table} has no key "{last}"', hint


def _where_it_belongs(m: Mistake) -> str:
    """Return in which table of the file, or of the one beside it, a key stands that may not be here."""
    key, (beside, other) = str(m.path[-1]), getattr(m.model, "beside", ("", None))
    if key in keys_of(kinds_at(m.model, m.path[:-1])):
        return ""
    if len(m.path) > 1 and key in keys_of([m.model]) - _IN_MANY:
        return f"{key} stands above the first table"
    homes = [*_tables_with(key, m.model), *(f"{one} of {beside}" for one in _tables_with(key, other))]
    return f"{key} stands in {' or '.join(homes)}" if 0 < len(homes) <= 2 and key not in _IN_MANY else ""


_IN_MANY: Final = frozenset(("format", "name", "on", "edition"))


def _tables_with(key: str, model: type[BaseModel] | None) -> Iterator[str]:
    """Yield how the tables of a kind of file begin that may have a key."""
    for name, field in _fields(model).items():
        for kind in _alternatives(field.annotation):
            origin = get_origin(kind)
            header = {list: f"[[{name}]]", dict: f"[{name}.NAME]"}.get(origin, f"[{name}]")
            if key in keys_of(_alternatives(kind if origin is None else get_args(kind)[-1])):
                yield header


def _table_without_its_kind(m: Mistake, known: Iterable[str]) -> str | None:
    """Return how the one kind of table begins that has all the keys of ``[wrist-lift]``, if there is one."""
    value = m.value[0] if isinstance(m.value, list) and m.value else m.value
    if len(m.path) > 1 or not isinstance(value, dict) or not value:
        return None
    fits = [one for one in known if value.keys() <= keys_of(kinds_at(m.model, (one, *m.path)))]
    if len(fits) != 1:
        return None
    is_list = any(get_origin(kind) is list for kind in kinds_at(m.model, tuple(fits)))
    return f"[[{fits[0]}]]" if is_list else f"[{fits[0]}.{m.path[0]}]"


def missing_key(m: Mistake) -> Said:
    """Return that a key or table is missing, with what to add."""
    *above, last = m.path
    table = m.places.header(m.path)[1]
    beside = replace(m, path=tuple(above))
    whole = beside.where
    where = "inside the braces" if beside.name else f"below {table}" if table else "above the first table"
    usual: Usual | None = getattr(m.model, "usual", lambda *_: None)(m.data, m.path)
    sample = next((sample_of(kind) for kind in kinds_at(m.model, m.path)), "")
    if not sample:
        header = f"[{table.strip('[]')}.{last}]" if table else f"[{last}]"
        hint = "add it, with this header"
        if usual is not None and isinstance(usual.value, dict):
            lines = (f"{key} = {quoted(value)}" for key, value in usual.value.items())
            hint = f"{hint} and the defaults: {', '.join(lines)}"
        return "missing-key", f"{whole} needs the table {header}", hint
    return "missing-key", f"{whole} needs the key {last}", _add(m, usual, where, f"{last} = ", sample)


def _add(m: Mistake, usual: Usual | None, where: str, key: str, sample: str) -> str:
    """Return what to add: the default, else what is usual, else what such a value looks like."""
    if usual is not None:
        value = f"{key}{quoted(usual.value)}"
        return f"add the default {where}: {value}" if usual.is_default else f"add {where}, such as: {value}"
    if (example := example_at(m.model, m.path)) is not None:
        return f"add {where}, such as: {key}{quoted(example)}"
    allowed = [str(word) for kind in kinds_at(m.model, m.path) for word in get_args(kind)]
    if len(allowed) > 1 and sample.startswith('"'):
        return f"add {where} one of {', '.join(allowed)}: {key}{sample}"
    return f"add {where}: {key}{sample}"


_EMPTY: Final = "was it emptied by a slip? put back what it held, from a backup perhaps"
_AT_THE_KEY: Final = ("extra_forbidden", "invalid_key", "missing")


def schema_problems(
    found: Iterable[ErrorDetails],
    data: Mapping[str, object],
    model: type[BaseModel],
    file: File,
    places: Places,
) -> tuple[Problem, ...]:
    """Return pydantic's errors as problems, each at the very word that is wrong."""
    every = tuple(found)
    if len(every) > 1 and not data:
        return (Problem("empty-file", "error", Place(file, 1, 1), "nothing is written in this file", _EMPTY),)
    made = _dotted_names(every, data)
    dotted = [one for one in made if not nearest(one[2], keys_of(kinds_at(model, one[:2])))]
    gone = {(kind, name) for kind, *names in dotted for name in (names[0], "-".join(names))}
    every = tuple(one for one in every if written_path(one, data)[:2] not in gone)
    parts = misspelt_tables(every, data)
    told = (one for one in without_echoes(every, data, model) if not _is_of_parts(one, parts, data))
    problems = few(_problem(error, data, model, file, places) for error in told)
    tables = [_part_of(*part, file, places) for part in parts.items()]
    return sort_problems([*problems, *tables, *(_dotted(path, file, places) for path in dotted)])


def _dotted_names(errors: Iterable[ErrorDetails], data: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Yield the names of tables that a dot made two of, as in ``[band.4.5]``."""
    for error in errors:
        path = tuple(map(str, written_path(error, data)))
        if error["type"] == "extra_forbidden" and len(path) == 3:
            table = data[path[0]][path[1]] if isinstance(data[path[0]], dict) else None
            if isinstance(table, dict) and len(table) == 1 and isinstance(table.get(path[2]), dict):
                yield path[0], path[1], path[2]


def _dotted(path: tuple[str, str, str], file: File, places: Places) -> Problem:
    kind, *names = path
    line, column = places.at_key(path)
    message = f"the dot in {'.'.join(names)} makes two names of it"
    hint = f'write [{kind}."{"-".join(names)}"]'
    return Problem("dotted-name", "error", Place(file, line, column), message, hint)


def _is_of_parts(error: ErrorDetails, parts: Mapping[Path, str], data: Mapping[str, Any]) -> bool:
    """Return whether a key is missing only because a table has the wrong name."""
    *above, last = written_path(error, data)
    if error["type"] != "missing":
        return False
    of_this = (path for path, meant in parts.items() if (path[0], meant) == tuple(above))
    return tuple(above) in parts or any(last in data[str(kind)][name] for kind, name in of_this)


def _part_of(path: Path, meant: str, file: File, places: Places) -> Problem:
    first = next((one for one in places.headers if one[:2] == path), path)
    line, column = places.at_key(first[:2] if len(first) == 2 else first)
    written = places.headers.get(first, f"[{path[0]}.{path[1]}]")
    right = written.replace(str(path[1]), meant, 1)
    message = f'{written} lacks most of its keys, and there is no other {path[0]} "{path[1]}"'
    if first != path:
        message = f'there is no {path[0]} "{path[1]}" that {written} could be a part of'
    return Problem("unknown-table", "error", Place(file, line, column), message, f"did you mean {right}?")


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
    if (wanted := _WANTED.get(kind.partition("_")[0])) is not None:
        return _wrong_type(m, wanted)
    if "error" in m.error.get("ctx", {}):  # a plain ValueError of a model
        return "not-valid", f"{m.where}: {m.about('error')}", ""
    if "url" not in m.error:  # a model's own PydanticCustomError
        return kind, m.error["msg"], str(m.about("hint"))
    return "not-valid", f"{m.where} is not right: {m.error['msg']}", ""


def _wrong_type(m: Mistake, wanted: str) -> Said:
    header = next((h for path, h in m.places.headers.items() if path[:-1] == m.path and h[:2] == "[["), "")
    if wanted == "a table" and header:
        return "wrong-type", f"{header} makes a list, and this is one table", f"write {header[1:-1]}"
    if m.path in m.places.headers and wanted == "a list":
        return "wrong-type", f"{m.where} needs two brackets: there may be several", f"write [[{m.path[-1]}]]"
    hint = (len(m.path) == 2 and _where_it_belongs(m)) or how_to_write(m.value, wanted, m.may_be)
    if wanted == "a list" and (example := example_at(m.model, m.path)) is not None:
        hint = f"write it as in {m.path[-1]} = {quoted(example)}"
    elif wanted == "a table" and 0 < len(parts := _parts(m)) <= _FEW:
        hint = f"write it in braces: {{ {', '.join(parts)} }}"
    return "wrong-type", f"{m.where} must be {wanted}, not {what_it_is(m.value)}", hint


_FEW: Final = 6
"""So many keys fit on a line in braces."""


def _parts(m: Mistake) -> list[str]:
    """Return what the table needs that was wanted, each part as it is written."""
    fields = (one for kind in kinds_at(m.model, m.path) for one in _fields(kind).items())
    return [f"{key} = {sample_of(one.annotation)}" for key, one in fields if one.is_required()]


def _not_allowed(m: Mistake) -> Said:
    words = [str(w) for kind in kinds_at(m.model, m.path) for w in get_args(kind)]
    listed = ", ".join(words) or str(m.about("expected")).replace("'", "")
    only = f"must be {listed}" if len(words) == 1 else f"must be one of {listed}"
    plain = m.value.lower() if isinstance(m.value, str) else ""
    begun = [word for word in words if plain.startswith(word)]
    hint = did_you_mean(begun[0] if begun else plain, words)
    return "not-allowed", f"{m.where} {only}, not {written(m.value)}", hint


def _out_of_range(words: str, name: str) -> Callable[[Mistake], Said]:
    def said(m: Mistake) -> Said:
        share = m.about(name) == 1 and isinstance(m.value, int | float) and 1 < m.value <= 100
        meant = [f"{m.value / part:.10g}" for part in (10, 100) if share and m.value / part <= 1]
        hint = f"a share of the whole is written {' or '.join(meant)}" if meant else ""
        return "out-of-range", f"{m.where} must be {words} {m.about(name):.10g}, not {m.value}", hint

    return said


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
    hint = f"an id is written with a-z, 0-9 and hyphens, as in {as_id(m.value) or 'wrist-lift'}"
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

_WANTED: Final[Mapping[str, str]] = {
    "string": "text in quotes", "int": "a whole number", "float": "a number", "bool": "true or false",
    **dict.fromkeys(("list", "tuple"), "a list"), **dict.fromkeys(("dict", "mapping", "model"), "a table"),
    "datetime": "a date with a time of day", "date": "a date", "time": "a time of day",
}  # fmt: skip
"""What was wanted, by the first word of the error type."""


def refused(problem: LiteralString, message: str, hint: str) -> PydanticCustomError:
    """Return a problem in our own words, for pydantic to place."""
    return PydanticCustomError(problem, "{message}", {"message": message, "hint": hint})


def _shown(value: object, also: str = "") -> object:
    """Refuse characters that do something instead of being seen."""
    if isinstance(value, str) and (ch := unseen(value, also)):
        message = f"this text holds an unseen character, U+{ord(ch):04X}"
        raise refused("unseen-character", message, "write it without")
    return value


def _first_format(value: object) -> object:
    """Refuse all but the number 1: true is equal to it."""
    if value != 1 or type(value) is not int:
        raise refused("unknown-format", "this is not a format this program knows", "write format = 1")
    return value


Format = Annotated[Literal[1], BeforeValidator(_first_format)]
"""Of which kind of file it is."""

# The kinds of text in the models of the files: each refuses what a terminal would not show as written.

Line = Annotated[str, BeforeValidator(_shown)]
Called = Annotated[Line, AfterValidator(composed)]
Name = Annotated[Called, Field(min_length=1, pattern=r"\S")]
Text = Annotated[str, BeforeValidator(lambda value: _shown(value, "\n\t"))]
