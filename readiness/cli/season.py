"""``readiness season ID``: a big day or a long break ahead, what now and what waits."""

from __future__ import annotations

import argparse
import json

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, day_asked, day_typed, looks_like_a_day
from readiness.cli.opening import add_studio_options, open_studio, pick_student
from readiness.cli.saying import text_width
from readiness.days import iso
from readiness.files.suggest import did_you_mean
from readiness.judging.engine import judge
from readiness.planning.big_day import prepare
from readiness.planning.calendar_json import season_to_dict
from readiness.planning.season import event_on, events_ahead
from readiness.record.rhythm import Event
from readiness.studio.load import Studio
from readiness.words.season import tell_season


def season_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a student's id, its beginning, or the given name")
    parser.add_argument(
        "--event",
        metavar="DATE|NAME",
        help="the day, or an event of studio.toml (default: the next one there)",
    )
    add_day_option(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("season", season_arguments)
def run_season(args: argparse.Namespace) -> Exit:
    """Tell what comes before the event and what waits."""
    studio, course = open_studio(args, args.student)
    record = pick_student(studio, args.student)
    on, calendar = day_asked(args.on, studio.today), studio.calendar(record.id)
    event = _event(args.event, studio, on)
    answer = judge(course, record, on, calendar)
    day = prepare(course, record, answer, event)
    if args.json:
        print(json.dumps(season_to_dict(day, answer), ensure_ascii=False, indent=2))
    else:
        print(tell_season(day, answer, course.on(on), record, text_width()), end="")
    return Exit.READY


def _event(typed: str | None, studio: Studio, on: int) -> Event:
    """Return the event that is meant; it lies ahead.

    Raises:
        CommandError: there is none, or it is past.
    """
    ahead = events_ahead(studio.events, on)
    if typed is None:
        if not ahead:
            raise CommandError("no event lies ahead in studio.toml. Please name a day: --event DATE")
        return ahead[0]
    if looks_like_a_day(typed):
        day = day_typed(typed, "--event")
        if day <= on:
            raise CommandError(f"{iso(day)} is not after the day asked about, {iso(on)}.")
        return event_on(day, ahead)
    low = typed.casefold()
    found = [one for one in ahead if one.name.casefold().startswith(low)]
    if not found:
        names = [one.name for one in ahead]
        hint = did_you_mean(typed, names) or "--event also takes a day such as 2025-12-19"
        raise CommandError(f'no event ahead in studio.toml is called "{typed}"; {hint.rstrip(".")}.')
    return found[0]
