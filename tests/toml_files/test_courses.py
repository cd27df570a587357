"""What a course that can be read holds: order, places, and where each number comes from."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tomllib
from fractions import Fraction
from itertools import combinations
from pathlib import Path

import pytest
import tomli_w

from readiness.course.checks.units import loose_ends
from readiness.course.graph import SkillGraph
from readiness.course.load import build_course, load_course
from readiness.course.schema import RULES
from readiness.toml.problems import Place

SMALL = Path(__file__).parent / "good_courses" / "small"
SHIPPED = Path(__file__).parents[2] / "skill_graphs"
SKILL_KEYS = ("name", "unit", "strand", "kind", "fade", "minutes", "shown_when")


def plain(folder: Path = SMALL) -> tuple[dict, dict]:
    """Return the two files of a course as plain values."""
    texts = [(folder / name).read_text(encoding="utf-8") for name in ("graph.toml", "pacing.toml")]
    return tomllib.loads(texts[0]), tomllib.loads(texts[1])


def with_change(tmp_path: Path, text: str, pacing: str | None = None) -> Path:
    """Return the small course with something added to its pacing."""
    (tmp_path / "graph.toml").write_text((SMALL / "graph.toml").read_text("utf-8"), "utf-8")
    before = pacing or (SMALL / "pacing.toml").read_text("utf-8")
    (tmp_path / "pacing.toml").write_text(before + text, "utf-8")
    return tmp_path


@pytest.mark.parametrize("name", ["first-two-years", "first-year-voice"])
def test_the_shipped_courses_are_sound(course_folder, name):
    loaded = load_course(course_folder.parent / name)
    assert loaded.course is not None
    assert loaded.problems == ()


def test_a_small_leap_is_told_with_its_numbers(course_folder, tmp_path):
    """Worked by hand: with 8 + 12 + 8 + 6 + 8 + 6 minutes, and 50 x 0.65 x 5 lesson minutes."""
    for path in course_folder.glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        (tmp_path / path.name).write_text(text.replace("minutes = 14", "minutes = 12"), encoding="utf-8")
    (problem,) = load_course(tmp_path).problems
    assert (problem.id, problem.severity) == ("small-leap", "warning")
    assert Fraction(48) / (50 * Fraction("0.65") * 5) < Fraction("0.30") < Fraction(50) / Fraction("162.5")
    assert '"together-pieces"' in problem.message
    assert "teaching it takes about 48 minutes, and its 5 lessons have about 162.5" in problem.message
    assert "(less than 0.30 of that: 0.295)" in problem.message
    lines = (tmp_path / "graph.toml").read_text("utf-8").splitlines()
    assert lines[problem.place.line - 1] == "lesson_weeks = 5"


def test_skills_and_units_keep_the_order_of_the_file_whatever_comes_first(tmp_path):
    text = (SMALL / "graph.toml").read_text("utf-8")
    head, units = text.split("[unit.sitting]", 1)
    units, skills = units.split("[skill.feet-supported]", 1)
    turned = f"{head}[skill.feet-supported]{skills}\n[unit.sitting]{units}"
    (tmp_path / "graph.toml").write_text(turned, "utf-8")
    (tmp_path / "pacing.toml").write_text((SMALL / "pacing.toml").read_text("utf-8"), "utf-8")
    plain_course, turned_course = load_course(SMALL).course, load_course(tmp_path).course
    assert plain_course is not None
    assert turned_course is not None
    assert plain_course.units == turned_course.units
    assert [unit.number for unit in turned_course.units] == [1, 2, 3]
    assert [s.id for s in plain_course.skills] == [s.id for s in turned_course.skills]


def test_a_skill_and_its_links_know_their_places():
    course = load_course(SMALL).course
    assert course is not None
    graph = SMALL / "graph.toml"
    lines = graph.read_text("utf-8").splitlines()
    header = lines.index("[skill.crosses-the-middle]") + 1
    assert course.skill["crosses-the-middle"].place == Place(graph, header, len("[skill.") + 1)
    for (skill, before), place in course.link_places.items():
        assert lines[place.line - 1][place.column - 1 :].startswith(f'"{before}"')
        assert skill in course.skill
    assert ("crosses-the-middle", "names-arm-parts") in course.link_places


def test_shipped_numbers_are_not_called_changed(course_folder):
    course = load_course(course_folder).course
    assert course is not None
    assert set(course.provenance) == {(band.name, rule) for band in course.bands for rule in RULES}
    for (band, rule), origin in course.provenance.items():
        assert not origin.changed
        assert origin.default == course.band[band].numbers[rule]


def test_every_number_stands_where_its_place_says(course_folder):
    course = load_course(course_folder).course
    assert course is not None
    lines = (course_folder / "pacing.toml").read_text("utf-8").splitlines()
    for (band, rule), origin in course.provenance.items():
        assert origin.place is not None
        written = lines[origin.place.line - 1]
        assert written.startswith(f"{rule.rpartition('.')[2]} = ")
        value = tomllib.loads(f"x = {written[origin.place.column - 1 :]}")["x"]
        assert (tuple(value) if isinstance(value, list) else value) == course.band[band].numbers[rule]


def test_the_basis_of_a_rule_covers_its_kinds(course_folder):
    course = load_course(course_folder).course
    assert course is not None
    assert course.provenance["4-5", "days_needed.motor"].basis.startswith("common practice")
    assert course.provenance["4-5", "from_age"].basis == ""


def test_the_last_change_of_a_number_says_who(tmp_path):
    blocks = """
[[change]]
band = "4-5"
rule = "days_needed.motor"
by = "LM"
on = 2026-03-01

[[change]]
band = "4-5"
rule = "days_needed.motor"
by = "OB"
on = 2026-01-12
reason = "three visits a term"
"""
    loaded = load_course(with_change(tmp_path, blocks))
    assert loaded.problems == ()
    assert loaded.course is not None
    origin = loaded.course.provenance["4-5", "days_needed.motor"]
    # The shipped pacing asks for 3 days at 4-5 (common practice, no source); the small course for 2.
    assert (origin.default, origin.changed, origin.changed_by) == (3, True, "LM")
    assert loaded.course.provenance["6-7", "days_needed.motor"].changed_by == ""


def test_a_whole_number_may_stand_where_a_fraction_is_meant(tmp_path):
    pacing = (
        (SMALL / "pacing.toml").read_text("utf-8").replace("max_unit_factor = 2.0", "max_unit_factor = 2")
    )
    loaded = load_course(with_change(tmp_path, "", pacing))
    assert loaded.problems == ()
    assert loaded.course is not None
    assert loaded.course.bands[0].numbers["max_unit_factor"] == 2


@pytest.mark.parametrize("key", SKILL_KEYS)
def test_a_skill_needs_each_of_its_keys(key):
    graph, pacing = plain()
    del graph["skill"]["wrist-lift"][key]
    with pytest.raises(ValueError, match=rf"\[missing-key\] .* needs the key {key}"):
        build_course(graph, pacing)


@pytest.mark.parametrize("rule", RULES)
def test_a_band_needs_each_of_its_rules(rule):
    graph, pacing = plain()
    table, _, key = rule.rpartition(".")
    band = pacing["band"]["6-7"]
    del (band[table] if table else band)[key]
    with pytest.raises(ValueError, match=rf"\[missing-key\] .* needs the key {key}"):
        build_course(graph, pacing)


@pytest.mark.parametrize(
    "rule, value",
    [
        ("lesson_minutes", 0),
        ("carry_limit", -1),
        ("spread_days", -1),
        ("stuck_tries", 0),
        ("break_weeks", 0),
        ("min_unit_factor", 0.0),
        ("review_share", -0.1),
        ("review_share", float("nan")),
        ("max_unit_factor", float("inf")),
        ("carry_limit", 2.0),
        ("carry_limit", True),
        ("beat_range", [100]),
        ("beat_range", [140, 100]),
    ],
)
def test_a_number_out_of_its_range_is_refused(rule, value):
    graph, pacing = plain()
    pacing["band"]["4-5"][rule] = value
    with pytest.raises(ValueError, match=r"^pacing\.toml:\d+:\d+: error: "):
        build_course(graph, pacing)


@pytest.mark.parametrize("key", ["touches", "for_two"])
@pytest.mark.parametrize("number", [0, 3])
def test_a_remedy_is_named_by_a_number_that_is_there(key, number):
    graph, pacing = plain()
    graph["skill"]["wrist-lift"] |= {"remedies": ["One way.", "Another."], key: [1, 2]}
    assert getattr(build_course(graph, pacing).skill["wrist-lift"], key) == (1, 2)
    graph["skill"]["wrist-lift"][key] = [1, number]
    with pytest.raises(ValueError, match=r"^graph\.toml:\d+:\d+: error: "):
        build_course(graph, pacing)


def test_a_course_of_plain_values_equals_the_same_course_of_files():
    loaded = load_course(SMALL).course
    built = build_course(*plain())
    assert loaded is not None
    assert [(s.id, s.stands_on, s.stands_on_some) for s in built.skills] == [
        (s.id, s.stands_on, s.stands_on_some) for s in loaded.skills
    ]
    assert [band.numbers for band in built.bands] == [band.numbers for band in loaded.bands]


def test_a_folder_that_is_not_there_is_one_problem(tmp_path):
    (problem,) = load_course(tmp_path / "nowhere").problems
    assert problem.id == "no-folder"


def test_a_folder_without_files_says_so_for_each(tmp_path):
    loaded = load_course(tmp_path)
    assert loaded.course is None
    assert [(p.id, p.place.file.name) for p in loaded.problems] == [
        ("no-file", "graph.toml"),
        ("no-file", "pacing.toml"),
    ]


def test_loose_ends_are_listed_only_when_asked_for(course_folder):
    loaded = load_course(course_folder)
    assert loaded.course is not None
    ends = {skill.id for skill in loose_ends(loaded.course)}
    assert "counts-groups" in ends  # named by no skill of the file
    assert "wrist-lift" not in ends
    assert "shares-programme" not in ends  # the last unit leads nowhere by its nature
    assert not [problem for problem in loaded.problems if problem.id == "loose-end"]


def test_a_skill_that_a_group_names_is_no_loose_end():
    course = load_course(SMALL).course
    assert course is not None
    assert "names-arm-parts" not in {skill.id for skill in loose_ends(course)}


@pytest.mark.parametrize(("many", "listed"), [(8, True), (9, False)])
def test_a_few_names_are_listed_and_many_are_not(tmp_path, many, listed):
    graph, pacing = plain()
    graph["strand"] |= {f"more-{number}": {"name": f"More {number}"} for number in range(many - 2)}
    graph["skill"]["wrist-lift"]["strand"] = "zzzzzz"
    (tmp_path / "graph.toml").write_text(tomli_w.dumps(graph), "utf-8")
    (tmp_path / "pacing.toml").write_text(tomli_w.dumps(pacing), "utf-8")
    (found,) = [one for one in load_course(tmp_path).problems if one.id == "unknown-strand"]
    assert ("more-0" in (found.hint or "")) is listed


def test_the_order_of_a_course_has_what_comes_first_first(course_folder):
    course = load_course(course_folder).course
    assert course is not None
    order = SkillGraph.of(course).order()
    at = {skill: number for number, skill in enumerate(order)}
    assert sorted(order) == sorted(course.skill)
    assert all(at[before] < at[skill.id] for skill in course.skills for before in skill.stands_on)


def test_a_loop_has_no_order_and_no_way_is_an_empty_one():
    with pytest.raises(ValueError, match="loop"):
        SkillGraph({"a": ["b"], "b": ["a"]}).order()
    assert SkillGraph({"a": [], "b": []}).path("a", "b") == ()


def test_a_sound_course_is_read_without_networkx():
    code = (
        "import sys; from pathlib import Path; from readiness.course.load import load_course; "
        "assert load_course(Path(sys.argv[1])).course; assert 'networkx' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code, str(SMALL)], check=True, cwd=SMALL.parents[3])


def group(at_least: int, *of: str) -> dict:
    return {"at_least": at_least, "of": list(of)}


@pytest.mark.parametrize(
    "earlier, later, needless",
    [
        (group(1, "sit-tall", "names-arm-parts"), group(1, "names-arm-parts", "lands-softly"), False),
        (group(1, "names-arm-parts", "lands-softly"), group(1, "names-arm-parts", "lands-softly"), True),
        (group(2, "names-arm-parts", "lands-softly", "x"), group(1, "names-arm-parts", "lands-softly"), True),
        (
            group(1, "names-arm-parts", "lands-softly", "x"),
            group(1, "names-arm-parts", "lands-softly"),
            False,
        ),
        (group(1, "names-arm-parts", "lands-softly"), group(2, "names-arm-parts", "lands-softly"), False),
    ],
)
def test_a_group_is_needless_when_another_asks_for_as_much(tmp_path, earlier, later, needless):
    """Whichever members meet the earlier group, the later one is met, or some choice leaves it unmet."""
    graph, pacing = plain()
    spare = dict(graph["skill"]["names-arm-parts"], name="X", unit="arms")
    graph["skill"]["x"] = spare
    graph["skill"]["crosses-the-middle"]["stands_on_some"] = [earlier]
    graph["skill"]["plays-three-places"]["stands_on"] = ["crosses-the-middle"]
    graph["skill"]["plays-three-places"]["stands_on_some"] = [later]
    (tmp_path / "graph.toml").write_text(tomli_w.dumps(graph), "utf-8")
    (tmp_path / "pacing.toml").write_text(tomli_w.dumps(pacing), "utf-8")
    known = {"sit-tall"}  # it comes before all of this anyway
    choices = [set(c) | known for c in combinations(earlier["of"], earlier["at_least"])]
    always = all(len(choice & set(later["of"])) >= later["at_least"] for choice in choices)
    found = [p for p in load_course(tmp_path).problems if p.id == "implied-group"]
    at_later = [p for p in found if "another group" in p.message]
    assert bool(at_later) == needless
    assert always == needless


MARKS = [
    (course, skill, mark)
    for course in ("first-two-years", "first-year-voice")
    for skill, table in tomllib.loads((SHIPPED / course / "graph.toml").read_text("utf-8"))["skill"].items()
    for mark in ("safety", "always_look", "asks_pain")
    if table.get(mark)
]


@pytest.mark.parametrize("course, skill, mark", MARKS)
def test_a_mark_of_safety_is_not_lost_in_silence(course, skill, mark, tmp_path):
    copy = shutil.copytree(SHIPPED / course, tmp_path / "copy")
    head, table = (copy / "graph.toml").read_text("utf-8").split(f"\n[skill.{skill}]\n")
    table = table.replace(f"\n{mark} = true\n", "\n", 1)
    (copy / "graph.toml").write_text(f"{head}\n[skill.{skill}]\n{table}", "utf-8")
    (found,) = load_course(copy).problems
    assert found.id in ("safety-lost", "pain-not-asked")
    assert (found.id == "pain-not-asked") <= (skill == "tells-when-it-hurts")
    assert mark in found.message + found.hint


@pytest.mark.parametrize("course, skill, mark", MARKS)
def test_a_mark_of_safety_is_not_taken_away_in_silence(course, skill, mark, tmp_path):
    shutil.copytree(SHIPPED / course, tmp_path / "base")
    for file in (tmp_path / "base").glob("*.toml"):
        text = re.sub(r'\nshown_when = "', '\nshown_when = "So: ', file.read_text("utf-8"))
        file.write_text(text, "utf-8")  # no copy any more, but a course of the school's own
    own = tmp_path / "own"
    own.mkdir()
    (own / "graph.toml").write_text(f'based_on = "../base"\n[skill.{skill}]\n{mark} = false\n', "utf-8")
    (found,) = load_course(own).problems
    alone = (course, skill) == ("first-two-years", "tells-when-it-hurts")  # the other course asks twice
    assert found.id == ("pain-not-asked" if alone and mark != "safety" else "safety-lost")
    assert found.place == Place(own / "graph.toml", 3, len(mark) + 4)


@pytest.mark.parametrize("course, skill, mark", [one for one in MARKS if one[1] != "tells-when-it-hurts"])
def test_a_skill_of_safety_is_not_retired_in_silence(course, skill, mark, tmp_path):
    """Unless something takes its place that has the mark."""
    copy = shutil.copytree(SHIPPED / course, tmp_path / "copy") / "graph.toml"
    text, table = copy.read_text("utf-8"), f"\n[skill.{skill}]\n"
    retired = text.replace(table, f"{table}retired = 2026-11-30\n")
    copy.write_text(retired, "utf-8")
    (found,) = (one for one in load_course(copy.parent).problems if one.id == "safety-lost")
    assert mark in found.message
    heir = "\n[skill.heir]\n" + re.split(r"(?m)^\[", text.partition(table)[2])[0]
    kept = retired.replace(table, f'{table}replaced_by = ["heir"]\n')
    for its, lost in ((heir, False), (heir.replace(f"\n{mark} = true\n", "\n"), True)):
        copy.write_text(kept + its, "utf-8")
        problems = load_course(copy.parent).problems
        assert any(one.id == "safety-lost" and mark in one.message for one in problems) == lost
