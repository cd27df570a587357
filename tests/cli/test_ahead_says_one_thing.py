"""What lies ahead of a student in a studio of its own: every command says the same of a day to come."""

from __future__ import annotations

import json

import pytest

ALL = (
    "feet,sit-t,dist,loose-sh,tells-when,high-low-sound,high-low-keys,loud,steady-beat-body,starts,middle,bench"
)
SEAT = "feet,sit-t,dist,loose-sh"


@pytest.fixture
def studio(say, tmp_path, monkeypatch):
    """Return a function that says a line of commands in a studio with a recital on 5 December 2026."""
    monkeypatch.chdir(tmp_path)
    assert say("start", "s").code == 0
    monkeypatch.chdir(tmp_path / "s")
    with (tmp_path / "s" / "studio.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[event]]\nname = "Recital"\non = 2026-12-05\n')

    def said(line):
        return " ".join(say(*line.split()).out.split())

    return said


@pytest.fixture
def noted(studio):
    """Return a function that enrols a student and notes the same things on several days."""

    def made(student, things, *days, first="2026-09-01"):
        studio(f"enrol {student} --name {student} --born 2019-06 --unit 1 --on {first}")
        for day in days:
            studio(f"note {student} 1 {things} --on 2026-{day}")

    return made


def test_a_move_before_a_big_day_waits_everywhere(studio, noted):
    noted("lia", ALL, "10-27", "11-03", "11-10", "11-17")
    assert "a move to the next unit waits until after it" in studio("why lia --on 2026-11-24")
    assert "a move to the next unit waits until after it" in studio("season lia --on 2026-11-24")
    assert "Waits for your decision" not in studio("today --on 2026-11-24")
    assert "Waits for your decision" in studio("today --on 2026-11-10")
    school = studio("tell lia school --on 2026-11-24")
    assert 'Ready for unit 2. Unit 2 begins later, after "Recital"' in school
    decided = studio("decide lia move --on 2026-11-24")
    assert 'Nothing new begins before "Recital" on 5 December. The next lesson' in decided
    assert "lesson for new things is on 8 December." in decided
    assert "a move to the next unit waits" not in studio("season lia --on 2026-11-24")


def test_a_check_waits_for_the_big_day_on_every_list(studio, noted, tmp_path):
    noted("ra", ALL, "10-27", "11-03", "11-10")
    assert "ra. Unit 1" in studio("ask due --on 2026-11-10")
    assert "A check waits, too" in studio("season ra --full --on 2026-11-24")
    assert "No check is due." in studio("ask due --on 2026-11-24")
    pytest.importorskip("icalendar")
    studio(f"calendar --to {tmp_path}/days.ics --on 2026-11-24")
    assert "Check due" not in (tmp_path / "days.ics").read_text(encoding="utf-8")


@pytest.mark.parametrize("day", ["18", "19", "20"])
def test_where_no_lesson_day_is_known_none_is_made_up(studio, day):
    studio("enrol wu --name Wu --born 2020-06 --unit 1 --on 2026-11-17")
    on = f"wu --on 2026-11-{day}"
    season = studio(f"season {on} --full")
    assert "On 5 December. Nothing says when the lessons are." in season
    assert "New things until" not in season
    assert "At the earliest in 15 lessons." in studio(f"way {on} --to 2")
    assert "Next lesson, a day still to be set" in studio(f"why {on}")
    assert "a day still to be set" in studio(f"plan {on}")
    assert "Next lesson: a day still to be set." in studio(f"ask look --on 2026-11-{day}")
    assert json.loads(studio(f"why {on} --json"))["next_lesson"] == f"2026-11-{day}"


def test_after_a_break_each_reader_hears_what_waits(studio, noted):
    """What was secure then and now differ, and it is not the break that waits once the lesson was."""
    noted("gi", f"{SEAT},high-low-sound", "09-15")
    studio("note gi 1 feet --on 2026-09-22")
    studio(f"note gi 1 {SEAT},high-low-sound --on 2026-10-27")
    assert "Nothing secure waits for a look." in studio("back gi --on 2026-10-28")
    assert "5 of the 12 skills of this unit are secure." in studio("tell gi school --on 2026-10-30")
    family = studio("tell gi family --on 2026-10-30")
    assert "The first lesson after a break is for looking" not in family
    assert "We haven't looked at" in family
    assert "The first lesson after a break is for looking" in studio("tell gi family --on 2026-10-25")


def test_what_is_secure_is_not_where_the_work_is(studio, noted):
    noted("ben", f"{SEAT},tells-when,high-low-sound", "09-08", "09-15", "09-22")
    page = studio("handover ben --on 2026-09-22")
    assert "Where the work is" not in page
    assert "Hears high and low" not in page


def test_the_school_hears_the_one_thing_first_and_a_decision_to_stay(studio, noted):
    noted("ben", f"{SEAT},tells-when,high-low-sound", "09-08", "09-15", "09-22")
    studio("decide ben stay --reason x --on 2026-09-22")
    school = studio("tell ben school --on 2026-09-22")
    one = json.loads(studio("why ben --on 2026-09-22 --json"))["one_thing"]
    assert one == "starts-stops-on-signal"
    assert 'Needed for unit 2: "Starts and stops on a signal"' in school
    assert "Look again first. On 22 September the teacher decided to stay with this unit" in school


def test_days_close_together_are_said_to_be_so_and_whether_it_hurts_is_never_counted(studio, noted):
    noted("ada", "feet,sit-t,dist,loose-sh,high-low-keys,middle,starts,bench,loud", "09-01", "09-08", "09-15")
    studio("note ada 1 high-low-sound,steady-beat-body --on 2026-09-15")
    studio("note ada 1 high-low-sound,steady-beat-body --on 2026-09-17")
    assert "So far it's two days close together" in studio("tell ada family --on 2026-09-17")
    studio("note ada 1 tells-when --on 2026-09-17")
    family = studio("tell ada family --on 2026-09-17")
    assert "of the three days" not in family
    assert "(1 of 3 days)" not in studio("tell ada school --on 2026-09-17")


def test_a_day_that_only_season_was_told_of_is_one_that_the_plan_does_not_know(studio, noted):
    noted("ida", ALL, "09-01", "09-08", first="2026-09-01")
    assert "before 22 September, which the plan does not know" in studio(
        "season ida --event 2026-09-22 --on 2026-09-09"
    )
    assert "does not know" not in studio("season ida --event 2026-12-05 --on 2026-09-09")
