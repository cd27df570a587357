"""The one page for a substitute, and what each reader may see."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from drawn import situations
from hypothesis import given, settings
from told import text_of
from words.test_letters import AVOIDED_WORDS

from readiness.advice.handover import hand_over
from readiness.advice.lesson import plan_lesson
from readiness.course.load import load_course
from readiness.days import day_number, iso
from readiness.judging import judge
from readiness.pages.document import PAPERS, sections_page
from readiness.record.consents import CONSENT_FOR, KEPT, as_if_agreed, kept_to_dict, may_see
from readiness.record.model import Hold, Promise, Record, SetAside, Task
from readiness.studio.find import shipped
from readiness.testing import Situation, ask
from readiness.words.layout import lay_out
from readiness.words.phrases import Phrases
from readiness.words.share import handover_sections, not_asked, overview_words, share_sections

ALL = {"share_substitute": True, "share_school": True, "share_family": True}


@pytest.fixture
def page_of(course):
    """Return a function from record and day to the whole page as a text."""

    def make(record, on, width=80):
        answer = judge(course, record, day_number(on))
        page = hand_over(course, record, answer)
        sharing = as_if_agreed(record, "substitute", answer.on)
        return lay_out(handover_sections(page, Phrases(answer, course, record), sharing), width, full=False)

    return make


@pytest.fixture
def shared(course):
    """Return a function from record, reader and day to what that reader may see."""

    def make(record, reader, on):
        answer = judge(course, record, day_number(on))
        page = hand_over(course, record, answer)
        sharing = may_see(record, reader, answer.on)
        return lay_out(share_sections(sharing, Phrases(answer, course, record), page), 80)

    return make


def test_music_longer_than_an_activity_of_this_age_is_said_to_be_in_turns(page_of, records):
    """A substitute is not to read "20 min" as twenty minutes without a break (common practice, no source)."""
    seen = set()
    for record in records.values():
        for day in range(day_number("2025-09-01"), day_number("2026-01-20"), 9):
            text = " ".join(page_of(record, iso(day)).split())
            longest = re.search(r"nothing longer than (\d+)", text)
            music = re.search(r"(\d+) min Make music(?:, at most (\d+) minutes at a time)?:", text)
            if longest and music:
                most, turn = int(longest[1]), int(music[2] or music[1])
                seen.add(music[2] is not None)
                assert turn <= most
    assert True in seen


def test_the_page_fits_one_sheet(page_of, records):
    for record in records.values():
        for day in range(day_number("2025-09-01"), day_number("2026-01-20"), 9):
            text = page_of(replace(record, consents=ALL), iso(day))
            assert len(text.splitlines()) <= 60
            assert max(map(len, text.splitlines())) <= 80


def test_the_page_with_the_most_on_it_still_fits(page_of, records):
    """Long words everywhere: three of many promises, a long task, things set aside, both holds."""
    long = "with the rowing song, twice, slowly, and then once more from the end " * 2
    full = replace(
        records["chikondi"],
        consents=ALL | {"share_set_aside": True, "touch": True},
        promises=tuple(Promise(day_number("2025-12-01"), "the mother", long) for _ in range(9)),
        tasks=(Task(day_number("2025-12-02"), "alternate-arms-steady", long, 3, 5, 2, long),),
        set_aside=tuple(SetAside(s, 1) for s in ("counts-groups", "echo-sing-two", "sings-up-down")),
    )
    assert len(page_of(full, "2025-12-02").splitlines()) <= 60


def test_safety_comes_first_and_what_is_not_known_is_left_to_fill_in(page_of, records, flat):
    text = page_of(replace(records["chikondi"], consents=ALL), "2025-12-02")
    assert text.splitlines()[2] == "Safety first"
    words = flat(text)
    for blank in ("Bench, footrest, distance ____", "Stop sign or word ____", "Who collects ____"):
        assert blank in words
    assert "Touch: no Show on yourself or an object. No video or photo." in words


def test_the_page_of_a_course_of_singing_is_about_singing(flat):
    """Its glance, its lesson, and nothing of the seat at the keys."""
    course = load_course(shipped() / "skill_graphs" / "first-year-voice").course
    record = Record("ada", "Ada", day_number("2019-03-01"), consents=ALL)
    answer = judge(course, record, day_number("2025-12-02"))
    page, sharing = hand_over(course, record, answer), as_if_agreed(record, "substitute", answer.on)
    said = flat(text_of(handover_sections, page, Phrases(answer, course, record), sharing))
    assert "Ask how it is. At a glance: Stands balanced. A song." in said
    assert not re.search("footrest|Feet|[Bb]ench|a check", said)


def test_where_the_work_is_with_help_and_date(page_of, records, flat):
    text = flat(page_of(replace(records["chikondi"], consents=ALL), "2025-12-02"))
    assert "The lesson · unit 6, Hands take turns · 30 minutes" in text
    assert "Alternates the arms steadily (last after being shown, 2 December); " in text
    assert "Gets the next hand ready early: last guided by hand, 11 November." in text
    assert "Do not start: a new unit, a new piece, a check." in text
    assert "Given 2 December to Chikondi: next time we start with this, not with the piece." in text
    assert "3 minutes a day on 5 days; no report yet." in text
    assert "When stuck, " in text
    assert ". Or: " in text


def test_the_three_blocks_add_up_to_the_lesson_and_begin_nothing(course, records):
    for record in records.values():
        for day in range(day_number("2025-10-01"), day_number("2026-01-20"), 11):
            answer = judge(course, record, day)
            page = hand_over(course, record, answer)
            assert len(page.blocks) <= 3
            assert sum(block.minutes for block in page.blocks) == page.minutes
            most = course.band[answer.band].whole("activity_minutes")
            assert all(block.longest <= most for block in page.blocks)
            new = [s for b in page.blocks if b.part == "work" for s in b.skills]
            number = course.unit[answer.unit].number if answer.unit else len(course.units)
            assert all(course.unit[course.skill[skill].unit].number <= number for skill in new)


def test_under_a_hold_no_playing_anywhere(page_of, records, flat):
    held = replace(
        records["chikondi"],
        consents=ALL,
        holds=(Hold(day_number("2025-12-01"), "left thumb sore since the fair", "hand"),),
    )
    text = flat(page_of(held, "2025-12-02"))
    assert text.index("NO PLAYING") < text.index("The lesson")
    assert "Do not start: any playing, a new unit, a new piece, a check." in text
    assert "thumb" not in text
    assert "fair" not in text
    assert "When stuck" not in text
    assert "Home task, " not in text
    assert "Closed hands, right-left" not in text
    assert "make music" not in text
    assert "waits until an adult ends the pause" in text


def test_touch_is_never_an_activity_without_the_family(course, records):
    """The closed hand drop has one activity with touch ("with permission")."""
    record = records["temwa"]
    answer = replace(judge(course, record, day_number("2025-12-02")), one_thing="closed-hand-drop")
    without = hand_over(course, record, answer)
    agreed = hand_over(course, replace(record, consents={"touch": True}), answer)
    assert not any("permission" in activity for _, activity in without.tries)
    assert any("permission" in activity for _, activity in agreed.tries)


def test_without_consent_the_teacher_alone_is_told(page_of, course, records, flat):
    """The teacher is told beside the page; the page itself has nothing that is only for the teacher."""
    assert "Ask the family first" not in flat(page_of(records["temwa"], "2025-12-02"))
    day = day_number("2025-12-02")
    agreed = replace(records["temwa"], consents=ALL)
    temwa, bogdan, agreed = (
        not_asked(as_if_agreed(one, "substitute", day), Phrases(judge(course, one, day), course, one))
        for one in (records["temwa"], records["bogdan"], agreed)
    )
    assert "Ask the family first" in temwa
    assert "Ask the student first" in bogdan
    assert not agreed


def test_every_part_is_either_seen_or_left_out(records):
    for record in records.values():
        for consents in ({}, ALL, ALL | {"share_set_aside": True}):
            for reader in CONSENT_FOR:
                one = may_see(replace(record, consents=consents), reader, day_number("2025-12-02"))
                assert sorted((*one.sees, *one.left_out)) == sorted(KEPT)
                assert "other-students" in one.left_out


def test_absence_of_consent_is_no(records):
    day = day_number("2025-12-02")
    temwa = replace(records["temwa"], consents={})
    assert may_see(temwa, "school", day).sees == ()
    assert may_see(temwa, "substitute", day).sees == ("no-playing", "plan", "consents", "stop-and-seat")
    assert may_see(replace(temwa, consents={"share_school": False}), "school", day).sees == ()
    assert may_see(temwa, "family", day).may("lesson-notes")
    bogdan = replace(records["bogdan"], consents={})
    assert may_see(bogdan, "family", day).sees == ()
    assert may_see(replace(bogdan, consents=ALL), "family", day).may("lesson-notes")


@pytest.mark.parametrize("reader", ["substitute", "school"])
def test_words_about_the_body_go_to_nobody_but_the_family(reader, records, shared, flat):
    linnea = replace(records["linnea"], consents=ALL | {"share_set_aside": True})
    text = flat(shared(linnea, reader, "2025-12-04"))
    assert "no playing" in text.lower()
    assert "wrist" not in text
    assert "concert" not in text
    assert "11 February 2013" not in text
    assert "castellanos" not in text
    assert "right wrist sore when playing" in flat(shared(linnea, "family", "2025-12-04"))


def test_without_consent_no_name_no_unit_and_no_skill(records, shared, flat, course):
    for student, record in records.items():
        for reader in ("substitute", "school"):
            text = flat(shared(replace(record, consents={}), reader, "2025-12-02"))
            assert record.name not in text, student
            assert not re.search(r"\bUnit \d", text), student
            assert "Left out for this reader" in text
            assert not re.search("|".join(re.escape(skill.name) for skill in course.skills), text), student
            assert "is not noted as yes" in text


def test_what_was_set_aside_is_named_to_those_alone_who_may_know(records, shared, flat):
    aside = replace(records["chikondi"], consents=ALL, set_aside=(SetAside("phrase-lift", 1, "family"),))
    knows = replace(aside, consents=ALL | {"share_set_aside": True})
    assert "end of a phrase" not in flat(shared(aside, "substitute", "2025-12-02"))
    assert "end of a phrase" not in flat(shared(aside, "school", "2025-12-02"))
    assert "Set aside by agreement" in flat(shared(knows, "substitute", "2025-12-02"))
    assert "set aside, agreed with family" in flat(shared(aside, "family", "2025-12-02"))


def test_a_family_reads_everything_and_no_other_student(records, shared, flat, course):
    text = flat(shared(records["chikondi"], "family", "2025-12-02"))
    assert text.count(" November 2025: ") >= 4
    for lesson in records["chikondi"].lessons:
        for showing in lesson.showings:
            assert course.skill[showing.skill].name in text
    for other in ("Temwa", "Noemi", "Rafiq", "Linnea", "Bogdan"):
        assert other not in text
    kept = kept_to_dict(records["chikondi"])
    assert kept["born"] == "2018-03-02"
    assert "path" not in kept
    assert len(kept["lessons"]) == len(records["chikondi"].lessons)


def test_under_a_hold_the_family_reads_that_no_task_is_to_be_done(records, shared, flat):
    held = replace(records["temwa"], holds=(Hold(day_number("2025-12-01"), "tired hand", "hand"),))
    text = flat(shared(held, "family", "2025-12-02"))
    assert text.index("none of these is to be done") < text.index("Lid game")


def test_who_may_see_what_in_one_look(records, course, answered, flat):
    record = records["temwa"]
    say = Phrases(answered("temwa", "2025-12-02"), course, record)
    sharings = {reader: may_see(record, reader, say.answer.on) for reader in CONSENT_FOR}
    text = flat(text_of(overview_words, sharings, say, full=True))
    assert "Consent share_school: not noted, so no." in text
    assert "local law" in text
    assert "do not record" in text


def test_the_printed_page_holds_every_line_and_nothing_from_outside(course, records):
    record = replace(records["chikondi"], consents=ALL, name="<b>Ch & i</b>")
    answer = judge(course, record, day_number("2025-12-02"))
    page, say = hand_over(course, record, answer), Phrases(answer, course, record)
    sections = tuple(handover_sections(page, say, as_if_agreed(record, "substitute", answer.on)))
    for paper in PAPERS:
        html = sections_page(sections, paper, kind="stand")
        assert "&lt;b&gt;Ch &amp; i&lt;/b&gt;" in html
        assert "<b>Ch" not in html
        assert "http" not in html.replace("http-equiv", "")
        assert html.count("<h2>") == 6


@given(situations())
@settings(max_examples=40)
def test_made_up_students_have_a_page_too(situation: Situation) -> None:
    asked = ask(situation)
    page = hand_over(asked.course, asked.record, asked.answer)
    say = Phrases(asked.answer, asked.course, asked.record)
    assert sum(block.minutes for block in page.blocks) == page.minutes
    planned = plan_lesson(asked.course, asked.record, asked.answer).blocks
    assert {skill for block in page.blocks for skill in block.skills} == {
        skill
        for block in planned
        if not block.begins and block.part != "home"
        for skill in block.skills
        if page.blocks[0].part == "opening" or block.part != "opening"
    }
    for reader in CONSENT_FOR:
        for ask_whom in (may_see, as_if_agreed):
            sharing = ask_whom(asked.record, reader, asked.answer.on)
            text = lay_out(share_sections(sharing, say, page), 60)
            assert max(map(len, text.splitlines())) <= 60
            assert "None" not in text
            assert not AVOIDED_WORDS.search(text)


@given(situations())
@settings(max_examples=60)
def test_where_the_work_is_stands_what_did_not_come_the_last_time_and_the_one_thing(situation) -> None:
    asked = ask(situation)
    answer, about = asked.answer, (asked.course, asked.record, asked.answer)
    page, say = hand_over(*about), Phrases(answer, *about[:2])
    sharing = as_if_agreed(asked.record, "substitute", answer.on)
    text = text_of(handover_sections, page, say, sharing, width=999)
    where = text.partition("Where the work is")[2].partition("\n\n")[0]
    for line in where.splitlines():
        if ": last without help" in line:
            assert answer.one_thing is not None
            assert line.startswith(f"  - {say.plain_name(answer.one_thing)}: ")
    if answer.verdict != "paused":
        gaps = ("with-help", "not-shown", "slipped", "wobbling")
        worked_on = {one.skill for one in answer.blockers if one.state in gaps}
        named = {*page.live}
        assert worked_on <= named or len(page.live) == 3
        assert all(answer.standings[one].misses or one == answer.one_thing for one in page.live)
        assert all(say.plain_name(skill) in text for skill in worked_on & named)
