"""The table of commands, and what every command module offers.

Adding a command is adding a row. The modules are loaded when a command is used, so that
help needs neither the models, the graph nor the screens.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum
from importlib import import_module
from typing import Any, Final, NoReturn

__all__ = ["COMMANDS", "HANDLERS", "Command", "CommandError", "Exit", "Parser", "Run", "command"]


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
    """The command cannot be carried out; the text says why and what to do.

    An empty text means that everything has been said already.
    """


class Parser(argparse.ArgumentParser):
    """A parser whose errors are one sentence like all others."""

    def error(self, message: str) -> NoReturn:
        """Raise the sentence in place of printing the usage and leaving."""
        from readiness.cli.usage_errors import said_of

        raise CommandError(said_of(message, self))

    def _get_values(self, action: argparse.Action, arg_strings: list[str]) -> Any:  # noqa: ANN401 - whatever
        """Refuse two hyphens as the value of an option, of which the parser would make a list of nothing."""
        if action.option_strings and action.nargs is None and arg_strings == ["--"]:
            self.error(f"argument {'/'.join(action.option_strings)}: expected one argument")
        return super()._get_values(action, arg_strings)


Arguments = Callable[[Parser], None]
"""Adds the arguments of a command to its parser."""
Run = Callable[[argparse.Namespace], Exit]
"""Carries a command out."""
HANDLERS: Final[dict[str, tuple[Arguments, Run]]] = {}


def command(name: str, arguments: Arguments) -> Callable[[Run], Run]:
    """Return a decorator for the function that carries out a command of the table."""

    def register(run: Run) -> Run:
        HANDLERS[name] = arguments, run
        return run

    return register


@dataclass(frozen=True, slots=True)
class Command:
    """One row of the table."""

    name: str
    help: str
    module: str

    def load(self) -> tuple[Arguments, Run]:
        """Return what adds its arguments, and what carries it out."""
        import_module(self.module)
        return HANDLERS[self.name]


COMMANDS: Final = (
    Command("browse", "the screens: students, reasons, lessons, the course", "readiness.cli.screens"),
    Command("serve", "the same screens in a browser on this machine", "readiness.cli.screens"),
    Command("why", "may a student move up, and why not yet", "readiness.cli.why"),
    Command("roster", "every student in one list, in order of name", "readiness.cli.school"),
    Command("ask", "a question over the whole studio: who is ready, stuck, due", "readiness.cli.school"),
    Command("moderate", "where two teachers noted the same check differently", "readiness.cli.school"),
    Command("sheet", "the check, line by line; also as a page to print", "readiness.cli.lesson"),
    Command("plan", "the next lesson in minutes", "readiness.cli.lesson"),
    Command("tell", "draft words for the child, the family or the school", "readiness.cli.lesson"),
    Command("review", "what to look at again soon, and the least that is enough", "readiness.cli.ahead"),
    Command("when", "the earliest possible date, and how long similar cases took", "readiness.cli.ahead"),
    Command("back", "after a break: what to look at first, how to go on", "readiness.cli.ahead"),
    Command("way", "the way to a skill or a unit", "readiness.cli.ahead"),
    Command("changed", "why the verdict has changed, and since when", "readiness.cli.changes"),
    Command("together", "what two students can do together", "readiness.cli.lesson"),
    Command("season", "a big day or a long break ahead", "readiness.cli.ahead"),
    Command("handover", "the one page for a substitute, safety first", "readiness.cli.lesson"),
    Command("share", "what one reader may see", "readiness.cli.students"),
    Command("map", "the skill graph as a picture, with a student on it", "readiness.cli.course"),
    Command("compare", "what an edit or another course changes, and for whom", "readiness.cli.compare"),
    Command("watch", "while a course is edited: what each save changes for whom", "readiness.cli.compare"),
    Command("retire", "what taking a skill out, renaming or merging it would do", "readiness.cli.compare"),
    Command("exchange", "a course to and from GraphML or JSON of items and links", "readiness.cli.course"),
    Command("check", "mistakes in a course", "readiness.cli.course"),
    Command("doctor", "mistakes in the files of a studio, and how to correct them", "readiness.cli.studio"),
    Command("recheck", "calculate an answer a second time, from the files alone", "readiness.cli.recheck"),
    Command("place", "where a new student starts, asked in few looks", "readiness.cli.place"),
    Command("note", "note what was shown in a lesson", "readiness.cli.note"),
    Command("shown", "the latest lesson, and what it changed", "readiness.cli.changes"),
    Command("undo", "take back what was noted last", "readiness.cli.entries"),
    Command("decide", "keep what you decided, beside the verdict", "readiness.cli.entries"),
    Command("pause", "something hurts: no playing until an adult says so", "readiness.cli.entries"),
    Command("resume", "end a pause, by a named adult", "readiness.cli.entries"),
    Command("task", "home tasks: list, give, report", "readiness.cli.entries"),
    Command("consent", "agreed by the family, or not", "readiness.cli.students"),
    Command("promise", "promises: list, give, answer", "readiness.cli.entries"),
    Command("start", "make a studio folder", "readiness.cli.studio"),
    Command("backup", "one sealed archive of the whole studio", "readiness.cli.studio"),
    Command("restore", "bring back lost files from a backup, and nothing else", "readiness.cli.studio"),
    Command("enrol", "a new student", "readiness.cli.students"),
    Command("particulars", "stop sign, seat, own words: list or change them", "readiness.cli.particulars"),
    Command("forget", "delete everything about a student who left", "readiness.cli.students"),
)
