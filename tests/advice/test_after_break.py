"""What a break cost, the fewest looks after it, and the best list before one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from itertools import combinations

import pytest
from by_hand import small
from drawn import situations
from hypothesis import example, given, settings
from told import page_of, with_events

from readiness.advice.after_break import after_break, kept_from_home
from readiness.advice.review import break_ahead, break_between, keep_warm, near_break
from readiness.course.model import bits
from readiness.days import day_number, iso
from readiness.judging.history import known_on
from readiness.judging.lookahead import open_skills
from readiness.judging.states import decide, judge_states
from readiness.record.rhythm import Calendar, Event
from readiness.testing import Situation, ask
from readiness.words.ahead import back_sections


@pytest.fixture
def noemi(course, records, answered):
    """Return what Noemi's long break cost, on a day."""
    return lambda on: after_break(course, records["noemi"], answered("noemi", on))


def test_what_the_break_cost(noemi, answered):
    back = noemi("2025-12-02")
    assert (back.kind, back.days, iso(back.last_lesson), back.lessons) == ("on-a-break", 77, "2025-09-16", 3)
    due = {one.skill: one for one in back.due}
    # windows of the band 8-10: fast 5 weeks, medium 10 (trade, 3.2)
    assert due["loose-shoulders"].window == 35
    assert due["c-piece-separate"].window == 70
    assert {iso(one.last_seen) for one in back.due} == {"2025-09-16"}
    assert not any(one.before or one.again for one in back.due)
    standings = answered("noemi", "2025-12-02").standings
    assert all(standings[skill].state == "secure" for skill in back.kept)
    assert not set(back.kept) & set(due)


@pytest.mark.parametrize("many, said", [
    (0, "Nothing secure waits for a look."),
    (1, "1 secure skill still counts; look again at the first by "),
    (2, "2 secure skills still count; look again at the first by "),
])  # fmt: skip
def test_without_a_look_due_it_is_said_what_still_counts(noemi, answered, course, records, many, said):
    on = "2025-12-02"
    back = noemi(on)
    none_due = replace(back, due=(), kept=("feet-supported", "loose-shoulders")[:many])
    text = page_of(back_sections, (none_due, None), answered("noemi", on), course, records["noemi"])
    assert said in " ".join(text.split())


def test_the_seat_first_then_what_settles_most_then_the_rest(noemi, course, answered):
    back = noemi("2025-12-02")
    whys = [look.why for look in back.looks]
    assert whys == sorted(whys, key=["always-look", "decides", "rest"].index)
    assert back.looks[0].why == "always-look"
    settled = [len(look.clears) for look in back.looks if look.why == "decides"]
    assert settled == sorted(settled, reverse=True)
    deciding = {skill for look in back.looks if look.why != "rest" for skill in look.skills}
    assert deciding == set(answered("noemi", "2025-12-02").look_first)
    assert len(back.looks) <= course.band["8-10"].whole("check_items_max")


def test_the_first_lesson_back_counts_from_before_it(noemi, course, records):
    """Noemi's first lesson after 77 days and one more; what it showed is seen again, and still was due."""
    back, before = noemi("2025-12-03"), noemi("2025-12-02")
    assert (back.kind, back.days) == ("first-lesson-back", 78)
    assert {one.skill for one in before.due} <= {one.skill for one in back.due}
    again = {one.skill for one in back.due if one.again}
    shown = {
        s.skill
        for one in records["noemi"].lessons
        if one.on == day_number("2025-12-03")
        for s in one.showings
    }
    assert again
    assert again <= {
        name for s in shown for name in (s, *course.plan.names(course.plan.ancestors[course.plan.index[s]]))
    }
    assert not again & {skill for look in back.looks for skill in look.skills}


def test_nothing_is_asked_for_under_a_hold(course, records, answered):
    back = after_break(course, records["linnea"], answered("linnea", "2025-12-02"))
    assert (back.looks, back.later) == ((), ())


def test_no_break_says_so(course, records, answered):
    back = after_break(course, records["temwa"], answered("temwa", "2025-12-02"))
    assert (back.kind, back.lessons, back.due) == ("no-break", 0, ())


@given(situations())
@settings(max_examples=60)
def test_the_looks_bring_back_what_they_say(situation: Situation) -> None:
    """Noted as shown alone, the looks settle what they clear; each due skill is due."""
    asked = ask(situation)
    answer, course = asked.answer, asked.course
    back = after_break(course, asked.record, answer)
    looks = (*back.looks, *back.later)
    if answer.unit is None or not looks:
        return
    plan, known = course.plan, known_on(course, asked.record, answer.on)
    shown = [plan.index[skill] for look in looks for skill in look.skills]
    day = answer.next_lesson or answer.on
    then = judge_states(plan, known.with_showings(shown, day), known.band_on(course, day), day)
    cleared = {skill for look in back.looks for skill in look.clears}
    assert cleared <= set(plan.names(then.met))


def long_away(situation: Situation) -> Situation:
    """Return the situation half a year on, with all of the unit settled before: everything is to be seen."""
    starts = situation.student.get("unit_start", [])
    through = starts[-1]["unit"] if starts else next(iter(situation.graph["unit"]))
    day = max(lesson["on"] for lesson in situation.student["lesson"])
    later = situation.with_student(
        settled=[{"through": through, "on": day}], unit_start=[{"unit": through, "on": day}], hold=[]
    )
    return replace(later, on=day + timedelta(days=182))


NO_LESSON = small(
    {"one": {"stop": {"asks_pain": True, "always_look": True}, "base": {}}, "two": {"top": {}}},
    {
        "unit_start": [{"unit": "one", "on": date(2024, 1, 8)}],
        "settled": [{"through": "one", "on": date(2024, 1, 8)}],
        "lesson": [{"on": date(2024, 1, 8), "alone": ["stop"]}],
    },
    date(2024, 2, 6),
    studio={"event": [{"name": "Holidays", "from": date(2024, 2, 6), "to": date(2025, 3, 12)}]},
)


@given(situations(most_units=3, most_skills=10) | situations(most_units=2, most_skills=9).map(long_away))
@example(NO_LESSON)
@settings(max_examples=150, deadline=None)
def test_no_smaller_list_settles_as_much(situation: Situation) -> None:
    """The look set of the answer, then against every set of more; of equals fewest minutes, then by ids.

    Where no lesson is to come, and under a hold, nothing is listed.
    """
    asked = ask(situation)
    answer, course, lesson = asked.answer, asked.course, asked.answer.next_lesson
    back = after_break(course, asked.record, answer)
    if answer.unit is None or answer.verdict == "paused" or lesson is None:
        assert (back.looks, back.later, back.proved) == ((), (), True)
        return
    plan, known = course.plan, known_on(course, asked.record, answer.on)
    band = known.band_on(course, lesson)
    deciding = decide(plan, plan.unit_index[answer.unit], band, known.set_aside)
    now = judge_states(plan, known, band, lesson)
    due = {skill for skill in answer.rest if answer.standings[skill].state == "stale"}

    def settled(chosen):
        then = judge_states(plan, known.with_showings(chosen, lesson), band, lesson)
        single = set(plan.names(then.secure)) & {*plan.names(deciding.skills), *due}
        return single | {group for group in deciding.groups if group not in deciding.unmet(then)}

    able = list(bits(open_skills(plan, deciding, now)))
    goal = settled(able)
    first = tuple(plan.index[skill] for skill in answer.look_first)
    more = [i for i in able if i not in first]
    fitting = (
        sorted(
            (sum(plan.minutes[i] for i in some), sorted(plan.ids[i] for i in (*first, *some)))
            for some in combinations(more, size)
            if settled((*first, *some)) >= goal
        )
        for size in range(len(able) + 1)
    )
    best = next(found for found in fitting if found)[0][1]
    listed = [skill for look in (*back.looks, *back.later) for skill in look.skills]
    assert sorted(listed) == best
    assert back.proved


# before a break


def ahead_of(record, answer, first, last):
    return break_between(record, answer, day_number(first), day_number(last), ())


def test_the_lessons_before_and_after(records, answered):
    answer = answered("temwa", "2025-12-02")
    ahead = ahead_of(records["temwa"], answer, "2025-12-20", "2026-01-11")
    assert (iso(ahead.lesson), iso(ahead.back)) == ("2025-12-16", "2026-01-13")
    none = ahead_of(records["noemi"], answered("noemi", "2025-12-04"), "2025-12-05", "2026-01-11")
    assert none.lesson is None


def test_only_a_stretch_long_enough_is_a_break(records, answered):
    answer, record = answered("temwa", "2025-12-02"), records["temwa"]

    def found(first, last):
        event = Event("Holidays", day_number(first), day_number(last))
        return break_ahead(record, with_events(answer, event), 3)

    assert found("2025-12-20", "2025-12-28") is None  # lessons on 16 and 30 December: two weeks
    assert found("2025-12-20", "2026-01-04").back - found("2025-12-20", "2026-01-04").lesson == 21
    assert found("2026-03-20", "2026-05-04") is None  # too far ahead to tell of unasked


def test_the_nearest_break_whatever_its_name(records, answered):
    """Where lessons are planned, a long way between two of them is a break too."""
    answer, record = answered("temwa", "2025-12-02"), records["temwa"]
    events = [
        Event(name, day_number(first), day_number(last))
        for name, first, last in (
            ("A later one", "2026-01-05", "2026-02-08"), ("Winter", "2025-12-10", "2026-01-04"),
            ("One day", "2025-12-05", "2025-12-05"), ("Now", "2025-12-02", "2026-01-20"),
        )
    ]  # fmt: skip
    found = break_ahead(record, with_events(answer, *events), 3)
    assert (found.name, iso(found.first)) == ("Winter", "2025-12-10")
    planned = tuple(map(day_number, ("2025-12-02", "2025-12-09", "2025-12-12", "2026-01-13", "2026-01-20")))
    there = replace(answer, calendar=Calendar(planned), next_lesson=planned[1])
    found = break_ahead(record, there, 3)
    assert found.name == ""
    assert [iso(day) for day in (found.first, found.lesson, found.back)] == [
        "2025-12-13", "2025-12-12", "2026-01-13",
    ]  # fmt: skip


@pytest.mark.parametrize(("first", "told"), [("2026-01-13", True), ("2026-01-14", False)])
def test_a_break_is_told_of_six_weeks_before(records, answered, first, told):
    """42 days after 2 December is 13 January. Six weeks: common practice, no source."""
    answer = answered("temwa", "2025-12-02")
    event = Event("Winter", day_number(first), day_number("2026-03-01"))
    assert (break_ahead(records["temwa"], with_events(answer, event), 3) is not None) == told


def test_the_list_for_the_next_break_of_the_calendar(course, records, answered):
    answer, record = answered("bogdan", "2025-12-02"), records["bogdan"]
    weeks = course.band[answer.band].whole("break_weeks")
    for last, told in (("2026-01-18", True), ("2025-12-27", False)):
        event = Event("Winter", day_number("2025-12-20"), day_number(last))
        before = with_events(answer, event)
        ahead = break_ahead(record, before, weeks)
        assert (ahead is not None) == told
        expected = keep_warm(course, record, before, ahead) if told else None
        assert near_break(course, record, before) == expected


def test_a_lesson_noted_today_is_the_last_one_before_a_break(records, answered):
    """Of a break that begins tomorrow; one that begins today has it inside."""
    record, day = records["temwa"], day_number("2025-12-02")
    answer = answered("temwa", "2025-12-02")
    assert answer.last_lesson == day
    assert break_between(record, answer, day + 1, day + 30).lesson == day
    assert break_between(record, answer, day, day + 30).lesson is None
    before = answered("temwa", "2025-12-01")
    assert break_between(record, before, day, day + 30).lesson is None


def test_three_things_that_last(course, records, answered):
    answer = answered("bogdan", "2025-12-02")
    warm = keep_warm(
        course, records["bogdan"], answer, ahead_of(records["bogdan"], answer, "2025-12-20", "2026-01-18")
    )
    assert len(warm.skills) == 3
    assert warm.kept
    assert not set(warm.kept) & set(warm.due)


def test_no_list_under_a_hold(course, records, answered):
    answer = answered("linnea", "2025-12-02")
    ahead = ahead_of(records["linnea"], answer, "2025-12-20", "2026-01-18")
    assert keep_warm(course, records["linnea"], answer, ahead).skills == ()


KEPT = small(
    {
        "one": {
            "stop": {"asks_pain": True, "always_look": True}, "base": {"fade": "medium"},
            "also": {"fade": "medium"}, "long": {"minutes": 2}, "late": {}, "early": {},
        },
        "two": {"top": {"stands_on": ["base"]}},
    },
    {
        "unit_start": [{"unit": "one", "on": date(2024, 1, 2)}],
        "settled": [{"through": "one", "on": date(2024, 1, 2)}],
        "lesson": [{"on": date(2024, 1, 16), "alone": ["stop"]}],
    },
    date(2024, 1, 16),
)  # fmt: skip
"""Two things last, one that decides and one that does not; of three that do not one is shown all the same."""


@given(situations())
@example(KEPT)
@settings(max_examples=60, deadline=None)
def test_no_other_three_are_better(situation: Situation) -> None:
    """Compared with every set of at most three fit for home, each judged from the start, to the last tie."""
    asked = ask(situation)
    answer, record, course = asked.answer, asked.record, asked.course
    ahead = break_between(record, answer, answer.on + 1, answer.on + 30)
    if ahead is None:
        return
    warm = keep_warm(course, record, answer, ahead)
    if answer.unit is None or answer.verdict == "paused":
        assert (warm.skills, warm.kept, warm.kept_more, warm.used, warm.due) == ((),) * 5
        return
    plan, known = course.plan, known_on(course, record, answer.on)
    day = ahead.lesson or answer.on
    band = known.band_on(course, ahead.back)
    deciding = decide(plan, plan.unit_index[answer.unit], band, known.set_aside)
    wanted, scope = deciding.skills | deciding.group_members, plan.up_to[deciding.unit] & ~deciding.left_out
    folds = judge_states(plan, known, known.band_on(course, day), day).folds
    settled = plan.set_of(plan.ids[i] for i, one in enumerate(folds) if one.secure_since is not None)

    @cache
    def fresh(chosen):
        return judge_states(plan, known.with_showings(chosen, day), band, ahead.back).secure & scope

    def used(chosen):
        under = {one for i in chosen for one in bits(plan.ancestors[i] & settled & ~plan.must_be_seen)}
        return plan.set_of(plan.ids[i] for i in {*under, *chosen}) & scope

    def worth(chosen):
        sets = (fresh(chosen) & wanted, fresh(chosen), used(chosen) & wanted, used(chosen))
        minutes = sum(plan.minutes[i] for i in chosen)
        return *(-one.bit_count() for one in sets), len(chosen), minutes, sorted(plan.ids[i] for i in chosen)

    kept = plan.set_of(kept_from_home(course, record, answer.on))
    able = list(bits(settled & scope & ~plan.always_look & ~kept))
    best = min((some for size in range(4) for some in combinations(able, size)), key=worth)
    kept = fresh(best) & ~judge_states(plan, known, band, ahead.back).secure
    due = deciding.skills & settled & ~fresh(best)
    expected = (best, kept & wanted, kept & ~wanted, used(best), due)
    said = (warm.skills, warm.kept, warm.kept_more, warm.used, warm.due)
    assert said == (plan.names(sum(1 << i for i in best)), *map(plan.names, expected[1:]))
