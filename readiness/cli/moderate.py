"""``readiness moderate``: where two teachers noted the same check differently."""

from __future__ import annotations

import argparse

from readiness.cli.commands import Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked, day_typed
from readiness.cli.entering import print_json
from readiness.cli.opening import add_studio_options, open_studio, print_problems
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.record.model import HELPS
from readiness.school.moderation import Criterion, moderation
from readiness.words.moderation import moderation_words


def moderate_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("--since", metavar="DATE", help="the first day looked at (default: all)")
    add_day_option(parser, "the last day looked at")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("moderate", moderate_arguments)
def run_moderate(args: argparse.Namespace) -> Exit:
    """Compare what two noted; files with problems come below, on the error stream, and are not counted."""
    studio, course = open_studio(args)
    since = None if args.since is None else day_typed(args.since, "--since")
    until = day_asked(args.on, studio.today)
    found = moderation(course, studio.records.values(), since, until)
    unread = sorted(one.path.name for one in studio.broken.values())
    if args.json:
        print_json({
            "since": iso(since), "on": iso(until), "checks": found.checks, "days": found.days,
            "pairs": found.pairs, "agreed": found.agreed, "kappa": found.kappa,
            "weighted_kappa": found.weighted, "too_few": found.too_few,
            "unread": len(unread), "unread_files": unread,
            "criteria": [_plain(one) for one in found.criteria],
        })  # fmt: skip
    else:
        print(moderation_words(found, course, text_width(), unread), end="", flush=True)
    print_problems(problem for one in studio.loaded for problem in one.problems)
    return Exit.WRONG if unread else Exit.READY


def _plain(one: Criterion) -> dict[str, object]:
    return {
        "skill": one.skill, "checks": one.checks, "days": one.days, "pairs": one.pairs,
        "agreed": one.agreed, "one_apart": one.one_apart, "too_few": one.too_few,
        "levels": [[HELPS[less], HELPS[more], times] for (less, more), times in one.levels],
    }  # fmt: skip
