"""The plan of a lesson is the best there is: no other filling of its minutes does better.

Every filling is tried here, one after the other, and weighed by what the plan says it
maximises, worked out a second time from the graph as it is written.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from datetime import date
from itertools import pairwise
from typing import Any

from by_hand import small
from drawn import drawn_once, situations
from hypothesis import example, given, settings
from hypothesis import strategies as st
from told import with_events

from readiness.advice.after_break import UNPLAYED, tender_skills
from readiness.advice.ground import likely_before
from readiness.advice.handover import hand_over
from readiness.advice.lesson import plan_lesson
from readiness.advice.lesson_work import Choice, LessonWork, Shares, best_filling, share_out
from readiness.advice.plan import LessonPlan, PlanBlock, season_ahead
from readiness.advice.skill_traits import resting_skills
from readiness.judging.history import known_on
from readiness.judging.states import judge_states
from readiness.record.rhythm import Event
from readiness.testing import Asked, Situation, ask

GAPS = ("with-help", "not-shown", "slipped")
OPEN = ("building", "wobbling", "stale")

choices = st.lists(
    st.builds(
        lambda least, more, worth, begins: Choice(least, least + more, worth, begins),
        st.integers(1, 4),
        st.integers(0, 3),
        st.tuples(st.integers(0, 1), st.integers(0, 4)),
        st.booleans(),
    ),
    max_size=4,
)


def all_fillings(lengths: Sequence[Sequence[int]], minutes: int) -> Iterator[tuple[int, ...]]:
    """Yield every way to give each thing one of its lengths without going beyond the minutes."""
    if not lengths:
        yield ()
        return
    for length in lengths[0]:
        if length <= minutes:
            for rest in all_fillings(lengths[1:], minutes - length):
                yield (length, *rest)


def merit(things: Sequence[Choice], filling: Sequence[int]) -> tuple[object, ...]:
    """Return what speaks for a filling, as the module says it: the most from left to right is best."""
    worked_on = [one.worth for one, length in zip(things, filling, strict=True) if length]
    worth = [sum(places) for places in zip(*worked_on, strict=True)] or [0, 0]
    return worth, sum(filling), -len(worked_on), list(filling)


@given(choices, st.integers(0, 10), st.integers(0, 2))
def test_a_filling_is_the_best_of_all_fillings(things, minutes, begin_at_most):
    allowed = [
        filling
        for filling in all_fillings([[0, *range(one.least, one.most + 1)] for one in things], minutes)
        if sum(one.begins for one, length in zip(things, filling, strict=True) if length) <= begin_at_most
    ]
    found, proved = best_filling(things, minutes, begin_at_most)
    assert proved
    assert found in allowed
    assert merit(things, found) == max(merit(things, filling) for filling in allowed)


# --- whole plans -----------------------------------------------------------------------------

lesson_lengths = st.sampled_from([12, 16, 20, 30])
longest_activities = st.sampled_from([6, 4, 2])


@st.composite
def lessons(draw: st.DrawFn) -> tuple[Asked, LessonPlan]:
    """Draw a question and the plan of the lesson after it."""
    situation = draw(situations(most_units=3, most_skills=9))
    longest, begin = draw(longest_activities), draw(st.integers(1, 2))
    most = begin + draw(st.integers(0, 1))
    rules = {"new_skills_per_lesson": begin, "new_skills_per_lesson_max": most}
    asked = ask(with_rules(situation, activity_minutes=longest, **rules))
    length = draw(lesson_lengths)
    return asked, plan_lesson(asked.course, asked.record, asked.answer, length)


LESSONS = drawn_once(lessons(), rounds=5)


def usual_lesson(situation: Situation) -> tuple[Asked, LessonPlan]:
    """Return a question and the plan of a lesson of the usual length."""
    asked = ask(situation)
    return asked, plan_lesson(asked.course, asked.record, asked.answer)


def new_here(situation: Situation) -> Situation:
    """Return the situation of a student who is not placed yet."""
    return situation.with_student(unit_start=[], settled=[], hold=[])


def with_rules(situation: Situation, **rules: object) -> Situation:
    """Return a situation with other rules in every band."""
    bands = {name: {**band, **rules} for name, band in situation.pacing["band"].items()}
    return replace(situation, pacing={**situation.pacing, "band": bands})


def is_plain(asked: Asked) -> bool:
    """Return whether it is a lesson in a unit in which everything may be played."""
    return asked.answer.verdict != "paused" and asked.answer.placing is None


def tender_of(asked: Asked) -> frozenset[str]:
    """Return what works a part that rested until lately: there turns are half as long."""
    return tender_skills(asked.course, asked.record, asked.answer.on)


@given(LESSONS)
def test_the_blocks_add_up_and_none_is_too_long(lesson):
    asked, plan = lesson
    longest = asked.course.band[asked.answer.band].whole("activity_minutes")
    assert sum(block.minutes for block in plan.blocks) == plan.minutes
    assert all(0 < block.minutes <= longest for block in plan.blocks)


@given(situations())
def test_the_page_of_a_substitute_has_the_minutes_of_the_plan(situation):
    asked, plan = usual_lesson(situation)
    page = {block.part: block.minutes for block in hand_over(asked.course, asked.record, asked.answer).blocks}
    got = Counter[str]()
    for block in plan.blocks:
        is_work = block.part in ("review", "new") and not block.begins
        got["work" if is_work else block.part] += block.minutes
    if not plan.is_paused:
        others = sum(got[part] for part in got if part not in ("opening", "work", "music"))
        assert page.get("work", 0) == got["work"]
        assert page.get("quiet", 0) == (others if plan.lately else 0)
        assert page.get("music", 0) == got["music"] + (0 if plan.lately else others)


DECIDING = ("one-thing", "look-first", "blocker", "group", "beneath")
ANYWHERE = ("keep-warm", "fading", "music", "if-comfortable", *UNPLAYED)


def hard_pairs(blocks: Sequence[PlanBlock]) -> int:
    """Return how often hard comes after hard, or a part of something directly after another part of it."""
    return sum(
        (one.hard and two.hard) or one.part == two.part == "music" or () != one.skills == two.skills
        for one, two in pairwise(blocks)
    )


def waits_its_turn(blocks: Sequence[PlanBlock], plan: LessonPlan) -> bool:
    """Return whether the looks of a placing lesson keep their order, and what decides comes first."""
    looks, planned = ([one for one in row if one.why == "placing"] for row in (blocks, plan.blocks))
    if plan.is_paused or looks:
        return looks == planned
    whys = [block.why for block in blocks if block.why not in ANYWHERE]
    return whys == sorted(whys, key=lambda why: why not in DECIDING)


@given(LESSONS | situations().map(usual_lesson) | situations().map(new_here).map(usual_lesson))
def test_two_hard_things_follow_each_other_only_where_nothing_easy_can_stand_between(lesson):
    """Common practice, no source: no easy thing of the lesson could be moved so that fewer do."""
    _, plan = lesson
    first, *middle, last = plan.blocks
    if not plan.proved or not any(one.hard and two.hard for one, two in pairwise(middle)):
        return
    for at, easy in enumerate(middle):
        rest = [*middle[:at], *middle[at + 1 :]]
        for place in range(len(middle)) if not easy.hard else ():
            moved = [*rest[:place], easy, *rest[place:]]
            fewer = hard_pairs([first, *moved, last]) < hard_pairs(plan.blocks)
            assert not (fewer and waits_its_turn(moved, plan)), (easy, place)


def shares_of(asked: Asked, plan: LessonPlan) -> Shares:
    """Return the minutes of each part; where nothing is begun there are more looks."""
    begins, first = not (plan.is_first_back or plan.is_first), not plan.is_first_back
    return share_out(asked.course.band[asked.answer.band], plan.minutes, begins=begins, is_first=first)


@given(LESSONS)
def test_the_review_share_is_kept_or_the_rest_makes_music(lesson):
    asked, plan = lesson
    if not is_plain(asked):
        return
    shares = shares_of(asked, plan)
    halves = 1 + bool(tender_of(asked))
    got: Counter[str] = Counter()
    for block in plan.blocks:
        got[block.part] += block.minutes
    assert got["opening"] == shares.opening
    assert got["home"] == shares.home
    assert got["review"] <= -(-shares.review // halves)
    assert got["new"] <= -(-shares.new // halves)
    spare = shares.review - got["review"] + shares.new - got["new"]
    quiet = {"listening", "page", "words"} if tender_of(asked) else set()
    assert sum(got[part] for part in ("music", *quiet)) == shares.music + spare
    assert not quiet or got["music"] == -(-shares.music // 2)
    worked = [skill for block in plan.blocks if block.part in ("review", "new") for skill in block.skills]
    assert not quiet or len(worked) == len({*worked}), "soon after a hold nothing comes twice in a lesson"
    assert set(got) <= {"opening", "home", "review", "new", "music", *quiet}
    assert plan.review <= plan.review_wanted
    if plan.is_first_back:
        assert plan.review == plan.minutes


@given(LESSONS)
def test_what_is_begun_was_never_asked_has_its_footing_and_is_within_the_limit(lesson):
    asked, plan = lesson
    standings, course, judge = asked.answer.standings, asked.course, Judge(asked)
    for skill in plan.begun:
        one = course.skill[skill]
        assert standings[skill].state == "untried"
        there = judge.presumed()
        assert all(other in there or is_footing(asked, other) for other in one.stands_on)
        for group in one.stands_on_some:
            assert sum(other in there or is_footing(asked, other) for other in group.of) >= group.at_least
        assert one.unit != asked.answer.next_unit or asked.answer.is_ready
        assert not judge.weak_under(skill)
    band = course.band[asked.answer.band]
    assert len(plan.begun) <= band.whole("new_skills_per_lesson_max")
    if len(plan.begun) > band.whole("new_skills_per_lesson"):
        assert not plan.proved or learned_with_fewer(asked, plan) < shares_of(asked, plan).new
    if plan.is_first or plan.is_first_back or plan.is_paused or asked.answer.placing is not None:
        assert plan.begun == ()
    for block in plan.blocks:
        if block.part in ("review", "new") and is_plain(asked) and not block.begins:
            assert all(standings[skill].state != "set-aside" for skill in block.skills)


def learned_with_fewer(asked: Asked, plan: LessonPlan) -> int:
    """Return how many new minutes are used where only the usual number of things is begun."""
    bands = asked.situation.pacing["band"]
    usual = bands[asked.answer.band]["new_skills_per_lesson"]
    fewer = ask(with_rules(asked.situation, new_skills_per_lesson_max=usual))
    blocks = plan_lesson(fewer.course, fewer.record, fewer.answer, plan.minutes).blocks
    return sum(block.minutes for block in blocks if block.part == "new")


def knows_little(asked: Asked, plan: LessonPlan) -> bool:
    """Return whether looks at all that was shown, each as short as it may be, leave review minutes free."""
    course, answer, tender = asked.course, asked.answer, tender_of(asked)
    longest = course.band[answer.band].whole("activity_minutes")
    shown = [
        skill for skill in course.skills
        if answer.standings[skill.id].state in {"secure", "building", "wobbling", "stale"}
        and not (skill.always_look or skill.kind == "habit" or answer.band in skill.optional_in)
        and skill.id not in resting_skills(course, asked.record, answer.on) | tender
        and course.unit[skill.unit].number <= course.unit[answer.unit].number
    ]  # fmt: skip
    return len(shown) * (1 if tender else min(3, longest)) < shares_of(asked, plan).review


@given(LESSONS)
def test_what_was_never_asked_is_looked_at_only_where_that_settles_something(lesson):
    asked, plan = lesson
    if not is_plain(asked):
        return
    answer, there = asked.answer, Judge(asked).presumed()
    states = {skill: one.state for skill, one in answer.standings.items()}
    assert plan.is_first == (answer.last_lesson is None and set(states.values()) <= {"untried", "set-aside"})
    for block in plan.blocks:
        for skill in block.skills if block.part in ("new", "review") and not block.begins else ():
            if states[skill] == "untried":
                worth = {answer.one_thing, *answer.look_first, *Judge(asked).beneath(), *there}
                worth |= {*answer.deciding, *answer.rest} if knows_little(asked, plan) else set()
                assert skill in worth
                assert block.remedy is None, "it is not taught"
                assert block.part == "review" or skill in Judge(asked).urgent(), "it could wait"
        for skill in block.skills if block.part == "home" else ():
            is_known = states[skill] != "untried" or asked.course.skill[skill].always_look
            assert is_known or skill in plan.begun, "nobody has been taught it"


@given(LESSONS)
def test_nothing_is_both_in_the_lesson_and_among_what_waits(lesson):
    _, plan = lesson
    waits = [one.skill for one in plan.not_begun]
    there = {skill for block in plan.blocks if block.part in ("new", "review") for skill in block.skills}
    assert len(waits) == len(set(waits))
    assert not there & set(waits)


def is_footing(asked: Asked, skill: str) -> bool:
    """Return whether a skill is met, or asked of nobody at this age."""
    optional = asked.answer.band in asked.course.skill[skill].optional_in
    return optional or asked.answer.standings[skill].state in ("secure", "set-aside")


def work_of(asked: Asked, plan: LessonPlan) -> LessonWork:
    """Return what the blocks of a plan were filled from."""
    return LessonWork(
        asked.course, asked.record, asked.answer, plan.minutes,
        is_first_back=plan.is_first_back, may_begin=season_ahead(asked.record, asked.answer) is None,
    )  # fmt: skip


def shown_in(plan: LessonPlan, part: str) -> list[str]:
    """Return the skills of the blocks of a part."""
    return [skill for block in plan.blocks if block.part == part for skill in block.skills]


@given(LESSONS)
def test_no_other_filling_does_better(lesson):
    asked, plan = lesson
    if not is_plain(asked):
        return
    work = work_of(asked, plan)
    assert work.presumed == Judge(asked).presumed()
    assert work.looks == plan.looks
    judge = Judge(asked, plan.looks, work.pressing)
    taught, learn = {*work.to_learn()}, work.to_learn(shown_in(plan, "new"))
    new = minutes_of(plan, "new", learn)
    limit = max(work.band.whole("new_skills_per_lesson"), len(plan.begun))
    lengths = [
        judge.learning_lengths(skill, work.longest) if skill in taught
        else judge.looking_lengths(skill, work.longest) for skill in learn
    ]  # fmt: skip
    begins = [judge.state(skill) == "untried" and skill in taught for skill in learn]
    able = (
        filling
        for filling in all_fillings(lengths, work.shares.new)
        if sum(is_new for is_new, n in zip(begins, filling, strict=True) if n) <= limit
    )
    assert judge.learning(learn, new) == max(judge.learning(learn, filling) for filling in able)
    look = work.to_review([skill for skill, length in zip(learn, new, strict=True) if length])
    seen = minutes_of(plan, "review", look)
    lengths = [judge.looking_lengths(skill, work.longest) for skill in look]
    best = max(judge.looking(look, filling) for filling in all_fillings(lengths, min(work.shares.review, 9)))
    if work.shares.review <= 9:
        assert judge.looking(look, seen) == best
    else:
        assert judge.looking(look, seen) >= best


def began_late(one: Situation, lessons: int) -> Situation:
    """Return a situation in which the unit before the last has begun that day, with few lessons noted."""
    start = {"unit": [*one.graph["unit"]][-2:][0], "on": one.on}
    known = [block for block in one.student.get("lesson", ()) if block["on"] <= one.on]
    return one.with_student(unit_start=[start], lesson=known[-lessons:], hold=[], settled=[])


@st.composite
def short_lessons(draw: st.DrawFn) -> tuple[Asked, LessonPlan]:
    """Draw a short lesson, often of a student who began further on, with one lesson noted at most."""
    one = draw(situations()).with_student(rhythm={"day": "mon", "weeks": 1})
    asked = ask(draw(st.sampled_from([one, began_late(one, 1)])))
    minutes = draw(st.sampled_from([8, 12, 16, 20]))
    return asked, plan_lesson(asked.course, asked.record, asked.answer, minutes)


@given(LESSONS | short_lessons())
@settings(max_examples=200)
def test_nothing_that_can_wait_has_minutes_while_the_move_waits_for_what_could_have_them(lesson):
    """What a plan leaves for later, so that the move gets later, has no room beside what comes before it."""
    asked, plan = lesson
    if not is_plain(asked) or plan.later is None:
        return
    work, answer = work_of(asked, plan), asked.answer
    judge = Judge(asked, plan.looks, work.pressing)
    new, review = shown_in(plan, "new"), shown_in(plan, "review")
    taught, looks, longest = {*work.to_learn()}, {*work.to_review(new)}, work.longest

    def least(skill: str) -> int:
        is_taught = skill in taught and skill not in review
        lengths = judge.learning_lengths if is_taught else judge.looking_lengths
        return lengths(skill, longest)[1]

    first = {answer.one_thing, *judge.urgent()}
    kept = [skill for skill in {*new} if skill in first]
    seen = [skill for skill in {*review} if skill in {*first, *answer.look_first, *judge.beneath()}]
    begun = sum(judge.state(skill) == "untried" and skill in taught for skill in kept)
    may_begin = begun < work.band.whole("new_skills_per_lesson")
    for skill in plan.later.skills:
        if skill in taught and (may_begin or judge.state(skill) != "untried"):
            assert work.shares.new - sum(map(least, kept)) < least(skill), skill
        if skill in looks:
            look = judge.looking_lengths(skill, longest)[1]
            assert work.shares.review - sum(map(least, seen)) < look, skill
            assert skill in taught or work.shares.new - sum(map(least, kept)) < look, skill


def minutes_of(plan: LessonPlan, part: str, skills: Sequence[str]) -> tuple[int, ...]:
    """Return the minutes a part of the plan gives to each skill; it gives none to others."""
    got: Counter[str] = Counter()
    for block in plan.blocks:
        if block.part == part:
            got[block.skills[0]] += block.minutes
    assert set(got) <= set(skills)
    return tuple(got[skill] for skill in skills)


class Judge:
    """Weighs a filling as the plan's docstring says, from the graph as it is written."""

    def __init__(
        self, asked: Asked, looks: Sequence[str] = (), pressing: AbstractSet[str] | None = None
    ) -> None:
        self.asked = asked
        self.looks = looks
        self.pressing = pressing
        self.answer = asked.answer
        self.graph: Mapping[str, Any] = asked.situation.graph["skill"]

    def state(self, skill: str) -> str:
        return self.answer.standings[skill].state

    def decides(self, skill: str) -> bool:
        groups = [member for group in self.answer.groups if not group.met for member in group.of]
        blocking = [one.skill for one in self.answer.blockers] + groups
        return skill in blocking and not is_footing(self.asked, skill)

    def below(self, skill: str) -> set[str]:
        found, waiting = set(), [skill]
        while waiting:
            for other in self.graph[waiting.pop()]["stands_on"]:
                if other not in found:
                    found.add(other)
                    waiting.append(other)
        return found

    def weak_under(self, skill: str) -> list[str]:
        """Return what is a gap or wobbles under a skill."""
        weak = (*GAPS, "wobbling")
        return [s for s in self.below(skill) if self.state(s) in weak and not is_footing(self.asked, s)]

    def lacks(self, skill: str) -> set[str]:
        """Return what has to be there before a skill is asked for the first time, and is not."""
        there, one = self.presumed(), self.graph[skill]
        missing = {s for s in self.graph if s not in there and not is_footing(self.asked, s)}
        found = {*self.weak_under(skill)}
        if skill not in there or self.state(skill) == "untried":
            found |= missing.intersection(one["stands_on"])
            for group in one.get("stands_on_some", ()):
                if len(set(group["of"]) - missing) < group["at_least"]:
                    found |= missing.intersection(group["of"])
        return found

    def beneath(self) -> set[str]:
        """Return what lies lowest under the look set and the one thing, where these were never asked for."""
        named = {*self.answer.look_first, *filter(None, [self.answer.one_thing])}
        return self.lowest_under(named) - named

    def lowest_under(self, skills: Iterable[str]) -> set[str]:
        """Return what lies lowest of all that is not there under those of some skills never asked for."""
        waiting = [s for skill in skills if self.state(skill) == "untried" for s in self.lacks(skill)]
        found: set[str] = set()
        while waiting:
            one = waiting.pop()
            if one not in found:
                found.add(one)
                waiting.extend(self.lacks(one))
        return {one for one in found if not self.lacks(one)}

    def urgent(self) -> set[str]:
        """Return what makes a move later, or may where that is not known, and what lies lowest under it."""
        every = self.pressing if self.pressing is not None else self.pressed()
        return {*every, *self.lowest_under(every)}

    def presumed(self) -> set[str]:
        """Return what is probably there of a student who was placed: under something shown, or by all looks.

        What all looks make likely is a matter of chances, held by ``tests/advice``, and taken from there.
        """
        student = self.asked.situation.student
        begun = [one for one in student["unit_start"] if one["on"] <= self.asked.situation.on]
        placed = [one for one in student.get("placing", []) if one["on"] <= self.asked.situation.on]
        first = min(begun, key=lambda one: one["on"])["unit"]
        if not placed and first == next(iter(self.asked.situation.graph["unit"])):
            return set()
        evidence = {skill: one.evidence[-1:] for skill, one in self.answer.standings.items()}
        shown = [
            skill
            for skill, latest in evidence.items()
            if (latest[0].counts if latest else self.answer.standings[skill].settled_on is not None)
        ]
        course, on = self.asked.course, self.answer.on
        band = course.band[self.answer.band]
        states = judge_states(course.plan, known_on(course, self.asked.record, on), band, on)
        likely = likely_before(course, self.asked.record, states, course.plan.unit_index[first])
        under = {other for skill in shown for other in self.below(skill)}
        return {
            other
            for other in under.union(course.plan.names(likely))
            if self.state(other) in ("untried", "building")
            and (not evidence[other] or evidence[other][0].counts)
            and not self.graph[other].get("must_be_seen", False)
        }

    def waits(self, skill: str) -> int:
        units = (self.answer.unit, self.answer.next_unit)
        return sum(
            table["unit"] in units
            and not is_footing(self.asked, other)
            and skill in {other, *self.below(other)}
            for other, table in self.graph.items()
        )

    def pressed(self) -> set[str]:
        """Return what decides, or may, and is not met: only such a thing can make a move later."""
        every = {*self.answer.deciding, *self.answer.rest}
        every |= {member for group in self.answer.groups for member in group.of}
        return {skill for skill in every if not is_footing(self.asked, skill)}

    def before(self) -> set[str]:
        """Return what is unfinished from earlier units (rule R12)."""
        return {one.skill for one in self.answer.brought_along}

    def fades(self, skill: str) -> bool:
        until, lesson = self.answer.standings[skill].fresh_until, self.answer.next_lesson or self.answer.on
        return self.state(skill) == "secure" and until is not None and until <= lesson + 14

    def learning_lengths(self, skill: str, longest: int) -> list[int]:
        usual = self.graph[skill]["minutes"]
        most = min(usual, longest) if tender_of(self.asked) else usual
        return [0, *range(min((usual + 1) // 2, longest), most + 1)]

    def looking_lengths(self, skill: str, longest: int) -> list[int]:
        return [0, *range(min(3, longest), min(longest, max(3, self.graph[skill]["minutes"])) + 1)]

    def learning(self, skills: Sequence[str], filling: Sequence[int]) -> tuple[object, ...]:
        on = [skill for skill, length in zip(skills, filling, strict=True) if length]
        return (
            self.answer.one_thing in on,
            sum(skill in self.urgent() for skill in on),
            sum(map(self.decides, on)),
            sum(map(self.waits, on)),
            sum(filling),
            -len(on),
            tuple(filling),
        )

    def looking(self, skills: Sequence[str], filling: Sequence[int]) -> tuple[object, ...]:
        on = [skill for skill, length in zip(skills, filling, strict=True) if length]
        return (
            sum(skill in self.beneath() for skill in on),
            self.answer.one_thing in on,
            sum(skill in self.answer.look_first for skill in on),
            sum(skill in self.urgent() for skill in on),
            sum(skill in self.looks for skill in on),
            sum(map(self.decides, on)),
            sum(not self.decides(skill) and skill in self.before() for skill in on),
            sum(self.waits(skill) for skill in on if self.state(skill) != "secure"),
            sum(map(self.fades, on)),
            sum(filling),
            -len(on),
            tuple(filling),
        )


@given(LESSONS)
def test_what_may_be_worked_on_is_what_the_plan_says(lesson):
    asked, plan = lesson
    if not is_plain(asked):
        return
    judge = Judge(asked)
    here = asked.course.unit[asked.answer.unit].number
    for block in plan.blocks:
        if block.part not in ("review", "new"):
            continue
        (skill,) = block.skills
        one, state = asked.course.skill[skill], judge.state(skill)
        assert asked.course.unit[one.unit].number <= here + asked.answer.is_ready
        kept = any(skill in group.of for group in asked.answer.groups if not group.met)
        named = skill in (asked.answer.one_thing, *asked.answer.look_first)  # as of the lesson
        assert asked.answer.band not in one.optional_in or kept or named  # a group keeps all its members (R7)
        shaky = judge.weak_under(skill)
        is_taught = block.part == "new" and state in ("untried", "building", *GAPS) and not shaky
        if not is_taught and skill not in (asked.answer.one_thing, *judge.beneath()):
            may = skill in judge.before() or skill in judge.urgent()
            assert state in ("secure", "untried", *OPEN) or (may and not shaky)
            assert block.part == "review" or skill in judge.urgent()


NAMED_AS_OF_THE_LESSON = small(
    {
        "unit-1": {"stop": {"asks_pain": True, "always_look": True}, "more": {"optional_in": ["from-6"]}},
        "unit-2": {"both": {"stands_on_some": [{"at_least": 2, "of": ["more", "stop"]}]}},
    },
    {
        "unit_start": [{"unit": "unit-1", "on": date(2024, 1, 7)}],
        "lesson": [{"on": date(2024, 1, day), "alone": ["stop", "more", "both"]} for day in (8, 15)],
    },
    date(2024, 1, 15),
    {5: {}, 6: {"break_weeks": 1}},
    {"event": [{"name": "Holidays", "from": date(2024, 1, 16), "to": date(2024, 2, 15)}]},
)
"""A group that is met today by an optional skill, which is due for a look in the first lesson back."""


def lesson_of(situation: Situation, minutes: int) -> tuple[Asked, LessonPlan]:
    asked = ask(situation)
    return asked, plan_lesson(asked.course, asked.record, asked.answer, minutes)


@example(lesson_of(NAMED_AS_OF_THE_LESSON, 12))
@given(LESSONS)
def test_the_one_thing_is_in_the_plan_unless_the_minutes_lack(lesson):
    asked, plan = lesson
    skill = asked.answer.one_thing
    if not is_plain(asked) or skill is None or skill in tender_of(asked):
        return
    shares = shares_of(asked, plan)
    longest = asked.course.band[asked.answer.band].whole("activity_minutes")
    judge, least, halves = Judge(asked), min(3, longest), 1 + bool(tender_of(asked))
    new, review = -(-shares.new // halves), -(-shares.review // halves)
    begun = 0 if judge.state(skill) == "untried" and judge.lacks(skill) else new  # not without footing
    if max(begun, review - len(judge.beneath()) * least) >= least:
        assert any(skill in block.skills for block in plan.blocks if block.part in ("new", "review"))


@given(lessons(), st.integers(0, 40), st.sampled_from([1, 10, 25]))
def test_nothing_is_begun_in_the_last_two_lessons_before_a_big_day_or_a_long_break(lesson, days, length):
    asked, plain = lesson
    if asked.situation.studio or asked.record.rhythm or asked.answer.verdict == "paused":
        return  # only where lessons simply come every week
    first = plain.on + days
    event = Event("Sharing afternoon", first, first + length - 1)
    plan = plan_lesson(asked.course, asked.record, with_events(asked.answer, event), plain.minutes)
    weekly = range(plain.on, first, 7)
    assert (plan.season is not None) == (len(weekly) <= 2 and length in (1, 25))
    if plan.season is not None:
        assert plan.begun == ()
        assert plan.season.lessons == len(weekly)


@given(situations(most_units=3, most_skills=9))
def test_under_a_hold_nothing_is_played_and_no_task_is_given(situation):
    hold = {"opened": situation.on, "words": "sore", "part": "hand"}
    asked = ask(situation.with_student(hold=[hold]))
    plan = plan_lesson(asked.course, asked.record, asked.answer)
    unplayed = {"opening", "review", "listening", "page", "words", "planning"}
    assert {block.part for block in plan.blocks} <= unplayed
    assert all(block.quiet and not block.begins and block.remedy is None for block in plan.blocks)
    assert sum(block.minutes for block in plan.blocks) == plan.minutes
    assert "C1" in plan.cautions
