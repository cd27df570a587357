"""The cheapest way is the cheapest: all sets on small courses, an exact solver on large ones."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations, islice, pairwise

import numpy as np
import pytest
from drawn import situations
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp
from told import text_of

from readiness.advice.ground import presumed
from readiness.advice.lesson import plan_lesson
from readiness.advice.min_cost import MOST_SETS, Things, cheapest
from readiness.advice.plan import lessons_to_come
from readiness.advice.way import way_to
from readiness.course.model import SkillGroup, bits
from readiness.judging.engine import judge
from readiness.record.rhythm import Event
from readiness.testing import ask
from readiness.words.ahead import way_sections
from readiness.words.phrases import Phrases


def price(one, minutes, likely):
    """Return what a skill costs, read off its standing by hand (rules, "Way"); likely ones are looked at."""
    if one.state in ("secure", "set-aside"):
        return 0
    if one.state in ("wobbling", "stale"):
        return 1
    return max(1, one.need - one.have) if one.state == "building" or likely else minutes


def reaches(skills, goals, there, optional):
    """Return whether the goals and all they stand on are there; groups by whichever members are."""

    def stands(name):
        skill = skills[name]
        below = skill.get("stands_on", [])
        return all((b in there or b in optional) and stands(b) for b in below) and all(
            sum(m in there and stands(m) for m in group["of"]) >= group["at_least"]
            for group in skill.get("stands_on_some", [])
        )

    return all(goal in there and stands(goal) for goal in goals)


@given(situations(most_units=3, most_skills=9), st.data())
def test_no_set_of_skills_is_cheaper(situation, data):
    asked = ask(situation)
    skills = situation.graph["skill"]
    standings = asked.answer.standings
    likely = presumed(asked.course, asked.record, asked.answer)
    costs = {n: price(standings[n], skill["minutes"], n in likely) for n, skill in skills.items()}
    met = {name for name in skills if standings[name].state in ("secure", "set-aside")}
    optional = {n for n, s in skills.items() if asked.answer.band in s.get("optional_in", [])} - met
    target = data.draw(st.sampled_from([*situation.graph["unit"], *skills]))
    of_unit = [name for name, s in skills.items() if s["unit"] == target and name not in optional]
    goals = [target] if target in skills else of_unit

    way = way_to(asked.course, asked.record, asked.answer.on, target, asked.calendar)
    open_ = [name for name in skills if name not in met]
    taken = {step.skill for step in way.steps}
    assert way.proved
    assert taken <= set(open_)
    assert reaches(skills, goals, met | taken, optional)
    assert way.minutes == sum(costs[name] for name in taken)
    fitting = [
        (sum(costs[name] for name in some), size)
        for size in range(len(open_) + 1)
        for some in combinations(open_, size)
        if reaches(skills, goals, met | set(some), optional)
    ]
    assert (way.minutes, len(taken)) == min(fitting)
    assert way.at_least == way.minutes


@given(situations(most_units=4, most_skills=12))
@settings(max_examples=60)
def test_a_later_unit_comes_sooner_only_where_it_is_told_what_it_does_not_build_on(situation):
    """To a unit belongs what it builds on (rules, "Way"), and that need not be all of the units before."""
    asked = ask(situation)
    standings, skills = asked.answer.standings, situation.graph["skill"]
    p = Phrases(asked.answer, asked.course, asked.record)
    units = [unit.id for unit in asked.course.units]
    ways = [way_to(asked.course, asked.record, asked.answer.on, unit, asked.calendar) for unit in units]
    steps = [{step.skill for step in way.steps} for way in ways]
    is_open = {
        name for name, skill in skills.items()
        if asked.answer.band not in skill.get("optional_in", ())
        and standings[name].state not in ("secure", "set-aside")
    }  # fmt: skip
    for far, way in enumerate(ways):
        before = {name for name in is_open if skills[name]["unit"] in units[:far]}
        assert {*way.beside} == before - steps[far]
        told = " ".join(text_of(way_sections, way, p, full=True).split())
        assert ("Not counted: " in told) == bool(way.beside)
        assert all(p.plain_name(name) in told for name in way.beside)
        for near in range(far):
            assert steps[near] & is_open <= steps[far] | {*way.beside}
            if steps[near] <= steps[far]:
                assert ways[near].minutes <= way.minutes
                assert not is_sooner(way, ways[near])


def is_sooner(way, other):
    """Return whether a way is gone before another, or the other lies too far away for a date."""
    known = way.steps != () and way.lessons is not None
    return known and (other.lessons is None or (way.lessons, way.earliest) < (other.lessons, other.earliest))


@given(situations(most_units=3, most_skills=12), st.data())
@settings(max_examples=60)
def test_what_is_more_to_secure_is_never_sooner(situation, data):
    asked = ask(situation)
    targets = st.sampled_from([*situation.graph["unit"], *situation.graph["skill"]])
    first, second = (
        way_to(asked.course, asked.record, asked.answer.on, data.draw(targets), asked.calendar)
        for _ in range(2)
    )
    if {step.skill for step in first.steps} <= {step.skill for step in second.steps}:
        assert first.minutes <= second.minutes
        assert not is_sooner(second, first)
        assert (first.not_before or 0) <= (second.not_before or first.not_before or 0)


def is_begun(step):
    """Return whether a step is taught as new."""
    return step.state == "untried" and not step.probably_there


@given(situations(most_units=3, most_skills=12), st.integers(0, 60), st.sampled_from([0, 30]), st.data())
def test_no_way_begins_anything_in_the_last_two_lessons_before_a_big_day(situation, ahead, length, data):
    """Nothing new then, or before a long break: common practice, no source."""
    asked = ask(situation)
    first = asked.answer.on + ahead
    calendar = replace(asked.calendar, events=(Event("Fair", first, first + length, length > 0),))
    target = data.draw(st.sampled_from([*situation.graph["unit"], *situation.graph["skill"]]))
    answer = judge(asked.course, asked.record, asked.answer.on, calendar)
    way = way_to(asked.course, asked.record, answer.on, target, calendar)
    days = tuple(islice(lessons_to_come(asked.record, answer), 80))
    before = sum(day < first for day in days)
    begun = {step.lesson for step in way.steps if is_begun(step)}
    assert not begun & {before, before - 1} or before == len(days)


@given(situations(most_units=3, most_skills=12), st.integers(0, 200), st.integers(7, 90), st.data())
def test_no_way_begins_anything_in_a_first_lesson_back(situation, ahead, length, data):
    """So many weeks without a lesson are a break (rule R7), also one that holidays to come will make."""
    asked = ask(situation)
    first = asked.answer.on + ahead
    calendar = replace(asked.calendar, events=(Event("Summer", first, first + length, True),))
    target = data.draw(st.sampled_from([*situation.graph["unit"], *situation.graph["skill"]]))
    answer = judge(asked.course, asked.record, asked.answer.on, calendar)
    way = way_to(asked.course, asked.record, answer.on, target, calendar)
    known = () if answer.last_lesson is None else (answer.last_lesson,)
    days = (*known, *islice(lessons_to_come(asked.record, answer), 80))
    least = min(band.whole("break_weeks") for band in asked.course.bands)
    most = max(band.whole("break_weeks") for band in asked.course.bands)
    begun = {step.lesson for step in way.steps if is_begun(step)}
    for lesson, (before, day) in enumerate(pairwise(days), 1 if known else 2):
        if day - before >= calendar.break_days(most):
            assert lesson not in begun
    if plan_lesson(asked.course, asked.record, answer).is_first_back and least == most:
        assert 1 not in begun


@given(situations(most_units=3, most_skills=12), st.data())
def test_the_order_can_be_taught_and_the_dates_keep_the_pace(situation, data):
    asked = ask(situation)
    skills = situation.graph["skill"]
    target = data.draw(st.sampled_from([*situation.graph["unit"], *skills]))
    way = way_to(asked.course, asked.record, asked.answer.on, target, asked.calendar)
    place = {step.skill: number for number, step in enumerate(way.steps)}
    for step in way.steps:
        below = set(skills[step.skill].get("stands_on", []))
        assert all(place[b] < place[step.skill] for b in below if b in place)
    if way.earliest is None or not way.steps:
        return
    assert way.not_before <= way.earliest
    assert way.lessons == max(step.settled for step in way.steps)
    settled = {step.skill: step.settled for step in way.steps}
    for lesson in range(1, way.lessons + 1):
        begun = [step for step in way.steps if is_begun(step) and step.lesson == lesson]
        assert len(begun) <= 2
    for step in way.steps:
        assert step.settled - step.lesson + 1 >= step.days
        if is_begun(step):
            below = skills[step.skill].get("stands_on", [])
            assert all(settled[b] <= step.lesson for b in below if b in settled)


def made_up(size, groups, seed):
    """Return things with some links and many groups that share what lies under them."""
    chance = random.Random(seed)
    brings: list[int] = []
    for i in range(size):
        near = range(max(0, i - 25), i)
        some = chance.sample(near, min(len(near), chance.choice((0, 0, 1, 1, 2))))
        brings.append(1 << i)
        for j in some:
            brings[i] |= brings[j]
    return Things(
        cost=tuple(chance.choice((0, 0, 1, 3, 5, 5, 6, 8, 8, 10)) for _ in range(size)),
        brings=tuple(brings),
        groups=tuple(made_up_group(chance, size) for _ in range(groups)),
    )


def made_up_group(chance, size):
    owner, at_least = chance.randrange(size // 3, size), chance.choice((1, 1, 1, 2))
    members = chance.sample(range(max(0, owner - 40), owner), chance.randint(at_least + 1, 5))
    return SkillGroup(owner, at_least, sum(1 << member for member in members))


def sharing(groups, members, under, costs, seed=0):
    """Return one thing with many any-of-three groups over the same members, some with shared ground."""
    chance = random.Random(seed)
    goal = under + members
    brings = [1 << i for i in range(goal + 1)]
    for i in range(under, goal):
        for j in chance.sample(range(under), min(under, 2)):
            brings[i] |= brings[j]
    cost = [chance.choice(costs) * (goal + 1) + 1 for _ in range(goal)]
    any_of = (chance.sample(range(under, goal), 3) for _ in range(groups))
    some = tuple(SkillGroup(goal, 1, sum(1 << i for i in three)) for three in any_of)
    return Things((*cost, 1), tuple(brings), some), 1 << goal


def solved(things, wanted):
    """Return the least cost by HiGHS, a solver for whole-number programs that scipy brings along."""
    size = len(things.cost)
    rows = []
    for i in range(size):
        for j in bits(things.brings[i] & ~(1 << i)):
            row = np.zeros(size)
            row[j], row[i] = 1, -1
            rows.append(row)
    for group in things.groups:
        row = np.zeros(size)
        row[list(bits(group.members))] = 1
        row[group.owner] -= group.at_least
        rows.append(row)
    least = np.array([wanted >> i & 1 for i in range(size)], float)
    found = milp(
        np.array(things.cost, float),
        constraints=[LinearConstraint(np.array(rows), 0, np.inf)],
        integrality=np.ones(size),
        bounds=Bounds(least, 1),
    )
    assert found.success
    return round(found.fun)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(("size", "groups"), [(140, 20), (300, 40)])
def test_an_exact_solver_finds_nothing_cheaper(size, groups, seed):
    things = made_up(size, groups, seed)
    wanted = sum(1 << i for i in range(size - 12, size))
    found = cheapest(things, wanted)
    assert found.proved
    assert found.cost == found.at_least == solved(things, wanted)


@pytest.mark.parametrize("costs", [(5,), (3, 5, 8, 10)])
@pytest.mark.parametrize(("groups", "members", "under"), [(40, 30, 0), (60, 40, 0), (40, 40, 8), (60, 36, 6)])
def test_an_exact_solver_finds_nothing_cheaper_where_groups_share_members(groups, members, under, costs):
    things, wanted = sharing(groups, members, under, costs)
    found = cheapest(things, wanted)
    assert found.proved
    assert found.compared < MOST_SETS
    assert found.cost == found.at_least == solved(things, wanted)


def test_groups_that_share_nothing_are_searched_apart():
    """Together they would need as many sets as the product; apart, as many as the sum."""
    lots = [sharing(24, 20, 0, (3, 5, 8, 10), seed) for seed in range(4)]
    cost, brings, groups, wanted = [], [], [], 0
    for things, goal in lots:
        at = len(cost)
        cost += things.cost
        brings += [mask << at for mask in things.brings]
        groups += [SkillGroup(g.owner + at, g.at_least, g.members << at) for g in things.groups]
        wanted |= goal << at
    alone = [cheapest(things, goal) for things, goal in lots]
    found = cheapest(Things(tuple(cost), tuple(brings), tuple(groups)), wanted)
    assert found.proved
    assert found.cost == sum(one.cost for one in alone)
    assert found.compared == sum(one.compared for one in alone)


def test_a_search_that_was_stopped_says_so(monkeypatch):
    monkeypatch.setattr("readiness.judging.cover.find_spec", lambda name: None)
    things, wanted = sharing(60, 40, 0, (3, 5, 8, 10))
    found, again = (cheapest(things, wanted, most=30) for _ in range(2))
    best = solved(things, wanted)
    assert not found.proved
    assert found.at_least <= best <= found.cost
    assert found == again


def test_where_the_search_was_stopped_the_solver_goes_on():
    pytest.importorskip("highspy")
    things, wanted = sharing(60, 40, 6, (3, 5, 8, 10))
    found = cheapest(things, wanted, most=3)
    assert found.proved
    assert found.cost == sum(things.cost[i] for i in bits(found.chosen)) == solved(things, wanted)
    assert all(not things.brings[i] & ~found.chosen for i in bits(found.chosen))
    assert all((g.members & found.chosen).bit_count() >= g.at_least for g in things.groups)


@pytest.mark.parametrize("unit", [7, 10, 14])
def test_the_shipped_course_agrees_with_the_solver(course, unit):
    """Nobody has shown anything yet: every skill at its minutes, all four age bands' groups open."""
    plan = course.plan
    things = Things(
        cost=plan.minutes,
        brings=tuple(plan.ancestors[i] | 1 << i for i in range(len(plan.ids))),
        groups=tuple(group for of_unit in plan.groups for group in of_unit),
    )
    wanted = plan.in_unit[unit - 1]
    assert cheapest(things, wanted).cost == solved(things, wanted)
