"""The trade's table of cautions C1 to C14: each stands where it is due, once, and nowhere else.

What makes one due is worked out here from the course file, the student's file and the help noted.
Source: the trade's table; common practice, no source beyond it.
"""

from __future__ import annotations

import html
import re

import pytest

from readiness.days import day_number
from readiness.judging import judge
from readiness.record.consents import CONSENT_FOR
from readiness.words.cautions import CAUTIONS, brief_cautions, caution

DAY = "2025-12-05"
ANSWERS = {
    "why": ("why", "ID"),
    "why --skill": ("why", "ID", "--skill", "rounded-hand-keys"),
    "why --stuck": ("why", "ID", "--stuck"),
    "why --if": ("why", "ID", "--if", "carry_limit=1"),
    "plan": ("plan", "ID"),
    "sheet": ("sheet", "ID"),
    "back": ("back", "ID"),
    "season": ("season", "ID"),
    "way": ("way", "ID", "--to", "14"),
    "together": ("together", "ID", "chikondi"),
    "tell family": ("tell", "ID", "family"),
    "tell student": ("tell", "ID", "student"),
    "tell school": ("tell", "ID", "school"),
    "handover": ("handover", "ID"),
    **{f"share {reader}": ("share", "ID", "--for", reader) for reader in CONSENT_FOR},
}
PAGES = {
    "sheet": ("sheet", "ID", "--html"),
    "handover": ("handover", "ID", "--html"),
    **{f"share {reader}": ("share", "ID", "--for", reader, "--to") for reader in CONSENT_FOR},
}
"""The pages about one student, by the words that write each."""
SHOWING = frozenset({"why", "why --skill", "why --stuck", "plan", "sheet"})
"""Answers that put a skill before the teacher, with what to try."""

ASKED = frozenset({*SHOWING, "why --if", "back", "season", "way"})
"""Answers about one student that rest on a verdict."""

DUE = {
    "C1": frozenset({*ASKED, "together", "review", "tell family", "tell student", "share family"}),
    "C2": frozenset({*SHOWING, "together"}),
    "C3": frozenset({*SHOWING, "together"}),
    "C4": frozenset({"plan", "tell family"}),
    "C5": frozenset({"why", "plan", "sheet", "back"}),
    "C6": frozenset({*SHOWING, "together"}),
    "C7": frozenset({*SHOWING, "season"}),
    "C10": frozenset({"tell family"}),
    "C11": frozenset({"why", "why --if", "compare --set"}),
    "C12": frozenset({"way"}),
    "C13": frozenset({*SHOWING, "tell family", "tell student"}),
    "C14": frozenset({*ASKED, "together"}),
}
"""In which answers about students each caution may be due; C8 goes with what leaves the program, C9 with the
first record. Whether it is due there is decided by the fields of the student and the skills shown.
"""
FOLDING = {"firm-fingertip", "rounded-hand-keys", "joins-two-tones"}
SKILLS = ("rounded-hand-keys", "two-note-slur", "closed-hand-drop", "letters-forward", "home-set-up")
STUDENTS = ("temwa", "linnea", "bogdan", "rafiq", "noemi")


def counted(text):
    """Return how often each caution stands in a text, in full or in a few words."""
    found = {}
    for one, full in CAUTIONS.items():
        grown = {caution(one, of_age=True), brief_cautions([one], of_age=True)}
        forms = {full, brief_cautions([one]), *grown} - {""}
        found[one] = sum(text.count(form) for form in forms)
    found["C1"] = text.count("Do not play through pain.")
    return {one: count for one, count in found.items() if count}


def answer_of(name, student, say, flat, *more):
    words = [student if word == "ID" else word for word in ANSWERS[name]]
    return counted(flat(say(*words, "--on", DAY, *more).out))


@pytest.fixture
def page_of(say, flat, tmp_path):
    """Return a function that writes a page and returns what it says, and what was said beside it."""

    def write(*words):
        path = tmp_path / "page.html"
        path.unlink(missing_ok=True)
        said = say(*words, path)
        assert said.code == 0, said.err
        page = re.sub(r"<style.*?</style>|<[^>]+>", " ", path.read_text(encoding="utf-8"), flags=re.DOTALL)
        return flat(html.unescape(page)), said.told

    return write


@pytest.mark.parametrize("student", STUDENTS)
@pytest.mark.parametrize("name", ANSWERS)
def test_a_caution_stands_once_and_only_in_answers_it_may_be_due_in(name, student, say, flat):
    found = answer_of(name, student, say, flat)
    assert {one for one in found if name not in DUE.get(one, ())} == set()
    assert set(found.values()) <= {1}


@pytest.mark.parametrize("student", STUDENTS)
def test_a_paused_student_is_never_spoken_of_without_stop_playing(student, say, flat, course, records):
    is_paused = judge(course, records[student], day_number(DAY)).verdict == "paused"
    assert is_paused == (student == "linnea")
    for name in ANSWERS.keys() & DUE["C1"] - {"together", "tell student"}:
        assert ("C1" in answer_of(name, student, say, flat)) == is_paused, name
    student_hears = flat(say("tell", student, "student", "--on", DAY).out)
    assert ("No playing for now" in student_hears) == is_paused
    if is_paused:
        assert "NO PLAYING" in flat(say("handover", student, "--on", DAY).out).upper()


@pytest.mark.parametrize("student", STUDENTS)
@pytest.mark.parametrize("skill", SKILLS)
def test_a_skill_brings_what_its_fields_call_for(student, skill, say, flat, course, records):
    one = course.skill[skill]
    helped = {
        shown.skill
        for lesson in records[student].lessons
        if lesson.on <= day_number(DAY)
        for shown in lesson.showings
        if shown.help == 3
    }
    found = counted(flat(say("why", student, "--skill", skill, "--on", DAY, "--full").out))
    assert ("C2" in found) == (one.kind == "motor" or one.always_look)
    assert ("C3" in found) == (skill in FOLDING)
    assert ("C6" in found) == (bool(one.touches) or skill in helped)
    assert ("C7" in found) == (one.recorded and not records[student].consents.get("video"))
    assert set(found.values()) == {1}


def test_a_remedy_that_touches_is_never_shown_without_asking_first(say, flat, course):
    touching = [one.remedies[at - 1] for one in course.skills for at in one.touches]
    assert len(touching) == 2
    for name in DUE["C6"] & ANSWERS.keys():
        for student in STUDENTS:
            words = [student if word == "ID" else word for word in ANSWERS[name]]
            text = flat(say(*words, "--on", DAY, "--full").out)
            if any(remedy in text for remedy in touching):
                assert "C6" in counted(text), (name, student)


def test_a_changed_number_has_its_default_beside_it(say, flat):
    assert "C11" in counted(flat(say("compare", "--set", "band.4-5.carry_limit=1", "--on", DAY).out))
    assert "C11" not in counted(flat(say("compare", "--add", "wrist-lift:rounded-hand-rest").out))
    for student in STUDENTS:
        assert "C11" not in answer_of("why", student, say, flat, "--full")


def test_a_voice_that_rests_is_told_to_in_the_letters(say, flat, demo_folder):
    """C13, and not in a letter about hands."""
    for reader in ("family", "student"):
        words = ("tell", "marit", reader, "--students", demo_folder / "two-courses")
        assert counted(flat(say(*words).out)).get("C13") == 1
        paused = counted(flat(say(*words, "--course", "voice").out))
        assert paused.get("C13", 0) == (reader == "family")
        assert "C13" not in counted(flat(say("tell", "linnea", reader, "--on", DAY).out))


def test_what_leaves_the_program_asks_for_whom(say, flat):
    for words in (("handover", "temwa"), ("share", "temwa", "--for", "family")):
        assert counted(flat(say(*words).told)) == {"C8": 1}


@pytest.mark.parametrize("student", STUDENTS)
@pytest.mark.parametrize("name", PAGES)
def test_a_page_holds_what_is_due_on_it_and_nothing_else(name, student, page_of, course, records):
    """C8 goes with every page that is written; on the check sheet it is printed too.

    C1 stands for a pause on the sheet and on what a family reads of their child.
    """
    is_paused = judge(course, records[student], day_number(DAY)).verdict == "paused"
    words = [student if word == "ID" else word for word in PAGES[name]]
    page, told = page_of(*words[:2], "--on", DAY, *words[2:])
    stop = {"C1": 1} if is_paused and name in ("sheet", "share family") else {}
    assert counted(page) == ({"C8": 1, **stop} if name == "sheet" else stop)
    assert counted(told) == {"C8": 1}
    if is_paused:
        assert re.search("stop playing|no playing|paused", page, re.IGNORECASE)
    touching = [one.remedies[at - 1] for one in course.skills for at in one.touches]
    assert not [remedy for remedy in touching if remedy in page]


def test_a_page_of_the_school_holds_what_is_due_on_it(page_of):
    cautions = {
        ("all", "school"): {"C1": 1, "C8": 1, "C12": 1, "C14": 1},
        ("paused", "school"): {"C1": 1, "C8": 1, "C14": 1},
        ("ready", "school"): {"C8": 1, "C14": 1},
        ("numbers", "third-party"): {},
    }
    for (question, reader), due in cautions.items():
        day = "2025-12-01" if reader == "third-party" else DAY
        page, told = page_of("ask", question, "--for", reader, "--on", day, "--html")
        assert counted(page) == due, question
        assert counted(told) == {"C8": 1}
