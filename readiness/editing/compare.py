"""Two courses over the same students: whose answer changes, and by what, or why one is refused.

Every student is judged twice, from the beginning, by each course; the differences of the two
answers are then named one by one. A student *changes* when the verdict, what blocks, what
comes along or where to start is another; when only the advice is (the one thing, dates), that is
told apart. Nothing is saved and nobody is compared with anybody else.

Trying a course on a studio: refused with its problems, or accepted with who changes.

The one way for every question about an edit: two folders compared, a quick edit, a saved file
that is watched, a skill to be retired. Reads student files, writes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import fields, replace
from itertools import product
from pathlib import Path
from typing import Final

from readiness.advice.answer_changes import StudentChange, student_change
from readiness.course.layers import read_files
from readiness.course.load import course_of
from readiness.course.model import Course, LoadedCourse, Skill
from readiness.days import iso
from readiness.editing.edits import Retire, apply
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.lazy import dataclass
from readiness.record.load import LoadedRecord, load_record
from readiness.record.model import Record
from readiness.record.rhythm import NO_CALENDAR, Calendar
from readiness.studio.load import Studio
from readiness.toml.problems import Place, Problem, errors

__all__ = [
    "TEXTS", "Comparison", "Count", "Difference", "Mention", "Retiring", "Trial", "Watcher", "by_effect",
    "compare", "differences", "fits", "mentions", "retiring", "try_course",
]  # fmt: skip

Records = Mapping[str, tuple[Record, Record]]
Count = Callable[[Collection[str]], Iterator[str]]
"""What goes through students by id, and may say how far it is."""


@dataclass(frozen=True)
class Comparison:
    """Two courses over some students, each list in the order given.

    Attributes:
        advised: students whose answer stays while the advice is another.
    """

    on: int
    changed: tuple[StudentChange, ...]
    advised: tuple[StudentChange, ...]
    unchanged: tuple[Answer, ...]


def compare(
    old: Course, new: Course, records: Records, on: int, calendars: Mapping[str, Calendar] | None = None,
    count: Count = iter,
) -> Comparison:  # fmt: skip
    """Return what a second course would change for some students.

    Args:
        records: by student, the record as read with each of them.
        calendars: by student, what is known of the lessons.
        count: is given the students and yields them, for whoever wants to say how many are done.
    """
    dates = calendars or {}
    changes = []
    for id_ in count(records):
        before, after = records[id_]
        calendar = dates.get(id_, NO_CALENDAR)
        answers = judge(old, before, on, calendar), judge(new, after, on, calendar)
        changes.append(student_change(old, new, *answers, (before, after)))
    return Comparison(
        on,
        tuple(one for one in changes if one.is_decided),
        tuple(one for one in changes if one.reasons and not one.is_decided),
        tuple(one.before for one in changes if not one.reasons),
    )


# What is different between two courses, as a list of small facts.
#
# Names and values only, each with the place it is written on; nothing is said of students, and
# nothing is judged. A skill whose table was taken out and one that is retired are told apart,
# because only the second keeps its history.

TEXTS: Final = frozenset({
    "name", "shown_when", "age_note", "alternative", "remedies", "advice", "said", "you", "at_home",
    "for_children", "touches", "recorded",
})  # fmt: skip
"""What of a skill is read by people alone and decides nothing."""

_ON_THEIR_OWN: Final = frozenset({"id", "unit", "stands_on", "stands_on_some", "place"})


@dataclass(frozen=True)
class Difference:
    """One thing that is different.

    Attributes:
        id: unit-added, unit-gone, unit-changed, units-in-another-order, skill-added, skill-gone,
            skill-renamed, skill-moved, skill-changed, link-added, link-dropped, groups-changed,
            band-added, band-gone or number-changed.
        subject: the unit, skill or band it is about; of a skill renamed, the new one.
        what: the key, the rule or the skill stood on.
        old, new: the values; None where there is none.
        place: where it is written now, else where it was.
    """

    id: str
    subject: str
    what: str = ""
    old: object = None
    new: object = None
    place: Place | None = None


def differences(old: Course, new: Course) -> tuple[Difference, ...]:
    """Return what the second course has otherwise than the first: units, skills, links, numbers."""
    return (*_units(old, new), *_skills(old, new), *_numbers(old, new))


def by_effect(found: Iterable[Difference], compared: Comparison | None) -> tuple[Difference, ...]:
    """Return differences with those first that change something for a student, and texts last."""
    reasons = [] if compared is None else [r for one in compared.changed for r in one.reasons]
    touched = {name for one in reasons for name in (one.skill, *one.members, one.rule) if name}

    def place(one: Difference) -> int:
        if one.what in TEXTS or one.id == "unit-changed":
            return 2
        return 0 if touched & {one.subject, one.what} else 1

    return tuple(sorted(found, key=place))


def _renamed(old: Course, new: Course) -> dict[str, str]:
    """Return the new names of skills by their old ones: retired for a new one, or the same but for its id."""
    added = [skill for skill in new.skills if skill.id not in old.skill]
    heirs = {one.id: one.replaced_by[0] for one in new.skills if len(one.replaced_by) == 1}
    told = {name for name, heir in heirs.items() if name in old.skill and not old.skill[name].replaced_by}
    found = {name: heirs[name] for name in told if heirs[name] in {skill.id for skill in added}}
    gone = [skill for skill in old.skills if skill.id not in new.skill]
    for _ in gone:  # a skill that builds on a renamed one is known by what that one is called now
        for was, now in product(gone, added):
            if was.id not in found and now.id not in found.values() and _is_same(was, now, found):
                found[was.id] = now.id
                break
        else:
            break
    return found


def _is_same(was: Skill, now: Skill, names: Mapping[str, str]) -> bool:
    """Return whether two skills are the same but for what they are called."""
    links = tuple(names.get(one, one) for one in was.stands_on)
    return replace(was, id=now.id, name=now.name, place=now.place, stands_on=links) == now


def _units(old: Course, new: Course) -> Iterator[Difference]:
    for unit in new.units:
        before = old.unit.get(unit.id)
        if before is None:
            yield Difference("unit-added", unit.id, new=unit.name)
            continue
        for key in ("name", "lesson_weeks", "aim"):
            was, now = getattr(before, key), getattr(unit, key)
            if was != now:
                yield Difference("unit-changed", unit.id, key, was, now)
    yield from (
        Difference("unit-gone", unit.id, old=unit.name) for unit in old.units if unit.id not in new.unit
    )
    both = [
        [unit.id for unit in one.units if unit.id in old.unit and unit.id in new.unit] for one in (old, new)
    ]
    if both[0] != both[1]:
        moved = next(now for was, now in zip(*both, strict=True) if was != now)
        yield Difference("units-in-another-order", moved, old=tuple(both[0]), new=tuple(both[1]))


def _skills(old: Course, new: Course) -> Iterator[Difference]:
    names = _renamed(old, new)
    heirs = {heir: name for name, heir in names.items()}
    for skill in new.skills:
        before = old.skill.get(skill.id)
        if skill.id in heirs:
            was = old.skill[heirs[skill.id]]
            yield Difference("skill-renamed", skill.id, was.id, was.name, skill.name, skill.place)
        elif before is None:
            yield Difference("skill-added", skill.id, new=skill.name, place=skill.place)
        elif before != skill:
            yield from _skill(before, skill, renamed=skill.id in names)
            yield from _links(old, new, before, skill, names)
    for skill in old.skills:
        if skill.id not in new.skill and skill.id not in names:
            yield Difference("skill-gone", skill.id, old=skill.name, place=skill.place)


def _skill(before: Skill, skill: Skill, *, renamed: bool) -> Iterator[Difference]:
    if before.unit != skill.unit:
        yield Difference("skill-moved", skill.id, "unit", before.unit, skill.unit, skill.place)
    for key in (field.name for field in fields(Skill) if field.name not in _ON_THEIR_OWN):
        was, now = getattr(before, key), getattr(skill, key)
        if was != now and not (renamed and key in ("retired", "replaced_by")):
            is_day = key in ("since", "retired")
            was, now = (iso(was), iso(now)) if is_day else (was, now)
            yield Difference("skill-changed", skill.id, key, was, now, skill.place)


def _links(
    old: Course, new: Course, before: Skill, skill: Skill, names: Mapping[str, str]
) -> Iterator[Difference]:
    stood_on = {names.get(other, other) for other in before.stands_on}
    for other in skill.stands_on:
        if other not in before.stands_on and other not in stood_on:
            place = new.link_places.get((skill.id, other))
            yield Difference("link-added", skill.id, other, new=other, place=place)
    for other in before.stands_on:
        if other not in skill.stands_on and names.get(other, other) not in skill.stands_on:
            place = old.link_places.get((skill.id, other))
            yield Difference("link-dropped", skill.id, other, old=other, place=place)
    was, now = (tuple((group.at_least, group.of) for group in one.stands_on_some) for one in (before, skill))
    if was != now:
        yield Difference("groups-changed", skill.id, "stands_on_some", was, now, skill.place)


def _numbers(old: Course, new: Course) -> Iterator[Difference]:
    for band in new.bands:
        before = old.band.get(band.name)
        if before is None:
            yield Difference("band-added", band.name, new=band.from_age)
            continue
        for rule in dict.fromkeys((*before.numbers, *band.numbers)):
            was, now = before.numbers.get(rule), band.numbers.get(rule)
            if was != now:
                origin = new.provenance.get((band.name, rule))
                place = origin.place if origin else None
                yield Difference("number-changed", band.name, rule, was, now, place)
    yield from (
        Difference("band-gone", band.name, old=band.from_age)
        for band in old.bands
        if band.name not in new.band
    )


# Where a student's record names something of the course.
#
# Asked before a skill is retired, and to see that no record points nowhere. Nothing is judged.


@dataclass(frozen=True)
class Mention:
    """How a record speaks of some skills.

    Attributes:
        student, name: whose record.
        notes: on how many days it was noted; first, last: the first and last of them.
        aside: whether it was set aside; tasks: how many home tasks are for it.
        other_way: whether another way of showing it was agreed on.
    """

    student: str
    name: str
    notes: int
    first: int | None
    last: int | None
    aside: bool
    tasks: int
    other_way: bool = False


def mentions(record: Record, skills: frozenset[str]) -> Mention | None:
    """Return how a record speaks of some skills, None where it does not."""
    whole = record.entire
    if all(("skill", skill) not in whole.seen.named for skill in skills):
        return None
    days = sorted({
        lesson.on
        for lesson in whole.lessons
        if any(one.skill in skills for one in lesson.showings)
        or not skills.isdisjoint(lesson.named)
    })  # fmt: skip
    aside = any(entry.skill in skills for entry in whole.set_aside)
    tasks = sum(task.for_skill in skills for task in whole.tasks)
    other_way = any(entry.skill in skills for entry in whole.alternatives)
    if not (days or aside or tasks or other_way):
        return None
    first, last = (days[0], days[-1]) if days else (None, None)
    return Mention(record.id, record.name, len(days), first, last, aside, tasks, other_way)


def fits(record: Record, course: Course) -> bool:
    """Return whether everything a record names is in the course or one beside it."""
    taught = (course, *course.beside)
    return all(any(name in getattr(one, kind) for one in taught) for kind, name in record.entire.seen.named)


@dataclass(frozen=True)
class Trial:
    """What a course would do in a studio.

    Attributes:
        problems: its errors, and the warnings that the studio's course does not have.
        course: None where it is refused.
        comparison: who changes; None where it is refused.
        lost: student files that could be read with the studio's course and not with this one.
    """

    problems: tuple[Problem, ...]
    course: Course | None
    comparison: Comparison | None
    lost: tuple[LoadedRecord, ...] = ()


def try_course(studio: Studio, tried: LoadedCourse, on: int, count: Count = iter) -> Trial:
    """Return what a course would do to the students of a studio on a day.

    Args:
        studio: the studio as it is, with a course.
        count: as for :func:`readiness.editing.compare.compare`.
    """
    old = studio.course
    assert old is not None
    told = {(one.id, one.message) for one in studio.problems}
    found = errors(tried.problems)
    new_ones = tuple(p for p in tried.problems if p.severity == "error" or (p.id, p.message) not in told)
    if tried.course is None or found:
        return Trial(new_ones, None, None)
    new = replace(tried.course, beside=old.beside)
    read = [_read_again(one, new) for one in studio.loaded if one.record is not None]
    lost = tuple(again for again in read if again.record is None)
    pairs = {again.record.id: again.record for again in read if again.record is not None}
    records: dict[str, tuple[Record, Record]] = {
        id_: (record, pairs[id_]) for id_, record in studio.records.items() if id_ in pairs
    }
    calendars = {id_: studio.calendar(id_) for id_ in records}
    return Trial(new_ones, new, compare(old, new, records, on, calendars, count), lost)


def _read_again(loaded_record: LoadedRecord, course: Course) -> LoadedRecord:
    """Return a student's file as another course reads it; mostly that is the same record."""
    assert loaded_record.record is not None
    if not course.beside and loaded_record.record.whole is None and fits(loaded_record.record, course):
        return loaded_record
    return load_record(loaded_record.path, course)


# Watching a course while it is edited: after each save, what the files now say.
#
# A :class:`Watcher` looks when it is told to and never waits; whoever calls it has the clock. An
# editor saves in more than one step, so a change counts once two looks in a row find the files
# alike. Everything is compared with the studio as it was when watching began, so that what is
# told is what the edit as a whole does; taking it back tells that nobody changes.

Stamp = tuple[tuple[Path, int, int], ...]


class Watcher:
    """Looks at the files of one course, those it is based on included."""

    def __init__(self, studio: Studio, folder: Path, on: int) -> None:
        """Begin to watch.

        Args:
            studio: the studio as it is now, with a course.
        """
        self.studio, self.folder, self.on = studio, folder, on
        self.files = self._files()
        self.seen = self.last = self._stamp()

    def look(self) -> Trial | None:
        """Return what the course does to the students if it was saved since the last look."""
        now = self._stamp()
        settled, self.last = now == self.last, now
        if not settled or now == self.seen:
            return None
        self.seen = now
        files = read_files(self.folder)
        self.files = self._files()
        self.last = self.seen = self._stamp()
        return try_course(self.studio, course_of(files, self.folder), self.on)

    def _files(self) -> tuple[Path, ...]:
        read = read_files(self.folder)
        own = (self.folder / "graph.toml", self.folder / "pacing.toml")
        return tuple(dict.fromkeys((*own, read.pacing.path, *read.graph.bases, *read.pacing.bases)))

    def _stamp(self) -> Stamp:
        """Return when the files were last written, and how long they are; a missing one is left out."""
        stamps: list[tuple[Path, int, int]] = []
        for path in self.files:
            with suppress(OSError):
                state = path.stat()
                stamps.append((path, state.st_mtime_ns, state.st_size))
        return tuple(stamps)


# Can this skill be deleted, or joined with another? What stands on it, whose records name it.
#
# The answer to "delete" is "retire": what was decided with it must stay explainable. Nothing is
# written; the lines to put into the skill graph are given for the teacher to put there.


@dataclass(frozen=True)
class Retiring:
    """What retiring some skills on a day would do.

    Attributes:
        skills: the skills; into: what takes their place.
        new: those of ``into`` that are not in the course yet.
        uses: (skill, what it names, where) for every skill that names one of them now.
        mentions: how the records speak of them, in order of name.
        both: how many students have notes on more than one of the skills that become one.
        trial: who changes on the day itself, with nothing new noted until then.
        lines: what to put into the skill graph, with the place of the table it goes under.
    """

    skills: tuple[str, ...]
    into: tuple[str, ...]
    day: int
    new: tuple[str, ...]
    uses: tuple[tuple[str, str, Place | None], ...]
    mentions: tuple[Mention, ...]
    both: int
    trial: Trial
    lines: tuple[tuple[str, Place | None], ...]


def retiring(
    studio: Studio, skills: tuple[str, ...], into: tuple[str, ...], day: int, count: Count = iter
) -> Retiring:
    """Return what retiring skills would do; several with one ``into`` are merged.

    Raises:
        readiness.editing.edits.EditError: there is no such skill, or it is retired already.
    """
    course, folder = studio.course, studio.where.course
    assert course is not None
    assert folder is not None
    edits = [Retire(skill, day, into) for skill in skills]
    trial = try_course(studio, course_of(apply(read_files(folder), edits), folder), day, count)
    new = tuple(name for name in into if name not in course.skill)
    found = [mentions(record, frozenset(skills)) for record in studio.records.values()]
    one = [frozenset({name}) for name in (*skills, *(name for name in into if name not in new))]
    both = sum(
        sum(one_of is not None and one_of.notes > 0 for one_of in (mentions(record, name) for name in one))
        > 1
        for record in studio.records.values()
    )
    return Retiring(
        skills, into, day, new, tuple(_uses(course, skills)), tuple(m for m in found if m is not None), both,
        trial, tuple(_lines(course, skills, into, new, day)),
    )  # fmt: skip


def _uses(course: Course, skills: tuple[str, ...]) -> Iterator[tuple[str, str, Place | None]]:
    for user in course.skills:
        for name in dict.fromkeys(user.named):
            if name in skills and user.id not in skills:
                yield user.id, name, course.link_places.get((user.id, name))


def _lines(
    course: Course, skills: tuple[str, ...], into: tuple[str, ...], new: tuple[str, ...], day: int
) -> Iterator[tuple[str, Place | None]]:
    """Yield lines with the place they go under; a new table goes anywhere."""
    for skill in skills:
        text = f"retired = {iso(day)}"
        if into:
            text += "\nreplaced_by = [" + ", ".join(f'"{name}"' for name in into) + "]"
        yield text, course.skill[skill].place
    for name in new:
        yield f"[skill.{name}]\nsince = {iso(day)}", None
