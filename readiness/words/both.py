"""What is said where a student takes more than one course: what rests, and what counts in both.

A part of the body that rests for another course comes first, because nothing here may use it either. The
courses are not compared, and no course is spoken of as the better way.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.judging.answer import GAP_STATES
from readiness.record.multi_course import shared_skills
from readiness.words.grammar import counted, joined, quoted, tidy
from readiness.words.layout import Paragraph, Section, item
from readiness.words.phrases import Phrases

__all__ = ["carried_section", "resting_section"]

_RESTS = {
    "voice": "no singing, humming, whispering or counting aloud",
    "hand": "no playing, clapping or patting",
}
_GROUPS = (
    ("Secure, or set aside by agreement", ("secure", "set-aside")),
    ("With help so far, not shown yet, or lost since", GAP_STATES),
    ("Some of the days, one off day, or not seen lately", ("building", "wobbling", "stale")),
    ("Not asked yet", ("untried",)),
)


def resting_section(say: Phrases) -> Section:
    """Return the pauses of another course: that part of the body rests here too."""
    holds = say.record.resting(say.answer.on)
    return Section(
        "Paused in another course",
        tuple(
            item(
                f"The {hold.part} rests since {say.day(hold.opened)} ({say.line(hold.line)}). Here too: "
                f"{_RESTS[hold.part]}. Other work goes on. Only an adult ends the pause."
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
    return Section(f"Shared with {others}", tuple(_lines(say, shared)))


def _is_near(say: Phrases, skill: str) -> bool:
    """Return whether a skill is of a unit so far or of the next; where nobody is placed, all are."""
    if say.answer.unit is None:
        return True
    here = say.course.unit[say.answer.unit].number
    return say.course.unit[say.course.skill[skill].unit].number <= here + 1


def _lines(say: Phrases, shared: list[str]) -> Iterator[Paragraph]:
    yield item(
        f"{counted(len(shared), 'skill is', 'skills are')} the same there: a note of one lesson counts in "
        "both. Units, and skills noted as secure all at once, do not count in both."
    )
    for title, states in _GROUPS:
        names = [skill for skill in shared if say.standing(skill).state in states]
        if names:
            yield item(f"{title}: {counted(len(names), 'skill')}.")
            yield from (Paragraph(tidy(say.course.skill[one].name), 4, more=True) for one in names)
