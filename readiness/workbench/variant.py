"""What a course based on another has otherwise: for whoever answers for several of them.

Every value that the course writes itself is set beside the value it inherits; a number that
is written and the same is named too, because it will not follow when the other changes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from readiness.course.layers import CourseFiles, read_files
from readiness.course.load import load_course
from readiness.course.model import Course
from readiness.workbench.differences import Difference, differences

__all__ = ["Variant", "variant_of"]


@dataclass(frozen=True, slots=True)
class Variant:
    """A course beside the one it is based on.

    Attributes:
        base: the folder of that course, None where it stands on its own.
        course: that course, None where it has an error.
        different: what is different.
        repeated: (band, rule) of numbers that are written and the same as the inherited ones.
        own, inherited: how many numbers of the pacing, and how many links, are whose.
    """

    base: Path | None
    course: Course | None
    different: tuple[Difference, ...]
    repeated: tuple[tuple[str, str], ...]
    own: tuple[int, int]
    inherited: tuple[int, int]


def variant_of(folder: Path) -> Variant:
    """Return what a course has otherwise than the one it is based on."""
    files = read_files(folder)
    bases = files.graph.bases or files.pacing.bases
    mine = load_course(folder).course
    if not bases or mine is None:
        return Variant(None, None, (), (), (0, 0), (0, 0))
    base = load_course(bases[0].parent).course
    own_files = {folder / "graph.toml", folder / "pacing.toml"}
    numbers = {key: origin.place for key, origin in mine.provenance.items() if origin.place is not None}
    written = [key for key, place in numbers.items() if place.file in own_files]
    links = sum(place.file in own_files for place in mine.link_places.values())
    return Variant(
        bases[0].parent,
        base,
        tuple(_placed(files, one) for one in differences(base, mine)) if base is not None else (),
        tuple(key for key in written if base is not None and _number(base, key) == _number(mine, key)),
        (len(written), links),
        (len(numbers) - len(written), len(mine.link_places) - links),
    )


def _placed(files: CourseFiles, one: Difference) -> Difference:
    """Return a difference at the very line that makes it."""
    table = one.id.partition("-")[0]
    if table not in ("skill", "unit") or one.id.endswith("-gone"):
        return one
    at = (table, one.subject, one.what) if one.what else (table, one.subject)
    return replace(one, place=files.graph.key_place(*at))


def _number(course: Course, key: tuple[str, str]) -> object:
    band = course.band.get(key[0])
    return None if band is None else band.numbers.get(key[1])
