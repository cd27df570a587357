"""The three streams of the process, whatever they are joined to: closed, full, or left by their reader.

What cannot be printed is told by one error of its own, so that it is never taken for a mistake in a file;
what cannot be said on the error stream is dropped, and the exit code still says it.
"""

from __future__ import annotations

import io
import os
import sys
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer

__all__ = ["NotToldError", "give_up_output", "open_streams"]

_NAMES: Final = ("stdin", "stdout", "stderr")


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
    for number, name in enumerate(_NAMES):
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
