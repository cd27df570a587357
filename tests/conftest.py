"""What all tests share: how hard Hypothesis tries, and where the demo data is."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

if TYPE_CHECKING:
    from readiness.course.model import Course

HERE = Path(__file__).parent
ROOT = HERE.parent

# Generated courses and records are large, and slow machines are welcome: no test judges a time.
_SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
settings.register_profile("dev", max_examples=50, deadline=None, suppress_health_check=_SLOW)
settings.register_profile(
    "ci", max_examples=60, deadline=None, derandomize=True, suppress_health_check=_SLOW, print_blob=True
)
settings.load_profile("ci" if os.environ.get("CI", "").lower() in ("1", "true") else "dev")


@pytest.fixture(autouse=True)
def _no_studio_from_outside(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the studio and terminal of whoever runs the tests out of them."""
    for name in ("READINESS_STUDIO", "COLUMNS", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(scope="session")
def course_folder() -> Path:
    """Return the folder of the shipped course."""
    return ROOT / "skill_graphs" / "first-two-years"


@pytest.fixture(scope="session")
def demo_folder() -> Path:
    """Return the folder of the invented students."""
    return ROOT / "demo_students"


@pytest.fixture(scope="session")
def course(course_folder: Path) -> Course:
    """Return the shipped course."""
    from readiness.course.load import load_course

    found = load_course(course_folder).course
    assert found is not None
    return found
