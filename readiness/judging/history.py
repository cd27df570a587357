"""What is known of a student on a day: the record cut off there, as numbers.

Everything dated after the day is left out once, here, so that no later step can look into
the future by mistake (rules, opening paragraph). Looking ahead means adding supposed
showings to a copy; a record is never changed.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field, replace
from functools import cached_property
from operator import itemgetter

from readiness.course.model import Band, Course, Plan
from readiness.days import age_on, birthday
from readiness.lazy import dataclass
from readiness.record.model import Decision, Hold, Note, Record, Seen, Settled, latest, one_a_day
from readiness.record.rhythm import NO_CALENDAR, Calendar, lessons_from, next_lesson

__all__ = ["ALONE", "Known", "Note", "known_on"]

ALONE = 0
"""The index of "alone" in HELPS."""


@dataclass(frozen=True)
class Known:
    """A student as known on ``day``.

    Attributes:
        notes: by skill number, one note a day, oldest first (rule R1); skills without a note are absent.
        settled: by unit number, the latest day on which it was settled (None: never).
        settled_by: by unit number, that block: of one day the one of the furthest unit.
        lesson_days: different lesson days, oldest first.
        set_aside: a set of skills.
        unit: the unit number, None when not placed; unit_start: the day it began.
        chosen_band: the band set by the teacher, if any.
        holds: the holds open on the day.
        paused: all holds opened up to the day; what they cover is no evidence (rule R1a).
        under_hold: by skill number, the notes that are no evidence, whatever help was given.
        decision: what was decided last about the unit.
        calendar: planned days, rhythm and holidays.
        supposed: the lessons that were added by looking ahead.
    """

    day: int
    born: int
    notes: Mapping[int, tuple[Note, ...]]
    settled: tuple[int | None, ...]
    settled_by: tuple[Settled | None, ...]
    lesson_days: tuple[int, ...]
    set_aside: int
    unit: int | None
    unit_start: int | None
    chosen_band: str | None
    holds: tuple[Hold, ...]
    paused: tuple[Hold, ...] = ()
    under_hold: Mapping[int, tuple[Note, ...]] = field(default_factory=dict)
    decision: Decision | None = None
    calendar: Calendar = NO_CALENDAR
    supposed: tuple[int, ...] = ()

    @property
    def next_lesson(self) -> int | None:
        """The first lesson to come, None when none comes within a year."""
        return next_lesson(self.calendar, self.lesson_days, self.day)

    def lessons_to_come(self) -> Iterator[int]:
        """Yield the lessons to come, in order; none where no next one is known."""
        ahead = lessons_from(self.calendar, self.lesson_days, self.day)
        return iter(()) if self.next_lesson is None else ahead

    def is_under_hold(self, day: int) -> bool:
        """Return whether a day is under a hold that pauses this course (rule R1a)."""
        return any(hold.covers(day) for hold in self.paused)

    def evidence(self, plan: Plan, band: Band) -> Mapping[int, tuple[Note, ...]]:
        """Return the notes that are evidence in a band (rule R1a).

        On the day on which a hold without ``since`` was opened a note stands if it counts, for it
        was shown before it hurt; a quiet skill is never touched by a hold.
        """
        if not self._opened:
            return self.notes
        kept = {i: self.evidence_of(i, plan, band) for i in self.notes}
        return {i: notes for i, notes in kept.items() if notes}

    def evidence_of(self, skill: int, plan: Plan, band: Band) -> tuple[Note, ...]:
        """Return those of one skill, by its number, which has notes."""
        notes, accepted = self.notes[skill], band.accepts[plan.kind[skill]]
        if not self._opened or plan.quiet >> skill & 1:
            return notes
        return tuple(n for n in notes if n[1] <= accepted or n[0] not in self._opened)

    @cached_property
    def _opened(self) -> frozenset[int]:
        """The days on which a hold was opened, before which there may have been playing."""
        opened = (hold.opened for hold in self.paused if hold.since is None)
        return frozenset(day for day in opened if not self.is_under_hold(day))

    def band_on(self, course: Course, day: int) -> Band:
        """Return the band that holds on a day (rule R0). ``course.bands`` go by age."""
        if self.chosen_band is not None:
            return course.band[self.chosen_band]
        age = age_on(self.born, day)
        return [course.bands[0], *(b for b in course.bands if b.from_age <= age)][-1]

    def next_band_day(self, course: Course, day: int) -> int | None:
        """Return the first day after ``day`` on which a birthday changes the band."""
        if self.chosen_band is not None:
            return None
        turns = (birthday(self.born, band.from_age) for band in course.bands[1:])
        return min((turn for turn in turns if turn > day), default=None)

    def with_showings(self, skills: Iterable[int], day: int, help_given: int = ALONE) -> Known:
        """Return what would be known if these skills were shown in a lesson on ``day``.

        ``day`` is not before any lesson known. Of two notes on one day the one with more
        help stays (rule R1).
        """
        notes = dict(self.notes)
        for skill in skills:
            mine = notes.get(skill, ())
            if mine and mine[-1][0] == day:
                notes[skill] = (*mine[:-1], (day, max(help_given, mine[-1][1]), mine[-1][2]))
            else:
                notes[skill] = (*mine, (day, help_given, 0))
        days = self.lesson_days if self.lesson_days[-1:] == (day,) else (*self.lesson_days, day)
        return replace(self, notes=notes, lesson_days=days, supposed=(*self.supposed, day))


def known_on(course: Course, record: Record, day: int, calendar: Calendar = NO_CALENDAR) -> Known:
    """Return what the record says up to and including ``day``.

    What is not taught on that day counts as set aside, and its notes are those of what took
    its place (``course.model``).
    """
    course, seen = course.on(day), record.seen
    plan = course.plan
    start = latest(entry for entry in seen.unit_starts if entry.on <= day)
    choice = latest(entry for entry in seen.band_choices if entry.on <= day)
    agreed = frozenset(entry.skill for entry in seen.set_aside if entry.on <= day)
    settled_by = _settled_by(plan, seen, day)
    opened = (hold for hold in seen.holds if hold.opened <= day)
    holds = tuple(sorted(opened, key=lambda hold: (hold.opened, hold.part)))
    notes, under_hold = _parted(plan, _notes(course, seen, day), holds)
    return Known(
        day=day,
        born=seen.born,
        notes=notes,
        settled=tuple(None if block is None else block.on for block in settled_by),
        settled_by=settled_by,
        lesson_days=seen.lesson_days[: bisect_right(seen.lesson_days, day)],
        set_aside=plan.set_of(course.era.not_asked(agreed) if course.era else agreed),
        unit=None if start is None else plan.unit_index[start.unit],
        unit_start=None if start is None else start.on,
        chosen_band=None if choice is None else choice.band,
        holds=tuple(hold for hold in holds if hold.is_open(day)),
        paused=holds,
        under_hold=under_hold,
        decision=latest(one for one in seen.decisions if one.on <= day and start and one.unit == start.unit),
        calendar=calendar
        if seen.rhythm is None and not seen.days_beside
        else replace(calendar, rhythm=seen.rhythm or calendar.rhythm, beside=seen.days_beside),
    )


def _parted(
    plan: Plan, notes: dict[int, tuple[Note, ...]], holds: tuple[Hold, ...]
) -> tuple[dict[int, tuple[Note, ...]], dict[int, tuple[Note, ...]]]:
    """Part the notes that are evidence from those made under a hold (rule R1a)."""
    if not holds:
        return notes, {}
    kept: dict[int, tuple[Note, ...]] = {}
    apart: dict[int, tuple[Note, ...]] = {}
    for i, of_skill in notes.items():
        covered = () if plan.quiet >> i & 1 else holds
        under = tuple(note for note in of_skill if any(hold.covers(note[0]) for hold in covered))
        free = tuple(note for note in of_skill if note not in under) if under else of_skill
        kept |= {i: free} if free else {}
        apart |= {i: under} if under else {}
    return kept, apart


def _notes(course: Course, seen: Seen, day: int) -> dict[int, tuple[Note, ...]]:
    """Return the notes up to a day, those of what is gone with what took its place."""
    index, stands_for = course.plan.index, course.stands_for
    noted = seen.notes
    if stands_for:
        meant = ((heir, skill) for skill in seen.notes for heir in stands_for.get(skill, (skill,)))
        noted = one_a_day((heir, note) for heir, skill in meant for note in seen.notes[skill])
    if not seen.lesson_days or seen.lesson_days[-1] <= day:
        return {index[skill]: notes for skill, notes in noted.items()}
    up_to = ((skill, notes[: bisect_right(notes, day, key=itemgetter(0))]) for skill, notes in noted.items())
    return {index[skill]: notes for skill, notes in up_to if notes}


def _settled_by(plan: Plan, seen: Seen, day: int) -> tuple[Settled | None, ...]:
    """Return, by unit, the latest ``settled`` block that covers it; of one day that of the furthest unit."""
    found: list[Settled | None] = [None] * len(plan.unit_ids)
    for block in sorted(seen.settled, key=lambda one: (one.on, plan.unit_index[one.through], -one.line)):
        if block.on <= day:
            end = plan.unit_index[block.through] + 1
            found[:end] = [block] * end
    return tuple(found)
