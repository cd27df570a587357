"""The table of commands, what every command module offers, and what is said of a slip.

Adding a command is adding a row. The modules are loaded when a command is used, so that
help needs neither the models, the graph nor the screens.

What is said of a slip in the words of a command, as a person would say it.

The parser of the standard library finds the slip and says at which argument; its own wording is
for programmers and is not looked at. Each answer ends in how the command is written, or in what
was probably meant.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from enum import IntEnum, StrEnum
from importlib import import_module
from types import MappingProxyType
from typing import Any, Final, NamedTuple, NoReturn

from readiness.cli.output import as_sentence
from readiness.days import written_day
from readiness.toml.texts import did_you_mean
from readiness.words.grammar import listed

__all__ = [
    "COMMANDS", "FIRST", "HANDLERS", "Argument", "Command", "CommandError", "Exit", "Moment", "Parser",
    "Run", "command", "does_not_fit", "epilog", "how_it_is_written", "missing", "no_choice", "one_of",
    "option", "other_shape", "too_much",
]  # fmt: skip

_FEW: Final = 4  # so many choices are still worth writing out
_OPTIONS_AT_MOST: Final = 20
_A_DAY: Final = 738_000  # whether something is a day does not hang on today

_SAME_AS: Final = MappingProxyType({
    **dict.fromkeys(("wrist", "arm", "finger", "fingers", "thumb", "elbow", "shoulder", "hands"), "hand"),
    **dict.fromkeys(("throat", "singing", "hoarse"), "voice"),
    **dict.fromkeys(("back", "neck", "head", "body", "everything", "both"), "all"),
    **dict.fromkeys(("parent", "parents", "mother", "father", "mum", "dad", "home", "carer"), "family"),
    **dict.fromkeys(("student", "pupil", "kid"), "child"),
    **dict.fromkeys(("employer", "director", "coordinator", "head-teacher"), "school"),
    **dict.fromkeys(("on", "up", "next"), "move"),
    **dict.fromkeys(("wait", "not-yet", "repeat"), "stay"),
})
"""What people say, and the choice that means it, where it is one of the choices."""


def too_much(words: Sequence[str], parser: argparse.ArgumentParser) -> str:
    """Return what to say of words that a command has no use for."""
    options = [name for action in parser._actions for name in action.option_strings]
    unknown = [word.partition("=")[0] for word in words if word.startswith("-")]
    hints = [_perhaps(did_you_mean(name, options), parser) for name in unknown]
    told = [f"there is no option {name} here{hint}" for name, hint in zip(unknown, hints, strict=True)]
    if not told:
        told = [f'"{words[0]}" is one word too many; words that belong together stand in quotes.']
    return f"{' '.join(told)} It is written `{how_it_is_written(parser)}`. {_see(parser)}"


def _day_apart(words: Sequence[str], parser: argparse.ArgumentParser) -> None:
    """Refuse a day of which several words stand behind its option, and say how it is typed."""
    options = {name for one in parser._actions if one.metavar == "DATE" for name in one.option_strings}
    for at, name in enumerate(words):
        for count in (3, 2) if name in options else ():
            first, day = "".join(words[at + 1 : at + 2]), " ".join(words[at + 1 : at + 1 + count])
            if written_day(first, _A_DAY) is None and written_day(day, _A_DAY) is not None:
                raise CommandError(f'words that belong together stand in quotes: {name} "{day}"')


def _perhaps(hint: str, parser: argparse.ArgumentParser) -> str:
    """Return what was probably meant, else which options there are."""
    if hint:
        return f"; {hint}"
    own = [one.option_strings[-1] for one in parser._actions if one.option_strings and one.dest != "help"]
    return f"; there are {listed(own)}." if 1 < len(own) <= _OPTIONS_AT_MOST else "."


def how_it_is_written(parser: argparse.ArgumentParser) -> str:
    """Return a command with its words (in brackets what may be left out) and the options it must have."""
    needed = [one for one in parser._actions if one.required or not one.option_strings]
    return " ".join([parser.prog, *map(_written, needed)])


def _written(action: argparse.Action) -> str:
    """Return one thing to type: an option with its value, or the value alone."""
    if action.option_strings:
        return f"{action.option_strings[-1]} {_value(action)}"
    return _value(action) if action.required else f"[{_value(action)}]"


def _value(action: argparse.Action) -> str:
    choices = [str(one) for one in action.choices or ()]
    value = "|".join(choices) if 0 < len(choices) <= _FEW else action.metavar or action.dest.upper()
    return " ".join(value) if isinstance(value, tuple) else value


def _name(action: argparse.Action) -> str:
    """Return what an argument is called in what is said: its options, or its word of the help."""
    if action.option_strings:
        return "/".join(action.option_strings)
    return action.metavar if isinstance(action.metavar, str) else action.dest


def _see(parser: argparse.ArgumentParser) -> str:
    return f"All about it: `{parser.prog} --help`"


def missing(parser: argparse.ArgumentParser, args: argparse.Namespace) -> str:
    """Return which words a command lacks, and how the whole is written."""
    lacking = [one for one in parser._actions if one.required and vars(args).get(one.dest) is None]
    said = f"{listed([_name(one) for one in lacking])} must be there" if lacking else "something is missing"
    return f"{said}: `{how_it_is_written(parser)}`. {_see(parser)}"


def no_choice(action: argparse.Action, typed: str, parser: argparse.ArgumentParser) -> str:
    """Return what can stand in place of a word that is not one of the choices."""
    choices = [str(one) for one in action.choices or ()]
    form = "" if action.option_strings else f" It is written `{how_it_is_written(parser)}`."
    same = _SAME_AS.get(typed.casefold(), next((one for one in choices if one in typed.casefold()), ""))
    hint = as_sentence(f'did you mean "{same}"?' if same in choices else did_you_mean(typed, choices))
    meant = f" {hint}" if hint else ""
    name, allowed = _name(action), listed(choices, "or")
    named = f'"{typed}" is not {allowed}' if "|" in name else f'{name} is {allowed}, not "{typed}"'
    return f"{named}.{meant}{form} {_see(parser)}"


def does_not_fit(name: str, parser: argparse.ArgumentParser) -> str:
    """Return what to say of an option that does not fit as it stands there, for whatever reason."""
    action = next((one for one in parser._actions if name == _name(one)), None)
    groups = (group._group_actions for group in parser._mutually_exclusive_groups)
    together = next((group for group in groups if action in group and len(group) > 1), None)
    if action is not None and action.nargs == 0 and together is None:
        return f"nothing can stand behind {name}. {_see(parser)}"
    if together is not None:
        return f"of {listed([_name(one) for one in together])} there can be one at a time. {_see(parser)}"
    return f"{name} does not fit there. It is written `{how_it_is_written(parser)}`. {_see(parser)}"


class Exit(IntEnum):
    """What the command line says to whoever started it."""

    READY = 0
    """The student may move on (also taking something along); the files are fine."""
    NOT_READY = 1
    """The student stays for now; or, for ``recheck``, something in an answer is not confirmed."""
    WRONG = 2
    """The files or the command are wrong; what to do is on the error stream."""
    OWN_ERROR = 70
    """The program itself has a mistake (the number is that of ``sysexits.h``, ``EX_SOFTWARE``)."""
    NOT_TOLD = 74
    """What was asked for is written, but nobody could be told (``EX_IOERR``): not to be done twice."""


class CommandError(Exception):
    """Why a command cannot be carried out, and what to do; empty where that has been said already."""


class Parser(argparse.ArgumentParser):
    """A parser whose errors are one sentence like all others, made where a slip is found."""

    _read = argparse.Namespace()
    shapes: argparse._MutuallyExclusiveGroup
    """The shapes that the answer of a command may have, of which one is taken at a time."""

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:  # noqa: ANN401 - as it is there
        """Keep what is read, so that it can be said which words are missing."""
        _day_apart(args or (), self)
        self._read = argparse.Namespace() if namespace is None else namespace
        return super().parse_known_args(args, self._read)

    def _get_formatter(self) -> Any:  # noqa: ANN401 - as it is there
        """Return what lays help out as wide as all other texts; that of the parser would ask for it anew."""
        from readiness.cli.output import text_width

        return self.formatter_class(prog=self.prog, width=text_width() - 2)  # type: ignore[call-arg]

    def error(self, message: str) -> NoReturn:  # noqa: ARG002 - it is written for programmers
        """Raise the sentence in place of printing the usage and leaving."""
        slip = sys.exc_info()[1]
        name = slip.argument_name if isinstance(slip, argparse.ArgumentError) else None
        raise CommandError(missing(self, self._read) if name is None else does_not_fit(name, self))

    def _check_value(self, action: argparse.Action, value: Any) -> None:  # noqa: ANN401 - whatever
        if action.choices is not None and value != [] and value not in action.choices:
            raise CommandError(no_choice(action, str(value), self))

    def _get_value(self, action: argparse.Action, arg_string: str) -> Any:  # noqa: ANN401 - whatever
        try:
            return super()._get_value(action, arg_string)
        except argparse.ArgumentError:
            told = f'{_name(action)} takes a whole number, not "{arg_string}"'  # no other type can be missed
            raise CommandError(f"{told}. {_see(self)}") from None

    def _match_argument(self, action: argparse.Action, arg_strings_pattern: str) -> int:
        try:
            return super()._match_argument(action, arg_strings_pattern)
        except argparse.ArgumentError:
            self._nothing_behind(action)

    def _get_values(self, action: argparse.Action, arg_strings: list[str]) -> Any:  # noqa: ANN401 - whatever
        """Refuse two hyphens as the value of an option, of which the parser would make a list of nothing."""
        if action.option_strings and action.nargs is None and arg_strings == ["--"]:
            self._nothing_behind(action)
        return super()._get_values(action, arg_strings)

    def _nothing_behind(self, action: argparse.Action) -> NoReturn:
        raise CommandError(f"something must stand behind {_name(action)}: {_written(action)}. {_see(self)}")


Argument = Callable[[Parser], object]
"""Adds an argument of a command, or a few that belong together, to its parser."""
Run = Callable[[argparse.Namespace], Exit]
"""Carries a command out."""
HANDLERS: Final[dict[str, tuple[tuple[Argument, ...], Run]]] = {}


def option(*names: str, **how: Any) -> Argument:  # noqa: ANN401 - as it is there
    """Return what adds an option, or a word, to a command; see ``argparse.ArgumentParser.add_argument``."""
    return lambda parser: parser.add_argument(*names, **how)


def other_shape(*names: str, **how: Any) -> Argument:  # noqa: ANN401 - as it is there
    """Return what adds another shape that an answer may have, of which one is taken at a time."""
    return lambda parser: parser.shapes.add_argument(*names, **how)


def one_of(*options: Argument) -> Argument:
    """Return what adds options of which one is taken at a time."""

    def add(parser: Parser) -> None:
        group: Any = parser.add_mutually_exclusive_group()
        for one in options:
            one(group)

    return add


def epilog(text: str) -> Argument:
    """Return what puts a text below the help of a command."""
    return lambda parser: setattr(parser, "epilog", text)


def command(name: str, *arguments: Argument) -> Callable[[Run], Run]:
    """Return a decorator for the function that carries out a command of the table, with its arguments."""

    def register(run: Run) -> Run:
        HANDLERS[name] = arguments, run
        return run

    return register


class Moment(StrEnum):
    """What a teacher is doing when a command is wanted: the groups of the help, in this order."""

    DECIDING = "deciding"
    BEFORE = "before a lesson"
    AFTER = "after it"
    TELLING = "telling"
    CARE = "care"
    COURSE = "the course"
    SCHOOL = "the school"
    FOLDER = "the folder"


class Command(NamedTuple):
    """One row of the table."""

    name: str
    moment: Moment
    help: str
    module: str

    def load(self) -> tuple[tuple[Argument, ...], Run]:
        """Return what adds its arguments, and what carries it out."""
        import_module(self.module)
        return HANDLERS[self.name]


_TABLE: Final = {
    Moment.DECIDING: (
        ("browse", "screens", "the screens: students, reasons, lessons, the course"),
        ("serve", "screens", "the same screens in a browser on this machine"),
        ("why", "why", "may a student move up, and why not yet"),
        ("when", "ahead", "the earliest possible date, and how long similar cases took"),
        ("changed", "compare", "why the verdict has changed, and since when"),
        ("roster", "school", "every student in one list, in order of name"),
        ("recheck", "why", "calculate an answer a second time, from the files alone"),
    ),
    Moment.BEFORE: (
        ("today", "school", "who comes, what is not noted, what is due, who waits"),
        ("plan", "lesson", "the next lesson in minutes"),
        ("sheet", "lesson", "the check, line by line; also as a page to print"),
        ("back", "ahead", "after a break: what to look at first, how to go on"),
        ("review", "ahead", "what to look at again soon, and the least that is enough"),
        ("season", "ahead", "a big day or a long break ahead"),
        ("together", "lesson", "what two students can do together"),
        ("way", "ahead", "the way to a skill or a unit"),
        ("pocket", "school", "who comes this week, as one page for a phone"),
        ("calendar", "import_table", "lessons to come as a calendar; holidays from a school's"),
        ("place", "students", "where a new student starts, asked in few looks"),
    ),
    Moment.AFTER: (
        ("note", "note", "note what was shown in a lesson"),
        ("import", "import_table", "notes, students and units from a table you have"),
        ("enter", "note", "note a sheet filled in on paper, by its codes"),
        ("shown", "compare", "the latest lesson, and what it changed"),
        ("undo", "entries", "take back what was noted last"),
        ("correct", "note", "something was noted wrongly: it no longer counts"),
        ("move-note", "note", "something was noted for the wrong student"),
        ("decide", "entries", "keep what you decided, beside the verdict"),
        ("task", "entries", "home tasks: list, give, report"),
        ("promise", "entries", "promises: list, give, answer"),
        ("consent", "students", "agreed by the family, or not"),
    ),
    Moment.TELLING: (
        ("tell", "tell", "draft words for the student, the family or the school"),
        ("handover", "lesson", "the one page for a substitute, safety first"),
        ("share", "students", "what one reader may see"),
    ),
    Moment.CARE: (
        ("pause", "entries", "something hurts: no playing until an adult says so"),
        ("resume", "entries", "end a pause, by a named adult"),
    ),
    Moment.COURSE: (
        ("check", "course", "mistakes in a course"),
        ("course", "course_files", "add a skill, a unit or a strand to a course, or tidy its files"),
        ("compare", "compare", "what an edit or another course changes, and for whom"),
        ("watch", "compare", "while a course is edited: after each save, what is different from the start"),
        ("retire", "compare", "what taking a skill out, renaming or merging it would do"),
        ("exchange", "course", "a course to and from GraphML or JSON of items and links"),
        ("editor", "course_files", "a language server: an editor says what is wrong as you type"),
        ("map", "course", "the skill graph as a picture, with a student on it"),
    ),
    Moment.SCHOOL: (
        ("ask", "school", "a question over the whole studio: who is ready, stuck, due"),
        ("moderate", "school", "where two teachers noted the same check differently"),
        ("network", "school", "many schools: gather under codes, judge, count"),
    ),
    Moment.FOLDER: (
        ("start", "studio", "make a studio folder"),
        ("enrol", "students", "a new student"),
        ("particulars", "students", "stop sign, seat, own words: list or change them"),
        ("forget", "students", "delete everything about a student who left"),
        ("doctor", "studio", "mistakes in the files of a studio, and how to correct them"),
        ("backup", "studio", "one sealed archive of the whole studio"),
        ("restore", "studio", "bring back lost files from a backup, and nothing else"),
    ),
}
"""The commands by the moment they are for: name, module, and what it answers."""
COMMANDS: Final = tuple(
    Command(name, moment, words, f"readiness.cli.{module}")
    for moment, rows in _TABLE.items()
    for name, module, words in rows
)
FIRST: Final = ("start", "enrol", "note", "why", "plan")
"""What a new teacher needs first, in the order in which it is needed."""
