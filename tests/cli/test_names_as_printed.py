"""Whatever a skill or a unit is called in a text, it may be typed."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from readiness.cli.commands import Exit
from readiness.course import find
from readiness.course.find import Near, find_skill, find_skills, find_unit, named_skill
from readiness.toml.write import Refusal

DAY = ("--on", "2025-12-10")


def test_every_skill_is_found_by_its_id_and_by_its_name_as_printed(course):
    for skill in course.skills:
        for typed in (
            skill.id,
            skill.name,
            skill.name.upper(),
            f"  {skill.name} ",
            f"{skill.name} ({skill.id})",
        ):
            assert find_skill(course, typed) == skill.id
            assert named_skill(course, typed) == skill.id


def test_every_unit_is_found_by_its_number_its_id_and_its_name(course):
    for unit in course.units:
        for typed in (str(unit.number), f"unit {unit.number}", unit.id, unit.name.lower(),
                      f"{unit.number} {unit.id}", f"unit {unit.number}, {unit.name}"):  # fmt: skip
            assert find_unit(course, typed) == unit.id


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("wrist", "wrist-lift"), ("lifts the w", "wrist-lift"), ("hears up", "up-down-same-ear"),
        ("feet", "feet-supported"),
    ],
)  # fmt: skip
def test_an_unambiguous_beginning_of_either_is_enough(course, typed, meant):
    assert find_skill(course, typed) == meant
    assert named_skill(course, typed) is None


@pytest.mark.parametrize(
    ("typed", "id_", "part"),
    [
        ("Lifts", "ambiguous-skill", "please type a little more"),
        ("Lifts the wrst", "unknown-skill", 'Did you mean "Lifts the wrist" (wrist-lift)?'),
        ("wrsit-lift", "unknown-skill", 'Did you mean "wrist-lift"?'),
        ("feeet", "unknown-skill", 'Did you mean "Feet supported" (feet-supported)?'),
        ("benhc", "unknown-skill", 'Did you mean "Notices bench height" (bench-height-check)?'),
        ("wirst", "unknown-skill", 'Did you mean "Lifts the wrist" (wrist-lift)?'),
        ("hnad", "unknown-skill", 'Did you mean "hand"?'),
        ("nothing like it", "unknown-skill", "in the course."),
        ("", "unknown-skill", "there is no skill"),
    ],
)
def test_what_is_not_clear_is_refused_with_the_nearest(course, typed, id_, part):
    found = find_skill(course, typed)
    assert isinstance(found, Refusal)
    assert found.id == id_
    assert part in found.message


def test_a_slip_is_looked_for_among_what_is_near_first(course):
    found = find_skill(course, "hnad", near=Near([["feet-supported", "rounded-hand-keys"]]))
    assert "(rounded-hand-keys)?" in found.message


def test_one_letter_means_no_skill_whatever_is_near(course):
    """A key too many would note something that nobody saw."""
    for skill in course.skill:
        found = find_skill(course, skill[0], near=Near([[skill]]))
        assert isinstance(found, Refusal)
        assert "please type a little more" in found.message


def test_what_begins_an_id_and_the_name_of_another_skill_is_not_guessed_at_on_any_sheet(course):
    found = find_skill(course, "moves", ["beat-and-half-speed"])
    assert isinstance(found, Refusal)
    assert '"moves" could be "Moves the named finger" (moves-named-finger), "Moves at' in found.message


def test_a_beginning_that_fits_an_id_and_another_name_is_not_guessed_at(course):
    odd = replace(course, skills=(*course.skills, replace(course.skills[0], id="x-ray", name="Wrist so")))
    assert isinstance(find_skill(odd, "wrist"), Refusal)
    assert find_skill(odd, "wrist-", ["x-ray"]) == "wrist-lift"
    assert find_skill(odd, "lifts", ["wrist-lift", "phrase-lift"], ["wrist-lift"]).id == "ambiguous-skill"
    assert find_skill(odd, "lifts", ["wrist-lift"]) == "wrist-lift"


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("Hears up, down or level", ["up-down-same-ear"]),
        (
            "Lifts the wrist, Hears up, down or level,feet",
            ["wrist-lift", "up-down-same-ear", "feet-supported"],
        ),
        ("Finds F, G, A and B,Finds C, D and E", ["finds-fgab", "finds-cde"]),
        ("wrist-lift feet", ["wrist-lift", "feet-supported"]),
        (" , ", []),
    ],
)
def test_a_list_may_have_names_with_commas_in_it(course, typed, meant):
    assert list(find_skills(course, typed)) == meant


def test_words_of_a_misspelt_name_are_never_taken_for_several_skills(course):
    (found,) = find_skills(course, "Lifts the wirst")
    assert isinstance(found, Refusal)
    assert "wrist-lift" in found.message


def test_no_unit_is_answered_with_the_nearest_or_the_ends_never_with_all(course):
    near, far = find_unit(course, "hand-shape-wirst"), find_unit(course, "zzz")
    assert isinstance(near, Refusal)
    assert isinstance(far, Refusal)
    assert '"3 hand-shape-wrist"' in near.message
    assert "from 1 sitting-high-low to 14 together-pieces" in far.message
    assert sum(unit.id in far.message for unit in course.units) == 2


def test_names_are_understood_wherever_a_skill_is_typed(say, studio):
    here = ("--students", studio / "students", *DAY)
    name = "Lifts the wrist"
    noted = say("note", "temwa", "--alone", name, "--remark", f"{name}=so light", *here, "--json")
    assert json.loads(noted.out)["noted"]["alone"] == ["wrist-lift"]
    for words in (
        ("why", "temwa", "--skill", name), ("why", "temwa", "--if", f"show.{name}=alone"),
        ("way", "temwa", "--to", name), ("retire", name),
        ("task", "temwa", "--give", name, "--text", "x", "--minutes", "3", "--days", "3"),
        ("compare", "--drop", f"{name}:Keeps the hand rounded on the keys"),
    ):  # fmt: skip
        said = say(*words, *here)
        assert said.code in (Exit.READY, Exit.NOT_READY), (words, said.err)
        assert "wrist" in said.out
    assert "Lifts the wrist" in " ".join(say("check", "--list", "rests-on", "--to", name).out.split())


@pytest.mark.parametrize("unit", ["3", "hand-shape-wrist", "hand-s", "Hand shape, fingers and wrist lifts"])
def test_units_are_understood_wherever_one_is_typed(say, studio, unit):
    students = ("--students", studio / "students")
    new = ("enrol", "ana", "--name", "Ana", "--born", "2019-02", "--unit", unit)
    assert say(*new, *students, *DAY).code == Exit.READY
    assert 'unit = "hand-shape-wrist"' in (studio / "students" / "ana.toml").read_text("utf-8")
    assert "3 Hand shape" in say("map", "--unit", unit).out
    assert "unit 3, Hand shape" in " ".join(say("way", "temwa", "--to", unit, *students, *DAY).out.split())
    moved = say("compare", "--move", f"Alternates the arms steadily:{unit}", *students, *DAY)
    assert "is taught in unit 3" in " ".join(moved.out.split())


def test_retiring_into_a_new_id_that_begins_like_another_makes_a_new_skill(say, studio):
    said = say("retire", "wrist-lift", "--into", "wrist", "--students", studio / "students", *DAY)
    assert "[skill.wrist]" in said.out


def _untouched():
    raise AssertionError
    yield


def test_what_fits_one_skill_alone_is_that_one_whatever_is_near(course, monkeypatch):
    """Nobody then asks what is near, which takes its time; where it is asked, the same is found."""
    words = {
        text[:count]
        for skill in course.skills
        for text in (skill.id, skill.name, *skill.id.split("-"))
        for count in (1, 2, 3, 5, 8)
    }
    alone = {word: found for word in sorted(words) if (found := find._only(course, word))}
    assert all(find_skill(course, word, near=Near((_untouched(),))) == found for word, found in alone.items())
    monkeypatch.setattr(find, "_only", lambda *_: None)
    every = tuple(course.skill)
    for word, found in alone.items():
        for own in ((), (every,), ([found],), ([one for one in every if one != found],)):
            assert find_skill(course, word, near=Near(own)) == found
