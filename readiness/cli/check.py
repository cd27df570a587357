"""``readiness check``: look a course over for mistakes (rule R9), and list what it is like."""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Sequence
from itertools import chain
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import latest_day
from readiness.cli.entering import skill_typed, unit_typed
from readiness.cli.opening import locate_studio, print_problems, read_studio
from readiness.cli.saying import text_width
from readiness.course.load import LoadedCourse, load_course
from readiness.course.model import Course
from readiness.files.problems import Problem, errors, render
from readiness.studio.find import find_studio
from readiness.words.lists import check_words

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
        "chains, what must be learnt in a row; reach-back, prerequisites many units back; rests-on, what "
        "most stands on; optional, what may be skipped at an age; loose-ends, what nothing later stands on; "
        "variant, what a course based on another has otherwise (may be given several times)",
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
    problems = tuple(dict.fromkeys((*loaded.problems, *of_students(loaded.course, args.students))))
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
    from readiness.school.counts import past
    from readiness.words.course_facts import unit_sections
    from readiness.words.page import lay_out
    from readiness.workbench.as_json import unit_to_dict
    from readiness.workbench.facts import course_facts, facts_of_unit, latest

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
    from readiness.words.course_facts import fact_sections
    from readiness.words.page import lay_out
    from readiness.words.variant import variant_sections
    from readiness.workbench.facts import course_facts, latest
    from readiness.workbench.variant import variant_of

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
    from readiness.workbench.as_json import facts_to_dict, problem_to_dict
    from readiness.workbench.facts import course_facts

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
