"""The screens: ``browse`` in the terminal, ``serve`` in a browser. Their clock is looked at here alone."""

from __future__ import annotations

import argparse
import os
import shlex
import sys
from datetime import datetime
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import add_day_option, add_studio_options, day_asked, locate_studio, sought
from readiness.cli.output import at_a_terminal
from readiness.studio.find import find_studio


@command(
    "browse",
    add_day_option,
    add_studio_options,
    option("student", metavar="ID", nargs="?", help="a student's id, to begin with"),
)
def run_browse(args: argparse.Namespace) -> Exit:
    """Show the screens until the person leaves."""
    in_a_browser = "TEXTUAL_DRIVER" in os.environ
    if not in_a_browser and not at_a_terminal():
        raise CommandError("browse needs a terminal; without one, `readiness roster` and `why` say the same.")
    where = sought(find_studio, args.course, args.students)
    day = None if args.on is None else day_asked(args.on, None, where.date_order)
    from tui.app import Browse
    from tui.desk import Desk

    desk = Desk(args.course, args.students, Path.cwd(), os.environ, day, lambda: datetime.now().astimezone())
    screens = Browse(desk, args.student)
    screens.run()
    if screens.mistake is not None:
        raise screens.mistake
    return Exit.WRONG if screens.return_code else Exit.READY


_EXTRA = "serve needs one more package: `pip install '.[web]'`."


@command(
    "serve",
    add_day_option,
    add_studio_options,
    option("--port", type=int, default=8765, help="the port on this machine (default: 8765)"),
)
def run_serve(args: argparse.Namespace) -> Exit:
    """Serve until interrupted."""
    if not 1024 <= args.port <= 65535:
        raise CommandError(f"--port takes a number from 1024 to 65535, and {args.port} is not.")
    day_asked(args.on, None, locate_studio(args.course, args.students).date_order)
    try:
        from tui.web import StudioServer
    except ModuleNotFoundError as missing:
        if (missing.name or "").partition(".")[0] in ("aiohttp", "aiohttp_jinja2", "jinja2", "textual_serve"):
            raise CommandError(_EXTRA) from None
        raise
    words = [sys.executable, "-m", "readiness", "browse"]
    for name, value in (("on", args.on), ("course", args.course), ("students", args.students)):
        words += [f"--{name}", str(value)] if value is not None else []
    server = StudioServer(shlex.join(words), args.port)
    told = f"Open {server.address} in a browser on this machine, and tell the address to nobody."
    print(f"{told} Ctrl+C ends it.", flush=True)
    try:
        server.serve()
    except OSError as error:
        why = f"port {args.port} cannot be used ({error.strerror}); try another --port."
        raise CommandError(why) from None
    return Exit.READY
