"""The demo students' sheets and plans, by student and day."""

from __future__ import annotations

import pytest
from told import with_events

from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet


@pytest.fixture(scope="session")
def sheet_of(course, records, answered):
    """Return a function from student and day to the check sheet."""
    return lambda student, on, keys=None: check_sheet(course, records[student], answered(student, on), keys)


@pytest.fixture(scope="session")
def plan_of(course, records, answered):
    """Return a function from student and day to the plan of the next lesson."""

    def plan(student, on, minutes=None, events=()):
        return plan_lesson(course, records[student], with_events(answered(student, on), *events), minutes)

    return plan
