"""Days, ages, weeks and edges of rules, held against dateutil, pandas and exact fractions.

dateutil and pandas know the calendar; the edges (so many days are still fresh, so many are
not) are worked out by hand from the shipped pacing, common practice, no source.
"""

from __future__ import annotations

import calendar
import tomllib
from datetime import date, datetime, timedelta
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from itertools import islice
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from dateutil.relativedelta import relativedelta
from dateutil.rrule import DAILY, WEEKLY, rrule, rruleset
from hypothesis import example, given
from hypothesis import strategies as st

from readiness.course.model import Course
from readiness.days import age_on, birthday, day_number, iso, last_day_of_month
from readiness.judging import judge
from readiness.judging.answer import Answer
from readiness.judging.lookahead import break_on, review_lessons
from readiness.judging.reasons import unit_limit
from readiness.record.load import build_record
from readiness.record.rhythm import Calendar, Event, Rhythm, lessons_from

DAYS = st.dates(date(1900, 1, 1), date(2199, 12, 31))
BANDS = ("4-5", "6-7", "8-10", "11-14", "adult")
MONDAY = date(2025, 9, 1)


def judged(course: Course, on: date, **record: Any) -> Answer:
    """Judge an invented student on a day."""
    data = {"format": 1, "name": "Nobody", "born": "2018-03-02", **record}
    return judge(course, build_record("nobody", data, course), on.toordinal())


def in_band(band: str) -> list[dict[str, Any]]:
    return [{"band": band, "on": MONDAY, "reason": "a test of this band"}]


@given(DAYS)
def test_a_day_number_is_that_of_the_calendar(day):
    number = day_number(day.isoformat())
    assert pd.Timestamp(day).toordinal() == number
    assert iso(number) == pd.Timestamp(day).strftime("%Y-%m-%d")


@given(DAYS)
@example(date(2000, 2, 1))
@example(date(2100, 2, 1))
def test_a_month_ends_where_the_calendar_says(day):
    last = last_day_of_month(day.year, day.month)
    assert last == (day + relativedelta(day=31)).toordinal()
    assert last == pd.Period(day, "M").end_time.toordinal()


@given(born=DAYS, years=st.integers(0, 99), days=st.integers(-2, 366))
@example(born=date(2016, 2, 29), years=9, days=0)
@example(born=date(2016, 2, 29), years=8, days=0)
@example(born=date(1896, 2, 29), years=4, days=0)
def test_age_is_that_of_dateutil_but_for_29_february(born, years, days):
    """dateutil lets somebody born on 29 February turn older on 28 February; rule R0 says 1 March."""
    day = born + relativedelta(years=years) + timedelta(days)
    theirs = relativedelta(day, born).years if day >= born else -1
    leaps = (born.month, born.day) == (2, 29) and not calendar.isleap(day.year)
    waits = leaps and (day.month, day.day) == (2, 28)
    assert age_on(born.toordinal(), day.toordinal()) == theirs - waits


@given(born=DAYS, age=st.integers(0, 99))
@example(born=date(2016, 2, 29), age=9)
def test_a_birthday_is_the_first_day_of_an_age(born, age):
    day = birthday(born.toordinal(), age)
    theirs = pd.Timestamp(born) + pd.DateOffset(years=age)
    moved = (born.month, born.day) == (2, 29) and not calendar.isleap(theirs.year)
    assert day == theirs.toordinal() + moved
    assert age_on(born.toordinal(), day) == age
    assert age_on(born.toordinal(), day - 1) == age - 1


@pytest.mark.parametrize(
    ("born", "on", "age", "band"),
    [
        ("2018-03-02", date(2026, 3, 1), 7, "6-7"),
        ("2018-03-02", date(2026, 3, 2), 8, "8-10"),
        ("2018-02", date(2026, 2, 27), 7, "6-7"),  # a month alone: its last day is used
        ("2018-02", date(2026, 2, 28), 8, "8-10"),
        ("2020-02-29", date(2026, 2, 28), 5, "4-5"),
        ("2020-02-29", date(2026, 3, 1), 6, "6-7"),
        ("2022-03-02", date(2026, 3, 1), 3, "4-5"),  # below the lowest band: the lowest
        ("1950-03-02", date(2026, 3, 1), 75, "adult"),
    ],
)
def test_age_edges(starter: Course, born, on, age, band):
    answer = judged(starter, on, born=born)
    assert (answer.age, answer.band) == (age, band)


@pytest.mark.parametrize("band", BANDS)
@pytest.mark.parametrize(("fade", "skill"), [
    ("fast", "loose-shoulders"), ("medium", "distance-set"), ("slow", "tells-when-it-hurts"),
])  # fmt: skip
def test_fresh_to_the_last_day_of_its_weeks(starter: Course, pacing_file, band, fade, skill):
    """At 6-7 medium is 8 weeks: day 56 is fresh, day 57 is not."""
    assert starter.skill[skill].fade == fade
    weeks = pacing_file["band"][band]["fresh_weeks"][fade]
    last = (pd.Timestamp(MONDAY) + pd.DateOffset(weeks=weeks)).date()
    if (band, fade) == ("6-7", "medium"):
        assert (last - MONDAY).days == 56
    record = {"settled": [{"through": starter.units[0].id, "on": MONDAY}], "band_choice": in_band(band)}
    for day, state in ((MONDAY, "secure"), (last, "secure"), (last + timedelta(1), "stale")):
        standing = judged(starter, day, **record).standings[skill]
        assert (standing.state, standing.fresh_until) == (state, last.toordinal())


@pytest.mark.parametrize(("second", "state"), [(7, "secure"), (6, "building"), (8, "secure")])
def test_spread_edge(starter: Course, second, state):
    """Two days, six days apart: 1 and 7 December are enough, 1 and 6 are not."""
    days = date(2025, 12, 1), date(2025, 12, second)
    lessons = [{"on": day, "alone": ["distance-set"]} for day in days]
    standing = judged(starter, days[1], lesson=lessons, band_choice=in_band("6-7")).standings["distance-set"]
    assert (standing.state, standing.have, standing.need) == (state, 2, 2)


@pytest.mark.parametrize(
    ("number", "band", "fast_below", "long_above"),
    [(6, "6-7", 4, 11), (3, "4-5", 4, 10)],  # ceil(3.6), ceil(10.5); ceil(3.75), 10
)
def test_unit_limits(starter: Course, number, band, fast_below, long_above):
    unit = starter.units[number - 1].id

    def pace(lessons: int) -> set[str]:
        days = [MONDAY + timedelta(weeks=week) for week in range(lessons)]
        answer = judged(
            starter, days[-1],
            unit_start=[{"unit": unit, "on": MONDAY}],
            lesson=[{"on": day} for day in days],
            band_choice=in_band(band),
        )  # fmt: skip
        return {remark.id for remark in answer.remarks} & {"fast", "long"}

    assert pace(fast_below - 1) == {"fast"}
    assert pace(fast_below) == pace(long_above) == set()
    assert pace(long_above + 1) == {"long"}


def test_unit_limits_are_exact_for_every_band_and_unit(starter: Course, course_folder: Path):
    """The factors as written, in decimal arithmetic: no binary fraction tips a limit over."""
    text = (course_folder / "pacing.toml").read_text(encoding="utf-8")
    written = tomllib.loads(text, parse_float=Decimal)["band"]
    for band in starter.bands:
        for rule in ("min_unit_factor", "max_unit_factor"):
            for unit in starter.units:
                exact = Decimal(written[band.name][rule]) * unit.lesson_weeks
                limit = exact.to_integral_value(ROUND_CEILING)
                assert unit_limit(band.number(rule), unit.lesson_weeks) == limit


@given(st.decimals(Decimal("0.01"), 9, places=2), st.integers(1, 60))
@example(Decimal("1.1"), 10)  # in binary fractions 11.000000000000002
@example(Decimal("0.07"), 100)
def test_unit_limits_round_up_what_is_written(factor, weeks):
    assert unit_limit(float(factor), weeks) == (factor * weeks).to_integral_value(ROUND_CEILING)


@pytest.mark.parametrize(("weeks", "lessons"), [(3, 1), (6, 2), (10, 3), (11, 3), (20, 3)])
def test_review_lessons_after_a_break(weeks, lessons):
    """A quarter of the weeks, halves up, at least 1, at most 3 (common practice, no source)."""
    assert review_lessons(7 * weeks) == lessons


@given(st.integers(0, 400))
def test_review_lessons_round_halves_up(days):
    quarter = (Decimal(days // 7) / 4).quantize(Decimal(1), ROUND_HALF_UP)
    assert review_lessons(days) == min(3, max(1, quarter))


RHYTHMS = st.none() | st.builds(Rhythm, st.integers(0, 6), st.integers(1, 5))
NEAR = st.dates(date(1950, 1, 1), date(2150, 12, 31))


AWAY = st.none() | st.tuples(st.integers(0, 90), st.integers(0, 90))


def _midnight(day: date) -> datetime:
    return pd.Timestamp(day).to_pydatetime()


@given(day=NEAR, latest=st.integers(0, 60), rhythm=RHYTHMS, away=AWAY)
def test_lessons_to_come_are_those_of_a_calendar(day, latest, rhythm, away):
    """RFC 5545 recurrences (python-dateutil): every so many weeks on a weekday, without the holidays."""
    last = day - timedelta(latest)
    weekday, weeks = (last.weekday(), 1) if rhythm is None else (rhythm.weekday, rhythm.weeks)
    monday = last - timedelta(last.weekday())
    begun = last if last.weekday() == weekday else monday + timedelta(weekday)
    theirs = rruleset()
    theirs.rrule(rrule(WEEKLY, interval=weeks, byweekday=weekday, dtstart=_midnight(begun)))
    holidays = ()
    if away is not None:
        first, end = day + timedelta(away[0]), day + timedelta(sum(away))
        holidays = (Event("Away", first.toordinal(), end.toordinal(), is_stretch=True),)
        theirs.exrule(rrule(DAILY, dtstart=_midnight(first), until=_midnight(end)))
    earliest = max(day if latest else day + timedelta(1), monday + timedelta(7))
    expected = theirs.xafter(_midnight(earliest), count=12, inc=True)
    ours = islice(lessons_from(Calendar((), rhythm, holidays), [last.toordinal()], day.toordinal()), 12)
    assert [date.fromordinal(lesson) for lesson in ours] == [lesson.date() for lesson in expected]


@given(day=NEAR, planned=st.lists(st.integers(-20, 60), max_size=4))
def test_planned_days_come_first_and_none_is_lost(day, planned):
    on = day.toordinal()
    ours = list(islice(lessons_from(Calendar(tuple(on + gap for gap in planned)), [on - 7], on), 30))
    ahead = sorted({on + gap for gap in planned if gap >= 0})
    assert ours[: len(ahead)] == ahead
    assert ours == sorted(set(ours))


@given(day=DAYS, weeks=st.integers(1, 12))
def test_a_break_begins_after_its_whole_weeks(day, weeks):
    back = (pd.Timestamp(day) + pd.Timedelta(weeks=weeks)).toordinal()
    last = day.toordinal()
    limit = 7 * weeks
    assert break_on([last], back - 1, limit) is None
    away = break_on([last], back, limit)
    first = break_on([last, back], back, limit)
    assert away is not None
    assert first is not None
    assert (away.kind, away.days) == ("on-a-break", 7 * weeks)
    assert (first.kind, first.days) == ("first-lesson-back", 7 * weeks)
    assert break_on([last, back - 1], back, limit) is None
    assert break_on([last, back, back + 1], back + 1, limit) is None
