"""``readiness why``: the answer, its exit code, and what is said when it cannot be given."""

from __future__ import annotations

import json
import re

import pytest

from readiness.cli.commands import Exit

KEYS = [
    "format", "student", "on", "band", "unit", "next_unit", "verdict", "deciding", "rest", "details",
    "groups", "blockers", "taken_along", "notes", "one_thing", "look_first", "earliest", "holds_until",
    "holds_because", "next_lesson", "decision", "brought_along", "proof", "findings", "cautions",
]  # fmt: skip
"""The keys of the rules, section 7, in their order."""


@pytest.mark.parametrize(
    "student, on, code",
    [
        ("temwa", "2025-12-09", Exit.READY),
        ("bogdan", "2025-12-05", Exit.READY),  # taking two things along
        ("temwa", "2025-12-02", Exit.NOT_READY),
        ("chikondi", "2025-12-02", Exit.NOT_READY),
        ("linnea", "2025-12-04", Exit.NOT_READY),
        ("rafiq", "2025-12-04", Exit.NOT_READY),
        ("noemi", "2025-12-03", Exit.NOT_READY),
    ],
)
@pytest.mark.parametrize("how", [[], ["--json"], ["--reasons"]])
def test_the_exit_code_is_the_answer(student, on, code, how, say):
    said = say("why", student, "--on", on, *how)
    assert said.code == code
    assert said.out.endswith("\n")
    assert not said.out.endswith("\n\n")


def test_the_json_has_the_keys_of_the_rules_in_their_order(say):
    said = say("why", "temwa", "--json")
    assert list(json.loads(said.out)) == KEYS
    assert said.out == say("why", "temwa", "--json").out


def test_without_a_day_the_demo_takes_its_own(say):
    assert json.loads(say("why", "temwa", "--json").out)["on"] == "2025-12-02"
    assert "this uses the demo course and students" in say("why", "temwa").told


def test_without_a_day_a_studio_of_ones_own_takes_today(say, studio, monkeypatch):
    from datetime import datetime

    monkeypatch.chdir(studio)
    before = datetime.now().astimezone().date().isoformat()
    said = say("why", "temwa", "--json")
    after = datetime.now().astimezone().date().isoformat()
    assert before <= json.loads(said.out)["on"] <= after
    assert said.err == ""


@pytest.mark.parametrize("typed", ["temwa", "Temwa", "TEMWA", "tem", "t"])
def test_a_student_is_found_by_name_and_by_beginning(typed, say):
    assert json.loads(say("why", typed, "--json").out)["student"] == "temwa"


def test_a_given_name_need_not_be_the_id(say, studio, monkeypatch):
    monkeypatch.chdir(studio)
    (studio / "students" / "temwa.toml").rename(studio / "students" / "s-017.toml")
    assert json.loads(say("why", "temwa", "--json").out)["student"] == "s-017"


def test_an_id_goes_before_a_beginning(say, studio, monkeypatch):
    monkeypatch.chdir(studio)
    text = (studio / "students" / "temwa.toml").read_text(encoding="utf-8")
    (studio / "students" / "tem.toml").write_text(text, encoding="utf-8")
    assert json.loads(say("why", "tem", "--json").out)["student"] == "tem"
    said = say("why", "te")
    assert said.code == Exit.WRONG
    assert '"te" could be tem or temwa' in said.told


@pytest.mark.parametrize(
    "typed, told",
    [
        ("tmewa", 'there is no student "tmewa". Did you mean "temwa"?'),
        ("xxxxxx", 'there is no student "xxxxxx". The files are in '),
        ("", 'there is no student "". '),
        ("../temwa", 'there is no student "../temwa". '),
        ("studio", 'there is no student "studio". '),
    ],
)
def test_an_unknown_student_is_one_sentence(typed, told, say):
    said = say("why", typed)
    assert (said.code, said.out) == (Exit.WRONG, "")
    assert told in said.told


FEBRUARY = ": February 2025 has 28 days."


@pytest.mark.parametrize(
    ("day", "end"),
    [
        ("2025-02-29", FEBRUARY), ("31.2.2025", FEBRUARY), ("2025-13-01", "."), ("someday", "."),
        ("20251202", "."), ("2025-W49-2", "."), ("", "."), ("2025-12-02T10:00", "."),
    ],
)  # fmt: skip
def test_a_mistyped_day_is_one_sentence(day, end, say):
    said = say("why", "temwa", "--on", day)
    assert (said.code, said.out) == (Exit.WRONG, "")
    told = f'--on takes a day such as 2025-12-02, 2 Dec, tue or yesterday, and "{day}" is not a day{end}'
    assert told in said.told


@pytest.mark.parametrize("day", ["yesterday", "2.12.2025", "2 Dec", "tue"])
def test_a_day_as_people_write_it_is_taken(day, say):
    assert say("why", "temwa", "--on", day).code in (Exit.READY, Exit.NOT_READY)


@pytest.mark.parametrize("day", ["0001-01-01", "0025-12-02", "1899-12-31", "2200-01-01", "9999-12-31"])
def test_a_day_of_another_age_is_refused(day, say):
    said = say("why", "temwa", "--on", day)
    assert said.code == Exit.WRONG
    assert "from 1900 to 2199" in said.told


@pytest.mark.parametrize("day", ["1900-01-01", "2019-01-01", "2199-12-31"])
@pytest.mark.parametrize("student", ["temwa", "chikondi", "linnea", "noemi", "rafiq", "bogdan"])
def test_far_days_are_answered_without_trouble(day, student, say):
    for how in ([], ["--json"], ["--reasons"]):
        assert say("why", student, "--on", day, *how).code in (Exit.READY, Exit.NOT_READY)


def test_the_reasons_are_a_tree_of_names_with_their_lines(say):
    out = say("why", "temwa", "--reasons", "--full").out
    for line in (
        r"skill-open skill=wrist-lift state=building deciding=yes \[graph.toml:\d+\]",
        r"- note skill=wrist-lift day=2025-11-25 help=alone .*\[temwa.toml:36\]",
        r"- rule rule=days_needed.motor band=4-5 value=3 .*\[pacing.toml:\d+\]",
    ):
        assert re.search(line, " ".join(out.split()))


def test_a_rule_says_what_it_does_where_it_is_written_and_its_source(say):
    out = " ".join(say("why", "temwa", "--rule", "carry_limit").out.split())
    assert "carry_limit, at age 4-5 May be finished later: at most 2." in out
    assert "None of them is about safety" in out
    assert "The default [pacing.toml:19]. Source: common practice." in out
    wrong = " ".join(say("why", "temwa", "--rule", "cary_limit").told.split())
    assert 'Did you mean "carry_limit"?' in wrong


# ---------------------------------------------------------------- what if


def test_a_what_if_stands_beside_the_plain_answer(say):
    said = say("why", "temwa", "--if", "days_needed.motor=2")
    assert said.code == Exit.READY
    assert "What if" in said.out
    assert "As it is: Look again first." in said.out
    assert "nothing is saved" in said.out


def test_a_what_if_as_json_is_the_changed_answer_and_the_change(say):
    found = json.loads(say("why", "temwa", "--if", "days_needed.motor=2", "--json").out)
    assert list(found) == [*KEYS, "if"]
    assert found["verdict"] == "ready-taking-along"
    assert found["if"] == {"days_needed.motor": 2}


def test_several_changes_hold_at_once(say):
    words = ["--if", "show.rounded-hand-keys=alone", "--if", "days_needed.motor=2", "--if", "carry_limit=0"]
    found = json.loads(say("why", "temwa", "--json", *words).out)
    assert found["if"] == {"show.rounded-hand-keys": "alone", "days_needed.motor": 2, "carry_limit": 0}
    assert found["verdict"] == "look-again"


def test_what_can_be_done_at_once_is_no_later_for_a_supposed_lesson(say):
    """Ready today, and ready with the lesson supposed: the earliest day is each one's own."""
    told = say("why", "bogdan", "--if", "show.interval-ear=alone").out
    assert "Then on 5 December: Ready for unit 12" in told
    assert "Earliest possible move" not in told
    not_shown = say("why", "temwa", "--if", "show.wrist-lift=not-shown").out
    assert "Earliest possible move: 16 December 2025, before: 9 December 2025." in not_shown


def test_a_what_if_saves_nothing(say, studio, monkeypatch):
    monkeypatch.chdir(studio)
    before = {path: path.read_bytes() for path in studio.rglob("*.toml")}
    say("why", "temwa", "--on", "2025-12-02", "--if", "show.wrist-lift=alone")
    assert {path: path.read_bytes() for path in studio.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize(
    "change, told",
    [
        ("carry_limit", "--if takes NAME=VALUE, as in carry_limit=1"),
        ("=1", "--if takes NAME=VALUE"),
        ("carry_limit=", "--if takes NAME=VALUE"),
        ("cary_limit=1", "carry_limit"),
        ("days_needed.moter=2", "days_needed.motor"),
        ("show.wrist-lfit=alone", "wrist-lift"),
        ("show.wrist-lift=alnoe", "alone"),
        ("accepts.motor=model", "cue"),
        ("carry_limit=two", "whole number"),
        ("carry_limit=-1", "at least 0"),
        ("days_needed.motor=2.5", "whole number"),
        ("days_needed.motor=99999999999999999999", "at most 10"),
        ("min_unit_factor=nan", "number"),
    ],
)
def test_a_change_that_cannot_be_made_is_one_sentence(change, told, say):
    said = say("why", "temwa", "--if", change)
    assert (said.code, said.out) == (Exit.WRONG, "")
    last = said.told.split("readiness: ")[-1]
    assert told in last
    assert re.search(r"[^.?][.?]$", last)


def test_one_thing_cannot_be_changed_twice(say):
    said = say("why", "temwa", "--if", "carry_limit=1", "--if", "carry_limit=2")
    assert said.code == Exit.WRONG
    assert "--if changes carry_limit twice" in said.told


# ---------------------------------------------------------------- files with mistakes


def test_a_broken_file_that_is_asked_for_is_shown_with_its_problems(say, studio, monkeypatch):
    monkeypatch.chdir(studio)
    path = studio / "students" / "temwa.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('"wrist-lift"', '"wirst-lift"', 1), encoding="utf-8")
    said = say("why", "temwa")
    assert (said.code, said.out) == (Exit.WRONG, "")
    assert f"{path}:36:3: error: [unknown-skill]" in said.told
    assert 'did you mean "wrist-lift"?' in said.told


def test_a_broken_file_of_somebody_else_is_one_line(say, studio, monkeypatch):
    monkeypatch.chdir(studio)
    whole = say("why", "temwa", "--on", "2025-12-02")
    (studio / "students" / "noemi.toml").write_bytes(b"name = \xff")
    said = say("why", "temwa", "--on", "2025-12-02")
    assert (said.code, said.out) == (whole.code, whole.out)
    assert said.err == "readiness: 1 other student file has problems; `readiness roster` lists it.\n"


def test_a_broken_course_is_shown_with_its_problems(say, studio, monkeypatch, course_folder):
    import shutil

    own = studio / "course"
    shutil.copytree(course_folder, own)
    graph = own / "graph.toml"
    text = graph.read_text(encoding="utf-8")
    graph.write_text(text.replace('kind = "motor"', 'kind = "moter"', 1), encoding="utf-8")
    said = say("why", "temwa", "--course", own, "--students", studio / "students")
    assert (said.code, said.out) == (Exit.WRONG, "")
    assert re.search(rf"^{re.escape(str(graph))}:\d+:8: error: \[not-allowed\]", said.err, re.MULTILINE)
    assert "motor" in said.told
