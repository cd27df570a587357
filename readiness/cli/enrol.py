"""``readiness enrol ID``: a new student, with the few fields that are needed.

The student's own particulars may all be left out. At a terminal each that was not typed is asked for
once, and the large key goes on.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from readiness.cli.commands import CommandError, Exit, Parser
from readiness.cli.day import add_day_option, born_typed, day_asked, day_typed, latest_day
from readiness.cli.entering import never_the_demo, open_entry, print_json, refuse, skill_typed, whole
from readiness.cli.keys import Keys, is_terminal
from readiness.cli.opening import add_studio_options, open_studio
from readiness.cli.place import ask_now
from readiness.cli.saying import text_width
from readiness.course.finding import find_unit
from readiness.course.model import Course
from readiness.days import iso
from readiness.record.enrol import NewStudent, check_new, enrol
from readiness.record.load import load_record
from readiness.record.model import Alternative, Particulars, Told
from readiness.words.keeping import enrolled_words

__all__ = ["configure", "run"]

_PARTICULARS: Final[Mapping[str, str]] = MappingProxyType({
    "stop": "the stop sign or word",
    "bench": "how high the bench is",
    "footrest": "how high the footrest is",
    "distance": "how the distance to the keys is found",
    "words": "own words for things",
    "upsets": "what upsets",
    "collects": "who collects (a relation, no name)",
})
"""What can be known of a student, by the names of ``Particulars``, as it is asked for."""
_MAY_BE_LEFT_OUT: Final = "All of this may be left out: Enter goes on, Ctrl-D leaves out the rest."


def configure(parser: Parser) -> None:
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
    for name, what in _PARTICULARS.items():
        parser.add_argument(f"--{name}", metavar="WORDS", help=what)
    parser.add_argument(
        "--alternative", metavar="SKILL=WORDS", action="append",
        help="another way of showing a skill (may be given several times)",
    )  # fmt: skip
    parser.add_argument("--agreed-with", metavar="WHO", default="", help="who agreed to --alternative")
    parser.add_argument(
        "--told", metavar="WHO=WORDS", action="append",
        help="who was told what that day (may be given several times)",
    )  # fmt: skip
    add_day_option(parser, "the first day")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_studio_options(parser)


def run(args: argparse.Namespace) -> Exit:
    """Make the file."""
    if args.unit and args.placing:
        raise CommandError("a placing lesson finds the unit; please take --unit or --placing, not both.")
    studio, course = open_studio(args)
    never_the_demo(studio.where, args)
    assert studio.where.students is not None
    on = day_asked(args.on, studio.today)
    if on > latest_day(studio.today):
        raise CommandError(f"{iso(on)} has not come yet; enrol on the first day, or leave out --on.")
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
        particulars=Particulars(**{name: (getattr(args, name) or "").strip() for name in _PARTICULARS}),
        alternatives=tuple(_alternatives(args, course, on)),
        told=tuple(Told(*pair, on) for pair in _pairs(args.told, "--told", "WHO")),
    )
    if is_terminal() and not args.json:
        refuse(check_new(course, new, studio.where.students))
        new = _by_asking(args, new, course)
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


def _alternatives(args: argparse.Namespace, course: Course, on: int) -> Iterator[Alternative]:
    if args.alternative and not args.agreed_with.strip():
        raise CommandError("please say with --agreed-with who agreed to --alternative.")
    for skill, text in _pairs(args.alternative, "--alternative", "SKILL"):
        yield Alternative(skill_typed(course, skill), text, args.agreed_with.strip(), on)


def _pairs(typed: list[str] | None, option: str, first: str) -> Iterator[tuple[str, str]]:
    """Yield both sides of what was typed with an equals sign between.

    Raises:
        CommandError: one side is missing.
    """
    for text in typed or ():
        before, _, after = (part.strip() for part in text.partition("="))
        if not before or not after:
            raise CommandError(f'{option} takes {first}="a few words", and "{text}" is not that.')
        yield before, after


def _by_asking(args: argparse.Namespace, new: NewStudent, course: Course) -> NewStudent:
    """Ask for the particulars that were not typed; nobody has to answer."""
    print(_MAY_BE_LEFT_OUT)
    try:
        for name, what in _PARTICULARS.items():
            if getattr(args, name) is None:
                new = replace(new, particulars=replace(new.particulars, **{name: _ask(what)}))
        if args.alternative is None and (skill := _ask_skill(course)):
            agreed = Alternative(skill, _needed("in which way"), _needed("agreed with whom"), new.on)
            new = replace(new, alternatives=(replace(agreed, on=_ask_day("since when", new.on)),))
        if args.told is None and (who := _ask("who was told something about the student (not the name)")):
            told = Told(who, _needed("told what"), _ask_day("told when", new.on))
            new = replace(new, told=(told,))
    except EOFError:
        print()
    return new


def _ask(what: str) -> str:
    """Return what was answered, without spaces around it; empty where nothing was.

    Raises:
        EOFError: nobody wants to be asked any more.
    """
    typed = Keys().line(f"  {what}: ")
    if typed is None:
        raise EOFError
    return typed.strip()


def _needed(what: str) -> str:
    while not (typed := _ask(what)):
        pass
    return typed


def _ask_skill(course: Course) -> str:
    while typed := _ask("a skill that is shown in another way by agreement"):
        try:
            return skill_typed(course, typed)
        except CommandError as error:
            print(f"  {error}")
    return ""


def _ask_day(what: str, on: int) -> int:
    """Return a day up to ``on``, which it is where nothing was answered."""
    while typed := _ask(f"{what} (Enter: {iso(on)})"):
        try:
            day = day_typed(typed, "this")
        except CommandError as error:
            print(f"  {error}")
            continue
        if day <= on:
            return day
        print(f"  {iso(day)} has not come yet.")
    return on


def _unit(course: Course, typed: str) -> str:
    """Return the unit that was typed; one that is none stays, to be refused with all else."""
    unit = find_unit(course, typed) if typed else ""
    return unit if isinstance(unit, str) else typed
