"""One student file for several courses: what each course sees of it.

A student who sings and plays has one file. A skill with the same id in two courses is the same
skill, so what was noted counts in both; a unit belongs to the one course that teaches it, and
so does what was begun, settled or decided there. A lesson counts for every course of which it
names a skill, and for all where it names none.

A hold pauses every course, except one that uses another part of the body than the hold names,
and only where a course of the same studio uses that part: a sore throat then pauses singing
and not playing. All later steps, judging first, get a record that has been narrowed here, and
none of them asks about courses again.
"""

from __future__ import annotations

from dataclasses import replace

from readiness.course.model import Course, Skill
from readiness.record.model import Lesson, Record

__all__ = ["care_elsewhere", "elsewhere", "seen_from", "shared_skills"]


def elsewhere(course: Course) -> frozenset[str]:
    """Return the parts of the body whose holds pause another course and not this one."""
    return frozenset(other.uses for other in course.beside) - {course.uses}


def shared_skills(course: Course) -> tuple[str, ...]:
    """Return the skills that another course of the studio has too, in the order of the file."""
    others = {skill for other in course.beside for skill in other.skill}
    return tuple(skill for skill in course.skill if skill in others)


def care_elsewhere(course: Course) -> tuple[Skill, ...]:
    """Return the safety points and what is looked at every time that another course alone has."""
    care = (one for other in course.beside for one in other.skills if one.safety or one.always_look)
    return tuple(one for one in care if one.id not in course.skill)


def seen_from(record: Record, course: Course) -> Record:
    """Return a student's file as one course sees it; the file itself where there is no other."""
    if not course.beside:
        return record
    parts = elsewhere(course)
    return replace(
        record,
        unit_starts=tuple(one for one in record.unit_starts if one.unit in course.unit),
        settled=tuple(one for one in record.settled if one.through in course.unit),
        lessons=tuple(_own(one, course) for one in record.lessons if _counts(one, course)),
        holds=tuple(one for one in record.holds if one.part not in parts),
        set_aside=tuple(one for one in record.set_aside if one.skill in course.skill),
        band_choices=tuple(one for one in record.band_choices if one.band in course.band),
        decisions=tuple(one for one in record.decisions if one.unit in course.unit),
        alternatives=tuple(one for one in record.alternatives if one.skill in course.skill),
        tasks=tuple(one for one in record.tasks if one.for_skill in course.skill),
        elsewhere=parts,
        whole=record,
    )


def _counts(lesson: Lesson, course: Course) -> bool:
    named = {*(showing.skill for showing in lesson.showings), *lesson.named}
    return not named or any(skill in course.skill for skill in named)


def _own(lesson: Lesson, course: Course) -> Lesson:
    """Return a lesson with what it says about the skills of this course."""
    return replace(
        lesson,
        showings=tuple(one for one in lesson.showings if one.skill in course.skill),
        not_tried=tuple(skill for skill in lesson.not_tried if skill in course.skill),
        remarks={skill: text for skill, text in lesson.remarks.items() if skill in course.skill},
        disliked=tuple(skill for skill in lesson.disliked if skill in course.skill),
        liked_again=tuple(skill for skill in lesson.liked_again if skill in course.skill),
        tried_again={skill: how for skill, how in lesson.tried_again.items() if skill in course.skill},
    )
