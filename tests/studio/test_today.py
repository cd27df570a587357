"""A day of the studio, on the demo and with lessons left out of the notes."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from readiness.days import day_number
from readiness.school.students import judge_all
from readiness.studio.find import find_studio
from readiness.studio.load import load_studio
from readiness.studio.today import day_of

ROOT = Path(__file__).parents[2]


@pytest.fixture
def folder(tmp_path):
    for name in ("demo_students", "skill_graphs"):
        shutil.copytree(ROOT / name, tmp_path / name)
    return tmp_path / "demo_students"


def day(folder, on):
    number = on if isinstance(on, int) else day_number(on)
    studio = load_studio(find_studio(None, folder, folder, {}))
    judged = judge_all(studio.course.on(number), studio.records.values(), number, studio.calendar)
    return day_of(judged, number, studio.calendar)


def who(lessons):
    return [one.student for one in lessons]


def test_a_day_of_the_demo(folder):
    found = day(folder, "2025-12-11")  # worked out by hand from the six files
    assert who(found.comes) == ["linnea", "rafiq"]
    assert [one.may_play for one in found.comes] == [False, True]
    assert who(found.here_not_noted) == ["chikondi"]
    assert found.may_not_play == ("linnea",)
    assert found.waits_for_decision == ("bogdan", "temwa")
    assert who(found.next) == ["bogdan"]


def test_a_planned_day_comes_and_is_missed_when_it_is_not_noted(folder):
    with (folder / "studio.toml").open("a") as file:
        file.write("\n[lesson_dates]\ntemwa = [2025-12-06]\n")
    (comes,) = day(folder, "2025-12-06").comes
    assert (comes.student, comes.is_planned) == ("temwa", True)
    assert [(one.student, one.is_planned) for one in day(folder, "2025-12-08").here_not_noted] == [
        ("temwa", True)
    ]


def test_nobody_comes_without_a_day_that_says_so(folder):
    (folder / "alma.toml").write_text('format = 1\nname = "Alma"\nborn = "2018-03-02"\n')
    found = day(folder, "2025-12-11")
    assert "alma" not in who(found.comes + found.here_not_noted + found.next)


def test_what_holds_of_every_day(folder):
    for on in range(day_number("2025-11-20"), day_number("2025-12-24")):
        found = day(folder, on)
        assert not set(who(found.comes)) & set(found.noted)
        assert all(on - 14 <= one.on < on for one in found.here_not_noted)
        assert all(one.on > on for one in found.next)
        assert all(one.due is None or one.due <= on for one in found.promises_due)
