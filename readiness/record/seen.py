"""What judging looks at in a record: days, skills, helps and lines, no word that anybody wrote.

Everything that is asked of a whole school is answered from this. It is small, it can be kept
between two readings (``studio.kept``), and where it is, no child's pain or remark is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Protocol, TypeVar

from readiness.later import Later
from readiness.record.rhythm import Rhythm

if TYPE_CHECKING:
    from readiness.record.model import (
        BandChoice,
        Decision,
        Hold,
        Placing,
        Promise,
        Record,
        SetAside,
        Settled,
        UnitStart,
    )

__all__ = ["WITHOUT_WORDS", "Note", "Seen", "latest", "one_a_day", "seen_in"]

WITHOUT_WORDS: Final = ("born", "rhythm", "unit_starts", "settled", "placings")
"""What is the same in a record and in what is seen of it, because nobody writes words there."""

Note = tuple[int, int, int]
"""A day, the help (an index into HELPS) and the line of the student's file."""


class _OnADay(Protocol):
    """An entry of a student's file that is about one day."""

    @property
    def on(self) -> int: ...


_Entry = TypeVar("_Entry", bound=_OnADay)


@dataclass(frozen=True)
class Seen(Later):
    """A record without words: the texts in its blocks are empty.

    Attributes:
        notes: by skill id, one note a day, oldest first (rule R1).
        lesson_lines: the day and the line of every lesson, in the order of the file.
    """

    born: int
    rhythm: Rhythm | None
    unit_starts: tuple[UnitStart, ...]
    settled: tuple[Settled, ...]
    holds: tuple[Hold, ...]
    set_aside: tuple[SetAside, ...]
    band_choices: tuple[BandChoice, ...]
    decisions: tuple[Decision, ...]
    promises: tuple[Promise, ...]
    placings: tuple[Placing, ...]
    lesson_lines: tuple[tuple[int, int], ...]
    lesson_days: tuple[int, ...]
    notes: Mapping[str, tuple[Note, ...]]


def seen_in(record: Record) -> Seen:
    """Return what judging looks at in a record."""
    lines = tuple((lesson.on, lesson.line) for lesson in record.lessons)
    return Seen(
        **{field: getattr(record, field) for field in WITHOUT_WORDS},
        holds=tuple(replace(one, words="", closed_by="", closed_words="") for one in record.holds),
        set_aside=tuple(replace(one, agreed_with="") for one in record.set_aside),
        band_choices=tuple(replace(one, reason="") for one in record.band_choices),
        decisions=tuple(replace(one, reason="") for one in record.decisions),
        promises=tuple(replace(one, to="", text="", answer="") for one in record.promises),
        lesson_lines=lines,
        lesson_days=tuple(sorted({day for day, _ in lines})),
        notes=one_a_day(
            (showing.skill, (lesson.on, showing.help, showing.line))
            for lesson in record.lessons
            for showing in lesson.showings
        ),
    )


def latest(entries: Iterable[_Entry]) -> _Entry | None:
    """Return the entry of the latest day, of equals the later in the file (rules, section 1)."""
    return max(enumerate(entries), key=lambda at: (at[1].on, at[0]), default=(0, None))[1]


def one_a_day(noted: Iterable[tuple[str, Note]]) -> dict[str, tuple[Note, ...]]:
    """Return, by skill, one note a day, oldest first: the one with most help (rule R1).

    Of two with as much help the one on the earlier line stays.

    >>> one_a_day([("wrist", (9, 0, 5)), ("wrist", (2, 0, 3)), ("wrist", (9, 1, 6))])
    {'wrist': ((2, 0, 3), (9, 1, 6))}
    """
    by_skill: dict[str, dict[int, Note]] = {}
    for skill, note in noted:
        of_skill = by_skill.setdefault(skill, {})
        held = of_skill.get(note[0])
        if held is None or (note[1], -note[2]) > (held[1], -held[2]):
            of_skill[note[0]] = note
    return {skill: tuple(sorted(of_skill.values())) for skill, of_skill in by_skill.items()}
