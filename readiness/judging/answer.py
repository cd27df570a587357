"""The answer to "is this student ready for the next unit?", as a value.

No sentences here: words are made from these values in ``readiness.words``, and a screen
shows them. The same question gives an equal answer every time. Days are day numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from readiness.judging.findings import Finding
from readiness.lazy import LazyFields, dataclass
from readiness.record.rhythm import Calendar, Season, is_dated
from readiness.terms import READY, State, Verdict

__all__ = [
    "GAP_STATES", "LESSONS_AFTER_A_HOLD", "OPEN_STATES", "Answer", "Blocker", "BroughtAlong", "DecisionNow",
    "Evidence", "Gap", "GroupStanding", "PlacingResult", "RecentHold", "Remark", "Standing", "days_missing",
]  # fmt: skip

GAP_STATES: Final = frozenset({State.WITH_HELP, State.NOT_SHOWN, State.SLIPPED})
"""States that say: tried, and not there (rule R6)."""

OPEN_STATES: Final = frozenset({State.UNTRIED, State.BUILDING, State.WOBBLING, State.STALE})
"""States that say: not known enough yet; a look may settle it (rule R6)."""


LESSONS_AFTER_A_HOLD: Final = 2
"""So many lesson days with playing come between a closing and a move (rule R7)."""


def days_missing(state: str, have: int, need: int) -> int:
    """Return how many days a skill still has to be shown on, at least.

    Args:
        state: as in rule R6; have, need: days on its list, and days it needs (rule R3).

    >>> days_missing("building", 2, 2)  # they lie too close together
    1
    """
    if state in (State.SECURE, State.SET_ASIDE):
        return 0
    return 1 if state in (State.WOBBLING, State.STALE) else max(1, need - have)


@dataclass(frozen=True)
class Gap:
    """A break that matters on the day asked about.

    ``kind`` is on-a-break or first-lesson-back; ``days`` is its length so far;
    ``last_lesson`` is the lesson before it.
    """

    kind: str
    days: int
    last_lesson: int


@dataclass(frozen=True)
class RecentHold:
    """A hold was closed a short while ago: ``lesson_days`` with playing since, of ``needed``."""

    closed: int
    line: int
    lesson_days: tuple[int, ...]
    needed: int = LESSONS_AFTER_A_HOLD


@dataclass(frozen=True)
class Evidence:
    """The note of one skill on one day (rule R1: of several, the one with most help).

    ``help`` is an index into ``readiness.record.HELPS``; ``counts`` says whether it is
    little enough help for the band (R2); ``line`` is that of the student's file.
    """

    day: int
    help: int
    counts: bool
    line: int


@dataclass(frozen=True)
class Standing:
    """Where one skill stands on the day asked about (rules R1 to R6).

    Attributes:
        state: secure, wobbling, stale, untried, slipped, building, not-shown, with-help or set-aside.
        have: days on the list of counting days (R3); need: days needed in this band.
        last_help: an index into HELPS, None without a note.
        last_seen: R4; fresh_until: the last day on which it is not stale.
        misses: days in a row, at the end, that did not count.
        secure_since: None when not secure.
        settled_on: the day of the ``settled`` block that covers it, else None; settled_line: its line.
        warmed_by: the skill whose use refreshed it last, when that is what ``last_seen`` is.
        evidence: the notes in scope, oldest first.
    """

    skill: str
    state: State
    have: int
    need: int
    last_note: int | None
    last_help: int | None
    last_seen: int | None
    fresh_until: int | None
    misses: int
    secure_since: int | None
    slipped: bool
    settled_on: int | None
    settled_line: int
    warmed_by: str | None
    evidence: tuple[Evidence, ...]

    @property
    def missing(self) -> int:
        """How many days it still has to be shown on, at least; their spread may ask for more (rule R3)."""
        return days_missing(self.state, self.have, self.need)


@dataclass(frozen=True)
class KeptBack:
    """A lesson on which there is no move although all could be there; on a break any day.

    ``because`` is on-a-break, first-lesson-back or after-a-hold (rule R7).
    """

    on: int
    because: str


@dataclass(frozen=True)
class GroupStanding:
    """An entry group of the next unit (rule R7). ``of`` is in graph order."""

    at_least: int
    of: tuple[str, ...]
    met: bool
    gap: bool
    needed_by: tuple[str, ...]


@dataclass(frozen=True)
class Blocker:
    """What keeps the student in the unit: one deciding skill, or one unmet group.

    For a skill, ``skill`` and ``state`` are set; for a group, ``group``. ``needed_by``
    names the skills of the next unit that stand on it (empty: looked at in every check).
    """

    needed_by: tuple[str, ...]
    skill: str | None = None
    state: State | None = None
    group: GroupStanding | None = None

    @property
    def key(self) -> object:
        """What is asked for, to tell whether another blocker asks for the same."""
        return self.skill if self.group is None else (self.group.at_least, self.group.of)

    @property
    def skills(self) -> tuple[str, ...]:
        """The skill, or the members of the group."""
        return self.group.of if self.group is not None else (self.skill,) if self.skill else ()

    @property
    def is_gap(self) -> bool:
        """Return whether this alone makes the verdict not-yet."""
        if self.group is not None:
            return self.group.gap
        return self.state in GAP_STATES


@dataclass(frozen=True)
class Remark:
    """A note beside the verdict, never part of it (rule R8).

    ``id`` is fast, long, stuck, footing, fade-soon or young (younger than ``limit``). For ``footing``,
    ``other`` are the weak skills under ``skill``. ``days`` counts lesson days in the unit (fast, long), days
    tried (stuck), or is the day number of the last fresh day (fade-soon).
    """

    id: str
    skill: str | None = None
    days: int | None = None
    limit: int | None = None
    other: tuple[str, ...] = ()


@dataclass(frozen=True)
class DecisionNow:
    """What the teacher decided about the unit last (rule R11).

    ``in_force`` says whether it is a stay that has not lapsed: every answer about what to do
    follows it; ``is_move`` whether the unit was left by it. The private reason is not part of it.
    """

    on: int
    decided: str
    until: int | None
    in_force: bool
    line: int
    is_move: bool


@dataclass(frozen=True)
class BroughtAlong:
    """A skill of an earlier unit that is not secure yet (rule R12).

    ``first_needed`` is the earliest unit, this one or later, with a skill that stands on it.
    """

    skill: str
    state: State
    first_needed: str | None


@dataclass(frozen=True)
class PlacingResult:
    """Where a student who is not placed would start (rule R10)."""

    start_unit: str
    patches: tuple[str, ...]
    stopped_by: tuple[str, ...]
    always_look_open: tuple[str, ...]
    provisional: bool
    implied: tuple[str, ...]


@dataclass(frozen=True)
class Answer(LazyFields):
    """A verdict with everything it rests on; what the engine gives is worked out as it is read.

    Attributes:
        verdict: paused, not-yet, look-again, ready-taking-along, ready or not-placed.
        underlying: what the verdict would be without the hold or the break; for the teacher only.
        standings: by skill id, for all skills of the course, in graph order.
        deciding, rest: skill ids in graph order (rule R7).
        open_rest: those of the rest that are not secure.
        one_thing: the skill to work on; frees: what it is under (not secure, of this and
            the next unit, itself included); chain: from it to the blocker it is under.
        look_first: the smallest look set, in graph order; look_proved: whether it is certain that it is;
            proof: what shows it without a search (``judging.cover``), None where that is too long.
        earliest, holds_until: day numbers; move_on: the earliest in which something new may begin, after
            the big day or long break ``move_after``; kept_back: the lessons before it on which all that is
            asked for could be there, and what keeps the move back.
        is_unseen: whether nothing of what is asked for was ever seen, apart from what every check looks at.
        holds_because: what ends a ready verdict: birthday, no-lesson or skill; ``fades_first`` is that skill.
        lesson_days: different lesson days in the unit so far; None when not placed.
        last_lesson: day number of the latest lesson, None without one.
        next_lesson: day number of the next lesson to come; None when none comes within a year.
        calendar: planned days, rhythm and holidays of the student.
        decision: what the teacher decided about the unit; brought_along: what is unfinished from before.
        after_hold: what a closed hold still asks for, None where nothing.
        away: ``on-a-break``, ``first-lesson-back`` or None; away_days: length of that gap.
        cautions: the ids that apply, C1 to C14 of the trade.
    """

    student: str
    name: str
    on: int
    age: int
    band: str
    unit: str | None
    next_unit: str | None
    verdict: Verdict
    underlying: Verdict
    deciding: tuple[str, ...]
    rest: tuple[str, ...]
    open_rest: tuple[str, ...]
    standings: Mapping[str, Standing]
    groups: tuple[GroupStanding, ...]
    blockers: tuple[Blocker, ...]
    taken_along: tuple[str, ...]
    remarks: tuple[Remark, ...]
    one_thing: str | None
    frees: tuple[str, ...]
    chain: tuple[str, ...]
    look_first: tuple[str, ...]
    look_proved: bool
    proof: Mapping[str, object] | None
    earliest: int | None
    move_on: int | None
    move_after: Season | None
    kept_back: tuple[KeptBack, ...]
    is_unseen: bool
    holds_until: int | None
    holds_because: str | None
    fades_first: str | None
    decision: DecisionNow | None
    brought_along: tuple[BroughtAlong, ...]
    lesson_days: int | None
    last_lesson: int | None
    next_lesson: int | None
    calendar: Calendar
    away: str | None
    away_days: int | None
    after_hold: RecentHold | None
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...]
    placing: PlacingResult | None = None

    @property
    def is_ready(self) -> bool:
        """Return whether the student may move on with this verdict."""
        return self.verdict in READY

    @property
    def is_day_known(self) -> bool:
        """Return whether anything says when lessons are, so that the day of the next one is not made up."""
        noted = () if self.last_lesson is None else (self.last_lesson,)
        return is_dated(self.calendar, noted, self.on)

    @property
    def lesson_told(self) -> int | None:
        """Return the day of the next lesson where it may be said."""
        return self.next_lesson if self.is_day_known else None

    @property
    def earliest_told(self) -> int | None:
        """Return the earliest day of a move where it may be said.

        It supposes that everything comes at first sight (rules, section 4), so it is no date for a student of
        whom nothing was seen.
        """
        return self.move_on if self.is_day_known and not self.is_unseen else None

    @property
    def stays(self) -> bool:
        """Return whether the teacher decided to stay, and that is in force (rule R11)."""
        return self.decision is not None and self.decision.in_force

    @property
    def closed(self) -> int | None:
        """Return the day on which the teacher closed the last unit of the course."""
        now = self.decision if self.next_unit is None else None
        return now.on if now is not None and now.is_move else None

    @property
    def waits_by_decision(self) -> bool:
        """Return whether only the teacher's decision to stay keeps a ready student in the unit."""
        return self.is_ready and self.stays

    @property
    def lapses(self) -> bool:
        """Return whether a ready verdict no longer stands in the next lesson, with nothing noted before."""
        return self.ends_before(self.next_lesson)

    def ends_before(self, day: int | None) -> bool:
        """Return whether a ready verdict has ended by a day, with nothing noted before."""
        return self.is_ready and None not in (self.holds_until, day) and (day or 0) > (self.holds_until or 0)

    @property
    def may_move(self) -> bool:
        """Return whether anything may be done about a move: ready, and no stay in force."""
        return self.is_ready and not self.stays
