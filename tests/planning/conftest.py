"""The demo students' answers, sheets and plans, by student and day."""

from __future__ import annotations

import pytest

from readiness.days import day_number
from readiness.judging import judge
from readiness.planning.next_lesson import plan_lesson
from readiness.planning.sheet import check_sheet
from readiness.record.load import load_record


@pytest.fixture(scope="session")
def records(course, demo_folder):
    """Return the demo students by id."""
    paths = [path for path in sorted(demo_folder.glob("*.toml")) if path.name != "studio.toml"]
    return {path.stem: load_record(path, course).record for path in paths}


@pytest.fixture(scope="session")
def answered(course, records):
    """Return a function from student and day to the answer."""
    return lambda student, on: judge(course, records[student], day_number(on))


@pytest.fixture(scope="session")
def sheet_of(course, records, answered):
    """Return a function from student and day to the check sheet."""
    return lambda student, on, keys=None: check_sheet(course, records[student], answered(student, on), keys)


@pytest.fixture(scope="session")
def plan_of(course, records, answered):
    """Return a function from student and day to the plan of the next lesson."""

    def plan(student, on, minutes=None, events=()):
        return plan_lesson(course, records[student], answered(student, on), minutes, events)

    return plan
