"""Whose notes these are now: skills of the columns as skills of the course on a day.

Most often every skill is itself, or has a new name, and the numbers are looked up in the loop.
Where one skill took the place of several, or several that of one, notes are copied and sorted
anew and of two on one day the one with more help is kept (rule R1); that takes longer.
"""

from __future__ import annotations

import numpy as np

from readiness.cohort.columns import Columns, Notes, starts_of
from readiness.cohort.prepare import BadPartError
from readiness.course.model import Course

__all__ = ["Naming"]


class Naming:
    """The skills of the course that the skills of some columns stand for.

    Attributes:
        numbers: by number in the notes that :meth:`apply` returns, the skill of the course; as
            many as it has skills where a skill is gone and nothing took its place.
    """

    def __init__(self, columns: Columns, course: Course) -> None:
        index = course.plan.index
        gone = len(index)
        self._unknown = [i for i, name in enumerate(columns.skills) if name not in index]
        self._names = columns.skills
        self._part = columns.part
        self._targets = [
            tuple(index[heir] for heir in course.stands_for.get(name, (name,)) if heir in index) or (gone,)
            for name in columns.skills
        ]
        taken = [of for targets in self._targets for of in targets if of != gone]
        self._is_plain = len(set(taken)) == len(taken) and all(len(of) == 1 for of in self._targets)
        self.numbers = [of[0] for of in self._targets] if self._is_plain else [*range(gone + 1)]

    def apply(self, notes: Notes) -> Notes:
        """Return notes with such numbers, sorted as before.

        Raises:
            BadPartError: a note is on a skill that the course does not have.
        """
        if len(notes.skill) and notes.skill.max() >= len(self._names):
            message = f"{self._part}: a skill has a number without a name."
            raise BadPartError(self._part, "damaged", message)
        if self._unknown and len(found := np.intersect1d(notes.skill, self._unknown)):
            listed = ", ".join(f'"{self._names[number]}"' for number in found)
            raise BadPartError(
                self._part, "unknown-skill", f"{self._part}: the course has no skill {listed}."
            )
        return notes if self._is_plain else self._merged(notes)

    def _merged(self, notes: Notes) -> Notes:
        counts = np.array([len(of) for of in self._targets])
        of_code = starts_of(counts)
        flat = np.array([of for targets in self._targets for of in targets])
        times = counts[notes.skill]
        old = np.repeat(np.arange(len(times)), times)
        begin = starts_of(times)[:-1]
        skill = flat[of_code[notes.skill][old] + np.arange(len(old)) - begin[old]]
        student, day, help_given = notes.student[old], notes.day[old], notes.help[old]
        order = np.lexsort((help_given, day, skill, student))
        student, skill, day, help_given = (one[order] for one in (student, skill, day, help_given))
        same = (student[1:] == student[:-1]) & (skill[1:] == skill[:-1]) & (day[1:] == day[:-1])
        keep = np.append(~same, True)[: len(day)]
        return Notes(student[keep], skill[keep].astype(np.uint16), day[keep], help_given[keep])
