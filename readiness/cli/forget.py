"""``readiness forget ID``: delete all that is kept about a student who left."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.entering import never_the_demo, print_json
from readiness.cli.keys import Keys, is_terminal
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.saying import text_width
from readiness.files.writing import Refusal
from readiness.record.beside import beside
from readiness.record.forget import forget, forget_leftovers
from readiness.record.model import is_id
from readiness.studio.kept import cache_folder, drop_kept, has_kept
from readiness.studio.leftovers import has_history, leftovers, studio_folders
from readiness.studio.load import Studio
from readiness.words.keeping import forgotten_words, leaving_words


def forget_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="the student's id, whole")
    parser.add_argument("--export", metavar="FILE", type=Path, help="make a copy of the file there first")
    parser.add_argument("--yes", action="store_true", help="do not ask (needed without a terminal)")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("forget", forget_arguments)
def run_forget(args: argparse.Namespace) -> Exit:
    """Ask, delete, and say where a name still stands."""
    studio, _ = open_studio(args)
    never_the_demo(studio.where, args)
    folder = studio.where.students
    assert folder is not None
    id_, name, path, is_there = _meant(studio, folder, args.student)
    if not is_there and args.export is not None:
        raise CommandError(f"nothing was deleted: there is no file of {id_} to make a copy of.")
    if not args.yes:
        _ask(id_, name, path)
    gone = forget(path, folder, args.export) if is_there else forget_leftovers(id_, folder)
    if isinstance(gone, Refusal):
        raise CommandError(gone.message)
    drop_kept(cache_folder(os.environ), path)
    found = leftovers(studio_folders(studio.where), {id_, name}, args.export)
    if args.json:
        print_json({
            "forgotten": id_,
            "exported": None if args.export is None else str(args.export),
            "deleted": [str(one) for one in gone.deleted],
            "link_led_to": None if gone.led_to is None else str(gone.led_to),
            "other_names": gone.other_names,
            "still_named": [{"file": str(one.file), "line": one.line} for one in found.places],
            "looked_at": {
                "folders": [str(one) for one in found.folders], "files": found.read,
                "not_read": [str(one) for one in found.unread], "whole": found.is_whole,
            },
        })  # fmt: skip
    else:
        told = forgotten_words(name, gone, args.export, found, text_width(), in_git=has_history(folder))
        print(told, end="")
    return Exit.READY


def _meant(studio: Studio, folder: Path, typed: str) -> tuple[str, str, Path, bool]:
    """Return id, name, file, and whether it is there; by the whole id alone, also where it cannot be read.

    An id of which only something kept beside the file is left can be forgotten too.
    """
    if typed in studio.broken:
        return typed, typed, studio.broken[typed].path, True
    if typed in studio.records:
        record = studio.records[typed]
        assert record.path is not None
        return record.id, record.name, record.path, True
    path = folder / f"{typed}.toml"
    if is_id(typed) and (beside(folder, typed) or has_kept(cache_folder(os.environ), path)):
        return typed, typed, path, False
    record = pick_student(studio, typed)
    raise CommandError(f'please type the whole id of {record.name}: "{record.id}".')


def _ask(id_: str, name: str, path: Path) -> None:
    """Let somebody type the id once more."""
    if not is_terminal():
        raise CommandError(f"nothing was deleted: without a terminal, --yes says that {id_} is really meant.")
    keys = Keys()
    keys.say(leaving_words(name, path, text_width()), end="")
    typed = keys.line(f"Type {id_} to delete it, anything else to leave it: ")
    if (typed or "").strip() != id_:
        raise CommandError("nothing was deleted.")
