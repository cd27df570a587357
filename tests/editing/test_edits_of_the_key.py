"""The four hand-worked edits of the answer key, asked without touching the file."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from told import text_of

from readiness.days import day_number
from readiness.editing.edits import Add, Drop, EditError, Move, Retire, Set, parse_edit
from readiness.words.changes import comparison_sections

HERE = Path(__file__).parents[1] / "key" / "answer_key.toml"
EDITS = {case["id"]: case for case in tomllib.loads(HERE.read_text(encoding="utf-8"))["edit_case"]}


def test_a_loop_is_refused_and_shown(tried):
    trial = tried(Add("rounded-hand-rest", "wrist-lift"))
    assert trial.course is None
    assert trial.comparison is None
    (loop,) = [p for p in trial.problems if p.id == "loop"]
    assert " > ".join(EDITS["edit-cycle"]["path"]) in loop.message


def test_an_implied_link_is_warned_of_with_the_way_and_changes_nobody(tried):
    trial = tried(Add("wrist-lift", "rounded-hand-rest"))
    (warning,) = trial.problems
    assert warning.severity == "warning"
    assert " > ".join(EDITS["edit-redundant"]["path"]) in warning.message
    assert not trial.comparison.changed


def test_a_prerequisite_in_a_later_unit_is_refused(tried):
    trial = tried(Add("white-key-piece", "same-moment"))
    assert trial.course is None
    (problem,) = trial.problems
    assert problem.id == "later-unit"
    assert 'unit 13 "together-begins"' in problem.message
    assert 'unit 7 "white-key-names"' in problem.message


def test_a_new_link_changes_one_student(tried, demo):
    case = EDITS["edit-affects"]
    trial = tried(Add("thumb-on-side-tip", "separate-touch"))
    (change,) = trial.comparison.changed
    assert change.after.student == "chikondi"
    new = change.reasons[0]
    assert (new.id, new.skill, new.new) == ("new-blocker", "separate-touch", "stale")
    assert {answer.student for answer in trial.comparison.unchanged} == set(case["unchanged"])
    assert not trial.comparison.advised
    told = " ".join(
        text_of(comparison_sections, trial.comparison, demo.course, trial.course, full=True).split()
    )
    # The key's own line: "new blocker separate-touch: stale (settled 26 Aug, 98 days on 2 Dec, limit 56)".
    assert "not seen lately (noted as secure 26 August, 14 weeks ago, look every 8)" in told
    assert "Unchanged Bogdan, Linnea, Noemi, Rafiq and Temwa." in told


def test_dropping_the_link_again_brings_everything_back(tried):
    there_and_back = tried(
        Add("thumb-on-side-tip", "separate-touch"), Drop("thumb-on-side-tip", "separate-touch")
    )
    assert not there_and_back.problems
    assert not there_and_back.comparison.changed
    assert not there_and_back.comparison.advised


def test_a_number_is_named_with_both_values(tried):
    trial = tried(Set(("band", "adult", "carry_limit"), 1), on=day_number("2025-12-05"))
    (change,) = trial.comparison.changed
    assert (change.before.verdict, change.after.verdict) == ("ready-taking-along", "not-yet")
    numbers = [(one.rule, one.old, one.new) for one in change.reasons if one.id == "number-changed"]
    assert numbers == [("carry_limit", 3, 1)]


def test_edits_in_one_go_count_together(tried):
    both = tried(Add("rounded-hand-rest", "same-moment"), Move("rounded-hand-rest", "together-pieces"))
    assert "later-unit" in {p.id for p in both.problems}
    assert not any('"rounded-hand-rest" of unit 2' in p.message for p in both.problems)


def test_a_value_of_the_wrong_kind_is_refused_at_its_line(tried, course_folder):
    trial = tried(Set(("band", "6-7", "carry_limit"), "many"))
    (problem,) = trial.problems
    assert problem.id == "wrong-type"
    lines = (course_folder / "pacing.toml").read_text(encoding="utf-8").splitlines()
    assert lines[problem.place.line - 1].startswith("carry_limit")


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (Add("wrst-lift", "feet-supported"), 'there is no skill "wrst-lift"; did you mean "wrist-lift"?'),
        (Drop("wrist-lift", "same-moment"), '"wrist-lift" does not name "same-moment"'),
        (Set(("band", "6-8", "carry_limit"), 1), 'there is no band "6-8"'),
        (Set(("band", "6-7", "accepts"), 1), "band.6-7.accepts is a table: name one of motor,"),
        (Retire("wrist-lift", 739000, ("wrist-lift",)), '"wrist-lift" cannot take its own place'),
    ],
)  # fmt: skip
def test_what_is_not_there_is_said(tried, edit, said):
    with pytest.raises(EditError) as error:
        tried(edit)
    assert said in str(error.value)


@pytest.mark.parametrize(
    "kind,text", [("add", "wrist-lift"), ("set", "carry_limit"), ("move", ":x"), ("drop", "")]
)
def test_an_edit_of_another_shape_is_said(kind, text):
    with pytest.raises(EditError, match=f"--{kind} is written as in"):
        parse_edit(kind, text)


def test_values_are_those_of_toml():
    assert parse_edit("set", 'band."6-7".carry_limit = 1') == Set(("band", "6-7", "carry_limit"), 1)
    assert parse_edit("set", "band.6-7.accepts.motor=cue") == Set(("band", "6-7", "accepts", "motor"), "cue")
    assert parse_edit("set", 'skill.x.optional_in=["4-5"]') == Set(("skill", "x", "optional_in"), ["4-5"])


def test_nothing_is_written(tried, course_folder):
    before = {path: path.read_bytes() for path in course_folder.iterdir()}
    tried(Add("wrist-lift", "feet-supported"), Set(("skill", "wrist-lift", "minutes"), 3))
    assert {path: path.read_bytes() for path in course_folder.iterdir()} == before
