"""Noting a lesson on the screen: what is written, what is kept, what is taken back."""

from __future__ import annotations

import tomllib

from readiness.record import half_done
from screens.hands import desk_at, eventually, press, read, shows, use


def lessons(students, name="temwa"):
    return tomllib.loads((students / f"{name}.toml").read_text(encoding="utf-8"))["lesson"]


def test_a_lesson_is_written_only_when_it_is_finished_and_undo_takes_it_out(students):
    file = students / "temwa.toml"
    before = file.read_bytes()

    async def walk(pilot):
        await press(pilot, "end l a a a a a")
        assert file.read_bytes() == before
        await press(pilot, "s enter")
        noted = lessons(students)[-1]
        assert noted["on"].isoformat() == "2025-12-08"
        assert {"rounded-hand-keys", "wrist-lift"} <= set(noted["alone"])
        assert "sings-up-down" in noted["not_tried"]
        assert shows(pilot.app, "Noted. Before: look again.")
        await eventually(pilot, lambda: pilot.app.desk.row("temwa").answer.verdict == "ready-taking-along")
        await press(pilot, "u")
        await eventually(pilot, lambda: file.read_bytes() == before)

    use(desk_at(students), walk)
    assert half_done.offered(file) is not None


def test_each_key_of_help_writes_its_list(students):
    async def walk(pilot):
        await press(pilot, "end l a c m h n minus s enter")

    use(desk_at(students), walk)
    noted = lessons(students)[-1]
    assert noted["alone"] == ["beat-and-half-speed"]
    assert "feet-supported" in noted["cue"]
    assert noted["model"] == ["rounded-hand-keys"]
    assert noted["hands_on"] == ["groups-high-low-middle"]
    assert noted["not_shown"] == ["wrist-lift"]
    assert "sings-up-down" in noted["not_tried"]


def test_undo_takes_back_one_answer_at_a_time(students):
    async def walk(pilot):
        await press(pilot, "end l a a u")
        assert half_done.offered(students / "temwa.toml").helps == {"beat-and-half-speed": 0}
        await press(pilot, "u")
        assert half_done.offered(students / "temwa.toml") is None
        await press(pilot, "u")
        assert shows(pilot.app, "Nothing to take back.")

    use(desk_at(students), walk)


def test_what_was_half_entered_is_offered_again(students):
    async def leave_in_the_middle(pilot):
        await press(pilot, "end l a a c")

    use(desk_at(students), leave_in_the_middle)

    async def come_back(pilot):
        await press(pilot, "end l")
        assert shows(pilot.app, "Kept from 8 December 2025")
        assert sum(line.startswith((" A alone", " C small reminder")) for line in read(pilot.app)) == 3
        await press(pilot, "x enter")
        assert half_done.offered(students / "temwa.toml") is None

    use(desk_at(students), come_back)
    assert len(lessons(students)) == 4


def test_a_glance_can_be_taken_apart_and_noted_in_parts(students):
    async def walk(pilot):
        await press(pilot, "end l down enter c down a s enter")

    use(desk_at(students), walk)
    noted = lessons(students)[-1]
    assert noted["cue"] == ["feet-supported"]
    assert noted["alone"] == ["distance-set"]


def test_a_remark_goes_into_the_file_and_no_letter_of_it_is_an_action(students):
    async def walk(pilot):
        await press(pilot, "end l a down")
        await press(pilot, "r s u c h space a space q enter")
        assert shows(pilot.app, '"such a q"')
        await press(pilot, "r x x escape")
        assert not shows(pilot.app, "xx")
        await press(pilot, "o t i r e d enter s enter")

    use(desk_at(students), walk)
    noted = lessons(students)[-1]
    assert noted["remarks"] == {"rounded-hand-keys": "such a q"}
    assert noted["note"] == "tired"
    assert noted["alone"] == ["beat-and-half-speed"]


def test_another_skill_can_be_put_on_the_sheet(students):
    async def walk(pilot):
        await press(pilot, "end l plus d r o p s space a r m enter")
        await press(pilot, "c s enter")

    use(desk_at(students), walk)
    assert len(lessons(students)[-1]["cue"]) == 1


def test_nothing_entered_is_nothing_to_note(students):
    async def walk(pilot):
        await press(pilot, "end l s")
        assert shows(pilot.app, "nothing to note")

    use(desk_at(students), walk)
    assert len(lessons(students)) == 4


def test_while_playing_is_paused_the_sheet_has_no_playing_on_it(students):
    async def walk(pilot):
        await press(pilot, "home l")
        assert shows(pilot.app, "NO PLAYING")
        sheet = pilot.app.screen.round.asks
        assert {ask.why for ask in sheet} == {"if-comfortable"}

    use(desk_at(students), walk)


def test_a_file_that_cannot_be_written_is_said_and_the_answers_stay(students):
    async def walk(pilot):
        await press(pilot, "end l a a")
        file = students / "temwa.toml"
        file.write_text(file.read_text(encoding="utf-8") + "\nbroken = \n", encoding="utf-8")
        await press(pilot, "s enter")
        assert shows(pilot.app, "nothing was written")
        await press(pilot, "escape")

    use(desk_at(students), walk)
    assert len(half_done.offered(students / "temwa.toml").helps) > 1


def test_a_placing_lesson_asks_one_thing_at_a_time_and_is_noted_as_one(students):
    async def walk(pilot):
        await press(pilot, "down down down down s")
        assert shows(pilot.app, "Feet supported")
        await press(pilot, "a")
        first = pilot.app.screen.question
        await press(pilot, "n")
        assert pilot.app.screen.question != first
        await press(pilot, "s enter")
        assert shows(pilot.app, "Noted.")

    use(desk_at(students), walk)
    data = tomllib.loads((students / "rafiq.toml").read_text(encoding="utf-8"))
    assert [one["on"].isoformat() for one in data["placing"]] == ["2025-12-04", "2025-12-08"]
    noted = data["lesson"][-1]
    assert noted["alone"] == ["feet-supported"]
    assert len(noted["not_shown"]) == 1
    assert "not_tried" not in noted
