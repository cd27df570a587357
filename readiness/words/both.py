"""What is said where a student takes more than one course: what rests, and what carries over.

A part of the body on hold for another course comes first, because nothing here may use it
either. Then the skills that are the same in both courses, so that what was noted in one
counts in the other. The courses are not compared, and no course is spoken of as the better way.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.judging.answer import GAP_STATES
from readiness.record.multi_course import shared_skills
from readiness.words.grammar import capital, counted, joined, quoted
from readiness.words.layout import Section, item
from readiness.words.phrases import Phrases

__all__ = ["carried_section", "resting_section"]

_RESTS = {
    "voice": "no singing, humming, whispering or counting aloud",
    "hand": "no playing, clapping or patting",
}
_GROUPS = (
    ("Settled", ("secure", "set-aside")),
    ("Shown with help, not shown yet or come loose", GAP_STATES),
    ("Part-way, or due for a look", ("building", "wobbling", "stale")),
    ("Not asked yet", ("untried",)),
)


def resting_section(say: Phrases) -> Section:
    """Return the holds that pause another course: that part of the body rests here too."""
    holds = say.record.resting(say.answer.on)
    return Section(
        "On hold in another course",
        tuple(
            item(
                f"The {hold.part} rests: a hold is open since {say.day(hold.opened)}, {say.line(hold.line)}. "
                f"It does not pause this course, but nothing here uses the {hold.part} either: "
                f"{_RESTS[hold.part]}. What needs it waits; only an adult closes the hold."
            )
            for hold in holds
        ),
    )


def carried_section(say: Phrases) -> Section:
    """Return the skills of the units so far, and the next, that another course has too."""
    shared = [skill for skill in shared_skills(say.course) if _is_near(say, skill)]
    if not shared:
        return Section("", ())
    others = joined([quoted(other.name) for other in say.course.beside])
    return Section(f"What carries over from and to {others}", tuple(map(item, _lines(say, shared))))


def _is_near(say: Phrases, skill: str) -> bool:
    """Return whether a skill is of a unit so far or of the next; where nobody is placed, all are."""
    if say.answer.unit is None:
        return True
    here = say.course.unit[say.answer.unit].number
    return say.course.unit[say.course.skill[skill].unit].number <= here + 1


def _lines(say: Phrases, shared: list[str]) -> Iterator[str]:
    yield (
        f"{capital(counted(len(shared), 'skill'))} here {'is' if len(shared) == 1 else 'are'} the same "
        "there: a note of one lesson counts in both. Units, and what was settled as a whole, do not."
    )
    for title, states in _GROUPS:
        names = [skill for skill in shared if say.standing(skill).state in states]
        if names:
            yield f"{title}: {say.names(names, len(names))}."
