"""The page for two: what both can do, in what way, and for how long.

For the teacher. It says nothing of either one alone, and it compares nobody: whoever reads
it learns what both can take part in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.advice.together import Activity, Pair
from readiness.course.model import Course
from readiness.judging.remarks import skill_cautions
from readiness.terms import Kind
from readiness.words.cautions import caution, closing
from readiness.words.grammar import counted, date_words, listed, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out, noted

__all__ = ["tell_pair"]


def tell_pair(
    pair: Pair, names: Sequence[str], day: int, course: Course, width: int = 80, *, full: bool = False
) -> str:
    """Return what two students can do together on a day; ``names``: what both are called."""
    both = listed([tidy(name) for name in sorted(names, key=str.casefold)])
    title = f"{both} · together · {date_words(day)} · about {counted(pair.minutes, 'minute')} for one thing"
    return lay_out(_page(pair, title, course, full=full), width, full=full)


def _page(pair: Pair, title: str, course: Course, *, full: bool) -> Iterator[Section]:
    yield Section("", (Paragraph(title),))
    yield Section("What comes first", tuple(map(item, _rests(pair))))
    yield Section("New to gain from", tuple(_list(pair.grow, pair, course)))
    yield Section("Both know it: for the joy of it", tuple(_list(pair.known, pair, course)))
    shown = () if pair.rests else (one.skill for one in (*pair.grow, *pair.known))
    cautions = (*skill_cautions(course, shown), "C14")
    yield from closing([_how(pair)], cautions, full=full, of_age=pair.of_age)
    praise = "Praise what they did together. Notes are for each one's own file: readiness note"
    yield Section("", noted(praise))


def _rests(pair: Pair) -> Iterator[str]:
    if pair.rests:
        uses = "" if "all" in pair.rests else f" nothing here uses the {listed(pair.rests)}, and"
        yield f"During a pause{uses} nobody plays."
        yield caution("C1", of_age=pair.of_age)


def _list(activities: tuple[Activity, ...], pair: Pair, course: Course) -> Iterator[Paragraph]:
    for one in activities:
        yield item(f"{tidy(course.skill[one.skill].name)}: {_LISTEN if pair.rests else _in_two(one, course)}")
        yield from noted(one.skill, indent=4)


def _in_two(activity: Activity, course: Course) -> str:
    skill = course.skill[activity.skill]
    if activity.remedy is None:
        return _IN_TURN.get(skill.kind, _ECHO)
    return tidy(skill.remedies[activity.remedy])


def _how(pair: Pair) -> str:
    if not pair.grow and not pair.known:
        return (
            "Nothing of rhythm, ear or singing fits both just now. Listen to something together, or let each "
            "choose a piece for the other to hear."
        )
    if pair.rests:
        return "Stop at any time."
    return "Where a teacher is named, one of the two is the teacher. Then swap: each leads and follows."


_LISTEN: Final = "the teacher makes the sounds; both point to what it was, only if it is comfortable."
_ECHO: Final = "one does it, the other answers with the same or something of their own; swap."
_IN_TURN: Final = {
    Kind.EAR: "one makes the sound, the other shows with eyes shut what it was; swap.",
    Kind.READING: "one points along, the other claps or says it; swap.",
    Kind.KNOWLEDGE: "one asks, the other shows; swap.",
}
