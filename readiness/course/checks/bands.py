"""R9: one band for one age."""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.draft import Draft
from readiness.course.written import DraftBand
from readiness.files.problems import Problem

__all__ = ["check_ages"]


def check_ages(draft: Draft) -> Iterator[Problem]:
    """No two bands begin at the same age."""
    first: dict[int, DraftBand] = {}
    for band in draft.bands:
        if band.from_age is None:
            continue
        earlier = first.setdefault(band.from_age, band)
        if earlier is not band:
            yield Problem(
                "same-age",
                "error",
                band.age_place,
                f'bands "{earlier.name}" and "{band.name}" both begin at age {band.from_age}',
                "a band holds from its from_age until the next one begins: give one of them another age",
                earlier.age_place,
                f'the other is band "{earlier.name}"',
            )
