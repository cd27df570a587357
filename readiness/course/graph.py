"""The skill graph, held by networkx, and the questions asked of it.

The only module that knows networkx, and the only one in which a skill is a node and "comes
before" an edge. Judging never comes here: it reads a plan compiled once (``course.model``).
Nothing here recurses, so a course of any length is walked; nothing here judges the course.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from readiness.course.model import Course
from readiness.lazy import dataclass

__all__ = ["LaterUse", "SkillGraph", "asked_from", "first_needed", "from_graphml", "to_graphml"]

Attributes = Mapping[str, Any]


class SkillGraph:
    """Which skill comes before which.

    >>> graph = SkillGraph({"sit": [], "rest": ["sit"], "lift": ["rest", "sit"]})
    >>> graph.path("sit", "lift")
    ('sit', 'lift')
    >>> sorted(graph.ancestors("lift"))
    ['rest', 'sit']
    """

    def __init__(self, stands_on: Mapping[str, Iterable[str]]) -> None:
        """Build the graph from what comes directly before every skill, in the order of the file."""
        import networkx as nx

        self._nx = nx
        self._at = {skill: number for number, skill in enumerate(stands_on)}
        self._graph: Any = nx.DiGraph()
        self._graph.add_nodes_from(stands_on)
        self._graph.add_edges_from(
            (before, skill) for skill, needed in stands_on.items() for before in needed
        )

    @classmethod
    def of(cls, course: Course) -> SkillGraph:
        """Return the graph of a course's ``stands_on`` links."""
        return cls({skill.id: skill.stands_on for skill in course.skills})

    def order(self) -> tuple[str, ...]:
        """Return the skills, each after all it stands on, else in file order; ValueError for a loop."""
        try:
            return tuple(self._nx.lexicographical_topological_sort(self._graph, key=self._at.__getitem__))
        except self._nx.NetworkXUnfeasible as loop:
            raise ValueError("a course with a loop has no order") from loop

    def knots(self) -> tuple[tuple[str, ...], ...]:
        """Return the sets of skills that all stand on each other, in file order."""
        knots = (c for c in self._nx.strongly_connected_components(self._graph) if len(c) > 1)
        in_order = (tuple(sorted(knot, key=self._at.__getitem__)) for knot in knots)
        return tuple(sorted(in_order, key=lambda knot: self._at[knot[0]]))

    def ancestors(self, skill: str) -> frozenset[str]:
        """Return all that a skill stands on, over any number of links."""
        return frozenset(self._nx.ancestors(self._graph, skill))

    def path(self, first: str, last: str) -> tuple[str, ...]:
        """Return a shortest way from a skill up to one that stands on it; empty if there is none.

        The same graph, built in the same order, always gives the same way.
        """
        try:
            return tuple(self._nx.shortest_path(self._graph, first, last))
        except self._nx.NetworkXNoPath:
            return ()


def to_graphml(
    about: Attributes, skills: Mapping[str, Attributes], links: Iterable[tuple[str, str, Attributes]]
) -> str:
    """Return skills and links (first, what stands on it) as a GraphML text, in the order given."""
    import networkx as nx

    graph: Any = nx.MultiDiGraph(**about)
    graph.add_nodes_from(skills.items())
    graph.add_edges_from(links)
    return "\n".join(nx.generate_graphml(graph, named_key_ids=True)) + "\n"


def from_graphml(
    text: str,
) -> tuple[dict[str, Any], dict[str, dict[str, Any]], list[tuple[str, str, dict[str, Any]]]]:
    """Return what a GraphML text says of the whole, the skills, the links; networkx raises on any other."""
    import networkx as nx

    graph: Any = nx.parse_graphml(text, node_type=str, force_multigraph=True)
    if not graph.is_directed():
        raise ValueError("its links have no direction, so it does not say what comes first")
    about = {key: value for key, value in graph.graph.items() if key not in ("node_default", "edge_default")}
    edges = [(first, last, dict(told)) for first, last, told in graph.edges(data=True)]
    return about, {name: dict(told) for name, told in graph.nodes(data=True)}, edges


# Where a skill is first needed later in the course, and at which age it is asked for again.
#
# A teacher who lets something come along unfinished wants to know where it will be missed.
# Only what names the skill itself counts; what stands on it through other skills is left
# out, because those other skills will be asked for on their own.


@dataclass(frozen=True)
class LaterUse:
    """The first later unit that stands on a skill.

    Attributes:
        skills: the skills of that unit that name it, in graph order.
        in_group: whether all of them name it only as one of a group.
    """

    unit: str
    number: int
    skills: tuple[str, ...]
    in_group: bool


def first_needed(course: Course, skill_id: str, after_unit: str) -> LaterUse | None:
    """Return the first unit after one (an id) that stands on a skill, None if none does."""
    for unit in course.units[course.unit[after_unit].number :]:
        users = tuple(s for s in course.skills if s.unit == unit.id and skill_id in s.named)
        if users:
            in_group = all(skill_id not in user.stands_on for user in users)
            return LaterUse(unit.id, unit.number, tuple(user.id for user in users), in_group)
    return None


def asked_from(course: Course, skill_id: str, after_band: str) -> str | None:
    """Return the first older band in which a skill is asked for, None if it is in none."""
    names = [band.name for band in course.bands]
    older = names[names.index(after_band) + 1 :]
    return next((band for band in older if band not in course.skill[skill_id].optional_in), None)
