"""What all tests share: how hard Hypothesis tries, the demo data, and student files to be written to."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.internal.conjecture import providers

from readiness.course.load import load_course
from readiness.course.model import Course
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.load import load_record
from readiness.record.marks import standing

pytest.register_assert_rewrite("pinned")  # so that a difference is shown

HERE = Path(__file__).parent
ROOT = HERE.parent

QUICK = ("house", "key", "record")
"""The folders whose tests are for every change: the plan of the house, the answer key, what is noted."""
LONG = ("faults", "laws", "screens", "testing", "words")
"""The folders whose files take longest."""


# Begun in the background of a script, the tests would hand on signals that are ignored, and a program
# that a test ends by one of them would go on for ever.
for _signal in (signal.SIGINT, *([signal.SIGHUP] if hasattr(signal, "SIGHUP") else [])):
    if signal.getsignal(_signal) is signal.SIG_IGN:
        signal.signal(_signal, signal.default_int_handler if _signal == signal.SIGINT else signal.SIG_DFL)

# Generated courses and records are large, and slow machines are welcome: no test judges a time.
# What is kept of drawn questions (``drawn.py``) is drawn when a law first asks for it.
_SLOW = [
    HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much, HealthCheck.nested_given
]  # fmt: skip
# The examples are always the same ones, so that a first run tells of the code alone and not of luck.
# ``--hypothesis-profile=explore`` draws fresh ones each time, ``--hypothesis-profile=many`` very many.
settings.register_profile(
    "dev", max_examples=60, deadline=None, derandomize=True, suppress_health_check=_SLOW, print_blob=True
)
settings.register_profile("explore", settings.get_profile("dev"), derandomize=False)
settings.register_profile("many", settings.get_profile("explore"), max_examples=20_000)
settings.load_profile("dev")

# Hypothesis also tries the constants of all modules that are loaded, and which are hangs on what ran before.
_constants = providers._get_local_constants
providers._get_local_constants = lambda: (
    providers.Constants() if settings.default.derandomize else _constants()
)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """Run one more at a time than there are cores: the screens wait for files and clocks meanwhile."""
    return int(os.environ.get("PYTEST_XDIST_AUTO_NUM_WORKERS") or (os.cpu_count() or 1) + 1)


def pytest_configure(config: pytest.Config) -> None:
    """Let ``python -m pytest -m quick`` read no more than it runs."""
    if config.option.markexpr == "quick" and config.args_source is config.ArgsSource.TESTPATHS:
        config.args[:] = [str(HERE / name) for name in QUICK]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what to run after every change; begin with the longest, so that all cores end together."""
    for item in items:
        if item.path.parent.name in QUICK:
            item.add_marker("quick")
    items.sort(key=lambda item: item.path.parent.name not in LONG)


@pytest.fixture(autouse=True)
def _no_studio_from_outside(
    monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Keep the studio, terminal and cache of whoever runs the tests out of them.

    What is kept of the files is on, as it is for a teacher, in a folder of this run.
    """
    for name in ("READINESS_STUDIO", "COLUMNS", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("READINESS_CACHE", str(tmp_path_factory.getbasetemp() / "cache"))


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
    found = load_course(course_folder).course
    assert found is not None
    return found


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
def flat():
    """Return a function that puts a text on one line, so that a sentence can be looked for."""
    return lambda text: " ".join(text.split())


@pytest.fixture
def folder(tmp_path, demo_folder):
    """Return a students folder with copies of the invented students."""
    students = tmp_path / "students"
    students.mkdir()
    for path in demo_folder.glob("*.toml"):
        if path.name != "studio.toml":
            (students / path.name).write_bytes(path.read_bytes())
    return students


@pytest.fixture
def temwa(folder):
    """Return the path of one student's file."""
    return folder / "temwa.toml"


@pytest.fixture
def read(course):
    """Return a function that reads a student's file, which must be right; nothing is in it twice, or told."""

    def of(path, *, twice=""):
        loaded = load_record(path, course)
        assert {problem.id for problem in loaded.problems} == ({twice} if twice else set())
        return loaded.record

    return of


@pytest.fixture(scope="session")
def left():
    """Return a function that gives what counts of a file, without what says at its end what does not."""

    def of(path: Path) -> bytes:
        text = standing(path.read_bytes()).rstrip(b"\r\n")
        while (last := text.rpartition(b"\n"))[2].startswith(b"# taken back "):
            text = last[0].rstrip(b"\r\n")
        return text

    return of
