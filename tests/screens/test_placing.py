"""A placing lesson on the screen: the looks are those of the command, and nothing is lost."""

from __future__ import annotations

import json
import tomllib

import pytest

from readiness.cli.main import main
from readiness.record import draft_entry as half_done
from screens.hands import add_new_student, desk_at, pane, press, read, shows, told, use

DAY = "2025-12-08"
TO_ALMA = "slash a l m a enter s"


@pytest.fixture
def alma(students):
    return add_new_student(students)


def by_command(students, capsys):
    """Return where the command says that Alma stands, with all that is noted."""
    assert main(["place", "alma", "--json", "--on", DAY, "--students", str(students)]) == 0
    return json.loads(capsys.readouterr().out)


def noted(file):
    return tomllib.loads(file.read_text(encoding="utf-8"))["lesson"][-1]


def test_the_first_look_is_the_one_the_command_names(students, alma, capsys):
    first = by_command(students, capsys)["next"]

    async def walk(pilot):
        await press(pilot, TO_ALMA)
        assert list(pilot.app.screen.round.asked[0].skills) == first["skills"]
        assert pilot.app.screen.round.asked[0].why == first["why"]
        assert "At one glance: feet supported" in pane(pilot.app, "#question")
        assert "more. Key q stops here and notes what was seen." in pane(pilot.app, "#now")

    use(desk_at(students), walk)


def test_a_round_asks_what_tells_most_until_it_is_enough_and_starts_where_the_command_does(
    students, alma, capsys
):
    rooms, asked = [], []

    async def walk(pilot):
        screen = None
        await press(pilot, TO_ALMA)
        while (screen := pilot.app.screen).round.asked:
            rooms.append(screen.stands.room)
            asked.append(screen.round.asked_skills)
            await press(pilot, "1" if len(asked) < 4 else "5")
        assert "Enough" in pane(pilot.app, "#question")
        start = screen.stands.result.start_unit
        number = screen.desk.course.unit[start].number
        await press(pilot, "q")
        assert shows(pilot.app, f"Start so far: unit {number},")
        await press(pilot, "enter")
        assert shows(pilot.app, "Noted. Key u takes it back.")
        asked.append(start)

    use(desk_at(students), walk)
    *asked, start = asked
    assert rooms == sorted(rooms, reverse=True)
    assert len({skill for look in asked for skill in look}) == sum(map(len, asked))
    assert by_command(students, capsys)["start_unit"] == start
    data = tomllib.loads(alma.read_text(encoding="utf-8"))
    assert [one["on"].isoformat() for one in data["placing"]] == [DAY]
    assert set(noted(alma)["alone"]) == {skill for look in asked[:3] for skill in look}


def test_stopping_early_notes_what_was_asked_and_nothing_else(students, alma):
    async def walk(pilot):
        await press(pilot, TO_ALMA + " 1 5 minus")
        waiting = pilot.app.screen.round.asked[0].skills
        await press(pilot, "q enter")
        lesson = noted(alma)
        assert len(lesson["alone"]) > 1
        assert len(lesson["not_shown"]) == len(lesson["not_tried"]) == 1
        assert not set(waiting) & {*lesson["alone"], *lesson["not_shown"], *lesson["not_tried"]}

    use(desk_at(students), walk)


def test_a_glance_is_taken_apart_and_each_part_has_its_own_answer(students, alma):
    async def walk(pilot):
        await press(pilot, TO_ALMA)
        glance = pilot.app.screen.round.asked[0].skills
        await press(pilot, "s")
        assert pilot.app.screen.round.asked[0].skills == glance[:1]
        assert "Shown when: Before playing, looks down" in pane(pilot.app, "#question")
        await press(pilot, "2 1")
        assert pilot.app.screen.round.asked[0].skills == glance[2:3]
        await press(pilot, "q enter")
        assert noted(alma)["cue"] == list(glance[:1])
        assert noted(alma)["alone"] == list(glance[1:2])

    use(desk_at(students), walk)


def test_every_answer_and_word_is_kept_and_offered_again(students, alma):
    async def leave(pilot):
        await press(pilot, TO_ALMA + " 1 1 quotation_mark g o o d enter")
        assert '"good"' in pane(pilot.app, "#question")

    use(desk_at(students), leave)
    kept = half_done.offered(alma)

    async def come_back(pilot):
        await press(pilot, TO_ALMA)
        assert "Kept from 8 December 2025" in told(pilot.app)
        assert "Asked so far:" in pane(pilot.app, "#question")
        await press(pilot, "1 u")
        assert half_done.offered(alma) == kept
        await press(pilot, "escape")
        assert "Kept. It is offered again" in told(pilot.app)

    use(desk_at(students), come_back)
    assert half_done.offered(alma) == kept
    assert list(kept.remarks.values()) == ["good"]
    assert b"lesson" not in alma.read_bytes()


def test_undo_asks_the_same_again_and_takes_the_noted_lesson_out(students, alma, left):
    before = alma.read_bytes()

    async def walk(pilot):
        await press(pilot, TO_ALMA + " 1")
        asked = pilot.app.screen.round.asked
        await press(pilot, "5 u")
        assert pilot.app.screen.round.asked == asked
        await press(pilot, "q enter u")
        assert left(alma) == before.rstrip()
        assert pilot.app.screen.round.asked == asked

    use(desk_at(students), walk)


def test_what_cannot_be_kept_is_not_left(students, alma):
    half_done.half_done_path(alma).mkdir()

    async def walk(pilot):
        await press(pilot, TO_ALMA + " 1 escape")
        assert "Not kept: 5 without help." in pane(pilot.app, "#text-page Static")
        await press(pilot, "enter")
        assert pilot.app.screen.NAME == "placing"

    use(desk_at(students), walk)


def test_nothing_is_asked_while_a_hold_is_open(students):
    add_new_student(students, '[[hold]]\nopened = 2025-12-07\nwords = "arm is sore"\npart = "all"\n')

    async def walk(pilot):
        await press(pilot, "home")
        await press(pilot, "s" if shows(pilot.app, "▸Alma") else "down s")
        assert pilot.app.screen.round.asked == []
        assert "nothing is played, so nothing is asked." in pane(pilot.app, "#question")
        await press(pilot, "1")
        assert pilot.app.screen.round.lesson.is_empty
        assert "NO PLAYING" in pane(pilot.app, "#now")

    use(desk_at(students), walk)


def test_who_was_placed_in_two_lessons_is_not_asked_again(students):
    with (students / "rafiq.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[lesson]]\non = 2025-12-05\nalone = ["ready-next-hand"]\n')

    async def walk(pilot):
        await press(pilot, "slash r a f i q enter s")
        assert "placing never takes more than two lessons" in pane(pilot.app, "#question")
        await press(pilot, "q")
        assert "there is nothing to note" in told(pilot.app)

    use(desk_at(students), walk)


def test_when_enough_was_asked_the_keys_are_said_and_a_start_only_once_it_is_noted(students, alma):
    async def walk(pilot):
        await press(pilot, TO_ALMA + " 1" * 25)
        assert "q notes what was seen, u goes back, Escape keeps it" in pane(pilot.app, "#question")
        assert "key d begins" not in pane(pilot.app, "#question")
        await press(pilot, "enter")
        assert "Key q notes what was seen" in told(pilot.app)
        await press(pilot, "q enter")
        assert "Escape, then key d begins unit" in pane(pilot.app, "#question")

    use(desk_at(students), walk)


def test_a_placing_lesson_of_another_day_is_headed_by_its_day(students):
    """Also where it is opened again half entered: the looks of today do not go into it unseen."""
    add_new_student(students)

    async def walk(pilot):
        await press(pilot, "slash a l m a enter w enter y e s t e r d a y enter")
        assert read(pilot.app)[0].startswith(" Where does Alma start? · Lesson of 7 December ")
        await press(pilot, "1 escape l")
        assert read(pilot.app)[0].startswith(" Where does Alma start? · Lesson of 7 December ")
        await press(pilot, "x y")
        assert "Lesson" not in read(pilot.app)[0]

    use(desk_at(students), walk)
