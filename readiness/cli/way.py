"""``readiness way ID --to SKILL|UNIT``: what is still to secure on the way there."""

from __future__ import annotations

import argparse
import json

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.entering import refuse
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.saying import text_width
from readiness.course.finding import find_skill, find_unit, named_skill, unit_pair
from readiness.course.model import Course
from readiness.judging.engine import judge
from readiness.planning.ahead_json import way_to_dict
from readiness.planning.way import way_to
from readiness.words.way import tell_way


def way_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a student's id, its beginning, or the given name")
    parser.add_argument(
        "--to", metavar="SKILL|UNIT", required=True,
        help="a skill or a unit, by id, name or a beginning; a unit also by number",
    )  # fmt: skip
    add_day_option(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("way", way_arguments)
def run_way(args: argparse.Namespace) -> Exit:
    """Print the way."""
    studio, course = open_studio(args, args.student)
    record = pick_student(studio, args.student)
    day, calendar = day_asked(args.on, studio.today), studio.calendar(record.id)
    course = course.on(day)
    way = way_to(course, record, day, _target(course, args.to), calendar)
    if args.json:
        print(json.dumps(way_to_dict(way), ensure_ascii=False, indent=2))
    else:
        answer = judge(course, record, day, calendar)
        print(tell_way(way, answer, course, record, text_width()), end="")
    return Exit.READY


def _target(course: Course, typed: str) -> str:
    """Return the id of the skill or unit that is meant; what is typed in full before a beginning.

    Raises:
        CommandError: there is none, or it could be several.
    """
    skill, unit = named_skill(course, typed), find_unit(course, typed)
    if skill is not None or typed.strip().lower() in course.unit:
        return skill or typed.strip().lower()
    begun = find_skill(course, typed)
    if isinstance(begun, str) and isinstance(unit, str):
        both = f"the skill {begun} or the unit {unit_pair(course.unit[unit])}"
        raise CommandError(f'"{typed}" could be {both}; please type a little more.')
    if isinstance(begun, str):
        return begun
    if isinstance(unit, str):
        return unit
    refuse(one for one in (begun, unit) if one.id.startswith("ambiguous"))
    raise CommandError(f"{begun.message} Units go by number too, as in --to {len(course.units)}.")
