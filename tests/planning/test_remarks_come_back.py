"""What was remarked about a skill stands beside it next time, and what is not liked is not proposed."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from readiness.days import day_number
from readiness.judging import judge
from readiness.planning.handover import hand_over
from readiness.planning.handover_json import handover_to_dict
from readiness.planning.known_things import favourite, favourites
from readiness.planning.next_lesson import plan_lesson
from readiness.planning.sheet import check_sheet
from readiness.record.model import Lesson
from readiness.record.noting import NewLesson, lesson_text
from readiness.record.sharing import as_if_agreed, may_see
from readiness.words.handover import tell_handover
from readiness.words.phrases import Phrases
from readiness.words.plan import tell_plan
from readiness.words.sheet import tell_sheet

DAY = day_number("2025-12-02")
OLD, NEW = "dislikes this one, cried", "rushed, second try slower"


@pytest.fixture
def temwa(records):
    """Return Temwa with two remarks on one skill; the later one is the one that comes back."""
    record = records["temwa"]
    first = Lesson(DAY - 7, remarks={"rounded-hand-keys": OLD})
    second = Lesson(DAY, remarks={"rounded-hand-keys": NEW, "wrist-lift": OLD})
    later = Lesson(DAY + 7, remarks={"wrist-lift": "not yet said"})
    return replace(record, lessons=(second, first, *record.lessons, later))


def test_the_latest_remark_stands_in_sheet_plan_and_hand_over(course, temwa):
    answer = judge(course, temwa, DAY)
    say = Phrases(answer, course, temwa)
    page = hand_over(course, temwa, answer)
    texts = (
        tell_sheet(check_sheet(course, temwa, answer), answer, course, temwa, 400),
        tell_plan(plan_lesson(course, temwa, answer), answer, course, temwa, 400),
        tell_handover(page, say, as_if_agreed(temwa, "substitute", DAY), 400),
    )
    for text in texts:
        assert text.count(NEW) == 1
        assert text.count(OLD) == 1  # of the other skill; the older remark on the first has given way
        assert "not yet said" not in text


def test_without_consent_no_remark_reaches_a_substitute(course, temwa):
    answer = judge(course, temwa, DAY)
    page, without = hand_over(course, temwa, answer), replace(temwa, consents={})
    told = tell_handover(page, Phrases(answer, course, without), may_see(without, "substitute", DAY), 400)
    assert NEW not in told
    assert handover_to_dict(page, answer, may_see(without, "substitute", DAY))["remarks"] is None


def test_what_is_not_liked_is_not_proposed(course, records):
    record = records["bogdan"]
    answer = judge(course, record, DAY)
    first, second, *_ = favourites(course, answer)
    disliking = replace(record, lessons=(*record.lessons, Lesson(DAY, disliked=(first,))))
    assert favourite(course, answer) == first
    assert favourite(course, answer, disliking.disliked(DAY)) == second
    assert disliking.disliked(DAY - 1) == frozenset()
    plan, sheet = plan_lesson(course, disliking, answer), check_sheet(course, disliking, answer)
    liked = [s for block in plan.blocks if block.part == "music" for s in block.skills]
    assert liked
    assert first not in liked
    assert first not in sheet.items[-1].skills
    assert second in sheet.items[-1].skills


def test_it_is_a_field_of_the_lesson():
    assert 'disliked = ["c-piece-separate"]' in lesson_text(NewLesson(DAY, disliked=("c-piece-separate",)))


@pytest.mark.parametrize("student", ["bogdan", "chikondi", "noemi", "temwa"])
@pytest.mark.parametrize("minutes", [30, 40, 60])
def test_no_piece_comes_twice_while_there_is_another(course, records, student, minutes):
    record = records[student]
    answer = judge(course, record, DAY)
    plan = plan_lesson(course, record, answer, minutes)
    pieces = Counter(block.skills for block in plan.blocks if block.part == "music")
    others = {(piece,) for piece in favourites(course, answer)} | {()}
    if others - set(pieces):
        assert all(count == 1 for count in pieces.values())
