"""``readiness check``: look a course over for mistakes (rule R9), and list what it is like."""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Sequence
from datetime import date
from itertools import chain
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.context import (
    add_studio_options,
    locate_studio,
    open_studio,
    pick_student,
    print_problems,
    read_studio,
)
from readiness.cli.day import add_day_option, day_asked, latest_day
from readiness.cli.inputs import skill_typed, unit_typed
from readiness.cli.output import aside, text_width
from readiness.cli.page_file import put_file, write_file
from readiness.course.load import LoadedCourse, load_course
from readiness.course.model import Course
from readiness.course.translated import names_problems
from readiness.editing.exchange import FORMS, PlainError, export_course, import_course
from readiness.judging.engine import judge
from readiness.pictures.formats import map_as_dot, map_as_mermaid, map_as_text
from readiness.pictures.shown import Shown, shown
from readiness.pictures.svg import PAPERS, map_as_svg
from readiness.studio.find import find_studio
from readiness.toml.problems import Problem, errors, render
from readiness.words.lists import check_words
from readiness.words.paused import hold_notice

LISTS = (
    "units", "leaps", "small-units", "chains", "reach-back", "rests-on", "optional", "loose-ends", "variant",
)  # fmt: skip


def check_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument(
        "course", metavar="COURSE_DIR", type=Path, nargs="?",
        help="the folder with graph.toml and pacing.toml (default: the studio's course)",
    )  # fmt: skip
    parser.add_argument(
        "--list", choices=LISTS, action="append", default=[],
        help="also list: units, with their numbers; leaps, how big each unit is for each age; small-units; "
        "chains, skills learnt one after the other; reach-back, prerequisites many units back; rests-on, the "
        "skills most others build on; optional, not needed at an age; loose-ends, nothing later builds on "
        "them; variant, differences from the course it is based on (may be given several times)",
    )  # fmt: skip
    parser.add_argument("--facts", action="store_true", help="all of these lists")
    parser.add_argument("--unit", metavar="UNIT", help="one unit on a page: too big, too small, past times")
    parser.add_argument("--to", metavar="SKILL", help="where the chain of rests-on leads")
    parser.add_argument(
        "--students", metavar="DIR", type=Path,
        help="also look for student files that name what is not in the course",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="one JSON object, for editors and other programs")


@command("check", check_arguments)
def run_check(args: argparse.Namespace) -> Exit:
    """Print every problem, where it stands and what to do, and a last line that sums up."""
    folder = _folder(args.course)
    loaded = load_course(folder)
    if args.unit is not None and loaded.course is not None:
        return _tell_unit(args, loaded.course)
    of_students = _of_studio if args.course is None and args.students is None else _of_students
    problems = tuple(dict.fromkeys((
        *loaded.problems, *names_problems(loaded.course), *of_students(loaded.course, args.students)
    )))  # fmt: skip
    lists = LISTS if args.facts else tuple(dict.fromkeys(args.list))
    if args.to is not None and loaded.course is not None:
        args.to = skill_typed(loaded.course, args.to)
    if args.json:
        print(_as_json(loaded, problems, args.to if args.to or lists else None, with_facts=bool(lists)))
    else:
        if lists and loaded.course is not None:
            print(_facts(loaded.course, folder, lists, args.to), flush=True)
        for problem in problems:
            print(render(problem, width=text_width()), end="\n\n")
        print(check_words(loaded.course, problems), end="")
    return Exit.WRONG if errors(problems) else Exit.READY


def _tell_unit(args: argparse.Namespace, course: Course) -> Exit:
    """Print the page of one unit, with the past times of the studio's own students."""
    from readiness.editing.as_json import unit_to_dict
    from readiness.editing.facts import course_facts, facts_of_unit, latest
    from readiness.school.counts import past
    from readiness.words.course import unit_sections
    from readiness.words.layout import lay_out

    unit = unit_typed(course, args.unit)
    is_alone = args.course is not None and args.students is None
    where = find_studio(args.course, args.students, Path.cwd(), os.environ)
    studio = None if is_alone else read_studio(where)
    records = () if studio is None else studio.records.values()
    day = latest_day(None if studio is None else studio.today)
    times = past(course, records, day, unit)
    facts = facts_of_unit(course_facts(course), course, unit)
    if args.json:
        print(json.dumps(unit_to_dict(facts, times), ensure_ascii=False, indent=2))
    else:
        print(lay_out(unit_sections(latest(course), facts, times), text_width()), end="")
    return Exit.READY


def _facts(course: Course, folder: Path, lists: Sequence[str], target: str | None) -> str:
    """Return the lists asked for."""
    from readiness.editing.facts import course_facts, latest, variant_of
    from readiness.words.course import fact_sections, variant_sections
    from readiness.words.layout import lay_out

    sections = list(
        fact_sections(
            latest(course), course_facts(course, target), tuple(one for one in lists if one != "variant")
        )
    )
    if "variant" in lists:
        sections += variant_sections(variant_of(folder), course)
    return lay_out(sections, text_width())


def _as_json(
    loaded: LoadedCourse, problems: Sequence[Problem], target: str | None, *, with_facts: bool
) -> str:
    from readiness.editing.as_json import facts_to_dict, problem_to_dict
    from readiness.editing.facts import course_facts

    found: dict[str, object] = {
        "format": 1,
        "accepted": loaded.course is not None and not errors(problems),
        "problems": [problem_to_dict(one) for one in problems],
    }
    if with_facts and loaded.course is not None:
        found["facts"] = facts_to_dict(course_facts(loaded.course, target))
    return json.dumps(found, ensure_ascii=False, indent=2)


def _of_students(course: Course | None, folder: Path | None) -> tuple[Problem, ...]:
    """Return the problems of the student files of a folder, where one is given."""
    if course is None or folder is None:
        return ()
    from readiness.record.load import load_record
    from readiness.school.clocks import odd_days
    from readiness.studio.load import student_files

    if not folder.is_dir():
        raise CommandError(f"there is no students folder {folder}.")
    loaded = [load_record(path, course) for path in student_files(folder)]
    odd = (odd_days(one.record, latest_day(None)) for one in loaded if one.record is not None)
    return (*(p for one in loaded for p in one.problems), *chain.from_iterable(odd))


def _of_studio(course: Course | None, folder: Path | None) -> tuple[Problem, ...]:
    """Return what ``readiness doctor`` says of the studio's students, where it is not the demo."""
    where = find_studio(None, folder, Path.cwd(), os.environ)
    if course is None or where.is_demo:
        return ()
    from readiness.studio.doctor import look_over

    studio = read_studio(where)
    return look_over(studio, latest_day(studio.today))


def _folder(typed: Path | None) -> Path:
    """Return the folder of the course: the one that was typed, else the studio's."""
    if typed is not None and not typed.is_dir():
        kind = "a file; please give the folder it is in" if typed.exists() else "not there"
        raise CommandError(f"the course folder {typed} is {kind}.")
    if typed is not None and not any(typed.glob("*.toml")):
        made = "`readiness start FOLDER` makes a studio with a copy of the shipped course"
        missing = f"there is no course in {typed}: graph.toml and pacing.toml would be there"
        raise CommandError(f"{missing}. {made}.")
    if typed is not None:
        return typed
    where = locate_studio(None, None)
    if where.course is None:
        print_problems(where.problems)
        raise CommandError
    return where.course


# ``readiness map``: the skill graph as a picture, with a student on it if wanted.

_KINDS = {".svg": "svg", ".dot": "dot", ".gv": "dot", ".mmd": "mermaid", ".mermaid": "mermaid", ".txt": "txt"}


def map_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("--student", metavar="ID", help="show where this student stands, on --on")
    parser.add_argument("--unit", metavar="UNIT", help="only this unit, with what is under and over it")
    parser.add_argument(
        "--to", choices=["svg", "dot", "mermaid", "txt"],
        help="what to draw (default: by the ending of --out, else txt)",
    )  # fmt: skip
    parser.add_argument("--out", metavar="FILE", type=Path, help="write it to this file")
    parser.add_argument("--paper", choices=list(PAPERS), default="a3", help="the paper for svg (default: a3)")
    add_day_option(parser)
    add_studio_options(parser)


@command("map", map_arguments)
def run_map(args: argparse.Namespace) -> Exit:
    """Print the picture, or write it."""
    studio, course = open_studio(args, args.student)
    unit = None if args.unit is None else unit_typed(course, args.unit)
    answer = None
    if args.student is not None:
        record = pick_student(studio, args.student)
        answer = judge(course, record, day_asked(args.on, studio.today), studio.calendar(record.id))
        if notice := hold_notice(record, answer.on):
            aside(notice)
    text = _draw(shown(course, answer, unit), _kind(args.to, args.out), args.paper)
    if args.out is None:
        print(text, end="", flush=True)
    else:
        write_file(args.out, text)
    return Exit.READY


def _draw(content: Shown, kind: str, paper: str) -> str:
    if kind == "svg":
        return map_as_svg(content, paper)
    return {"dot": map_as_dot, "mermaid": map_as_mermaid, "txt": map_as_text}[kind](content)


def _kind(typed: str | None, out: Path | None) -> str:
    """Return what to draw: what was typed, else what the file's ending says, else text."""
    if typed is not None or out is None:
        return typed or "txt"
    if out.suffix.lower() in _KINDS:
        return _KINDS[out.suffix.lower()]
    raise CommandError(f"what is {out} to be? Please add --to svg, dot, mermaid or txt.")


# ``readiness exchange``: a course to and from GraphML, or JSON of items and associations.


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
