"""A key that is missing comes with the default to add; a misspelt one is one problem, not two.

Every required key of the shipped pacing and of the small course is taken out in turn, and
misspelt in turn; what is then suggested must mend the file.
"""

from __future__ import annotations

import re
import shutil
import tomllib
from pathlib import Path

import pytest

from readiness.course.load import load_course
from readiness.course.schema import RULES as SCHEMA_RULES
from readiness.record.load import load_record
from readiness.shipped import shipped
from readiness.toml.problems import render

SHIPPED = shipped() / "skill_graphs" / "first-two-years"
SMALL = Path(__file__).parent / "good_courses" / "small"
PACING = (SHIPPED / "pacing.toml").read_text(encoding="utf-8").splitlines()
FIRST_BAND = range(PACING.index('[band."4-5"]'), PACING.index('[band."6-7"]'))
RULES = [at for at in FIRST_BAND if re.match(r"(?!note)[a-z_]+ = ", PACING[at])]
HEADER = 'format = 1\nname = "Invented"\nborn = "2018-03"\n'


def said(folder, file, lines):
    """Return the course with these lines in its file, and all its problems."""
    (folder / file).write_text("\n".join(lines) + "\n", encoding="utf-8")
    loaded = load_course(folder)
    return loaded.course, loaded.problems


@pytest.fixture
def course(tmp_path):
    """Return a folder with a copy of the small course and the shipped pacing."""
    folder = shutil.copytree(SMALL, tmp_path / "course")
    shutil.copy(SHIPPED / "pacing.toml", folder)
    return folder


def added(problem):
    """Return the line that a problem says to add."""
    return re.search(r": ([a-z_]+ = .*)$", problem.hint)[1]


def test_the_rules_are_all_there():
    assert len(RULES) == len(SCHEMA_RULES)


@pytest.mark.parametrize("at", RULES, ids=lambda at: f"line {at + 1}")
def test_a_rule_that_is_missing_comes_with_its_default(course, at):
    line = PACING[at].partition("#")[0].strip()
    _, problems = said(course, "pacing.toml", [*PACING[:at], *PACING[at + 1 :]])
    wrong = [one for one in problems if one.severity == "error"]
    assert [one.id for one in wrong] == ["missing-key"]
    assert wrong[0].hint.startswith("add the default below [band.")
    assert tomllib.loads(added(wrong[0])) == tomllib.loads(line)


@pytest.mark.parametrize("at", RULES, ids=lambda at: f"line {at + 1}")
def test_a_rule_that_is_misspelt_is_one_problem(course, at):
    key, _, value = PACING[at].partition(" = ")
    slip = f"{key[:-2]}{key[-1]}{key[-2]}x" if key[-1] == key[-2] else f"{key[:-2]}{key[-1]}{key[-2]}"
    _, problems = said(course, "pacing.toml", [*PACING[:at], f"{slip} = {value}", *PACING[at + 1 :]])
    wrong = [one for one in problems if one.severity == "error"]
    assert [(one.id, one.place.line, one.hint) for one in wrong] == [
        ("unknown-key", at + 1, f'did you mean "{key}"?')
    ]


def test_a_table_that_is_missing_or_misspelt_is_one_problem_too(course):
    text = "\n".join(PACING)
    misspelt = text.replace('[band."6-7".days_needed]', '[band."6-7".day_needed]')
    (one,) = said(course, "pacing.toml", misspelt.splitlines())[1]
    assert (one.id, one.hint) == ("unknown-key", 'did you mean "days_needed"?')
    begin = text.index('[band."6-7".days_needed]')
    gone = text[:begin] + text[text.index("[", begin + 1) :]
    (one,) = said(course, "pacing.toml", gone.splitlines())[1]
    assert one.message == '[band."6-7"] needs the table [band."6-7".days_needed]'
    assert one.hint.startswith("add it, with this header and the defaults: motor = 2, knowledge = ")


@pytest.mark.parametrize("band, begins", [("3-3", 3), ("5 and a half", 5), ("12", 12), ("grown", 30)])
def test_a_band_of_ones_own_is_held_against_the_one_for_its_age(course, band, begins):
    bands = tomllib.loads("\n".join(PACING))["band"]
    ages = {one["from_age"]: one["carry_limit"] for one in bands.values()}
    wanted = ages[max((age for age in ages if age <= begins), default=min(ages))]
    own = [f'[band."{band}"]', f"from_age = {begins}"]
    _, problems = said(course, "pacing.toml", [*PACING, *own])
    (one,) = [p for p in problems if p.message.endswith("needs the key carry_limit")]
    assert added(one) == f"carry_limit = {wanted}"


@pytest.mark.parametrize(
    "key, suggested",
    [
        ("minutes", "add below [skill.own-idea], such as: minutes = 6"),
        ("fade", 'add below [skill.own-idea], such as: fade = "medium"'),
        ("kind", 'add below [skill.own-idea] one of motor, knowledge, ear, reading, habit: kind = "motor"'),
        ("shown_when", 'add below [skill.own-idea]: shown_when = "..."'),
    ],
)
def test_a_skill_of_ones_own_is_suggested_what_is_usual(course, key, suggested):
    graph = tomllib.loads((course / "graph.toml").read_text(encoding="utf-8"))
    last = list(graph["skill"].values())[-1]
    own = {
        "name": '"Own"', "unit": f'"{last["unit"]}"', "strand": f'"{last["strand"]}"', "kind": '"ear"',
        "fade": '"slow"', "minutes": "5", "shown_when": '"Does it."',
    }  # fmt: skip
    lines = (course / "graph.toml").read_text(encoding="utf-8").splitlines()
    block = ["[skill.own-idea]", *(f"{name} = {value}" for name, value in own.items() if name != key)]
    _, problems = said(course, "graph.toml", [*lines, *block])
    (one,) = [p for p in problems if p.severity == "error"]
    assert one.hint == suggested
    if key in ("minutes", "fade"):  # what most of the shipped skills have, counted here again
        skills = tomllib.loads((SHIPPED / "graph.toml").read_text(encoding="utf-8"))["skill"].values()
        values = [skill[key] for skill in skills]
        assert tomllib.loads(added(one))[key] == max(set(values), key=values.count)


@pytest.mark.parametrize("key", ["unit", "strand"])
def test_where_a_skill_belongs_is_suggested_from_the_one_above(course, key):
    graph = tomllib.loads((course / "graph.toml").read_text(encoding="utf-8"))
    first, second, *_ = graph["skill"]
    lines = (course / "graph.toml").read_text(encoding="utf-8").splitlines()
    start = lines.index(f"[skill.{second}]")
    at = next(i for i, line in enumerate(lines) if i > start and line.startswith(f"{key} = "))
    lines[start] = "[skill.own-idea]"
    text = "\n".join([*lines[:at], *lines[at + 1 :]]).replace(f'"{second}"', '"own-idea"')
    _, problems = said(course, "graph.toml", text.splitlines())
    (one,) = [p for p in problems if p.id == "missing-key"]
    assert added(one) == f'{key} = "{graph["skill"][first][key]}"'


def test_the_line_that_is_suggested_stays_whole_when_the_hint_is_folded(course):
    lines = (course / "graph.toml").read_text(encoding="utf-8").splitlines()
    start = lines.index("[skill.wrist-lift]")
    at = next(i for i, line in enumerate(lines) if i > start and line.startswith("shown_when = "))
    _, problems = said(course, "graph.toml", [*lines[:at], *lines[at + 1 :]])
    (one,) = [p for p in problems if p.id == "missing-key"]
    assert f"\n  {added(one)}" in render(one, width=60)


@pytest.mark.parametrize(
    "text, told",
    [
        (
            'format = 1\nname = "Invented"\n',
            ("missing-key", 'add above the first table, such as: born = "2018-05"'),
        ),
        ('format = 1\nnmae = "Invented"\nborn = "2018-03"\n', ("unknown-key", 'did you mean "name"?')),
        (HEADER + "[[lesson]]\nonn = 2025-12-02\n", ("unknown-key", 'did you mean "on"?')),
        (
            HEADER + '[[decision]]\non = 2025-12-02\nunit = "sitting"\ncomputed = "ready"\nreason = "x"\n',
            ("missing-key", 'add below [[decision]] one of move, stay: decided = "move"'),
        ),
    ],
)
def test_a_student_file_is_told_the_same_way(tmp_path, course, text, told):
    path = tmp_path / "new.toml"
    path.write_text(text, encoding="utf-8")
    problems = load_record(path, load_course(SHIPPED).course).problems
    wrong = [one for one in problems if one.id in ("missing-key", "unknown-key")]
    assert [(one.id, one.hint) for one in wrong] == [told]
