"""What to look at in a placing lesson that is noted on paper.

The always-look items come first. Then, for up to half of the room, what the start asks for and did
not come; then what tells most about where to start (``planning.placing``), chosen all at once, because
on paper no answer can change what comes next. Asked from easy to hard, so that the look can end after
two clear misses. The student closes it with something of their own choice.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet

from readiness.course.model import Course
from readiness.course.plan import bits
from readiness.judging.answer import Answer
from readiness.judging.deciding import entry_list
from readiness.planning.character import is_hard, left_out
from readiness.planning.known_things import glance_skills, teaching_order
from readiness.planning.placing.round import looks_ahead, placing_round
from readiness.planning.sheet_values import LeftOut, SheetItem
from readiness.record.model import Record

__all__ = ["placing_items"]


def placing_items(
    course: Course, record: Record, answer: Answer, resting: AbstractSet[str] = frozenset()
) -> tuple[tuple[SheetItem, ...], tuple[LeftOut, ...]]:
    """Return the items of a placing look, and what was left out.

    ``resting`` are the skills that wait, because a part of the body is on hold elsewhere.
    """
    glance = glance_skills(course, answer)
    most = course.band[answer.band].whole("check_items_max")
    first = (SheetItem(glance, "always-look", quiet=True, hard=False),) if glance else ()
    last = (SheetItem((), "favourite", quiet=False, hard=False),)
    room = max(0, most - len(first) - len(last))
    again = [skill for skill in _again(course, record, answer) if skill not in resting]
    why = dict.fromkeys(again[: room // 2], "patch")
    why |= dict.fromkeys(looks_ahead(course, record, answer.on, room), "probe")
    chosen = sorted(list(why)[:room], key=lambda skill: teaching_order(course, skill))
    items = (*first, *(_item(course, answer, skill, why[skill]) for skill in chosen), *last)[:most]
    return items, tuple(_left_out(course, answer, {s for item in items for s in item.skills}, resting))


def _item(course: Course, answer: Answer, skill: str, why: str) -> SheetItem:
    one = course.skill[skill]
    return SheetItem((skill,), why, quiet=one.quiet, hard=is_hard(one, answer.standings[skill]))


def _again(course: Course, record: Record, answer: Answer) -> tuple[str, ...]:
    """Return what the start asks for and did not come, to be seen once more."""
    patches = placing_round(course, record, answer.on).patches
    return tuple(skill for skill in patches if answer.standings[skill].evidence)


def _was_shown(answer: Answer, skill: str) -> bool:
    """Return whether the latest note on a skill counts, or it was settled with none since."""
    one = answer.standings[skill]
    return one.evidence[-1].counts if one.evidence else one.settled_on is not None


def _left_out(
    course: Course, answer: Answer, on_it: set[str], resting: AbstractSet[str]
) -> Iterator[LeftOut]:
    """Yield why each skill of an entry list is not looked at."""
    assert answer.placing is not None
    plan = course.plan
    asked = 0
    for unit in range(1, len(plan.unit_ids)):
        asked |= entry_list(plan, unit, 0)
    for i in bits(asked & ~plan.always_look):
        skill = course.skills[i]
        if skill.id in on_it or skill.id in course.gone:
            continue
        if why := left_out(skill, answer):
            yield LeftOut(skill.id, why)
        elif skill.id in resting:
            yield LeftOut(skill.id, "on-hold")
        elif _was_shown(answer, skill.id):
            yield LeftOut(skill.id, "seen")
        else:
            yield LeftOut(skill.id, "implied" if skill.id in answer.placing.implied else "no-room")
