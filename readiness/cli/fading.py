"""``readiness fading ID``: what turns stale in the coming days, and what keeps it fresh."""

from __future__ import annotations

import argparse
import json

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.judging.engine import judge
from readiness.planning.after_break import AfterBreak, after_break
from readiness.planning.fading import DAYS, Fading, fading
from readiness.words.fading import tell_fading

MOST = 366


def fading_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a student's id, its beginning, or the given name")
    add_day_option(parser)
    parser.add_argument("--days", metavar="N", default=str(DAYS), help=f"how far to look (default: {DAYS})")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("fading", fading_arguments)
def run_fading(args: argparse.Namespace) -> Exit:
    """Tell what fades."""
    if not args.days.isascii() or not args.days.isdigit() or not 1 <= int(args.days) <= MOST:
        raise CommandError(f'--days takes a number from 1 to {MOST}, and "{args.days}" is none.')
    studio, course = open_studio(args, args.student)
    record = pick_student(studio, args.student)
    answer = judge(course, record, day_asked(args.on, studio.today), studio.calendar(record.id))
    found = fading(course, record, answer.on, int(args.days))
    back = after_break(course, record, answer)
    if args.json:
        print(json.dumps(_to_dict(found, back, record.id), ensure_ascii=False, indent=2))
    else:
        print(tell_fading(found, back, course.on(answer.on), record, text_width()), end="")
    return Exit.READY


def _to_dict(found: Fading, back: AfterBreak, student: str) -> dict[str, object]:
    return {
        "format": 1,
        "student": student,
        "on": iso(found.on),
        "until": iso(found.until),
        "paused": found.paused,
        "fading": [
            {
                "skill": one.skill,
                "last_seen": iso(one.last_seen),
                "fresh_until": iso(one.fresh_until),
                "decides": one.decides,
                "kept_by": list(one.kept_by),
                "task": one.task,
            }
            for one in found.skills
        ],
        "play": list(found.play),
        "due_already": [one.skill for one in back.due if not one.again],
    }
