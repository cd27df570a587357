"""The way for the demo students: what is cheapest, in which order, when, and how it is said."""

from __future__ import annotations

import json
from datetime import date

import pytest
from told import page_of

from readiness.advice import way as way_module
from readiness.advice.lesson import plan_lesson
from readiness.advice.way import way_to
from readiness.cli.main import main
from readiness.days import day_number, iso
from readiness.judging import judge
from readiness.record.load import build_record
from readiness.record.rhythm import Calendar
from readiness.words.ahead import way_sections
from readiness.words.grammar import date_words
from readiness.words.why import tell_answer


@pytest.fixture(scope="module")
def way_of(course, records):
    return lambda student, to, **more: way_to(
        course, records[student], day_number("2025-12-02"), to, **more
    )


def test_the_loose_skill_two_units_back_comes_first(way_of):
    way = way_of("chikondi", "white-key-piece")
    assert [step.skill for step in way.steps] == [
        "alternate-arms-steady", "fingers-on-two", "hands-alternate-fours", "letters-forward",
        "finds-cde", "white-key-piece",
    ]  # fmt: skip
    assert [step.minutes for step in way.steps] == [6, 1, 8, 5, 8, 8]
    assert (way.minutes, way.proved, way.at_least) == (36, True, 36)


def test_of_a_group_the_cheapest_member_on_the_whole(way_of):
    [choice] = way_of("chikondi", "white-key-piece").choices
    assert (choice.of, choice.taken) == (("fingers-on-two", "fingers-on-three"), ("fingers-on-two",))


def test_each_new_skill_waits_for_its_footing_and_needs_its_days(way_of):
    """Letters on 9 and 16 December, C D E on 16 and 23, the piece on 23 and 30 (2 days, 7 apart)."""
    way = way_of("chikondi", "white-key-piece")
    assert [(step.lesson, step.settled) for step in way.steps[3:]] == [(1, 2), (2, 3), (3, 4)]
    assert (iso(way.earliest), way.earliest, way.lessons) == ("2025-12-30", way.not_before, 4)


def test_planned_lessons_are_used(way_of):
    planned = Calendar((day_number("2025-12-05"), day_number("2025-12-23")))
    way = way_of("chikondi", "letters-forward", calendar=planned)
    assert iso(way.earliest) == "2025-12-23"


def test_nothing_left(way_of):
    way = way_of("chikondi", "bench-height-check")
    assert (way.steps, way.minutes, way.lessons, iso(way.earliest)) == ((), 0, 0, "2025-12-02")


def test_no_dates_while_paused(way_of):
    way = way_of("linnea", "together-pieces")
    assert way.is_paused
    assert (way.earliest, way.not_before, way.lessons) == (None, None, None)
    assert {step.lesson for step in way.steps} == {None}


def test_many_lessons_are_reckoned_and_the_order_is_the_quickest(way_of):
    way = way_of("rafiq", "together-pieces")
    assert not way.is_placed
    assert way.earliest == way.not_before


def said(capsys, *words):
    code = main(["way", *words])
    return code, capsys.readouterr()


def test_what_is_said(capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    code, (out, _) = said(capsys, "chikondi", "--to", "white-key-piece", "--full")
    text = " ".join(out.split())
    assert code == 0
    assert "6 skills to secure, about 36 minutes of teaching." in text
    assert "A way with fewer minutes may exist" not in text
    assert "At the earliest 30 December, in 4 lessons." in text
    code, (out, _) = said(capsys, "linnea", "--to", "14")
    assert "Do not play through pain" in out
    assert "At the earliest" not in out


def test_as_json_and_by_number(capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    _, (out, _) = said(capsys, "temwa", "--to", "4", "--json")
    found = json.loads(out)
    assert (found["to"], found["is_unit"], found["proof"]["proved"]) == ("arms-that-travel", True, True)
    assert found["minutes"] == sum(step["minutes"] for step in found["steps"])


@pytest.mark.parametrize("to", ["no-such-thing", "99", ""])
def test_an_unknown_goal(capsys, monkeypatch, tmp_path, to):
    monkeypatch.chdir(tmp_path)
    code, (_, err) = said(capsys, "temwa", "--to", to)
    assert code == 2
    assert "there is no skill" in err


def test_where_the_move_could_come_sooner_than_what_it_waits_for_the_reason_is_said(course):
    """The two dates suppose different things: shown at once, or taught a few at a time."""
    start = {"unit": "hand-shape-wrist", "on": date(2025, 11, 4)}
    data = {"format": 1, "name": "Made up", "born": "2020-05-14", "unit_start": [start]}
    settled = {"through": "black-key-groups", "on": date(2025, 11, 4)}
    lesson = {"on": date(2025, 11, 4), "alone": ["right-left-hands"]}
    record = build_record("made-up", {**data, "settled": [settled], "lesson": [lesson]}, course)
    on = day_number("2025-11-04")
    answer, way = judge(course, record, on), way_to(course, record, on, "wrist-lift")
    assert answer.standings["wrist-lift"].state == "untried"
    assert answer.earliest < way.earliest
    words = " ".join(page_of(way_sections, way, answer, course, record, full=True).split())
    brief = " ".join(page_of(way_sections, way, answer, course, record, full=False).split())
    for told in (words, brief):
        assert f"If it is there already, a move could come sooner: {date_words(answer.earliest, on)}." in told
    story = " ".join(tell_answer(answer, course, record, full=True).split())
    day = date_words(answer.earliest, on)
    assert f"The earliest possible move is {day}; by the plan" in story
    other = way_to(course, record, on, "arm-arc-octave")
    words = page_of(way_sections, other, answer, course, record, full=True)
    assert "could come sooner" not in " ".join(words.split())


def test_the_first_lesson_after_a_break_begins_nothing(course):
    """As in the plan: a first lesson back is for looking (rule R7)."""
    start = {"unit": "sitting-high-low", "on": date(2026, 8, 4)}
    lessons = [{"on": date(2026, 8, day), "alone": ["feet-supported"]} for day in (4, 11, 18)]
    data = {"format": 1, "name": "Made up", "born": "2019-06", "unit_start": [start], "lesson": lessons}
    record, on = build_record("made-up", data, course), day_number("2026-10-06")
    way = way_to(course, record, on, "black-key-groups")
    assert plan_lesson(course, record, judge(course, record, on)).is_first_back
    assert min(step.lesson for step in way.steps if step.state == "untried") == 2


def test_no_end_is_tried_before_there_is_room_to_begin_everything(way_of, monkeypatch):
    """Each costs all skills and lessons: with 900 of them that was more than a minute."""
    ends, latest = [], way_module._latest
    monkeypatch.setattr(way_module, "_latest", lambda *asked: ends.append(asked[-1]) or latest(*asked))
    way = way_of("temwa", "together-pieces")
    assert way.lessons
    assert len(ends) <= 3
