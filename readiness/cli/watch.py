"""``readiness watch``: edit a course in any editor and see after each save what it does."""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.compare import open_with_course, tell_trial
from readiness.cli.day import add_day_option, day_asked
from readiness.words.workbench import watching_words
from readiness.workbench.differences import differences
from readiness.workbench.watch import Watcher

SECONDS = 0.4


def watch_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument(
        "course", metavar="COURSE_DIR", type=Path, nargs="?",
        help="the folder with graph.toml and pacing.toml (default: the studio's course)",
    )  # fmt: skip
    add_day_option(parser)
    parser.add_argument("--students", metavar="DIR", type=Path, help="the folder with the student files")


@command("watch", watch_arguments)
def run_watch(args: argparse.Namespace) -> Exit:
    """Watch until interrupted; nothing is written."""
    studio, course = open_with_course(args.course, args.students)
    folder = studio.where.course
    if folder is None:
        raise CommandError
    day = day_asked(args.on, studio.today)
    watcher = Watcher(studio, folder, day)
    try:
        print(watching_words(folder, len(studio.records)), flush=True)
        while True:
            time.sleep(SECONDS)
            trial = watcher.look()
            if trial is not None:
                print("\n" + "-" * 40 + "\n")
                different = differences(course, trial.course) if trial.course is not None else ()
                tell_trial(trial, course, day, [], different)
                print(end="", flush=True)
    except KeyboardInterrupt:
        print()
        return Exit.READY
