"""Two notes on one skill on one day: which stands, and why (rule R1)."""

from __future__ import annotations

from dataclasses import replace

from told import text_of

from readiness.days import day_number
from readiness.judging import judge
from readiness.record.model import Lesson, Showing
from readiness.words.noting import noted_twice, twice_that_day
from readiness.words.phrases import Phrases
from readiness.words.reasons import skill_sections

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
    words = " ".join(
        text_of(skill_sections, Phrases(answer, course, record), "wrist-lift", full=True).split()
    )
    assert (
        "Noted more than once on 2 December: guided by hand (temwa.toml:200) and without help "
        '(temwa.toml:210). The one with most help counts for the day: guided by hand.'
    ) in words
    (said,) = twice_that_day(record, NAMES, DAY)
    assert said.startswith('"Lifts the wrist" was noted that day already, guided by hand.')


def test_a_second_note_on_a_day_is_said_once_and_later_only_where_they_differ(course, records):
    earlier = (((0, 3), "without help"), ((3, 0), "guided by hand"), ((0, 1, 1), "with a reminder"))
    for helps, told in (*earlier, ((0, 0), "without help")):
        record = with_two(records["temwa"], *helps)
        (said,) = twice_that_day(record, NAMES, DAY)
        assert said == f'"Lifts the wrist" was noted that day already, {told}. The one with most help counts.'
        assert bool(list(noted_twice(record, "wrist-lift", DAY))) == (len(set(helps)) > 1)
    assert list(twice_that_day(with_two(records["temwa"], 1), NAMES, DAY)) == []
    assert list(noted_twice(with_two(records["temwa"], 3, 0), "wrist-lift", DAY - 1)) == []


def test_those_noted_twice_alike_are_said_together(records):
    seen = ("wrist-lift", "feet-supported", "sit-tall-balanced", "loose-shoulders")
    lessons = [Lesson(DAY, tuple(Showing(one, 0, line) for one in seen), line=line) for line in (200, 210)]
    record = replace(records["temwa"], lessons=tuple(lessons))
    (said,) = twice_that_day(record, [(one, one) for one in seen], DAY)
    assert '"wrist-lift", "feet-supported" and 2 more were noted that day already, without help.' in said
