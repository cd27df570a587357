"""A student on a day, the verdict and the dates, worked out a second time: rules R0 to R7 at their plainest.

For :mod:`readiness.judging.recheck`. Nothing else of judging is imported, so a mistake there cannot
hide here. The dates are found by replaying: the same verdict, asked again on the days ahead.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from itertools import count, islice, takewhile
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, NamedTuple, TypeVar

from readiness.course.model import FADES, KINDS, Band, Course, Skill
from readiness.record.model import HELPS, Hold, Record, Settled
from readiness.terms import Help, State, Verdict

if TYPE_CHECKING:
    from readiness.record.rhythm import Calendar, Rhythm

__all__ = [
    "ALONE", "END", "GAPS", "OPEN", "ByName", "CourseLinks", "Demands", "Freshness", "Group", "Note",
    "Student", "StudentOnDay", "Walk", "earliest", "holds", "lessons_to_come", "need_of", "next_lesson",
    "to_iso",
]  # fmt: skip

ALONE: Final = HELPS.index(Help.ALONE)

END: Final = date(2199, 12, 31).toordinal()
"""No file has a later date."""

Skills = Iterable[str]
Note = tuple[int, int, int]
"""A day, the help and the line."""


def to_iso(day: int | None) -> str | None:
    """Return a day as JSON has it."""
    return None if day is None else str(date.fromordinal(day))


T = TypeVar("T")


class ByName(dict[str, T]):
    """What there is by skill: some known, each of the others worked out when it is first asked for."""

    def __init__(self, make: Callable[[str], T], known: Mapping[str, T] = MappingProxyType({})) -> None:
        super().__init__(known)
        self._make = make

    def __missing__(self, name: str) -> T:
        made = self[name] = self._make(name)
        return made


class CourseLinks:
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

        self.under = ByName(lambda skill: _reached(skill, self.named))
        self.over = ByName(lambda skill: _reached(skill, self.users))
        self.demands: dict[tuple[int, str, frozenset[str]], Demands] = {}

    def asked(self, unit: int, band: Band, aside: frozenset[str]) -> Demands:
        """Return what decides and what else is asked in a unit; it is the same for many students."""
        key = unit, band.name, aside
        return self.demands.get(key) or self.demands.setdefault(key, Demands(self, unit, band, aside))

    def below(self, skills: Skills) -> set[str]:
        """Return all that skills stand on over ``stands_on``, through any number of links."""
        return _together(skills, self.under)

    def above(self, skills: Skills) -> set[str]:
        """Return all that stands on skills."""
        return _together(skills, self.over)

    def latest_use(self, last: Mapping[str, int]) -> dict[str, tuple[int, int]]:
        """Return by skill the latest day of use by anything that stands on it, and by which (R5)."""
        latest: dict[str, tuple[int, int]] = {}
        for day, place, user in sorted(((last[one], -self.place[one], one) for one in last), reverse=True):
            waiting = [user]
            while waiting:
                for one in self.named[waiting.pop()]:
                    if one not in latest:
                        latest[one] = day, place
                        waiting.append(one)
        return latest

    def in_order(self, skills: Skills) -> list[str]:
        """Return skills in the order of the graph, each once."""
        return sorted(set(skills), key=lambda skill: self.place[skill])


def _together(skills: Skills, reached: Mapping[str, set[str]]) -> set[str]:
    met = set[str]()
    for skill in reversed(list(skills)):  # the last first: in a long chain it reaches what the others do
        met |= set() if skill in met else reached[skill]
    return met


def _reached(skill: str, links: Mapping[str, Iterable[str]]) -> set[str]:
    met = set[str]()
    waiting = [skill]
    while waiting:
        new = [one for one in links[waiting.pop()] if one not in met]
        met.update(new)
        waiting += new
    return met


Group = tuple[int, frozenset[str]]


class Demands:
    """What is asked of whoever is in a unit (R7).

    Attributes:
        left_out: the skills optional in the band, and those set aside.
        needed: by skill, the skills of the next unit that stand on it.
        must: the deciding skills.
        rest: the other skills of the unit.
        groups: the entry groups, each once, with the skills of the next unit that ask for them.
        members: the skills of those groups.
    """

    def __init__(self, ground: CourseLinks, here: int, band: Band, aside: frozenset[str]) -> None:
        unit, skills = ground.unit, ground.course.skills
        self.left_out = aside | {one.id for one in skills if band.name in one.optional_in}
        nexts = [one for one in ground.taught.get(here + 1, []) if one.id not in self.left_out]
        self.needed: dict[str, list[str]] = {}
        self.groups: dict[Group, list[str]] = {}
        for one in nexts:
            for under in dict.fromkeys(one.stands_on):
                self.needed.setdefault(under, []).append(one.id)
            some = [group for group in one.stands_on_some if all(unit[member] <= here for member in group.of)]
            for group in dict.fromkeys((group.at_least, frozenset(group.of)) for group in some):
                self.groups.setdefault(group, []).append(one.id)
        self.members = frozenset[str]().union(*(of for _, of in self.groups))
        self.must = [
            one.id
            for one in skills
            if unit[one.id] <= here and one.id not in self.left_out
            and (one.always_look or one.id in self.needed or (one.safety and unit[one.id] == here))
        ]  # fmt: skip
        out = {*self.must, *self.left_out}
        self.rest = [one.id for one in ground.taught.get(here, []) if one.id not in out]


class Walk(NamedTuple):
    """What the days of one skill come to (R3); ``notes`` and ``counts`` are those in scope."""

    notes: tuple[Note, ...] = ()
    counts: tuple[int, ...] = ()
    since: int | None = None
    have: int = 0
    misses: int = 0
    slipped: bool = False
    start: int | None = None


class Freshness(NamedTuple):
    """Where a skill stands in a band: when it was seen, until when that keeps, what kept it warm."""

    walk: Walk = Walk()
    seen: int | None = None
    until: int | None = None
    warm: tuple[int, str] | None = None

    def state(self, day: int) -> State:
        """Return the state on a day (R6), nothing set aside."""
        walk = self.walk
        if walk.since is not None:
            stale = self.until is not None and day > self.until
            return State.WOBBLING if walk.misses == 1 else State.STALE if stale else State.SECURE
        if not walk.misses:
            return State.BUILDING if walk.notes else State.UNTRIED
        last = State.NOT_SHOWN if HELPS[walk.notes[-1][1]] == Help.NOT_SHOWN else State.WITH_HELP
        return State.SLIPPED if walk.slipped else last


@dataclass(frozen=True)
class Student:
    """What is known of a student on ``day``; ``notes`` are by skill and day.

    ``supposed`` are lessons that were added to look ahead.
    """

    ground: CourseLinks
    record: Record
    calendar: Calendar | None
    day: int
    notes: Mapping[str, Mapping[int, Note]]
    lessons: tuple[int, ...]
    supposed: tuple[int, ...] = ()

    @cached_property
    def _walks(self) -> dict[tuple[str, str], Walk]:
        return {}

    @cached_property
    def _wheres(self) -> dict[str, Mapping[str, Freshness]]:
        return {}

    @classmethod
    def on(cls, ground: CourseLinks, record: Record, calendar: Calendar | None, day: int) -> Student:
        """Return what is known on a day; of several notes of one day that with most help (R1)."""
        notes: dict[str, dict[int, Note]] = {}
        past = [(on, showings) for on, _, showings in record.seen.lessons() if on <= day]
        stands_for = ground.course.stands_for
        for on, showings in past:
            for skill, help_, line in showings:
                for meant in stands_for.get(skill, (skill,)):
                    days = notes.setdefault(meant, {})
                    if on not in days or (help_, -line) > (days[on][1], -days[on][2]):
                        days[on] = on, help_, line
        return cls(ground, record, calendar, day, notes, tuple(sorted({on for on, _ in past})))

    def showing(self, skills: Skills, day: int) -> Student:
        """Return the student after a lesson on ``day`` in which these skills were shown alone."""
        shown = set(skills)
        added = {skill: {day: (day, ALONE, 0), **self.notes.get(skill, {})} for skill in shown}
        lessons, supposed = tuple(sorted({*self.lessons, day})), (*self.supposed, day)
        after = replace(self, notes={**self.notes, **added}, lessons=lessons, supposed=supposed)
        after._walks.update((key, walk) for key, walk in self._walks.items() if key[0] not in shown)
        return after

    @property
    def own_lessons(self) -> tuple[int, ...]:
        """The lessons without those of another course alone, where there are others."""
        beside = self.record.seen.days_beside
        return tuple(day for day in self.lessons if day not in beside) or self.lessons

    @property
    def rhythm(self) -> Rhythm | None:
        """What the student's file says of the weekday, else the studio's."""
        return self.record.rhythm or (self.calendar.rhythm if self.calendar else None)

    # ------------------------------------------------------------ what holds on a day

    @cached_property
    def holds(self) -> list[Hold]:
        """All holds opened so far."""
        return [hold for hold in self.record.seen.holds if hold.opened <= self.day]

    @cached_property
    def open_holds(self) -> list[Hold]:
        """The holds that pause on the day."""
        return [hold for hold in self.holds if hold.closed is None or hold.closed > self.day]

    @cached_property
    def pauses(self) -> list[range]:
        """The days under each hold (R1a)."""
        firsts = ((hold.opened + 1 if hold.since is None else hold.since, hold.closed) for hold in self.holds)
        return [range(first, END + 1 if closed is None else closed) for first, closed in firsts]

    @cached_property
    def openings(self) -> set[int]:
        """The opening days of holds without ``since``; what counts on them was shown before it hurt."""
        return {hold.opened for hold in self.holds if hold.since is None}

    def paused(self, day: int) -> bool:
        """Return whether a day is under a hold (R1a)."""
        return any(day in days for days in self.pauses)

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
        choices = [(c.on, n, c.band) for n, c in enumerate(self.record.seen.band_choices) if c.on <= self.day]
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
        agreed = frozenset(one.skill for one in self.record.seen.set_aside if one.on <= self.day)
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

    def evidence(self, skill: str, band: Band) -> tuple[Note, ...]:
        """Return all notes of a skill that are evidence (R1a), oldest first."""
        asked, notes = self.ground.course.skill[skill], sorted(self.notes.get(skill, {}).values())
        if asked.quiet or not self.holds:
            return tuple(notes)
        most = band.accepts[KINDS.index(asked.kind)]
        free = [note for note in notes if not self.paused(note[0])]
        return tuple([note for note in free if note[1] <= most or note[0] not in self.openings])

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
        notes = notes if start is None else tuple(note for note in notes if note[0] >= start)
        spread = band.whole("spread_days") if need > 1 else 0
        counts = [day for day, help_, _ in notes if help_ <= most]
        first, have, misses, slipped = 0, 0, 0, False
        for on, given, _ in notes:
            if given <= most:
                misses, have, first = 0, have + 1, first or on
                since = on if since is None and have >= need and on - first >= spread else since
            elif (misses := misses + 1) == 2 and since is not None:
                since, have, first, slipped = None, 0, 0, True
        return Walk(notes, tuple(counts), since, have, misses, slipped, start)

    def wheres(self, band: Band) -> Mapping[str, Freshness]:
        """Return where every skill stands in a band (R4, R5); it is the same on every day."""
        if band.name not in self._wheres:
            walks = {skill: self.walk(skill, band) for skill in self.notes}
            last = played = {skill: walk.counts[-1] for skill, walk in walks.items() if walk.counts}
            if self.holds:
                free = {s: [d for d in walks[s].counts if not self.paused(d)] for s in last}
                played = {skill: days[-1] for skill, days in free.items() if days}

            quiet = self.ground.latest_use(last)
            aloud = quiet if played is last else self.ground.latest_use(played)

            ground, unit, settled = self.ground, self.ground.unit, self.settled

            def where(name: str) -> Freshness:  # refers to no student, so that each is gone when checked
                skill = ground.course.skill[name]
                walk = walks.get(name) or Walk(since=settled[unit[name]].on, start=settled[unit[name]].on)
                used = walk.since is not None and not skill.must_be_seen
                uses = quiet if skill.quiet else aloud
                return _where(ground, skill, band, walk, uses.get(name) if used else None)

            nowhere = [one for one in unit if one not in self.notes and unit[one] not in settled]
            self._wheres[band.name] = ByName(where, dict.fromkeys(nowhere, Freshness()))
        return self._wheres[band.name]


def _where(
    ground: CourseLinks, skill: Skill, band: Band, walk: Walk, use: tuple[int, int] | None
) -> Freshness:
    own = walk.counts[-1] if walk.counts else walk.start
    warm = None
    if use is not None and walk.since is not None and max(walk.since, (own or 0) + 1) <= use[0]:
        warm = use[0], ground.course.skills[-use[1]].id
    seen, keeps = warm[0] if warm else own, band.fresh_days[FADES.index(skill.fade)]
    return Freshness(walk, seen, None if seen is None else seen + keeps, warm)


def need_of(skill: Skill, band: Band) -> int:
    """Return how many days a skill needs (R3)."""
    return skill.days or band.days_needed[KINDS.index(skill.kind)]


GAPS: Final = (State.WITH_HELP, State.NOT_SHOWN, State.SLIPPED)
OPEN: Final = (State.UNTRIED, State.BUILDING, State.WOBBLING, State.STALE)


@dataclass(frozen=True)
class StudentOnDay:
    """A student on a day by the numbers of a band: states, what decides, verdict."""

    student: Student
    day: int
    band: Band

    @classmethod
    def of(cls, student: Student, day: int) -> StudentOnDay:
        """Return the view by the numbers of the day."""
        return cls(student, day, student.band(day))

    @cached_property
    def state(self) -> Mapping[str, State]:
        """The state of every skill."""
        where, day = self.student.wheres(self.band), self.day
        aside = dict.fromkeys(self.student.aside, State.SET_ASIDE)
        return ByName(lambda one: where[one].state(day), aside)

    @cached_property
    def asked(self) -> Demands:
        """What decides and what else is asked."""
        return self.student.ground.asked(self.student.unit, self.band, self.student.aside)

    def those(self, *states: State) -> set[str]:
        """Return the skills that are in some states."""
        return {skill for skill in self.student.ground.place if self.state[skill] in states}

    def is_met(self, group: Group) -> bool:
        """Return whether enough members are secure or set aside."""
        return sum(self.state[member] in (State.SECURE, State.SET_ASIDE) for member in group[1]) >= group[0]

    def is_gap(self, group: Group) -> bool:
        """Return whether an unmet group cannot be met without closing a gap."""
        apart = sum(self.state[member] not in GAPS for member in group[1])
        return not self.is_met(group) and apart < group[0]

    @cached_property
    def unmet(self) -> list[Group]:
        """The groups that are not met."""
        return [group for group in self.asked.groups if not self.is_met(group)]

    @cached_property
    def unsure(self) -> list[str]:
        """The deciding skills that are not secure."""
        return [skill for skill in self.asked.must if self.state[skill] != State.SECURE]

    @cached_property
    def loose(self) -> list[str]:
        """The skills of the rest that are not secure."""
        return [skill for skill in self.asked.rest if self.state[skill] != State.SECURE]

    @property
    def limit(self) -> int:
        """How much of the rest may be open."""
        return self.band.whole("carry_limit")

    @property
    def is_ready(self) -> bool:
        """Whether little enough is open, without a hold or a break."""
        return not (self.unsure or self.unmet or len(self.loose) > self.limit)

    @cached_property
    def underlying(self) -> Verdict:
        """The verdict without a hold or a break."""
        if self.is_ready:
            return Verdict.READY_TAKING_ALONG if self.loose else Verdict.READY
        if any(self.state[s] in GAPS for s in self.unsure) or any(map(self.is_gap, self.unmet)):
            return Verdict.NOT_YET
        too_many = sum(self.state[s] in GAPS for s in self.loose) > self.limit
        return Verdict.NOT_YET if too_many else Verdict.LOOK_AGAIN

    @cached_property
    def verdict(self) -> Verdict:
        """The verdict (R7)."""
        if self.student.open_holds or not self.student.unit:
            return Verdict.PAUSED if self.student.open_holds else Verdict.NOT_PLACED
        kept_back = self.is_ready and (self.away or self.after_hold)
        return Verdict.LOOK_AGAIN if kept_back else self.underlying

    @property
    def away(self) -> tuple[str, int, int] | None:
        """The break that keeps back: its kind, its days, the lesson before it."""
        days, rhythm = self.student.lessons, self.student.rhythm
        limit = 7 * max(self.band.whole("break_weeks"), rhythm.weeks + 1 if rhythm else 0)
        if days and self.day - days[-1] >= limit:
            return "on-a-break", self.day - days[-1], days[-1]
        if len(days) > 1 and days[-1] - days[-2] >= limit:
            return "first-lesson-back", days[-1] - days[-2], days[-2]
        return None

    @property
    def after_hold(self) -> tuple[int, int, int] | None:
        """What a closed hold still asks for: the day and the line, lesson days with playing since."""
        over = (hold for hold in self.student.holds if hold not in self.student.open_holds)
        closings = [(hold.closed or 0, -hold.line) for hold in over]
        if not closings:
            return None
        closed, line = max(closings)
        skills = (self.student.ground.course.skill[skill] for skill in self.student.notes)
        played = {n[0] for s in skills if not s.quiet for n in self.student.evidence(s.id, self.band)}
        days = [day for day in {*played, *self.student.supposed} if closed <= day <= self.day]
        return (closed, -line, len(days)) if len(days) < 2 else None


def next_lesson(student: Student) -> int | None:
    """Return the first lesson to come, None when none comes within 366 days."""
    first = next(lessons_to_come(student), None)
    return None if first is None or first > student.day + 366 else first


def lessons_to_come(student: Student) -> Iterator[int]:
    """Yield the lesson days to come: planned ones, then those of the rhythm outside holidays."""
    begin = student.day + (student.day in student.own_lessons)
    planned = sorted({day for day in student.calendar.planned if day >= begin}) if student.calendar else []
    yield from planned
    events = student.calendar.events if student.calendar else ()
    holidays = [(one.first, one.last) for one in events if one.is_stretch]
    ahead = takewhile(lambda day: day <= END, _rhythm_days(student, planned, begin))
    free = (day for day in ahead if not any(first <= day <= last for first, last in holidays))
    if planned or student.lessons:
        yield from (day for day in free if day >= begin)
        return
    first = next(free, END + 1)
    step = 7 * (student.rhythm.weeks if student.rhythm else 1)
    yield from (
        day for day in range(first, END + 1, step) if not any(one <= day <= last for one, last in holidays)
    )


def _rhythm_days(student: Student, planned: list[int], begin: int) -> Iterator[int]:
    """Yield the days of the rhythm after the latest lesson's week; with none, all that may be the first."""
    rhythm, lessons = student.rhythm, student.own_lessons
    if not lessons and not planned:
        wait = (rhythm.weekday - (begin - 1)) % 7 if rhythm else 0
        return count(begin + wait, 7 if rhythm else 1)
    latest = max([*lessons[-1:], *planned[-1:]])
    usual = [(day - 1) % 7 for day in lessons[-4:]] or [(latest - 1) % 7]
    weekday = rhythm.weekday if rhythm else max(reversed(usual), key=usual.count)
    monday = latest - (latest - 1) % 7
    since = max((day for day in lessons if (day - 1) % 7 == weekday), default=monday + weekday)
    weeks = rhythm.weeks if rhythm else 1
    return (day for day in count(monday + 7 + weekday, 7) if (day - since) % (7 * weeks) == 0)


def _may_move(view: StudentOnDay) -> bool:
    return view.is_ready and not view.away and not view.after_hold


def earliest(student: Student) -> int | None:
    """Return the first of 52 lessons on which the student could be ready, all asked for shown in each."""
    ahead = islice(lessons_to_come(student), 52) if next_lesson(student) is not None else ()
    for day in ahead:
        view = StudentOnDay.of(student, day)
        asked = {*view.asked.must, *view.asked.rest, *view.asked.members}
        there = (State.SECURE, State.SET_ASIDE)
        student = student.showing([s for s in asked if view.state[s] not in there], day)
        if _may_move(StudentOnDay.of(student, day)):
            return day
    return None


def holds(student: Student) -> tuple[int | None, object]:
    """Return the last day on which a ready verdict stands with nothing noted, and what ends it.

    A verdict follows from the band, from what has turned stale and from the length of the break. So
    it can change only on a birthday, on the day after a skill was fresh, and on the day on which a break
    begins; these days are all replayed, in every band there may be.
    """
    for day in sorted(_turns(student)):
        if day > student.day and not _may_move(StudentOnDay.of(student, day)):
            return day - 1, _because(student, day)
    return None, None


def _turns(student: Student) -> set[int]:
    """Return all days on which the verdict may change; some lie before the day asked about."""
    bands = student.ground.course.bands
    born = date.fromordinal(student.record.born)
    leap = (born.month, born.day) == (2, 29)
    ages = [band.from_age for band in bands] if student.chosen is None else []
    turns = {date(born.year + age, born.month, born.day - leap).toordinal() + leap for age in ages}
    for band in {student.band(day).name: student.band(day) for day in {student.day, *turns}}.values():
        asked = StudentOnDay(student, student.day, band).asked
        untils = {student.wheres(band)[one].until for one in (*asked.must, *asked.rest, *asked.members)}
        turns |= {until + 1 for until in untils if until is not None}
        rhythm = student.rhythm.weeks + 1 if student.rhythm else 0
        turns |= {day + 7 * max(band.whole("break_weeks"), rhythm) for day in student.lessons[-1:]}
    return turns


def _because(student: Student, day: int) -> object:
    """Return what ends a verdict: fading by the numbers of the day before, a birthday, or the break."""
    band = student.band(day - 1)
    before, then = StudentOnDay(student, day - 1, band), StudentOnDay(student, day, band)
    if then.is_ready:
        return "no-lesson" if then.away and StudentOnDay.of(student, day).is_ready else "birthday"
    members = student.ground.in_order(skill for group in then.unmet for skill in group[1])
    turned = before.those(State.SECURE) - then.those(State.SECURE)
    faded = [skill for skill in (*then.asked.must, *members, *then.asked.rest) if skill in turned]
    return {"skill": faded[0]} if faded else "birthday"
