"""Trying a course on a studio: refused with its problems, or accepted with who changes.

The one way for every question about an edit: two folders compared, a quick edit, a saved file
that is watched, a skill to be retired. Reads student files, writes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from readiness.course.layers import read_files
from readiness.course.load import course_of, load_course
from readiness.course.model import Course, LoadedCourse
from readiness.days import iso
from readiness.editing.compare import Comparison, Count, compare
from readiness.editing.edits import Retire, apply
from readiness.lazy import dataclass
from readiness.record.load import LoadedRecord, load_record
from readiness.record.model import Record
from readiness.studio.find import read_settings
from readiness.studio.load import Studio, student_files, with_copies_named, with_settings
from readiness.toml.problems import Place, Problem, errors

__all__ = ["CourseWatcher", "Mention", "Retiring", "Trial", "fits", "mentions", "retiring", "try_course"]

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
    return all(any(name in one.nameable[kind] for one in taught) for kind, name in record.entire.seen.named)


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
    """Return what a course would do to a studio's students on a day; ``count`` as for ``compare``."""
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
# A :class:`CourseWatcher` looks when it is told to and never waits; whoever calls it has the clock. An
# editor saves in more than one step, so a change counts once two looks in a row find the files
# alike. Everything is compared with the course as it was when watching began, so that what is
# told is what the edit as a whole does; taking it back tells that nobody changes. Notes are those of now.

Stamp = tuple[tuple[Path, int, int], ...]


class CourseWatcher:
    """Looks at the files of one course, those it is based on included, and at ``studio.toml``."""

    def __init__(self, studio: Studio, folder: Path, on: int) -> None:
        """Begin to watch a studio as it is now, with a course."""
        self.studio, self.folder, self.on = studio, folder, on
        settings = studio.where.file
        self.files = (*load_course(folder).files, *([settings.path] if settings else []))
        self.read = {one.path: (_stamp([one.path]), one) for one in studio.loaded}
        self.seen = self.last = _stamp(self.files)

    def look(self) -> Trial | None:
        """Return what the course does to the students if it was saved since the last look."""
        now = _stamp(self.files)
        settled, self.last = now == self.last, now
        if not settled or now == self.seen:
            return None
        tried = load_course(self.folder)
        self.files = tuple(dict.fromkeys((*self.files, *tried.files)))  # those that are away come back
        self.last = self.seen = _stamp(self.files)
        studio, wrong = self._now()
        return Trial(wrong, None, None) if wrong else try_course(studio, tried, self.on)

    def _now(self) -> tuple[Studio, tuple[Problem, ...]]:
        """Return the studio with the course of the start, and all else as now; what is wrong in its file."""
        settings = self.studio.where.file and read_settings(self.studio.where.file.path, {})
        if settings and settings.value is None:
            return self.studio, errors(settings.problems)
        if settings and settings.value:
            self.studio = with_settings(self.studio, settings.value)
        files, course = tuple(self.read), self.studio.course
        assert course is not None
        with suppress(OSError):
            files = student_files(self.studio.where.students or Path())
        for path in files:
            if (stamp := _stamp([path])) != self.read.get(path, (None,))[0]:
                self.read[path] = stamp, load_record(path, course)
        return replace(self.studio, loaded=with_copies_named([self.read[path][1] for path in files])), ()


def _stamp(files: Iterable[Path]) -> Stamp:
    """Return when files were last written, and how long they are; a missing one is left out."""
    stamps: list[tuple[Path, int, int]] = []
    for path in files:
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
        lines: what to put into the skill graph, with the place of the table it goes under; none if refused.
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
    each = [[mentions(record, name) for name in one] for record in studio.records.values()]
    both = sum(sum(told.notes > 0 for told in some if told is not None) > 1 for some in each)
    links = ((user.id, name) for user in course.skills for name in dict.fromkeys(user.named))
    uses = tuple(
        (user, name, course.link_places.get((user, name)))
        for user, name in links if name in skills and user not in skills
    )  # fmt: skip
    return Retiring(
        skills, into, day, new, uses, tuple(m for m in found if m is not None), both,
        trial, tuple(_lines(course, skills, into, new, day)) if trial.course is not None else (),
    )  # fmt: skip


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
