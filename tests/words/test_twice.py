"""Two notes on one skill on one day: which stands, and why (rule R1)."""

from __future__ import annotations

from dataclasses import replace

from readiness.days import day_number
from readiness.judging import judge
from readiness.record.model import Lesson, Showing
from readiness.words.asked import tell_skill
from readiness.words.noting import noted_twice, twice_that_day

DAY = day_number("2025-12-02")
NAMES = (("wrist-lift", "Lifts the wrist"),)


def with_two(record, *helps):
    """Return a record with one lesson block a note on that day, 10 lines apart."""
    lessons = [Lesson(DAY, (Showing("wrist-lift", one, 200 + 10 * at),)) for at, one in enumerate(helps)]
    return replace(record, lessons=(*(one for one in record.lessons if one.on < DAY), *lessons))


def test_the_one_with_most_help_stands_and_both_are_shown(course, records):
    record = with_two(records["temwa"], 3, 0)
    answer = judge(course, record, DAY)
    assert answer.standings["wrist-lift"].evidence[-1].help == 3
    words = " ".join(tell_skill(answer, course, record, "wrist-lift", full=True).split())
    assert (
        "Noted more than once on 2 December: guided by hand (temwa.toml:200) and without help "
        '(temwa.toml:210). The one with most help counts for the day: guided by hand.'
    ) in words
    (said,) = twice_that_day(record, NAMES, DAY)
    assert said.startswith('"Lifts the wrist" was noted that day already, guided by hand.')


def test_nothing_is_said_where_the_new_note_stands_or_both_agree(course, records):
    for helps in ((0, 3), (0, 0), (1,)):
        record = with_two(records["temwa"], *helps)
        assert list(twice_that_day(record, NAMES, DAY)) == []
        assert bool(list(noted_twice(record, "wrist-lift", DAY))) == (helps == (0, 3))
    assert list(noted_twice(with_two(records["temwa"], 3, 0), "wrist-lift", DAY - 1)) == []
