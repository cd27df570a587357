"""What is written into a course changes nothing else in it, and tidying it changes no meaning."""

from __future__ import annotations

import random
import re
from collections import Counter
from dataclasses import fields, replace
from pathlib import Path

import pytest
import tomli
from hypothesis import given, settings
from hypothesis import strategies as st

from readiness.cli.main import main
from readiness.course.load import load_course
from readiness.course.schema import GraphFile, SkillTable, StrandTable, UnitTable
from readiness.editing.spelling import tidied
from readiness.toml.statements import pieces

ROOT = Path(__file__).parents[2]
GRAPH = (ROOT / "skill_graphs" / "first-two-years" / "graph.toml").read_text(encoding="utf-8")
EMPTY = (ROOT / "skill_graphs" / "empty" / "graph.toml").read_text(encoding="utf-8")


def comments(text):
    return Counter(text[one.start : one.end].strip() for one in pieces(text) if one.kind == "comment")


def compiled(folder, text):
    """Return a course without the lines it stands on, its skills in order of their units."""
    (folder / "graph.toml").write_text(text, encoding="utf-8")
    course = load_course(folder).course
    assert course is not None
    units = [unit.id for unit in course.units]
    placeless = (replace(one, place=None) for one in course.skills)
    skills = sorted(placeless, key=lambda one: units.index(one.unit))
    kept = {one.name: getattr(course, one.name) for one in fields(course) if one.init}
    gone = ("skills", "provenance", "link_places", "folder", "unit_places", "places")
    return skills, {name: value for name, value in kept.items() if name not in gone}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("course")
    pacing = ROOT / "skill_graphs" / "first-two-years" / "pacing.toml"
    (made / "pacing.toml").write_text(pacing.read_text(encoding="utf-8"), encoding="utf-8")
    return made


@settings(max_examples=10)
@given(st.integers(0, 2**32), st.sampled_from([GRAPH, EMPTY]))
def test_a_tidied_course_is_the_same_course(folder, seed, text):
    """Tables in another order, lists over several lines and keys mixed: tidy, it is what it was."""
    mixed = _mixed(text, random.Random(seed))
    tidy = tidied(mixed)
    assert tomli.loads(tidy) == tomli.loads(mixed)
    assert comments(tidy) == comments(mixed)
    assert tidied(tidy) == tidy
    assert compiled(folder, tidy) == compiled(folder, mixed)


def _mixed(text, chance):
    """Return a course file in another order, with lists and keys spelled otherwise."""
    head, *tables = re.split(r"(?m)^(?=\[)", text)
    skills = [one for one in tables if one.startswith("[skill")]
    others = [one for one in tables if not one.startswith("[skill")]
    units = list(tomli.loads(text)["unit"])
    chance.shuffle(skills)
    skills.sort(key=lambda one: units.index(next(iter(tomli.loads(one)["skill"].values()))["unit"]))
    written = [_respelled(one, chance) for one in skills]
    for one in others:
        written.insert(chance.randrange(len(written) + 1) if one.startswith("[strand") else len(written), one)
    return head + "".join(written)


def _respelled(table, chance):
    lines = []
    for line in table.splitlines(keepends=True):
        key, equals, value = line.partition(" = ")
        comma = chance.choice(['",\n   "', '","'])
        other = key + chance.choice(["=", "  = "]) + value.replace('", "', comma)
        lines.append(other if equals and "#" not in line and chance.random() < 0.3 else line)
    return "".join(lines)


def test_the_shipped_courses_are_tidy():
    for path in (*ROOT.glob("skill_graphs/*/graph.toml"), *ROOT.glob("skill_graphs/*/pacing.toml")):
        text = path.read_text(encoding="utf-8")
        assert tidied(text) == text, path


@pytest.mark.parametrize(
    "before, after",
    [
        ('[skill.a]\nb = [ "x" , "y", ] # why\n', '[skill.a]\nb = ["x", "y"] # why\n'),
        ('[skill.a]\nb = [ "x", # why\n "y" ]\n', '[skill.a]\nb = [ "x", # why\n "y" ]\n'),
        ("[skill.a]\nb=[{at_least=1,of=['x']}]\n", "[skill.a]\nb = [{ at_least = 1, of = ['x'] }]\n"),
        ('[skill.a]\r\nb="x"\r\n', '[skill.a]\r\nb = "x"\r\n'),
        ("format=1", "format = 1\n"),
        ('a = """\n[x]\n"""\n', 'a = """\n[x]\n"""\n'),
        ('[skill.a]\nunit = "u"\n# its end\n\n[unit.u]\n', '[unit.u]\n\n[skill.a]\nunit = "u"\n# its end\n'),
        ('[skill]\na.unit = "u"\n[unit]\nu.name = "U"', '[skill]\na.unit = "u"\n\n[unit]\nu.name = "U"\n'),
        ('[skill.a]\nunit = "u"\n[[skill.a.stands_on_some]]\nof=[]\n[unit.u]\n',
         '[unit.u]\n\n[skill.a]\nunit = "u"\n[[skill.a.stands_on_some]]\nof = []\n'),
    ],
)  # fmt: skip
def test_how_it_is_spelled(before, after):
    assert tidied(before) == after


# ---------------------------------------------------------------- beginning and adding


@pytest.fixture
def own(tmp_path, monkeypatch, capsys):
    """Return the folder of a course begun empty; the current folder is its studio."""
    monkeypatch.chdir(tmp_path)
    assert main(["start", "mine", "--empty"]) == 0
    assert "readiness course add skill" in capsys.readouterr().out
    monkeypatch.chdir(tmp_path / "mine")
    return tmp_path / "mine" / "course"


SKILL = ("--name", "Plays softly", "--unit", "beginning", "--strand", "playing", "--kind", "motor", "--goes",
         "medium", "--minutes", "5", "--shown-when", "Plays 4 of 4 tones softly.",
         "--stands-on", "plays-the-beat", "--remedy", "One.", "--remedy", "Two.")  # fmt: skip


def test_an_empty_course_checks_clean_and_explains_every_key(own, capsys):
    assert main(["check"]) == 0
    assert capsys.readouterr().out.startswith("No problems: ")
    keys = {key for model in (GraphFile, UnitTable, StrandTable, SkillTable) for key in model.model_fields}
    own_says = set(re.findall(r"(?m)^(?:# )?([a-z_]+) = .*|\[([a-z_]+)[].]", EMPTY))
    assert keys - {name for pair in own_says for name in pair} - {"counts_groups"} == set()


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_skill_is_added_behind_its_unit_and_nothing_else_changes(end, own, capsys):
    graph = own / "graph.toml"
    graph.write_bytes(graph.read_bytes().replace(b"\n", end.encode()))
    assert main(["course", "add", "unit", "next", "--name", "Next", "--weeks", "3"]) == 0
    before = graph.read_bytes().decode()
    numbered = [*SKILL[:3], "1", *SKILL[4:]]
    assert main(["course", "add", "skill", "soft", *numbered, "--quiet"]) == 0
    text = graph.read_bytes().decode()
    added = text[text.index("\n[skill.soft]") : text.index("\n[unit.next]")]
    assert text.replace(added, "") == before
    assert text.count("\n") == text.count(end)
    table = tomli.loads(text)["skill"]["soft"]
    assert (table["remedies"], table["quiet"], table["minutes"]) == (["One.", "Two."], True, 5)
    assert tidied(text) == text
    assert main(["course", "tidy"]) == 0
    assert "Nothing to do" in capsys.readouterr().out


@pytest.mark.parametrize(
    "words, told",
    [
        (("skill", "soft", *SKILL[:3], "begining", *SKILL[4:]), '--unit: there is no unit "begining"'),
        (("skill", "soft", *SKILL, "--stands-on", "steady-bat"), 'Did you mean "steady-beat"?'),
        (("skill", "soft", *SKILL, "--kind", "moter"), '"moter". Did you mean "motor"? nothing was'),
        (("skill", "soft"), "--name, --unit, --strand"),
        (("skill", "sits-steady", *SKILL), 'there is a skill "sits-steady" already'),
        (("skill", "Soft!", *SKILL), '"Soft!" is no id: a-z, 0-9 and hyphen, as in soft; nothing'),
        (("unit", "next", "--name", "Next", "--weeks", "many"), "--weeks takes a whole number"),
        (("unit", "next", "--name", "Next", "--weeks", "105"), "from 1 to 104"),
        (("unit", "next", "--name", "N", "--weeks", "4", "--after", "beginnig"), 'mean "1 beginning"?'),
        (("unit", "next", "--name", "N", "--weeks", "4", "--after", "x"), "They go from 1 beginning"),
        (("strand", "breath", "--name", "Breath", "--weeks", "4", "--quiet"), "no --weeks and --quiet"),
        ((), "what is to be added?"),
    ],
)
def test_what_cannot_be_added_is_said_and_nothing_is_written(own, capsys, words, told):
    before = (own / "graph.toml").read_bytes()
    assert main(["course", "add", *words]) == 2
    said = " ".join(" ".join(capsys.readouterr()).split())
    assert told in said
    assert (own / "graph.toml").read_bytes() == before


def test_what_is_not_typed_is_asked_for(own, capsys, monkeypatch):
    answers = iter(["Softly", "beginning", "", "playing", "motor", "fast", "4", "Plays 4 of 4 tones softly.",
                    "plays-the-beat, steady-beat", "Slower.", "", "", "2"])  # fmt: skip
    monkeypatch.setattr("readiness.cli.course_files.is_terminal", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: next(answers))
    assert main(["course", "add", "skill", "soft"]) == 0
    table = tomli.loads((own / "graph.toml").read_text())["skill"]["soft"]
    assert table["stands_on"] == ["plays-the-beat", "steady-beat"]
    assert (table["remedies"], table["days"]) == (["Slower."], 2)


def test_a_variant_says_where_its_unit_comes(own, capsys):
    other = own.parent / "other"
    other.mkdir()
    (other / "graph.toml").write_text('format = 1\nname = "Other"\nbased_on = "../course"\n')
    (other / "pacing.toml").write_text('format = 1\nbased_on = "../course"\n')
    words = ["--name", "More", "--weeks", "2", "--after", "beginning", "--course", str(other)]
    assert main(["course", "add", "unit", "more", *words]) == 0
    assert tomli.loads((other / "graph.toml").read_text())["unit"]["more"]["after"] == "beginning"


def test_the_demo_is_never_written_to(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["course", "tidy"]) == 2
    assert "there is no studio here" in " ".join(capsys.readouterr().err.split())
