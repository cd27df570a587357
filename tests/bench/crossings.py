"""How many lines cross in the picture of a course, beside a layered drawing by networkx.

    python tests/bench/crossings.py [COURSE_DIR ...]

Counted are pairs of links without a common end whose drawn lines cross, and the points in which
they do. networkx draws the same links as straight lines with ``multipartite_layout``: once with
the units as layers, as here, and once with a layer for every step of the longest chain, so that no
link lies within a layer. Of the links that leave one skill, ours share their line until they part,
so two of them never cross; in networkx's drawing two links with a common end cannot cross either.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path

import networkx as nx

from readiness.course.load import load_course
from readiness.course.model import Course
from readiness.pictures.formats import shown
from readiness.pictures.geometry import lay_out_map
from readiness.pictures.lines import Curve, DrawnLine

__all__ = ["crossings", "networkx_lines", "our_lines", "way_to"]

ROOT = Path(__file__).parents[2]
Point = tuple[float, float]
Lines = Mapping[tuple[str, str], Sequence[Point]]


def our_lines(course: Course) -> Lines:
    """Return every link of the picture as points along its line."""
    layout = lay_out_map(shown(course))
    found: dict[tuple[str, str], list[Point]] = {}
    for line in layout.lines:
        for after in (curve.after for curve in line.curves if curve.after):
            found[line.before, after] = [point for curve in way_to(line, after) for point in points(curve)]
    return found


def way_to(line: DrawnLine, after: str) -> list[Curve]:
    """Return the pieces from the skill to one that stands on it, in their order."""
    way = [next(curve for curve in line.curves if curve.after == after)]
    passing = {curve.end: curve for curve in line.curves if not curve.after}
    while way[0].start in passing:
        way.insert(0, passing[way[0].start])
    return way


def points(curve: Curve, steps: int = 12) -> Iterator[Point]:
    """Yield points along a piece, its two ends included: a cubic curve."""
    corners = (curve.start, *curve.controls(), curve.end)
    for t in (step / steps for step in range(steps + 1)):
        shares = (1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3
        x, y = (sum(a * b for a, b in zip(shares, side, strict=True)) for side in zip(*corners, strict=True))
        yield x, y


def networkx_lines(course: Course, layers: Mapping[str, int]) -> Lines:
    """Return every link as a straight line between the places networkx gives to the skills."""
    graph = nx.DiGraph()
    # Numbers, so that no text's hash decides an order.
    number = {skill.id: at for at, skill in enumerate(course.skills)}
    graph.add_nodes_from((at, {"layer": layers[skill]}) for skill, at in number.items())
    place = nx.multipartite_layout(graph, subset_key="layer")
    ends = [(one.before, one.after) for one in shown(course).links]
    return {(a, b): [tuple(place[number[a]]), tuple(place[number[b]])] for a, b in ends}


def by_unit(course: Course) -> Mapping[str, int]:
    """Return the number of the unit of every skill."""
    return {skill.id: course.unit[skill.unit].number for skill in course.skills}


def by_chain(course: Course) -> Mapping[str, int]:
    """Return the length of the longest chain under every skill."""
    graph = nx.DiGraph((one.before, one.after) for one in shown(course).links)
    graph.add_nodes_from(skill.id for skill in course.skills)
    layers = nx.topological_generations(graph)
    return {skill: layer for layer, skills in enumerate(layers) for skill in skills}


def crossings(lines: Lines) -> tuple[int, int]:
    """Return how many pairs of links cross, and in how many points."""
    pieces = sorted(_pieces(lines), key=lambda piece: piece[0])
    pairs: set[tuple[tuple[str, str], tuple[str, str]]] = set()
    points: set[tuple[float, float, str, str]] = set()
    open_now: list[tuple[float, float, tuple[str, str], Point, Point]] = []
    for piece in pieces:
        open_now = [other for other in open_now if other[1] >= piece[0]]
        for other in open_now:
            if set(piece[2]) & set(other[2]):
                continue
            at = _meet(piece[3], piece[4], other[3], other[4])
            if at is not None:
                pairs.add((min(piece[2], other[2]), max(piece[2], other[2])))
                points.add((round(at[0], 3), round(at[1], 3), *sorted((piece[2][0], other[2][0]))))
        open_now.append(piece)
    return len(pairs), len(points)


def _pieces(lines: Lines) -> Iterator[tuple[float, float, tuple[str, str], Point, Point]]:
    for link, points in lines.items():
        for one, other in pairwise(points):
            if one != other:
                yield min(one[0], other[0]), max(one[0], other[0]), link, one, other


def _meet(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    """Return where two pieces cross, None where they do not or only touch at an end."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = a, b, c, d
    turn = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if turn == 0:
        return None
    t = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / turn
    u = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / turn
    if 0 <= t < 1 and 0 <= u < 1:
        return ax + t * (bx - ax), ay + t * (by - ay)
    return None


def main(folders: Sequence[str]) -> None:
    """Print the counts for each course."""
    for folder in folders or [str(path) for path in sorted((ROOT / "skill_graphs").glob("first-*"))]:
        course = load_course(Path(folder)).course
        assert course is not None
        drawings = (
            ("readiness map", our_lines(course)),
            ("networkx multipartite_layout, a layer a unit", networkx_lines(course, by_unit(course))),
            ("networkx multipartite_layout, a layer a step", networkx_lines(course, by_chain(course))),
        )
        print(f"{course.name}: {len(course.skills)} skills, {len(shown(course).links)} links")
        for name, lines in drawings:
            pairs, points = crossings(lines)
            print(f"  {name:<46} {pairs:>6} pairs of links cross, in {points:>6} points")


if __name__ == "__main__":
    main(sys.argv[1:])
