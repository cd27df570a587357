"""The small helps for sentences."""

from __future__ import annotations

import pytest

from readiness.days import day_number
from readiness.record.model import HELPS
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import counted, date_words, listed, quoted, tidy, wrap


@pytest.mark.parametrize("count, words", [(0, "no days"), (1, "1 day"), (2, "2 days"), (21, "21 days")])
def test_one_day_and_more_days(count, words):
    assert counted(count, "day") == words


def test_a_plural_of_its_own():
    assert counted(2, "child", "children") == "2 children"


def test_every_kind_of_help_has_its_own_words():
    assert len(set(HELP_WORDS)) == len(HELPS)


@pytest.mark.parametrize(
    "words, sentence",
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c", "d"], "a, b, c and d")],
)
def test_lists_in_a_sentence(words, sentence):
    assert listed(words) == sentence


def test_the_year_stands_only_where_it_is_another():
    asked = day_number("2025-12-02")
    assert date_words(day_number("2025-01-31"), asked) == "31 January"
    assert date_words(day_number("2026-01-31"), asked) == "31 January 2026"
    assert date_words(asked) == "2 December 2025"


def test_names_from_files_stay_on_one_line_and_cannot_colour_it():
    assert quoted("Lifts\n  the \x1b[31mwrist\x07") == '"Lifts the [31mwrist"'
    assert tidy("  a\tb  ") == "a b"


def test_later_lines_hang_under_the_first_word():
    lines = wrap("one two three four five six", 20, indent=2, lead="- ")
    assert lines == ["  - one two three", "    four five six"]


def test_a_date_and_a_unit_are_not_torn_apart():
    lines = wrap("shown without help on 2 December in unit 4, one of 3 days, and so on", 24)
    text = "\n".join(lines)
    assert "2 December" in text
    assert "unit 4" in text
    assert "of 3" in text


def test_a_lead_too_long_for_the_page_becomes_part_of_the_text():
    lines = wrap("three four", 20, lead="a very long lead  ")
    assert lines == ["a very long lead", "three four"]


@pytest.mark.parametrize("width", [30, 60, 80])
def test_a_word_longer_than_the_page_is_broken(width):
    assert all(len(line) <= width for line in wrap("see " + "x" * 200, width, indent=4, lead="- "))
    assert "".join(wrap("x" * 200, width)) == "x" * 200
