"""Whatever numbers a course is accepted with, every command answers: none stops, and none goes on for ever.

Each number is drawn from the ends of what is accepted, the ends of what is usual, and near them.
"""

from __future__ import annotations

import contextlib
import io
import re
import shutil
import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import tomli_w
from hypothesis import Phase, assume, example, given, settings
from hypothesis import strategies as st

from readiness.cli.main import main
from readiness.course.checks.units import RANGES, why_refused
from readiness.course.load import load_course
from readiness.toml.problems import errors

ROOT = Path(__file__).parents[2]
COURSE = ROOT / "skill_graphs" / "first-two-years"
PACING = tomllib.loads((COURSE / "pacing.toml").read_text("utf-8"))
DEMO = sorted(path.stem for path in (ROOT / "demo_students").glob("*.toml") if path.stem != "studio")

LEAST = {"carry_limit": 0, "spread_days": 0, "check_gap_days": 0, "practice_days_week": 0, "from_age": 0}
LEAST |= {"practice_rise_percent_week": 0}
LEAST |= {"review_share": 0.0, "min_unit_factor": 0.01, "max_unit_factor": 0.01}
MOST = {"carry_limit": 12, "review_share": 1.0, "practice_days_week": 7}
RULES = sorted(set(RANGES) - {"lesson_weeks", "minutes", "from_age"})

OF_ONE = (
    ("why",), ("why", "--full"), ("when",), ("changed", "--since", "2025-11-01"), ("plan",), ("sheet",),
    ("back",), ("review",), ("season", "--event", "2026-03-14"), ("way", "--to", "14"),
    ("shown", "--on", "2025-12-06"), ("tell", "family"), ("handover",), ("map", "--student"),
)  # fmt: skip
OF_ALL = (("roster",), ("ask", "all"), ("ask", "ready"), ("check", "--facts"), ("doctor",), ("map",))


@st.composite
def pacings_at_the_ends(draw: st.DrawFn) -> dict[str, Any]:
    numbers = {rule: draw(_number(rule)) for rule in draw(st.lists(st.sampled_from(RULES), max_size=8))}
    bands = {}
    for name, plain in PACING["band"].items():
        bands[name] = {key: dict(value) if isinstance(value, dict) else value for key, value in plain.items()}
        for rule, number in numbers.items():
            table, _, key = rule.rpartition(".")
            (bands[name][table] if table else bands[name])[key] = number
    return {**PACING, "band": bands}


def _number(rule: str) -> st.SearchStrategy[Any]:
    least, known = LEAST.get(rule, 1), RANGES[rule]
    ends = {least, MOST.get(rule, known.most), *(end for pair in known.usual for end in pair)}
    if isinstance(least, float):
        return st.sampled_from(sorted(map(float, ends)))
    plain = sorted({int(end) for end in ends})
    one = st.sampled_from(plain) | st.integers(plain[0], plain[-1])
    return st.tuples(one, one).map(sorted) if rule.endswith(("_range", "_minutes_day")) else one


@given(st.sampled_from(RULES), st.integers(-1, 600) | st.sampled_from([0.005, 1.5, 10.5]))
@example("days_needed.motor", 11)
@example("min_unit_factor", 0)
@example("carry_limit", 15)
@settings(max_examples=40)
def test_a_number_is_supposed_where_the_file_may_have_it_and_refused_in_its_words(
    rule: str, value: float
) -> None:
    (band,) = {"4-5"} & set(PACING["band"])
    was = PACING["band"][band]
    for part in rule.split(".")[:-1]:
        was = was[part]
    key = rule.rpartition(".")[2]
    assume(isinstance(was[key], (int, float)) and (isinstance(was[key], float) or value == int(value)))
    with TemporaryDirectory() as name:
        shutil.copytree(COURSE, name, dirs_exist_ok=True)
        kept, was[key] = was[key], type(was[key])(value)
        (Path(name) / "pacing.toml").write_text(tomli_w.dumps(PACING), "utf-8")
        was[key] = kept
        found = [one.message for one in errors(load_course(Path(name)).problems) if one.id == "out-of-range"]
    why = why_refused(load_course(COURSE).course, rule, value)
    assert bool(why) == bool(found)
    said = {re.search(r" must be (.*), not", one)[1] for one in (*found, *filter(None, [why]))}
    assert len(said) == bool(why)


@pytest.mark.parametrize("words", [*OF_ONE, *OF_ALL], ids=" ".join)
@settings(max_examples=3, phases=(Phase.explicit, Phase.generate))
@given(pacing=pacings_at_the_ends(), who=st.sampled_from(DEMO))
def test_an_answer_is_given(words: tuple[str, ...], pacing: dict[str, Any], who: str) -> None:
    with TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copytree(ROOT / "demo_students", folder / "students")
        (folder / "course").mkdir()
        shutil.copy(COURSE / "graph.toml", folder / "course")
        (folder / "course" / "pacing.toml").write_text(tomli_w.dumps(pacing), "utf-8")
        assume(not errors(load_course(folder / "course").problems))
        (folder / "students" / "studio.toml").write_text(
            'format = 1\nname = "Own"\ncourse = "../course"\nstudents = "."\ntoday = 2025-12-02\n', "utf-8"
        )
        typed = [words[0], *([who] if words in OF_ONE and words[-1] != "--student" else []), *words[1:]]
        typed += [who] if words[-1] == "--student" else []
        where = [str(folder / "course")] if words[0] == "check" else ["--course", str(folder / "course")]
        students = ["--students", str(folder / "students")]
        said = io.StringIO()
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            code = main([*typed, *where, *students])
        assert code in (0, 1), said.getvalue()
        assert said.getvalue()
