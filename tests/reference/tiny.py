"""A course made of nothing but links, for questions about order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from hypothesis import strategies as st

from readiness.course.model import Course, Group, Skill, Strand, Unit

__all__ = ["Links", "dags", "tiny_course"]

Links = Mapping[str, Iterable[str]]
"""For every skill, what comes directly before it."""


def tiny_course(links: Links, groups: Mapping[str, Iterable[Group]] | None = None) -> Course:
    """Return a course of one unit with these links and groups, in this order."""
    some = groups or {}
    skills = tuple(
        Skill(
            id=skill, name=skill, unit="only", strand="any", kind="knowledge", fade="slow", minutes=1,
            shown_when="", stands_on=tuple(before), stands_on_some=tuple(some.get(skill, ())),
        )
        for skill, before in links.items()
    )  # fmt: skip
    unit = Unit("only", "Only unit", number=1, lesson_weeks=1)
    return Course("Tiny", "1", (unit,), (Strand("any", "Any"),), skills, bands=())


@st.composite
def dags(draw: st.DrawFn, most: int = 12) -> dict[str, list[str]]:
    """Draw links without a loop; the order of the skills is no hint at the order of the links."""
    size = draw(st.integers(0, most))
    links = {
        f"s{number}": [f"s{other}" for other in draw(st.sets(st.integers(0, number - 1)))] if number else []
        for number in range(size)
    }
    return {skill: sorted(links[skill]) for skill in draw(st.permutations(list(links)))}
