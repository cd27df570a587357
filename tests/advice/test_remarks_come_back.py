"""What was remarked about a skill stands beside it next time, and what is not liked is not proposed."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import get_args

import pytest
from drawn import questions
from hypothesis import given, settings
from hypothesis import strategies as st
from told import page_of

from readiness.advice.as_json import handover_to_dict
from readiness.advice.ground import Ground, comfortable, favourites, sure
from readiness.advice.handover import hand_over
from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.days import day_number
from readiness.judging import answer_to_dict, judge
from readiness.record.consents import as_if_agreed, may_see
from readiness.record.load import load_record
from readiness.record.model import AGAIN, Lesson, Record
from readiness.record.noting import NewLesson, lesson_text
from readiness.record.schema import Again
from readiness.words.layout import lay_out
from readiness.words.lesson import plan_sections, sheet_sections
from readiness.words.phrases import Phrases
from readiness.words.share import handover_sections

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
    about, page = (answer, course, temwa), hand_over(course, temwa, answer)
    say = Phrases(*about)
    texts = (
        page_of(sheet_sections, check_sheet(course, temwa, answer), *about, width=400, full=True),
        page_of(plan_sections, plan_lesson(course, temwa, answer), *about, width=400, full=True),
        lay_out(handover_sections(page, say, as_if_agreed(temwa, "substitute", DAY)), 400, full=False),
    )
    for text in texts:
        assert text.count(NEW) == 1
        assert text.count(OLD) == 1  # of the other skill; the older remark on the first has given way
        assert "not yet said" not in text


def test_where_pain_is_asked_after_all_of_the_last_lesson_is_repeated(course, temwa):
    """Whatever the words say, since none are read; of an earlier lesson nothing but what is asked for."""
    far = course.skills[-1].id
    hurt, book = "wrist hurt in the second turn", "new book"
    earlier = Lesson(DAY - 1, note="of another day", remarks={far: "of another day"})
    last = Lesson(DAY, note=book, remarks={far: hurt})
    record = replace(temwa, lessons=(last, *temwa.lessons, earlier))
    answer = judge(course, record, DAY)
    sheet = check_sheet(course, record, answer)
    assert far not in {skill for item in sheet.items for skill in item.skills}
    pain = [one.text for one in sheet.said if course.skill[one.skill].asks_pain]
    assert pain == [book, hurt]
    text = page_of(sheet_sections, sheet, answer, course, record, width=400)
    assert all(told in text for told in pain)
    say, sharing = Phrases(answer, course, record), as_if_agreed(record, "substitute", DAY)
    page = lay_out(handover_sections(hand_over(course, record, answer), say, sharing), 400, full=False)
    assert f'"{hurt}"' in page
    assert book not in page
    assert "of another day" not in page


def test_without_consent_no_remark_reaches_a_substitute(course, temwa):
    answer = judge(course, temwa, DAY)
    page, without = hand_over(course, temwa, answer), replace(temwa, consents={})
    said, sharing = Phrases(answer, course, without), may_see(without, "substitute", DAY)
    assert NEW not in lay_out(handover_sections(page, said, sharing), 400, full=False)
    assert handover_to_dict(page, answer, sharing)["remarks"] is None


def test_what_is_not_liked_is_not_proposed(course, records):
    record = records["bogdan"]
    answer = judge(course, record, DAY)
    first, second, *_ = favourites(course, answer)
    disliking = replace(record, lessons=(*record.lessons, Lesson(DAY, disliked=(first,))))
    assert favourites(course, answer, disliking.disliked(DAY))[0] == second
    assert disliking.disliked(DAY - 1) == frozenset()
    assert Ground(course, disliking, answer).disliked == {first}
    plan, sheet = plan_lesson(course, disliking, answer), check_sheet(course, disliking, answer)
    liked = [s for block in plan.blocks if block.part == "music" for s in block.skills]
    assert liked
    assert first not in liked
    assert first not in sheet.items[-1].skills
    assert second in sheet.items[-1].skills


CHOSEN = ("keep-warm", "music", "sure-success", "between", "favourite")
"""Why something is there that is one choice among others."""


@given(questions(most_units=3, most_skills=12), st.integers(1, 3))
@settings(max_examples=40)
def test_what_is_needed_is_asked_all_the_same_and_of_choices_another_is_made(asked, third):
    course, answer = asked.course, asked.answer
    disliked = tuple(one.id for at, one in enumerate(course.skills) if at % 3 + 1 >= third)
    day = answer.last_lesson or answer.on
    record = replace(asked.record, lessons=(*asked.record.lessons, Lesson(day, disliked=disliked)))
    assert judge(course, record, answer.on, answer.calendar) == answer
    plans = [plan_lesson(course, one, answer) for one in (asked.record, record)]
    sheets = [check_sheet(course, one, answer) for one in (asked.record, record)]
    if answer.verdict == "paused":
        may = [s for block in plans[1].blocks for s in block.skills]
        left = {one.id for one in comfortable_of(course, record, answer)} - {*may, *disliked}
        assert not ({*may} & {*disliked} and left)
        return
    needed, chosen = ([], []), ([], [])
    for at in (0, 1):
        for one in (*plans[at].blocks, *sheets[at].items):
            (chosen if one.why in CHOSEN else needed)[at].extend(one.skills)
    blockers = {one.skill for one in answer.blockers}
    assert {*needed[0]} & blockers == {*needed[1]} & blockers
    assert [one.skills for one in sheets[0].items if one.why not in CHOSEN] == [
        one.skills for one in sheets[1].items if one.why not in CHOSEN
    ]
    in_plan = {s for block in plans[1].blocks if block.why in CHOSEN for s in block.skills}
    assert not in_plan & {*disliked}
    easy = {one.id for one in sure(course, answer)} - {s for one in sheets[1].items for s in one.skills}
    assert not ({*chosen[1]} & {*disliked} and easy - {*disliked})


def comfortable_of(course, record, answer):
    """Return the skills that may be shown without playing."""
    return [course.skill[skill] for skill in comfortable(Ground(course, record, answer))]


def test_what_is_liked_again_is_proposed_again(course, records):
    record = records["bogdan"]
    answer = judge(course, record, DAY)
    first, *_ = favourites(course, answer)
    disliked = Lesson(DAY - 7, disliked=(first,))
    liked = Lesson(DAY, liked_again=(first,))
    both = replace(record, lessons=(liked, *record.lessons, disliked))  # as merged: not in order of days
    assert both.disliked(DAY - 1) == {first}
    assert both.disliked(DAY) == frozenset()
    assert check_sheet(course, both, answer).items[-1].skills == (first,)
    last = replace(both, lessons=(*both.lessons, Lesson(DAY, disliked=(first,))))
    assert last.disliked(DAY) == {first}


@given(st.lists(st.tuples(st.integers(1, 4), st.booleans())), st.integers(1, 4))
def test_the_last_word_on_a_liking_is_what_holds(said, day):
    """Against the plain fold over what was said up to a day."""
    lessons = [Lesson(on, **{"disliked" if no else "liked_again": ("a-song",)}) for on, no in said]
    record = Record("m", "M", 0, lessons=tuple(lessons))
    until = [no for on, no in sorted(said, key=lambda one: one[0]) if on <= day]
    assert record.disliked(day) == ({"a-song"} if until and until[-1] else set())


def test_how_it_was_tried_again_comes_back_and_decides_nothing(course, temwa):
    again = Lesson(DAY, tried_again={"rounded-hand-keys": "one-hand", "wrist-lift": "hand-away"})
    tried = replace(temwa, lessons=(*temwa.lessons, again))
    answer = judge(course, tried, DAY)
    without = replace(temwa, lessons=(*temwa.lessons, Lesson(DAY)))
    assert answer_to_dict(answer) == answer_to_dict(judge(course, without, DAY))
    about = answer, course, tried
    said, sharing = Phrases(*about), as_if_agreed(tried, "substitute", DAY)
    texts = (
        page_of(sheet_sections, check_sheet(course, tried, answer), *about, width=400, full=True),
        page_of(plan_sections, plan_lesson(course, tried, answer), *about, width=400, full=True),
        lay_out(handover_sections(hand_over(course, tried, answer), said, sharing), 400, full=False),
    )
    for text in texts:
        assert text.lower().count("tried again with one hand") == 1
        assert text.lower().count("tried again without the teacher's hand") == 1
        assert NEW in text


def test_the_words_of_the_file_are_those_that_are_said():
    assert get_args(Again) == tuple(AGAIN)


def test_a_way_of_trying_again_that_is_none_is_told_with_those_there_are(course, tmp_path):
    path = tmp_path / "mia.toml"
    head = 'format = 1\nname = "Mia"\nborn = "2019-05"\n\n[[lesson]]\non = 2025-12-02\n'
    path.write_text(f'{head}tried_again = {{ wrist-lift = "slowly", wrist-lif = "slower" }}\n')
    loaded = load_record(path, course)
    told = {one.id: one for one in loaded.problems}
    assert "must be one of slower, one-hand, shorter, on-the-lid, hand-away" in told["not-allowed"].message
    assert told["not-allowed"].place.line == 7
    path.write_text(f'{head}tried_again = {{ wrist-lif = "slower" }}\nliked_again = ["wrist-lit"]\n')
    unknown = [one for one in load_record(path, course).problems if one.id == "unknown-skill"]
    assert [(one.place.line, one.place.column) for one in unknown] == [(7, 17), (8, 16)]
    assert all("wrist-lift" in one.hint for one in unknown)


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
