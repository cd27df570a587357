"""Checks of a course where they begin to speak: one skill, one day, one name more or less."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from copy import deepcopy
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from readiness.course.checks import criteria
from readiness.course.checks.register import chain, count, few_names
from readiness.course.checks.units import loose_ends
from readiness.course.load import build_course, load_course
from readiness.course.schema import shipped_marks
from readiness.toml.problems import Problem

SMALL = Path(__file__).parent / "good_courses" / "small"
GRAPH, PACING = (tomllib.loads((SMALL / f"{name}.toml").read_text("utf-8")) for name in ("graph", "pacing"))
DAY = date(2026, 9, 1)


@pytest.fixture
def problems(tmp_path) -> Callable[..., tuple[Problem, ...]]:
    """Give what is said of the small course after an edit."""

    def after(edit: Callable[[dict[str, Any], dict[str, Any]], None]) -> tuple[Problem, ...]:
        graph, pacing = deepcopy(GRAPH), deepcopy(PACING)
        edit(graph, pacing)
        (tmp_path / "graph.toml").write_text(tomli_w.dumps(graph), "utf-8")
        (tmp_path / "pacing.toml").write_text(tomli_w.dumps(pacing), "utf-8")
        return load_course(tmp_path).problems

    return after


def written(problem: Problem) -> str:
    """Return the line a problem points at, from where it points."""
    line = problem.place.file.read_text("utf-8").split("\n")[problem.place.line - 1]
    return line[problem.place.column - 1 :]


@pytest.mark.parametrize("many", range(30))
def test_of_many_names_the_first_twelve_are_told_and_the_rest_are_counted(many):
    names = [f"name-{at}" for at in range(many)]
    shown = ", ".join(names[:12])
    assert few_names(names) == (f"{shown} and {many - 12} more" if many > 12 else shown)


@pytest.mark.parametrize("many", range(30))
def test_of_a_long_way_both_ends_are_told_and_the_middle_is_counted(many):
    skills = [f"skill-{at}" for at in range(many)]
    both_ends = [*skills[:6], f"... {many - 11} more ...", *skills[-5:]]
    assert chain(skills) == " > ".join(both_ends if many > 12 else skills)


def test_one_is_counted_as_one():
    assert [count(number, "skill") for number in (0, 1, 2)] == ["0 skills", "1 skill", "2 skills"]


@pytest.mark.parametrize("many", range(1, 13))
def test_where_no_name_is_near_a_few_are_all_named(many, problems):
    def edit(graph, pacing):
        names = [f"mmmm{at}" for at in range(many)]
        graph["strand"] = {name: {"name": name.upper()} for name in names}
        for at, skill in enumerate(graph["skill"].values()):
            skill["strand"] = names[at % many]
        graph["skill"]["sit-tall"]["strand"] = "zzzzzzzz"

    (found,) = (one for one in problems(edit) if one.severity == "error")
    names = ", ".join(f"mmmm{at}" for at in range(many))
    beyond = "correct the name, or add [strand.zzzzzzzz]"
    assert found.hint == (f"the course has: {names}" if many <= 8 else beyond)


@pytest.mark.parametrize("apart, is_late", [(-1, False), (0, False), (1, True)])
def test_what_takes_a_place_may_begin_on_the_day_it_is_left(apart, is_late, problems):
    def edit(graph, pacing):
        skills = graph["skill"]
        skills["sit-taller"] = {
            **skills["sit-tall"], "name": "Taller", "shown_when": "3 of 3.", "since": DAY + timedelta(apart),
        }  # fmt: skip
        skills["sit-tall"] |= {"retired": DAY, "replaced_by": ["sit-taller"]}

    found = [one for one in problems(edit) if one.severity == "error"]
    assert [(one.id, written(one)) for one in found] == [("comes-too-late", '"sit-taller",')] * is_late


def test_a_ring_of_replacements_is_told_of_those_in_it_alone(problems):
    def edit(graph, pacing):
        skills = graph["skill"]
        heirs = {"sit-tall": ["nobody-here", "loose-shoulders"], "loose-shoulders": ["rounded-hand-rest"]}
        heirs["rounded-hand-rest"] = ["nobody-there", "loose-shoulders"]
        for skill, names in heirs.items():
            skills[skill] |= {"retired": DAY, "replaced_by": names}

    found = [(one.id, one.message, written(one)) for one in problems(edit)]
    rings = [one for one in found if one[0] == "replaces-itself"]
    told = "these skills take each other's place: "
    assert rings == [
        (
            "replaces-itself",
            f"{told}loose-shoulders > rounded-hand-rest > loose-shoulders",
            '"rounded-hand-rest",',
        ),
        (
            "replaces-itself",
            f"{told}rounded-hand-rest > loose-shoulders > rounded-hand-rest",
            '"loose-shoulders",',
        ),
    ]
    assert {m for i, m, _ in found if i == "unknown-skill"} == {
        'there is no skill "nobody-here"', 'there is no skill "nobody-there"',
    }  # fmt: skip


def test_what_is_replaced_and_not_retired_is_told_at_the_first_name(problems):
    def edit(graph, pacing):
        graph["skill"]["sit-tall"]["replaced_by"] = ["loose-shoulders", "feet-supported"]

    (found,) = (one for one in problems(edit) if one.id == "replaced-not-retired")
    assert written(found) == '"loose-shoulders",'


@given(st.data())
def test_loose_ends_are_what_nothing_names_before_the_last_unit(data):
    graph, names = deepcopy(GRAPH), list(GRAPH["skill"])
    for at, name in enumerate(names):
        earlier = st.lists(st.sampled_from(names[:at] or names[:1]), unique=True, max_size=2)
        table = graph["skill"][name]
        table["stands_on"] = data.draw(earlier) if at else []
        some = data.draw(earlier) if at else []
        table["stands_on_some"] = [{"at_least": 1, "of": some}] if some else []
    gone = data.draw(st.sampled_from([None, *names[1:]]))
    if gone:
        graph["skill"][gone] |= {"since": date(2025, 1, 1), "retired": DAY}
    course = build_course(graph, PACING)
    text = tomli_w.dumps(graph)
    expected = [
        name
        for name in names
        if text.count(f'"{name}"') == 0 and graph["skill"][name]["unit"] != "arms" and name != gone
    ]
    assert [skill.id for skill in loose_ends(course)] == expected


@pytest.mark.parametrize(
    "weeks, minutes, said",
    [
        (5, 17, "small-leap"), (5, 18, ""), (5, 75, ""), (5, 76, "big-leap"),  # 0.30 and 1.25 of 60 minutes
        (1, 15, ""), (1, 16, "big-leap"),
    ],
)  # fmt: skip
def test_a_unit_is_of_a_sensible_size_up_to_both_limits(weeks, minutes, said, problems):
    def edit(graph, pacing):
        graph["unit"]["sitting"]["lesson_weeks"] = weeks
        for at, skill in enumerate(s for s in graph["skill"].values() if s["unit"] == "sitting"):
            skill["minutes"] = minutes - 9 if at == 0 else 3

    found = [one for one in problems(edit) if one.id != "unusual-number"]
    assert [one.id for one in found] == [said] * bool(said)  # once for both ages
    many = "1 lesson has" if weeks == 1 else f"{weeks} lessons have"
    told = f"about {minutes} minutes, and its {many} about {12 * weeks} for"
    assert all(told in one.message and '"4-5" (also at "6-7")' in one.message for one in found)


@pytest.mark.parametrize("minutes", [None, 0, 241, 1000])
def test_nothing_is_concluded_from_minutes_that_cannot_be_meant(minutes, problems):
    def edit(graph, pacing):
        for at, skill in enumerate(s for s in graph["skill"].values() if s["unit"] == "sitting"):
            skill["minutes"] = minutes if at == 0 else 1
        graph["skill"]["feet-supported"] = {
            key: value for key, value in graph["skill"]["feet-supported"].items() if value is not None
        }

    (found,) = problems(edit)
    assert found.severity == "error"


def test_of_an_age_beyond_all_the_others_are_not_said_to_end_before_it(problems):
    def edit(graph, pacing):
        pacing["band"]["grown up"] = {**pacing["band"].pop("6-7"), "from_age": 100}

    assert [one.id for one in problems(edit)] == ["out-of-range"]


@pytest.mark.parametrize(
    "unit, said", [("sitting", []), ("hands", ["pain-not-asked"]), ("arms", ["pain-not-asked"])]
)
def test_a_child_can_say_that_it_hurts_from_the_first_unit_on(unit, said, problems):
    def edit(graph, pacing):
        graph["skill"]["feet-supported"]["unit"] = unit
        for skill in graph["skill"].values():
            skill["stands_on"] = [name for name in skill.get("stands_on", ()) if name != "feet-supported"]

    found = [one for one in problems(edit) if one.severity == "error"]
    assert [one.id for one in found] == said
    assert all(written(one) == f'"{unit}"' for one in found)


@pytest.mark.parametrize("asks, lost", [(True, ["safety", "always_look"]), (False, ["safety"])])
def test_a_mark_that_a_copied_skill_lost_is_told_whatever_else_is_wrong(asks, lost, problems):
    both = [one for one, marks in shipped_marks().items() if marks == ("safety", "always_look")]
    copied = next(one for one in both if one[0] not in GRAPH["skill"])

    def edit(graph, pacing):
        skills = graph["skill"]
        skills[copied[0]] = {**skills.pop("sit-tall"), "shown_when": copied[1]}
        for skill in skills.values():
            skill["stands_on"] = [
                copied[0] if name == "sit-tall" else name for name in skill.get("stands_on", ())
            ]
        if not asks:
            del skills["feet-supported"]["asks_pain"]

    (found,) = (one for one in problems(edit) if one.id == "safety-lost")
    assert found.message.startswith(
        f'"{copied[0]}" says {" and ".join(f"{mark} = true" for mark in lost)} in'
    )


def test_what_a_unit_allows_is_not_allowed_of_a_strand_behind_it(problems):
    def edit(graph, pacing):
        graph["unit"]["arms"] |= {"allow": ["same-name"], "reason": "Meant."}
        graph["strand"]["hand-arm"]["name"] = graph["strand"]["set-up"]["name"]
        order = ["format", "name", "edition", "skill", "unit", "strand"]
        tables = {key: graph[key] for key in order}
        graph.clear()
        graph.update(tables)

    assert [one.id for one in problems(edit)] == ["unused-allow", "same-name"]


@pytest.mark.parametrize(
    "said, minutes",
    [
        ("1800 s", 0),
        ("1801 s", 31),
        ("1860 seconds", 31),
        ("30 minutes", 0),
        ("31 minutes", 31),
        ("one hour", 60),
    ],
)
def test_nothing_takes_longer_to_show_than_a_lesson(said, minutes, problems):
    def edit(graph, pacing):
        graph["skill"]["wrist-lift"]["shown_when"] = f"Lifts for {said}, 2 of 2."

    told = f'"wrist-lift" takes {minutes} minutes to show, and no lesson has over 30'
    assert [one.message for one in problems(edit)] == [told] * bool(minutes)


@pytest.mark.parametrize(
    "many, more", [(2, ""), (3, "; so is that of 1 other skill"), (4, "; so is that of 2 other skills")]
)
def test_of_criteria_that_are_alike_one_is_told_and_the_others_are_counted(many, more, problems):
    def edit(graph, pacing):
        for skill in [*graph["skill"].values()][:many]:
            skill["shown_when"] = "Does it, 3 of 3."

    told = 'shown_when of "sit-tall" is word for word that of "feet-supported"'
    (found,) = problems(edit)
    assert found.message == told + more
    lines = found.place.file.read_text("utf-8").split("\n")[: found.place.line]
    assert [line for line in lines if line.startswith("[")][-1] == "[skill.sit-tall]"


@pytest.mark.parametrize("limit, is_error", [(4, False), (5, True)])
def test_a_usual_number_is_never_refused_because_units_are_small(limit, is_error, problems):
    def edit(graph, pacing):
        graph["unit"]["more"] = {"name": "More", "aim": "So that all units are small.", "lesson_weeks": 2}
        for at, skill in enumerate(graph["skill"].values()):
            skill["unit"] = list(graph["unit"])[min(at // 3, 3)]
        pacing["band"]["4-5"]["carry_limit"] = limit

    assert ("out-of-range" in {one.id for one in problems(edit)}) == is_error


@pytest.mark.parametrize(
    "said, lessons, ids",
    [
        ("100 % of 4 tries", 2, []), ("101 % of 4 tries", 2, ["vague-criterion"]),
        ("three weeks, 3 of 3", 6, []), ("three weeks, 3 of 3", 5, ["criterion-beyond-unit"]),
        ("one month, 3 of 3", 8, []), ("one month, 3 of 3", 7, ["criterion-beyond-unit"]),
    ],
)  # fmt: skip
def test_a_criterion_on_two_days_can_be_reached(said, lessons, ids, problems):
    def edit(graph, pacing):
        graph["unit"]["hands"]["lesson_weeks"] = lessons
        graph["skill"]["wrist-lift"] |= {"shown_when": f"Lifts in {said}.", "days": 2}

    assert [one.id for one in problems(edit) if one.id != "small-leap"] == ids


def test_of_a_kind_that_there_is_not_one_day_is_supposed(problems):
    def edit(graph, pacing):
        graph["skill"]["wrist-lift"] |= {"shown_when": "Lifts in three weeks.", "kind": "movement"}

    assert [one.id for one in problems(edit)] == ["not-allowed", "criterion-beyond-unit"]


def test_every_phrase_that_sends_a_child_through_pain_is_told(problems):
    file = Path(criteria.__file__).with_name("through_pain.txt")
    lines = [line for line in file.read_text("utf-8").splitlines() if line and not line.startswith("#")]
    fill = {"PAIN": "pain", "..": "the", "...": "a little"}
    texts = [" ".join(fill.get(word, word) for word in line.split()) for line in lines[1:]]
    words = lines[0].partition("=")[2].split()
    assert {"pain", "numbness", "tingling", "swelling"} <= set(words)  # what the README says to stop at
    texts += [f"Keep playing although there is {word}" for word in words]

    def edit(graph, pacing):
        graph["skill"]["wrist-lift"]["remedies"] = texts

    assert [one.id for one in problems(edit)] == ["through-pain"] * len(texts)


def test_a_strand_that_is_only_misspelt_is_used(problems):
    def edit(graph, pacing):
        graph["strand"]["far-away"] = {"name": "Far away"}
        graph["skill"]["wrist-lift"]["strand"] = "far-awya"

    assert [one.id for one in problems(edit)] == ["unknown-strand"]
