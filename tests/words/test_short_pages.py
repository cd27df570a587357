"""The answers around a lesson: short, whole sentences, no line over the width, and all of it on request."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import pytest
from drawn import situations
from hypothesis import given, settings
from hypothesis import strategies as st
from told import page_of, text_of

from readiness.advice.after_break import after_break
from readiness.advice.handover import hand_over, pair_up
from readiness.advice.lesson import plan_lesson
from readiness.advice.placing_round import placing_round
from readiness.advice.review import prepare, review
from readiness.advice.sheet import check_sheet
from readiness.advice.way import way_to
from readiness.course.model import Course
from readiness.days import day_number
from readiness.judging import judge, what_if
from readiness.judging.answer import Answer
from readiness.record.consents import as_if_agreed
from readiness.record.model import Record
from readiness.record.noting import NewLesson
from readiness.record.rhythm import Calendar, Event
from readiness.testing import Situation, ask
from readiness.words.ahead import back_sections, review_sections, season_sections, way_sections, when_sections
from readiness.words.changes import compare_sections
from readiness.words.layout import cells, lay_out
from readiness.words.lesson import pair_sections, plan_sections, sheet_sections
from readiness.words.noting import noted_words
from readiness.words.phrases import Phrases
from readiness.words.placing_round import round_sections
from readiness.words.reasons import skill_sections
from readiness.words.share import handover_sections
from readiness.words.why import tell_answer

STUDENTS = ("bogdan", "chikondi", "linnea", "noemi", "rafiq", "temwa")
DAYS = ("2025-09-16", "2025-10-14", "2025-12-02", "2025-12-17", "2026-01-20")
WIDTHS = (40, 60, 80, 120)
MOST_LINES = {
    "why": 20, "plan": 20, "back": 24, "season": 15, "way": 30, "when": 15, "review": 18, "together": 24,
    "place": 24,
}  # fmt: skip
"""How many lines an answer has at most at 80 columns; a sheet has a line an item and ten beside them."""
ODD = re.compile(r"None(?! of these)|[{}]|[\x00-\x09\x0b-\x1f\x7f]")


@dataclass(frozen=True)
class Asked:
    """A student on a day, and every page about them."""

    course: Course
    record: Record
    answer: Answer
    calendar: Calendar

    def pages(self, width: int = 80, *, full: bool = False) -> dict[str, str]:
        """Return the pages by what they answer."""
        course, record, answer = self.course, self.record, self.answer
        back = after_break(course, record, answer)
        day = prepare(course, record, answer, Event("Fair", answer.on + 30, answer.on + 30))
        last = way_to(course, record, answer.on, course.units[-1].id, self.calendar)
        say, handed = Phrases(answer, course, record), hand_over(course, record, answer)
        sharing = as_if_agreed(record, "substitute", answer.on)
        both = pair_up(course, [(record, answer), (record, answer)])
        here, soon = course.on(answer.on), review(course, record, answer.on, 60)

        pages = {
            "plan": (plan_sections, plan_lesson(course, record, answer), course),
            "sheet": (sheet_sections, check_sheet(course, record, answer), course),
            "back": (back_sections, (back, None), here),
            "season": (season_sections, day, here),
            "way": (way_sections, last, here),
            "when": (when_sections, (), course),
            "place": (round_sections, placing_round(course, record, answer.on), course),
        }
        told = {
            name: page_of(page, found, answer, then, record, width=width, full=full)
            for name, (page, found, then) in pages.items()
        }
        return told | {
            "review": text_of(review_sections, soon, (back, None), here, record, width=width, full=full),
            "together": text_of(pair_sections, both, ("A", "B"), answer.on, here, width=width, full=full),
            "handover": lay_out(handover_sections(handed, say, sharing), width, full=full),
        }


@pytest.fixture(scope="module")
def asked(course, records):
    """Return every demo student on every day."""
    days = [day_number(day) for day in DAYS]
    return [
        Asked(course, records[student], answer := judge(course, records[student], day), answer.calendar)
        for student in STUDENTS
        for day in days
    ]


def test_every_answer_fits_a_screen(asked):
    for one in asked:
        pages = one.pages()
        items = len(check_sheet(one.course, one.record, one.answer).items)
        most = {**MOST_LINES, "sheet": items + 11, "handover": 60}
        pages["why"] = tell_answer(one.answer, one.course, one.record)
        lines = {name: len(text.splitlines()) for name, text in pages.items()}
        if one.answer.placing is None:
            del lines["place"]
        long = {name: count for name, count in lines.items() if count > most[name]}
        assert not long, (one.record.id, one.answer.on, long)


def sentences(text: str) -> list[str]:
    """Return the sentences of a page; an entry of a list and a row of a table is one of its own."""
    joined: list[str] = []
    for line in text.splitlines():
        goes_on = joined and line.startswith(" ") and not re.match(r" *(- |\d+[-.]|\d+ min|Lesson)", line)
        if goes_on and line.strip():
            joined[-1] += f" {line.strip()}"
        else:
            joined.append(line.strip())
    return [part for line in joined for part in re.split(r"(?<=[.?!:])\s+", line) if part]


def test_sentences_are_short_and_name_three_things_at_most(asked):
    for one in asked:
        for name, text in one.pages().items():
            own = name in ("plan", "handover", "together", "place")  # they quote activities of the course
            for sentence in sentences(text):
                assert sentence.count('"') <= 6, (name, sentence)
                assert own or len(sentence.split()) <= 30, (name, sentence)


def test_all_of_it_holds_the_short_answer_and_more(asked):
    for one in asked[:6]:
        short, full = one.pages(), one.pages(full=True)
        for name in ("plan", "sheet", "back", "season", "way"):
            if one.answer.verdict != "paused":
                assert len(full[name].splitlines()) > len(short[name].splitlines()), name
        for line in short["sheet"].splitlines()[:5]:
            assert line[:30].rstrip() in full["sheet"]


def folded(text):
    """Return the lines of a text without those that begin with a command, which is copied and kept whole."""
    return [line for line in text.splitlines() if not line.lstrip().startswith("`readiness ")]


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_is_wider_than_the_page(asked, width):
    for one in asked[::4]:
        for full in (False, True):
            for name, text in one.pages(width, full=full).items():
                assert max(map(cells, folded(text))) <= width, name


def test_no_page_speaks_of_the_family_of_an_adult(course, records):
    day, grown = day_number("2025-12-02"), records["bogdan"]
    lesson = NewLesson(day, helps={"wrist-lift": 3}, note="the wrist hurts")
    paused = replace(grown, holds=records["linnea"].holds)
    for record in (grown, paused, replace(grown, consents={"touch": True})):
        answer = judge(course, record, day)
        pages = Asked(course, record, answer, answer.calendar).pages(full=True)
        supposed, values = what_if(course, record, day, {"show.wrist-lift": "alone"})
        pages["what if"] = page_of(
            compare_sections,
            Phrases(answer, course, record),
            supposed,
            course,
            record,
            values,
            full=True,
        )
        pages["noted"] = page_of(noted_words, Phrases(answer, course, record), answer, course, record, lesson)
        pages["skill"] = text_of(skill_sections, Phrases(answer, course, record), "wrist-lift", full=True)
        assert not [name for name, text in pages.items() if "the family" in " ".join(text.split())]
    child = records["temwa"]
    answer = judge(course, child, day)
    assert "tell the family" in " ".join(
        page_of(noted_words, Phrases(answer, course, child), answer, course, child, lesson).split()
    )


@given(situations(), st.sampled_from(WIDTHS), st.booleans())
@settings(max_examples=30)
def test_whatever_the_studio_is_every_page_is_told(situation: Situation, width: int, full: bool) -> None:
    found = ask(situation)
    one = Asked(found.course, found.record, found.answer, found.answer.calendar)
    for name, text in one.pages(width, full=full).items():
        assert text.endswith("\n"), name
        assert not ODD.search(text), (name, text)
        assert max(map(cells, folded(text))) <= width, (name, text)
