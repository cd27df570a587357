"""The same question gives the same bytes: twice in one run, and in runs that hash differently."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from drawn import situations
from hypothesis import given

from readiness.testing import Situation, ask

ROOT = Path(__file__).parents[2]

ASK_EVERYBODY = """
import json, sys
from pathlib import Path
from readiness.course.load import load_course
from readiness.judging import answer_to_dict, judge
from readiness.record.load import load_record

root = Path(sys.argv[1])
course = load_course(root / "skill_graphs" / "first-two-years").course
for path in sorted((root / "demo_students").glob("*.toml")):
    record = load_record(path, course).record
    for day in (739586, 739589, 739600) if record else ():
        print(json.dumps(answer_to_dict(judge(course, record, day))))
"""
"""Every demo student on 2, 5 and 16 December 2025."""


@given(situations())
def test_asking_twice_gives_the_same_bytes(situation: Situation) -> None:
    assert json.dumps(ask(situation).json) == json.dumps(ask(situation).json)


def test_runs_that_hash_differently_give_the_same_bytes() -> None:
    outputs = {_run(seed) for seed in ("0", "1", "2025")}
    assert len(outputs) == 1
    assert outputs.pop().count("\n") == 18


def _run(seed: str) -> str:
    result = subprocess.run(
        [sys.executable, "-c", ASK_EVERYBODY, str(ROOT)],
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    return result.stdout
