"""Estimates from a studio's own records: what is a case, when nothing is said, and that ranges hold."""

from __future__ import annotations

import json
import random
from datetime import date, timedelta

import pytest

from readiness.cli.main import main
from readiness.judging import judge
from readiness.planning.estimates import Case, cases_of, estimates, holding_range
from readiness.record.load import build_record
from readiness.words.when import tell_when

MONDAY = date(2025, 9, 1)
BORN = "2018-03-02"
SKILL = "steady-beat-keys"


def learner(course, name, lessons, *, done=True, born=BORN):
    """Return somebody who needed so many weekly lessons for one skill: help, then twice alone."""
    days = [MONDAY + timedelta(days=7 * week) for week in range(lessons)]
    help_ = ["model"] * (lessons - 2) + ["alone", "alone"] if done else ["model"] * lessons
    data = {
        "format": 1, "name": name, "born": born,
        "unit_start": [{"unit": "black-key-groups", "on": MONDAY}],
        "lesson": [{"on": day, given: [SKILL]} for day, given in zip(days, help_, strict=True)],
    }  # fmt: skip
    return build_record(name.lower(), data, course)


def on(weeks):
    return (MONDAY + timedelta(days=7 * weeks)).toordinal()


def test_a_case_is_counted_in_the_students_own_lessons(course):
    kind = course.skill[SKILL].kind
    assert list(cases_of(course, learner(course, "A", 5), on(9))) == [Case(kind, "6-7", 5, True)]
    assert list(cases_of(course, learner(course, "A", 5), on(3))) == [Case(kind, "6-7", 4, False)]
    assert list(cases_of(course, learner(course, "B", 3, done=False), on(9))) == [Case(kind, "6-7", 3, False)]


def test_what_was_settled_elsewhere_is_no_case(course, records):
    settled = [case for case in cases_of(course, records["noemi"], on(20)) if case.done]
    assert settled == []


def asked(course, others, so_far=1, name="Asked"):
    """Ask about somebody who had so many lessons with the skill."""
    record = learner(course, name, so_far, done=False)
    answer = judge(course, record, on(so_far - 1))
    found = estimates(course, [*others, record], record, answer)
    return answer, record, next(one for one in found if one.skill == SKILL)


@pytest.fixture(scope="module")
def earlier(course):
    """Return a function that makes earlier students by how many lessons they needed."""

    def make(needed):
        made = []
        for number, lessons in enumerate(needed):
            data = learner(course, f"P{number}", lessons)
            moved = [
                {
                    "on": date.fromordinal(one.on - 364),
                    ("alone" if one.showings[0].help == 0 else "model"): [SKILL],
                }
                for one in data.lessons
            ]
            plain = {"format": 1, "name": f"P{number}", "born": "2017-03-02", "lesson": moved}
            made.append(build_record(f"p{number}", plain, course))
        return made

    return make


def test_silent_under_five(course, earlier):
    answer, record, one = asked(course, earlier([2, 3, 4, 5]))
    assert one.is_silent
    assert (one.low, one.high, len(one.cases)) == (None, None, 4)
    text = tell_when(answer, [one], course, record)
    assert "fewer than 5, so nothing is said" in " ".join(text.split())
    assert "too few to conclude" in text


def test_the_cases_alone_under_nine(course, earlier):
    answer, record, one = asked(course, earlier([2, 3, 3, 4, 6]))
    assert (one.cases, one.low) == ((1, 2, 2, 3, 5), None)
    text = " ".join(tell_when(answer, [one], course, record).split())
    assert "5 earlier cases of" in text
    assert "2 (2 times)" in text
    assert "such ranges hold" not in text


def test_only_cases_that_took_longer_than_this_one_already_has(course, earlier):
    _, _, one = asked(course, earlier([2, 2, 3, 4, 4, 5, 6, 7, 8, 8, 9, 9]), so_far=3)
    assert one.so_far == 3
    assert one.cases == (1, 1, 2, 3, 4, 5, 5, 6, 6)
    assert 1 <= one.low <= one.high <= 6


def test_other_ages_and_kinds_are_no_cases(course, earlier):
    older = [learner(course, f"O{n}", 4, born="2012-01-01") for n in range(12)]
    assert asked(course, older)[2].cases == ()


DURATIONS = {
    "most take two or three": [2] * 5 + [3] * 5 + [4] * 3 + [5] * 2 + [7],
    "evenly from two to eight": list(range(2, 9)),
    "a long tail": [2, 2, 3, 3, 4, 5, 6, 8, 11, 15],
}


@pytest.mark.parametrize("name", DURATIONS)
@pytest.mark.parametrize("cases", [9, 12, 30])
def test_eight_in_ten_ranges_hold(name, cases):
    """Seeded simulation over hidden durations: 80 in 100 of the ranges hold, give or take 3."""
    chance = random.Random(f"{name} {cases}")
    pick, times = DURATIONS[name], 5000
    held = 0
    for _ in range(times):
        past = sorted(chance.choices(pick, k=cases))
        low, high = holding_range(past, chance.random())
        held += low <= chance.choice(pick) <= high
    assert 0.77 <= held / times <= 0.83


def test_ranges_asked_about_in_records_hold(course, earlier):
    """The same through student files: earlier students of which each in turn is the next one."""
    chance = random.Random(5)
    held = tried = 0
    for turn in range(12):
        needed = [2 + chance.randrange(7) for _ in range(12)]
        people = earlier(needed)
        for left_out, real in enumerate(needed):
            _, _, one = asked(course, people[:left_out] + people[left_out + 1 :], name=f"Q{turn}-{left_out}")
            remaining = real - one.so_far
            tried += 1
            held += one.low <= remaining <= one.high
    assert tried == 144
    assert 0.72 <= held / tried <= 0.88


@pytest.mark.parametrize("cases", [[], [1] * 8])
def test_no_range_from_too_few(cases):
    assert holding_range(cases, 0.5) is None


def test_equal_cases_leave_one_number():
    for lot in (0.0, 0.05, 0.5, 0.95):
        assert holding_range([3] * 12, lot) == (3, 3)


def test_what_is_said(capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    assert main(["when", "temwa"]) == 1
    text = " ".join(capsys.readouterr().out.split())
    assert "9 December, if everything is shown without help each time." in text
    assert "for you alone, not for the child or the family" in text
    assert "%" not in text
    assert main(["when", "linnea"]) == 1
    text = capsys.readouterr().out
    assert "estimate" not in text
    assert "do not play through pain" in text


def test_as_json(capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    assert main(["when", "temwa", "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert (found["earliest"], found["cautions"]) == ("2025-12-09", ["C12", "C14"])
    assert all(one["cases"] is None for one in found["estimates_for_the_teacher_alone"])


@pytest.mark.parametrize("reader", ["child", "family", "school"])
def test_no_letter_has_an_estimate(capsys, monkeypatch, tmp_path, reader):
    monkeypatch.chdir(tmp_path)
    assert main(["tell", "temwa", reader]) in (0, 1)
    said = capsys.readouterr().out.lower()
    assert "estimate" not in said
    assert "cases" not in said
