"""What stands above an answer about a whole school: what it lacks, how many are on it, whom it counts.

An empty list says that nobody is on it. For a reader outside no number here comes from fewer than
may be shown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from readiness.course.model import Course
from readiness.school.counts import FEW
from readiness.school.questions import Reply
from readiness.words.grammar import counted, listed, tidy
from readiness.words.school_rows import unit_words

__all__ = ["head_words", "lead_words", "students_words", "unread_words", "usual_words"]

_NOBODY: Final[Mapping[str, str]] = MappingProxyType({
    "ready": "Nobody is ready and waiting.",
    "look": "Nobody needs only a look.",
    "stuck": "Nobody is stuck: whatever was tried often has changed, or nothing was.",
    "paused": "Nobody is paused: no hold is open.",
    "due": "No check is due.",
    "where": "No skill is stuck or with help for anybody.",
    "time": "No unit was begun and left here yet.",
    "numbers": "",
    "promises": "Nothing is open: every promise is answered, every home task reported.",
})
_NOTHING_OUTSIDE: Final = f"Nothing here comes from {FEW} students or more, so nothing is shown."

FILES_AT_MOST: Final = 8
"""So many names of files stand at the top; where it is about who may not play, all do."""


def head_words(reply: Reply) -> tuple[str, ...]:
    """Return what stands above everything: that files could not be read; nothing where all could."""
    if reply.unread == 0:
        return ()
    if reply.outside:
        some = f"Fewer than {FEW}" if reply.unread is None else str(reply.unread)
        return (f"{some} student files could not be read; the counts lack them.",)
    return unread_words(reply.unread_files)


def unread_words(files: Sequence[str]) -> tuple[str, ...]:
    """Return that student files could not be read, which, and where it is said what to mend."""
    if not files:
        return ()
    names = [*map(tidy, files)]
    rest = [f"{len(names) - FILES_AT_MOST} more"] if len(names) > FILES_AT_MOST + 1 else []
    named = listed([*(names[:FILES_AT_MOST] if rest else names), *rest])
    missing = f"{counted(len(names), 'student file')} could not be read, so what stands below lacks "
    what = "it" if len(names) == 1 else "them"
    return (f"{missing}{what}: {named}. `readiness roster` says what to mend.",)


def lead_words(reply: Reply) -> Iterator[str]:
    """Yield what stands above the rows of an answer, that there are none included."""
    if not reply.rows:
        yield _nothing(reply)
    yield from _LEAD.get(reply.question, _no_lead)(reply)


def usual_words(reply: Reply, course: Course) -> Iterator[str]:
    """Yield the weeks the course gives where no case is; one sentence also for many units."""
    if len(reply.usual) == 1:
        ((unit, weeks),) = reply.usual
        given = counted(weeks, "week")
        yield f"The course gives {given} for {unit_words(course, unit)}. Nobody measured that."
    elif reply.usual and not reply.rows:
        every = [each for _, each in reply.usual]
        yield f"The course gives a unit {min(every)} to {counted(max(every), 'week')}. Nobody measured that."


def students_words(reply: Reply) -> str:
    """Return how many students are on a list."""
    return counted(len({row.student for row in reply.rows}), "student")


def _nothing(reply: Reply) -> str:
    if reply.outside:
        return _NOTHING_OUTSIDE
    if reply.question == "paused" and reply.unread:
        return "Nobody whose file could be read is paused."
    return _NOBODY[reply.question]


def _no_lead(reply: Reply) -> Iterator[str]:
    del reply
    yield from ()


def _list_lead(reply: Reply) -> Iterator[str]:
    if reply.rows and not reply.outside:
        yield f"{students_words(reply)}."


def _ready_lead(reply: Reply) -> Iterator[str]:
    if not reply.rows or reply.outside:
        return
    closes = sum(row.next_unit is None for row in reply.rows)
    stays = sum(row.stay_decided is not None for row in reply.rows)
    apart = f", {len(reply.rows) - closes} to move on and {closes} to close the last unit" if closes else ""
    decided = f" For {stays} of them the teacher decided to stay." if stays else ""
    yield f"{students_words(reply)}{apart}, the longest waiting first.{decided}"


def _stuck_lead(reply: Reply) -> Iterator[str]:
    if reply.rows and not reply.outside:
        yield f"{students_words(reply)}, {counted(len(reply.rows), 'skill')} in all."


def _paused_lead(reply: Reply) -> Iterator[str]:
    if reply.rows and not reply.outside:
        yield f"{students_words(reply)}, the longest paused first."
    if reply.unread_files:
        names = listed([*map(tidy, reply.unread_files)])
        who = "this student plays" if len(reply.unread_files) == 1 else "any of these students plays"
        yield f"Not known from {names}, which could not be read: please ask before {who}."


def _promised_lead(reply: Reply) -> Iterator[str]:
    over = sum(row.days_over is not None for row in reply.rows)
    if reply.rows:
        yield f"{students_words(reply)}; {over} overdue{', the longest first' if over > 1 else ''}."


def _where_lead(reply: Reply) -> Iterator[str]:
    if reply.rows and not reply.outside:
        yield f"{counted(len(reply.rows), 'skill')}."
    if reply.left_out == 0:
        yield "Paused students are left out; at present nobody is paused."
    elif reply.left_out is None:
        yield "Paused students are left out."
    else:
        yield f"Paused students are left out: {reply.left_out}."


def _time_lead(reply: Reply) -> Iterator[str]:
    if reply.rows:
        yield "The age is the age band when the unit began, as a teacher chose it where one did."


_LEAD: Final[Mapping[str, Callable[[Reply], Iterator[str]]]] = MappingProxyType({
    "paused": _paused_lead,
    "ready": _ready_lead,
    "stuck": _stuck_lead,
    "look": _list_lead,
    "due": _list_lead,
    "where": _where_lead,
    "time": _time_lead,
    "promises": _promised_lead,
})
