"""A student on a day, worked out a second time: rules R0 to R6 in the plainest way there is.

For :mod:`readiness.judging.recheck`. Nothing else of judging is imported, so a mistake there cannot
hide here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Final

from readiness.course.model import FADES, KINDS, Band, Course, Skill
from readiness.record.model import HELPS, Hold, Record, Settled

if TYPE_CHECKING:
    from readiness.record.rhythm import Calendar, Rhythm

__all__ = ["ALONE", "GAPS", "OPEN", "Ground", "Note", "Student", "Walk", "Where", "need_of", "to_iso"]

GAPS: Final = ("with-help", "not-shown", "slipped")
OPEN: Final = ("untried", "building", "wobbling", "stale")
ALONE: Final = HELPS.index("alone")

Skills = Iterable[str]
Note = tuple[int, int, int]
"""A day, the help and the line."""


def to_iso(day: int | None) -> str | None:
    """Return a day as JSON has it."""
    return None if day is None else str(date.fromordinal(day))


class Ground:
    """The links of a course: what stands on what, and in which unit (numbered from 1) each skill is."""

    def __init__(self, course: Course) -> None:
        self.course = course
        self.unit = {skill.id: course.unit[skill.unit].number for skill in course.skills}
        self.taught = {unit.number: [s for s in course.skills if s.unit == unit.id] for unit in course.units}
        self.place = {skill.id: place for place, skill in enumerate(course.skills)}
        self.named = {skill.id: skill.stands_on for skill in course.skills}
        self.users: dict[str, list[str]] = {skill.id: [] for skill in course.skills}
        for one in course.skills:
            for under in dict.fromkeys(one.stands_on):
                self.users[under].append(one.id)
        waits = {skill.id: len(set(skill.stands_on)) for skill in course.skills}
        self.upward = [skill for skill, count in waits.items() if not count]
        for skill in self.upward:
            for user in self.users[skill]:
                waits[user] -= 1
                if not waits[user]:
                    self.upward.append(user)

    def below(self, skills: Skills) -> set[str]:
        """Return all that skills stand on over ``stands_on``, through any number of links."""
        return self._reached(skills, self.named)

    def above(self, skills: Skills) -> set[str]:
        """Return all that stands on skills."""
        return self._reached(skills, self.users)

    def _reached(self, skills: Skills, links: Mapping[str, Iterable[str]]) -> set[str]:
        met = set[str]()
        waiting = list(skills)
        while waiting:
            new = [one for one in links[waiting.pop()] if one not in met]
            met.update(new)
            waiting += new
        return met

    def in_order(self, skills: Skills) -> list[str]:
        """Return skills in the order of the graph, each once."""
        return sorted(set(skills), key=lambda skill: self.place[skill])


@dataclass(frozen=True, slots=True)
class Walk:
    """What the days of one skill come to (R3); ``notes`` and ``counts`` are those in scope."""

    notes: tuple[Note, ...] = ()
    counts: tuple[int, ...] = ()
    since: int | None = None
    have: int = 0
    misses: int = 0
    slipped: bool = False
    start: int | None = None


@dataclass(frozen=True, slots=True)
class Where:
    """Where a skill stands in a band: when it was seen, until when that keeps, what kept it warm."""

    walk: Walk
    seen: int | None
    until: int | None
    warm: tuple[int, str] | None

    def state(self, day: int) -> str:
        """Return the state on a day (R6), nothing set aside."""
        walk = self.walk
        if walk.since is not None:
            stale = self.until is not None and day > self.until
            return "wobbling" if walk.misses == 1 else "stale" if stale else "secure"
        if not walk.misses:
            return "building" if walk.notes else "untried"
        return "slipped" if walk.slipped else "not-shown" if walk.notes[-1][1] == 4 else "with-help"


@dataclass(frozen=True)
class Student:
    """What is known of a student on ``day``; ``notes`` are by skill and day, (help, line).

    ``supposed`` are lessons that were added to look ahead.
    """

    ground: Ground
    record: Record
    calendar: Calendar | None
    day: int
    notes: Mapping[str, Mapping[int, tuple[int, int]]]
    lessons: tuple[int, ...]
    supposed: tuple[int, ...] = ()
    _walks: dict[tuple[str, str], Walk] = field(default_factory=dict)
    _wheres: dict[str, dict[str, Where]] = field(default_factory=dict)

    @classmethod
    def on(cls, ground: Ground, record: Record, calendar: Calendar | None, day: int) -> Student:
        """Return what is known on a day; of several notes of one day that with most help (R1)."""
        notes: dict[str, dict[int, tuple[int, int]]] = {}
        past = [lesson for lesson in record.lessons if lesson.on <= day]
        for lesson in past:
            for shown in lesson.showings:
                for skill in ground.course.stands_for.get(shown.skill, (shown.skill,)):
                    days = notes.setdefault(skill, {})
                    new = shown.help, -shown.line
                    days[lesson.on] = max(new, days.get(lesson.on, new))
        kept = {s: {on: (help_, -line) for on, (help_, line) in days.items()} for s, days in notes.items()}
        return cls(ground, record, calendar, day, kept, tuple(sorted({lesson.on for lesson in past})))

    def showing(self, skills: Skills, day: int) -> Student:
        """Return the student after a lesson on ``day`` in which these skills were shown alone."""
        shown = set(skills)
        added = {skill: {day: (ALONE, 0), **self.notes.get(skill, {})} for skill in shown}
        return replace(
            self,
            notes={**self.notes, **added},
            lessons=tuple(sorted({*self.lessons, day})),
            supposed=(*self.supposed, day),
            _walks={key: walk for key, walk in self._walks.items() if key[0] not in shown},
            _wheres={},
        )

    @property
    def rhythm(self) -> Rhythm | None:
        """What the student's file says of the weekday, else the studio's."""
        return self.record.rhythm or (self.calendar.rhythm if self.calendar else None)

    # ------------------------------------------------------------ what holds on a day

    @cached_property
    def holds(self) -> list[Hold]:
        """All holds opened so far."""
        return [hold for hold in self.record.holds if hold.opened <= self.day]

    @cached_property
    def open_holds(self) -> list[Hold]:
        """The holds that pause on the day."""
        return [hold for hold in self.holds if hold.closed is None or hold.closed > self.day]

    def paused(self, day: int) -> bool:
        """Return whether a day is under a hold (R1a)."""
        firsts = ((hold.opened + 1 if hold.since is None else hold.since, hold.closed) for hold in self.holds)
        return any(first <= day and (closed is None or day < closed) for first, closed in firsts)

    @cached_property
    def unit_start(self) -> tuple[int, str] | None:
        """The day and the unit that the student began last."""
        starts = [(s.on, n, s.unit) for n, s in enumerate(self.record.unit_starts) if s.on <= self.day]
        return (max(starts)[0], max(starts)[2]) if starts else None

    @cached_property
    def unit(self) -> int:
        """The number of the unit; 0 where none was begun."""
        return self.ground.course.unit[self.unit_start[1]].number if self.unit_start else 0

    @cached_property
    def chosen(self) -> str | None:
        """The band that the teacher set."""
        choices = [(c.on, n, c.band) for n, c in enumerate(self.record.band_choices) if c.on <= self.day]
        return max(choices)[2] if choices else None

    def age(self, day: int) -> int:
        """Return the age in whole years (R0)."""
        born, now = date.fromordinal(self.record.born), date.fromordinal(day)
        return now.year - born.year - ((now.month, now.day) < (born.month, born.day))

    def band(self, day: int) -> Band:
        """Return the band of a day (R0)."""
        if self.chosen is not None:
            return self.ground.course.band[self.chosen]
        ages, age = sorted(self.ground.course.bands, key=lambda band: band.from_age), self.age(day)
        return [ages[0], *(band for band in ages if band.from_age <= age)][-1]

    @cached_property
    def aside(self) -> frozenset[str]:
        """What was set aside by agreement, or is not taught on that day."""
        agreed = frozenset(one.skill for one in self.record.set_aside if one.on <= self.day)
        era = self.ground.course.era
        return agreed if era is None else era.not_asked(agreed)

    @cached_property
    def settled(self) -> dict[int, Settled]:
        """By unit number, the latest settled block that covers it; of one day that of the furthest unit."""
        past = (one for one in self.record.settled if one.on <= self.day)
        reach = [(one.on, self.ground.course.unit[one.through].number, -one.line, one) for one in past]
        reach.sort(key=lambda one: one[:3])
        return {number: one for _, last, _, one in reach for number in range(1, last + 1)}

    # ------------------------------------------------------------ notes and states

    def stands(self, skill: Skill, band: Band, day: int, help_: int) -> bool:
        """Return whether a note is evidence (R1a)."""
        if skill.quiet or not self.holds:
            return True
        opening = any(hold.since is None and hold.opened == day for hold in self.holds)
        counts = help_ <= band.accepts[KINDS.index(skill.kind)]
        return not self.paused(day) and (counts or not opening)

    def evidence(self, skill: str, band: Band) -> tuple[Note, ...]:
        """Return all notes of a skill that are evidence, oldest first."""
        asked, days = self.ground.course.skill[skill], sorted(self.notes.get(skill, {}).items())
        return tuple((day, *note) for day, note in days if self.stands(asked, band, day, note[0]))

    def walk(self, skill: str, band: Band) -> Walk:
        """Return what the days of a skill come to."""
        key = skill, band.name
        if key not in self._walks:
            notes = self.evidence(skill, band) if skill in self.notes else ()
            self._walks[key] = self.walk_over(skill, band, notes)
        return self._walks[key]

    def walk_over(self, skill: str, band: Band, notes: tuple[Note, ...]) -> Walk:
        """Walk through the days of one skill (R2, R3)."""
        asked, block = self.ground.course.skill[skill], self.settled.get(self.ground.unit[skill])
        start = since = block.on if block else None
        if not notes:
            return Walk(since=since, start=start)
        need, most = need_of(asked, band), band.accepts[KINDS.index(asked.kind)]
        notes = tuple(note for note in notes if note[0] >= (start or 0))
        counts = [day for day, help_, _ in notes if help_ <= most]
        listed: list[int] = []
        misses, slipped = 0, False
        for on, given, _ in notes:
            if given <= most:
                misses, listed = 0, [*listed, on]
                apart = need == 1 or on - listed[0] >= band.whole("spread_days")
                since = on if since is None and len(listed) >= need and apart else since
            elif (misses := misses + 1) == 2 and since is not None:
                since, listed, slipped = None, [], True
        return Walk(notes, tuple(counts), since, len(listed), misses, slipped, start)

    def wheres(self, band: Band) -> dict[str, Where]:
        """Return where every skill stands in a band (R4, R5); it is the same on every day."""
        if band.name not in self._wheres:
            walks = {skill: self.walk(skill, band) for skill in self.ground.place}
            self._wheres[band.name] = self._wheres_of(walks, band)
        return self._wheres[band.name]

    def _wheres_of(self, walks: Mapping[str, Walk], band: Band) -> dict[str, Where]:
        every = {skill: walk.counts[-1] for skill, walk in walks.items() if walk.counts}
        uses = played = self._uses(every)
        if self.holds:
            free = {s: [d for d in walks[s].counts if not self.paused(d)] for s in every}
            played = self._uses({skill: days[-1] for skill, days in free.items() if days})
        found = {}
        for skill in self.ground.course.skills:
            use = None if skill.must_be_seen else (uses if skill.quiet else played).get(skill.id)
            found[skill.id] = self._where(skill, band, walks[skill.id], use)
        return found

    def _where(self, skill: Skill, band: Band, walk: Walk, use: tuple[int, int] | None) -> Where:
        own = max([*walk.counts[-1:], *([] if walk.start is None else [walk.start])], default=None)
        warm = None
        if use is not None and walk.since is not None and max(walk.since, (own or 0) + 1) <= use[0]:
            warm = use[0], self.ground.course.skills[-use[1]].id
        seen, keeps = warm[0] if warm else own, band.fresh_days[FADES.index(skill.fade)]
        return Where(walk, seen, None if seen is None else seen + keeps, warm)

    def _uses(self, last: Mapping[str, int]) -> dict[str, tuple[int, int]]:
        """Return, by skill, the latest day of use by anything that stands on it, and by which (R5)."""
        found: dict[str, tuple[int, int]] = {}
        for skill in reversed(self.ground.upward):
            own = [(last[u], -self.ground.place[u]) for u in self.ground.users[skill] if u in last]
            passed = [found[user] for user in self.ground.users[skill] if user in found]
            if own or passed:
                found[skill] = max(own + passed)
        return found


def need_of(skill: Skill, band: Band) -> int:
    """Return how many days a skill needs (R3)."""
    return skill.days or band.days_needed[KINDS.index(skill.kind)]
