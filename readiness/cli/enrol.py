"""``readiness enrol ID``: a new student, with the few fields that are needed.

The student's own particulars may all be left out. At a terminal each that was not typed is asked for
once, and the large key goes on.
"""

from __future__ import annotations

import argparse
from dataclasses import replace

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.day import add_day_option, born_typed, day_asked, day_typed, latest_day
from readiness.cli.entering import never_the_demo, open_entry, print_json, refuse, whole
from readiness.cli.keys import is_terminal
from readiness.cli.opening import add_studio_options, open_studio
from readiness.cli.particulars import MAY_BE_LEFT_OUT, add_own_options, own_asked, own_typed
from readiness.cli.place import ask_now
from readiness.cli.saying import text_width
from readiness.course.finding import find_unit
from readiness.course.model import Course
from readiness.days import iso
from readiness.record.enrol import NewStudent, check_new, enrol
from readiness.record.load import load_record
from readiness.record.model import Particulars
from readiness.words.keeping import enrolled_words


def enrol_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("student", metavar="ID", help="a short id of your own, also the name of the file")
    parser.add_argument("--name", metavar="NAME", required=True, help="a given name, or a code")
    parser.add_argument(
        "--born", metavar="YYYY-MM", required=True, help="the month is enough, a day is possible"
    )
    parser.add_argument("--family", metavar="NAME", default="", help="the same for brothers and sisters")
    parser.add_argument("--home-keys", metavar="N", help="how many keys the instrument at home has")
    parser.add_argument(
        "--unit", metavar="UNIT", default="", help="the unit that begins that day, by number, id or name"
    )
    parser.add_argument(
        "--placing", action="store_true", help="that day is a placing lesson; at a terminal it begins at once"
    )
    parser.add_argument("--delete-by", metavar="DATE", help="the day on which the file is to be deleted")
    add_own_options(parser)
    add_day_option(parser, "the first day")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


@command("enrol", enrol_arguments)
def run_enrol(args: argparse.Namespace) -> Exit:
    """Make the file."""
    if args.unit and args.placing:
        raise CommandError("a placing lesson finds the unit; please take --unit or --placing, not both.")
    studio, course = open_studio(args)
    never_the_demo(studio.where, args)
    assert studio.where.students is not None
    on = day_asked(args.on, studio.today)
    if on > latest_day(studio.today):
        raise CommandError(f"{iso(on)} has not come yet; enrol on the first day, or leave out --on.")
    own = own_typed(args, course, on)
    new = NewStudent(
        args.student,
        args.name.strip(),
        born_typed(args.born),
        on,
        family=args.family.strip(),
        home_keys=None if args.home_keys is None else whole(args.home_keys, "--home-keys", 0, 128),
        unit=_unit(course, args.unit),
        placing=args.placing,
        delete_by=None if args.delete_by is None else day_typed(args.delete_by, "--delete-by"),
        particulars=Particulars(**own.changed),
        alternatives=own.alternatives,
        told=own.told,
    )
    if is_terminal() and not args.json:
        refuse(check_new(course, new, studio.where.students))
        print(MAY_BE_LEFT_OUT)
        own = own_asked(args, own, course, on)
        new = replace(
            new, particulars=Particulars(**own.changed), alternatives=own.alternatives, told=own.told
        )
    refuse(enrol(course, new, studio.where.students))
    record = load_record(studio.where.students / f"{new.id}.toml", course).record
    assert record is not None
    if args.json:
        print_json({"student": record.id, "file": str(record.path), "cautions": ["C9"]})
    else:
        others = [one.id for one in studio.records.values() if one.name.casefold() == record.name.casefold()]
        goes_on = new.placing and is_terminal()
        print(enrolled_words(record, course, others, text_width(), goes_on=goes_on, day=args.on), end="")
        if goes_on:
            return ask_now(open_entry(args))
    return Exit.READY


def _unit(course: Course, typed: str) -> str:
    """Return the unit that was typed; one that is none stays, to be refused with all else."""
    unit = find_unit(course, typed) if typed else ""
    return unit if isinstance(unit, str) else typed
