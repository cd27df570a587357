"""Estimates from a studio's own records: what is a case, when nothing is said, and that ranges hold."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from statistics import median

import numpy as np
import pytest
from bench.estimates_hold import STUDIOS, tallies
from by_hand import small
from drawn import situations
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.stats import CensoredData, ecdf
from told import page_of

from readiness.advice.estimates import Case, cases_of, estimates, holding_range, product_limit
from readiness.cli.main import main
from readiness.judging import judge
from readiness.judging.history import known_on
from readiness.record.load import build_record
from readiness.testing import ask
from readiness.words.ahead import when_sections

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


@pytest.mark.parametrize(
    ("table", "entry"),
    [
        ("set_aside", {"skill": SKILL, "agreed_with": "family"}),
        ("settled", {"through": "black-key-groups"}),
    ],
)
def test_what_ends_otherwise_was_under_way_until_then(course, table, entry):
    """Of five lessons with it, it was set aside or settled in the third, before it was secure."""
    data = {
        "format": 1, "name": "C", "born": BORN,
        "unit_start": [{"unit": "black-key-groups", "on": MONDAY}],
        "lesson": [{"on": MONDAY + timedelta(days=7 * n), "model": [SKILL]} for n in range(5)],
        table: [{**entry, "on": MONDAY + timedelta(days=14)}],
    }  # fmt: skip
    record = build_record("c", data, course)
    assert list(cases_of(course, record, on(9))) == [Case(course.skill[SKILL].kind, "6-7", 3, False)]


@pytest.mark.parametrize("table", ["set_aside", "settled"])
def test_what_was_over_by_the_day_it_was_first_asked_for_is_no_case(course, table):
    entry = {
        "set_aside": {"skill": SKILL, "agreed_with": "family"},
        "settled": {"through": "black-key-groups"},
    }
    data = {
        "format": 1, "name": "C", "born": BORN, table: [{**entry[table], "on": MONDAY}],
        "unit_start": [{"unit": "black-key-groups", "on": MONDAY}],
        "lesson": [{"on": MONDAY + timedelta(days=7 * n), "model": [SKILL]} for n in range(5)],
    }  # fmt: skip
    assert list(cases_of(course, build_record("c", data, course), on(9))) == []


def test_lessons_before_it_was_first_asked_for_and_after_it_was_secure_are_not_counted(course):
    kind = course.skill[SKILL].kind
    helps = [None, None, "model", None, "alone", "alone", "alone", None]
    data = {
        "format": 1, "name": "C", "born": BORN,
        "unit_start": [{"unit": "black-key-groups", "on": MONDAY}],
        "lesson": [
            {"on": MONDAY + timedelta(days=7 * n)} | ({help_: [SKILL]} if help_ else {})
            for n, help_ in enumerate(helps)
        ],
    }  # fmt: skip
    record = build_record("c", data, course)
    needed = course.band["6-7"].whole(f"days_needed.{kind}")
    assert list(cases_of(course, record, on(9))) == [Case(kind, "6-7", 2 + needed, True)]


def asked(course, others, so_far=1, name="Asked"):
    """Ask about somebody who had so many lessons with the skill."""
    record = learner(course, name, so_far, done=False)
    answer = judge(course, record, on(so_far - 1))
    found = estimates(course, [*others, record], record, answer)
    return answer, record, next(one for one in found if one.skill == SKILL)


@pytest.fixture(scope="module")
def earlier(course):
    """Return a function that makes earlier students by how many lessons they needed, or gave up after."""

    def make(needed, *, done=True):
        made = []
        for number, lessons in enumerate(needed):
            data = learner(course, f"P{number}", lessons, done=done)
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


def test_what_was_secure_before_is_not_estimated(course):
    """What was lost and is learnt again is no first time, whether it was settled here or elsewhere."""
    lost = ["alone", "alone", "model", "model"]
    settled = [{"through": "black-key-groups", "on": MONDAY}]
    for help_, more in (
        (lost, {}), ([*lost, "alone"], {}), (["model", "model"], {"settled": settled}),
        (["model", "model", "alone"], {"settled": settled}),
    ):  # fmt: skip
        lessons = [
            {"on": MONDAY + timedelta(days=7 * n), given: [SKILL]} for n, given in enumerate(help_, start=1)
        ]
        start = [{"unit": "black-key-groups", "on": MONDAY}]
        data = {"format": 1, "name": "C", "born": BORN, "unit_start": start, "lesson": lessons, **more}
        record = build_record("c", data, course)
        answer = judge(course, record, on(len(help_)))
        assert SKILL in {one.skill for one in answer.blockers}
        assert answer.standings[SKILL].slipped
        assert SKILL not in {one.skill for one in estimates(course, [record], record, answer)}


def test_each_skill_is_estimated_once_and_those_of_groups_too():
    """Base keeps back by itself and in the group; the others of the group are estimated beside it."""
    group = [{"at_least": 2, "of": ["base", "other", "more"]}]
    made_up = small(
        {
            "one": {"stop": {"asks_pain": True, "always_look": True}, "base": {}, "other": {}, "more": {}},
            "two": {"top": {"stands_on": ["base"], "stands_on_some": group}},
        },
        {
            "unit_start": [{"unit": "one", "on": MONDAY}],
            "lesson": [{"on": MONDAY, "alone": ["stop", "more"], "model": ["base"]}],
        },
        MONDAY + timedelta(days=7),
    )
    one = ask(made_up)
    found = estimates(one.course, [one.record], one.record, one.answer)
    assert [(each.skill, each.so_far) for each in found] == [("base", 1), ("other", 0)]


def test_what_is_open_of_the_rest_is_estimated_where_nothing_else_keeps_back():
    rest = {f"rest-{n}": {} for n in range(3)}
    made_up = small(
        {"one": {"stop": {"asks_pain": True, "always_look": True}, **rest}, "two": {"top": {}}},
        {"unit_start": [{"unit": "one", "on": MONDAY}], "lesson": [{"on": MONDAY, "alone": ["stop"]}]},
        MONDAY + timedelta(days=7),
    )
    one = ask(made_up)
    assert one.answer.blockers == ()
    found = estimates(one.course, [one.record], one.record, one.answer)
    assert [each.skill for each in found] == list(rest)


def test_silent_under_five(course, earlier):
    answer, record, one = asked(course, earlier([2, 3, 4, 5]))
    assert one.is_silent
    assert (one.low, one.high, len(one.cases)) == (None, None, 4)
    text = " ".join(page_of(when_sections, [one], answer, course, record, full=True).split())
    name = course.skill[one.skill].name
    assert f"Fewer than 5 similar cases, too few to conclude anything: {name}." in text
    assert f"The course gives {one.usual_weeks} weeks for unit" in text


def test_the_cases_alone_where_too_few_are_finished(course, earlier):
    others = earlier([2, 3, 3, 4, 6]) + earlier([7, 7, 8, 1], done=False)
    answer, record, one = asked(course, others)
    assert (one.cases, one.under_way) == ((1, 2, 2, 3, 5), 3)
    assert (one.low, one.high) == (None, None)
    text = " ".join(page_of(when_sections, [one], answer, course, record, full=True).split())
    cases = "1 took 1 lesson; 2 took 2 lessons; 1 took 3 lessons; 1 took 5 lessons"
    assert f"5 finished cases of movements at age 6-7 ({cases}), beyond the 1 lesson so far" in text
    assert "; 3 still under way." in text
    assert "times in 10" not in text
    assert f"The course gives {one.usual_weeks} weeks for unit" in text


def test_a_range_says_what_it_rests_on(course, earlier):
    answer, record, one = asked(course, earlier([2, 3, 3, 4, 6, 6]) + earlier([3], done=False))
    assert (one.low, one.high) == (1, 5)
    text = " ".join(page_of(when_sections, [one], answer, course, record, full=True).split())
    assert "1 to 5 more lessons. That is right at least 8 times in 10." in text
    assert "It rests on 6 finished cases of" in text
    assert "; 1 still under way." in text
    assert "The course gives" not in text


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
@pytest.mark.parametrize("cases", [5, 9, 30])
def test_eight_in_ten_ranges_hold(name, cases):
    """Seeded simulation over hidden durations: 80 in 100 of the ranges hold, and are no wider than that."""
    chance = random.Random(f"{name} {cases}")
    pick, times = DURATIONS[name], 1000
    held, widths = 0, []
    for _ in range(times):
        low, high = holding_range([(lessons, True) for lessons in chance.choices(pick, k=cases)])
        held += low <= chance.choice(pick) <= high
        widths.append(high - low)
    assert held / times >= 0.78
    assert cases < 30 or median(widths) < max(pick) - min(pick)


@pytest.mark.parametrize(
    ("studio", "made", "gain"), [("steady, three years", 40, 0.0), ("twelve weeks old", 150, 0.05)]
)
def test_eight_in_ten_ranges_hold_in_a_young_studio_too(studio, made, gain):
    """With the cases under way counted; with the finished ones alone a young studio's are too short."""
    counted, alone = tallies(*STUDIOS[studio], 0.1, made)
    assert len(counted.widths) > 150
    assert counted.held >= 0.78
    assert counted.held >= alone.held + gain
    assert median(counted.widths) <= 6


def test_ranges_asked_about_in_records_hold(course, earlier):
    """The same through student files: earlier students of which each in turn is the next one."""
    chance = random.Random(5)
    held = tried = 0
    for turn in range(8):
        needed = [2 + chance.randrange(7) for _ in range(12)]
        people = earlier(needed)
        for left_out, real in enumerate(needed):
            _, _, one = asked(course, people[:left_out] + people[left_out + 1 :], name=f"Q{turn}-{left_out}")
            tried += 1
            held += one.low <= real - one.so_far <= one.high
    assert tried == 96
    assert held / tried >= 0.78


def test_fewer_cases_give_a_wider_range():
    """With the finished cases alone the ends are order statistics, as far out as their number asks for.

    Of n numbers in no known order the next one lies between the i-th and the j-th smallest with the
    chance (j - i) / (n + 1) (David and Nagaraja 2003, Order Statistics): four in five are up to the
    4th of 4, the 1st to the 9th of 9, the 2nd to the 18th of 19.
    """
    for many, first, last in ((4, 0, 4), (9, 1, 9), (19, 2, 18)):
        cases = [(2 * n, True) for n in range(1, many + 1)]
        assert holding_range(cases) == (max(1, 2 * first), 2 * last)
    assert holding_range([(2 * n, True) for n in range(1, 4)]) is None


def test_cases_under_way_move_the_upper_end_up():
    finished = [(n, True) for n in (1, 2, 2, 3, 3, 3, 4, 5, 6, 8)]
    assert holding_range(finished) == (1, 6)
    assert holding_range([*finished, (5, False), (5, False)]) == (1, 8)
    assert holding_range([*finished, *[(9, False)] * 4]) is None


@given(st.lists(st.tuples(st.integers(1, 30), st.booleans()), max_size=30))
def test_the_ends_are_those_of_the_next_case_as_one_more(cases):
    """The low end by its own definition: an estimate with the next case for each length there may be."""
    found = holding_range(cases)
    if found is not None:
        low, high = found
        early = [1 - product_limit([*cases, (n, True)])[n] for n in range(1, low + 1)]
        left = product_limit([*cases, (max(n for n, _ in cases), False)])
        assert all(share <= Fraction(1, 10) for share in early[:-1])
        assert early[-1] > Fraction(1, 10) or low == len(left) - 1
        assert left[high] <= Fraction(2, 10) - (early[-2] if low > 1 else 0)
        assert all(share > Fraction(2, 10) - (early[-2] if low > 1 else 0) for share in left[low:high])


@pytest.mark.parametrize("cases", [[], [(1, True)] * 3, [(4, False)] * 9])
def test_no_range_from_too_few(cases):
    assert holding_range(cases) is None


def test_equal_cases_leave_one_number():
    assert holding_range([(3, True)] * 12) == (3, 3)


def test_the_product_limit_is_that_of_the_handbooks():
    """Weeks in remission of 21 with leukaemia under 6-mercaptopurine (Freireich and others 1963).

    The data and the estimate as survival handbooks give them (Kleinbaum and Klein, Survival
    Analysis, chapter 2; from memory); a minus is "still in remission when last seen".
    """
    weeks = [6, 6, 6, -6, 7, -9, 10, -10, -11, 13, 16, -17, -19, -20, 22, 23, -25, -32, -32, -34, -35]
    shares = product_limit([(abs(n), n > 0) for n in weeks])
    table = {6: 0.8571, 7: 0.8067, 10: 0.7529, 13: 0.6902, 16: 0.6275, 22: 0.5378, 23: 0.4482}
    assert {n: round(float(shares[n]), 4) for n in table} == table
    assert shares[5] == 1
    assert product_limit([]) == [1]
    assert shares[35] == shares[23]


@given(st.lists(st.tuples(st.integers(1, 12), st.booleans()), min_size=1, max_size=30))
@example([(3, False), (3, True), (3, True), (1, False)])
def test_the_product_limit_is_that_of_scipy(cases):
    """The same from ``scipy.stats.ecdf`` of right-censored data."""
    took, unfinished = [n for n, done in cases if done], [n for n, done in cases if not done]
    theirs = ecdf(CensoredData(uncensored=took, right=unfinished)).sf
    ours = product_limit(cases)
    assert all(isinstance(share, Fraction) for share in ours)
    assert np.allclose(theirs.evaluate(np.arange(len(ours))), [float(share) for share in ours])


def test_what_is_said(capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    assert main(["when", "temwa"]) == 1
    text = " ".join(capsys.readouterr().out.split())
    assert "9 December, if everything is shown without help each time." in text
    assert "For you alone: what earlier cases here took" in text
    assert "%" not in text
    assert main(["when", "linnea"]) == 1
    text = capsys.readouterr().out
    assert "For you alone" not in text
    assert "Do not play through pain" in text


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


@given(situations())
def test_a_case_ends_on_the_day_on_which_the_answer_first_says_secure(situation):
    """Days of a skill's own, a pause and a birthday included; nothing is settled, aside or retired."""
    left_out = {"settled", "set_aside"}
    student = {key: value for key, value in situation.student.items() if key not in left_out}
    retired = ("retired", "replaced_by", "since")
    skills = {
        name: {key: value for key, value in skill.items() if key not in retired}
        for name, skill in situation.graph["skill"].items()
    }
    now = replace(situation, student=student, graph={**situation.graph, "skill": skills})
    asked = ask(now)
    known = known_on(asked.course, asked.record, asked.answer.on)
    days = [day for day in known.lesson_days if day <= known.day]
    expected = []
    for i, notes in known.notes.items():
        name = asked.course.plan.ids[i]
        first, tried = notes[0][0], [note[0] for note in notes]
        secure = (d for d in tried if judge(asked.course, asked.record, d).standings[name].state == "secure")
        ended = next(secure, None)
        last = days[-1] if ended is None else ended
        band = judge(asked.course, asked.record, last).band
        lessons = sum(first <= day <= last for day in days)
        expected.append(Case(asked.course.skill[name].kind, band, lessons, ended is not None))
    assert [*cases_of(asked.course, asked.record, known.day)] == expected
