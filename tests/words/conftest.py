"""The texts of the demo students' answers, by student and day."""

from __future__ import annotations

import pytest

from readiness.words.why import tell_answer


@pytest.fixture(scope="session")
def told(course, records, answered):
    """Return a function from student and day to the text."""

    def tell(student, on, width=80, *, full=True):
        return tell_answer(answered(student, on), course, records[student], width, full=full)

    return tell
