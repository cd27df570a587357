"""What the shell may offer while a command is typed, by argcomplete where that is installed.

Students are those of the studio found, skills and units those of its course; ``register-python-argcomplete``
switches it on. Nothing here is loaded when a command is carried out.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import chain
from pathlib import Path
from types import MappingProxyType
from typing import Final

from readiness.course.load import load_course
from readiness.studio.find import Location, StudioNotFoundError, find_studio
from readiness.studio.load import student_files

__all__ = ["complete", "offered"]


def complete(parser_for: Callable[[Sequence[str]], argparse.ArgumentParser]) -> None:
    """Answer the shell and leave; without argcomplete offer nothing.

    Args:
        parser_for: makes the parser of the command that the words typed so far name.
    """
    try:
        from argcomplete import autocomplete, lexers
        from argcomplete.completers import BaseCompleter, FilesCompleter
    except ModuleNotFoundError:
        return

    class NamesCompleter(BaseCompleter):
        """Names where files have them, and files where a file is asked for."""

        def __call__(
            self, *, prefix: str, action: argparse.Action, parsed_args: argparse.Namespace, **_: object
        ) -> Iterable[str]:
            return FilesCompleter()(prefix) if action.type is Path else offered(action, prefix, parsed_args)

    line, point = os.environ.get("COMP_LINE", ""), int(os.environ.get("COMP_POINT", "0"))
    autocomplete(parser_for(lexers.split_line(line, point)[3][1:]), default_completer=NamesCompleter())


def offered(action: argparse.Action, prefix: str, args: argparse.Namespace) -> list[str]:
    """Return the names an argument may have, as far as files say; for all others none.

    Args:
        action: the argument, which says by its word in the help what it takes.
        prefix: the word as far as it is typed; before its last comma stand names that are chosen already.
        args: what is typed already, where the studio may be named.
    """
    takes = action.metavar if isinstance(action.metavar, str) else ""
    if takes not in _NAMES:
        return []
    typed = vars(args)
    course, students = typed.get("course"), typed.get("students")
    try:
        names = sorted(_NAMES[takes](find_studio(course, students, Path.cwd(), os.environ)))
    except (StudioNotFoundError, OSError):  # the command itself will say so
        return []
    chosen, comma, _ = prefix.rpartition(",")
    return [f"{chosen}{comma}{name}" for name in names]


def _taught(where: Location) -> tuple[Iterable[str], Iterable[str]]:
    """Return the skills of the course, and its units; none of either where it has a mistake."""
    course = load_course(where.course).course if where.course is not None else None
    return ((), ()) if course is None else (course.skill, course.unit)


_NAMES: Final[Mapping[str, Callable[[Location], Iterable[str]]]] = MappingProxyType({
    **dict.fromkeys(("ID", "A", "B"), lambda where: [
        path.stem for path in (student_files(where.students) if where.students is not None else ())
    ]),
    **dict.fromkeys(("SKILL", "SKILLS"), lambda where: _taught(where)[0]),
    "UNIT": lambda where: _taught(where)[1],
    "SKILL|UNIT": lambda where: chain(*_taught(where)),
})
