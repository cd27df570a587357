"""Whoever has an open hold is known as such in every course: in lists, in letters, on the hand-over page.

And while somebody comes back from one, every page has the words of the adult who ended it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from told import text_of

import readiness
from readiness.advice.after_break import after_break, closed_lately, gently, tender_skills
from readiness.advice.handover import hand_over
from readiness.advice.lesson import plan_lesson
from readiness.advice.offer import Answers, lesson_offer
from readiness.advice.placing_round import placing_round
from readiness.advice.sheet import check_sheet
from readiness.advice.skill_traits import played_under_hold, resting_skills
from readiness.advice.way import way_to
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.consents import as_if_agreed
from readiness.record.load import seen_from
from readiness.record.model import Hold, Lesson, Showing, Told
from readiness.record.noting import NewLesson
from readiness.record.rhythm import NO_CALENDAR
from readiness.school.evening import evening
from readiness.school.questions import ask
from readiness.school.students import Judged, look
from readiness.studio.find import find_studio
from readiness.studio.load import load_studio
from readiness.terms import Verdict
from readiness.words.ahead import back_sections, way_sections, when_sections
from readiness.words.cautions import hold_notice, hold_section, lesson_notice, may_play_but
from readiness.words.entries import decided_words
from readiness.words.layout import lay_out
from readiness.words.lesson import plan_sections, sheet_sections
from readiness.words.letters import READERS, letter
from readiness.words.phrases import Phrases
from readiness.words.school import reply_words
from readiness.words.share import handover_sections
from readiness.words.why import why_sections

DAY = day_number("2025-12-05")
TWO = Path(readiness.__file__).parents[1] / "demo_students" / "two-courses"


@cache
def studio(course):
    return load_studio(find_studio(Path(course) if course else None, TWO, TWO, {}))


HOLDS = st.lists(
    st.builds(
        lambda part, opened, lasts: Hold(
            opened, "sore", part, None if lasts is None else opened + lasts, "the mother", "well again"
        ),
        st.sampled_from(["hand", "voice", "all"]),
        st.integers(DAY - 80, DAY + 3),
        st.sampled_from([None, 0, 3, 30]),
    ),
    max_size=3,
)


@given(holds=HOLDS, course=st.sampled_from(["", "voice"]), student=st.sampled_from(["dario", "marit"]))
@settings(max_examples=60)
def test_an_open_hold_is_known_in_every_course(holds, course, student):
    taught = studio(course).course
    record = seen_from(replace(studio(course).records[student].entire, holds=tuple(holds)), taught)
    answer = judge(taught, record, DAY)
    said = Phrases(answer, taught, record)
    is_open = [hold for hold in holds if hold.is_open(DAY)]
    reply = ask(taught, [Judged(record, answer)], DAY, "paused")
    assert bool(reply.rows) == bool(is_open)
    assert ("Nobody is paused" in text_of(reply_words, [reply], taught)) == (not is_open)
    page, sharing = hand_over(taught, record, answer), as_if_agreed(record, "substitute", DAY)
    page = lay_out(handover_sections(page, said, sharing), 80, full=False)
    sings = course == "voice" and {hold.part for hold in is_open} == {"voice"}
    stop = "NO SINGING" if sings else "NO PLAYING"
    assert (stop in page or "Another course is paused" in page) == bool(is_open)
    why = " ".join(text_of(why_sections, said).split())
    assert ("Stop singing now." in why) == sings
    assert not (sings and re.search("Stop playing|NO PLAYING|play through", f"{why} {page}"))
    rests = may_play_but(hold.part for hold in record.resting(DAY))
    assert bool(hold_notice(record, DAY) or rests) == bool(is_open)
    assert bool(hold_section(record, DAY).paragraphs) == bool(is_open)
    texts = {reader: " ".join(letter(reader, answer, taught, record).sentences) for reader in READERS}
    for reader, words in (("student", "No "), ("family", "Do not "), ("school", "No ")):
        rests = "Another course has been paused", " can rest. We use"
        told = any(one in texts[reader] for one in (words, *rests))
        assert told == bool(is_open), reader


@given(
    course=st.sampled_from(["", "voice"]), student=st.sampled_from(["dario", "marit"]),
    shown=st.lists(st.tuples(st.integers(0, 2), st.integers(0, 200), st.integers(0, 4)), max_size=30),
)
@settings(max_examples=60)
def test_what_rests_for_another_course_is_asked_for_nowhere(course, student, shown):
    taught, part = studio(course).course, "hand" if course else "voice"
    whole = studio(course).records[student].entire
    unit = judge(taught, studio(course).records[student], DAY).next_unit
    able = [one.id for one in taught.skills if part in one.uses or one.unit == unit]
    noted = [
        Lesson(DAY - 7 * week - 2, tuple(Showing(able[at % len(able)], how, 900 + week)
               for when, at, how in shown if when == week), line=900 + week)
        for week in range(3)
    ]  # fmt: skip
    hold = Hold(DAY - 1, "sore", part, line=950)
    record = seen_from(replace(whole, holds=(hold,), lessons=(*whole.lessons, *noted)), taught)
    answer, rests = judge(taught, record, DAY), resting_skills(taught, record, DAY)
    assert rests
    names = {taught.skill[skill].name for skill in rests}
    p, one = Phrases(answer, taught, record), Judged(record, answer)
    asked = [line for line in text_of(why_sections, p, width=9000).splitlines() if line[2:3].isdigit()]
    asked += text_of(sheet_sections, check_sheet(taught, record, answer), p, width=9000).partition(
        "To look at first"
    )[2].splitlines()[:1]
    page = hand_over(taught, record, answer)
    assert rests.isdisjoint((*page.live, *(skill for skill, *_ in page.tries)))
    for line in asked:
        assert not any(name in line for name in names), line
    assert rests.isdisjoint(skill for row in look(taught, [one]) for skill in row.items)
    assert rests.isdisjoint(row.answer.one_thing for row in evening(taught, [one], DAY, DAY + 30).comes)
    waits = not rests.isdisjoint(blocker.skill for blocker in answer.blockers)
    if waits and answer.move_on is not None and not answer.stays:
        assert "No date until the pause in the other course is over." in text_of(when_sections, (), p)
        assert all(row.move_on is None for row in look(taught, [one]))


@given(holds=HOLDS, course=st.sampled_from(["", "voice"]), student=st.sampled_from(["dario", "marit"]))
@settings(max_examples=60)
def test_what_the_adult_said_who_ended_a_hold_is_on_every_page(holds, course, student):
    taught = studio(course).course
    record = seen_from(replace(studio(course).records[student].entire, holds=tuple(holds)), taught)
    answer = judge(taught, record, DAY)
    lately = closed_lately(taught, record, DAY)
    assert lately or not answer.after_hold
    is_due = bool(lately) and answer.verdict != Verdict.PAUSED
    said, sharing = Phrases(answer, taught, record), as_if_agreed(record, "substitute", DAY)
    page = hand_over(taught, record, answer)
    pages = {
        "why": why_sections(Phrases(answer, taught, record)),
        "plan": plan_sections(plan_lesson(taught, record, answer), said),
        "sheet": sheet_sections(check_sheet(taught, record, answer), said),
        "back": back_sections((after_break(taught, record, answer), None), said),
        "handover": handover_sections(page, said, sharing),
        "when": when_sections((), said),
        "way": way_sections(way_to(taught, record, DAY, taught.units[1].id), said),
    }
    told = {name: lay_out(sections, 400, full=False) for name, sections in pages.items()}
    told["decide"] = text_of(decided_words, Phrases(answer, taught, record), "stay", None, width=400)
    for name, text in told.items():
        assert text.count('come first: "well again"') == is_due, name
    assert "the mother" not in told["handover"]
    assert ("readiness sheet" in told["back"]) <= (not is_due)
    assert (gently(8, tender_skills(taught, record, DAY)) < 8) <= bool(lately)
    family = " ".join(letter("family", answer, taught, record).sentences)
    assert ('I was told "well again", and that comes first at home, too.' in family) == is_due
    is_told_well = "othing is wrong" in f"{told['why']} {family}"
    assert not is_told_well or not (lately or record.open_holds(DAY))
    assert "well again" not in " ".join(letter("school", answer, taught, record).sentences)


@given(
    holds=HOLDS, student=st.sampled_from(["dario", "marit"]), since=st.integers(0, 40),
    keys=st.text("12345-*sA\n", max_size=8), entered=st.booleans(),
)  # fmt: skip
def test_a_lesson_asks_for_nothing_that_a_pause_does_not_allow(holds, student, since, keys, entered):
    """Also where it was half entered before the pause, or goes on while one is noted."""
    taught, day = studio("").course, DAY - since
    before = replace(studio("").records[student], holds=())
    record = replace(before, holds=tuple(holds))
    offer = lesson_offer(taught, before if entered else record, day, NO_CALENDAR)
    round_ = Answers(taught, offer.lines, NewLesson(day))
    for key in keys:
        round_.press(key)
    answered = {one: round_.given(one) for one in round_.lines if round_.given(one) is not None}
    round_.rest(record, day)
    open_ = [skill for one in round_.lines if round_.given(one) is None for skill in one.skills]
    assert played_under_hold(taught, record, day, open_) == ()
    assert answered.items() <= {one: round_.given(one) for one in round_.lines}.items()
    notice = lesson_notice(record, day, DAY)
    assert bool(notice) == bool(hold_notice(record, DAY) or hold_notice(record, day))
    assert ("ask for nothing now" in notice) == (bool(notice) and not hold_notice(record, day))
    assert placing_round(taught, record, day, today=DAY).next is None or not notice


def test_who_was_told_since_then_is_on_the_list_and_nobody_who_was_told_before():
    taught = studio("voice").course
    told = (Told("the father", "a new book", DAY - 30), Told("the mother", "no singing", DAY - 8))
    record = replace(studio("voice").records["marit"], told=told)
    reply = ask(taught, [Judged(record, judge(taught, record, DAY))], DAY, "paused")
    assert reply.rows[0].told == ("the mother",)
    assert "Told since then: the mother." in " ".join(text_of(reply_words, [reply], taught).split())
    assert "no singing" not in text_of(reply_words, [reply], taught)
