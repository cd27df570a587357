"""Days as people write them, and days that are odd: never a wrong year in silence."""

from __future__ import annotations

import tomllib
from datetime import date, timedelta

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from readiness.cli.commands import CommandError
from readiness.cli.context import day_meant
from readiness.days import written_day

TODAY = date(2025, 12, 2)  # a Tuesday
UNIT = '[[unit_start]]\nunit = "sitting-high-low"\non = 2025-09-01\n'


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("today", "2025-12-02"), ("yesterday", "2025-12-01"), ("tue", "2025-12-02"), ("Monday", "2025-12-01"),
        ("wed", "2025-11-26"), ("27.10.", "2025-10-27"), ("27.10", "2025-10-27"), ("27 Oct", "2025-10-27"),
        ("27 october", "2025-10-27"), ("Oct 27", "2025-10-27"), ("27th Oct", "2025-10-27"),
        ("10/27", "2025-10-27"), ("27/10", "2025-10-27"), ("6.2.", "2025-02-06"), ("20.2", "2025-02-20"),
        ("3.12.2025", "2025-12-03"), ("3.12.25", "2025-12-03"), ("3 Dec, 2025", "2025-12-03"),
        ("2025-12-3", "2025-12-03"), ("2025/12/03", "2025-12-03"), ("2025-12-02", "2025-12-02"),
        ("29.2.2024", "2024-02-29"), ("5/6", "2025-06-05"), ("5/6/2025", "2025-06-05"),
    ],
)  # fmt: skip
def test_a_day_that_has_been_is_understood(typed, meant):
    assert date.fromordinal(day_meant(typed, "--on", TODAY.toordinal(), when=-1)).isoformat() == meant


def test_the_order_of_the_studio_decides_what_could_be_both():
    for typed in ("5/6", "5/6/2025", "5/6/25", "5-6"):
        meant = day_meant(typed, "--on", TODAY.toordinal(), "month-day", -1)
        assert date.fromordinal(meant) == date(2025, 5, 6)
    assert day_meant("27/10", "--on", TODAY.toordinal(), "month-day", -1) == date(2025, 10, 27).toordinal()
    assert day_meant("5.6.", "--on", TODAY.toordinal(), "month-day", -1) == date(2025, 6, 5).toordinal()


def test_without_a_year_a_day_is_the_nearest_and_what_is_to_come_the_next():
    for typed, near, to_come in (("20.12.", 18, 18), ("wed", 1, 1), ("mon", -1, 6), ("30.11.", -2, 363)):
        assert day_meant(typed, "--on", TODAY.toordinal()) - TODAY.toordinal() == near
        assert written_day(typed, TODAY.toordinal(), when=1) - TODAY.toordinal() == to_come


@given(st.dates(date(2001, 1, 1), date(2099, 1, 1)), st.integers(-364, 364), st.sampled_from([-1, 0, 1]))
def test_without_a_year_a_day_is_the_nearest_on_its_side_and_one_far_off_is_never_taken(on, days, when):
    """What a year less or more would bring much nearer is told of, with the year that is to be written."""
    today, day = on.toordinal(), on + timedelta(days)
    assume((day.month, day.day) != (2, 29))
    near = [day.replace(year=day.year + years).toordinal() for years in (-1, 0, 1)]
    meant = min((one for one in near if (one - today) * when >= 0), key=lambda one: abs(one - today))
    if abs(meant - today) <= {-1: 300, 0: 366, 1: 120}[when]:
        assert day_meant(f"{day:%d %b}", "--on", today, when=when) == meant
    else:
        with pytest.raises(CommandError, match=f"the year: --on {date.fromordinal(meant)}."):
            day_meant(f"{day:%d %b}", "--on", today, when=when)


def test_a_day_that_is_to_come_is_said_to_be_so():
    told = {"3 Dec": "is tomorrow", "10.12.": "is in 8 days, on 10 December"}
    for typed, when in told.items():
        with pytest.raises(CommandError, match=f"{when}.* and --on takes a day that has been"):
            day_meant(typed, "--on", TODAY.toordinal(), when=-1)


@given(st.integers(1, 364), st.sampled_from(["{0:%d}.{0:%m}.", "{0:%d} {0:%b}", "{0:%d.%m.%Y}", "{0}"]))
@settings(max_examples=60)
def test_a_day_far_ahead_is_taken_only_with_its_year(days, shape):
    today = TODAY.toordinal()
    day = date.fromordinal(today + days)
    typed = shape.format(day)
    if days > 120 and str(day.year) not in typed:
        with pytest.raises(CommandError, match=f"write the year: --due {day}"):
            day_meant(typed, "--due", today, when=1)
    else:
        assert day_meant(typed, "--due", today, when=1) == today + days


@pytest.mark.parametrize(
    "words",
    [
        ("decide", "temwa", "stay", "--until"), ("season", "temwa", "--event"),
        ("back", "temwa", "--ahead"),
        ("enrol", "ann", "--name", "Ann", "--born", "2020-03", "--delete-by"),
        ("promise", "temwa", "--to", "all", "--give", "it", "--due"),
    ],
)  # fmt: skip
def test_whoever_takes_a_day_to_come_refuses_one_of_next_year_unsaid(words, temwa, say):
    said = say(*words, "1.11.")
    assert (said.code, "write the year" in said.told) == (2, True)
    assert "would be 1 November 2026, 334 days ahead" in said.told


def test_a_stay_says_until_which_day(temwa, say):
    said = say("decide", "temwa", "stay", "--until", "2026-11-01")
    assert "until 1 November 2026, decided on 2 December 2025" in " ".join(said.out.split())


def test_a_pause_too_takes_days_in_the_order_of_the_studio(temwa, studio, say):
    """A pause reads no course, and neither does what is kept of a lesson that cannot be noted."""
    with (studio / "studio.toml").open("a", encoding="utf-8") as file:
        file.write('[wording]\ndates = "month-day"\n')
    assert say("pause", "temwa", "--words", "wrist hurts", "--on", "12/1").code == 0
    assert "[[hold]]" in temwa.read_text("utf-8")
    assert "opened = 2025-12-01" in temwa.read_text("utf-8")
    assert say("note", "temwa", "1", "feet", "--on", "1/12").code == 2
    assert not [*temwa.parent.glob(".temwa.half-done*")]  # of 1 December, which nobody typed


@pytest.mark.parametrize(
    "typed", ["31.2.", "31.2.2025", "13/13", "3 Ju", "t", "", "32.1.", "0.1.", "soon", "1.13.", "1.1.1700"]
)
def test_what_is_no_day_is_refused(typed):
    with pytest.raises(CommandError, match="--on takes a day"):
        day_meant(typed, "--on", TODAY.toordinal(), when=-1)


@pytest.fixture
def temwa(studio, monkeypatch, say):
    with (studio / "studio.toml").open("a", encoding="utf-8") as file:
        file.write('today = 2025-12-02\n[[event]]\nname = "Half-term"\nfrom = 2025-11-20\nto = 2025-11-23\n')
    monkeypatch.chdir(studio)
    path = studio / "students" / "temwa.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: text.rindex("[[lesson]]")], encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("11.11.", "2025-11-11 is before the first lesson noted, 2025-11-18"),
        ("20.12.2024", "2024-12-20 is before the first lesson noted"),
        ("22 Nov", "2025-11-22 is in Half-term"),
    ],
)
def test_an_odd_day_is_refused_with_the_way_to_insist(typed, told, temwa, say):
    before = temwa.read_bytes()
    said = say("note", "temwa", "1", "wrist-lift", "--on", typed)
    assert said.code == 2
    assert told in " ".join(said.told.split())
    assert "--yes" in said.told
    assert temwa.read_bytes() == before
    assert say("note", "temwa", "1", "wrist-lift", "--on", typed, "--yes").code == 0
    assert temwa.read_bytes() != before


@pytest.mark.parametrize("words", ["note temwa 1 wrist-lift", "enter temwa 1a", "note temwa"])
def test_a_lesson_still_to_come_is_never_noted(words, temwa, say):
    before = temwa.read_bytes()
    for insists in ((), ("--yes",)):
        said = say(*words.split(), "--on", "1.1.2199", *insists)
        assert said.code == 2
        assert "2199-01-01 has not come yet; things are noted after they happened." in said.told
        assert "--yes" not in said.told
    assert temwa.read_bytes() == before


def test_far_from_every_lesson_is_odd_and_today_never_is(temwa, say):
    text = temwa.read_text(encoding="utf-8").replace("on = 2025-11-18\nalone", "on = 2025-08-18\nalone")
    temwa.write_text(text, encoding="utf-8")
    said = say("note", "temwa", "1", "wrist-lift", "--on", "20.10.")
    assert said.code == 0
    temwa.write_text(text[: text.index("[[lesson]]", text.index("2025-08-18"))], encoding="utf-8")
    said = say("note", "temwa", "1", "wrist-lift", "--on", "20.11.")
    assert "2025-11-20 is more than 60 days from every other lesson" in " ".join(said.told.split())
    temwa.write_text(text[: text.index("[[lesson]]")], encoding="utf-8")
    said = say("note", "temwa", "1", "wrist-lift", "--on", "12 weeks ago")
    told = "2025-09-09 is more than 60 days before the first unit began, 2025-11-18"
    assert told in " ".join(said.told.split())
    assert say("note", "temwa", "1", "wrist-lift", "--on", "20.10.").code == 0
    assert say("note", "temwa", "1", "wrist-lift", "--on", "2.12.").code == 0


def test_before_the_birth_nothing_can_be_noted_at_all(temwa, say):
    assert "was born" in say("note", "temwa", "1", "wrist-lift", "--on", "1.5.2020", "--yes").told


def test_a_lesson_that_looks_like_another_childs_asks_first(temwa, say, course):
    far = ",".join(one.id for one in course.skills if course.unit[one.unit].number == 9)
    said = say("note", "temwa", "1", far, "--on", "2.12.")
    assert said.code == 2
    told = " ".join(said.told.split())
    assert "skills of unit 9; Temwa is in unit 3: for whom is this?" in told
    assert "--yes" in told
    assert say("note", "temwa", "1", far, "--on", "2.12.", "--yes").code == 0
    assert tomllib.loads(temwa.read_text(encoding="utf-8"))["lesson"][-1]["on"] == TODAY


def test_a_promise_is_due_on_the_next_such_day(temwa, say):
    assert say("promise", "temwa", "--to", "the mother", "--give", "a call", "--due", "mon").code == 0
    assert tomllib.loads(temwa.read_text(encoding="utf-8"))["promise"][-1]["due"] == date(2025, 12, 8)
