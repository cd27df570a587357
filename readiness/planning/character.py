"""What a skill is like in a lesson: quiet or moving, hard or easy, a piece, playable or not.

The check sheet and the lesson plan both take turns between kinds of things, so what the
kinds are is said once, here. The kinds follow from a skill's ``kind`` and from the words of
its criterion; a course in other words falls back on the kinds alone. What may be done
without playing is decided the other way round: a skill is left out unless its words say
plainly that it is listening or naming, because a mistake there could hurt somebody.
Common practice, no source.
"""

from __future__ import annotations

import re
from typing import Final

from readiness.course.model import Course, Skill
from readiness.judging.answer import GAP_STATES, Answer, Standing
from readiness.record.model import Record

__all__ = [
    "MET_STATES", "is_hard", "is_moving", "is_piece", "is_without_playing", "left_out", "resting_skills",
    "speaks_of_pain", "waiting_for", "works",
]  # fmt: skip

MET_STATES: Final = frozenset({"secure", "set-aside"})
"""States that count as met, as rule R6 has it."""

_MOVING: Final = re.compile(
    r"\b(plays?|playing|press(es)?|claps?|pats?|taps?|walks?|stamps?|drops?|carr(y|ies)|lifts?)\b",
    re.IGNORECASE,
)
_USES_THE_BODY: Final = re.compile(
    r"\b(play\w*|keys?|\w+-keys?|keyboard|instrument|hands?|fingers?|fingertips?|thumbs?|wrists?|arms?|palms?"
    r"|elbows?|shoulders?|clap\w*|pats?|taps?|walk\w*|stamp\w*|press\w*|drops?|mov\w*|stands?|positions?|feet"
    r"|foot|knees?|lid|lift\w*|sits?|bench|seat)\b",
    re.IGNORECASE,
)
_LISTENS_OR_NAMES: Final = re.compile(
    r"\b(hears?|tells?|says?|names?|ear|points?|sees|uses|sings?|\w+-sings?|hums?)\b", re.IGNORECASE
)
_USES_THE_VOICE: Final = re.compile(
    r"\b(says?|sings?|\w+-sings?|hums?|names?|aloud|voice|spoken|speaks?|counts?|chants?|uses)\b",
    re.IGNORECASE,
)
_USES: Final = {
    "voice": re.compile(r"\b(sings?|singing|\w+-sings?|hums?|aloud|voice|chants?|counts?)\b", re.IGNORECASE),
    "hand": re.compile(
        r"\b(play\w*|keys?|\w+-keys?|keyboard|hands?|fingers?|thumbs?|wrists?|arms?|clap\w*|pats?|taps?|press\w*)\b",
        re.IGNORECASE,
    ),
}
_SINGS: Final = re.compile(r"\b(sings?|singing|\w+-sings?|hums?)\b", re.IGNORECASE)
_SPEAKS_OF_PAIN: Final = re.compile(r"\b(hurts?|hurting|pain|sore|tires?|tired)\b", re.IGNORECASE)
_PIECE: Final = re.compile(r"\b(piece|pieces)\b", re.IGNORECASE)


def is_moving(skill: Skill) -> bool:
    """Return whether a skill is shown by playing or moving; else it is quiet."""
    return skill.kind == "motor" or _MOVING.search(_text(skill)) is not None


def is_hard(skill: Skill, standing: Standing) -> bool:
    """Return whether asking for a skill now is asking for something hard.

    Hard is what was tried and is not there, what was never asked, and any movement that goes
    soon without use. Everything else is easy, however much work it once was.
    """
    return (
        standing.state in GAP_STATES
        or standing.state == "untried"
        or (skill.kind == "motor" and skill.fade == "fast")
    )


def is_piece(skill: Skill) -> bool:
    """Return whether a skill is playing a piece; performing for people is not meant."""
    is_named_so = skill.strand == "performing" or _PIECE.search(skill.name) is not None
    return is_named_so and skill.kind != "habit"


def is_without_playing(skill: Skill, part: str) -> bool:
    """Return whether a skill may be shown with no playing and without the sore part.

    Args:
        skill: the skill.
        part: the part a hold names: hand, voice or all. None of them allows playing or singing,
            and none allows clapping or other work of the hands; voice and all also rule out
            speaking.
    """
    text = _text(skill)
    return (
        skill.kind in ("ear", "knowledge", "reading")
        and not skill.always_look
        and _LISTENS_OR_NAMES.search(text) is not None
        and _USES_THE_BODY.search(text) is None
        and _SINGS.search(text) is None
        and (part == "hand" or _USES_THE_VOICE.search(text) is None)
    )


def works(skill: Skill, part: str) -> bool:
    """Return whether a skill works the part that a hold names: hand, voice or all; the seat works none."""
    if skill.always_look:
        return False
    if part != "voice" and is_moving(skill):
        return True
    return any(_USES[one].search(_text(skill)) for one in _USES if part in (one, "all"))


def speaks_of_pain(skill: Skill) -> bool:
    """Return whether a skill is telling somebody that something hurts: it never waits for a hold."""
    return skill.kind == "habit" and _SPEAKS_OF_PAIN.search(skill.name) is not None


def resting_skills(course: Course, record: Record, day: int) -> frozenset[str]:
    """Return the skills that use a part of the body on hold for another course.

    Such a hold does not pause this course, but what needs that part waits here too.
    """
    words = [_USES[part] for part in {hold.part for hold in record.resting(day)} if part in _USES]
    return frozenset(skill.id for skill in course.skills if any(one.search(_text(skill)) for one in words))


def _text(skill: Skill) -> str:
    return f"{skill.name} {skill.shown_when}"


def left_out(skill: Skill, answer: Answer) -> str:
    """Return why a skill is asked of nobody here: optional, set-aside, or nothing.

    A group that is not met keeps all its members, optional ones too (rule R7).
    """
    if answer.standings[skill.id].state == "set-aside":
        return "set-aside"
    asked = any(skill.id in group.of for group in answer.groups if not group.met)
    return "optional" if answer.band in skill.optional_in and not asked else ""


def waiting_for(course: Course, answer: Answer, skill: str) -> int:
    """Return how many skills of this and the next unit are it or stand on it, and are not met.

    The number behind "frees most" of the one thing; those left out at this age do not wait.
    """
    plan = course.plan
    here = {answer.unit, answer.next_unit}
    waiting = plan.names(plan.descendants[plan.index[skill]] | 1 << plan.index[skill])
    return sum(
        1
        for other in waiting
        if course.skill[other].unit in here
        and answer.standings[other].state not in MET_STATES
        and not left_out(course.skill[other], answer)
    )
