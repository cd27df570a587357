"""What to look at in a placing lesson: from easy to hard along the units (rule R10).

The always-look items come first. Then, with a lesson noted, what the climb found missing;
then of each unit's entry list, in turn, the skill that says most about what lies under it.
There is no room for whole entry lists, so one good probe of each tells more than all of the
first. Asked from easy to hard, so that the look can end after two clear misses. The student
closes it with something of their own choice.
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
from readiness.planning.sheet_values import LeftOut, SheetItem

__all__ = ["placing_items"]


def placing_items(
    course: Course, answer: Answer, resting: AbstractSet[str] = frozenset()
) -> tuple[tuple[SheetItem, ...], tuple[LeftOut, ...]]:
    """Return the items of a placing look, and what was left out.

    ``resting`` are the skills that wait, because a part of the body is on hold elsewhere.
    """
    glance = glance_skills(course, answer)
    most = course.band[answer.band].whole("check_items_max")
    first = (SheetItem(glance, "always-look", quiet=True, hard=False),) if glance else ()
    last = (SheetItem((), "favourite", quiet=False, hard=False),)
    why = {skill: reason for skill, reason in _wanted(course, answer) if skill not in resting}
    room = max(0, most - len(first) - len(last))
    chosen = sorted(list(why)[:room], key=lambda skill: teaching_order(course, skill))
    items = (*first, *(_item(course, answer, skill, why[skill]) for skill in chosen), *last)[:most]
    return items, tuple(_left_out(course, answer, {s for item in items for s in item.skills}, resting))


def _item(course: Course, answer: Answer, skill: str, why: str) -> SheetItem:
    one = course.skill[skill]
    return SheetItem((skill,), why, quiet=one.quiet, hard=is_hard(one, answer.standings[skill]))


def _wanted(course: Course, answer: Answer) -> Iterator[tuple[str, str]]:
    """Yield skills to look at with the reason, what matters more first."""
    placing = answer.placing
    assert placing is not None
    asked: set[str] = set()
    if answer.last_lesson is not None:
        for why, skills in (("stopped", placing.stopped_by), ("patch", placing.patches)):
            for skill in skills:
                asked.add(skill)
                yield skill, why
    steps = [[skill for skill in step if skill not in asked] for step in _missing_by_unit(course, answer)]
    while any(steps):
        for step in steps:
            if step:
                probe = max(step, key=lambda skill: _tells(course, skill))
                step.remove(probe)
                yield probe, "probe"


def _tells(course: Course, skill: str) -> tuple[int, int]:
    """Return how much lies under a skill, and so how much its showing says."""
    index = course.plan.index[skill]
    return course.plan.depth[index], -index


def _missing_by_unit(course: Course, answer: Answer) -> list[list[str]]:
    """Return, by unit, what it is first to ask for that was neither seen here nor implied."""
    plan = course.plan
    assert answer.placing is not None
    known = set(answer.placing.implied) | {skill for skill in plan.ids if _was_shown(answer, skill)}
    seen: set[str] = set()
    steps: list[list[str]] = []
    for listed in _entry_lists(course, answer):
        step = [skill for skill in listed if skill not in known | seen]
        seen.update(step)
        steps.append(step)
    return steps


def _entry_lists(course: Course, answer: Answer) -> list[tuple[str, ...]]:
    """Return what each later unit stands on, always-look items apart."""
    plan = course.plan
    out = plan.set_of(skill.id for skill in course.skills if left_out(skill, answer))
    return [
        plan.names(entry_list(plan, unit, out) & ~plan.always_look) for unit in range(1, len(plan.unit_ids))
    ]


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
