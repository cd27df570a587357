"""What a colleague would say of a course: counted here a second time, by hand or by another way."""

from __future__ import annotations

import json
import tomllib
from collections import defaultdict
from datetime import date

import networkx as nx
import pytest
from by_hand import small

from readiness.cli.main import main
from readiness.course.load import build_course
from readiness.editing.facts import colleague_says
from readiness.record.model import Lesson, Record, Showing

BEFORE_AFTER = (1, 8)


@pytest.fixture(scope="module")
def plain(course_folder):
    return tomllib.loads((course_folder / "graph.toml").read_text(encoding="utf-8"))


def test_the_gates_are_what_the_next_unit_names_and_what_is_safety(course, plain):
    skills, units = plain["skill"], list(plain["unit"])
    for gate, unit, following in zip(colleague_says(course).gates, units[:-1], units[1:], strict=True):
        named = {b for one in skills.values() if one["unit"] == following for b in one.get("stands_on", ())}
        named |= {id_ for id_, one in skills.items() if one.get("safety")}
        assert gate.unit == unit
        assert set(gate.skills) == {id_ for id_ in named if skills[id_]["unit"] == unit}


def test_the_shipped_course_is_gated_in_every_unit(course):
    for gate in colleague_says(course).gates:
        assert len(gate.skills) + len(gate.groups) >= 2, gate.unit
    assert colleague_says(course).long == ()
    assert colleague_says(course).no_other_way == ()


def test_the_longest_chain_is_that_of_networkx(course, plain):
    links = [(b, id_) for id_, one in plain["skill"].items() for b in one.get("stands_on", ())]
    said = colleague_says(course)
    assert len(said.chain) == nx.dag_longest_path_length(nx.DiGraph(links)) + 1
    assert set(zip(said.chain, said.chain[1:], strict=False)) <= set(links)


def test_strands_that_stop_have_nothing_in_the_last_two_units(course, plain):
    units = list(plain["unit"])
    seen = defaultdict(set)
    for one in plain["skill"].values():
        seen[one["strand"]].add(one["unit"])
    stops = {strand for strand, where in seen.items() if not where & set(units[-2:])}
    assert {strand for strand, _ in colleague_says(course).strands_that_stop} == stops


UNITS = {
    "unit-1": {"stop": {"asks_pain": True, "always_look": True, "safety": True, "days": 1}, "low": {}},
    "unit-2": {
        "high": {"stands_on": ["low"], "shown_when": "On 2 days of the week, 3 weeks of 4.", "days": 2},
        "slow": {"days": 2, "shown_when": "5 of 6 bars."},
    },
}


@pytest.fixture(scope="module")
def made():
    situation = small(UNITS, {}, date(2024, 3, 8))
    return build_course(situation.graph, situation.pacing)


def test_a_criterion_in_weeks_asked_on_days_is_longer_than_its_unit(made):
    said = colleague_says(made)
    assert [(one.skill, one.weeks, one.unit_weeks) for one in said.long] == [("high", 6, 1), ("slow", 2, 1)]


def test_safety_on_one_note_is_told(made):
    assert [skill for skill, _ in colleague_says(made).on_one_note] == ["stop"]


def record(number, low, high):
    shown = (("low", low), ("high", high))
    lessons = tuple(Lesson(day, (Showing(skill, 0, 1),)) for skill, day in shown if day)
    return Record(id=f"s{number}", name="S", born=0, lessons=lessons)


@pytest.mark.parametrize("other, this, told", [(5, 4, True), (4, 0, False), (5, 5, False), (6, 0, True)])
def test_a_link_is_spoken_against_by_most_and_never_by_under_five(made, other, this, told):
    """The other way round: the later one shown alone first; one day for both, or one alone, says nothing."""
    records = [record(n, *reversed(BEFORE_AFTER)) for n in range(other)]
    records += [record(n, *BEFORE_AFTER) for n in range(this)]
    records += [record(99, 3, 3), record(98, 3, None), record(97, None, 3)]
    found = colleague_says(made, records).against
    assert bool(found) is told
    if told:
        assert [(one.skill, one.before, one.other_way, one.students) for one in found] == [
            ("high", "low", other, other + this)
        ]


def test_the_command_says_all_of_it(tmp_path, monkeypatch, capsys, course_folder):
    monkeypatch.chdir(tmp_path)
    assert main(["check", str(course_folder), "--advice"]) == 0
    out = capsys.readouterr().out
    assert "What must be secure before the next unit" in out
    assert max(map(len, out.splitlines())) <= 80
    assert main(["check", str(course_folder), "--advice", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["advice"]
    assert len(found["gates"]) == 13


def test_a_course_without_safety_is_told(tmp_path, capsys, course_folder):
    for name in ("graph.toml", "pacing.toml"):
        text = (course_folder / name).read_text("utf-8").replace("safety = true\n", "")
        (tmp_path / name).write_text(text, "utf-8")
    assert main(["check", str(tmp_path), "--advice"]) == 0
    assert "Nothing is safety = true" in capsys.readouterr().out


@pytest.mark.parametrize("page", [["--advice"], ["--unit", "1"]])
def test_a_page_to_read_is_no_list_of_problems(capsys, course_folder, page):
    assert main(["check", str(course_folder), *page, "--format", "sarif"]) == 2
    assert "SARIF holds problems only" in capsys.readouterr().err
