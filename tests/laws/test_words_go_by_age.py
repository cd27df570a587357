"""Words go by the age of the person, whatever the age of the pacing is called.

Who is 18 or older is an adult: common practice, no source, as local law decides. The last age of a course
begins before.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from told import text_of

from readiness.advice.handover import hand_over
from readiness.advice.lesson import plan_lesson
from readiness.advice.sheet import check_sheet
from readiness.advice.timeline import birthday_changes, of_age_from
from readiness.days import birthday, day_number
from readiness.judging import judge
from readiness.record.consents import as_if_agreed, is_of_age, may_see
from readiness.record.entries import practice_on
from readiness.record.model import Hold
from readiness.words.ahead import birthday_sections
from readiness.words.entries import paused_words, task_list_words
from readiness.words.lesson import plan_sections, sheet_sections
from readiness.words.letters import READERS, letter
from readiness.words.phrases import Phrases
from readiness.words.share import handover_sections
from readiness.words.why import why_sections

DAYS = [day_number(day) for day in ("2025-12-02", "2026-03-14")]
SORE = Hold(day_number("2025-11-30"), "sore", "hand")
OF_ADULTS = re.compile(r"for an adult|age adult|\(adult|says? (when|that) the pause", re.IGNORECASE)
OF_MINORS = re.compile(
    r"Who collects|as a game|an adult ends|adult (sits|beside)|at age|grown-up"
    r"|(tell|ask|advise|for) the family",
    re.IGNORECASE,
)
OF_AN_AGE = re.compile(r"\bAt (two|three) |Rule \(age|at this age \d|at this age (one|two|three)")


def aged(record, years: int, day: int):
    """Return a record of somebody who was so old half a year ago."""
    then = date.fromordinal(day - 180)
    return replace(record, born=date(then.year - years, then.month, min(then.day, 28)).toordinal())


def texts_of(course, record, day: int):
    """Yield what is said of a student by name of the text, each on one line."""
    answer = judge(course, record, day)
    p, about = Phrases(answer, course, record), (course, record, answer)
    practice = practice_on(record.tasks, course.band[answer.band], day)
    yield "why", text_of(why_sections, p, full=False)
    yield "plan", text_of(plan_sections, plan_lesson(*about), p, full=False)
    yield "sheet", text_of(sheet_sections, check_sheet(*about), p, full=False)
    yield "task", text_of(task_list_words, p, practice)
    sharing = as_if_agreed(record, "substitute", day)
    yield "handover", text_of(handover_sections, hand_over(*about), p, sharing)
    for hold in record.open_holds(day):
        yield "pause", " ".join(paused_words(record, hold))
    for reader in READERS:
        yield reader, " ".join(letter(reader, answer, course, record).sentences)


@pytest.mark.parametrize("years", [3, 15, 17, 18])
def test_no_minor_is_called_an_adult_and_no_adult_spoken_of_as_a_child(course, records, years):
    own = {text for skill in course.skills for text in (*skill.remedies, skill.shown_when, skill.advice)}
    own |= {task.text for record in records.values() for task in record.tasks}
    for student, record in records.items():
        for day in DAYS:
            for holds in ((), (SORE,)):
                one = replace(aged(record, years, day), holds=holds, whole=None)
                never = OF_MINORS if is_of_age(one, day) else OF_ADULTS
                for name, text in texts_of(course, one, day):
                    said = " ".join(text.split())
                    for words in filter(None, own):
                        said = said.replace(" ".join(words.split()), "")
                    assert not never.search(said), (student, name, said)
                    if years < course.bands[0].from_age:
                        assert not OF_AN_AGE.search(said), (student, name, said)


@pytest.mark.parametrize("month_alone", [False, True])
def test_the_day_from_which_nobody_else_is_told_is_the_birthday_that_is_named(course, records, month_alone):
    for record in records.values():
        for day in DAYS:
            born = date.fromordinal(day)
            one = replace(record, born=date(born.year - 18, born.month, 28).toordinal() + 30)
            found = birthday_changes(course, one, day)
            turns = of_age_from(one, day, found)
            assert turns == birthday(one.born, 18) > day
            assert may_see(one, "family", turns - 1).sees
            assert bool(may_see(one, "family", turns).sees) == one.consents.get("share_family", False)
            assert of_age_from(one, turns, None) is None
            told = " ".join(text_of(birthday_sections, found, None, course, one, day).split())
            assert f"{one.name} becomes an adult" in told
            assert "changes anything" not in told
