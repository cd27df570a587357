"""What a lesson offers to be noted: what its plan and its sheet have, in their order, a key a thing.

The round at a terminal and the screens both ask here, so that the same key means the same everywhere.
No key of everyday (Enter, space, an arrow, a letter) writes a showing or a word about one: those are
figures and signs alone, since nothing can tell later that a finger slipped.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from readiness.advice.skill_traits import played_under_hold
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.lazy import dataclass
from readiness.record.model import HELPS, Record
from readiness.record.noting import NewLesson
from readiness.record.rhythm import Calendar
from readiness.terms import State

__all__ = [
    "FINE", "KEYS", "LADDER", "Answers", "Offer", "Offered", "far_skills", "lesson_offer", "line_letter",
]  # fmt: skip

_LETTERS: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
LADDER: Final = "12345"
"""The keys of the ladder of help, in the order of HELPS."""
FINE: Final = "fine"
"""The glance was looked at, and all of it was fine."""
KEYS: Final[Mapping[str, str | int]] = MappingProxyType({
    **{key: given for given, key in enumerate(LADDER)}, **dict.fromkeys(_LETTERS, "line"),
    "\n": "pass", "-": "left", "*": FINE, "!": "hurts", "+": "other", '"': "remark", "'": "whole",
    "(": "like", "&": "again", "s": "apart", "u": "back", "\x7f": "back", "q": "stop", "": "stop",
    ".": "done",
})  # fmt: skip
"""What each key does: a number is a help (an index into HELPS), ``left`` not asked, ``pass`` the same where
nothing was answered, ``line`` the line of that letter, ``whole`` words about all, ``done`` note it now."""
assert len(LADDER) == len(HELPS)


@dataclass(frozen=True)
class Offered:
    """One line: its skills (several at one glance), and why, an id of the sheet or of the plan."""

    skills: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class Offer:
    """What is offered on a day.

    Attributes:
        lines: in the order of the plan, then what the sheet has besides.
        last: by skill, the help (an index into HELPS) and the day of its last showing up to that day.
        before: the answer of the day without what was noted on it.
    """

    lines: tuple[Offered, ...]
    last: Mapping[str, tuple[int, int]]
    before: Answer

    @property
    def skills(self) -> tuple[str, ...]:
        """Every skill that is offered."""
        return tuple(skill for line in self.lines for skill in line.skills)


def lesson_offer(course: Course, record: Record, on: int, calendar: Calendar) -> Offer:
    """Return what the lesson of a day offers."""
    from readiness.advice.lesson import planned  # here, since whoever types whole words needs no offer
    from readiness.advice.plan import season_ahead
    from readiness.advice.sheet import check_sheet

    earlier = replace(record, lessons=tuple(one for one in record.lessons if one.on != on))
    before = judge(course, earlier, on, calendar, on)
    _, (blocks, _) = planned(course.on(on), earlier, before, None, season_ahead(earlier, before))
    sheet = check_sheet(course, earlier, before)
    glance = next((one.skills for one in sheet.items if one.why == "always-look"), ())
    taught = [Offered((skill,), one.why) for one in blocks for skill in one.skills]
    printed = check_sheet(course, record, judge(course, record, on, calendar))  # knows what the day has noted
    looked = [Offered(one.skills, one.why) for one in (*sheet.items, *printed.items) if one.skills]
    first = [one for one in looked if one.why in ("always-look", "care")]
    lines = tuple(_once([*first, *(one for one in taught if one.skills[0] not in glance), *looked]))
    seen = record.seen.notes.items()
    noted = {skill: [(given, day) for day, given, _ in notes if day <= on] for skill, notes in seen}
    return Offer(lines, {skill: some[-1] for skill, some in noted.items() if some}, before)


def _once(lines: Iterable[Offered]) -> Iterator[Offered]:
    seen: set[str] = set()
    for line in lines:
        if left := tuple(one for one in line.skills if one not in seen):
            seen.update(left)
            yield replace(line, skills=left)


def line_letter(at: int) -> str:
    """Return the letter by which a line (from 0) is called, its number behind the last letter.

    >>> line_letter(0), line_letter(11), line_letter(26)
    ('A', 'L', '27')
    """
    return _LETTERS[at : at + 1] or str(at + 1)


class Answers:
    """What was answered in one lesson so far, and what each key makes of it: no screen, no file.

    Attributes:
        lines: what is asked; lesson: what was answered.
        at: the line whose turn it is, their number where all had theirs.
        picked: the lines that the next answer is for, where they were called out of turn.
    """

    def __init__(
        self,
        course: Course,
        lines: Iterable[Offered],
        lesson: NewLesson,
        disliked: AbstractSet[str] = frozenset(),
    ) -> None:
        self.course, self.lesson, self.disliked = course, lesson, disliked
        self.lines = [part for line in lines for part in self._parts(line)]
        rest = (one for one in dict.fromkeys(lesson.named) if one not in self._skills())
        self.lines += [Offered((one,), "added") for one in rest]
        self.at, self.picked, self._before = self._next(0), list[int](), list[tuple[NewLesson, str]]()

    @property
    def asked(self) -> list[Offered]:
        """The lines that the next answer is for."""
        return [self.lines[at] for at in self.picked] or self.lines[self.at : self.at + 1]

    @property
    def asked_skills(self) -> tuple[str, ...]:
        """The skills that the next answer is for."""
        return tuple(skill for line in self.asked for skill in line.skills)

    def given(self, line: Offered) -> int | str | None:
        """Return the help noted for a line, ``left`` for not asked, ``mixed``, None for nothing."""
        given = {self._one(skill) for skill in line.skills}
        return given.pop() if len(given) == 1 else "mixed"

    def words(self, skills: Iterable[str]) -> str:
        """Return the remark about the first of some skills that has one."""
        return next((self.lesson.remarks[one] for one in skills if one in self.lesson.remarks), "")

    def press(self, key: str) -> int | str | None:
        """Do what a key means, and return it (see KEYS); None where it means nothing here.

        What needs words or a file is left to whoever holds the keys.
        """
        does = KEYS.get(key)
        if isinstance(does, int) or does in ("pass", "left"):
            return self._answer(does)
        if does == "line":
            return does if self._pick(_LETTERS.index(key)) else None
        changes: Mapping[object, Callable[[], bool]] = {
            FINE: self._fine, "apart": self._apart, "back": self._back,
            "like": lambda: self._beside(self.lesson.liking(self.asked_skills, self.disliked)),
            "again": lambda: self._beside(self.lesson.again(self.asked_skills)),
        }  # fmt: skip
        return does if does not in changes or changes[does]() else None

    def line_of(self, skills: tuple[str, ...], why: str = "added") -> int:
        """Return where some skills are asked for, or the first of a glance that was taken apart; add them."""
        found = (at for at, line in enumerate(self.lines) if skills[0] in line.skills)
        if (at := next(found, len(self.lines))) == len(self.lines):
            self.lines.append(Offered(skills, why))
        return at

    def rest(self, record: Record, day: int) -> None:
        """Ask no more for what a pause of the day does not allow; what was answered stays."""
        if held := set(played_under_hold(self.course, record, day, self._skills())):
            here = [(line, tuple(one for one in line.skills if one not in held)) for line in self.lines]
            here = [(line, line.skills if self.given(line) is not None else left) for line, left in here]
            self.lines = [replace(line, skills=skills) for line, skills in here if skills]
            self.at, self.picked = self._next(0), []

    def remark(self, skills: Sequence[str], words: str) -> None:
        """Put a few words to the first of some skills; to the whole lesson where there are none."""
        remarks = {skill: text for skill, text in self.lesson.remarks.items() if skill not in skills}
        if skills and words:
            remarks[skills[0]] = words
        self._change(replace(self.lesson, remarks=remarks, note=self.lesson.note if skills else words))

    def finished(self) -> NewLesson:
        """Return the lesson to be noted: what has no answer was not asked."""
        rest = (skill for skill in self._skills() if self._one(skill) is None)
        return replace(self.lesson, not_tried=(*self.lesson.not_tried, *rest))

    def _answer(self, does: int | str) -> int | str | None:
        skills = [one for one in self.asked_skills if does != "pass" or self._one(one) is None]
        if skills:
            helps = {one: given for one, given in self.lesson.helps.items() if one not in skills}
            left = [one for one in self.lesson.not_tried if one not in skills]
            if isinstance(does, int):
                helps |= dict.fromkeys(skills, does)
            else:
                left, does = [*left, *skills], "left"
            self._change(replace(self.lesson, helps=helps, not_tried=tuple(left)))
        was_asked = bool(self.asked)
        self.at, self.picked = self._next(self.at), []
        return does if was_asked else None

    def _pick(self, at: int) -> bool:
        """Call a line by its letter, beside those that were called before it; once more takes it off."""
        if at >= len(self.lines):
            return False
        self.picked = [one for one in self.picked if one != at] + [at] * (at not in self.picked)
        self.at = at
        return True

    def _fine(self) -> bool:
        """Note the glance as looked at and fine, as far as none of it has an answer yet."""
        still = (one for one in self._skills() if self._one(one) is None)
        glance = [one for one in still if self.course.skill[one].always_look]
        if glance:
            self._change(replace(self.lesson, helps={**self.lesson.helps, **dict.fromkeys(glance, 0)}))
            self.at = self._next(self.at)
        return bool(glance)

    def _beside(self, lesson: NewLesson) -> bool:
        if self.asked:
            self._change(lesson)
        return bool(self.asked)

    def _apart(self) -> bool:
        """Take a line of several skills apart."""
        if len(self.asked) != 1 or len(self.asked_skills) < 2:
            return False
        (line,), at = self.asked, self.lines.index(self.asked[0])
        self.lines[at : at + 1] = [Offered((skill,), line.why) for skill in line.skills]
        self.at, self.picked = at, []
        return True

    def _back(self) -> bool:
        """Take the last change back and go to the line it was made in; with none to take back, a line up."""
        self.picked = []
        if not self._before:
            self.at = max(0, self.at - 1)
            return self.at > 0
        self.lesson, skill = self._before.pop()
        self.at = next((at for at, line in enumerate(self.lines) if skill in line.skills), self.at)
        return True

    def _change(self, lesson: NewLesson) -> None:
        self._before.append((self.lesson, next(iter(self.asked_skills), "")))
        self.lesson = lesson

    def _parts(self, line: Offered) -> Iterator[Offered]:
        """Yield a line; one for each skill where only some have an answer already."""
        is_mixed = None in (given := {self._one(skill) for skill in line.skills}) and len(given) > 1
        if is_mixed:
            yield from (Offered((skill,), line.why) for skill in line.skills)
        elif line.skills:
            yield Offered(line.skills, line.why)

    def _next(self, at: int) -> int:
        """Return where the first line without an answer is, from one on."""
        later = range(at, len(self.lines))
        return next((one for one in later if self.given(self.lines[one]) is None), len(self.lines))

    def _one(self, skill: str) -> int | str | None:
        return "left" if skill in self.lesson.not_tried else self.lesson.helps.get(skill)

    def _skills(self) -> Iterator[str]:
        return (skill for line in self.lines for skill in line.skills)


# A lesson that was perhaps meant for another child: most of it lies far from the units of this one.

_FAR: Final = 3
"""So many units away is far. Common practice, no source."""
_MANY: Final = 2
"""So many skills at least: one thing tried out of turn is no other child."""


def far_skills(course: Course, record: Record, answer: Answer, skills: Iterable[str]) -> tuple[str, ...]:
    """Return the skills far from a student's unit, if they are most of a lesson; none for who is not placed.

    What is looked at in every check is near everywhere, and so is what is to come and was noted before, and
    whatever of earlier units is not secure: that is what a lesson looks at.
    """
    if answer.unit is None:
        return ()
    here, shown = course.unit[answer.unit].number, [one for one in skills if one in course.skill]
    known = {skill for skill, notes in record.seen.notes.items() if notes[0][0] < answer.on}
    far = []
    for skill in shown:
        away = course.unit[course.skill[skill].unit].number - here
        is_new = away >= _FAR and skill not in known
        is_over = away <= -_FAR and answer.standings[skill].state == State.SECURE
        if not course.skill[skill].always_look and (is_new or is_over):
            far.append(skill)
    return tuple(far) if len(far) >= _MANY and 2 * len(far) > len(shown) else ()
