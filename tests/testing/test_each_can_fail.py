"""What must hold of a course holds of those that come with the program, and each invariant can fail.

A course with one mistake breaks the one test that is about it. A course without any breaks none, but where
the program is at fault: each fault put in breaks the one invariant that is about it.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from testing.asking import asked
from toml_files.slips import SMALL, lay_over

from readiness.advice.sheet import SheetItem, check_sheet
from readiness.testing import OF_ANY_RECORD, Asked, Situation, ask, invariants

ROOT = Path(__file__).parents[2]
SHAPE, LINKS = "shaped as the format says", "acyclic and reduced"
LATER = "No skill stands on a skill of a later unit, in a group either"
KNOWN = "Every skill named in ``stands_on`` and ``of`` has its table"

BREAKS = {
    "loop_within_a_unit": LINKS, "two_loops": LINKS, "stands_on_itself": LINKS, "redundant_link": LINKS,
    "redundant_link_across_units": LINKS, "later_unit": LATER, "later_unit_in_a_group": LATER,
    "skill_misspelt": KNOWN, "skill_unknown_in_group": KNOWN,
    "strand_unknown": "Every skill is put in a strand of the course",
    "unit_unknown": "Every skill is put in a unit of the course", "kind_wrong": SHAPE, "key_missing": SHAPE,
    "group_too_big": "``at_least`` is between 1 and the number of different members",
    "band_ages_clash": "No two bands begin at the same age",
    "replaced_not_retired": "What is replaced is retired, and what is retired was there",
}  # fmt: skip
"""A course with one mistake, and the only test that does not hold then."""


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """Return a copy of the small course."""
    return shutil.copytree(SMALL, tmp_path / "course")


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    """Return an empty folder."""
    (tmp_path / "empty").mkdir()
    return tmp_path / "empty"


@pytest.mark.parametrize("name", ["first-two-years", "first-year-voice"])
def test_the_courses_that_come_with_the_program_keep_all(name: str, empty: Path) -> None:
    found = asked(ROOT / "skill_graphs" / name, empty)
    assert found.broken == set()
    assert set(found.every.values()) <= {"passed", "warned"}
    assert {law.__name__.replace("_", " ") for law in OF_ANY_RECORD} < set(found.every)
    assert {"every unit can be left[4-5]", "lessons to reach every unit[adult]"} < set(found.every)


@pytest.mark.parametrize(("mistake", "test"), BREAKS.items())
def test_a_mistake_breaks_its_own_test_alone(mistake: str, test: str, small: Path, empty: Path) -> None:
    assert asked(lay_over(small, mistake), empty).broken == {test}


def _edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_where_every_week_is_a_break_nobody_gets_on(small: Path, empty: Path) -> None:
    """``break_weeks = 1`` makes of every weekly lesson the first one after a break (rule R7)."""
    text = (small / "pacing.toml").read_text(encoding="utf-8")
    first, second = text.split('[band."6-7"]')
    first = first.replace("break_weeks = 3", "break_weeks = 1")
    (small / "pacing.toml").write_text(f'{first}[band."6-7"]{second}', encoding="utf-8")
    assert asked(small, empty).broken == {"lessons to reach every unit[4-5]"}


def test_where_a_group_hangs_on_what_is_optional_nobody_leaves(small: Path, empty: Path) -> None:
    graph = small / "graph.toml"
    _edit(graph, "[skill.names-arm-parts]\n", '[skill.names-arm-parts]\noptional_in = ["4-5"]\n')
    _edit(graph, 'of = ["names-arm-parts", "lands-softly"]', 'of = ["names-arm-parts"]')
    assert asked(small, empty).broken == {"every unit can be left[4-5]"}


def test_without_a_sign_for_pain_there_is_no_course(small: Path, empty: Path) -> None:
    _edit(small / "graph.toml", "asks_pain = true\n", "")
    signal = "Some skill is the child saying that something hurts, from the first unit on and for good"
    assert asked(small, empty).broken == {signal}


def _without_lessons(situation: Situation) -> Situation:
    return situation.with_student(lesson=[{"on": one["on"]} for one in situation.student.get("lesson", ())])


def _misread(is_misread: Callable[[Situation], bool]) -> Callable[..., Asked]:
    """Return an engine that overlooks the lessons of some files."""

    def faulty(situation: Situation, *rest: Any, **more: Any) -> Asked:
        return ask(_without_lessons(situation) if is_misread(situation) else situation, *rest, **more)

    return faulty


def _of_one_skill(lesson: dict[str, Any]) -> bool:
    return set(lesson) == {"on", "alone"} and len(lesson["alone"]) == 1


def _hard_on_one_skill(situation: Situation, *rest: Any, **more: Any) -> Asked:
    """An engine that takes a lesson in which one skill alone was shown for one in which it was not."""
    lessons = [
        {"on": one["on"], "not_shown": one["alone"]} if _of_one_skill(one) else one
        for one in situation.student.get("lesson", ())
    ]
    return ask(situation.with_student(lesson=lessons) if lessons else situation, *rest, **more)


def _first_teacher(situation: Situation) -> bool:
    return any(one.get("by") == "A.K." for one in situation.student.get("lesson", ()))


READS_WRONGLY = {
    "a good showing never worsens": _hard_on_one_skill,
    "ids mean nothing": _misread(lambda one: "thing-" in "".join(one.graph.get("skill", ()))),
    "order means nothing": _misread(lambda one: next(iter(one.student)) != "format"),
    "weeks change only dates": _misread(lambda one: not date(2023, 6, 1) < one.on < date(2025, 6, 1)),
    "another teacher changes nothing": _misread(_first_teacher),
}  # fmt: skip


@pytest.mark.parametrize(("law", "faulty"), READS_WRONGLY.items())
def test_an_engine_that_reads_wrongly_breaks_its_own_law_alone(
    law: str, faulty: Any, small: Path, empty: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(invariants, "ask", faulty)
    assert asked(small, empty, 15).broken == {law}


def test_a_sheet_without_the_sign_for_pain_is_seen(
    small: Path, empty: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def without(*given: Any) -> Any:
        sheet = check_sheet(*given)
        return replace(sheet, items=tuple(i for i in sheet.items if "feet-supported" not in i.skills))

    monkeypatch.setattr(invariants, "check_sheet", without)
    assert asked(small, empty).broken == {f"pain is on every sheet[{band}]" for band in ("4-5", "6-7")}


def test_a_sheet_that_runs_ahead_is_seen(small: Path, empty: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def ahead(course: Any, *given: Any) -> Any:
        sheet = check_sheet(course, *given)
        return replace(sheet, items=(*sheet.items, SheetItem((course.skills[-1].id,), "rest", False, False)))

    monkeypatch.setattr(invariants, "check_sheet", ahead)
    assert asked(small, empty, 20).broken == {"nothing taught later is asked"}
