"""One lesson being noted: what was answered so far, and the way back from a slip.

A value to fill, without a screen and without a file. After every change whoever holds it
keeps :attr:`Round.lesson` safe.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from collections.abc import Set as AbstractSet
from dataclasses import replace

from readiness.lazy import dataclass
from readiness.record.noting import NewLesson

__all__ = ["Ask", "Round"]


@dataclass(frozen=True)
class Ask:
    """One line of the sheet: the skills seen in it (none for a free choice), and why it is there."""

    skills: tuple[str, ...]
    why: str


class Round:
    """The answers of one lesson, in the order of the sheet."""

    def __init__(
        self, asks: Iterable[Ask], lesson: NewLesson, title: Callable[[tuple[str, ...]], str]
    ) -> None:
        """Begin with a sheet and what was kept of it before; ``title`` says what a line is called."""
        self.asks = list(asks)
        self.lesson = lesson
        self._title = title
        self._before: list[NewLesson] = []
        known = set(self._skills())
        for skill in dict.fromkeys(lesson.named):
            if skill not in known:
                self.add(skill)

    def title(self, at: int) -> str:
        """Return what a line is called."""
        return self._title(self.asks[at].skills)

    def add(self, skill: str) -> int:
        """Put one more skill on the sheet; return where it stands."""
        for at, ask in enumerate(self.asks):
            if skill in ask.skills:
                return at
        end = len(self.asks) - 1 if self.asks and not self.asks[-1].skills else len(self.asks)
        self.asks.insert(end, Ask((skill,), "added"))
        return end

    def ask(self, skills: tuple[str, ...], why: str) -> int:
        """Ask for these at one glance, or for the first of them where they were taken apart."""
        lines = [ask.skills for ask in self.asks]
        if skills not in lines and skills[:1] not in lines:
            self.asks.append(Ask(skills, why))
            return len(self.asks) - 1
        return lines.index(skills if skills in lines else skills[:1])

    def open_up(self, at: int) -> None:
        """Take a line of several skills apart, one line each."""
        ask = self.asks[at]
        if len(ask.skills) > 1:
            self.asks[at : at + 1] = [Ask((skill,), ask.why) for skill in ask.skills]

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

    def remark(self, skills: tuple[str, ...], words: str) -> None:
        """Put a few words to a line of these skills; to the whole lesson where there are none."""
        if not skills:
            self._change(replace(self.lesson, note=words))
            return
        remarks = {skill: text for skill, text in self.lesson.remarks.items() if skill not in skills}
        if words:
            remarks[skills[0]] = words
        self._change(replace(self.lesson, remarks=remarks))

    def like(self, at: int, disliked: AbstractSet[str]) -> None:
        """Note a line as not liked, what is one of ``disliked`` as liked again; or take that back."""
        self._change(self.lesson.liking(self.asks[at].skills, disliked))

    def try_again(self, at: int) -> None:
        """Note the next way in which a line was tried again; after the last way none."""
        self._change(self.lesson.again(self.asks[at].skills))

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

    @property
    def can_undo(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._before)

    def undo(self, at: int) -> int:
        """Take the last change back; return the line it was made in, ``at`` where it was in none."""
        then = self._told()
        self.lesson = self._before.pop()
        pairs = enumerate(zip(then, self._told(), strict=True))
        return next((line for line, (old, new) in pairs if old != new), at)

    def _told(self) -> list[object]:
        """Return what stands in each line."""
        return [(self.answer(at), self.words(at)) if ask.skills else () for at, ask in enumerate(self.asks)]

    def finished(self) -> NewLesson:
        """Return the lesson to be noted: what stands on the sheet without an answer was not asked."""
        rest = (skill for skill in self._skills() if self._one(skill) is None)
        return replace(self.lesson, not_tried=(*self.lesson.not_tried, *rest))

    def _skills(self) -> Iterator[str]:
        return (skill for ask in self.asks for skill in ask.skills)

    def _change(self, lesson: NewLesson) -> None:
        self._before.append(self.lesson)
        self.lesson = lesson
