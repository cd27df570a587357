"""A plugin of pytest: ``pytest --readiness-course DIR`` asks a course what must hold of any course.

Each invariant is a test of its own, with a readable name; what a check warns of is shown as an expected
failure, and is no failure. In how many lessons every unit is reached stands at the end. The examples are the
same ones each time, as drawn; ``--readiness-examples 200`` tries more. Nothing but pytest is loaded until
it is asked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from random import Random

    from readiness.testing.invariants import Check, CourseFolder
    from readiness.testing.situation import Situation

__all__ = ["pytest_addoption", "pytest_collection_modifyitems", "pytest_terminal_summary"]

NEEDS_A_COURSE = "the course has errors, which other tests tell"


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the options."""
    group = parser.getgroup("readiness", "what must hold of a course")
    group.addoption(
        "--readiness-course",
        action="append",
        default=[],
        type=Path,
        metavar="DIR",
        help="a folder with graph.toml and pacing.toml, to be asked what must hold of any course",
    )
    group.addoption(
        "--readiness-examples",
        type=int,
        default=10,
        metavar="N",
        help="how many made-up students each invariant is tried on (default: 10)",
    )


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(
    session: pytest.Session, config: pytest.Config, items: list[pytest.Item]
) -> None:
    """Add the tests of each course that was named."""
    for folder in config.getoption("readiness_course"):
        items.extend(CourseTests.from_parent(session, name=folder.name, folder=folder).collect())


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print what the tests have to say beside passed or not."""
    for report in terminalreporter.getreports("passed"):
        for key, said in getattr(report, "user_properties", ()):
            if key == "readiness" and report.when == "call":
                terminalreporter.write_line(f"{report.nodeid}: {said}")


class CourseTests(pytest.Collector):
    """The tests of one course."""

    folder: Path

    @classmethod
    def from_parent(cls, parent: pytest.Session, **named: object) -> CourseTests:  # type: ignore[override]
        """Make it of a folder."""
        folder = named.pop("folder")
        made: CourseTests = super().from_parent(parent, nodeid=str(folder), **named)
        assert isinstance(folder, Path)
        made.folder = folder
        return made

    @cached_property
    def read(self) -> CourseFolder:
        """The course, read once for all tests."""
        from readiness.testing.invariants import CourseFolder

        return CourseFolder.read(self.folder)

    def collect(self) -> Iterator[Invariant]:
        """Yield one test for each invariant; for each band, where a band matters."""
        from readiness.testing import invariants

        for law in (invariants.shaped_as_the_format_says, invariants.acyclic_and_reduced):
            yield Invariant.from_parent(self, name=_named(law), holds=partial(self._ask, law))
        for check in invariants.PROMISES:
            yield Invariant.from_parent(self, name=_promise(check), holds=partial(self._keep, check))
        for name, holds in self._of_the_course():
            yield Invariant.from_parent(self, name=name, holds=holds, whole=True)

    def _ask(self, law: Callable[[CourseFolder], None], _: pytest.Item) -> None:
        law(self.read)

    def _keep(self, check: Check, _: pytest.Item) -> None:
        from readiness.testing.invariants import keeps_its_promise

        if warned := keeps_its_promise(check, self.read):
            pytest.xfail("; ".join(f"warned: {one.message}" for one in warned))

    def _of_the_course(self) -> Iterator[tuple[str, Holds]]:
        from readiness.testing import invariants

        for band in self.read.draft.bands:
            counting = f"{_named(invariants.lessons_to_reach_every_unit)}[{band.name}]"
            yield counting, partial(self._count, band.name)
            for asked in (invariants.every_unit_can_be_left, invariants.pain_is_on_every_sheet):
                yield (
                    f"{_named(asked)}[{band.name}]",
                    lambda _, asked=asked, band=band: asked(self.read, band.name),  # type: ignore[misc]
                )
        for law in invariants.OF_ANY_RECORD:
            yield _named(law), partial(self._try, law)

    def _count(self, band: str, item: pytest.Item) -> None:
        from readiness.testing.invariants import lessons_to_reach_every_unit

        lessons = lessons_to_reach_every_unit(self.read, band)
        item.user_properties.append(("readiness", f"{lessons} lessons"))

    def _try(self, law: Callable[[Situation, Random], None], item: pytest.Item) -> None:
        """Try a law on made-up students of the course."""
        from hypothesis import HealthCheck, Phase, given, settings
        from hypothesis import strategies as st

        from readiness.testing.strategies import situations_of

        quiet = settings(
            max_examples=item.config.getoption("readiness_examples"),
            deadline=None,
            derandomize=True,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        drawn = situations_of(self.read.files.graph.data, self.read.files.pacing.data)
        quiet(given(drawn, st.randoms(use_true_random=True))(law))()


Holds = Callable[[pytest.Item], None]


class Invariant(pytest.Item):
    """One invariant, asked of one course."""

    holds: Holds
    whole: bool
    parent: CourseTests

    @classmethod
    def from_parent(  # type: ignore[override]
        cls, parent: CourseTests, *, name: str, holds: Holds, whole: bool = False
    ) -> Invariant:
        """Make it; ``whole`` says whether it needs a course without errors."""
        made: Invariant = super().from_parent(parent, name=name)
        made.holds, made.whole = holds, whole
        return made

    def runtest(self) -> None:
        """Ask it."""
        if self.whole and self.parent.read.course is None:
            pytest.skip(NEEDS_A_COURSE)
        self.holds(self)

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: None = None) -> str:  # type: ignore[override] # noqa: ARG002 - as pytest asks
        """Say what was found, and on which example, without the way there."""
        if not isinstance(excinfo.value, AssertionError):
            return str(super().repr_failure(excinfo))
        return "\n".join([str(excinfo.value), *getattr(excinfo.value, "__notes__", ())])

    def reportinfo(self) -> tuple[Path, None, str]:
        """Return what stands above a failure."""
        return self.parent.folder, None, self.name


def _named(holds: Callable[..., object]) -> str:
    """Return the name of an invariant as words."""
    return holds.__name__.replace("_", " ")


def _promise(check: Check) -> str:
    """Return the first sentence of a check, which is what it promises."""
    return (check.__doc__ or _named(check)).partition("\n")[0].partition(";")[0].rstrip(".")
