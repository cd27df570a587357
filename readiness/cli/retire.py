"""``readiness retire``: what taking a skill out, renaming, splitting or merging would do."""

from __future__ import annotations

import argparse
import json

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.compare import open_with_course
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.entering import skill_typed
from readiness.cli.opening import add_studio_options, say_unread
from readiness.cli.saying import text_width
from readiness.course.finding import named_skill
from readiness.files.problems import errors, render
from readiness.words.page import lay_out
from readiness.words.retiring import retiring_sections
from readiness.words.who_changes import comparison_sections
from readiness.words.workbench import refusal_words
from readiness.workbench.as_json import retiring_to_dict
from readiness.workbench.edits import EditError
from readiness.workbench.retiring import retiring


def retire_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument(
        "skills", metavar="SKILL", nargs="+", help="the skill's id or name; several are merged"
    )
    parser.add_argument(
        "--into", metavar="SKILL", action="append", default=[],
        help="what takes its place: one new id renames it, two split it; one that is there merges it in",
    )  # fmt: skip
    add_day_option(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("retire", retire_arguments)
def run_retire(args: argparse.Namespace) -> Exit:
    """Say what would happen, and which lines to write; nothing is written."""
    studio, course = open_with_course(args.course, args.students)
    skills = tuple(dict.fromkeys(skill_typed(course, one) for one in args.skills))
    into = tuple(dict.fromkeys(named_skill(course, one) or one for one in args.into))
    if len(skills) > 1 and len(into) != 1:
        raise CommandError("several skills are merged into one: please give one --into SKILL.")
    try:
        found = retiring(studio, skills, into, day_asked(args.on, studio.today))
    except EditError as error:
        raise CommandError(f"{error}{'' if str(error).endswith('?') else '.'}") from None
    code = Exit.READY if found.trial.course is not None else Exit.WRONG
    if args.json:
        print(json.dumps(retiring_to_dict(found), ensure_ascii=False, indent=2))
        return say_unread(studio, code)
    trial = found.trial
    print(lay_out(retiring_sections(found, course), text_width()), end="")
    for problem in trial.problems:
        print(f"\n{render(problem, width=text_width())}")
    if trial.course is None or trial.comparison is None:
        wrong = len(errors(trial.problems))
        print(f"\n{refusal_words(wrong, len(trial.problems) - wrong)}", end="")
    else:
        print(
            "\n" + lay_out(comparison_sections(trial.comparison, course, trial.course), text_width()), end=""
        )
    return say_unread(studio, code)
