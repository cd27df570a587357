"""A day is taken as people write it, wherever one is typed; a birth month comes back as it is taken."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from readiness.cli.commands import COMMANDS, CommandError, Exit, Parser
from readiness.cli.context import born_typed, day_meant
from readiness.days import day_number, month_too_short, why_unclear, written_day


@pytest.mark.parametrize(
    "typed",
    [
        "3.12.2025", "03.12.2025", "3. 12. 2025", "3 December 2025", "3. December 2025", "3 dec 2025",
        "3 Dec, 2025", "2025-12-3", "2025/12/03", "2025.12.03", " 3.12.2025 ",
    ],
)  # fmt: skip
def test_a_day_written_as_elsewhere_is_taken(typed):
    assert day_meant(typed, "--due", day_number("2025-12-10")) == day_number("2025-12-03")


@pytest.mark.parametrize(
    ("typed", "away"),
    [
        ("two weeks ago", -14), ("a fortnight ago", -14), ("in a fortnight", 14), ("an hour ago", None),
        ("the day before yesterday", -2), ("day after tomorrow", 2), ("weds", 0), ("on Tuesday", -1),
        ("3-Dec", -7), ("the 3rd dec", -7), ("ten days ago", -10), ("some days ago", None),
    ],
)  # fmt: skip
def test_a_day_said_in_words_is_taken(typed, away):
    today = day_number("2025-12-10")
    assert written_day(typed, today) == (None if away is None else today + away)


@pytest.mark.parametrize("typed", ["31.2.2025", "3 Ju 2025", "3 Mayo 2025", ""])
def test_what_is_no_day_is_not_guessed_at(typed):
    with pytest.raises(CommandError, match=r"2025-12-02, 2 Dec, tue or yesterday, and .* is not a day"):
        day_meant(typed, "--on", 1)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("tuseday", 'and "tuseday" is not a day. Did you mean "Tuesday"?'),
        ("last tuseday", 'Did you mean "last Tuesday"?'),
        ("tree weks ago", 'Did you mean "three weeks ago"?'),
        ("day befor yesteday", 'Did you mean "day before yesterday"?'),
        ("3 Novmber", 'Did you mean "3 November"?'), ("3 Nuvember 2025", 'Did you mean "3 November 2025"?'),
        ("soon", '"soon" is not a day.'), ("3 Ju", '"3 Ju" is not a day.'), ("0.1.", '"0.1." is not a day.'),
        ("31.11.", '"31.11." is not a day: November has 30 days.'), ("31.9.26", "September has 30 days."),
        ("2025-11-31", "November has 30 days."), ("29 Feb 2025", "February 2025 has 28 days."),
        ("30.2.", "February has at most 29 days."), ("11/31", "November has 30 days."),
        ("last tue", "it can be 2025-12-02 or 2025-12-09."), ("tue, 3.12.2025", "2025-12-03 is a Wednesday."),
        ("in 2 weeks", "is in 14 days, on 24 December 2025, and --on takes a day that has been."),
    ],
)  # fmt: skip
def test_a_mistyped_day_says_what_is_wrong_with_it(typed, told):
    with pytest.raises(CommandError) as error:
        day_meant(typed, "--on", day_number("2025-12-10"), when=-1)
    assert str(error.value).endswith(told)


FIRST, LAST = date(2001, 1, 1), date(2090, 1, 1)
NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@given(st.dates(FIRST, LAST), st.integers(1, 60), st.booleans(), st.booleans())
def test_so_many_days_or_weeks_away_is_that_day(today, count, weeks, ahead):
    days = count * (7 if weeks else 1)
    unit = f"{'week' if weeks else 'day'}{'s' if count > 1 else ''}"
    text = f"in {count} {unit}" if ahead else f"{count} {unit} ago"
    assert written_day(text, today.toordinal()) == today.toordinal() + (days if ahead else -days)
    assert written_day(f"{count} {unit}", today.toordinal()) is None


@given(st.dates(FIRST, LAST), st.integers(-40, 40), st.sampled_from(NAMES))
def test_a_weekday_beside_a_date_is_the_dates_own_or_it_is_refused(today, away, name):
    day = today + timedelta(away)
    is_right = NAMES[day.weekday()] == name
    for text in (f"{name} {day:%d.%m.%Y}", f"{name[:3]}, {day.day} {day:%b %Y}"):
        assert written_day(text, today.toordinal()) == (day.toordinal() if is_right else None)
        assert why_unclear(text, today.toordinal()) == f"{day} is a {NAMES[day.weekday()]}"


@given(st.dates(FIRST, LAST), st.sampled_from(NAMES), st.sampled_from(("last", "next")))
def test_last_and_next_are_taken_where_they_can_mean_one_day_alone(today, name, side):
    """The nearest one before or after today, and the one of the week before or after (ISO 8601 weeks)."""
    step = timedelta(1 if side == "next" else -1)
    nearest = next(day for n in range(1, 8) if NAMES[(day := today + n * step).weekday()] == name)
    week = (today + 7 * step).isocalendar()
    other = date.fromisocalendar(week.year, week.week, NAMES.index(name) + 1)
    found = written_day(f"{side} {name}", today.toordinal())
    assert found == (nearest.toordinal() if nearest == other else None)
    assert (why_unclear(f"{side} {name}", today.toordinal()) == "") is (nearest == other)


@given(st.dates(date(2024, 1, 1), date(2027, 12, 31)), st.integers(0, 250))
def test_a_day_that_could_be_read_the_other_way_round_is_asked_about_where_that_is_far_nearer(today, back):
    """Day and month change places between countries (CLDR 46, date formats of en-GB and en-US)."""
    meant, now = today - timedelta(back), today.toordinal()
    typed, day = f"{meant.day}/{meant.month}", meant.toordinal()
    turned = written_day(typed, now, "month-day", -1)
    assert turned is not None
    if abs(now - turned) + 60 >= now - day:
        assert day_meant(typed, "--on", now, when=-1) == day
    else:
        with pytest.raises(CommandError, match="Write the month as a word"):
            day_meant(typed, "--on", now, when=-1)
    assert day_meant(meant.isoformat(), "--on", now, when=-1) == day


@given(st.integers(1, 12), st.integers(1, 40), st.integers(2000, 2100))
def test_a_month_is_too_short_just_where_the_calendar_has_no_such_day(month, day, year):
    text = f"{day}.{month}.{year}"
    has = day <= monthrange(year, month)[1]
    assert (written_day(text, 1) is not None, bool(month_too_short(text))) == (has, not has)


def test_a_table_says_that_the_month_is_too_short(say, studio, monkeypatch):
    monkeypatch.chdir(studio)
    table = "student;day;skill;how\ntemwa;31.9.26;wrist-lift;alone\ntemwa;1.9.26;wrist-lift;alone\n"
    Path("c.csv").write_text(table, encoding="utf-8")
    assert '"31.9.26" is not a day: September has 30 days' in " ".join(say("import", "c.csv").out.split())


OPTIONS = (
    ("season", "temwa", "--event"), ("changed", "temwa", "--since"), ("season", "temwa", "--ahead"),
    ("moderate", "--since"),
)  # fmt: skip


@pytest.mark.parametrize("words", OPTIONS)
@pytest.mark.parametrize("shift", [-40, 50])
def test_every_option_for_a_day_takes_it_as_people_write_it(say, words, shift):
    day = date.fromordinal(day_number("2025-12-02") + shift)
    written = (f"{day:%d.%m.%Y}", f"{day:%d %b %Y}", f"{day:%d/%m/%Y}", f"{day:%d.%m.}", f"{day:%d %b}")
    end = ["2026-02-15"] * ("--ahead" in words)
    said = {say(*words, one, *end, "--on", "2025-12-02")[1:] for one in (day.isoformat(), *written)}
    is_right_side = (shift < 0) == ("--since" in words)
    assert len(said) == 1 or not is_right_side
    assert not is_right_side or "is not a day" not in str(said)


@pytest.mark.parametrize(
    "words, told",
    [
        (
            ("changed", "temwa", "--since", "2026-05-01"),
            "--since takes a day before 2 December 2025, the day",
        ),
        (("compare", "--set", "carry_limit=1"), "please say which, as in --set band.4-5.carry_limit=1"),
        (("compare", "--set", "days_needed.motor=2"), "as in --set band.4-5.days_needed.motor=2"),
    ],
)
def test_what_is_half_said_is_asked_for(say, words, told):
    assert told in say(*words).told


def test_a_number_of_a_list_says_where_the_list_is(say, studio, monkeypatch):
    monkeypatch.chdir(studio)
    words = ("task", "temwa", "--report", "9", "--days", "3", "--on", "2025-12-02")
    assert "there is no task number 9; `readiness task temwa` lists them." in say(*words).told
    words = ("promise", "temwa", "--answer", "9", "--on", "2025-12-02")
    assert "there is no promise number 9; `readiness promise temwa` lists them." in say(*words).told
    said = say("enrol", "mia", "--name", "Mia", "--born", "2019-05", "--unit", "2")
    assert "Mia starts with unit 2, Groups of black keys: `readiness sheet mia`" in " ".join(said.out.split())


@pytest.mark.parametrize(
    "typed", ["11.2021", "11/2021", "11-2021", "Nov 2021", "November 2021", "2021.11", "2021/11", "2021-Nov"]
)
def test_the_birth_month_that_was_meant_is_said(typed):
    with pytest.raises(CommandError, match=r"--born takes a month .* Did you mean 2021-11\?"):
        born_typed(typed)


def test_a_birth_day_written_as_elsewhere_is_said_and_what_is_none_is_named():
    with pytest.raises(CommandError, match=r"Did you mean 2021-11-03\?"):
        born_typed("3.11.2021")
    for typed in ("2021-11", "2021-11-03"):
        assert born_typed(typed) == typed
    for typed in ("2019-13", "2019-02-29", "2019", "13.2021", "spring", "1817-09"):
        with pytest.raises(CommandError, match=f'or a day, and "{typed}" is not\\.$'):
            born_typed(typed)


@pytest.mark.parametrize(
    "words, told",
    [
        (("tell", "temwa", "parent"), 'Did you mean "family"?'),
        (("pause", "temwa", "--part", "wrist", "--words", "sore"), 'Did you mean "hand"?'),
        (("why", "temwa", "--if", "motor=2"), "did you mean accepts.motor or days_needed.motor?"),
        (("note", "temwa", "--with-help", "feet"), "--hands-on"),
        (("why", "temwa", "--nonsense"), "there are --on, --course"),
        (("consent", "temwa", "touch", "maybe"), '"maybe" is not touch, video, photo, family,'),
        (("pause", "temwa", "ow", "--part", "lefthand"), 'Did you mean "hand"?'),
    ],
)
def test_what_was_probably_meant_is_said(words, told, say):
    said = say(*words)
    assert said.code == 2
    assert told in said.told


@pytest.mark.parametrize("words", [
    ("why", "temwa", "--on=--"), ("note", "temwa", "--by=--", "--alone", "wrist"),
    ("why", "temwa", "--skill=--"), ("resume", "linnea", "--by=--", "--words=--"),
])  # fmt: skip
def test_two_hyphens_are_no_value(say, words):
    """The parser of the standard library makes a list of nothing of them."""
    said = say(*words)
    assert said.code == 2
    assert "something must stand behind --" in said.told


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("1917-09", "would be 109 now; is the year right? Did you mean 2017-09?"),
        ("2026-01", "would be 0 now; is the year right?"), ("2024-06", "would be 2 now"),
        ("1926-10", "would be 100 now"), ("2027-03", "2026-11-30 is before the birth date, 2027-03."),
        ("2091-05", "is before the birth date, 2091-05. Did you mean 1991-05?"),
        ("19-05", '"19-05" is not. Did you mean 2019-05?'), ("1817-09", '"1817-09" is not.'),
        ("5 years", '"5 years" is not.'), ("2018-13", '"2018-13" is not.'),
    ],
)  # fmt: skip
def test_a_birth_that_can_hardly_be_is_not_taken_in_silence(typed, told, studio, say, monkeypatch):
    monkeypatch.chdir(studio)
    new, day = ("enrol", "mia", "--name", "Mia", "--born", typed), ("--on", "2026-11-30")
    said = say(*new, *day)
    assert said.code == 2
    assert told in " ".join(said.told.split())
    assert not (studio / "students" / "mia.toml").exists()
    insists = "say it again with --yes" in " ".join(said.told.split())
    assert insists == ("would be" in told)
    assert (say(*new, *day, "--yes").code == 0) == insists


def test_what_is_ordinary_or_said_twice_is_taken(studio, say, monkeypatch):
    monkeypatch.chdir(studio)
    for born in ("2023-10", "2018-02", "1940-05"):
        assert say("enrol", f"m{born}", "--name", "M", "--born", born, "--on", "2026-11-30").code == 0


def days_of(command):
    """Return the options of a command that take one day."""
    parser = Parser()
    for add in command.load()[0]:
        add(parser)
    return [name for one in parser._actions if one.metavar == "DATE" for name in one.option_strings]


WITH_A_DAY = [(command.name, name) for command in COMMANDS for name in days_of(command)]


@pytest.mark.parametrize(("command", "name"), WITH_A_DAY)
def test_a_day_of_several_words_without_quotes_is_told_with_them(say, command, name):
    assert ("note", "--on") in WITH_A_DAY
    for day in ("16 nov", "nov 16", "16 nov 2025"):
        said = say(command, "temwa", name, *day.split(), "feet")
        assert said.code == Exit.WRONG
        assert f'stand in quotes: {name} "{day}"' in said.told
