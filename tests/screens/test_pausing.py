"""Something hurts: from every screen about a student one key leads to the pause, and nothing else hinders."""

from __future__ import annotations

import tomllib

from readiness.advice.skill_traits import played_under_hold
from readiness.days import day_number
from readiness.words.cautions import lesson_notice
from screens.hands import add_new_student, desk_at, pane, press, read, settled, to_the_studio, told, use
from tui.screens.forms import AreYouSure
from tui.screens.step import PauseScreen

WAYS = ("end", "end enter", "end l", "end m")


def holds(students):
    return tomllib.loads((students / "temwa.toml").read_text(encoding="utf-8")).get("hold", [])


def test_one_key_leads_there_and_says_first_to_stop(students):
    stop = "Stop playing now, and thank Temwa for saying so."

    async def walk(pilot):
        for way in WAYS:
            await press(pilot, f"{way} exclamation_mark")
            assert isinstance(pilot.app.screen, PauseScreen)
            assert pane(pilot.app, "#draft-text").startswith(stop)
            await to_the_studio(pilot)

    use(desk_at(students), walk)
    assert holds(students) == []


def test_the_words_are_kept_after_one_question_and_the_verdict_is_paused(students):
    async def walk(pilot):
        await press(pilot, "end exclamation_mark 1 o w enter")
        assert isinstance(pilot.app.screen, AreYouSure)
        assert "From then on no playing. Only an adult, by name, ends the pause" in pilot.app.screen.words
        assert holds(students) == []
        await press(pilot, "enter")
        await settled(pilot)
        assert "Paused: Temwa" in pane(pilot.app, "#draft-text")
        await press(pilot, "1")
        assert "Only an adult ends it" in told(pilot.app)

    desk = desk_at(students)
    use(desk, walk)
    (hold,) = holds(students)
    assert (hold["words"], hold["part"], hold["opened"].isoformat()) == ("ow", "hand", "2025-12-08")


def test_not_now_keeps_the_words_and_writes_nothing(students):
    async def walk(pilot):
        await press(pilot, "end exclamation_mark 3 o w enter escape")
        assert "Not kept yet. The words are still here" in told(pilot.app)
        assert holds(students) == []
        await press(pilot, "2 enter enter")
        await settled(pilot)

    use(desk_at(students), walk)
    assert [(one["words"], one["part"]) for one in holds(students)] == [("ow", "voice")]


def test_words_typed_at_once_are_kept_and_everything_rests(students):
    async def walk(pilot):
        await press(pilot, "end exclamation_mark o w enter enter")
        await settled(pilot)

    use(desk_at(students), walk)
    assert [(one["words"], one["part"]) for one in holds(students)] == [("ow", "all")]


def test_without_words_nothing_is_kept_and_a_file_that_was_broken_meanwhile_keeps_the_hold(students):
    file = students / "temwa.toml"

    async def walk(pilot):
        await press(pilot, "end exclamation_mark 3 enter")
        assert "please say in a few words" in told(pilot.app)
        file.write_text(file.read_text(encoding="utf-8") + "\ncolour = 1\n", encoding="utf-8")
        await press(pilot, "3 o w enter enter")

    use(desk_at(students), walk)
    assert 'words = "ow"' in file.read_text(encoding="utf-8")


def test_before_playing_is_noted_under_a_hold_it_is_said_to_stop(students):
    """Linnea is paused since 27 November; wrist-lift is put on her sheet by hand."""
    desk = desk_at(students)

    async def walk(pilot):
        await press(pilot, "home l")
        screen = pilot.app.screen
        lesson = screen.lesson
        assert lesson.row.record.id == "linnea"
        screen.round.picked = [screen.round.line_of(("wrist-lift",))]
        await press(pilot, "1 q")
        assert isinstance(pilot.app.screen, AreYouSure)
        assert "Stop playing now. Do not play through pain." in pilot.app.screen.words
        assert "days so far" not in pilot.app.screen.words
        await press(pilot, "escape")

    use(desk, walk)


def test_what_the_adult_said_who_ended_it_stands_in_the_head(students):
    path = students / "temwa.toml"
    hold = """
[[hold]]
opened = 2025-11-20
words = "wrist sore"
part = "hand"
closed = 2025-12-01
closed_by = "her mother"
closed_words = "ten minutes at most"
"""
    path.write_text(path.read_text(encoding="utf-8") + hold, encoding="utf-8")

    async def walk(pilot):
        await press(pilot, "end enter")
        await settled(pilot)
        assert '"ten minutes at most" (her mother, 1 December)' in pane(pilot.app, "#sentence")
        await to_the_studio(pilot)
        await press(pilot, "end l")
        assert '"ten minutes at most" (her mother, 1 December)' in pane(pilot.app, "#now")

    use(desk_at(students), walk)


def test_a_pause_in_the_midst_of_a_lesson_leaves_nothing_to_be_played_on_its_list(students):
    async def walk(pilot):
        await press(pilot, "end l 2")
        assert len(open_lines(pilot)) > 3
        await press(pilot, "exclamation_mark 3 o w enter enter escape")
        assert "NO PLAYING. Temwa has been paused since 8 December" in pane(pilot.app, "#now")
        course, record = pilot.app.desk.course, pilot.app.desk.row("temwa").record
        assert "feet-supported" in pilot.app.screen.round.lesson.helps
        assert played_under_hold(course, record, day_number("2025-12-08"), open_lines(pilot)) == ()
        assert "wrist-lift" not in open_lines(pilot)

    use(desk_at(students), walk)


def test_a_placing_lesson_ends_with_a_pause(students):
    add_new_student(students)

    async def walk(pilot):
        await press(pilot, "slash a l m a enter l 1")
        assert open_lines(pilot)
        await press(pilot, "exclamation_mark 3 o w enter enter escape")
        assert "NO PLAYING. Alma has been paused since 8 December" in pane(pilot.app, "#now")
        assert open_lines(pilot) == []

    use(desk_at(students), walk)


def test_a_lesson_half_entered_before_a_pause_goes_on_with_its_own_day_and_says_so(students):
    """The same at a terminal: one function says it, and the day of the lesson is the one it was kept for."""

    async def leave(pilot):
        await press(pilot, "end l 2 escape")

    use(desk_at(students, "2025-12-02"), leave)
    with (students / "temwa.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[hold]]\nopened = 2025-12-05\nwords = "sore"\npart = "hand"\n')

    async def come_back(pilot):
        await press(pilot, "slash t e m w a enter l")
        record = pilot.app.desk.row("temwa").record
        told = lesson_notice(record, day_number("2025-12-02"), day_number("2025-12-08"))
        assert told.endswith("Note only what was seen on 2 December, and ask for nothing now.")
        assert pane(pilot.app, "#now") == f"NO PLAYING. {told}"
        assert read(pilot.app)[0].strip().startswith("Lesson of 2 December")
        await press(pilot, "x y 1")
        assert pilot.app.screen.round.lesson.on == day_number("2025-12-08")

    use(desk_at(students), come_back)


def open_lines(pilot):
    """Return the skills of the open lesson that are asked for and have no answer."""
    lesson = pilot.app.screen.round
    return [skill for line in lesson.lines if lesson.given(line) is None for skill in line.skills]
