"""``readiness exchange``: a course to and from GraphML, or JSON of items and associations."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.opening import print_problems
from readiness.cli.page_file import put_file
from readiness.course.load import load_course
from readiness.files.problems import errors
from readiness.words.lists import check_words
from readiness.workbench.exchange import FORMS, export_course, import_course
from readiness.workbench.plain import PlainError


def exchange_arguments(parser: Parser) -> None:
    """Add the arguments."""
    what = "export a course, or import one"
    parser.add_argument("what", metavar="WHAT", choices=["export", "import"], help=what)
    parser.add_argument(
        "source", metavar="FROM", type=Path, help="the course's folder, or the file to import"
    )
    parser.add_argument(
        "target", metavar="TO", type=Path, help="the file to make, or the new course's folder"
    )
    parser.add_argument(
        "--as", dest="form", choices=list(FORMS),
        help="the form to export: graphml for graph tools, case for JSON of items and associations",
    )  # fmt: skip
    add_day_option(parser)


@command("exchange", exchange_arguments)
def run_exchange(args: argparse.Namespace) -> Exit:
    """Carry out one of the two; neither writes over anything."""
    if args.what == "export":
        return _export(args.source, args.target, args.form, date.fromordinal(day_asked(args.on, None)))
    if args.form is not None:
        raise CommandError("--as is for export; an import finds out for itself.")
    return _import(args.source, args.target)


def _export(folder: Path, file: Path, form: str | None, day: date) -> Exit:
    if form is None:
        raise CommandError("please say in which form: --as graphml or --as case.")
    loaded = load_course(folder)
    if loaded.course is None:
        print_problems(errors(loaded.problems))
        raise CommandError
    try:
        text = export_course(folder, form, day)
    except PlainError as error:
        raise CommandError(f"{error}.") from None
    put_file(file, text)
    print(f"Written: {file}. It holds the course and its pacing, and nothing about any student.")
    return Exit.READY


def _import(file: Path, folder: Path) -> Exit:
    if not file.is_file():
        raise CommandError(f"there is no file {file}.")
    refusal = import_course(file, folder)
    if refusal is not None:
        raise CommandError(refusal.message)
    loaded = load_course(folder)
    print(f"Written: {folder / 'graph.toml'} and {folder / 'pacing.toml'}.")
    print_problems(loaded.problems)
    print(check_words(loaded.course, loaded.problems), end="")
    return Exit.WRONG if errors(loaded.problems) else Exit.READY
