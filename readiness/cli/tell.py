"""``readiness tell ID child|family|school``: a draft for one reader. Nothing is sent."""

from __future__ import annotations

import argparse
import json

from readiness.cli.commands import Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.judging.engine import judge
from readiness.words.letters import READERS, letter, letter_words


def tell_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a student's id, its beginning, or the given name")
    readers = "who the draft is for: child, family or school"
    parser.add_argument("reader", metavar="READER", choices=list(READERS), help=readers)
    add_day_option(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("tell", tell_arguments)
def run_tell(args: argparse.Namespace) -> Exit:
    """Print the draft."""
    studio, course = open_studio(args, args.student)
    record = pick_student(studio, args.student)
    day = day_asked(args.on, studio.today)
    answer = judge(course, record, day, studio.calendar(record.id))
    draft = letter(args.reader, answer, course, record)
    if args.json:
        found = {
            "format": 1,
            "student": record.id,
            "on": iso(day),
            "for": draft.reader,
            "sentences": list(draft.sentences),
            "before_use": list(draft.after),
        }
        print(json.dumps(found, ensure_ascii=False, indent=2))
    else:
        print(letter_words(draft, text_width()), end="")
    return Exit.READY
