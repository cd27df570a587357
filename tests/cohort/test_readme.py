"""The example of the README runs as it stands there, on the demo students."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from readiness.cli.main import main
from readiness.cohort import read_part

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def test_the_example_runs(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str], answered, records
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["network", "gather", "network", "--name", "north", "--codes", "codes.json"]) == 0
    capsys.readouterr()
    (example,) = re.findall(r"test_readme.py -->\n```python\n(.*?)```", README, re.DOTALL)
    exec(compile(example, "README.md", "exec"), {})
    answers = [answered(name, "2025-12-02") for name in records]
    said = Counter("ready" if one.is_ready else one.verdict for one in answers)
    verdicts = ("ready", "look-again", "not-yet", "paused", "not-placed")
    assert capsys.readouterr().out == "".join(f"{verdict} {said[verdict]}\n" for verdict in verdicts)
    ids = read_part(tmp_path / "network" / "north").ids.to_pylist()
    assert len(ids) == len(records)
    assert all(re.fullmatch("[0-9a-f]{16}", one) for one in ids)
