"""``readiness doctor``: what is wrong in a studio and how to mend it; the little that is safe it mends."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import latest_day
from readiness.cli.entering import never_the_demo, print_json, refuse
from readiness.cli.keys import Keys, is_terminal
from readiness.cli.opening import add_studio_options, locate_studio, print_problems, read_studio
from readiness.cli.saying import text_width
from readiness.files.problems import Problem, errors, render
from readiness.studio.doctor import MENDED, look_over, mend, unmend
from readiness.studio.load import Studio
from readiness.words.lists import doctor_words, mended_words


def doctor_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("--fix", action="store_true", help="mend what is safe, after showing it and asking")
    parser.add_argument("--yes", action="store_true", help="do not ask (needed without a terminal)")
    parser.add_argument("--undo", action="store_true", help="undo what --fix mended last")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)
    parser.epilog = "Exit code 0: nothing found, 1: something to mend, 2: a file that cannot be read."


@command("doctor", doctor_arguments)
def run_doctor(args: argparse.Namespace) -> Exit:
    """Show what was found; the exit code says whether anything was."""
    studio = read_studio(locate_studio(args.course, args.students))
    folder = studio.where.students
    if folder is None:
        print_problems(studio.problems)
        raise CommandError("where the students are is not to be read; please mend that first.")
    if args.fix or args.undo:
        never_the_demo(studio.where, args)
    if args.undo:
        return _undone(folder)
    found = look_over(studio, latest_day(studio.today))
    if args.json:
        _print_json(found)
    else:
        for problem in found:
            print(render(problem, width=text_width()), end="\n\n")
        print(doctor_words(found, MENDED, text_width()), end="")
    if args.fix:
        found = _fixed(args, folder, studio, found)
    if errors(found):
        return Exit.WRONG
    return Exit.NOT_READY if found else Exit.READY


def _print_json(found: Sequence[Problem]) -> None:
    from readiness.workbench.as_json import problem_to_dict

    print_json({"findings": [{**problem_to_dict(one), "fix": one.id in MENDED} for one in found]})


def _fixed(
    args: argparse.Namespace, folder: Path, studio: Studio, found: Sequence[Problem]
) -> tuple[Problem, ...]:
    """Mend what is safe, once somebody has said so; return what is still to be mended."""
    if not any(one.id in MENDED for one in found):
        return tuple(found)
    if not args.yes:
        if not is_terminal():
            raise CommandError("nothing was mended: without a terminal, --yes says that it is really meant.")
        keys = Keys()
        if (keys.line("Type yes to mend this, anything else to leave it: ") or "").strip() != "yes":
            raise CommandError("nothing was mended.")
    refuse(mend(folder, found))
    left = look_over(read_studio(studio.where), latest_day(studio.today))
    if not args.json:
        print(mended_words(left, text_width()), end="")
    return left


def _undone(folder: Path) -> Exit:
    who, refusals = unmend(folder)
    refuse(refusals)
    if not who:
        raise CommandError("there is nothing that `readiness doctor --fix` mended and that is not undone.")
    print(f"As before --fix: {', '.join(f'{one}.toml' for one in who)}.")
    return Exit.READY
