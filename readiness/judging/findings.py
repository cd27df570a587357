"""The reasons of a verdict: a tree of small named facts.

Each kind of finding is one frozen dataclass with a stable kebab-case ``id``. Leaves are exactly what a
teacher can act on, and every leaf names its source: a line of the student's file, of the pacing file or of
the skill graph. Inner findings only collect. A finding never holds a sentence.
"""

from __future__ import annotations

from typing import ClassVar

from readiness.lazy import dataclass, fields_of
from readiness.record.model import as_told
from readiness.terms import State
from readiness.toml.problems import Place

__all__ = [
    "AfterHold", "Away", "Finding", "GroupOpen", "HoldOpen", "NeededBy", "NotPlaced", "NoteSeen",
    "NumbersUsed", "Rule", "SettledOn", "SkillOpen", "TakenAlong", "TooManyOpen", "UnderHold", "WarmedBy",
    "finding_to_dict",
]  # fmt: skip


@dataclass(frozen=True)
class Finding:
    """What all findings share: where it is written, and what it rests on."""

    id: ClassVar[str] = "finding"
    place: Place | None
    because: tuple[Finding, ...]


@dataclass(frozen=True)
class NoteSeen(Finding):
    """Leaf: on this day the skill was shown with this help (line of the student's file)."""

    id: ClassVar[str] = "note"
    skill: str
    day: int
    help: int
    counts: bool


@dataclass(frozen=True)
class SettledOn(Finding):
    """Leaf: everything up to a unit was secure on a day (line of the student's file)."""

    id: ClassVar[str] = "settled"
    through: str
    day: int


@dataclass(frozen=True)
class WarmedBy(Finding):
    """Leaf: kept warm by the use of another skill on a day (line of the student's file)."""

    id: ClassVar[str] = "kept-warm"
    skill: str
    by: str
    day: int


@dataclass(frozen=True)
class Rule(Finding):
    """Leaf: a number of the pacing that decided (line of the pacing file).

    ``default`` is the shipped number; ``changed_by`` is empty unless the file says.
    """

    id: ClassVar[str] = "rule"
    rule: str
    band: str
    value: object
    default: object
    changed: bool
    changed_by: str
    basis: str


@dataclass(frozen=True)
class NeededBy(Finding):
    """Leaf: a skill of the next unit stands on the subject (line of the skill graph)."""

    id: ClassVar[str] = "needed-by"
    skill: str
    by: str


@dataclass(frozen=True)
class SkillOpen(Finding):
    """A skill that is not secure. ``deciding`` says whether it blocks by itself."""

    id: ClassVar[str] = "skill-open"
    skill: str
    state: State
    deciding: bool


@dataclass(frozen=True)
class GroupOpen(Finding):
    """Too few of a group are secure; ``because`` has one SkillOpen a member."""

    id: ClassVar[str] = "group-open"
    at_least: int
    of: tuple[str, ...]
    gap: bool


@dataclass(frozen=True)
class TooManyOpen(Finding):
    """More of the rest is open, or a gap, than may come along."""

    id: ClassVar[str] = "too-many-open"
    skills: tuple[str, ...]
    gaps_only: bool


@dataclass(frozen=True)
class TakenAlong(Finding):
    """What is open and comes along; few enough, and nothing of the next unit stands on it."""

    id: ClassVar[str] = "taken-along"
    skills: tuple[str, ...]


@dataclass(frozen=True)
class NumbersUsed(Finding):
    """All numbers of the pacing that this verdict used; ``because`` has one Rule each."""

    id: ClassVar[str] = "numbers"


@dataclass(frozen=True)
class HoldOpen(Finding):
    """Paused for care (line of the student's file)."""

    id: ClassVar[str] = "hold-open"
    opened: int
    part: str


@dataclass(frozen=True)
class UnderHold(Finding):
    """What was noted while a hold was open: kept and told, never counted (rule R1a); a NoteSeen each."""

    id: ClassVar[str] = "under-a-hold"
    skills: tuple[str, ...]


@dataclass(frozen=True)
class AfterHold(Finding):
    """A hold was closed, and too few lessons with playing came since (line of the student's file)."""

    id: ClassVar[str] = "after-a-hold"
    closed: int
    lesson_days: int
    needed: int


@dataclass(frozen=True)
class Away(Finding):
    """On a break, or the first lesson after one: no move that day."""

    id: ClassVar[str] = "away"
    kind: str
    days: int
    last_lesson: int


@dataclass(frozen=True)
class NotPlaced(Finding):
    """No unit has been started; the answer is where to start."""

    id: ClassVar[str] = "not-placed"


def finding_to_dict(finding: Finding) -> dict[str, object]:
    """Return a finding and all below it as plain JSON values.

    ``away`` shows its kind as its id. Works with an explicit stack's worth of depth only
    as deep as findings go (four), so recursion is safe here.
    """
    result: dict[str, object] = {"id": finding.kind if isinstance(finding, Away) else finding.id}
    for name, value in fields_of(finding):
        if name not in ("place", "because", "kind"):
            result[name] = as_told(name, value)
    if finding.place is not None:
        result["file"] = finding.place.file.name
        result["line"] = finding.place.line
    if finding.because:
        result["because"] = [finding_to_dict(child) for child in finding.because]
    return result
