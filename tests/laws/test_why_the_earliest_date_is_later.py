"""What is said to keep a move back is what keeps it back: without it the move could come that day.

And no day of a move is said of a student of whom nothing was seen: by the rules everything would come that
soon at first sight (section 4), which nobody knows.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from drawn import situations
from hypothesis import assume, given, settings
from told import page_of, text_of

from readiness.course.load import build_course
from readiness.course.model import bits
from readiness.days import day_number
from readiness.judging import judge, what_if
from readiness.judging.engine import with_numbers
from readiness.judging.history import known_on
from readiness.judging.lookahead import earliest_date, pressing
from readiness.judging.states import decided_on
from readiness.record.model import Hold
from readiness.school.students import Judged, look
from readiness.testing import Situation, calendar_of, record_of
from readiness.words.ahead import when_sections
from readiness.words.changes import compare_sections
from readiness.words.layout import lay_out
from readiness.words.letters import READERS, letter
from readiness.words.phrases import Phrases
from readiness.words.reasons import skill_sections
from readiness.words.why import tell_answer

_SEEN = ("lesson", "settled", "set_aside", "decision", "correction", "placing")
"""What of a student's file says that something was seen, or need not be."""


@given(situations())
@settings(max_examples=150)
def test_without_the_break_the_move_could_come_on_the_first_day_that_is_named(situation: Situation):
    course = build_course(situation.graph, situation.pacing).on(situation.on.toordinal())
    record = replace(record_of(situation, course), holds=())
    known = known_on(course, record, situation.on.toordinal(), calendar_of(situation))
    assume(known.unit is not None)
    found = earliest_date(course, known)
    never_away = earliest_date(with_numbers(course, {"break_weeks": 1000}), known)
    assert all(one.because in ("first-lesson-back", "on-a-break") for one in found.kept_back)
    assert never_away.kept_back == ()
    assert never_away.day == min([one.on for one in found.kept_back] + [found.day or never_away.day])


@given(situations())
@settings(max_examples=150)
def test_what_the_day_of_a_move_hangs_on_is_each_thing_without_which_it_is_later(situation: Situation):
    """One after the other is left out of the next lesson, also where nothing at all has to be shown in it."""
    course = build_course(situation.graph, situation.pacing).on(situation.on.toordinal())
    known = known_on(course, record_of(situation, course), situation.on.toordinal(), calendar_of(situation))
    assume(known.unit is not None and not any(hold.is_open(known.day) for hold in known.holds))
    move = earliest_date(course, known).move
    assume(move is not None)
    deciding, states = decided_on(course, known, known.next_lesson or known.day)
    asked = (deciding.skills | deciding.rest | deciding.group_members) & ~states.met
    days = {i: earliest_date(course, known, asked & ~(1 << i)).move for i in bits(asked)}
    assert set(bits(pressing(course, known, move))) == {i for i in days if (days[i] or move + 1) > move}


@given(situations(most_units=3, most_skills=12))
def test_no_day_of_a_move_is_said_before_anything_was_seen(situation: Situation):
    unseen = {key: kept for key, kept in situation.student.items() if key not in _SEEN}
    situation = replace(situation, student=unseen)
    course, day = build_course(situation.graph, situation.pacing), situation.on.toordinal()
    record = record_of(situation, course)
    answer = judge(course, record, day, calendar_of(situation))
    assume(answer.unit is not None and not answer.is_ready)
    assert answer.is_unseen or {*answer.deciding, *answer.rest} <= {
        skill.id for skill in course.skills if skill.always_look
    }
    assume(answer.is_unseen)
    told = Phrases(answer, course, record)
    texts = [
        tell_answer(answer, course, record, full=True),
        lay_out(when_sections((), told), 80),
        *(" ".join(letter(reader, answer, course, record).lines) for reader in READERS),
        *(
            text_of(skill_sections, Phrases(answer, course, record), skill, full=True)
            for skill in answer.deciding
        ),
    ]
    of_a_move = ("earliest possible move", "Earliest possible move", "At the earliest", "day to move on")
    assert not [text for text in texts if any(words in " ".join(text.split()) for words in of_a_move)]
    assert all(row.earliest is None for row in look(course, [Judged(record, answer)]))


def test_the_lessons_after_a_pause_are_named(course, records):
    """Two lessons with playing come before a move (rule R7)."""
    closed = day_number("2025-12-03")
    hold = Hold(closed - 1, "tired hand", "hand", closed, "the mother", "well again")
    record = replace(records["temwa"], holds=(hold,))
    answer = judge(course, record, closed)
    lessons = [one.on for one in answer.kept_back if one.because == "after-a-hold"]
    assert lessons == [day_number("2025-12-09")]
    assert answer.earliest == day_number("2025-12-16")
    told = " ".join(tell_answer(answer, course, record, full=True).split())
    assert "Two lessons with playing after the pause come first: no move on 9 December yet." in told


def test_the_first_lesson_back_is_named(course, records):
    answer = judge(course, records["noemi"], day_number("2025-12-02"))
    said = Phrases(answer, course, records["noemi"])
    assert list(said.kept_back()) == ["First lesson back on 2 December: no move before the next one."]
    assert answer.earliest == day_number("2025-12-09")


def test_nothing_is_said_where_nothing_keeps_the_move_back(course, records):
    answer = judge(course, records["temwa"], day_number("2025-12-02"))
    assert answer.earliest == answer.next_lesson
    assert answer.kept_back == ()


@pytest.mark.parametrize("on", ["2025-12-02", "2025-12-04"])
def test_a_showing_is_supposed_for_the_next_lesson_on_a_noted_day_too(course, records, on):
    record, day = records["temwa"], day_number(on)
    plain = judge(course, record, day)
    changed, values = what_if(course, record, day, {"show.wrist-lift": "alone"})
    told = " ".join(
        page_of(compare_sections, Phrases(plain, course, record), changed, course, record, values).split()
    )
    assert "Supposed for the lesson on 9 December; nothing is saved" in told
    assert 'No longer in the way: "Lifts the wrist" (wrist-lift), now secure.' in told
    assert "Earliest possible move: 16 December 2025, before: 9 December 2025." in told
    assert "No state, no date" not in told
    assert "without help on 2 December" not in told
    number, values = what_if(course, record, day, {"days_needed.motor": "2"})
    assert "Supposed for this once" in page_of(
        compare_sections, Phrases(plain, course, record), number, course, record, values
    )
