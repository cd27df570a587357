"""What was seen, as plain values: one student's record.

Made from a file that has been checked (``record.load``). Days are day numbers
(``readiness.days``). Every entry keeps the line it stands on, so that every reason can
name its source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Final, NamedTuple

from readiness.later import Later
from readiness.record.rhythm import Rhythm
from readiness.record.seen import Seen, seen_in

__all__ = [
    "HELPS", "BandChoice", "Decision", "Hold", "Lesson", "Placing", "Promise", "Record",
    "SetAside", "Settled", "Showing", "Task", "UnitStart", "is_id",
]

HELPS: Final = ("alone", "cue", "model", "hands-on", "not-shown")
"""Help from least to most (rule R1). The order is that of published prompting ladders."""


_ID: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")


def is_id(text: str) -> bool:
    """Return whether a text may serve as a student's id, and so as the name of a file.

    >>> is_id("temwa"), is_id("../temwa"), is_id("")
    (True, False, False)
    """
    return _ID.fullmatch(text) is not None


class Showing(NamedTuple):
    """One skill noted in one lesson: ``help`` is an index into HELPS. A school has very many."""

    skill: str
    help: int
    line: int


@dataclass(frozen=True, slots=True)
class Lesson:
    """One ``[[lesson]]`` block."""

    on: int
    showings: tuple[Showing, ...] = ()
    not_tried: tuple[str, ...] = ()
    by: str = ""
    note: str = ""
    remarks: Mapping[str, str] = field(default_factory=dict)
    line: int = 0


@dataclass(frozen=True, slots=True)
class UnitStart:
    """The student began a unit."""

    unit: str
    on: int
    line: int = 0


@dataclass(frozen=True, slots=True)
class Settled:
    """Everything of the units up to and including ``through`` was secure on that day."""

    through: str
    on: int
    line: int = 0


@dataclass(frozen=True, slots=True)
class Hold:
    """Paused for care: no playing until an adult closes it."""

    opened: int
    words: str
    part: str
    closed: int | None = None
    closed_by: str = ""
    closed_words: str = ""
    since: int | None = None
    line: int = 0

    def is_open(self, day: int) -> bool:
        """Return whether the hold is open on a day (rule R7, verdict 1)."""
        return self.opened <= day and (self.closed is None or self.closed > day)

    def covers(self, day: int) -> bool:
        """Return whether a day is under the hold (rule R1a)."""
        begun = day > self.opened if self.since is None else day >= self.since
        return begun and (self.closed is None or day < self.closed)


@dataclass(frozen=True, slots=True)
class SetAside:
    """A skill neither asked for nor counted, by agreement."""

    skill: str
    on: int
    agreed_with: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class BandChoice:
    """The teacher sets another band than the age gives, with a reason."""

    band: str
    on: int
    reason: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Decision:
    """What the teacher decided, beside what was computed."""

    on: int
    unit: str
    computed: str
    decided: str
    reason: str = ""
    line: int = 0
    until: int | None = None


@dataclass(frozen=True, slots=True)
class Task:
    """Home practice."""

    given: int
    for_skill: str
    text: str
    minutes_day: int = 0
    days_planned: int = 0
    days_reported: int | None = None
    reported: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Promise:
    """Something promised to somebody."""

    given: int
    to: str
    text: str
    due: int | None = None
    answered: int | None = None
    answer: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Placing:
    """A transfer student's placing lesson."""

    on: int
    confirmed: int | None = None
    line: int = 0


@dataclass(frozen=True)
class Record(Later):
    """Everything kept about one student. ``id`` is the file's name without its ending.

    Where a student takes several courses this is the file as one of them sees it
    (``record.several``): ``whole`` is then the file itself, and holds of the parts in
    ``elsewhere`` are not among ``holds``.
    """

    id: str
    name: str
    born: int
    family: str = field(default_factory=str)
    home_keys: int | None = field(default_factory=lambda: None)
    rhythm: Rhythm | None = field(default_factory=lambda: None)
    consents: Mapping[str, bool] = field(default_factory=dict)
    unit_starts: tuple[UnitStart, ...] = field(default_factory=tuple)
    settled: tuple[Settled, ...] = field(default_factory=tuple)
    lessons: tuple[Lesson, ...] = field(default_factory=tuple)
    holds: tuple[Hold, ...] = field(default_factory=tuple)
    set_aside: tuple[SetAside, ...] = field(default_factory=tuple)
    band_choices: tuple[BandChoice, ...] = field(default_factory=tuple)
    decisions: tuple[Decision, ...] = field(default_factory=tuple)
    tasks: tuple[Task, ...] = field(default_factory=tuple)
    promises: tuple[Promise, ...] = field(default_factory=tuple)
    placings: tuple[Placing, ...] = field(default_factory=tuple)
    path: Path | None = None
    elsewhere: frozenset[str] = frozenset()
    whole: Record | None = None

    @cached_property
    def seen(self) -> Seen:
        """What judging looks at."""
        return seen_in(self)

    @property
    def entire(self) -> Record:
        """Return all the file holds, for whoever counts its blocks."""
        return self.whole or self

    def resting(self, day: int) -> tuple[Hold, ...]:
        """Return the open holds that pause another course; here that part of the body rests."""
        return tuple(one for one in self.entire.holds if one.part in self.elsewhere and one.is_open(day))
