"""Asking a course what must hold of it, as pytest does, and which tests did not hold."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

__all__ = ["Outcomes", "asked"]


class Outcomes:
    """What became of each test, by its name."""

    def __init__(self) -> None:
        self.every: dict[str, str] = {}
        self.said: dict[str, str] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call":
            name = report.nodeid.rpartition("::")[2]
            self.every[name] = "warned" if hasattr(report, "wasxfail") else report.outcome
            self.said[name] = str(report.longrepr)

    @property
    def broken(self) -> set[str]:
        return {name for name, outcome in self.every.items() if outcome == "failed"}


def asked(folder: Path, empty: Path, examples: int = 5) -> Outcomes:
    """Ask a course in an empty folder, with no settings of ours."""
    found, here = Outcomes(), Path.cwd()
    os.chdir(empty)
    try:
        pytest.main(
            [
                "-q", "-c", os.devnull, f"--rootdir={empty}", "-p", "no:cacheprovider", "-p", "no:xdist",
                "-p", "readiness.testing.plugin", f"--readiness-course={folder}",
                f"--readiness-examples={examples}",
            ],
            plugins=[found],
        )  # fmt: skip
    finally:
        os.chdir(here)
    return found
