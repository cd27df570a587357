"""What is on the screen right after noting, while the child still stands beside it.

First what went well; then, in one quiet sentence, what the notes come to. No name of a skill
that did not come, no large word: that is for when the child has gone.
"""

from __future__ import annotations

from typing import Final

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.noting import NewLesson
from readiness.words.brief import verdict_brief
from readiness.words.grammar import listed, tidy

__all__ = ["noted_quietly"]

_AT_MOST: Final = 3
_CAME: Final = (("Went well: ", (0,)), ("Went well with a little help: ", (1, 2, 3)))
"""How help is told here; the numbers are indices into HELPS, without that of not shown."""


def noted_quietly(lesson: NewLesson, before: Answer, now: Answer, course: Course) -> str:
    """Return what went well in a lesson that was noted, and then the answer.

    Args:
        lesson: what was noted; before, now: the answers without it and with it.
        course: what is taught.
    """
    found = (_came(lesson, course, lead, helps) for lead, helps in _CAME)
    well = next(filter(None, found), "Thank you for trying so many things.")
    then, today = verdict_brief(before), verdict_brief(now)
    return f"{well}\nNoted. Before: {then}. Now: {today}. Key u takes it back."


def _came(lesson: NewLesson, course: Course, lead: str, helps: tuple[int, ...]) -> str:
    names = [tidy(course.skill[one].name) for one, help_ in lesson.helps.items() if help_ in helps]
    more = [f"{len(names) - _AT_MOST} more"] if len(names) > _AT_MOST + 1 else []
    told = names[:_AT_MOST] + more if more else names
    return f"{lead}{listed([one[:1].lower() + one[1:] for one in told])}." if told else ""
