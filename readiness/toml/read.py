"""Reading a TOML file into its model, with a place for everything in it.

Whatever is in the file comes back as problems beside the value; nothing raises. Refused,
because no file written by a person is like that: more than 5 MB, a line beyond ``LONGEST_LINE``,
more than ``MOST_THINGS`` keys and items, and tables inside tables beyond any use. The text is
kept as it was read, so that an excerpt shows what was judged.
"""

from __future__ import annotations

import re
from codecs import BOM_UTF8, BOM_UTF16_BE, BOM_UTF16_LE
from collections.abc import Callable, Mapping
from dataclasses import field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Generic, TypeVar

import tomli

from readiness.lazy import dataclass, regex
from readiness.toml.problems import Place, Problem, sort_problems
from readiness.toml.texts import did_you_mean

if TYPE_CHECKING:
    from pydantic import BaseModel

    from readiness.toml.locate import Places
    from readiness.toml.statements import Mended

__all__ = [
    "LARGEST", "LONGEST_LINE", "MOST_THINGS", "Loaded", "parse_bytes", "parse_toml", "plain", "read_toml",
]  # fmt: skip

M = TypeVar("M", bound="BaseModel")
V = TypeVar("V")

LARGEST: Final = 5_000_000
"""Bytes; a file beyond this is not read."""

MOST_THINGS: Final = 100_000
"""Keys and list items in one file; beyond this it is not checked."""

LONGEST_LINE: Final = 100_000
"""Letters; a number or a list as long as that takes more room than it can be worth."""

_PART: Final = r"""(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+"""
_DOTS: Final = 50
_MANY_DOTS: Final = regex(rf"(?:^|(?<=[\[{{,]))[ \t]*+(?:{_PART}\.[ \t]*+){{{_DOTS}}}", re.MULTILINE)
_TOO_DEEP: Final = "this is nested deeper than any file here needs to be"


@dataclass(frozen=True)
class Loaded(Generic[V]):
    """What a file holds.

    Attributes:
        value: the checked content, None when there is a problem.
        text: the file's text, empty when it could not be read.
        data: the plain content as tomli gives it; empty when the text is not TOML.
        mended: of a text that is not TOML, the rest of it, to look for more mistakes in.
    """

    value: V | None
    problems: tuple[Problem, ...]
    text: str
    path: Path
    data: Mapping[str, Any] = field(default_factory=dict)
    is_toml: bool = False
    mended: Mended | None = None

    @cached_property
    def places(self) -> Places | None:
        """Where everything stands, looked up when first asked for; None when the text is not TOML."""
        from readiness.toml.locate import locate  # here, since what was checked before needs no places

        return locate(self.text) if self.is_toml else None

    def key_place(self, *path: str | int) -> Place:
        """Return where a key or a table's header stands, or the nearest thing it is in."""
        return Place(self.path, *(self.places.at_key(path) if self.places else (1, 1)))

    def value_place(self, *path: str | int) -> Place:
        """Return where a value or a list item stands, or the nearest thing it is in."""
        return Place(self.path, *(self.places.at_value(path) if self.places else (1, 1)))


def read_toml(path: Path, model: type[M], counted: Callable[[bytes], bytes] = bytes) -> Loaded[M]:
    """Read a file into its model; ``counted`` gives those bytes that count, each on the line it was on."""
    try:
        found = _cannot_read(path)
        data = b"" if found else path.read_bytes()
    except (OSError, ValueError) as err:
        reason = getattr(err, "strerror", None) or str(err)
        found, data = _whole(path, "no-access", f"this file cannot be opened: {reason}"), b""
    return Loaded(None, (found,), "", path) if found else parse_bytes(counted(data), path, model)


def parse_bytes(data: bytes, path: Path, model: type[M]) -> Loaded[M]:
    """Do the same for the content of a file; ``path`` is only for naming places."""
    found = _not_utf8(data, path)
    text = data.removeprefix(BOM_UTF8).decode(errors="replace")
    return Loaded(None, (found,), text, path) if found else parse_toml(text, path, model)


def parse_toml(text: str, path: Path, model: type[M]) -> Loaded[M]:
    """Do the same for a text; ``path`` is only for naming places."""
    text = text.removeprefix("\ufeff")
    try:
        data = plain(text, path)
    except ValueError:
        return _read_on(text, path, model)
    if isinstance(data, Problem):
        return Loaded(None, (data,), text, path)
    from pydantic import ValidationError  # here, since what was checked before is not checked again

    try:
        return Loaded(model.model_validate(data), (), text, path, data, True)
    except ValidationError as err:
        from readiness.toml.locate import locate
        from readiness.toml.schema_errors import schema_problems

        found = schema_problems(err.errors(), data, model, path, locate(text))
        return Loaded(None, found, text, path, data, True)


def plain(text: str, path: Path) -> dict[str, Any] | Problem:
    """Return what a text says, before any model looks at it, or why it is no use; ValueError: not TOML."""
    if refused := _beyond_use(text, path):
        return refused
    try:
        data = tomli.loads(text)
    except RecursionError:
        deep = re.search(r"(?:[\[{][\s\w=.-]*+){40}", text)
        return _deep(text, deep.start() if deep else 0, path)
    if len(text) > 2 * MOST_THINGS and _holds_too_much(data):
        return _whole(path, "too-much", f"this file holds more than {MOST_THINGS:,} keys and items")
    return data


def _read_on(text: str, path: Path, model: type[M]) -> Loaded[M]:
    """Return the mistakes of a text that is not TOML, and those of sense in the rest of it."""
    from readiness.toml.statements import mended
    from readiness.toml.syntax import read_on

    found, rest = read_on(text, path)
    known = None if rest is None else mended(rest)
    if rest is None or known is None:
        return Loaded(None, found, text, path)
    of_shape = _of_shape(known, path, model)
    doubted = {one.place.line for one in of_shape if one.id in _DOUBTFUL and not one.meant} & known.guessed
    if doubted and (again := mended(rest.without(doubted))) is not None:
        known, of_shape = again, _of_shape(again, path, model)
    return Loaded(None, sort_problems((*found, *of_shape)), text, path, mended=known)


_DOUBTFUL: Final = ("bad-form", "empty", "unknown-key", "unknown-table", "wrong-type")
"""What is said in these ways of a line that was guessed at says that the guess was wrong."""


def _of_shape(rest: Mended, path: Path, model: type[M]) -> tuple[Problem, ...]:
    """Return what is wrong with the shape of the rest of a text."""
    from pydantic import ValidationError

    from readiness.toml.schema_errors import schema_problems

    try:
        model.model_validate(rest.data)
    except ValidationError as err:
        errors = (
            e for e in err.errors()
            if not any(
                e["loc"] == table or (e["type"] == "missing" and e["loc"][: len(table)] == table)
                for table in rest.tables
            )
        )  # fmt: skip
        return schema_problems(errors, rest.data, model, path, rest.places)
    return ()


def _cannot_read(path: Path) -> Problem | None:
    if not path.exists() and path.is_symlink():
        told = "this is a link to a file that is not there"
        return _whole(path, "no-file", told, "put the file itself here")
    if not path.exists():
        near = (p.name for p in path.parent.iterdir()) if path.parent.is_dir() else ()
        return _whole(path, "no-file", "there is no such file", did_you_mean(path.name, near))
    if not path.is_file():
        what = "a folder" if path.is_dir() else "something else"
        return _whole(path, "not-a-file", f"a file is expected here, this is {what}")
    if path.stat().st_size > LARGEST:
        return _whole(path, "too-large", f"this file is larger than {LARGEST // 1_000_000} MB")
    return None


def _not_utf8(data: bytes, path: Path) -> Problem | None:
    hint = "in your editor, save the file again with the encoding UTF-8"
    if data.startswith((BOM_UTF16_LE, BOM_UTF16_BE)):
        return _whole(path, "not-utf8", "this file is saved as UTF-16, not as UTF-8", hint)
    try:
        data.decode()
    except UnicodeDecodeError as err:
        before = data[: err.start].removeprefix(BOM_UTF8).decode()
        guess = bytes([data[err.start]]).decode("cp1252", errors="replace")
        message = f"a letter here is not saved as UTF-8 (perhaps meant as {guess})"
        return Problem("not-utf8", "error", Place.of(before, len(before), path), message, hint)
    return None


def _holds_too_much(data: Mapping[str, object]) -> bool:
    """Return whether there are more keys and items than anybody writes; looks no further than that."""
    waiting: list[object] = [data]
    count = 0
    while waiting and count <= MOST_THINGS:
        one = waiting.pop()
        if isinstance(one, (dict, list)):
            count += len(one)
            waiting += one.values() if isinstance(one, dict) else one
    return count > MOST_THINGS


def _whole(path: Path, id_: str, message: str, hint: str = "") -> Problem:
    """Return a problem of a file as a whole."""
    return Problem(id_, "error", Place(path, 1, 1), message, hint)


def _beyond_use(text: str, path: Path) -> Problem | None:
    if any(line.count(".") >= _DOTS for line in text.split("\n")) and (deep := _MANY_DOTS.search(text)):
        return _deep(text, deep.end(), path)
    lengths = [len(line) for line in text.split("\n")] if len(text) > LONGEST_LINE else [0]
    if (longest := max(lengths)) > LONGEST_LINE:
        place = Place(path, lengths.index(longest) + 1, 1)
        message = f"this line is longer than {LONGEST_LINE:,} letters"
        return Problem("long-line", "error", place, message, "break it into several lines")
    return None



def _deep(text: str, at: int, path: Path) -> Problem:
    return Problem("too-deep", "error", Place.of(text, at, path), _TOO_DEEP, "write it as a table of its own")
