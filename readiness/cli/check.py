"""``readiness check``: look a course over for mistakes (rule R9)."""

from __future__ import annotations

import argparse
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser
from readiness.cli.opening import locate_studio, print_problems
from readiness.course.load import load_course
from readiness.files.problems import errors, render
from readiness.words.lists import check_words, loose_end_words

__all__ = ["configure", "run"]


def configure(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument(
        "course", metavar="COURSE_DIR", type=Path, nargs="?",
        help="the folder with graph.toml and pacing.toml (default: the studio's course)",
    )  # fmt: skip
    parser.add_argument(
        "--list", choices=["loose-ends"],
        help="also list, for loose-ends, the skills that no later skill names",
    )  # fmt: skip


def run(args: argparse.Namespace) -> Exit:
    """Print every problem, where it stands and what to do, and a last line that sums up."""
    loaded = load_course(_folder(args.course))
    for problem in loaded.problems:
        print(render(problem), end="\n\n")
    print(check_words(loaded.course, loaded.problems), end="")
    if args.list and loaded.course is not None:
        from readiness.course.checks import loose_ends

        print(f"\n{loose_end_words(loose_ends(loaded.course), loaded.course)}", end="")
    return Exit.WRONG if errors(loaded.problems) else Exit.READY


def _folder(typed: Path | None) -> Path:
    """Return the folder of the course: the one that was typed, else the studio's."""
    if typed is not None and not typed.is_dir():
        kind = "a file; please give the folder it is in" if typed.exists() else "not there"
        raise CommandError(f"the course folder {typed} is {kind}.")
    if typed is not None:
        return typed
    where = locate_studio(None, None)
    if where.course is None:
        print_problems(where.problems)
        raise CommandError
    return where.course
