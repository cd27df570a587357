"""The words for two: what both can do, in what way, and for how long.

For the teacher. It says nothing of either one alone, and it compares nobody: whoever reads
it learns what both can take part in. It ends with how to go about it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.advice.together import Activity, Pair
from readiness.course.model import Course
from readiness.terms import Kind
from readiness.words.cautions import caution
from readiness.words.grammar import counted, date_words, listed, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out, under

__all__ = ["tell_pair"]


def tell_pair(pair: Pair, names: Sequence[str], day: int, course: Course, width: int = 80) -> str:
    """Return what two students can do together.

    Args:
        pair: what was found.
        names: what both are called.
        day: the day asked about.
        course: the course.
        width: the widest line.
    """
    title = (
        f"{listed([tidy(name) for name in sorted(names, key=str.casefold)])} - together - {date_words(day)}"
    )
    return lay_out(
        [
            Section("", (Paragraph(title),)),
            Section("What comes first", tuple(map(item, _rests(pair)))),
            Section("Both can take part, with something to gain", tuple(_list(pair.grow, pair, course))),
            Section("Both know it: for the joy of it", tuple(_list(pair.known, pair, course))),
            Section("How", tuple(map(item, _how(pair)))),
            Section("Cautions", (item(caution("C14")),)),
        ],
        width,
    )


def _rests(pair: Pair) -> Iterator[str]:
    if pair.rests:
        uses = "" if "all" in pair.rests else f" nothing here uses the {listed(pair.rests)}, and"
        yield f"A hold is open, so{uses} nobody plays meanwhile."
        yield caution("C1")


def _list(activities: tuple[Activity, ...], pair: Pair, course: Course) -> Iterator[Paragraph]:
    for one in activities:
        skill = course.skill[one.skill]
        yield item(f"{tidy(skill.name)} ({one.skill}).")
        yield under(_LISTEN if pair.rests else _activity(one, course))


def _activity(activity: Activity, course: Course) -> str:
    skill = course.skill[activity.skill]
    if activity.remedy is None:
        return _IN_TURN.get(skill.kind, _ECHO)
    text = tidy(skill.remedies[activity.remedy])
    place = " In two: one takes the teacher's part, then they swap." if "teacher" in text.casefold() else ""
    return f"{text}{place}"


def _how(pair: Pair) -> Iterator[str]:
    if not pair.grow and not pair.known:
        yield (
            "Nothing of rhythm, ear or singing fits both just now. Listen to something together, or let each "
            "choose a piece for the other to hear."
        )
        return
    swap = "stop at any time" if pair.rests else "swap parts, so that each leads and each follows"
    yield f"About {counted(pair.minutes, 'minute')} for one thing, then another; {swap}."
    yield "Praise what they did together. Notes are for each one's own file: readiness note"


_LISTEN: Final = "The teacher makes the sounds; both point to what it was, only if it is comfortable."
_ECHO: Final = "One does it, the other answers with the same or with something of their own; then they swap."
_IN_TURN: Final = {
    Kind.EAR: "One makes the sound, the other shows with eyes shut what it was; then they swap.",
    Kind.READING: "One points along, the other claps or says it; then they swap.",
    Kind.KNOWLEDGE: "One asks, the other shows; then they swap.",
}
