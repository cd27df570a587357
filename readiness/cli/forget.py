"""``readiness forget ID``: delete all that is kept about a student who left."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser
from readiness.cli.entering import never_the_demo, print_json, refuse
from readiness.cli.keys import Keys, is_terminal
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.saying import text_width
from readiness.record.forget import forget
from readiness.studio.kept import cache_folder, drop_kept
from readiness.studio.leftovers import has_history, leftovers, studio_folders
from readiness.studio.load import Studio
from readiness.words.keeping import forgotten_words, leaving_words

__all__ = ["configure", "run"]


def configure(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="the student's id, whole")
    parser.add_argument("--export", metavar="FILE", type=Path, help="make a copy of the file there first")
    parser.add_argument("--yes", action="store_true", help="do not ask (needed without a terminal)")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


def run(args: argparse.Namespace) -> Exit:
    """Ask, delete, and say where a name still stands."""
    studio, _ = open_studio(args)
    never_the_demo(studio.where, args)
    folder = studio.where.students
    assert folder is not None
    id_, name, path = _meant(studio, args.student)
    if not args.yes:
        _ask(id_, name, path)
    refusal = forget(path, folder, args.export)
    refuse([refusal] if refusal else [])
    drop_kept(cache_folder(os.environ), path)
    found = leftovers(studio_folders(studio.where), {id_, name}, args.export)
    if args.json:
        print_json({
            "forgotten": id_,
            "exported": None if args.export is None else str(args.export),
            "still_named": [{"file": str(one.file), "line": one.line} for one in found.places],
            "looked_at": {
                "folders": [str(one) for one in found.folders], "files": found.read,
                "not_read": [str(one) for one in found.unread], "whole": found.is_whole,
            },
        })  # fmt: skip
    else:
        told = forgotten_words(name, args.export, found, text_width(), in_git=has_history(folder))
        print(told, end="")
    return Exit.READY


def _meant(studio: Studio, typed: str) -> tuple[str, str, Path]:
    """Return id, name and file; by the whole id alone, also where the file has a mistake in it."""
    if typed in studio.broken:
        return typed, typed, studio.broken[typed].path
    if typed not in studio.records:
        record = pick_student(studio, typed)
        raise CommandError(f'please type the whole id of {record.name}: "{record.id}".')
    record = studio.records[typed]
    assert record.path is not None
    return record.id, record.name, record.path


def _ask(id_: str, name: str, path: Path) -> None:
    """Let somebody type the id once more."""
    if not is_terminal():
        raise CommandError(f"nothing was deleted: without a terminal, --yes says that {id_} is really meant.")
    keys = Keys()
    keys.say(leaving_words(name, path, text_width()), end="")
    typed = keys.line(f"Type {id_} to delete it, anything else to leave it: ")
    if (typed or "").strip() != id_:
        raise CommandError("nothing was deleted.")
