"""Students of a small school, and what is asked about them."""

from __future__ import annotations

import pytest

from readiness.course.load import load_course
from readiness.days import day_number
from readiness.record.load import build_record, load_record
from readiness.school.judged import judge_all


@pytest.fixture(scope="session")
def taught(course_folder):
    return load_course(course_folder).course


@pytest.fixture(scope="session")
def demo(taught, demo_folder):
    """Return a function that gives the invented students as judged on a day."""
    names = ("bogdan", "chikondi", "linnea", "noemi", "rafiq", "temwa")
    records = [load_record(demo_folder / f"{name}.toml", taught).record for name in names]

    def on(day):
        return judge_all(taught, records, day_number(day), lambda _: ())

    return on


@pytest.fixture(scope="session")
def student(taught):
    """Return a function that makes a record from blocks."""

    def make(name, **blocks):
        data = {"format": 1, "name": name.capitalize(), "born": "2019-03-02", **blocks}
        return build_record(name, data, taught)

    return make
