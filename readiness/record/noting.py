"""Noting a lesson: what was shown, with how much help, as one block at the end of the file.

Checks before it writes, all mistakes at once, each a value with one sentence; with a single
mistake nothing is written at all. The day is an argument, so nothing here knows a clock.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.course.find import find_skill
from readiness.course.model import Course
from readiness.days import as_born, birth_day, iso
from readiness.lazy import dataclass, fields_of
from readiness.record.append import Checked, Unless, add_blocks, block, with_lessons
from readiness.record.model import AGAIN, SHOWN, Lesson, Record, Showing
from readiness.record.rhythm import Event
from readiness.toml.texts import unseen
from readiness.toml.write import Refusal, not_written

if TYPE_CHECKING:
    from readiness.record.schema import StudentFile

__all__ = [
    "NewLesson", "check_day", "check_lesson", "lesson_text", "note_lesson", "odd_day", "odd_letters",
    "unless_of_another", "with_lesson", "without_notes",
]  # fmt: skip


@dataclass(frozen=True)
class NewLesson:
    """A lesson to be noted.

    Attributes:
        helps: by skill id, an index into HELPS.
        not_tried: ids of what was left out; says nothing about them.
        by: initials of who noted it; note: a few words; remarks: a few words by skill id.
        disliked: ids of what the student does not like; another is proposed where one will do.
        liked_again: ids of what was disliked and is liked after all.
        tried_again: by skill id, how it was tried again with less: a key of AGAIN.
    """

    on: int
    helps: Mapping[str, int] = field(default_factory=dict)
    not_tried: tuple[str, ...] = ()
    by: str = ""
    note: str = ""
    remarks: Mapping[str, str] = field(default_factory=dict)
    disliked: tuple[str, ...] = ()
    liked_again: tuple[str, ...] = ()
    tried_again: Mapping[str, str] = field(default_factory=dict)

    @property
    def is_empty(self) -> bool:
        """Return whether nothing at all was entered."""
        return not (self.note or self.named)

    @property
    def says_nothing(self) -> bool:
        """Return whether there is nothing in it to note: what was left out says nothing."""
        return replace(self, not_tried=()).is_empty

    @property
    def named(self) -> tuple[str, ...]:
        """Every skill it names, those of several lists several times."""
        said = (*self.remarks, *self.disliked, *self.liked_again, *self.tried_again)
        return (*self.helps, *self.not_tried, *said)

    def liking(self, skills: Sequence[str], disliked: AbstractSet[str]) -> NewLesson:
        """Return it with skills noted as not liked, or as liked again; what was noted so is taken back."""
        back = tuple(skill for skill in skills if skill in disliked)
        new = tuple(skill for skill in skills if skill not in disliked)
        return replace(
            self, disliked=_turned(self.disliked, new), liked_again=_turned(self.liked_again, back)
        )

    def again(self, skills: Iterable[str]) -> NewLesson:
        """Return it with the next way in which some things were tried again; after the last way none."""
        ways, noted = ("", *AGAIN, ""), dict(self.tried_again)
        for skill in skills:
            noted[skill] = ways[ways.index(noted.get(skill, "")) + 1]
        return replace(self, tried_again={skill: how for skill, how in noted.items() if how})


def _turned(noted: Sequence[str], skills: Sequence[str]) -> tuple[str, ...]:
    """Return a list with some skills added, without those that were in it."""
    kept = (skill for skill in noted if skill not in skills)
    return (*kept, *(skill for skill in skills if skill not in noted))


def check_lesson(
    course: Course, record: Record, lesson: NewLesson, listed: Iterable[str], today: int
) -> tuple[Refusal, ...]:
    """Return everything that is wrong with a lesson to be noted.

    Args:
        listed: every skill id as entered, so that one entered twice is seen.
        today: the latest day a lesson can have had.
    """
    found = [*check_day(record, lesson.on, today), *_twice(listed), *_unknown(course, lesson)]
    if lesson.is_empty:
        found.append(Refusal("nothing-to-note", "nothing was entered, so there is nothing to note."))
    found += _contradicting(lesson)
    return (*found, *odd_letters(lesson.by), *odd_letters(lesson.note, *lesson.remarks.values(), also="\n\t"))


def odd_letters(*texts: str, also: str = "") -> tuple[Refusal, ...]:
    """Return a refusal for each text with an unseen character that is not ``also`` allowed."""
    odd = [letter for text in texts if (letter := unseen(text, also))]
    return tuple(
        Refusal("odd-character", f"a text has a character in it that cannot be shown (U+{ord(letter):04X}).")
        for letter in odd
    )


def check_day(record: Record, on: int, today: int) -> Iterable[Refusal]:
    """Yield why nothing can be noted for a day: it has not come, or is before the birth."""
    if on > today:
        yield Refusal("future-day", f"{iso(on)} has not come yet; things are noted after they happened.")
    if on < record.born:
        yield Refusal("before-birth", f"{iso(on)} is before {record.name} was born ({as_born(record.born)}).")


_FAR: Final = 60
"""A lesson further than so many days from every other one is odd. Common practice, no source."""


def odd_day(record: Record, on: int, today: int, events: Iterable[Event]) -> Iterable[Refusal]:
    """Yield what is odd about the day of a lesson; about today nothing is, nor of one that has a lesson.

    Args:
        record: whose lesson; on: its day; today: the day on which it is noted.
        events: of the studio, with its holidays.
    """
    days, when = [lesson.on for lesson in record.lessons], iso(on)
    if on == today or on in days:
        return
    if days and on < min(days):
        yield Refusal("before-first", f"{when} is before the first lesson noted, {iso(min(days))}.")
    elif days and min(abs(on - day) for day in days) > _FAR:
        yield Refusal("far-day", f"{when} is more than {_FAR} days from every other lesson.")
    began = min((start.on for start in record.unit_starts), default=on)
    if not days and began - on > _FAR:
        told = f"{when} is more than {_FAR} days before the first unit began, {iso(began)}."
        yield Refusal("before-start", told)
    for event in events:
        if event.is_stretch and event.first <= on <= event.last:
            yield Refusal("in-holiday", f"{when} is in {event.name}.")


def _twice(listed: Iterable[str]) -> Iterable[Refusal]:
    for skill in (skill for skill, times in Counter(listed).items() if times > 1):
        message = f'"{skill}" was entered twice; please give it once, with the most help that was needed.'
        yield Refusal("skill-twice", message)


def _unknown(course: Course, lesson: NewLesson) -> Iterable[Refusal]:
    for skill in lesson.named:
        if skill not in course.skill:
            meant = find_skill(course, skill)
            message = f'"{skill}" is no id of a skill; what could be meant has the id "{meant}".'
            yield meant if isinstance(meant, Refusal) else Refusal("unknown-skill", message)


def _contradicting(lesson: NewLesson) -> Iterable[Refusal]:
    """Yield what is noted as not liked and as liked again, and ways of trying again that are none."""
    for skill in lesson.disliked:
        if skill in lesson.liked_again:
            yield Refusal("liked-twice", f'"{skill}" is noted as not liked and as liked again.')
    for how in lesson.tried_again.values():
        if how not in AGAIN:
            message = f'"{how}" is not a way of trying again; the ways are {", ".join(AGAIN)}.'
            yield Refusal("tried-again", message)


def lesson_text(lesson: NewLesson) -> str:
    """Return the lesson as the block to be added."""
    lists = {
        name: [skill for skill, given in lesson.helps.items() if given == help_index]
        for help_index, name in enumerate(SHOWN)
    }
    _on, _helps, *rest = fields_of(lesson)
    return block("lesson", [("on", date.fromordinal(lesson.on)), *lists.items(), *rest])


def with_lesson(record: Record, lesson: NewLesson) -> Record:
    """Return a record as it is once a lesson is noted behind all that is there; it is on no line yet."""
    showings = tuple(Showing(skill, given, 0) for skill, given in lesson.helps.items())
    _on, _helps, *rest = fields_of(lesson)
    return replace(record, lessons=(*record.lessons, Lesson(lesson.on, showings, **dict(rest))))


def without_notes(record: Record, on: int, skills: Sequence[str]) -> Record:
    """Return a record as it is once the notes of a day on some skills are corrected."""
    left = ((one, [each for each in one.showings if each.skill not in skills]) for one in record.lessons)
    lessons = (replace(one, showings=tuple(some)) if one.on == on else one for one, some in left)
    return replace(record, lessons=tuple(lessons))


def note_lesson(
    course: Course,
    record: Record,
    lesson: NewLesson,
    folder: Path,
    today: int,
    checked: Checked | None = None,
    *,
    is_placing: bool = False,
) -> tuple[Refusal, ...]:
    """Check a lesson and add it to the student's file; empty when it is safely there.

    Args:
        lesson: what was shown; folder: the students folder.
        today: the latest day a lesson can have had.
        checked: what the record was read from, where that had no problem.
        is_placing: whether the same entry says that it was a placing lesson.
    """
    path, text = record.own_path, lesson_text(lesson)
    wrong = check_lesson(course, record, lesson, (*lesson.helps, *lesson.not_tried), today)
    if wrong:
        return wrong

    def is_right(data: bytes) -> bool:
        return with_lessons(data, path, checked, course) is not None

    if is_placing and not any(one.on == lesson.on for one in record.placings):
        text = block("placing", [("on", date.fromordinal(lesson.on))]) + "\n" + text
    refusal = add_blocks(path, folder, text, unless_of_another(record), is_right=is_right)
    return () if refusal is None else (refusal,)


def unless_of_another(record: Record) -> Unless:
    """Return a last look at the file: its id may have been given to another student while a round is open."""

    def look(file: StudentFile) -> Refusal | None:
        if file.name == record.name or birth_day(file.born) == record.born:
            return None
        why = f"{record.path} is the file of {file.name} now, not of {record.name}."
        return not_written("another-student", why)

    return look
