"""``tell``, ``handover`` and ``share`` as a person uses them."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from readiness.course.load import load_course
from readiness.days import day_number
from readiness.record.consents import kept_on
from readiness.record.load import load_record
from readiness.words.letters import READERS


@pytest.mark.parametrize("reader", READERS)
def test_a_draft_and_that_it_is_one(reader, say):
    said = say("tell", "temwa", reader)
    assert said.code == 0
    assert "a draft, please edit" in said.out


def test_a_draft_as_json(say):
    found = json.loads(say("tell", "chikondi", "family", "--on", "2025-12-02", "--json").out)
    assert found["student"] == "chikondi"
    assert found["for"] == "family"
    assert found["on"] == "2025-12-02"
    assert 4 <= len(found["sentences"]) <= 6
    assert found["before_use"]


def test_an_unknown_reader_is_a_sentence(say):
    said = say("tell", "temwa", "aunt")
    assert said.code == 2
    assert "child" in said.told
    assert "family" in said.told


def test_the_page_says_before_it_leaves(say, flat):
    said = say("handover", "chikondi")
    assert said.code == 0
    assert "Safety first" in said.out
    assert "who is it for" in said.told


def test_the_page_as_json_and_as_a_sheet(say, tmp_path, flat):
    found = json.loads(say("handover", "chikondi", "--json").out)
    assert found["consent_noted"] is False
    assert found["name"] == "Chikondi"
    assert [one["part"] for one in found["blocks"]] == ["opening", "work", "music"]
    said = say("handover", "chikondi", "--html", tmp_path / "page.html")
    assert said.out == ""
    assert "is written" in said.told
    assert "Safety first" in (tmp_path / "page.html").read_text(encoding="utf-8")
    assert say("handover", "temwa", "--html", tmp_path / "page.html").code == 0
    assert "Temwa" in (tmp_path / "page.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "words",
    [
        ("handover", "chikondi", "--html"),
        ("sheet", "chikondi", "--html"),
        ("share", "chikondi", "--for", "substitute", "--to"),
        ("ask", "all", "--html"),
        ("map", "--to", "svg", "--out"),
    ],
)
def test_a_page_goes_to_a_new_file_in_a_folder_that_is_there(say, tmp_path, words):
    assert "Please name a file in it." in say(*words, tmp_path).told
    assert "Please make it first." in say(*words, tmp_path / "nowhere" / "page.html").told
    assert list(tmp_path.iterdir()) == []


def test_a_course_is_sent_out_by_the_same_rules(say, tmp_path, course_folder):
    words = ("exchange", "export", course_folder)
    assert "Please name a file in it." in say(*words, tmp_path, "--as", "case").told
    assert say(*words, tmp_path / "sent.json", "--as", "case").code == 0
    assert "nothing was written" in say(*words, tmp_path / "sent.json", "--as", "case").told


def test_nothing_else_is_written_over(say, tmp_path):
    (tmp_path / "mine.html").write_text("my own\n", encoding="utf-8")
    said = say("handover", "chikondi", "--html", tmp_path / "mine.html")
    assert said.code == 2
    assert "nothing was written" in said.told
    assert (tmp_path / "mine.html").read_text(encoding="utf-8") == "my own\n"


@pytest.mark.parametrize("edit", [
    lambda page: page.replace(b"</p>", b" In my words.</p>", 1), lambda page: page.replace(b"\n", b"\r\n"),
    lambda page: page + b"\n", lambda page: page.rpartition(b"<!--")[0],
])  # fmt: skip
def test_a_page_that_somebody_edited_is_not_written_over(say, tmp_path, edit):
    page = tmp_path / "letter.html"
    words = ("tell", "temwa", "family", "--to", page)
    assert [say(*words).code for _ in range(2)] == [0, 0]  # as it was written here, so nothing is lost
    assert say("tell", "temwa", "student", "--to", page).code == 0
    page.write_bytes(edited := edit(page.read_bytes()))
    said = say(*words)
    assert (said.code, "is there already" in said.told) == (2, True)
    assert page.read_bytes() == edited


def test_who_may_see_what(say, flat):
    said = say("share", "temwa")
    assert said.code == 0
    assert "Who may see what about Temwa" in said.out
    assert "not noted, so no" in flat(said.out)


def test_json_and_a_file_need_a_reader(say, tmp_path):
    for words in (("--json",), ("--to", tmp_path / "x.txt")):
        said = say("share", "temwa", *words)
        assert said.code == 2
        assert "--for" in said.told
    assert not (tmp_path / "x.txt").exists()


def test_sharing_needs_consent_and_the_file_has_what_was_shown(say, studio, flat):
    path = studio / "students" / "temwa.toml"
    nothing = say("share", "temwa", "--for", "school", "--students", studio / "students")
    assert "Nothing is in here" in flat(nothing.out)
    text = path.read_text(encoding="utf-8").replace("{ video = false }", "{ share_school = true }")
    path.write_text(text, encoding="utf-8")
    out = studio / "school.txt"
    words = ("share", "temwa", "--for", "school", "--students", studio / "students", "--to", out)
    said = say(*words, "--on", "2025-12-02")
    assert said.code == 0
    assert "who is it for" in said.told
    shared = flat(out.read_text(encoding="utf-8"))
    assert "Temwa, 2 December 2025." in shared
    assert "Left out for this reader" in shared
    again = say(*words)
    assert again.code == 2
    assert "is there already" in again.told


def test_the_school_is_not_told_as_left_out_what_it_reads(say, studio, flat):
    path = studio / "students" / "temwa.toml"
    text = path.read_text(encoding="utf-8").replace("{ video = false }", "{ share_school = true }")
    path.write_text(text, encoding="utf-8")
    words = ("share", "temwa", "--for", "school", "--students", studio / "students", "--on", "2025-12-02")
    read, _, left_out = flat(say(*words).out).partition("Left out for this reader")
    assert '"Lifts the wrist" (2 of 3 days' in read
    assert "skills in work" not in left_out
    assert "lesson notes" in left_out.casefold()


def test_without_consent_a_substitute_reads_no_skill_that_is_worked_on(say, flat):
    told = flat(say("share", "chikondi", "--for", "substitute").out)
    assert "Where the work is" not in told
    assert '"' not in told.partition("Left out for this reader")[0]
    found = json.loads(say("share", "chikondi", "--for", "substitute", "--json").out)
    assert found["when_stuck"] == []
    assert {skill for block in found["blocks"] for skill in block["skills"]} == set()
    assert sum(block["minutes"] for block in found["blocks"]) == found["minutes"]


def test_what_was_kept_on_a_day_holds_nothing_later(say):
    words = ("share", "linnea", "--for", "family", "--on", "2025-11-26")
    assert "27 November" not in say(*words).out
    assert "4 December" not in say(*words).out
    kept = json.loads(say(*words, "--json").out)["kept"]
    assert kept["holds"] == []
    assert max(one["on"] for one in kept["lessons"]) == "2025-11-20"


def test_a_hold_that_was_closed_later_is_open_on_the_day_itself(records):
    hold = replace(records["linnea"].holds[0], closed=day_number("2025-12-10"), closed_by="x")
    kept = kept_on(replace(records["linnea"], holds=(hold,)), day_number("2025-12-01"))
    assert kept.holds == (records["linnea"].holds[0],)


def test_the_shipped_text_of_a_letter_to_begin_from(say, studio):
    text = say("tell", "--template", "family").out
    assert "[waiting]" in text
    assert "$next_lesson" in text
    assert "please say about whom" in say("tell", "temwa").told
    (studio / "letters").mkdir()
    (studio / "letters" / "family.txt").write_text(
        text.replace("[waiting]\n", "[waiting]\nDear all, $good\n"), encoding="utf-8"
    )
    words = ("tell", "temwa", "family", "--students", studio / "students", "--on", "2025-12-02")
    assert "Dear all, Temwa does this without any help" in say(*words).out
    (studio / "letters" / "family.txt").write_text("[waiting]\n$nobody\n", encoding="utf-8")
    found = json.loads(say(*words, "--json").out)
    assert found["before_use"][0].startswith("family.txt:2 there is no $nobody (there are: ")
    assert found["sentences"][0].startswith("Temwa does this without any help")


def test_a_student_is_a_reader_and_may_be_called_a_child(say):
    assert say("tell", "temwa", "child").out == say("tell", "temwa", "student").out


def test_a_family_may_have_everything_as_json(say):
    found = json.loads(say("share", "linnea", "--for", "family", "--json").out)
    assert found["left_out"] == ["other-students"]
    assert found["kept"]["holds"][0]["opened"] == "2025-11-27"
    school = json.loads(say("share", "linnea", "--for", "school", "--json").out)
    assert school["student"] is None
    assert "kept" not in school
    assert "sentences" not in school


def test_a_students_file_says_the_language(say, studio, course_folder):
    course = load_course(course_folder).course
    assert course is not None
    path = studio / "students" / "temwa.toml"
    before = path.read_text("utf-8")
    words = ("tell", "temwa", "family", "--students", studio / "students", "--on", "2025-12-02")
    path.write_text(before.replace("born =", 'language = "es"\nborn =', 1), "utf-8")
    assert "A Temwa le sale esto" in say(*words).out
    assert "Temwa does this" in say(*words, "--language", "en").out
    found = json.loads(say(*words, "--json").out)
    assert found["language"] == "es"
    assert json.loads(say("tell", "temwa", "school", *words[3:], "--json").out)["language"] == "en"
    path.write_text(before.replace("born =", 'language = "xx"\nborn =', 1), "utf-8")
    loaded = load_record(path, course)
    assert loaded.record is not None
    (problem,) = [one for one in loaded.problems if one.id == "unknown-language"]
    assert "en (English), es (Spanish)" in problem.hint
    assert "Temwa does this" in say(*words).out


def test_a_page_says_in_which_language_a_letter_is(say, tmp_path):
    """Web Content Accessibility Guidelines 2.2, 3.1.2: the language of parts is named."""
    page = tmp_path / "letter.html"
    for code, mark in (("es", '<section class="letter" lang="es">'), ("en", '<section class="letter">')):
        assert say("tell", "temwa", "family", "--language", code, "--to", page).code == 0
        assert mark in page.read_text(encoding="utf-8")


def test_a_language_that_does_not_exist_is_told_with_those_that_do(say):
    said = say("tell", "temwa", "family", "--language", "xx")
    assert said.code == 2
    assert "en (English), es (Spanish)" in said.told
    assert "[waiting]\n$good" in say("tell", "--template", "family", "--language", "es").out


def test_one_skill_by_its_beginning(say):
    said = say("why", "temwa", "--skill", "wrist-l")
    assert said.code == 1
    assert "Lifts the wrist (wrist-lift)" in said.out
    found = json.loads(say("why", "temwa", "--skill", "wrist-l", "--json").out)
    assert found["skill"] == "wrist-lift"
    assert found["need"] == 3


@pytest.mark.parametrize(
    "words, needed",
    [
        (("--skill", "groups"), "please type a little more"),
        (("--skill", "wrist-lfit"), "wrist-lift"),
        (("--skill", "wrist-lift", "--if", "carry_limit=1"), "one thing at a time"),
    ],
)
def test_a_skill_that_is_not_clear_is_a_sentence(words, needed, say, flat):
    said = say("why", "temwa", *words)
    assert said.code == 2
    assert said.out == ""
    assert needed in said.told


def test_a_word_behind_an_option_is_taken_as_before_it(say, studio):
    told = [say("tell", *words) for words in (
        ("temwa", "family", "--on", "2025-12-02"), ("temwa", "--on", "2025-12-02", "family"),
        ("--on", "2025-12-02", "temwa", "family"),
    )]  # fmt: skip
    assert {(one.code, one.out) for one in told} == {(told[0].code, told[0].out)}
    assert told[0].code == 0
