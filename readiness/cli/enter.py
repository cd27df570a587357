"""``readiness enter ID CODES``: a sheet that was filled in on paper, as fast as it is read aloud.

A code is the number of a line and the letter of how it was shown: 1a 2c 3-. The word on the sheet says
that it is the very sheet the numbers belong to; without it the one is meant that would be printed now.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from readiness.advice.sheet import CheckSheet, check_sheet
from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import student_options
from readiness.cli.inputs import Entry, open_entry, refuse
from readiness.cli.note import day_unsure, write_lesson, yes_option
from readiness.lazy import dataclass
from readiness.record.noting import NewLesson, check_lesson
from readiness.toml.write import Refusal
from readiness.words.english import HELP_WORDS
from readiness.words.sheet import CODES

_CODE: Final = re.compile(rf"(?P<line>\d{{1,2}})(?:\.(?P<part>\d{{1,2}}))?(?P<how>[{CODES}-])", re.IGNORECASE)
_WORD: Final = re.compile(r"[a-z]{3}", re.IGNORECASE)


@command(
    "enter",
    option("--by", metavar="INITIALS", default="", help="who noted it"),
    option("--text", metavar="WORDS", default="", help="a few words about the lesson"),
    yes_option,
    student_options("the day of the sheet"),
    option("loose", metavar="CODES", nargs="*", help="the word of the sheet, then a code a line"),
)
def run_enter(args: argparse.Namespace) -> Exit:
    """Note a sheet from its codes."""
    entry = open_entry(args)
    words = " ".join(args.loose).replace(",", " ").split()
    word = words[0].lower() if words and _WORD.fullmatch(words[0]) else ""
    found = _sheets(entry) if word else iter([check_sheet(entry.course, entry.record, entry.answer())])
    sheet = next((one for one in found if word in ("", one.word)), None)
    if sheet is None:
        raise CommandError(
            f'no sheet of {entry.record.name} for that day has the word "{word}": more was noted since, or '
            f"it is of another day (--on). `readiness note {entry.record.id}` takes names of skills."
        )
    read = _read(sheet, words[bool(word) :])
    refuse(read.wrong)
    left = tuple(skill for skill, how in read.given.items() if how == len(CODES))
    helps = {skill: how for skill, how in read.given.items() if how < len(CODES)}
    lesson = NewLesson(entry.on, helps, left, args.by, args.text)
    unsure = day_unsure(args, entry)
    refuse([*check_lesson(entry.course, entry.record, lesson, tuple(read.given), entry.latest), *unsure])
    return write_lesson(args, entry, entry.answer(), lesson)


def _sheets(entry: Entry) -> Iterator[CheckSheet]:
    """Yield every sheet that may have been printed: now or before the lesson, for any minutes."""
    earlier = tuple(one for one in entry.record.lessons if one.on != entry.on)
    for minutes in (None, *range(1, 61)):
        for record in (entry.record, replace(entry.record, lessons=earlier)):
            yield check_sheet(entry.course, record, entry.answer(record), None, minutes)


@dataclass
class _Read:
    """What codes say: by skill the help (one more than the ladder has is not asked), and what is wrong."""

    given: dict[str, int]
    wrong: list[Refusal]


def _read(sheet: CheckSheet, words: Sequence[str]) -> _Read:
    """Read codes, of a line before those of its parts."""
    text, read = " ".join(words), _Read({}, [])
    rest = _CODE.sub(" ", text).strip()
    if rest or not words:
        told = f'"{rest}" is no code' if rest else "there are no codes"
        ladder = ", ".join(f"{code} {words}" for code, words in zip(CODES, HELP_WORDS, strict=True))
        told += f"; a code is a line and how it was shown, as in 1a 2c 3-: {ladder}, - not asked."
        read.wrong.append(Refusal("no-code", told))
    codes = sorted(_CODE.finditer(text), key=lambda one: bool(one["part"]))
    seen: set[tuple[str, str | None]] = set()
    for code in codes:
        skills = _skills(sheet, int(code["line"]), code["part"])
        twice = (code["line"], code["part"]) in seen
        if not skills or twice:
            why = "is there twice" if twice else "names no line of this sheet with a skill"
            read.wrong.append(Refusal("odd-code", f"{code[0]} {why}."))
        seen.add((code["line"], code["part"]))
        how = len(CODES) if code["how"] == "-" else CODES.index(code["how"].lower())
        read.given |= dict.fromkeys(skills, how)
    return read


def _skills(sheet: CheckSheet, line: int, part: str | None) -> tuple[str, ...]:
    skills = sheet.items[line - 1].skills if 1 <= line <= len(sheet.items) else ()
    return skills if part is None else skills[int(part) - 1 : int(part)] if int(part) else ()
