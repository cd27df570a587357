"""The text of a letter: named paragraphs with ``$names``, the shipped ones or the teacher's own.

Filled by ``string.Template``; nothing in it is run. A text with a name that does not exist is not used; what
is wrong with it is told with its line, and the shipped letter stands in.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from string import Template
from typing import Final

from readiness.words.grammar import listed, tidy

__all__ = ["LetterText", "filled", "is_shipped", "own_text", "shipped_text", "template_text"]

SHIPPED: Final = Path(__file__).with_name("letter_texts")
LARGEST: Final = 100_000
"""A letter's text with more bytes than this is none."""

_HEAD: Final = re.compile(r"\[([^\]]*)\]\s*")

LetterText = Mapping[str, Sequence[str]]
"""The lines of each paragraph by its name; an empty line begins a new paragraph."""


def _file(reader: str, language: str) -> str:
    return f"{reader}.txt" if language == "en" else f"{reader}.{language}.txt"


@cache
def shipped_text(reader: str, language: str = "en") -> LetterText:
    """Return the text that comes with the program for family, student or school."""
    parts = _parts(template_text(reader, language))
    return {name: tuple(line for _, line in lines) for name, lines in parts.items()}


def is_shipped(reader: str, language: str) -> bool:
    """Return whether a letter comes with the program in a language."""
    return (SHIPPED / _file(reader, language)).exists()


@cache
def template_text(reader: str, language: str = "en") -> str:
    """Return the shipped text as it stands in its file."""
    return (SHIPPED / _file(reader, language)).read_text(encoding="utf-8")


def own_text(
    folder: Path, reader: str, names: Sequence[str], language: str = "en"
) -> tuple[LetterText, tuple[str, ...]]:
    """Return the teacher's own text with what is wrong with it; nothing of it is used then.

    Args:
        folder: where the letters of the studio are; it may be missing.
        reader: family, student or school.
        names: the ``$names`` that exist.
        language: of the letter; ``family.es.txt`` is one in Spanish.
    """
    path = folder / _file(reader, language)
    try:
        if not path.exists():
            return {}, ()
        data = path.read_bytes()
        text = data.decode("utf-8-sig") if len(data) <= LARGEST else ""
    except (OSError, UnicodeDecodeError):
        text = ""
    if not text.strip():
        return {}, (f"{path} cannot be read as text, so the shipped letter is used.",)
    wrong = tuple(
        f"{path.name}:{line} {told} The shipped letter is used."
        for line, told in _faults(text, reader, names)
    )
    return {} if wrong else {
        name: tuple(one for _, one in lines) for name, lines in _parts(text).items()
    }, wrong


def _parts(text: str) -> dict[str, list[tuple[int, str]]]:
    """Return the numbered lines of each paragraph; those before the first name are under ""."""
    parts: dict[str, list[tuple[int, str]]] = {"": []}
    name = ""
    for number, line in enumerate(text.splitlines(), 1):
        head = _HEAD.fullmatch(line)
        if head:
            name = tidy(head[1]).lower()
            parts.setdefault(name, [])
        elif not line.startswith("#"):
            parts[name].append((number, line.strip()))
    return {name: lines for name, lines in parts.items() if name or any(line for _, line in lines)}


def _faults(text: str, reader: str, names: Sequence[str]) -> Iterator[tuple[int, str]]:
    paragraphs = shipped_text(reader)
    heads = {
        tidy(h[1]).lower(): n for n, line in enumerate(text.splitlines(), 1) if (h := _HEAD.fullmatch(line))
    }
    for name, lines in _parts(text).items():
        if name not in paragraphs:
            told = f"There is no paragraph [{name}]" if name else "This line stands before any paragraph"
            yield (
                heads.get(name, lines[0][0] if lines else 1),
                f"{told}. There are: {listed([f'[{one}]' for one in paragraphs])}.",
            )
        for number, line in lines:
            for unknown in _unknown(line, names):
                yield number, f"There is no {unknown}. There are: {listed([f'${one}' for one in names])}."


def _unknown(line: str, names: Sequence[str]) -> list[str]:
    template = Template(line)
    if not template.is_valid():
        return ["name after this $ (write $$ for a dollar)"]
    return [f"${one}" for one in template.get_identifiers() if one not in names]


def filled(lines: Sequence[str], value: Callable[[str], str]) -> Iterator[str]:
    """Yield the lines with their names filled in, without those in which one has nothing to say."""
    for line in lines:
        template = Template(line)
        values = {name: value(name) for name in template.get_identifiers()}
        if all(values.values()):
            yield template.substitute(values)
