"""Everything that is kept about one student, in plain words, for the family that may read it all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict

from readiness.course.model import Course
from readiness.record.model import AGAIN, Lesson, Record
from readiness.words.deciding import decided_words
from readiness.words.grammar import HELP_WORDS, counted, date_words, listed, quoted, tidy
from readiness.words.page import Section, item
from readiness.words.particulars import PARTICULARS, told_lines

__all__ = ["kept_sections"]


def kept_sections(record: Record, course: Course, day: int) -> tuple[Section, ...]:
    """Return all of a student's file as titled sections, in the order of the file's kinds.

    Args:
        record: the whole file.
        course: what is taught, for the names.
        day: when it is read; under a hold of that day no task is to be done.
    """
    parts = (
        ("What is kept about the student", _header(record)),
        ("Particulars", _particulars(record)),
        ("Units", _units(record, course)),
        ("Lessons", (_lesson(one, course) for one in sorted(record.lessons, key=lambda one: one.on))),
        ("Paused for care", _holds(record)),
        ("Agreed", _agreed(record, course)),
        ("Decisions of the teacher", _decisions(record, course)),
        ("Home tasks", _tasks(record, course, day)),
        ("Promises", _promises(record)),
        ("Who was told", told_lines(record)),
    )
    return tuple(Section(title, tuple(map(item, lines))) for title, lines in parts)


def _header(record: Record) -> Iterator[str]:
    yield f"Name: {tidy(record.name)}. Born: {date_words(record.born)}."
    if record.family:
        yield f"Family: {tidy(record.family)}."
    if record.home_keys is not None:
        yield f"Keys of the instrument at home: {record.home_keys}."
    given = [f"{key} {'yes' if yes else 'no'}" for key, yes in sorted(record.consents.items())]
    yield f"Consents: {f'{listed(given)}; ' if given else ''}what is not noted is a no."


def _particulars(record: Record) -> Iterator[str]:
    known = asdict(record.particulars)
    yield from (f"{title}: {tidy(known[name])}" for name, title in PARTICULARS.items() if known[name])


def _units(record: Record, course: Course) -> Iterator[str]:
    for start in record.unit_starts:
        yield f"{date_words(start.on)}: began {_unit(course, start.unit)}."
    for block in record.settled:
        yield f"{date_words(block.on)}: everything up to {_unit(course, block.through)} was settled."
    for placing in record.placings:
        second = f"; confirmed {date_words(placing.confirmed)}" if placing.confirmed is not None else ""
        yield f"{date_words(placing.on)}: lesson to find the place to start{second}."


def _unit(course: Course, unit: str) -> str:
    found = course.unit.get(unit)
    return f"unit {found.number}, {tidy(found.name)}" if found is not None else tidy(unit)


def _lesson(lesson: Lesson, course: Course) -> str:
    parts = []
    for help_given, words in enumerate(HELP_WORDS):
        names = [_name(course, one.skill) for one in lesson.showings if one.help == help_given]
        if names:
            parts.append(f"{words}: {listed(names)}")
    if lesson.not_tried:
        parts.append(f"not asked: {listed([_name(course, skill) for skill in lesson.not_tried])}")
    parts += [f"about {_name(course, skill)}: {tidy(text)}" for skill, text in lesson.remarks.items()]
    parts += [f"does not like {_name(course, skill)}" for skill in lesson.disliked]
    parts += [f"likes {_name(course, skill)} again" for skill in lesson.liked_again]
    parts += [f"{_name(course, skill)} again {AGAIN[how]}" for skill, how in lesson.tried_again.items()]
    if lesson.note:
        parts.append(f"note: {tidy(lesson.note)}")
    by = f" (noted by {tidy(lesson.by)})" if lesson.by else ""
    return f"{date_words(lesson.on)}{by}: {'; '.join(parts) or 'a lesson, nothing noted'}."


def _name(course: Course, skill: str) -> str:
    found = course.skill.get(skill)
    return quoted(found.name if found is not None else skill)


def _holds(record: Record) -> Iterator[str]:
    for hold in record.holds:
        end = "still open"
        if hold.closed is not None:
            end = f"closed {date_words(hold.closed)} by {tidy(hold.closed_by)}: {tidy(hold.closed_words)}"
        yield f"{date_words(hold.opened)} ({hold.part}): {tidy(hold.words)}; {end}."


def _agreed(record: Record, course: Course) -> Iterator[str]:
    for aside in record.set_aside:
        who = f", agreed with {tidy(aside.agreed_with)}" if aside.agreed_with else ""
        yield f"{date_words(aside.on)}: {_name(course, aside.skill)} set aside{who}."
    for way in record.alternatives:
        who = f"agreed with {tidy(way.agreed_with)}"
        yield f"{date_words(way.on)}: {_name(course, way.skill)} in another way, {who}: {tidy(way.text)}"
    for choice in record.band_choices:
        why = f": {tidy(choice.reason)}" if choice.reason else ""
        yield f"{date_words(choice.on)}: pacing of {choice.band}{why}."


def _decisions(record: Record, course: Course) -> Iterator[str]:
    for one in record.decisions:
        why = f" Reason: {tidy(one.reason)}" if one.reason else ""
        what = f"{_unit(course, one.unit)}: {decided_words(one)}"
        yield f"{date_words(one.on)}, {what}; computed: {one.computed}.{why}"


def _tasks(record: Record, course: Course, day: int) -> Iterator[str]:
    if record.tasks and any(hold.is_open(day) for hold in record.holds):
        yield "While the hold is open, none of these is to be done: no playing."
    for one in record.tasks:
        said = [f"reported: {counted(one.days_reported, 'day')}"] if one.days_reported is not None else []
        said += [tidy(one.reported)] if one.reported else []
        size = f"{counted(one.minutes_day, 'minute')} a day, {counted(one.days_planned, 'day')}"
        yield (
            f"{date_words(one.given)}, for {_name(course, one.for_skill)}: {tidy(one.text)} "
            f"({size}{'; ' if said else ''}{'; '.join(said)})"
        )


def _promises(record: Record) -> Iterator[str]:
    for one in record.promises:
        due = f", due {date_words(one.due)}" if one.due is not None else ""
        end = "open" if one.answered is None else f"answered {date_words(one.answered)}: {tidy(one.answer)}"
        yield f"{date_words(one.given)}, to {tidy(one.to)}{due}: {tidy(one.text)} ({end})"
