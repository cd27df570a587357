"""The planned lessons of the demo students, looked over by hand."""

from __future__ import annotations

from itertools import pairwise

from readiness.days import iso


def minutes(plan, part):
    return sum(block.minutes for block in plan.blocks if block.part == part)


def skills(plan, part):
    return [skill for block in plan.blocks if block.part == part for skill in block.skills]


def test_temwa_works_on_the_one_thing_with_both_of_its_activities(plan_of):
    plan = plan_of("temwa", "2025-12-02")
    assert iso(plan.on) == "2025-12-09"
    one_thing = [block for block in plan.blocks if block.why == "one-thing"]
    assert [(b.skills, b.remedy, b.minutes) for b in one_thing] == [
        (("rounded-hand-keys",), 0, 3),
        (("rounded-hand-keys",), 1, 3),
    ]
    assert {"wrist-lift", "sings-up-down"} <= set(skills(plan, "review"))
    assert skills(plan, "home") == ["rounded-hand-keys"]
    assert plan.review == plan.review_wanted == 18
    assert 8 <= len(plan.blocks) <= 10  # "about 8 blocks": common practice, no source


def test_parts_of_one_thing_are_not_neighbours(plan_of):
    blocks = plan_of("temwa", "2025-12-02").blocks
    assert not any(one.part == two.part == "new" for one, two in pairwise(blocks))


def test_chikondi_works_below_what_is_stuck_and_begins_nothing_above_it(plan_of):
    plan = plan_of("chikondi", "2025-12-02")
    assert skills(plan, "new") == ["alternate-arms-steady"]
    assert plan.begun == ()
    lacking = {one.skill: one.by for one in plan.not_begun if one.why == "footing"}
    assert lacking == {"hands-alternate-beats": "hands-alternate-fours"}
    assert minutes(plan, "music") == 4 + 3  # what is left of the new minutes makes music


def test_the_first_lesson_after_the_break_is_all_review_and_looks_first(plan_of):
    plan = plan_of("noemi", "2025-12-02")
    assert plan.is_first_back
    assert plan.review == plan.minutes == 40
    assert minutes(plan, "new") == 0
    assert {"c-piece-separate", "counts-in", "eighth-pairs", "quarter-rest"} <= set(skills(plan, "review"))


def test_a_ready_student_begins_the_next_unit_within_the_limit(plan_of, course):
    plan = plan_of("bogdan", "2025-12-05")
    assert len(plan.begun) == course.band["adult"].whole("new_skills_per_lesson") == 3
    assert {course.skill[skill].unit for skill in plan.begun} == {"more-positions"}
    assert {"reads-bass-line", "interval-ear"} <= set(skills(plan, "new"))
    assert minutes(plan, "new") == 20


def test_a_placing_lesson_looks_and_begins_nothing(plan_of):
    plan = plan_of("rafiq", "2025-12-04")
    assert plan.begun == ()
    assert {block.why for block in plan.blocks if block.part == "review"} == {"placing"}
    assert sum(block.minutes for block in plan.blocks) == 40


def test_under_a_hold_nothing_is_played_and_nothing_is_given_for_home(plan_of):
    plan = plan_of("linnea", "2025-12-04")
    assert plan.is_paused
    assert sum(block.minutes for block in plan.blocks) == 45
    assert skills(plan, "review") == ["major-minor-ear", "interval-ear", "metre-signs"]
    assert minutes(plan, "home") == minutes(plan, "music") == 0
    assert plan.cautions[0] == "C1"
