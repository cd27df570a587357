"""One lesson being noted: what was answered so far, and the way back from a slip.

A value to fill, without a screen and without a file. After every change whoever holds it
keeps :meth:`Round.lesson` safe.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from readiness.record.noting import NewLesson

__all__ = ["Ask", "Round"]


@dataclass(frozen=True, slots=True)
class Ask:
    """One line of the sheet: the skills seen in it (none for a free choice), and why it is there."""

    skills: tuple[str, ...]
    why: str
    title: str


class Round:
    """The answers of one lesson, in the order of the sheet."""

    def __init__(self, asks: Iterable[Ask], lesson: NewLesson) -> None:
        """Begin with a sheet and what was kept of it before."""
        self.asks = list(asks)
        self.lesson = lesson
        self._before: list[NewLesson] = []
        known = {skill for ask in self.asks for skill in ask.skills}
        for skill in (*lesson.helps, *lesson.remarks):
            if skill not in known:
                self.add(skill, skill)

    def add(self, skill: str, title: str) -> int:
        """Put one more skill on the sheet; return where it stands."""
        for at, ask in enumerate(self.asks):
            if skill in ask.skills:
                return at
        end = len(self.asks) - 1 if self.asks and not self.asks[-1].skills else len(self.asks)
        self.asks.insert(end, Ask((skill,), "added", title))
        return end

    def open_up(self, at: int, titles: Iterable[str]) -> None:
        """Take a line of several skills apart, one line each."""
        ask = self.asks[at]
        if len(ask.skills) > 1:
            pairs = zip(ask.skills, titles, strict=True)
            self.asks[at : at + 1] = [Ask((skill,), ask.why, title) for skill, title in pairs]

    def mark(self, at: int, given: int | None) -> None:
        """Note how a line was shown; None: not asked."""
        skills = self.asks[at].skills
        helps = {skill: help_ for skill, help_ in self.lesson.helps.items() if skill not in skills}
        left = tuple(skill for skill in self.lesson.not_tried if skill not in skills)
        if given is None:
            left += skills
        else:
            helps |= dict.fromkeys(skills, given)
        self._change(replace(self.lesson, helps=helps, not_tried=left))

    def note(self, words: str) -> None:
        """Put a few words about the whole lesson."""
        self._change(replace(self.lesson, note=words))

    def remark(self, at: int, words: str) -> None:
        """Put a few words to a line; to the lesson where the line is a free choice."""
        skills = self.asks[at].skills
        if not skills:
            self.note(words)
            return
        remarks = {skill: text for skill, text in self.lesson.remarks.items() if skill not in skills}
        if words:
            remarks[skills[0]] = words
        self._change(replace(self.lesson, remarks=remarks))

    def words(self, at: int) -> str:
        """Return the remark of a line."""
        skills = self.asks[at].skills
        if not skills:
            return self.lesson.note
        return next((self.lesson.remarks[skill] for skill in skills if skill in self.lesson.remarks), "")

    def answer(self, at: int) -> int | str | None:
        """Return the help noted for a line, "left" for not asked, "mixed", None for nothing."""
        skills = self.asks[at].skills
        given = {self._one(skill) for skill in skills}
        return given.pop() if len(given) == 1 else "mixed" if given else None

    def _one(self, skill: str) -> int | str | None:
        return "left" if skill in self.lesson.not_tried else self.lesson.helps.get(skill)

    def undo(self) -> bool:
        """Take the last change back; False when there is none."""
        if not self._before:
            return False
        self.lesson = self._before.pop()
        return True

    def finished(self) -> NewLesson:
        """Return the lesson to be noted: what was not answered was not asked."""
        rest = (skill for skill in self._skills() if self._one(skill) is None)
        return replace(self.lesson, not_tried=(*self.lesson.not_tried, *rest))

    def _skills(self) -> Iterator[str]:
        return (skill for ask in self.asks for skill in ask.skills)

    def _change(self, lesson: NewLesson) -> None:
        self._before.append(self.lesson)
        self.lesson = lesson
