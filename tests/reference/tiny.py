"""A course made of nothing but links, for questions about order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from hypothesis import strategies as st

from readiness.course.draft import Draft, Written, make_draft
from readiness.course.model import Course, Group, Skill, Strand, Unit
from readiness.toml.problems import Place

__all__ = ["Links", "dags", "digraphs", "draft_of", "tiny_course"]

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


@st.composite
def digraphs(draw: st.DrawFn, most: int = 8) -> dict[str, list[str]]:
    """Draw links in any direction, loops and self-links among them."""
    names = [f"s{number}" for number in range(draw(st.integers(1, most)))]
    return {name: draw(st.lists(st.sampled_from(names), unique=True, max_size=3)) for name in names}


def draft_of(links: Links) -> Draft:
    """Return these links as a course file that has not been checked yet."""
    skills = {name: {"stands_on": list(before)} for name, before in links.items()}
    return make_draft(Written({"skill": skills}, _Nowhere()), Written({}, _Nowhere()))


class _Nowhere:
    """A file whose words are all at its beginning."""

    def key_place(self, *path: str | int) -> Place:
        return Place(Path("graph.toml"), 1, 1)

    value_place = key_place
