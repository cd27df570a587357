"""Noting a lesson on the screen: what is written, what is kept, what is taken back."""

from __future__ import annotations

import random
import tomllib
from dataclasses import replace
from string import ascii_letters

import pytest

from readiness.advice.offer import line_letter
from readiness.cli.main import main
from readiness.days import day_number
from readiness.record import draft_entry as half_done
from readiness.record.load import load_without_course
from readiness.record.model import HELPS
from readiness.record.noting import NewLesson
from readiness.words.cautions import caution
from readiness.words.noting import touch_words
from screens.hands import copy_of_demo, desk_at, eventually, pane, press, read, shows, told, typed, use
from tui.screens.forms import AreYouSure
from tui.writing import LessonDesk

GLANCE = ("feet-supported", "sit-tall-balanced", "distance-set", "loose-shoulders", "tells-when-it-hurts")
"""The first line of Temwa's lesson: what is looked at in every check."""


def lessons(students, name="temwa"):
    return tomllib.loads((students / f"{name}.toml").read_text(encoding="utf-8"))["lesson"]


def test_a_lesson_is_written_only_when_it_is_finished_and_undo_takes_it_out(students, left):
    file = students / "temwa.toml"
    before = file.read_bytes()

    async def walk(pilot):
        await press(pilot, "end l 1 1 1 1 1")
        assert file.read_bytes() == before
        await press(pilot, "q enter")
        noted = lessons(students)[-1]
        assert noted["on"].isoformat() == "2025-12-08"
        assert {"rounded-hand-keys", "wrist-lift"} <= set(noted["alone"])
        assert "sings-up-down" in noted["not_tried"]
        assert shows(pilot.app, "Noted. Before: look again first. Now: ")
        words = str(pilot.app.screen.query_one("#now").visual).split()
        assert [word for word in words if word not in " ".join(read(pilot.app))] == []
        await eventually(pilot, lambda: pilot.app.desk.row("temwa").answer.verdict == "ready-taking-along")
        await press(pilot, "u")
        await eventually(pilot, lambda: left(file) == before.rstrip())

    use(desk_at(students), walk)
    assert half_done.offered(file) is not None


def test_each_key_of_help_writes_its_list(students):
    async def walk(pilot):
        await press(pilot, "end l 1 2 3 4 5 minus q enter")

    use(desk_at(students), walk)
    noted = lessons(students)[-1]
    assert "feet-supported" in noted["alone"]
    assert noted["cue"] == ["rounded-hand-keys"]
    assert noted["model"] == ["echo-clap-four"]
    assert noted["hands_on"] == ["groups-high-low-middle"]
    assert noted["not_shown"] == ["wrist-lift"]
    assert "sings-up-down" in noted["not_tried"]


def test_a_liking_and_how_it_was_tried_again_are_noted_by_key(students):
    async def walk(pilot):
        await press(pilot, "end l down left_parenthesis ampersand ampersand ampersand")
        assert shows(pilot.app, "Not liked, so another where one will do; tried again a shorter part of it")
        await press(pilot, "u 1 q enter")
        await press(pilot, "escape l down left_parenthesis 1 q enter")

    use(desk_at(students), walk)
    first, second = lessons(students)[-2:]
    assert first["disliked"] == ["rounded-hand-keys"]
    assert first["tried_again"] == {"rounded-hand-keys": "one-hand"}
    assert "disliked" not in second
    assert second["liked_again"] == ["rounded-hand-keys"]


def test_undo_takes_back_one_answer_at_a_time(students):
    async def walk(pilot):
        await press(pilot, "end l 1 1 u")
        assert half_done.offered(students / "temwa.toml").helps == dict.fromkeys(GLANCE, 0)
        await press(pilot, "u")
        assert half_done.offered(students / "temwa.toml") is None
        await press(pilot, "u")
        assert shows(pilot.app, "Nothing to take back.")

    use(desk_at(students), walk)


def test_what_was_half_entered_is_offered_again(students):
    async def leave_in_the_middle(pilot):
        await press(pilot, "end l 1 1 2")

    use(desk_at(students), leave_in_the_middle)

    async def come_back(pilot):
        await press(pilot, "end l")
        assert shows(pilot.app, "Kept from 8 December 2025")
        marks = "1 without help", "2 with a reminder"
        assert sum(line[5:].startswith(marks) for line in read(pilot.app)) == 3
        await press(pilot, "x y")
        assert half_done.offered(students / "temwa.toml") is None

    use(desk_at(students), come_back)
    assert len(lessons(students)) == 4


def test_a_glance_can_be_taken_apart_and_noted_in_parts(students):
    async def walk(pilot):
        await press(pilot, "end l s 2 1 q enter")

    use(desk_at(students), walk)
    noted = lessons(students)[-1]
    assert noted["cue"] == ["feet-supported"]
    assert noted["alone"] == ["sit-tall-balanced"]


def test_a_remark_goes_into_the_file_and_no_letter_of_it_is_an_action(students):
    async def walk(pilot):
        await press(pilot, "end l 1 down")
        await press(pilot, "quotation_mark s u c h space a space q enter")
        assert shows(pilot.app, '"such a q"')
        await press(pilot, "quotation_mark x x escape")
        assert "xx" not in pilot.app.screen.round.words(("echo-clap-four",))
        await press(pilot, "apostrophe t i r e d enter q")
        assert shows(pilot.app, 'Typed and not kept, so it is not noted: "such a qxx".')
        await press(pilot, "y")

    use(desk_at(students), walk)
    noted = lessons(students)[-1]
    assert noted["remarks"] == {"echo-clap-four": "such a q"}
    assert noted["note"] == "tired"
    assert noted["alone"] == list(GLANCE)


def test_another_skill_can_be_put_on_the_sheet(students):
    async def walk(pilot):
        await press(pilot, "end l plus d r o p s space a r m enter")
        await press(pilot, "2 q enter")

    use(desk_at(students), walk)
    assert len(lessons(students)[-1]["cue"]) == 1


def test_the_right_count_for_the_instrument_stands_under_the_sheet(students):
    path = students / "temwa.toml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("format = 1", "format = 1\nhome_keys = 61", 1), "utf-8"
    )

    async def walk(pilot):
        await press(pilot, "end l plus c o u n t s space t h e enter")
        await press(pilot, "end")
        text = " ".join(" ".join(read(pilot.app)).split())
        assert "61 keys: 5 groups of two and 5 groups of three" in text

    use(desk_at(students), walk)


def test_undo_goes_back_to_the_line_it_changes(students):
    async def walk(pilot):
        await press(pilot, "end l 1 1 2")
        assert pilot.app.screen.round.at == 3
        await press(pilot, "up up u")
        assert pilot.app.screen.round.at == 2
        await press(pilot, "5 q enter")

    use(desk_at(students), walk)
    assert lessons(students)[-1]["not_shown"] == ["echo-clap-four"]


def test_looking_for_a_skill_that_is_not_there_says_so_and_takes_nothing(students):
    async def walk(pilot):
        await press(pilot, "end l plus z q enter")
        assert shows(pilot.app, 'No skill is called "zq".')
        await press(pilot, "escape")
        assert pilot.app.screen.NAME == "lesson"
        assert pilot.app.screen.round.lesson.is_empty

    use(desk_at(students), walk)


def test_nothing_entered_is_nothing_to_note(students):
    async def walk(pilot):
        await press(pilot, "end l q")
        assert shows(pilot.app, "nothing to note")

    use(desk_at(students), walk)
    assert len(lessons(students)) == 4


def test_while_playing_is_paused_the_sheet_has_no_playing_on_it(students):
    async def walk(pilot):
        await press(pilot, "home l")
        assert shows(pilot.app, "NO PLAYING")
        sheet = pilot.app.screen.round.lines
        assert {ask.why for ask in sheet} == {"care", "if-comfortable"}

    use(desk_at(students), walk)


def test_a_file_that_cannot_be_written_is_said_and_the_answers_stay(students):
    async def walk(pilot):
        await press(pilot, "end l 1 1")
        file = students / "temwa.toml"
        file.write_text(file.read_text(encoding="utf-8") + "\nbroken = \n", encoding="utf-8")
        await press(pilot, "q enter")
        assert shows(pilot.app, "Nothing was written")
        await press(pilot, "escape")

    use(desk_at(students), walk)
    assert len(half_done.offered(students / "temwa.toml").helps) > 1


@pytest.fixture
def unkept(students):
    """Return Temwa's file in a folder in which no lesson can be kept half entered."""
    half_done.half_done_path(students / "temwa.toml").mkdir()
    return students / "temwa.toml"


def test_what_cannot_be_kept_is_not_left(students, unkept):
    before = unkept.read_bytes()

    async def walk(pilot):
        app = pilot.app
        await press(pilot, "end l 1")
        app.clear_notifications()
        await press(pilot, "escape")
        words = pane(app, "#text-page Static")
        assert "Not kept: 5 without help. This round cannot be kept safe:" in words
        assert "offered again" not in words
        await press(pilot, "enter")
        assert app.screen.NAME == "lesson"
        await press(pilot, "ctrl+q enter")
        assert app.is_running
        assert app.screen.NAME == "lesson"
        await press(pilot, "x y escape")
        assert app.screen.NAME == "studio"

    use(desk_at(students), walk)
    assert unkept.read_bytes() == before


def test_what_cannot_be_kept_half_entered_can_still_be_noted(students, unkept):
    async def walk(pilot):
        await press(pilot, "end l 1 escape enter q enter")
        assert shows(pilot.app, "Noted.")
        await press(pilot, "escape")
        assert pilot.app.screen.NAME == "studio"

    use(desk_at(students), walk)
    assert lessons(students)[-1]["alone"] == list(GLANCE)


def test_the_demo_keeps_what_was_entered_while_the_program_runs_and_writes_nothing(tmp_path, monkeypatch):
    students = copy_of_demo(tmp_path)
    monkeypatch.setattr("tui.desk.Desk.is_demo", True)
    before = {file: file.read_bytes() for file in students.rglob("*") if file.is_file()}

    async def walk(pilot):
        await press(pilot, "end l 1 1 escape")
        assert "Kept until you leave the program." in told(pilot.app)
        await press(pilot, "l")
        assert shows(pilot.app, "Kept from 8 December 2025")
        await press(pilot, "q enter")
        assert "Nothing is written into the demo" in told(pilot.app)

    use(desk_at(students), walk)
    assert {file: file.read_bytes() for file in students.rglob("*") if file.is_file()} == before


def test_words_of_pain_say_how_to_pause_at_once_and_after_noting(students):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "end l 1 quotation_mark w r i s t space s o r e enter")
        assert "and key ! keeps everything without playing" in pane(app, "#text-page Static")
        await press(pilot, "enter")
        assert app.screen.NAME == "lesson"
        await press(pilot, "down quotation_mark g o o d enter")
        assert app.screen.NAME == "lesson"
        await press(pilot, "q enter")
        assert "If something hurts: stop playing" in pane(app, "#text-page Static")

    use(desk_at(students), walk)
    assert list(lessons(students)[-1]["remarks"].values()) == ["wrist sore", "good"]


def test_what_is_guided_by_hand_says_once_that_nobody_agreed_to_touch(students):
    async def walk(pilot):
        await press(pilot, "end l 1 4")
        record, lesson = pilot.app.desk.row("temwa").record, pilot.app.screen.round.lesson
        assert touch_words(record, lesson) == f"No consent to touch is noted. {caution('C6')}"
        assert told(pilot.app) == touch_words(record, lesson)
        pilot.app.clear_notifications()
        await press(pilot, "4 2")
        assert told(pilot.app) == ""
        agreed = replace(record, consents={"touch": True})
        assert touch_words(agreed, lesson) == caution("C6")

    use(desk_at(students), walk)


def test_words_left_with_escape_are_there_again(students):
    async def walk(pilot):
        await press(pilot, "end l quotation_mark a b c escape")
        assert "These words are not kept yet." in told(pilot.app)
        await press(pilot, "escape l quotation_mark d enter")
        assert shows(pilot.app, '"abcd"')

    use(desk_at(students), walk)


def test_no_idle_key_writes_anything_into_a_lesson(students):
    """Three dozen lessons of random keys of everyday, each read back from what is kept and from the file."""
    file, chance = students / "temwa.toml", random.Random(17)
    before = file.read_bytes()
    idle = ("enter", "enter", "enter", "space", "tab", "up", "down", "home", *ascii_letters, *"06789")

    async def walk(pilot):
        await press(pilot, "end l")
        screen = pilot.app.screen
        for _ in range(36):
            await typed(pilot, chance.choices(idle, k=9))
            while pilot.app.screen is not screen:
                await press(pilot, "escape")
            assert replace(screen.round.finished(), not_tried=()).is_empty
            kept = half_done.offered(file)
            assert kept is None or replace(kept, not_tried=()).is_empty

    use(desk_at(students), walk)
    assert file.read_bytes() == before


def test_a_full_stop_notes_at_once_and_an_odd_day_or_another_childs_lesson_is_asked_about(students):
    async def walk(pilot):
        await press(pilot, "end w enter 9 space s e p t enter")
        assert pilot.app.screen.lesson.row.day == day_number("2025-09-09")
        await press(pilot, "H 2 full_stop")
        assert "2025-09-09 is before the first lesson noted" in pilot.app.screen.words
        await press(pilot, "enter")
        assert len(lessons(students)) == 4
        await press(pilot, "x y escape end l")
        screen = pilot.app.screen
        far = [one.id for one in screen.desk.course.skills if screen.desk.course.unit[one.unit].number == 9]
        screen.round.picked = [screen.round.line_of((one,)) for one in far]
        await press(pilot, "1 full_stop")
        assert "skills of unit 9; Temwa is in unit 3: for whom is this?" in pilot.app.screen.words
        await press(pilot, "escape u B 1 full_stop")
        assert shows(pilot.app, "Noted. Before: look again first.")

    use(desk_at(students), walk)
    assert lessons(students)[-1]["alone"] == ["rounded-hand-keys"]


@pytest.mark.parametrize("who", ["chikondi", "temwa", "linnea", "rafiq"])
def test_what_a_lesson_comes_to_is_what_its_day_says_once_it_is_noted(students, who):
    """On days with a lesson already, on days between, and under a pause: the answer of that very day."""
    chance, file = random.Random(who), students / f"{who}.toml"
    before = file.read_bytes()
    for on in ("2025-11-25", "2025-12-01", "2025-12-02", "2025-12-09"):
        for _ in range(3):
            desk = desk_at(students, on)
            lesson = LessonDesk(desk, desk.read().by_id[who])
            skills = chance.sample([*lesson.offer.skills, *desk.course.skill], 4)
            new = NewLesson(lesson.row.day, {one: chance.randrange(len(HELPS)) for one in skills})
            supposed = lesson.supposed(new).answer
            assert lesson.note(new) == ""
            noted = desk.read().by_id[who].answer
            assert supposed.verdict == noted.verdict
            assert supposed.blockers == noted.blockers
            assert {one: now.state for one, now in supposed.standings.items()} == {
                one: now.state for one, now in noted.standings.items()
            }
            file.write_bytes(before)


def test_what_the_day_has_noted_already_is_shown_and_counts(students):
    """A skill of today's lesson that came with a reminder: noted without help, the reminder counts."""

    async def walk(pilot):
        await press(pilot, "slash c h i k enter l")
        assert shows(pilot.app, "Noted already: 5 without help, 1 with a reminder and 1 after being shown.")
        (at,) = (at for at, one in enumerate(pilot.app.screen.round.lines)
                 if one.skills == ("hands-alternate-fours",))  # fmt: skip
        await press(pilot, line_letter(at))
        assert any("Hands take turns" in line and "last with a reminder" in line for line in read(pilot.app))
        assert "last with a reminder, 2 December" in pane(pilot.app, "#about-line")
        await press(pilot, "1")
        assert "Now: .. not yet" in pane(pilot.app, "#now")
        await press(pilot, "q")
        told = "was noted that day already, with a reminder. The one with most help counts"
        assert told in " ".join(pilot.app.screen.words.split())
        await press(pilot, "enter")
        assert "Now: not yet." in pane(pilot.app, "#now")
        assert told in pane(pilot.app, "#now")
        assert pilot.app.desk.row("chikondi").answer.verdict == "not-yet"
        await press(pilot, "escape w enter 2 5 space n o v enter")
        assert shows(pilot.app, "Noted already: 5 without help and 1 after being shown.")

    use(desk_at(students, "2025-12-02"), walk)


def test_a_skill_that_was_noted_wrongly_on_another_day_is_corrected_there_and_undo_takes_it_back(
    students, tmp_path, capsys
):
    """The command and the screen write the same, and both come to one answer."""
    file, skill = students / "chikondi.toml", "hands-alternate-fours"
    before, noted = file.read_bytes(), load_without_course(file).record.lessons
    on = ("--students", str(students), "--on", "2025-12-02")
    assert main(["correct", "chikondi", "1", skill, *on]) in (0, 1)
    by_command = load_without_course(file).record
    file.write_bytes(before)
    capsys.readouterr()

    async def walk(pilot):
        await press(pilot, "slash c h i k enter w enter 2 space d e c enter")
        screen = pilot.app.screen
        assert screen.row().day != screen.lesson.row.day == day_number("2025-12-02")
        lines = [one.skills for one in screen.round.lines]
        assert set(screen.lesson.shown) <= {one for skills in lines for one in skills}
        await press(pilot, f"{line_letter(lines.index((skill,)))} 1 q")
        words = " ".join(pilot.app.screen.words.split())
        assert "was noted that day already, with a reminder." in words
        assert "If it was noted wrongly then, key i corrects it: only the new answer counts." in words
        assert any("Correct (i)" in line and "Not now (Esc)" in line for line in read(pilot.app))
        await press(pilot, "i")
        assert shows(pilot.app, "Noted. Before: not yet.")
        assert "noted that day already" not in pane(pilot.app, "#now")
        after = load_without_course(file).record
        assert helps_of(after, skill) == helps_of(by_command, skill) == [0]
        assert after.corrected[0].skill == skill
        now = screen.lesson.supposed(screen.round.lesson).answer
        of_the_day = desk_at(students, "2025-12-02").read().by_id["chikondi"].answer
        assert (now.verdict, now.blockers) == (of_the_day.verdict, of_the_day.blockers)
        for one, stands in of_the_day.standings.items():
            assert now.standings[one].state == stands.state
        await press(pilot, "u")
        assert "The correction does not count any more; your answers are still here." in told(pilot.app)
        assert load_without_course(file).record.lessons == noted
        await press(pilot, "q i escape")
        await press(pilot, "u")
        assert shows(pilot.app, "Chikondi: take back the correction of 2 December?")
        await press(pilot, "y")
        assert helps_of(load_without_course(file).record, skill) == [1]

    use(desk_at(students), walk)


def test_what_the_day_has_noted_alike_or_not_at_all_is_nothing_to_correct(students):
    async def walk(pilot):
        await press(pilot, "slash c h i k enter w enter 2 space d e c enter")
        lines = [one.skills for one in pilot.app.screen.round.lines]
        await press(pilot, f"{line_letter(lines.index(('hands-alternate-fours',)))} 2 q i")
        assert isinstance(pilot.app.screen, AreYouSure)
        assert "key i" not in pilot.app.screen.words
        await press(pilot, "escape")

    use(desk_at(students), walk)


def helps_of(record, skill):
    """Return how a skill was shown on 2 December, as far as it counts."""
    lessons = (one for one in record.lessons if one.on == day_number("2025-12-02"))
    return [one.help for lesson in lessons for one in lesson.showings if one.skill == skill]
