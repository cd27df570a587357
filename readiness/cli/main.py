"""The way in: finds the command, carries it out, and turns every trouble into one sentence.

No traceback for anything a person can type or any file they can have. Data goes to the
output, everything else to the error stream. There is no colour, so ``NO_COLOR`` needs no care.
"""

from __future__ import annotations

import argparse
import errno
import gc
import io
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Final, NoReturn

from readiness import __version__
from readiness.cli.commands import COMMANDS, FIRST, Command, CommandError, Exit, Moment, Parser, Run
from readiness.cli.output import as_sentence, aside, at_a_terminal, text_width
from readiness.toml.texts import wrapped
from readiness.words.grammar import asked_with

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer

__all__ = ["NotToldError", "give_up_output", "main", "open_streams", "run"]

# The three streams of the process, whatever they are joined to: closed, full, or left by their reader.
#
# What cannot be printed is told by one error of its own, so that it is never taken for a mistake in a file;
# what cannot be said on the error stream is dropped, and the exit code still says it.


class NotToldError(OSError):
    """The output takes nothing more."""


class _Output(io.FileIO):
    """The output of the process; every trouble with it is a :class:`NotToldError`."""

    def write(self, data: ReadableBuffer, /) -> int:
        try:
            return super().write(data) or 0
        except OSError as error:
            raise NotToldError(error.errno, error.strerror) from None


class _Errors(io.FileIO):
    """The error stream of the process; there is nowhere to say that nothing can be said."""

    def write(self, data: ReadableBuffer, /) -> int:
        try:
            return super().write(data) or 0
        except OSError:
            return memoryview(data).nbytes


def open_streams() -> None:
    """Make the streams such that all of them are there and write the same bytes on every terminal.

    A stream that is closed is opened on nothing: what is opened later would else get its number, and a
    message could end up in a file. What a test has put in their place is left alone.
    """
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        if getattr(sys, name) is None:
            _open_on_nothing(number)
    if sys.stdin is None:
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115 - for as long as the process
    if _is_the_process_own(sys.stdout, 1):
        sys.stdout = _text(_Output(1, "w", closefd=False), is_terminal=os.isatty(1))
    if _is_the_process_own(sys.stderr, 2):
        sys.stderr = _text(_Errors(2, "w", closefd=False), is_terminal=True)


def give_up_output() -> None:
    """Let what could not be printed go, or the process would stumble over it once more when it ends."""
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _open_on_nothing(number: int) -> None:
    """Give a closed stream's number to a file that is read at its end, and that nothing can be written to."""
    nothing = os.open(os.devnull, os.O_RDONLY)
    if nothing != number:
        os.dup2(nothing, number)
        os.close(nothing)


def _is_the_process_own(stream: object, number: int) -> bool:
    if sys.platform == "win32" and os.isatty(number):  # pragma: no cover - letters go another way there
        return False
    try:
        return stream is None or (isinstance(stream, io.TextIOWrapper) and stream.fileno() == number)
    except (OSError, ValueError):
        return False


def _text(raw: io.FileIO, *, is_terminal: bool) -> io.TextIOWrapper:
    """Return a stream of UTF-8; what cannot be written is escaped."""
    return io.TextIOWrapper(
        io.BufferedWriter(raw), encoding="utf-8", errors="backslashreplace", line_buffering=is_terminal
    )


_INTERRUPTED: Final = 130
_NOBODY_READS: Final = 141
_ABOUT: Final = (
    'Answers "why not move up?" for young piano beginners, with reasons that can be checked. '
    "`readiness` alone opens the screens; `readiness COMMAND --help` says all about a command."
)
_CODES: Final = (
    "exit codes: 0 ready, 1 not ready, 2 the files or the command are wrong, 70 the program itself has a "
    "mistake, 74 what was asked for is written, but nobody could be told (please do not do it again)."
)
_STUDIO: Final = (
    "The studio is found by --course and --students, else by READINESS_STUDIO, else by a studio.toml in this "
    "folder or above it, else it is the demo that comes with the program."
)


def run() -> NoReturn:
    """Carry out the command of this process and leave with its code."""
    if "_ARGCOMPLETE" in os.environ:  # the shell asks what could be typed next
        from readiness.cli.completion import complete

        complete(lambda words: _parser(_chosen(words), every=True)[0])
    gc.set_threshold(100_000)  # what holds itself ends with the process, nearly always
    code = main(sys.argv[1:])
    gc.freeze()
    sys.exit(code)


def main(argv: Sequence[str]) -> int:
    """Carry out one command; return its :class:`Exit`, 130 or 141 when interrupted or cut off, as usual."""
    open_streams()
    try:
        code = _answered(list(argv))
    except NotToldError as error:
        code = _not_told(error)
    except Exception as error:  # whatever it is, it is one sentence and no answer
        code = _own_mistake(error)
    asked_with()  # whatever this process says next was not asked with these folders
    give_up_output()
    return code


def _answered(argv: list[str]) -> int:
    """Carry out a command to its last printed word; what stands in the way is said."""
    try:
        code = int(_carry_out(argv))
        sys.stdout.flush()
    except CommandError as error:
        if str(error):
            aside(str(error))
        code = Exit.WRONG
    except KeyboardInterrupt:
        code = _INTERRUPTED
    except NotToldError:
        raise
    except OSError as error:  # a folder without access, a full disk
        where = f" ({error.filename})" if error.filename else ""
        aside(f"{error.strerror or error}{where}.")
        code = Exit.WRONG
    sys.stdout.flush()
    return code


def _not_told(error: NotToldError) -> int:
    """Say that the output takes nothing more: after a write that is most of what a person must know."""
    from readiness.toml.write import WRITTEN

    why = (error.strerror or str(error)).lower()
    if WRITTEN.is_set():
        aside(f"it is written, but the answer could not be printed ({why}). Please do not do it again.")
        return Exit.NOT_TOLD
    if error.errno == errno.EPIPE:
        return _NOBODY_READS
    aside(f"the answer could not be printed ({why}).")
    return Exit.WRONG


def _own_mistake(error: Exception) -> int:
    """Say where this program has a mistake; with ``python -X dev`` all of it is shown."""
    if sys.flags.dev_mode:
        raise error
    from pathlib import Path  # here and below: help has no need of it
    from traceback import extract_tb

    from readiness.toml.write import WRITTEN

    *_, last = extract_tb(error.__traceback__)
    where = f"{type(error).__name__} in {Path(last.filename).name}, line {last.lineno}"
    written = " What was asked for is written; please do not do it again." if WRITTEN.is_set() else ""
    aside(f"this program has a mistake ({where}). Please tell whoever looks after it.{written}")
    return Exit.OWN_ERROR


def _carry_out(argv: list[str]) -> int:
    if not argv and at_a_terminal():
        argv = ["browse"]
    argv = ["review", *argv[1:]] if argv[:1] == ["fading"] else argv  # as it was called before
    argv = [*argv[1:], "--help"] if argv[:1] == ["help"] else argv
    command, chosen = _command(argv), _chosen(argv)
    if command is not None and chosen is None:
        from readiness.toml.texts import did_you_mean

        hint = did_you_mean(command, [one.name for one in COMMANDS])
        every = "All of them: `readiness --help`"
        raise CommandError(f'there is no command "{command}". {as_sentence(hint, every)}')
    parser, own, carry_out = _parser(chosen)
    try:
        args = _read(argv, command, parser, own)
    except SystemExit as leaving:  # --help and --version have printed and leave
        return int(leaving.code or 0)
    except CommandError as slip:
        if command != "pause":
            raise
        from readiness.words.entries import unpaused_words

        raise CommandError(unpaused_words(str(slip))) from None  # what comes first in a pause, all the same
    if carry_out is None:
        parser.print_help(sys.stderr)
        return Exit.WRONG
    from readiness.toml.write import WRITTEN

    WRITTEN.clear()
    asked_with(getattr(args, "course", None), getattr(args, "students", None))
    return carry_out(args)


def _read(argv: Sequence[str], command: str | None, parser: Parser, own: Parser) -> argparse.Namespace:
    """Return what was typed, also words behind an option, which argparse passes by; refuse all others."""
    args: argparse.Namespace
    args, more = parser.parse_known_args(argv)
    if more and command is not None:
        rest = [*argv]
        rest.remove(command)
        with suppress(CommandError):  # where they fit nowhere, the first reading is told
            args, more = own.parse_known_intermixed_args(rest)
    if more:
        from readiness.cli.commands import too_much

        raise CommandError(too_much(more, own))
    return args


def _command(words: Sequence[str]) -> str | None:
    return next((word for word in words if not word.startswith("-")), None)


def _chosen(words: Sequence[str]) -> Command | None:
    return next((one for one in COMMANDS if one.name == _command(words)), None)


def _help() -> str:
    """Return what there is to do: the commands a new teacher needs first, the others by their moment."""
    groups = [("to begin with", [one for name in FIRST for one in COMMANDS if one.name == name])]
    groups += [
        (moment, [one for one in COMMANDS if one.moment is moment and one.name not in FIRST])
        for moment in Moment
    ]
    width, column = text_width(), max(len(one.name) for one in COMMANDS) + 4
    lines = wrapped(_ABOUT, width)
    for title, rows in groups:
        lines += ["", f"{title}:"]
        for row in rows:
            lines += wrapped(row.help, width, first=f"  {row.name}".ljust(column), later=" " * column)
    for paragraph in (_CODES, _STUDIO):
        lines += ["", *wrapped(paragraph, width)]
    return "\n".join(lines)


def _parser(chosen: Command | None, *, every: bool = False) -> tuple[Parser, Parser, Run | None]:
    """Return the parser with the chosen command (``every``: and the names of all), and that command's own."""
    parser = Parser(
        prog="readiness",
        usage="readiness [--help] [--version] [COMMAND ...]",
        description=_help() if chosen is None else None,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"readiness {__version__}")
    rows = parser.add_subparsers(prog="readiness", metavar="COMMAND", help=argparse.SUPPRESS)
    carry_out: Run | None = None
    own = parser
    for row in COMMANDS if every else filter(None, [chosen]):
        told = f"{row.help[0].upper()}{row.help[1:]}."
        one = rows.add_parser(row.name, help=row.help, description=told, allow_abbrev=False)
        if row is chosen:
            own, (arguments, carry_out) = one, row.load()
            for add in arguments:
                add(own)
    return parser, own, carry_out
