"""The blockers are the whole reason, and every one of them is a reason.

*Suffice*: with all of them out of the way no deciding skill and no group blocks any more; the
student is ready, or only the rest is too much, or a hold or break remains. *Needed*: with all
the others out of the way, but this one untouched, the student still stays.

Out of the way means set aside, which counts as met and changes nothing else. To show the skill
well would not do: it may keep warm another blocker that lies under it, which is the very thing
look first is made of.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from drawn import situations
from hypothesis import given

from readiness.judging import judge
from readiness.judging.answer import Blocker
from readiness.record.model import SetAside
from readiness.terms import READY
from readiness.testing import Asked, Situation, ask


@given(situations(planned=False))
def test_the_blockers_suffice_and_each_is_needed(situation: Situation) -> None:
    asked = ask(situation)
    if asked.answer.unit is not None:
        _they_suffice(asked)
        _each_is_needed(asked)


def _they_suffice(asked: Asked) -> None:
    eased = _without(asked, asked.answer.blockers)
    assert eased.answer.blockers == ()
    limit = asked.course.band[asked.answer.band].whole("carry_limit")
    assert (eased.answer.underlying in READY) == (len(eased.answer.open_rest) <= limit)
    free = _set_aside(eased, eased.answer.open_rest).answer
    assert free.underlying == "ready"
    if asked.answer.verdict == "paused":
        assert free.verdict == "paused"
    else:
        kept_back = asked.answer.away or asked.answer.after_hold
        assert free.verdict == ("look-again" if kept_back else "ready")


def _each_is_needed(asked: Asked) -> None:
    for blocker in asked.answer.blockers:
        others = tuple(other for other in asked.answer.blockers if other is not blocker)
        left = _without(asked, others, keep=_skills(blocker)).answer
        assert left.verdict not in READY
        assert left.underlying not in READY
        assert any(_skills(b) == _skills(blocker) for b in left.blockers)


def _skills(blocker: Blocker) -> frozenset[str]:
    return frozenset(blocker.group.of if blocker.group else [str(blocker.skill)])


def _without(asked: Asked, blockers: tuple[Blocker, ...], keep: frozenset[str] = frozenset()) -> Asked:
    skills = {skill for blocker in blockers for skill in _skills(blocker)} - keep
    return _set_aside(asked, skills)


def _set_aside(asked: Asked, skills: Iterable[str]) -> Asked:
    """Return the question with some skills set aside: in the record, for no file may do so with all."""
    on = asked.answer.on
    more = tuple(SetAside(skill, on) for skill in sorted(skills))
    record = replace(asked.record, set_aside=(*asked.record.set_aside, *more))
    return replace(asked, record=record, answer=judge(asked.course, record, on, asked.calendar))
