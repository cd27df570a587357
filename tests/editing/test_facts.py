"""What a course is like: facts a teacher asks for, held against the delivered course and by hand."""

from __future__ import annotations

import json
import shutil
from fractions import Fraction
from pathlib import Path

import pytest

from readiness.cli.main import main
from readiness.course.load import load_course
from readiness.editing.facts import course_facts, leaps, variant_of

# The delivered course's own list of the skills with most descendants over all-of links; counted by whoever
# wrote the course, not by this program; the practice card stands on no seat any more.
MOST = {
    "feet-supported": 97, "sit-tall-balanced": 96, "distance-set": 92, "loose-shoulders": 89,
    "rounded-hand-rest": 82, "right-left-hands": 73, "names-arm-parts": 73, "moves-named-finger": 72,
    "closed-hand-drop": 72, "high-low-sound": 71, "finger-numbers-shown": 71, "steady-beat-body": 68,
}  # fmt: skip


def test_what_everything_rests_on(course):
    facts = course_facts(course, "held-note-under-tune")
    assert {one.skill: one.descendants for one in facts.rests_on} == MOST
    # The chain that the delivered course gives, with what it stands on at its beginning.
    assert facts.chain == (
        "feet-supported", "sit-tall-balanced", "distance-set", "middle-of-keyboard", "finds-middle-c",
        "c-position-set", "same-moment", "held-note-under-tune",
    )  # fmt: skip


def test_the_leap_ratio_by_hand(course):
    """Unit 1 takes 56 minutes; at 4-5 a lesson of 30 minutes has 0.4 of it for new things, 4 weeks: 48."""
    first = next(one for one in leaps(course) if one.band == "4-5")
    assert (first.minutes, first.room, first.ratio) == (56, 48, Fraction(7, 6))
    last = next(one for one in leaps(course) if (one.unit, one.band) == ("together-pieces", "adult"))
    assert last.ratio == Fraction(50) / (50 * (1 - last.review_share) * 5)
    assert not [one for one in leaps(course) if one.size]


def test_what_may_be_skipped_at_five(course):
    facts = course_facts(course)
    at_five = {one.skill: one.back_in for one in facts.optional if one.band == "4-5"}
    assert at_five == {
        "firm-fingertip": "6-7", "says-one-good-one-fix": "6-7", "home-plan-week": "8-10",
        "follows-practice-card": "8-10",
    }  # fmt: skip
    assert all(one.note for one in facts.optional)


def test_reach_back_counts_units(course):
    facts = course_facts(course)
    far = next(one for one in facts.reach_back if (one.skill, one.before) == ("finds-cde", "groups-of-two"))
    assert far.units == 5
    assert all(one.units > 3 for one in facts.reach_back)


def test_a_chain_inside_a_unit_is_of_that_unit_and_linked(course):
    for unit in course_facts(course).units:
        assert all(course.skill[skill].unit == unit.unit for skill in unit.chain)
        for lower, upper in zip(unit.chain, unit.chain[1:], strict=False):
            assert lower in course.skill[upper].stands_on


def test_a_unit_too_small_says_by_which_sign(tmp_path):
    small = Path(__file__).parents[1] / "toml_files" / "good_courses" / "small"
    folder = shutil.copytree(small, tmp_path / "course")
    graph = folder / "graph.toml"
    before, hands, after = graph.read_text().partition("[unit.hands]")
    graph.write_text(before + hands + after.replace("lesson_weeks = 2", "lesson_weeks = 50", 1))
    course = load_course(folder).course
    hands = next(one for one in course_facts(course).units if one.unit == "hands")
    assert hands.is_small
    assert hands.small_leap.band == course.bands[0].name


@pytest.fixture
def variant(tmp_path, course_folder):
    """Return a course with a few differences from the shipped one."""
    shutil.copytree(course_folder, tmp_path / "base")
    own = tmp_path / "hill"
    own.mkdir()
    (own / "graph.toml").write_text(
        'format = 1\nname = "Hill school"\nbased_on = "../base"\n\n'
        '[unit.singing]\nname = "Singing first"\nlesson_weeks = 1\nafter = "sitting-high-low"\n\n'
        "[skill.wrist-lift]\nminutes = 9\n"
        'stands_on = ["rounded-hand-keys", "loose-shoulders"]\n',
        encoding="utf-8",
    )
    (own / "pacing.toml").write_text(
        'format = 1\nbased_on = "../base"\n[band."4-5"]\ncarry_limit = 1\nspread_days = 6\n'
        '[[change]]\nband = "4-5"\nrule = "carry_limit"\nby = "OB"\n',
        encoding="utf-8",
    )
    return own


def test_a_variant_is_its_base_with_its_own_lines(variant, course):
    mine = load_course(variant).course
    assert [unit.id for unit in mine.units][:2] == ["sitting-high-low", "singing"]
    assert mine.skill["wrist-lift"].minutes == 9
    assert mine.skill["wrist-lift"].remedies == course.skill["wrist-lift"].remedies
    own, inherited = (mine.provenance["4-5", rule] for rule in ("carry_limit", "check_items_max"))
    assert (own.place.file, own.place.line, own.changed_by) == (variant / "pacing.toml", 4, "OB")
    assert inherited.place.file == variant.parent / "base" / "pacing.toml"
    assert mine.link_places["wrist-lift", "loose-shoulders"].file == variant / "graph.toml"
    assert mine.link_places["phrase-lift", "wrist-lift"].file == variant.parent / "base" / "graph.toml"


def test_what_a_variant_changed_is_listed_line_by_line(variant):
    found = variant_of(variant)
    told = {(one.id, one.subject, one.what): (one.old, one.new, one.place.line) for one in found.different}
    assert told == {
        ("unit-added", "singing", ""): (None, "Singing first", 5),
        ("skill-changed", "wrist-lift", "minutes"): (8, 9, 11),
        ("link-added", "wrist-lift", "loose-shoulders"): (None, "loose-shoulders", 12),
        ("number-changed", "4-5", "carry_limit"): (2, 1, 4),
    }
    assert found.repeated == (("4-5", "spread_days"),)


def test_a_mistake_of_the_base_is_placed_in_the_base(variant):
    base = variant.parent / "base" / "graph.toml"
    base.write_text(base.read_text().replace('kind = "habit"', 'kind = "habbit"', 1))
    loaded = load_course(variant)
    assert loaded.course is None
    assert [(p.id, p.place.file) for p in loaded.problems if p.severity == "error"] == [("not-allowed", base)]


@pytest.mark.parametrize(("based_on", "id_"), [("../hill", "base-ring"), ("../bsae", "no-base")])
def test_a_ring_and_a_missing_base_are_placed(variant, based_on, id_):
    graph = variant / "graph.toml"
    graph.write_text(graph.read_text().replace("../base", based_on))
    problem = next(p for p in load_course(variant).problems if p.id == id_)
    assert (problem.place.file, problem.place.line, problem.place.column) == (graph, 3, 12)


def test_without_a_pacing_of_its_own_a_variant_has_that_of_its_base(variant, course):
    (variant / "pacing.toml").unlink()
    assert load_course(variant).course.bands == course.bands


def test_after_is_for_variants(tmp_path, course_folder):
    folder = shutil.copytree(course_folder, tmp_path / "course")
    graph = folder / "graph.toml"
    graph.write_text(
        graph.read_text().replace("[unit.black-key-groups]", '[unit.black-key-groups]\nafter = "x"')
    )
    assert "after-without-base" in {p.id for p in load_course(folder).problems}


def test_check_gives_everything_as_json(capsys, course_folder, tmp_path):
    folder = shutil.copytree(course_folder, tmp_path / "course")
    text = (folder / "graph.toml").read_text(encoding="utf-8")
    (folder / "graph.toml").write_text(text.replace("minutes = 14", "minutes = 12"), encoding="utf-8")
    assert main(["check", str(folder), "--facts", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert list(found) == ["format", "accepted", "problems", "facts"]
    (problem,) = found["problems"]
    assert list(problem) == ["file", "line", "column", "end_column", "severity", "id", "message", "hint"]
    assert len(found["facts"]["leaps"]) == 14 * 5
    assert found["facts"]["rests_on"][0] == {"skill": "feet-supported", "descendants": 97}


@pytest.mark.parametrize("list_", [
    "units", "leaps", "small-units", "chains", "reach-back", "rests-on", "optional", "loose-ends", "variant",
])  # fmt: skip
def test_every_list_can_be_asked_for(capsys, course_folder, list_):
    assert main(["check", str(course_folder), "--list", list_]) == 0
    told = capsys.readouterr().out.split(": warning: [")[0]
    assert len(told.splitlines()) >= 3


def test_check_looks_at_students_too(capsys, course_folder, demo_folder, tmp_path):
    assert main(["check", str(course_folder), "--students", str(demo_folder)]) == 0
    students = tmp_path / "students"
    students.mkdir()
    text = (demo_folder / "temwa.toml").read_text(encoding="utf-8")
    (students / "temwa.toml").write_text(text.replace('"wrist-lift"', '"arm-lift"'), encoding="utf-8")
    capsys.readouterr()
    assert main(["check", str(course_folder), "--students", str(students)]) == 2
    assert "put its table back" in " ".join(capsys.readouterr().out.split())
