"""A day of the studio, on the demo and with lessons left out of the notes."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from told import text_of

from readiness.days import day_number
from readiness.record.draft_entry import keep
from readiness.record.noting import NewLesson
from readiness.school.evening import day_of, evening
from readiness.school.students import judge_all
from readiness.studio.find import find_studio
from readiness.studio.load import load_studio
from readiness.words.lists import tell_evening

ROOT = Path(__file__).parents[2]


@pytest.fixture
def folder(tmp_path):
    for name in ("demo_students", "skill_graphs"):
        shutil.copytree(ROOT / name, tmp_path / name)
    return tmp_path / "demo_students"


def asked(folder, on):
    number = on if isinstance(on, int) else day_number(on)
    studio = load_studio(find_studio(None, folder, folder, {}))
    judged = judge_all(studio.course.on(number), studio.records.values(), number, studio.calendar)
    return studio.course, judged, number


def day(folder, on):
    return day_of(*asked(folder, on))


def who(lessons):
    return [one.student for one in lessons]


def test_a_day_of_the_demo(folder):
    found = day(folder, "2025-12-11")  # worked out by hand from the six files
    assert who(found.comes) == ["linnea", "rafiq"]
    assert [one.answer.verdict == "paused" for one in found.comes] == [True, False]
    assert who(found.not_noted) == ["chikondi"]
    assert found.may_not_play == ("linnea",)
    assert found.waits == ("bogdan", "temwa")
    assert who(found.next) == ["bogdan"]


def test_a_planned_day_comes_and_is_missed_when_it_is_not_noted(folder):
    with (folder / "studio.toml").open("a") as file:
        file.write("\n[lesson_dates]\ntemwa = [2025-12-06]\n")
    (comes,) = day(folder, "2025-12-06").comes
    assert (comes.student, comes.is_planned) == ("temwa", True)
    assert ("temwa", day_number("2025-12-06")) in [
        (one.student, one.on) for one in day(folder, "2025-12-08").not_noted
    ]


def test_nobody_comes_without_a_day_that_says_so(folder):
    (folder / "alma.toml").write_text('format = 1\nname = "Alma"\nborn = "2018-03-02"\n')
    found = day(folder, "2025-12-11")
    assert "alma" not in who((*found.comes, *found.not_noted, *found.next))


def test_what_holds_of_every_day(folder):
    for on in range(day_number("2025-11-20"), day_number("2025-12-24")):
        found = day(folder, on)
        assert all(on - 7 <= one.on < on for one in found.not_noted)
        assert all(one.on > on for one in found.next)
        assert all(one.due is None or one.due <= on for one in found.due)


def test_long_after_the_last_lesson_it_is_asked_whether_the_student_still_comes(folder):
    """Weeks after the only lesson nobody knows of another one that was missed; the child stays in sight."""
    text = 'format = 1\nname = "Gudrun"\nborn = "2018-03-02"\n[[lesson]]\non = 2025-09-24\n'
    (folder / "gudrun.toml").write_text(text)
    for on in range(day_number("2025-10-02"), day_number("2025-12-24")):
        course, judged, _ = asked(folder, on)
        (missed,) = (one for one in day_of(course, judged, on).not_noted if one.student == "gudrun")
        is_away = missed.on - day_number("2025-09-24") > 28
        told = text_of(tell_evening, evening(course, judged, on, on), course, full=True, width=300)
        assert (", the first since 24 September: did a lesson take place?" in told) == is_away


def test_what_is_half_entered_hides_no_lesson_of_another_day(folder):
    on = day_number("2025-12-11")  # Chikondi's lesson of the week before is not noted
    (missed,) = (one.on for one in day(folder, on).not_noted)
    for half_on, days in ((on, [on, missed]), (missed, [missed])):
        assert keep(folder / "chikondi.toml", NewLesson(half_on, {"feet-supported": 0})) is None
        assert [one.on for one in day(folder, on).not_noted] == days


def test_whoever_comes_by_a_rhythm_of_the_file_is_asked_about_however_long_it_is(folder):
    text = 'format = 1\nname = "Gudrun"\nborn = "2018-03-02"\nrhythm = { day = "wed" }\n'
    (folder / "gudrun.toml").write_text(f"{text}[[lesson]]\non = 2025-09-24\n")
    for on in range(day_number("2025-10-01"), day_number("2025-12-24"), 7):
        assert "gudrun" in who(day(folder, on).comes)
        assert ("gudrun", on) in [(one.student, one.on) for one in day(folder, on + 1).not_noted]


def test_the_first_screen_says_what_the_evening_says(folder):
    for on in range(day_number("2025-11-20"), day_number("2025-12-24")):
        course, judged, _ = asked(folder, on)
        found, told = day_of(course, judged, on), evening(course, judged, on, on)
        assert (found.comes, found.not_noted) == (told.comes, told.not_noted)
        assert {*found.due} <= {*told.due}
        assert {*found.waits} == {*who(told.waits)}


@pytest.mark.parametrize("days", ['rhythm = { day = "mon" }\n', "", "[[lesson]]\non = 2025-12-01\n"])
def test_of_whom_nothing_says_when_the_lessons_are_may_come_on_any_day(folder, days):
    """The next lesson is then the day asked about (rules, lesson days to come, 3), and today says so too."""
    (folder / "nia.toml").write_text(f'format = 1\nname = "Nia"\nborn = "2019-03"\n{days}', encoding="utf-8")
    found, (course, judged, on) = day(folder, "2025-12-11"), asked(folder, "2025-12-11")
    (lesson,) = (one.answer.next_lesson for one in judged if one.record.id == "nia")
    assert (found.undated == ("nia",)) == (lesson == on) == (not days)
    told = evening(course, judged, on, on)
    assert told.undated == ((("nia", "Nia"),) if not days else ())
    assert ("any day may be the first" in text_of(tell_evening, told, course)) == (not days)
    assert "nia" not in who(found.comes)


@pytest.mark.parametrize("head", ["", 'rhythm = { day = "fri", weeks = 1 }\n'])
@pytest.mark.parametrize(("days", "is_named"), [
    (("10-30", "11-06", "11-13", "11-20", "12-01"), True),  # a Tuesday for the Friday that was missed
    (("10-30", "11-06", "11-13", "11-20", "11-27", "12-01"), False),  # the Friday to come, on another day
    (("10-30", "11-06", "11-13", "11-20", "11-27"), False),  # nothing was made up: the Friday comes
])  # fmt: skip
def test_after_a_lesson_that_made_up_for_another_the_usual_day_is_named(folder, head, days, is_named):
    """By the rules a lesson of a week is that week's (lesson days to come, 2), so the child comes perhaps."""
    lessons = "".join(f"[[lesson]]\non = 2026-{one}\n" for one in days)
    (folder / "oda.toml").write_text(f'format = 1\nname = "Oda"\nborn = "2019-03"\n{head}{lessons}')
    course, judged, on = asked(folder, "2026-12-04")
    (coming,) = (*(one for one in day_of(course, judged, on).comes if one.student == "oda"), None)[:1]
    assert (coming is not None and coming.perhaps is not None) == is_named
    told = text_of(tell_evening, evening(course, judged, on, on), course, width=300)
    assert ("Only if the lesson of 1 December replaced an earlier one" in told) == is_named
    (lesson,) = (one.answer.next_lesson for one in judged if one.record.id == "oda")
    assert (lesson == on) == (days[-1] == "11-27")
