"""``readiness particulars ID``: what whoever teaches this student has to know, listed or changed.

The same is asked for when a student is enrolled. At a terminal, without anything to change, each is asked
for with the words that stand; the large key leaves them. Only what changes is changed in the file.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from dataclasses import asdict, field
from types import MappingProxyType
from typing import Final

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.context import student_options
from readiness.cli.day import day_meant
from readiness.cli.inputs import open_entry, refuse, respond, sides, skill_typed
from readiness.cli.keys import Keys, is_terminal
from readiness.course.model import Course
from readiness.days import iso
from readiness.lazy import dataclass
from readiness.record.enrol import agreed_text
from readiness.record.model import Alternative, Particulars, Record, Told
from readiness.record.noting import odd_letters
from readiness.record.particulars import change_particulars
from readiness.words.share import particulars_words

__all__ = ["MAY_BE_LEFT_OUT", "Own", "add_own_options", "own_asked", "own_typed"]

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
MAY_BE_LEFT_OUT: Final = "All of this may be left out: Enter goes on, Ctrl-D leaves out the rest."
_ASKS: Final = "Enter leaves what stands, - takes it out, Ctrl-D leaves all the rest."


def add_own_options(parser: Parser) -> None:
    """Add what can be known of a student."""
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


@dataclass(frozen=True)
class Own:
    """What was typed of a student's own particulars.

    ``changed`` are words by the names of ``Particulars``, those that were typed; empty words take out.
    """

    changed: Mapping[str, str] = field(default_factory=dict)
    alternatives: tuple[Alternative, ...] = ()
    told: tuple[Told, ...] = ()

    @property
    def said(self) -> Iterator[str]:
        """All the words."""
        agreed = (*map(asdict, self.alternatives), *map(asdict, self.told))
        yield from self.changed.values()
        yield from (words for one in agreed for words in one.values() if isinstance(words, str))


@command(
    "particulars",
    student_options("the day from which a way is agreed, or on which somebody was told"),
    add_own_options,
)
def run_particulars(args: argparse.Namespace) -> Exit:
    """List the particulars, or change them."""
    typed = any(getattr(args, name) is not None for name in (*_PARTICULARS, "alternative", "told"))
    asks = not typed and not args.json and is_terminal()
    entry = open_entry(args, writes=typed or asks)
    own = own_typed(args, entry.course, entry.on)
    if asks:
        print(_ASKS)
        own = own_asked(args, own, entry.course, entry.on, entry.record.particulars)
    if not (own.changed or own.alternatives or own.told):
        return _say(args, entry.record, None)
    entry.check_day()
    refuse(odd_letters(*own.said, also="\n\t"))
    blocks = agreed_text(own.alternatives, own.told)
    refuse(change_particulars(entry.record, entry.folder, own.changed, blocks))
    return _say(args, entry.again(), entry.record)


def _say(args: argparse.Namespace, record: Record, before: Record | None) -> Exit:
    return respond(args, lambda: {
        "student": record.id, "particulars": asdict(record.particulars),
        "alternatives": [{**asdict(one), "on": iso(one.on)} for one in record.alternatives],
        "told": [{"to": one.to, "what": one.what, "on": iso(one.on)} for one in record.told],
    }, particulars_words(record, before))  # fmt: skip


def own_typed(args: argparse.Namespace, course: Course, on: int) -> Own:
    """Return what was typed on the command line; ``on`` is the day of what was agreed and told.

    Raises:
        CommandError: something typed is not written as it has to be.
    """
    typed = {name: getattr(args, name) for name in _PARTICULARS}
    return Own(
        {name: words.strip() for name, words in typed.items() if words is not None},
        tuple(_alternatives(args, course, on)),
        tuple(Told(*sides(text, '--told takes WHO="a few words"'), on) for text in args.told or ()),
    )


def own_asked(
    args: argparse.Namespace, own: Own, course: Course, on: int, before: Particulars | None = None
) -> Own:
    """Ask for what was not typed; nobody has to answer. ``before`` is what stands, to be left or changed."""
    changed, ways, told = dict(own.changed), own.alternatives, own.told
    try:
        for name, what in _PARTICULARS.items():
            stands = getattr(before, name) if before else ""
            if getattr(args, name) is None and (words := _ask(f"{what} ({stands})" if stands else what)):
                changed[name] = "" if stands and words == "-" else words
        if args.alternative is None and (skill := _ask_skill(course)):
            way, who = _needed("in which way"), _needed("agreed with whom")
            ways = (Alternative(skill, way, who, _ask_day("since when", on)),)
        if args.told is None and (who := _ask("who was told something about the student (not the name)")):
            told = (Told(who, _needed("told what"), _ask_day("told when", on)),)
    except EOFError:
        print()
    return Own(changed, ways, told)


def _alternatives(args: argparse.Namespace, course: Course, on: int) -> Iterator[Alternative]:
    if args.alternative and not args.agreed_with.strip():
        raise CommandError("please say with --agreed-with who agreed to --alternative.")
    for typed in args.alternative or ():
        skill, text = sides(typed, '--alternative takes SKILL="a few words"')
        yield Alternative(skill_typed(course, skill), text, args.agreed_with.strip(), on)


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
            day = day_meant(typed, "this", on, when=-1)
        except CommandError as error:
            print(f"  {error}")
            continue
        if day <= on:
            return day
        print(f"  {iso(day)} has not come yet.")
    return on
