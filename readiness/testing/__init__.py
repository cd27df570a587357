"""What must hold of any course, and made-up students to try it on; ``pip install '.[invariants]'``.

``pytest --readiness-course DIR`` tries the invariants on a course of your own (``testing.plugin``). In tests
of your own the strategies are for Hypothesis::

    from hypothesis import given
    from readiness.testing import ask, situations

    @given(situations())
    def test_what_i_rely_on(situation): assert ask(situation).answer.verdict

Each name here is loaded when it is first used, so that pytest starts without Hypothesis.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from readiness.testing.invariants import (
        OF_ANY_RECORD,
        CourseFolder,
        a_good_showing_never_worsens,
        acyclic_and_reduced,
        another_teacher_changes_nothing,
        every_unit_can_be_left,
        ids_mean_nothing,
        keeps_its_promise,
        lessons_to_reach_every_unit,
        nothing_taught_later_is_asked,
        order_means_nothing,
        pain_is_on_every_sheet,
        weeks_change_only_dates,
    )
    from readiness.testing.situation import Asked, Situation, ask, calendar_of, record_of, without_places
    from readiness.testing.strategies import (
        LEANINGS,
        Leaning,
        courses,
        days,
        pacings,
        records,
        situations,
        student_files,
    )

__all__ = [
    "LEANINGS", "OF_ANY_RECORD", "Asked", "CourseFolder", "Leaning", "Situation",
    "a_good_showing_never_worsens", "acyclic_and_reduced", "another_teacher_changes_nothing", "ask",
    "calendar_of", "courses", "days", "every_unit_can_be_left", "ids_mean_nothing", "keeps_its_promise",
    "lessons_to_reach_every_unit", "nothing_taught_later_is_asked", "order_means_nothing", "pacings",
    "pain_is_on_every_sheet", "record_of", "records", "situations", "student_files",
    "weeks_change_only_dates", "without_places",
]  # fmt: skip


def __getattr__(name: str) -> object:
    """Return one of the names above from the module it lives in; each of these uses those before it."""
    for room in ("situation", "strategies", "invariants") if name in __all__ else ():
        module = import_module(f"{__name__}.{room}")
        if hasattr(module, name):
            return getattr(module, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
