"""``readiness calendar``: lessons to come, checks, promises as a calendar; ``calendar import``: a school's.

What a school's calendar holds is shown with what it is taken for; nothing is written before ``--write``.
"""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import Final

from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import day_for, day_meant, locate_studio, open_studio, say_unread, studio_options
from readiness.cli.inputs import (
    never_the_demo,
    print_file,
    print_json,
    put_file,
    refuse,
    respond,
    taken,
    tell_written,
    whole,
)
from readiness.days import iso
from readiness.record.rhythm import FURTHEST, WEEK
from readiness.school.students import judge_all
from readiness.studio.feed import MADE_BY, calendar_text, codes, feed_events
from readiness.studio.load import Studio
from readiness.studio.school_calendar import KINDS, SchoolEvent, add_to_studio, new_in, read_calendar
from readiness.words.cautions import caution
from readiness.words.importing import calendar_words, feed_title

_EXTRA: Final = "making a calendar needs `pip install '.[calendar]'`."


@command(
    "calendar",
    option("what", metavar="import", nargs="?", choices=["import"], help="bring in FILE"),
    option("file", metavar="FILE", nargs="?", type=Path, help="a school's calendar (.ics)"),
    option("--to", metavar="FILE", type=Path, help="write the calendar to this file"),
    option("--weeks", metavar="N", default="12", help="so many weeks of lessons (default: 12)"),
    option("--names", action="store_true", help="given names in place of initials"),
    option("--write", action="store_true", help="put what was read into studio.toml"),
    option(
        "--as", dest="meant", metavar="NAME=KIND", action="append", default=[],
        help="what the events of a name are: holiday, lesson, lesson:ID, event or leave",
    ),
    option("--zone", metavar="ZONE", default="", help="whose days they are, as in Europe/Vienna"),
    option("--until", metavar="DATE", help="read so far ahead (default: a year)"),
    studio_options(),
)
def run_calendar(args: argparse.Namespace) -> Exit:
    """Write the calendar out, or bring one in."""
    if args.what is not None:
        return _bring_in(args)
    studio, course = open_studio(args)
    on = day_for(args, studio)
    until = on + WEEK * whole(args.weeks, "--weeks", 1, 104)
    records = list(studio.records.values())
    events = feed_events(course, judge_all(course, records, on, studio.calendar), until)
    called = {one.id: one.name for one in records} if args.names else codes(records)
    titles = [feed_title(one.kind, called[one.student]) for one in events]
    if args.json:
        told = [{"on": iso(one.day), "kind": one.kind, "title": title, "uid": one.uid}
                for one, title in zip(events, titles, strict=True)]  # fmt: skip
        print_json({"on": iso(on), "events": told})
        return say_unread(studio, Exit.READY)
    try:
        text = calendar_text(events, titles, studio.name or "readiness", on).decode()
    except ImportError:
        raise CommandError(_EXTRA) from None
    if args.to is None:
        print_file(text, "lessons.ics")
    else:
        put_file(args.to, text, MADE_BY)
        tell_written(f"{args.to} is written. {caution('C8')}")
    return say_unread(studio, Exit.READY)


def _bring_in(args: argparse.Namespace) -> Exit:
    if args.file is None:
        raise CommandError("please name the calendar, as in `readiness calendar import school.ics`.")
    where = locate_studio(args.course, args.students)
    if args.write:
        never_the_demo(where, args)
    studio, _ = open_studio(args)
    file = studio.where.file
    if file is None or file.value is None:
        raise CommandError("holidays and lesson days stand in studio.toml, and there is none here.")
    on = day_for(args, studio)
    until = args.until and day_meant(args.until, "--until", on, studio.date_order, 1)
    span = (on - FURTHEST, until or on + FURTHEST)
    found = taken(read_calendar(args.file, span, args.zone, _meant(args, studio), _called(studio)))
    blocks, lessons = new_in(file.value, found)
    if args.write and (blocks or lessons):
        refuse(add_to_studio(file.path, found))
    new = len(blocks) + sum(map(len, lessons.values()))
    to = file.path if args.write else None
    return respond(args, lambda: {
        "file": str(args.file), "events": [_as_dict(one) for one in found], "new": new,
        "written": bool(args.write and new),
    }, calendar_words(args.file, found, new, to))  # fmt: skip


def _meant(args: argparse.Namespace, studio: Studio) -> dict[str, str]:
    """Return what was said about events by their names."""
    said = {}
    for text in args.meant:
        name, _, kind = (part.strip() for part in text.rpartition("="))
        first, _, who = kind.partition(":")
        if not name or first not in KINDS or (who and first != "lesson"):
            kinds = ", ".join(KINDS)
            raise CommandError(f'--as takes NAME=KIND, a kind being {kinds}; "{text}" is not that.')
        if who and who not in studio.records:
            raise CommandError(f'there is no student "{who}"; after lesson: stands the whole id.')
        said[name] = kind
    return said


def _called(studio: Studio) -> dict[str, str]:
    """Return the ids by what students are called, as long as one alone is called so."""
    names = [one.name.casefold() for one in studio.records.values()]
    alone = {one.name: one.id for one in studio.records.values() if names.count(one.name.casefold()) == 1}
    return {**{one: one for one in studio.records}, **alone}


def _as_dict(event: SchoolEvent) -> dict[str, object]:
    days = [[date.fromordinal(day).isoformat() for day in span] for span in event.days]
    return {"name": event.name, "kind": event.kind, "who": event.who or None, "days": days}
