"""``readiness restore FILE``: bring back from a backup what was lost; ``--check`` only says what that is."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.entering import print_json, refuse
from readiness.cli.keys import Keys, is_terminal
from readiness.cli.opening import add_studio_options
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.files.writing import Refusal
from readiness.studio.backup import Archive, Step, bring_back, root_of, steps, unsealed
from readiness.studio.find import StudioNotFoundError, find_students
from readiness.words.backup import name_in, restore_words, restored_words


def restore_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("archive", metavar="FILE", type=Path, help="an archive made by `readiness backup`")
    parser.add_argument("--check", action="store_true", help="only say what would change, file by file")
    parser.add_argument(
        "--bring-back", metavar="ID", nargs="+", default=[],
        help="students of whom something is to come back; of nobody else does it, since they may have left",
    )  # fmt: skip
    parser.add_argument("--into", metavar="DIR", type=Path, help="the studio's folder, where none is found")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)
    parser.epilog = "Exit code of --check: 0 nothing is missing, 1 something is, 2 the archive is damaged."


@command("restore", restore_arguments)
def run_restore(args: argparse.Namespace) -> Exit:
    """Check the seal, say what would change, and with it done what was brought back."""
    archive = unsealed(args.archive)
    if isinstance(archive, Refusal):
        raise CommandError(archive.message)
    root = _root(args)
    plan = steps(archive, root)
    if args.check:
        _tell(args, archive, plan)
        lost = any(one.state in ("adds", "missing", "not-here") for one in plan)
        return Exit.NOT_READY if lost else Exit.READY
    done, refusals = bring_back(archive, root, _named(args.bring_back, archive, plan))
    _tell(args, archive, steps(archive, root), done)
    refuse(refusals)
    return Exit.READY


def _root(args: argparse.Namespace) -> Path:
    """Return the studio's folder."""
    if args.into is not None:
        return Path(args.into)
    try:
        where = find_students(args.students, Path.cwd(), os.environ)
    except StudioNotFoundError as error:
        raise CommandError(str(error)) from None
    root = root_of(where)
    if root is None or where.is_demo:
        raise CommandError("there is no studio here; please say with --into which folder it is to be in.")
    return root


def _named(typed: Sequence[str], archive: Archive, plan: Sequence[Step]) -> tuple[str, ...]:
    """Return who is to come back; at a terminal each is asked about by name."""
    gone = {one.student: one.file for one in plan if one.state in ("adds", "not-here")}
    if strangers := [one for one in typed if one not in gone]:
        raise CommandError(f"nothing of {strangers[0]} can come back from this archive; see --check.")
    if typed or not is_terminal():
        return tuple(typed)
    keys = Keys()
    return tuple(id_ for id_, file in gone.items() if _wants(keys, id_, name_in(archive.files[file])))


def _wants(keys: Keys, id_: str, name: str) -> bool:
    asked = f"{name or id_}: lost, or deleted on purpose? Type {id_} to bring it back, else Enter: "
    return (keys.line(asked) or "").strip() == id_


def _tell(
    args: argparse.Namespace, archive: Archive, plan: Sequence[Step], done: Sequence[Step] | None = None
) -> None:
    if args.json:
        print_json({
            "archive": str(args.archive), "seal": archive.seal, "made": iso(archive.made),
            "files": [{"file": one.file, "state": one.state, "lines": one.lines} for one in plan],
            "brought_back": None if done is None else [one.file for one in done],
        })  # fmt: skip
    elif done is None:
        print(restore_words(args.archive, archive, plan, text_width()), end="")
    else:
        print(restored_words(done, plan, text_width()), end="")
