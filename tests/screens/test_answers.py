"""Plan, break, way, hand-over, review, season, changes: two keys from a student, and the command's text."""

from __future__ import annotations

import re
from functools import partial
from itertools import product

import pytest

from readiness.cli.main import main
from readiness.days import iso
from readiness.words.layout import cells
from screens.hands import add_new_student, desk_at, eventually, pane, press, shows, told, use
from tui.actions import with_keys
from tui.desk import TOLD, AnswerDesk

DAYS = ("2025-09-16", "2025-12-08", "2026-06-01")
"""A day of a noted lesson, a day between, a day with no event ahead."""

TELL = partial(with_keys, screen="answers")
BESIDE = 6
"""So many columns of a screen an answer leaves to what stands beside it."""

NAMES = tuple(name for name in TOLD if name != "way")


def command(name, student, on, students, *more):
    return [name, student, "--on", on, "--students", str(students), *more]


def words(text):
    """Return a text without its breaks of lines: the screen is narrower than the page."""
    return " ".join(text.split())


@pytest.mark.parametrize("on", DAYS)
def test_every_answer_is_the_text_of_its_command(students, on, capsys):
    add_new_student(students)
    desk = desk_at(students, on)
    for row in desk.read().rows:
        answers = AnswerDesk(desk, row.record.id)
        answers.target = desk.course.units[8].id
        for name in (*NAMES, "way"):
            before = max((one.on for one in row.record.lessons if one.on < row.day), default=None)
            more = {"way": ("--to", "9"), "changed": ("--since", str(iso(before)))}.get(name, ())
            code = main(command(name, row.record.id, on, students, *more))
            typed = f" --students {students}"  # the command repeats it; the screens need no folder
            printed, beside = (text.replace(typed, "") for text in capsys.readouterr())
            if answers.is_open(name):
                assert code == 2
                assert "Key o asks for" in answers.told(name, 80)
            else:
                assert code in (0, 1), beside
                caution = words(beside).replace("readiness: ", "") if name == "handover" else ""
                assert words(answers.told(name, 80)) == f"{words(printed)} {caution}".strip(), row.record.id


WIDTHS = range(40, 121)


def test_no_line_of_an_answer_is_broken_twice(students, monkeypatch):
    """With the keys in it every line has room, but for a command alone, which nothing breaks."""
    add_new_student(students)
    desk = desk_at(students)
    for row in desk.read().rows:
        answers = AnswerDesk(desk, row.record.id)
        answers.target = desk.course.units[8].id
        for name in TOLD:
            parts = () if answers.is_open(name) else tuple(TOLD[name](answers, row))
            monkeypatch.setitem(TOLD, name, lambda *_, parts=parts: parts)
            for width, full in product(WIDTHS, (False, True)):
                room = width - BESIDE
                for line in answers.told(name, room, full=full, tell=TELL).split("\n"):
                    assert cells(line) <= room or re.fullmatch(r"\s*`[^`]*`[.,;]?", line), (width, line)
        monkeypatch.undo()


def test_an_answer_is_made_for_the_room_that_it_has(students):
    async def walk(pilot):
        await press(pilot, "end a")
        for width in WIDTHS:
            await pilot.resize_terminal(width, 24)
            await eventually(pilot, lambda width=width: pilot.app.size.width == width)
            screen = pilot.app.screen
            assert screen.width == min(84, width - BESIDE)
            assert screen.width <= screen.query_one("#draft-text").size.width

    use(desk_at(students), walk)


HEADS = {
    "a": "Next lesson · Temwa",
    "a b": "Not a break: the last lesson was on",
    "a b p": "Next lesson · Temwa",
    "a h": "For the substitute · Temwa · 9 December 2025",
    "a r": "Review · Temwa · 8 December 2025 to 21 December",
    "a s": 'before "Sharing afternoon"',
    "a v": "Temwa · 2 December to 8 December 2025",
}


@pytest.mark.parametrize("begin", ["end", "end enter"])
def test_two_keys_lead_from_a_student_to_an_answer(students, begin):
    async def walk(pilot):
        await press(pilot, begin)
        for keys, head in HEADS.items():
            await press(pilot, keys)
            assert shows(pilot.app, head)
            await press(pilot, "c")
            assert head in words(pilot.app.clipboard)
            await press(pilot, "escape")
            assert shows(pilot.app, "Temwa · unit 3")
            assert len(pilot.app.screen_stack) == 2 + begin.count("enter")

    use(desk_at(students), walk)


def test_the_way_asks_for_a_unit_or_a_skill_by_its_name(students):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "end a w escape")
        assert shows(app, "The way to what? Key o chooses a skill or a unit.")
        for typed, head in (
            ("u n i t space 6", "All of unit 6, Hands take turns · Temwa"),
            ("l i f t s space t h e space w", 'To "Lifts the wrist" · Temwa'),
        ):
            await press(pilot, f"w {typed} enter")
            assert shows(app, head)
            await press(pilot, "p")
            assert shows(app, "Next lesson · Temwa")
            await press(pilot, "w escape")
            assert shows(app, head)

    use(desk_at(students), walk)


def test_one_key_shows_all_of_an_answer_and_takes_it_back(students):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "end a")
        assert "Not started this time" not in pane(app, "#draft-text")
        await press(pilot, "f")
        assert "Not started this time" in pane(app, "#draft-text")
        await press(pilot, "f")
        assert "Not started this time" not in pane(app, "#draft-text")

    use(desk_at(students), walk)


def test_where_no_event_is_ahead_the_season_asks_for_a_day(students):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "end a s")
        assert shows(app, "No event lies ahead in the calendar of the studio.")
        await press(pilot, "s o m e space d a y enter")
        assert 'This takes a day such as 2025-12-19, and "some day" is not a day.' in told(app)
        await press(pilot, " ".join(["backspace"] * 8))
        await press(pilot, " ".join("2026-05-30".replace("-", "_")).replace("_", "minus") + " enter")
        assert "This takes a day after 1 June 2026, the day asked about." in told(app)
        await press(pilot, "backspace backspace backspace backspace 7 minus 0 4 enter")
        assert "4 July" in pane(app, "#draft-text")
        await press(pilot, "p s")
        assert "4 July" in pane(app, "#draft-text")

    use(desk_at(students, "2026-06-01"), walk)


def test_what_changed_can_be_asked_of_another_day(students):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "end a v o")
        await press(pilot, " ".join("2025-11-18".replace("-", "_")).replace("_", "minus") + " enter")
        assert shows(app, "Temwa · 18 November to 8 December 2025")
        await press(pilot, "o escape")
        assert shows(app, "Temwa · 18 November to 8 December 2025")

    use(desk_at(students), walk)


def test_a_what_if_on_a_noted_day_is_about_the_next_lesson_and_says_so(students):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "end enter")
        assert "Temwa shows it on 9 December: Keeps the hand" in words(str(switches(app)))
        await press(pilot, "4")
        assert pane(app, "#sentence").startswith("Supposed for the lesson on 9 December; nothing is saved")
        assert "Supposed for the lesson on 9 December; nothing is saved" in pane(app, "#changed")
        await press(pilot, "0 1")
        assert pane(app, "#sentence").startswith("Supposed for this once; nothing is saved")

    desk = desk_at(students, "2025-12-02")
    row = desk.read().by_id["temwa"]
    assert row.day in [one.on for one in row.record.lessons]
    use(desk, walk)


def test_where_no_lesson_is_to_come_none_is_supposed(students):
    with (students / "studio.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[event]]\nname = "A year away"\nfrom = 2025-12-09\nto = 2027-01-09\n')

    async def walk(pilot):
        app = pilot.app
        assert app.desk.row("temwa").answer.next_lesson is None
        await press(pilot, "end enter 4")
        assert "4 [off] (no lesson to come)" in words(str(switches(app)))
        assert "Supposed" not in pane(app, "#sentence")

    use(desk_at(students), walk)


def switches(app):
    """Return the rows of the switches, also what is cut off."""
    options = app.screen.query_one("#switch-list").options
    return " ".join(str(one.prompt) for one in options)


def test_what_is_unfinished_from_before_stands_on_the_page_and_the_card(students):
    async def walk(pilot):
        await press(pilot, "slash c h i k enter")
        assert "Unfinished from before: Alternates the arms" in pane(pilot.app, "#card")
        await press(pilot, "enter")
        told = [line.text for entry in pilot.app.screen.query_one("Outline").entries for line in entry.under]
        assert any("Unfinished from before" in text for text in told)

    use(desk_at(students), walk)


def test_a_file_saved_meanwhile_gives_the_answer_anew(students):
    async def walk(pilot):
        app = pilot.app
        await press(pilot, "end a h")
        file = students / "temwa.toml"
        text = file.read_text(encoding="utf-8")
        file.write_text(text.replace('"Temwa"', '"Tembi"'), encoding="utf-8")
        await eventually(pilot, lambda: "For the substitute · Tembi" in pane(app, "#draft-text"))
        file.write_text(text.replace('"Temwa"', "Temwa"), encoding="utf-8")
        await eventually(pilot, lambda: "cannot be read now (Escape, then key p)" in pane(app, "#title"))
        file.write_text(text, encoding="utf-8")
        await eventually(pilot, lambda: "For the substitute · Temwa" in pane(app, "#draft-text"))
        assert "Temwa" in pane(app, "#title")

    use(desk_at(students), walk)
