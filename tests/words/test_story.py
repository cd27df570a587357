"""What the story of an answer must hold, and what it leaves out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from readiness.course.model import Provenance
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.load import build_record
from readiness.record.model import Decision
from readiness.words.grammar import date_words
from readiness.words.why import tell_answer


def story(course, record, on):
    """Return all of the answer of a day in one line."""
    answer = judge(course, record, on if isinstance(on, int) else day_number(on))
    return " ".join(tell_answer(answer, course, record, full=True).split())


def test_the_blockers_with_days_lines_and_what_stands_on_them(told, flat, demo_folder):
    text = flat(told("temwa", "2025-12-02"))
    assert "Look again first. Nothing is wrong: two skills were shown on 2 days" in text
    assert "Lifts the wrist 2 of 3 days; one more day without help" in text
    assert "Missing" not in text  # the row has said it
    assert "Unit 4 builds on it: Carries the arm in an arc to the next octave" in text
    lines = (demo_folder / "temwa.toml").read_text(encoding="utf-8").splitlines()
    number = int(text.split("25 November without help temwa.toml:")[2].split()[0])
    assert "wrist-lift" in lines[number - 1]


def test_settled_skills_are_left_out_of_a_no(told, answered):
    answer, text = answered("temwa", "2025-12-02"), told("temwa", "2025-12-02")
    open_ones = {one.skill for one in answer.blockers} | set(answer.open_rest)
    for skill in set(answer.deciding) - open_ones:
        assert f"({skill})" not in text


def test_a_yes_says_what_it_rests_on(told, answered, course):
    answer, text = answered("temwa", "2025-12-09"), told("temwa", "2025-12-09")
    assert "Ready for unit 4." in text
    assert all(course.skill[skill].name in text for skill in answer.deciding)
    assert "this answer holds until 23 December" in text


def test_of_many_old_notes_a_few_are_named_and_the_others_counted(told):
    text = told("noemi", "2025-12-03", full=False)
    assert text.count("not seen for 11 weeks; one look") == 4
    first = text.partition("Still needed")[2].splitlines()[1]
    assert first.startswith("  Plays a C position piece, one hand")  # the one thing, as the screens have it
    assert "And three more." in text


def test_the_way_from_the_one_thing_to_what_it_frees(told, flat):
    text = flat(told("chikondi", "2025-12-02"))
    assert "Alternates the arms steadily (alternate-arms-steady)" in text
    assert "The way up: Alternates the arms steadily; Hands take turns every four beats." in text
    assert "of the next unit: Plays a piece on C, D and E" in text
    assert ": Alternate on the knees first" in text
    assert "To try as well: Teacher plays one hand's part" in text
    assert "about 6 minutes" in text


def test_every_number_stands_with_its_line_and_whose_it_is(told, flat, course_folder):
    text = flat(told("temwa", "2025-12-02"))
    assert "Secure after 3 different days for movements (pacing.toml:" in text
    number = int(text.split("days for movements (pacing.toml:")[1].split(",")[0])
    lines = (course_folder / "pacing.toml").read_text(encoding="utf-8").splitlines()
    assert lines[number - 1] == "motor = 3"


def test_a_changed_number_stands_beside_the_default_and_who_changed_it(course, records):
    name = ("4-5", "days_needed.motor")
    was = course.provenance[name]
    changed = Provenance(was.place, 2, changed=True, changed_by="OB", basis=was.basis)
    other = replace(course, provenance={**course.provenance, name: changed})
    record = records["temwa"]
    text = story(other, record, "2025-12-02")
    assert "changed by OB; the default is 2" in text
    assert "A number of the pacing here is not the default" in text


def test_where_what_comes_along_is_first_needed(told, flat):
    text = flat(told("noemi", "2025-12-17"))
    assert "first needed in unit 13, Hands together begins." in text
    assert "no later unit needs it" in text


def test_the_break(told, flat):
    back = flat(told("noemi", "2025-12-03"))
    assert "This is the first lesson back, after 11 weeks away: for looking" in back
    assert "a new unit does not start on a break." in flat(told("noemi", "2025-12-02"))


def test_the_earliest_date_is_called_the_earliest_possible(told, flat):
    assert "If both come: ready for unit 4 that day." in flat(told("temwa", "2025-12-02"))
    there = flat(told("chikondi", "2025-12-02"))
    assert "The earliest possible move is 16 December; by the plan from 23 December." in there


@pytest.mark.parametrize("part", ["hand", "voice", "all"])
def test_paused_tells_safety_first_and_nothing_to_play(part, course, records):
    hold = replace(records["linnea"].holds[0], part=part)
    record = replace(records["linnea"], holds=(hold,))
    said = story(course, record, "2025-12-04")
    for words in (
        "Paused: something hurts. Stop playing now. Do not play through pain.",
        "Tell the family",
        "licensed clinician",
        "No playing tasks",
        "range, loudness, rests and water, and whether singing rose too fast"
        if part == "voice"
        else "the seat, its height and the breaks, and whether practice rose too fast",
        "Only an adult ends the pause",
    ):
        assert words in said
    assert hold.words not in said
    assert not [r for skill in course.skills for r in skill.remedies if " ".join(r.split()) in said]
    assert not [word for word in ("one thing", "To try", "Earliest", "wrist") if word in said]
    assert 'not a reason to hurry: without the pause the notes would say "ready".' in said
    assert "listening, looking at the page, learning words and planning" in said


def test_a_hold_before_a_unit_was_begun_is_told_alike(course, records):
    record = replace(records["rafiq"], holds=records["linnea"].holds)
    text = story(course, record, "2025-12-04")
    assert "Paused: something hurts." in text
    assert "Start here" not in text


def test_placing_says_what_was_seen_and_what_was_taken_as_there(told, flat):
    text = flat(told("rafiq", "2025-12-04"))
    for words in (
        "No starting unit yet.",
        "Start so far: unit 7, White key names.",
        "One lesson was seen; a second one confirms it",
        "Taken as there, because something that builds on it was shown",
        "Keeps the hand rounded on the keys (rounded-hand-keys): with a reminder so far",
        "It may be any unit from 5 to 14.",
        "Begin with what is looked at in every check: Feet supported.",
    ):
        assert words in text


def test_without_a_lesson_placing_is_no_finding(told):
    assert "Sitting well, high and low, where\neverybody starts." in told("rafiq", "2025-12-02")


def test_the_teachers_own_advice_is_shown_with_the_finding(course, records):
    advised = replace(course.skill["wrist-lift"], advice="Her own sentence.")
    skills = tuple(advised if skill.id == advised.id else skill for skill in course.skills)
    other = replace(course, skills=skills)
    text = story(other, records["temwa"], "2025-12-02")
    assert text.count("Your own advice: Her own sentence.") == 1


def test_a_decision_that_differs_stands_beside_the_answer(course, records):
    day = day_number("2025-12-02")
    record = replace(
        records["temwa"],
        decisions=(Decision(day, "hand-shape-wrist", "look-again", "move", "Played it at home.", 99),),
    )
    text = story(course, record, day)
    assert "On 2 December: to move on. Computed then: look again first." in text
    assert "Reason: Played it at home (temwa.toml:99)." in text


def student(course, born="2018-01-01", **tables):
    """Return a record of these tables, their days given as texts."""
    dated = {
        name: [entry | {"on": date.fromisoformat(entry["on"])} for entry in entries]
        for name, entries in tables.items()
    }
    return build_record("ade", {"format": 1, "name": "Ade", "born": born, **dated}, course)


def test_a_group_is_one_blocker_with_all_its_members(course):
    unit = "more-positions"
    record = student(
        course,
        unit_start=[{"unit": unit, "on": "2025-11-04"}],
        settled=[{"through": "together-begins", "on": "2025-11-04"}],
        lesson=[
            {"on": day, "model": ["c-tune-shared", "transposes-tune", "memory-eight-beats"]}
            for day in ("2025-11-11", "2025-11-18")
        ],
    )
    answer = judge(course, record, day_number("2025-11-18"))
    groups = [one.group for one in answer.blockers if one.group is not None]
    text = story(course, record, answer.on)
    assert [group.gap for group in groups] == [True, True]
    for group in groups:
        left = [one for one in group.of if answer.standings[one].state != "secure"]
        still = group.at_least - (len(group.of) - len(left))
        some = f"{('', 'One', 'Two')[still]}{' more' if len(left) < len(group.of) else ''}"
        assert f'{some} of "{course.skill[left[0]].name}"' in text
        assert all(f"({member})" in text for member in group.of)


def test_what_was_never_asked_is_no_miss(course):
    record = student(
        course,
        unit_start=[{"unit": "black-key-groups", "on": "2025-11-04"}],
        lesson=[{"on": "2025-11-11", "alone": ["feet-supported"]}],
    )
    text = story(course, record, "2025-11-18")
    assert "not asked yet; two days without help" in text
    assert "not shown yet" not in text
    assert "Not asked yet in earlier units, and not needed now" in text


def test_with_nothing_noted_all_is_named_once_and_short(course):
    record = student(course, unit_start=[{"unit": "sitting-high-low", "on": "2025-11-04"}])
    answer = judge(course, record, day_number("2025-11-18"))
    text = story(course, record, answer.on)
    assert "Nothing is noted yet: the first lessons are for looking." in text
    asked = [one.skill for one in answer.blockers] + list(answer.open_rest)
    assert all(course.skill[skill].name in text for skill in asked)
    assert len(tell_answer(answer, course, record).splitlines()) <= 22
    assert f"sheet {record.id}" in text
    assert "No date yet: first see what is there." in text
    assert date_words(answer.earliest, answer.on) not in text


def test_after_the_first_lesson_of_a_unit_nobody_is_told_to_strengthen_it(course):
    lessons = [{"on": "2025-11-11", "model": ["feet-supported"]}]
    record = student(
        course, unit_start=[{"unit": "sitting-high-low", "on": "2025-11-11"}], lesson=lessons
    )
    answer = judge(course, record, day_number("2025-11-11"))
    assert answer.verdict == "not-yet"
    assert "Not yet: this unit has just begun." in story(course, record, answer.on)
    again = student(
        course,
        unit_start=[{"unit": "sitting-high-low", "on": "2025-11-11"}],
        lesson=[*lessons, {"on": "2025-11-18", "model": ["feet-supported"]}],
    )
    later = story(course, again, "2025-11-18")
    assert "Not yet: more time in this unit." in later


def test_what_is_set_aside_is_named_for_the_teacher(course):
    aside = student(
        course,
        unit_start=[{"unit": "black-key-groups", "on": "2025-11-04"}],
        set_aside=[{"skill": "echo-sing-two", "on": "2025-11-04", "agreed_with": "family"}],
    )
    text = story(course, aside, "2025-11-18")
    assert "Set aside by agreement, and not asked for: Echo-sings two notes." in text


def test_days_too_close_together_say_from_when(course):
    record = student(
        course,
        unit_start=[{"unit": "sitting-high-low", "on": "2025-11-04"}],
        lesson=[{"on": day, "alone": ["sit-tall-balanced"]} for day in ("2025-11-04", "2025-11-06")],
    )
    text = story(course, record, "2025-11-06")
    assert "Sits tall and balanced 2 days, too close together; one more day without help" in text


def test_a_long_row_of_notes_is_folded(course):
    days = [f"2025-{month:02}-{day:02}" for month in (9, 10, 11) for day in (2, 9, 16, 23)]
    record = student(
        course,
        unit_start=[{"unit": "sitting-high-low", "on": "2025-09-02"}],
        lesson=[{"on": day, "model": ["sit-tall-balanced"]} for day in days],
    )
    text = story(course, record, "2025-11-23")
    assert "2 September the first of 4 earlier days" in text
    assert "without getting easier" in text


def test_the_last_unit_is_closed_and_not_left_for_another(course):
    last = course.units[-1].id
    record = student(
        course,
        born="2012-01-01",
        unit_start=[{"unit": last, "on": "2025-11-04"}],
        settled=[{"through": last, "on": "2025-11-18"}],
        lesson=[{"on": "2025-11-18"}],
    )
    text = story(course, record, "2025-11-18")
    assert "Ready to finish the course." in text


def test_settled_things_over_one_weak_thing_are_told_together(course):
    record = student(
        course,
        unit_start=[{"unit": "more-positions", "on": "2025-11-04"}],
        settled=[{"through": "together-begins", "on": "2025-11-04"}],
        lesson=[{"on": day, "model": ["finds-cde"]} for day in ("2025-11-11", "2025-11-18")],
    )
    answer = judge(course, record, day_number("2025-11-18"))
    over = [one for one in answer.remarks if one.id == "footing"]
    assert len(over) > 1
    text = story(course, record, answer.on)
    assert text.count('Not secure below: "Finds C, D and E".') == 1
