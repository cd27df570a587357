"""A day that is written as days are written elsewhere comes back the way it is taken here."""

from __future__ import annotations

import pytest

from readiness.cli.commands import CommandError
from readiness.cli.day import born_typed, day_typed, looks_like_a_day
from readiness.days import day_number


@pytest.mark.parametrize(
    "typed",
    [
        "3.12.2025", "03.12.2025", "3. 12. 2025", "3 December 2025", "3. December 2025", "3 dec 2025",
        "3 Dec, 2025", "2025-12-3", "2025/12/03", "2025.12.03", " 3.12.2025 ",
    ],
)  # fmt: skip
def test_the_day_that_was_meant_is_said(typed):
    with pytest.raises(CommandError, match=r"Did you mean 2025-12-03\?"):
        day_typed(typed, "--due")


@pytest.mark.parametrize(
    "typed", ["3/12/2025", "12/3/2025", "31.2.2025", "3 Ju 2025", "3 Mayo 2025", "yesterday", "", "3.12.25"]
)
def test_what_may_mean_two_days_or_none_is_not_guessed_at(typed):
    with pytest.raises(CommandError, match=r"is none\. Year, month and day, in figures\.$"):
        day_typed(typed, "--due")
    with pytest.raises(CommandError, match="in figures; without --on it is today"):
        day_typed(typed, "--on")


def test_a_day_as_it_is_taken_is_taken():
    assert day_typed("2025-12-03", "--on") == day_number("2025-12-03")


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
    assert "What to look at in the first lesson: `readiness sheet mia`" in " ".join(said.out.split())


@pytest.mark.parametrize(
    "typed", ["11.2021", "11/2021", "11-2021", "Nov 2021", "November 2021", "2021.11", "2021/11", "2021-Nov"]
)
def test_the_birth_month_that_was_meant_is_said(typed):
    with pytest.raises(CommandError, match=r"--born takes a month .* Did you mean 2021-11\?"):
        born_typed(typed)


def test_a_birth_day_written_as_elsewhere_is_said_and_anything_else_is_left_to_the_file():
    with pytest.raises(CommandError, match=r"Did you mean 2021-11-03\?"):
        born_typed("3.11.2021")
    for typed in ("2021-11", "2021-11-03", "2019-13", "2019", "13.2021", "spring"):
        assert born_typed(typed) == typed


@pytest.mark.parametrize("typed", ["20.12.2025", "2025-12-20", "20 December 2025", "20/12/2025", "2025-12-2"])
def test_what_looks_like_a_day_is_taken_for_one(typed):
    assert looks_like_a_day(typed)
    assert not looks_like_a_day("Sharing afternoon")


@pytest.mark.parametrize(
    "words, told",
    [
        (("season", "temwa", "--event", "20.12.2025"), "Did you mean 2025-12-20?"),
        (("tell", "temwa", "parent"), 'Did you mean "family"?'),
        (("pause", "temwa", "--part", "wrist", "--words", "sore"), 'Did you mean "hand"?'),
        (("why", "temwa", "--if", "motor=2"), "did you mean accepts.motor or days_needed.motor?"),
        (("note", "temwa", "--with-help", "feet"), "--hands-on"),
        (("why", "temwa", "--nonsense"), "there are --on, --course"),
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
