"""The quick round over what a lesson offers: one key a line, nothing lost on the way.

After every answer all of it is kept beside the student's file, so that a closed lid costs
nothing. What is asked, in which order, and what each key does is the business of ``advice.offer``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from types import MappingProxyType
from typing import Protocol

from readiness.advice.offer import FINE, KEYS, Answers, Offered, line_letter
from readiness.cli.keys import BACK, ENDED, ENTER
from readiness.course.find import find_skill
from readiness.course.model import Course
from readiness.record.noting import NewLesson
from readiness.toml.write import Refusal
from readiness.words.english import HELP_WORDS, WHY_BRIEF, glance_words
from readiness.words.grammar import tidy
from readiness.words.layout import lay_out
from readiness.words.noting import (
    HURTS,
    KEY_SAID,
    NO_KEY,
    NO_PAUSE,
    NOT_THERE,
    NOTHING_THERE,
    OTHER,
    fine_words,
    last_words,
)
from readiness.words.placing_round import (
    beside_words,
    closing_words,
    counts_words,
    keys_words,
    ladder_words,
    question_words,
)

__all__ = ["Round", "Typist"]


class Typist(Protocol):
    """Whoever sits at the keys."""

    def say(self, text: str, end: str = "\n") -> None:
        """Show a text."""

    def key(self) -> str:
        """Return the next key."""

    def line(self, prompt: str) -> str | None:
        """Return a line of words."""


class Round:
    """One lesson being entered."""

    last: Mapping[str, tuple[int, int]] = MappingProxyType({})
    """By skill, with how much help it was shown last, and when."""
    near: Sequence[Iterable[str]] = ()
    """Where a skill that is typed is looked for first."""
    pause: Callable[[str], str] | None = None
    """Opens a pause with the words that were said, and returns what is to be said then."""

    def __init__(
        self,
        course: Course,
        items: Iterable[Offered],
        lesson: NewLesson,
        typist: Typist,
        keep: Callable[[NewLesson], None],
        width: int = 80,
        disliked: AbstractSet[str] = frozenset(),
    ) -> None:
        """Begin with a sheet, what was entered before, and what was noted as not liked."""
        self.course, self.typist, self.keep, self.width = course, typist, keep, width
        self.answers = Answers(course, items, lesson, disliked)

    def go(self) -> NewLesson | None:
        """Ask until it is done; None when it is left for later."""
        self.typist.say(keys_words(self.width))
        while True:
            ended = self._questions()
            if ended in (ENDED, "."):
                return self.answers.finished() if ended else None
            closed = self._close()
            if closed in (ENTER, "l", ENDED):
                return self.answers.finished() if closed == ENTER else None

    def _questions(self) -> str:
        """Ask one line after another; return the key that ended it."""
        while self.answers.asked:
            key = self._ask()
            if key in (ENDED, "q", "."):
                return key
        return "q"

    def _ask(self) -> str:
        """Ask what is asked now and do what the key says; return the key, ``q`` where it is to stop here."""
        told, why = self._which()
        title = "; ".join(map(self._title, self.answers.asked))
        self.typist.say(question_words(told, title, why, self.width), end="")
        key = self.typist.key()
        return "q" if self._press(key) else key

    def _press(self, key: str) -> bool:
        """Do what a key says and say so; return whether a pause ends the questions."""
        skills, was = self.answers.asked_skills, self.answers.lesson
        does = self.answers.press(key)
        if does is not None:
            self.typist.say(HELP_WORDS[does] if isinstance(does, int) else self._said(does, skills, was))
        if self.answers.lesson is not was:
            self.keep(self.answers.lesson)
        if does in ("remark", "whole"):
            self._words(skills if does == "remark" else ())
        elif does == "other":
            found = find_skill(self.course, self.typist.line(OTHER) or "", own=self.near)
            if isinstance(found, Refusal):
                self._tell(f"{found.message} {NOT_THERE}")
            else:
                self.answers.picked = [self.answers.line_of((found,))]
        elif does is None:
            self._explain(skills, key)
        return does == "hurts" and self._hurts()

    def _said(self, does: str, skills: tuple[str, ...], was: NewLesson) -> str:
        if does in ("like", "again"):
            return beside_words(self.answers.lesson, skills) or "as before"
        if does == FINE:
            return fine_words(len(self.answers.lesson.helps) - len(was.helps))
        return KEY_SAID.get(does, "")

    def _tell(self, text: str) -> None:
        self.typist.say(lay_out([text], self.width), end="")

    def titles(self) -> dict[str, str]:
        """Return by its letter what each line asks for."""
        return {line_letter(at): self._title(line) for at, line in enumerate(self.answers.lines)}

    def _title(self, line: Offered) -> str:
        return glance_words([tidy(self.course.skill[one].name) for one in line.skills])

    def _which(self) -> tuple[str, str]:
        """Return which of the lines are asked, why, and how they were shown last."""
        lines = self.answers.lines
        letters = [line_letter(lines.index(line)) for line in self.answers.asked]
        if len(letters) > 1:
            return ", ".join(letters), ""
        skills = self.answers.asked_skills
        last = last_words({self.course.skill[one].name: self.last.get(one) for one in skills})
        why = (WHY_BRIEF.get(self.answers.asked[0].why, ""), last if self.last else "")
        return f"{letters[0]}/{line_letter(len(lines) - 1)}", "; ".join(filter(None, why))

    def _hurts(self) -> bool:
        """Ask for the words of what hurts and open a pause with them; return whether one was opened."""
        self._tell(HURTS)
        words = (self.typist.line("what was said: ") or "").strip()
        if not words or self.pause is None:
            self._tell(NO_PAUSE)
            return False
        self.typist.say(self.pause(words))
        return True

    def _words(self, skills: tuple[str, ...]) -> None:
        """Ask for a few words about some skills; about the whole lesson where there are none."""
        about = "" if skills else " about the lesson"
        if words := (self.typist.line(f"a few words{about}: ") or "").strip():
            self.answers.remark(skills, words)
            self.keep(self.answers.lesson)

    def _explain(self, skills: Sequence[str], key: str) -> None:
        """Say what counts and which keys there are, or that there was nothing to do."""
        self.typist.say(told := NOTHING_THERE.get(KEYS.get(key, ""), ""))
        if key == "?":
            for skill in skills:
                self.typist.say(counts_words(self.course.skill[skill], self.width))
            self.typist.say(keys_words(self.width))
        elif not told:
            self.typist.say(ladder_words(width=self.width))

    def _close(self) -> str:
        """Ask what to do with what was entered; return ENTER, l, or u where a line is asked again."""
        while True:
            left = sum(self.answers.given(line) in (None, "mixed") for line in self.answers.lines)
            self.typist.say(closing_words(self.answers.lesson, left, self.width))
            key = self.typist.key().replace(".", ENTER).replace("q", "l")
            if key in (ENTER, "l", ENDED):
                return key
            if key == '"':
                self._words(())
            elif key in ("u", BACK) or key.isupper():
                self._press(key)
                return "u"
            else:
                self.typist.say(NO_KEY)
