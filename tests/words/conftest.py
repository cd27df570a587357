"""The demo students' answers and their texts, by student and day."""

from __future__ import annotations

import pytest

from readiness.course.load import load_course
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.load import load_record
from readiness.words.story import tell_answer


@pytest.fixture(scope="session")
def course(course_folder):
    """Return the shipped course."""
    loaded = load_course(course_folder).course
    assert loaded is not None
    return loaded


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
def told(course, records, answered):
    """Return a function from student and day to the text."""

    def tell(student, on, width=80):
        return tell_answer(answered(student, on), course, records[student], width)

    return tell


@pytest.fixture(scope="session")
def flat():
    """Return a function that puts a text on one line, so that a sentence can be looked for."""
    return lambda text: " ".join(text.split())
