"""One key at a time from a terminal, a whole line where words are asked for, and the round noted by them.

While a round is on (``with Keys() as keys``), nothing typed is shown by the terminal itself and
nothing typed ahead is lost: each key is read alone, the next one waits. Ctrl-C stays Ctrl-C. A
terminal that cannot give single keys gives lines, of which the first letter counts.

The quick round over what a lesson offers: one key a line, nothing lost on the way.

After every answer all of it is kept beside the student's file, so that a closed lid costs
nothing. What is asked, in which order, and what each key does is the business of ``advice.offer``.
"""

from __future__ import annotations

import codecs
import os
import re
import select
import stat
import sys
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from types import MappingProxyType
from typing import Any, Final, Self

from readiness.advice.offer import FINE, KEYS, Answers, Offered, line_letter
from readiness.cli.commands import CommandError
from readiness.cli.output import say
from readiness.course.find import Near, find_skill
from readiness.course.model import Course
from readiness.record.noting import NewLesson
from readiness.toml.write import Refusal
from readiness.words import noting, placing_round
from readiness.words.english import HELP_WORDS, WHY_BRIEF, glance_words
from readiness.words.grammar import tidy
from readiness.words.layout import lay_out

__all__ = [
    "BACK", "ENDED", "ENTER", "Keys", "Round", "ask_first", "is_terminal", "wait_for_the_end",
]  # fmt: skip

ENTER: Final = "\n"
BACK: Final = "\x7f"
ENDED: Final = ""
"""Nobody is typing any more."""
_SAME_KEY: Final = 0.02
"""Seconds in which the rest of one key comes, where a key is told in several letters."""
_LOOKED_FOR: Final = 0.25
"""Seconds for which a key is waited for before Ctrl-C is looked for."""


def is_terminal() -> bool:
    """Return whether somebody sits in front of this program."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def wait_for_the_end(seconds: float) -> bool:
    """Wait so long, and return whether the input ended meanwhile: Ctrl-D, or whoever typed has gone.

    An input that nobody can type in, as that of a program begun in the background, never ends.
    """
    if sys.platform == "win32" or not _can_be_typed_in():
        time.sleep(seconds)
        return False
    file = sys.stdin.fileno()
    return bool(select.select([file], [], [], seconds)[0]) and _read(file, 1024) == b""


def _can_be_typed_in() -> bool:
    try:
        file = sys.stdin.fileno()
        return os.isatty(file) or stat.S_ISFIFO(os.fstat(file).st_mode)
    except (AttributeError, OSError, ValueError):  # there is no input at all
        return False


def _read(file: int, most: int) -> bytes:
    """Read what is there; nothing where the terminal has gone.

    It is looked for now and then: Ctrl-C in the moment before a read would be heard at the next key only.
    """
    try:
        while not select.select([file], [], [], _LOOKED_FOR)[0]:
            pass
        return os.read(file, most)
    except OSError:
        return b""


class Keys:
    """The keys of the terminal this program runs in."""

    def __init__(self) -> None:
        self._before: list[Any] | None = None

    def __enter__(self) -> Self:
        self._take()
        return self

    def __exit__(self, *_error: object) -> None:
        self._give_back()

    def say(self, text: str, end: str = "\n") -> None:
        """Show a text."""
        print(text, end=end, flush=True)

    def key(self) -> str:
        """Return the next key, ENTER for the large one, ENDED when there is none to come."""
        if self._before is not None:
            return _letter(sys.stdin.fileno())
        with self:
            return self.key() if self._before is not None else (self.line("") or "")[:1] or ENTER

    def line(self, prompt: str) -> str | None:
        """Return a line of words, None when nobody is typing any more."""
        is_taken = self._before is not None
        self._give_back()
        try:
            return input(prompt)
        except EOFError:
            return None
        finally:
            if is_taken:
                self._take()

    def _take(self) -> None:
        try:
            import termios
            import tty
        except ImportError:  # pragma: no cover - a system without such terminals
            return
        file = sys.stdin.fileno()
        self._before = termios.tcgetattr(file)
        tty.setcbreak(file, termios.TCSADRAIN)

    def _give_back(self) -> None:
        if self._before is not None:
            import termios

            termios.tcsetattr(sys.stdin.fileno(), termios.TCSADRAIN, self._before)
            self._before = None


def ask_first(told: str, question: str, undone: str, meant: str = "it is meant", yes: str = "yes") -> None:
    """Ask at a terminal whether what is ``told`` is meant, elsewhere --yes says it; else a CommandError."""
    if not is_terminal():
        raise CommandError(f"{undone}: without a terminal, --yes says that {meant}.")
    say([told])
    if (Keys().line(question) or "").strip().casefold() != yes.casefold():
        raise CommandError(f"{undone}.")


def _letter(file: int) -> str:
    """Return one letter; arrow keys and the like count as a key without meaning."""
    first = _read(file, 1)
    if first in (b"", b"\x04"):
        return ENDED
    if first in (b"\r", b"\n"):
        return ENTER
    if first == b"\x1b":
        while select.select([file], [], [], _SAME_KEY)[0] and re.match(rb"[[O;\d]", _read(file, 1)):
            pass  # the letters of an arrow key or the like
        return "\x1b"
    return _whole(file, first)


def _whole(file: int, first: bytes) -> str:
    """Return a letter that may be several bytes long."""
    decoder = codecs.getincrementaldecoder("utf-8")("replace")
    while not (letter := decoder.decode(first)):
        first = _read(file, 1)
        if not first:
            return ENDED
    return letter[:1]


class Round:
    """One lesson being entered."""

    last: Mapping[str, tuple[int, int]] = MappingProxyType({})
    """By skill, with how much help it was shown last, and when."""
    near: Near = Near()
    """Where a skill that is typed is looked for first."""
    pause: Callable[[str], str] | None = None
    """Opens a pause with the words that were said, and returns what is to be said then."""

    def __init__(
        self,
        course: Course,
        items: Iterable[Offered],
        lesson: NewLesson,
        typist: Keys,
        keep: Callable[[NewLesson], None],
        width: int = 80,
        disliked: AbstractSet[str] = frozenset(),
    ) -> None:
        """Begin with a sheet, what was entered before, and what was noted as not liked."""
        self.course, self.typist, self.keep, self.width = course, typist, keep, width
        self.answers = Answers(course, items, lesson, disliked)

    def go(self) -> NewLesson | None:
        """Ask until it is done; None when it is left for later."""
        self.typist.say(placing_round.keys_words(self.width))
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
        self.typist.say(placing_round.question_words(told, title, why, self.width), end="")
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
            found = find_skill(self.course, self.typist.line(noting.OTHER) or "", near=self.near)
            if isinstance(found, Refusal):
                self._tell(f"{found.message} {noting.NOT_THERE}")
            else:
                self.answers.picked = [self.answers.line_of((found,))]
        elif does is None:
            self._explain(skills, key)
        return does == "hurts" and self._hurts()

    def _said(self, does: str, skills: tuple[str, ...], was: NewLesson) -> str:
        if does in ("like", "again"):
            return placing_round.beside_words(self.answers.lesson, skills) or "as before"
        if does == FINE:
            return noting.fine_words(len(self.answers.lesson.helps) - len(was.helps))
        return noting.KEY_SAID.get(does, "")

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
        last = noting.last_words({self.course.skill[one].name: self.last.get(one) for one in skills})
        why = (WHY_BRIEF.get(self.answers.asked[0].why, ""), last if self.last else "")
        return f"{letters[0]}/{line_letter(len(lines) - 1)}", "; ".join(filter(None, why))

    def _hurts(self) -> bool:
        """Ask for the words of what hurts and open a pause with them; return whether one was opened."""
        self._tell(noting.HURTS)
        words = (self.typist.line("what was said: ") or "").strip()
        if not words or self.pause is None:
            self._tell(noting.NO_PAUSE)
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
        self.typist.say(told := noting.NOTHING_THERE.get(KEYS.get(key, ""), ""))
        if key == "?":
            for skill in skills:
                self.typist.say(placing_round.counts_words(self.course.skill[skill], self.width))
            self.typist.say(placing_round.keys_words(self.width))
        elif not told:
            self.typist.say(placing_round.ladder_words(width=self.width))

    def _close(self) -> str:
        """Ask what to do with what was entered; return ENTER, l, or u where a line is asked again."""
        while True:
            left = sum(self.answers.given(line) in (None, "mixed") for line in self.answers.lines)
            self.typist.say(placing_round.closing_words(self.answers.lesson, left, self.width))
            key = self.typist.key().replace(".", ENTER).replace("q", "l")
            if key in (ENTER, "l", ENDED):
                return key
            if key == '"':
                self._words(())
            elif key in ("u", BACK) or key.isupper():
                self._press(key)
                return "u"
            else:
                self.typist.say(noting.NO_KEY)
