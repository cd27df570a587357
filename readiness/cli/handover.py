"""``readiness handover ID``: the one page for a substitute, as a text, as JSON or as a page to print.

This is the teacher's own page and it is whole; where no consent is noted, it says so at the
top. What may be given away without consent is made by ``readiness share``.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from readiness.cli.commands import Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.page_file import write_file
from readiness.cli.saying import aside, text_width
from readiness.judging.engine import judge
from readiness.pages.document import MADE_BY, PAPERS
from readiness.pages.sections import sections_page
from readiness.planning.handover import hand_over
from readiness.planning.handover_json import handover_to_dict
from readiness.record.sharing import as_if_agreed
from readiness.words.cautions import caution
from readiness.words.handover import handover_sections, tell_handover
from readiness.words.phrases import Phrases


def handover_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a student's id, its beginning, or the given name")
    add_day_option(parser)
    kind = parser.add_mutually_exclusive_group()
    kind.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    kind.add_argument("--html", metavar="FILE", type=Path, help="write a page to print to this file")
    parser.add_argument("--paper", choices=list(PAPERS), default="a4", help="the paper (default: a4)")
    add_studio_options(parser)


@command("handover", handover_arguments)
def run_handover(args: argparse.Namespace) -> Exit:
    """Print the page, or write it."""
    studio, course = open_studio(args, args.student)
    record = pick_student(studio, args.student)
    day, calendar = day_asked(args.on, studio.today), studio.calendar(record.id)
    answer = judge(course, record, day, calendar)
    page = hand_over(course, record, answer, studio.events)
    sharing = as_if_agreed(record, "substitute", day)
    say = Phrases(answer, course, record)
    if args.json:
        print(json.dumps(handover_to_dict(page, answer, sharing), ensure_ascii=False, indent=2))
    elif args.html is not None:
        sections = handover_sections(page, say, sharing)
        write_file(args.html, sections_page("Hand-over page", sections, args.paper), MADE_BY)
    else:
        print(tell_handover(page, say, sharing, text_width()), end="", flush=True)
        aside(caution("C8"))
    return Exit.READY
