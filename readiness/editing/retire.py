"""Can this skill be deleted, or joined with another? What stands on it, whose records name it.

The answer to "delete" is "retire": what was decided with it must stay explainable. Nothing is
written; the lines to put into the skill graph are given for the teacher to put there.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.layers import read_files
from readiness.course.load import course_of
from readiness.course.model import Course
from readiness.days import iso
from readiness.editing.compare import Count
from readiness.editing.dry_run import Mention, Trial, mentions, try_course
from readiness.editing.edits import Retire, apply
from readiness.lazy import dataclass
from readiness.studio.load import Studio
from readiness.toml.problems import Place

__all__ = ["Retiring", "retiring"]


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
