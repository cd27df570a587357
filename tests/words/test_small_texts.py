"""Cautions, reasons as they are, lists, and where a skill is needed later."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from told import page_of, text_of, what_if_text

from readiness.advice.estimates import Estimate
from readiness.advice.timeline import birthday_changes
from readiness.course.graph import first_needed
from readiness.days import birth_day, day_number
from readiness.judging.findings import AfterHold, Finding
from readiness.record.noting import check_day
from readiness.school.counts import Stay
from readiness.toml.problems import Place, Problem
from readiness.words.ahead import birthday_sections, when_sections
from readiness.words.cautions import CAUTIONS, caution
from readiness.words.english import stay_words
from readiness.words.lists import check_words, recheck_words, roster_words
from readiness.words.reasons import reasons_outline


def test_all_cautions_have_words():
    assert list(CAUTIONS) == [f"C{number}" for number in range(1, 15)]


@pytest.mark.parametrize(
    "which, words",
    [
        ("C1", ("Stop playing now.", "Do not play through pain.", "Tell the family", "licensed clinician")),
        ("C1", ("No playing tasks", "an adult ends the pause")),
        ("C2", ("general teaching information", "not medical advice")),
        ("C3", ("common", "Lighten", "support", "never force")),
        ("C6", ("asking, every time", "another way")),
        ("C7", ("do not record",)),
        ("C9", ("as little as", "family", "local law", "delete")),
        ("C13", ("Rest the voice", "clinician")),
        ("C14", ("advice to a teacher", "the teacher decides")),
    ],
)
def test_cautions_say_what_they_must(which, words):
    assert all(word in caution(which) for word in words)


def test_cautions_are_short_enough_to_be_read():
    assert max(map(len, CAUTIONS.values())) < 260


def test_reasons_go_as_deep_as_they_are():
    """As deep as no call stack goes: the outline is walked, not recursed."""
    leaf = Finding(None, ())
    for _ in range(20_000):
        leaf = Finding(None, (leaf,))
    assert text_of(reasons_outline, [leaf], full=True).count("\n") == 20_001


def test_reasons_name_file_and_line(answered):
    findings = answered("temwa", "2025-12-02").findings
    short = " ".join(text_of(reasons_outline, findings).split())
    assert "- wrist-lift: building; counts 2025-11-25 alone [temwa.toml:" in short
    assert "- spread_days = 6 [pacing.toml:" in short
    assert max(map(len, text_of(reasons_outline, findings).splitlines())) <= 80
    text = text_of(reasons_outline, findings, width=200, full=True)
    assert "skill-open skill=wrist-lift state=building deciding=yes [graph.toml:" in text
    assert "\n  - note skill=wrist-lift day=2025-12-02 help=alone counts=yes [temwa.toml:" in text
    after = AfterHold(None, (), day_number("2025-12-01"), lesson_days=1, needed=2)
    assert text_of(reasons_outline, [after], full=True) == (
        "- after-a-hold closed=2025-12-01 lesson_days=1 needed=2\n"
    )


@pytest.mark.parametrize(
    "skill, unit, needed",
    [
        # the worked answers of the demo students
        ("reads-bass-line", "reading-intervals", (13, False)),
        ("interval-ear", "reading-intervals", (14, False)),
        ("c-tune-shared", "c-position", (13, True)),
        ("two-note-slur", "c-position", None),
        ("sings-up-down", "hand-shape-wrist", (9, False)),
    ],
)
def test_where_a_skill_is_first_needed_later(skill, unit, needed, course):
    later = first_needed(course, skill, unit)
    assert (None if later is None else (later.number, later.in_group)) == needed


def test_a_later_use_names_the_skills_that_stand_on_it(course):
    later = first_needed(course, "wrist-lift", "hand-shape-wrist")
    assert later is not None
    assert later.unit == "arms-that-travel"
    assert all("wrist-lift" in course.skill[user].stands_on for user in later.skills)


def test_a_hold_cannot_be_overlooked_in_the_roster(course, records, answered):
    text = text_of(roster_words, [answered(student, "2025-12-05") for student in records], course)
    assert "Linnea    unit 13  PAUSED: SOMETHING HURTS\n    Last lesson 4 December." in text
    names = [line.split()[0] for line in text.split("\n\n")[0].splitlines() if line[0] != " "]
    assert names == sorted(names)


def test_an_empty_roster_says_so(course):
    first = "No students yet. The first one: `readiness enrol ID --name NAME --born YYYY-MM`\n"
    assert text_of(roster_words, [], course) == first
    assert text_of(roster_words, [], course, width=60).count("\n") == 2
    assert "1 student file cannot be read yet." in text_of(roster_words, [], course, broken=1)
    assert "3 student files cannot be read yet." in text_of(roster_words, [], course, broken=3)


def test_a_check_without_problems_says_how_large_the_course_is(course):
    assert check_words(course, ()) == "No problems: 140 skills, 14 units, 242 links and 5 ages.\n"


def test_a_check_counts_its_problems(course, tmp_path):
    place = Place(tmp_path / "graph.toml", 1, 1)
    found = [Problem("a", "error", place, "one"), Problem("b", "warning", place, "two")] * 2
    assert check_words(course, found) == "2 errors and 2 warnings.\n"


def test_a_second_working_out_says_yes_or_what_does_not_follow():
    day = day_number("2025-12-02")
    assert "follows from the files" in text_of(recheck_words, "Temwa", day, ())
    text = text_of(recheck_words, "Temwa", day, ("verdict", "blockers"))
    assert "does not follow" in text
    assert "  - verdict\n  - blockers\n" in text
    open_ = (("look_first", "order"),)
    only = text_of(recheck_words, "Temwa", day, (), open_)
    assert only.startswith("Checked but for this: ")
    assert "  - look_first: whether another set of that size" in only
    both = text_of(recheck_words, "Temwa", day, ("verdict",), open_)
    assert "  - verdict\nNot checked:\n  - look_first:" in both


def compared(course, records, answered, student, on, changes):
    return " ".join(what_if_text(answered(student, on), course, records[student], changes).split())


def test_what_if_names_what_changes_the_default_and_that_nothing_is_saved(course, records, answered):
    text = compared(course, records, answered, "temwa", "2025-12-02", {"days_needed.motor": "2"})
    assert "nothing is saved" in text
    assert "days_needed.motor: 2; now 3 (pacing.toml:41); the default is 3." in text
    assert 'No longer in the way: "Lifts the wrist" (wrist-lift), now secure.' in text
    assert 'To finish on the way: "Sings up and down by step" (sings-up-down).' in text


def test_what_if_that_changes_nothing_says_so(course, records, answered):
    text = compared(course, records, answered, "temwa", "2025-12-09", {"stuck_tries": "4"})
    assert "What changes - Nothing." in text


def test_what_if_never_passes_a_hold(course, records, answered):
    text = compared(course, records, answered, "linnea", "2025-12-04", {"carry_limit": "5"})
    assert "Then: Paused: something hurts." in text
    assert "Do not play through pain" in text
    assert "ready" not in text


def test_a_birthday_is_told_in_words_without_the_names_of_the_file(course, records):
    day = day_number("2026-01-05")
    turning = birthday_changes(course, records["temwa"], day)
    text = text_of(birthday_sections, turning, None, course, records["temwa"], day, full=True)
    assert not re.search(r"[a-z]+_[a-z]|[a-z]\.[a-z]|>", text)
    assert "Minutes for one activity: 6, in place of 4." in text


@pytest.mark.parametrize("born, told", [("2020-05-14", "on 14 May 2026"), ("2020-05", "by 31 May 2026")])
def test_a_birth_known_by_its_month_has_no_day(born, told, course, records):
    day, record = day_number("2026-01-05"), replace(records["temwa"], born=birth_day(born))
    turning = birthday_changes(course, record, day)
    assert f"Temwa turns 6 {told}: " in text_of(birthday_sections, turning, None, course, record, day)
    (refused,) = check_day(record, day_number("2020-04-02"), day)
    assert f"before Temwa was born ({born})." in refused.message


def test_where_no_case_is_like_it_one_sentence_says_so(course, records, answered):
    found = [
        Estimate(skill, "motor", "4-5", 0, (), 0, None, None, 5)
        for skill in ("rounded-hand-keys", "wrist-lift")
    ]
    answer = answered("temwa", "2025-12-02")
    told = page_of(when_sections, found, answer, course, records["temwa"], full=True)
    text = " ".join(told.split())
    assert text.count("Not one earlier case") == 1
    assert f"is like: {course.skill['rounded-hand-keys'].name}; {course.skill['wrist-lift'].name}." in text
    assert "gives 5 weeks for unit 3, Hand shape, fingers and wrist lifts." in text


def test_how_long_a_unit_took_is_said_with_the_right_number():
    assert stay_words(Stay("unit-1", "4-5", 1, 1.0, 1.0, 1.0, 4)) == "1 lesson, from one student only"
    assert stay_words(Stay("unit-1", "4-5", 2, 2.0, 2.0, 2.0, 4)) == "2 lessons in the middle"
    told = "5 lessons in the middle (half of the students: 4.5 to 6)"
    assert stay_words(Stay("unit-1", "4-5", 3, 5.0, 4.5, 6.0, 4)) == told
