"""``readiness backup FILE``: one sealed archive of the whole studio."""

from __future__ import annotations

import argparse
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.entering import never_the_demo, print_json, refuse
from readiness.cli.opening import add_studio_options, locate_studio
from readiness.cli.saying import text_width
from readiness.files.writing import create
from readiness.studio.backup import back_up
from readiness.words.backup import backup_words


def backup_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("archive", metavar="FILE", type=Path, help="the archive to make, outside the studio")
    add_day_option(parser, "the day it is made on")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("backup", backup_arguments)
def run_backup(args: argparse.Namespace) -> Exit:
    """Make it, and say what is in it."""
    where = locate_studio(args.course, args.students)
    never_the_demo(where, args)
    if where.students is None:
        raise CommandError("where the students are is not to be read; please mend studio.toml first.")
    own = [where.students] + ([where.file.path.parent] if where.file is not None else [])
    if any(args.archive.resolve().is_relative_to(one.resolve()) for one in own):
        raise CommandError("a backup in the studio is lost together with it; please name a place outside.")
    try:
        data, archive, left = back_up(where, day_asked(args.on, None))
    except OSError as error:
        why = f"{error.filename}: {(error.strerror or str(error)).lower()}"
        raise CommandError(f"no backup was made, because it would lack a file ({why}).") from None
    refusal = create(args.archive, args.archive.parent, data)
    refuse([refusal] if refusal else [])
    if args.json:
        left_out = [{"file": str(path), "why": why} for path, why in left]
        print_json({
            "archive": str(args.archive), "seal": archive.seal, "files": list(archive.files),
            "left_out": left_out,
        })  # fmt: skip
    else:
        print(backup_words(args.archive, archive, left, text_width()), end="")
    return Exit.READY
