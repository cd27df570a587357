"""A check sheet as a value: items, what was left out, and the counts of the instrument."""

from __future__ import annotations

from dataclasses import dataclass

from readiness.planning.placing.round import PlacingRound
from readiness.record.model import Said

__all__ = ["Expected", "LeftOut", "Sheet", "SheetItem"]


@dataclass(frozen=True, slots=True)
class Expected:
    """The right answers for the instrument in use; None where the number of keys does not tell.

    ``singles`` are the black keys whose group is cut off, by name and end.
    """

    keys: int | None
    twos: int | None
    threes: int | None
    stray: int | None
    singles: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class SheetItem:
    """One item of the sheet.

    Attributes:
        skills: one, or several seen in one glance; none where the student chooses.
        why: sure-success, always-look, blocker, group, one-thing, look-first, beneath (what lies lowest
            under these), rest, fading, between, favourite, patch, stopped, probe, care or if-comfortable.
        quiet, hard: see ``planning.character``.
        expected: the right answers, for counting groups of black keys.
    """

    skills: tuple[str, ...]
    why: str
    quiet: bool
    hard: bool
    expected: Expected | None = None


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Why a skill is not on the sheet.

    ``why`` is certain, no-room, comes-with (``by`` is the skill of that item), optional,
    set-aside, on-hold, or footing (it was never asked for, and ``by`` has to come first); in a placing
    look also seen, or implied (something that stands on it was shown).
    """

    skill: str
    why: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A check sheet. ``instrument`` has the counts also where no item asks for them.

    ``said`` is the latest remark on each skill. ``proved`` says that no other order of the items is better.
    ``placing`` is where the start of a student who is not placed stands, None for any other.
    """

    items: tuple[SheetItem, ...]
    left_out: tuple[LeftOut, ...]
    proved: bool
    minutes: int
    most_items: int
    instrument: Expected
    cautions: tuple[str, ...]
    said: tuple[Said, ...] = ()
    placing: PlacingRound | None = None
