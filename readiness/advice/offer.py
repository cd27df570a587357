"""What a lesson offers to be noted: what its plan and its sheet have, in their order, a key a thing.

The round at a terminal and the screen of a lesson both ask here, so that the same key means the same
everywhere. No key of everyday (Enter, space, an arrow, a letter) writes a showing: those are figures
and ``*`` alone, since nothing can tell later that a finger slipped.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.lazy import dataclass
from readiness.record.model import HELPS, Record
from readiness.record.rhythm import Calendar, Event

__all__ = ["FINE", "KEYS", "LADDER", "Offer", "Offered", "far_skills", "lesson_offer"]

LADDER: Final = "12345"
"""The keys of the ladder of help, in the order of HELPS."""
FINE: Final = "fine"
"""The glance was looked at, and all of it was fine."""
KEYS: Final[Mapping[str, str | int]] = MappingProxyType({
    **{key: given for given, key in enumerate(LADDER)},
    "\n": "left", "-": "left", "*": FINE, "!": "hurts", "+": "other", '"': "remark", "r": "remark",
    "d": "like", "t": "again", "s": "apart", "u": "back", "\x7f": "back", "q": "stop", "": "stop",
    ".": "done",
})  # fmt: skip
"""What each key does: a number is a help (an index into HELPS), ``left`` not asked, ``done`` note it now."""
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
        last: by skill, the help (an index into HELPS) and the day of its last showing before.
        before: the answer of the day without what was noted on it.
    """

    lines: tuple[Offered, ...]
    last: Mapping[str, tuple[int, int]]
    before: Answer

    @property
    def skills(self) -> tuple[str, ...]:
        """Every skill that is offered."""
        return tuple(skill for line in self.lines for skill in line.skills)


def lesson_offer(
    course: Course, record: Record, on: int, calendar: Calendar, events: Sequence[Event] = ()
) -> Offer:
    """Return what the lesson of a day offers.

    Args:
        course, record: what is taught, and what was seen.
        on: the day; calendar, events: of the studio.
    """
    earlier = replace(record, lessons=tuple(one for one in record.lessons if one.on != on))
    before = judge(course, earlier, on, calendar, on)
    plan = plan_lesson(course, earlier, before, None, events)
    sheet = check_sheet(course, earlier, before)
    glance = next((one.skills for one in sheet.items if one.why == "always-look"), ())
    planned = [Offered((skill,), one.why) for one in plan.blocks for skill in one.skills]
    looked = [Offered(one.skills, one.why) for one in sheet.items if one.skills]
    first = [one for one in looked if one.why in ("always-look", "care")]
    lines = tuple(_once([*first, *(one for one in planned if one.skills[0] not in glance), *looked]))
    skills = {skill for line in lines for skill in line.skills}
    return Offer(lines, dict(_last(earlier, on, skills)), before)


def _once(lines: Iterable[Offered]) -> Iterator[Offered]:
    """Yield each line whose skills were in none before."""
    seen: set[str] = set()
    for line in lines:
        if not seen.intersection(line.skills):
            seen.update(line.skills)
            yield line


def _last(record: Record, on: int, skills: set[str]) -> Iterator[tuple[str, tuple[int, int]]]:
    for skill, notes in record.seen.notes.items():
        noted = [(given, day) for day, given, _ in notes if day < on]
        if skill in skills and noted:
            yield skill, noted[-1]


# A lesson that was perhaps meant for another child: most of it lies far from the units of this one.

_FAR: Final = 3
"""So many units away is far. Common practice, no source."""
_MANY: Final = 3
"""So many skills at least: one thing tried out of turn is no other child."""


def far_skills(course: Course, record: Record, answer: Answer, skills: Iterable[str]) -> tuple[str, ...]:
    """Return the skills far from a student's unit, if they are most of a lesson; none for who is not placed.

    What is looked at in every check is near everywhere, and so is what is to come and was noted before.
    """
    if answer.unit is None:
        return ()
    here, shown = course.unit[answer.unit].number, [one for one in skills if one in course.skill]
    known = {skill for skill, notes in record.seen.notes.items() if notes[0][0] < answer.on}
    far = []
    for skill in shown:
        away = course.unit[course.skill[skill].unit].number - here
        is_new = away >= _FAR and skill not in known
        if not course.skill[skill].always_look and (is_new or away <= -_FAR):
            far.append(skill)
    return tuple(far) if len(far) >= _MANY and 2 * len(far) > len(shown) else ()
