"""The quick round over what a lesson offers: one key a line, nothing lost on the way.

After every answer all of it is kept beside the student's file, so that a closed lid costs
nothing. What is asked, in which order, and what each key does is the business of ``advice.offer``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from types import MappingProxyType
from typing import Protocol

from readiness.advice.offer import FINE, KEYS
from readiness.cli.keys import BACK, ENDED, ENTER
from readiness.course.find import find_skill
from readiness.course.model import Course
from readiness.lazy import dataclass
from readiness.record.noting import NewLesson
from readiness.toml.write import Refusal
from readiness.words.brief import WHY_BRIEF, glance_words
from readiness.words.grammar import HELP_WORDS, tidy
from readiness.words.placing_round import (
    beside_words,
    closing_words,
    counts_words,
    keys_words,
    question_words,
)
from readiness.words.today import HURTS, NO_PAUSE, NOT_THERE, OTHER, fine_words, last_words

__all__ = ["AskedLine", "Round", "Typist"]


class Typist(Protocol):
    """Whoever sits at the keys."""

    def say(self, text: str, end: str = "\n") -> None:
        """Show a text."""

    def key(self) -> str:
        """Return the next key."""

    def line(self, prompt: str) -> str | None:
        """Return a line of words."""


class Asked(Protocol):
    """A line of a sheet or of an offer."""

    @property
    def skills(self) -> tuple[str, ...]:
        """What is looked at in it; nothing where the student chooses."""

    @property
    def why(self) -> str:
        """Why, as an id."""


@dataclass(frozen=True)
class AskedLine:
    """One question: the skills that its answer is about, and a few words on why it is asked."""

    skills: tuple[str, ...]
    why: str


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
        items: Iterable[Asked],
        lesson: NewLesson,
        typist: Typist,
        keep: Callable[[NewLesson], None],
        width: int = 80,
        disliked: AbstractSet[str] = frozenset(),
    ) -> None:
        """Begin with a sheet, what was entered before, and what was noted as not liked."""
        self.disliked = disliked
        self.course, self.lesson, self.typist, self.keep = course, lesson, typist, keep
        self.width = width
        self.lines = [line for item in items for line in self._lines(item)]
        known = {skill for line in self.lines for skill in line.skills}
        answered = dict.fromkeys((*lesson.helps, *lesson.not_tried))
        self.lines[:0] = [AskedLine((skill,), "") for skill in answered if skill not in known]
        self.at = self._next(0)

    def add(self, skills: tuple[str, ...], why: str) -> None:
        """Add a line at the end, with a few words on why it is asked."""
        self.lines.append(AskedLine(skills, why))

    def go(self) -> NewLesson | None:
        """Ask until it is done; None when it is left for later."""
        self.typist.say(keys_words(several=any(len(line.skills) > 1 for line in self.lines)))
        while True:
            ended = self._questions()
            if ended in (ENDED, "."):
                return self._whole() if ended else None
            closed = self._close()
            if closed != "u":
                return self._whole() if closed == ENTER else None

    def _questions(self) -> str:
        """Ask one line after another; return the key that ended it."""
        while self.at < len(self.lines):
            key = self._ask()
            if key in (ENDED, "q", "."):
                return key
        return "q"

    def _lines(self, item: Asked) -> Iterator[AskedLine]:
        """Yield the line of an item; one for each skill where only some have an answer already."""
        why = WHY_BRIEF.get(item.why, "")
        whole = AskedLine(item.skills, why)
        if len(self._open(whole)) in (0, len(item.skills)):
            if item.skills:
                yield whole
            return
        yield from (AskedLine((skill,), why) for skill in item.skills)

    def _open(self, line: AskedLine) -> tuple[str, ...]:
        """Return the skills of a line that have no answer yet."""
        return tuple(s for s in line.skills if s not in self.lesson.helps and s not in self.lesson.not_tried)

    def _next(self, at: int) -> int:
        """Return where the first line without an answer is, from one on."""
        later = range(at, len(self.lines))
        return next((i for i in later if self._open(self.lines[i]) == self.lines[i].skills), len(self.lines))

    def _ask(self) -> str:
        """Ask one line and do what the key says; return the key, ``q`` where the round is to stop here."""
        line = self.lines[self.at]
        title = glance_words([tidy(self.course.skill[skill].name) for skill in line.skills])
        told, why = self._which(line)
        self.typist.say(question_words(told, title, why, self.width), end="")
        key = self.typist.key().lower()
        does = KEYS.get(key)
        if isinstance(does, int) or does == "left":
            self._answer(line, does if isinstance(does, int) else None)
        elif does in ("stop", "done"):
            self.typist.say("stop here" if key else "")
        elif does is not None and (does != "apart" or len(line.skills) > 1):
            return self._do(does, line, key)
        else:
            self.typist.say("")
            self._explain(line, key)
        return key

    def _do(self, does: str | int, line: AskedLine, key: str) -> str:
        """Do what is no answer to a line; return the key, ``q`` where a pause ends the questions."""
        if does == "hurts":
            return "q" if self._hurts() else key
        if does in ("like", "again", "remark"):
            self._beside(line, str(does))
        elif does == "apart":
            self.typist.say("one by one")
            self.lines[self.at : self.at + 1] = [AskedLine((skill,), line.why) for skill in line.skills]
        else:
            {FINE: self._fine, "other": self._other, "back": self._back}[str(does)]()
        return key

    def _which(self, line: AskedLine) -> tuple[str, str]:
        """Return which of the questions a line is, why it is asked, and how it was shown last."""
        last = last_words({self.course.skill[one].name: self.last.get(one) for one in line.skills})
        why = "; ".join(filter(None, (line.why, last if self.last else "")))
        return f"{self.at + 1}/{len(self.lines)}", why

    def _answer(self, line: AskedLine, given: int | None) -> None:
        """Note how a line was shown; None: not asked."""
        self.typist.say("not asked" if given is None else HELP_WORDS[given])
        self._clear(line)
        if given is None:
            self._change(not_tried=(*self.lesson.not_tried, *line.skills))
        else:
            self._change(helps={**self.lesson.helps, **dict.fromkeys(line.skills, given)})
        self.at = self._next(self.at + 1)

    def _fine(self) -> None:
        """Note the glance as looked at and fine, as far as none of it has an answer yet."""
        still = (one for line in self.lines for one in self._open(line))
        glance = [one for one in still if self.course.skill[one].always_look]
        self.typist.say(fine_words(len(glance)))
        self._change(helps={**self.lesson.helps, **dict.fromkeys(glance, 0)})
        self.at = self._next(self.at)

    def _other(self) -> None:
        """Ask for any other skill by a few letters; it comes next, also to be answered once more."""
        self.typist.say("another")
        found = find_skill(self.course, self.typist.line(OTHER) or "", own=self.near)
        if isinstance(found, Refusal):
            self.typist.say(f"{found.message} {NOT_THERE}")
            return
        added = AskedLine((found,), WHY_BRIEF["added"])
        line = next((line for line in self.lines if found in line.skills), added)
        if line not in self.lines:
            self.lines.insert(self.at, line)
        self.at = self.lines.index(line)

    def _hurts(self) -> bool:
        """Ask for the words of what hurts and open a pause with them; return whether one was opened."""
        self.typist.say(HURTS)
        words = (self.typist.line("what was said: ") or "").strip()
        if not words or self.pause is None:
            self.typist.say(NO_PAUSE)
            return False
        self.typist.say(self.pause(words))
        return True

    def _back(self) -> None:
        """Go one line back and forget its answer."""
        self.typist.say("back")
        self.at = max(0, self.at - 1)
        if self.lines:
            self._clear(self.lines[self.at])
            self._change()

    def _clear(self, line: AskedLine) -> None:
        helps = {skill: given for skill, given in self.lesson.helps.items() if skill not in line.skills}
        left = tuple(skill for skill in self.lesson.not_tried if skill not in line.skills)
        self.lesson = replace(self.lesson, helps=helps, not_tried=left)

    def _remark(self, line: AskedLine) -> None:
        """Ask for a few words; they go to the first skill of the line."""
        words = self.typist.line("a few words: ")
        if words and words.strip():
            self._change(remarks={**self.lesson.remarks, line.skills[0]: words.strip()})

    def _beside(self, line: AskedLine, key: str) -> None:
        """Note words, a liking, or how it was tried again, and say what is noted of it now."""
        if key == "remark":
            self._remark(line)
            return
        likes = self.lesson.liking(line.skills, self.disliked)
        self.lesson = likes if key == "like" else self.lesson.again(line.skills)
        self.keep(self.lesson)
        self.typist.say(beside_words(self.lesson, line.skills) or "as before")

    def _explain(self, line: AskedLine, key: str) -> None:
        """Say what counts, or which keys there are."""
        if key != "?":
            self.typist.say(keys_words(several=len(line.skills) > 1))
            return
        for skill in line.skills:
            self.typist.say(counts_words(self.course.skill[skill], self.width))

    def _close(self) -> str:
        """Ask what to do with what was entered: ENTER, u, or anything to leave it for later."""
        while True:
            left = sum(bool(self._open(line)) for line in self.lines)
            self.typist.say(closing_words(self.lesson, left, self.width))
            key = self.typist.key().lower()
            if key in ("r", '"'):
                words = self.typist.line("a few words about the lesson: ")
                self._change(note=(words or "").strip() or self.lesson.note)
            elif key in ("u", BACK):
                self._back()
                return "u"
            elif key in (ENTER, "l", ENDED):
                return key

    def _whole(self) -> NewLesson:
        """Return the lesson, with what was not reached as not asked."""
        open_ = tuple(skill for line in self.lines for skill in self._open(line))
        return replace(self.lesson, not_tried=(*self.lesson.not_tried, *open_))

    def _change(self, **changed: object) -> None:
        """Change the lesson and keep it safe."""
        self.lesson = replace(self.lesson, **changed)  # type: ignore[arg-type]
        self.keep(self.lesson)
