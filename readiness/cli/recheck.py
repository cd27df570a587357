"""``readiness recheck``: whether an answer follows from the files.

Works every key of a saved ``why --json`` object out a second time, with code that shares nothing
with the one that made it, and names what it could not check. Without a file it does so for the
answers of today, of all or of the student who was typed: as they were told, where they are kept.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import (
    add_day_option,
    add_studio_options,
    answers_told,
    day_for,
    open_studio,
    pick_student,
    say_unread,
)
from readiness.cli.output import aside, say
from readiness.days import day_number, iso
from readiness.judging.recheck import Checked, Rechecker
from readiness.record.model import Record
from readiness.studio.cache import drop_kept
from readiness.studio.kept_files import cache_folder
from readiness.studio.load import Studio
from readiness.words.lists import kept_words, recheck_words

Claim = dict[str, Any]


@command(
    "recheck",
    option(
        "file", metavar="FILE", nargs="?",
        help="answers saved from `why --json` or `roster --json`, - for the input; or a student's id",
    ),
    option("--student", metavar="ID", help="work out and recheck this student alone"),
    option("--fresh", action="store_true", help="take no answer as it was told; work every one out again"),
    add_day_option,
    add_studio_options,
)
def run_recheck(args: argparse.Namespace) -> Exit:
    """Say of each answer whether it follows; 0 when every key was confirmed, 2 when a file was left out."""
    if args.file is not None and not args.student and _may_be_a_student(args.file):
        args.student, args.file = args.file, None
    if args.file is not None and (args.student or args.on):
        raise CommandError("a saved answer names its student and its day; leave out --student and --on.")
    saved = _read(args.file) if args.file is not None else None
    studio, course = open_studio(args)
    claims = _told(args, studio) if saved is None else _saved(saved, studio)
    checker, all_follow, many = Rechecker(course), True, 0
    for claim, record, day, is_kept in claims:
        found = checker.check(claim, record, studio.calendar(record.id))
        all_follow, many = all_follow and found == Checked(), many + is_kept
        say(recheck_words(record.name, day, *found, kept=is_kept))
        if is_kept and found.differ and record.path is not None:
            drop_kept(cache_folder(os.environ), record.path)
    if many:
        aside(kept_words(many))
    code = Exit.READY if all_follow else Exit.NOT_READY
    return code if saved is not None or args.student else say_unread(studio, code)


def _may_be_a_student(typed: str) -> bool:
    """Return whether a word that was typed is no file, and does not look like one."""
    path = Path(typed)
    return typed != "-" and not path.suffix and len(path.parts) == 1 and not path.exists()


Asked = tuple[Claim, Record, int, bool]
"""An answer, whose and of which day it should be, and whether it was told before."""


def _told(args: argparse.Namespace, studio: Studio) -> Iterator[Asked]:
    """Yield the answers of one student, or of all, on the day asked about."""
    day = day_for(args, studio)
    records = [pick_student(studio, args.student)] if args.student else [*studio.records.values()]
    told = answers_told(studio, records, day, fresh=args.fresh)
    for record, (text, is_kept) in zip(records, told, strict=True):
        found: object = None
        with suppress(ValueError, RecursionError):
            found = json.loads(text)
        yield found if isinstance(found, dict) and found.get("on") == iso(day) else {}, record, day, is_kept


def _saved(claims: Iterable[Claim], studio: Studio) -> Iterator[Asked]:
    for claim in claims:
        record = studio.records.get(claim["student"]) or pick_student(studio, claim["student"])
        yield claim, record, day_number(claim["on"]), False


def _read(name: str) -> list[Claim]:
    """Return the saved answers: one object, or one a line.

    Raises:
        CommandError: the file cannot be read, or does not hold such objects.
    """
    try:
        text = sys.stdin.read() if name == "-" else Path(name).read_text(encoding="utf-8")
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not text in UTF-8"
        raise CommandError(f"{name} cannot be read: {reason}.") from None
    try:
        found = [json.loads(text)]
    except (ValueError, RecursionError):
        lines = enumerate(text.splitlines(), 1)
        found = [_object(line, f"{name}, line {i}") for i, line in lines if line.strip()]
    if not found:
        raise CommandError(f"{name} is empty; it should hold an answer of `readiness why --json`.")
    return [_claim(one, name) for one in found]


def _object(line: str, where: str) -> object:
    try:
        return json.loads(line)
    except (ValueError, RecursionError):
        raise CommandError(f"{where} is not JSON as `readiness why --json` writes it.") from None


def _claim(found: object, name: str) -> Claim:
    """Return a saved answer, checked as far as it says whose it is and of which day."""
    if not isinstance(found, dict) or not all(isinstance(found.get(key), str) for key in ("student", "on")):
        raise CommandError(f"{name} holds something else than answers of `readiness why --json`.")
    if "if" in found:
        raise CommandError(f"{name} holds a what-if answer (--if); recheck takes plain ones.")
    try:
        day_number(found["on"])
    except ValueError:
        told = f'"on" in {name} takes a day such as 2025-12-02, and "{found["on"]}" is not a day.'
        raise CommandError(told) from None
    return found
