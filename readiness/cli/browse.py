"""``readiness browse``: the screens in the terminal. The clock they show is looked at here alone."""

from __future__ import annotations

import argparse
import os
import sys
from datetime import datetime
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_typed
from readiness.cli.opening import add_studio_options
from readiness.studio.find import StudioNotFoundError, find_studio


def browse_arguments(parser: Parser) -> None:
    """Add the arguments."""
    add_day_option(parser)
    add_studio_options(parser)
    parser.add_argument("student", metavar="ID", nargs="?", help="a student's id, to begin with")


@command("browse", browse_arguments)
def run_browse(args: argparse.Namespace) -> Exit:
    """Show the screens until the person leaves."""
    in_a_browser = "TEXTUAL_DRIVER" in os.environ
    if not in_a_browser and not all(one.isatty() for one in (sys.stdin, sys.stdout, sys.stderr)):
        raise CommandError("browse needs a terminal; without one, `readiness roster` and `why` say the same.")
    day = day_typed(args.on, "--on") if args.on is not None else None
    try:
        find_studio(args.course, args.students, Path.cwd(), os.environ)
    except StudioNotFoundError as error:
        raise CommandError(str(error)) from None
    from tui.app import Browse
    from tui.desk import Desk

    desk = Desk(args.course, args.students, Path.cwd(), os.environ, day, _now)
    screens = Browse(desk, args.student)
    screens.run()
    if screens.mistake is not None:
        raise screens.mistake
    return Exit.READY


def _now() -> datetime:
    return datetime.now().astimezone()
