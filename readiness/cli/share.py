"""``readiness share ID --for READER``: what one reader may see, and nothing else.

Without ``--for`` it tells the teacher who may see what.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.page_file import write_file
from readiness.cli.saying import aside, text_width
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.planning.handover import Handover, hand_over
from readiness.planning.handover_json import handover_to_dict
from readiness.record.kept import kept_to_dict
from readiness.record.sharing import CONSENT_FOR, Sharing, may_see
from readiness.words.cautions import caution
from readiness.words.letter_school import school_sentences
from readiness.words.phrases import Phrases
from readiness.words.share import overview_words, share_words


def share_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a student's id, its beginning, or the given name")
    parser.add_argument("--for", dest="reader", choices=list(CONSENT_FOR), help="who it is for")
    add_day_option(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    parser.add_argument("--to", metavar="FILE", type=Path, help="write it to this new file")
    add_studio_options(parser)


@command("share", share_arguments)
def run_share(args: argparse.Namespace) -> Exit:
    """Print what may be shared, or write it."""
    studio, course = open_studio(args, args.student)
    record = pick_student(studio, args.student)
    day, calendar = day_asked(args.on, studio.today), studio.calendar(record.id)
    answer = judge(course, record, day, calendar)
    say = Phrases(answer, course, record)
    if args.reader is None:
        if args.json or args.to is not None:
            raise CommandError(f"please say who it is for: --for {', '.join(CONSENT_FOR)}.")
        sharings = {reader: may_see(record, reader, day) for reader in CONSENT_FOR}
        print(overview_words(sharings, say, text_width()), end="")
        return Exit.READY
    sharing = may_see(record, args.reader, day)
    page = hand_over(course, record, answer, studio.events)
    if args.json:
        text = json.dumps(_as_dict(sharing, say, page, answer), ensure_ascii=False, indent=2) + "\n"
    else:
        text = share_words(sharing, say, page, text_width())
    if args.to is not None:
        write_file(args.to, text)
    else:
        print(text, end="", flush=True)
        aside(caution("C8"))
    return Exit.READY


def _as_dict(sharing: Sharing, say: Phrases, page: Handover, answer: Answer) -> dict[str, object]:
    """Return what a reader may see as plain values."""
    if sharing.reader == "substitute":
        return handover_to_dict(page, answer, sharing)
    found: dict[str, object] = {
        "format": 1,
        "for": sharing.reader,
        "consent_noted": sharing.is_given,
        "student": answer.student if sharing.may("name") else None,
        "on": iso(answer.on),
        "left_out": list(sharing.left_out),
    }
    if sharing.reader == "family" and sharing.sees:
        found["kept"] = kept_to_dict(say.record.entire)
    elif sharing.sees:
        found["sentences"] = list(school_sentences(say, answer.name))
    return found
