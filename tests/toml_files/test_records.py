"""Student files: what is read, and what is said about each mistake a teacher can make."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from readiness.days import day_number, iso
from readiness.record.load import build_record, load_record, load_without_course
from readiness.record.model import HELPS, is_id
from readiness.toml.problems import errors, render

BAD = Path(__file__).parent / "bad_records"
HEADER = {"format": 1, "name": "Invented", "born": "2018-03-02"}


def said(path, course):
    """Return everything said about a file, with its name alone as the path."""
    text = "\n\n".join(render(problem) for problem in load_record(path, course).problems)
    return text.replace(f"{path.parent}/", "") + "\n"


@pytest.mark.parametrize("path", sorted(BAD.glob("*.toml")), ids=lambda path: path.stem)
def test_each_bad_file_is_refused_with_its_message(path, course):
    loaded = load_record(path, course)
    assert loaded.record is None
    assert errors(loaded.problems)
    assert said(path, course) == path.with_suffix(".txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", sorted(BAD.glob("*.toml")), ids=lambda path: path.stem)
def test_every_problem_points_into_the_file(path, course):
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    for problem in load_record(path, course).problems:
        assert 1 <= problem.place.line <= len(lines)
        assert 1 <= problem.place.column <= len(lines[problem.place.line - 1]) + 1


@pytest.mark.parametrize(
    "name, lessons",
    [("temwa", 4), ("chikondi", 13), ("noemi", 10), ("linnea", 9), ("rafiq", 1), ("bogdan", 6)],
)
def test_the_demo_students_are_read_whole(name, lessons, course, demo_folder):
    loaded = load_record(demo_folder / f"{name}.toml", course)
    assert not loaded.problems
    assert loaded.record is not None
    assert loaded.record.id == name
    assert len(loaded.record.lessons) == lessons


def test_every_showing_keeps_the_line_it_stands_on(course, demo_folder):
    for path in demo_folder.glob("*.toml"):
        if path.name == "studio.toml":
            continue
        lines = path.read_text(encoding="utf-8").splitlines()
        record = load_record(path, course).record
        assert record is not None
        for lesson in record.lessons:
            assert lines[lesson.line - 1] == "[[lesson]]"
            for showing in lesson.showings:
                assert f'"{showing.skill}"' in lines[showing.line - 1]
        for block in (*record.holds, *record.tasks, *record.promises, *record.unit_starts, *record.settled):
            assert lines[block.line - 1].startswith("[[")


def test_a_list_over_several_lines_gives_each_skill_its_own_line(course, tmp_path):
    path = tmp_path / "one.toml"
    path.write_text(
        'format = 1\nname = "One"\nborn = "2018-03-02"\n[[lesson]]\non = 2025-12-02\nalone = [\n'
        '  "wrist-lift", # a remark\n\n  "feet-supported",\n]\nmodel = ["rounded-hand-keys"]\n',
        encoding="utf-8",
    )
    record = load_record(path, course).record
    assert record is not None
    found = {s.skill: (HELPS[s.help], s.line) for s in record.lessons[0].showings}
    assert found == {
        "wrist-lift": ("alone", 7),
        "feet-supported": ("alone", 9),
        "rounded-hand-keys": ("model", 11),
    }


@pytest.mark.parametrize(
    "born, day",
    [
        ("2020-05-14", "2020-05-14"),
        (date(2020, 5, 14), "2020-05-14"),
        ("2020-05", "2020-05-31"),  # of a month, the last day (rules, section 1)
        ("2020-02", "2020-02-29"),
        ("2019-02", "2019-02-28"),
    ],
)
def test_a_birth_date_may_be_a_month(born, day, course):
    assert iso(build_record("one", HEADER | {"born": born}, course).born) == day


@pytest.mark.parametrize("born", ["2020-13", "2020-2", "20200514", "2019-02-29", "May 2020", 2020, True])
def test_what_is_no_birth_date_is_refused(born, course):
    with pytest.raises(ValueError, match="birth date"):
        build_record("one", HEADER | {"born": born}, course)


def test_a_note_in_the_month_of_birth_is_not_before_birth(course):
    lesson = {"on": date(2020, 5, 3), "alone": ["wrist-lift"]}
    assert build_record("one", HEADER | {"born": "2020-05", "lesson": [lesson]}, course).lessons


def test_every_kind_of_block_is_kept(course):
    on = date(2025, 12, 2)
    data = HEADER | {
        "family": "banda",
        "home_keys": 61,
        "consents": {"video": False, "photo": True},
        "lesson": [
            {
                "on": on, "alone": ["wrist-lift"], "cue": ["feet-supported"], "model": ["moves-named-finger"],
                "hands_on": ["rounded-hand-keys"], "not_shown": ["sings-up-down"],
                "not_tried": ["free-black-key-piece"],
                "by": "OB", "note": "two\nlines", "remarks": {"wrist-lift": "left sinks a little"},
            }
        ],
        "hold": [{"opened": on, "words": "hoarse", "part": "voice"}, {"opened": on, "words": "tired"}],
        "set_aside": [{"skill": "wrist-lift", "on": on, "agreed_with": "family"}],
        "band_choice": [{"band": "6-7", "on": on, "reason": "reads early"}],
        "decision": [{"on": on, "unit": "arms-that-travel", "computed": "ready", "decided": "stay"}],
        "task": [
            {"given": on, "for_skill": "wrist-lift", "text": "lid", "days_reported": 3, "reported": "fun"}
        ],
        "promise": [{"given": on, "to": "the mother", "text": "we look again", "due": date(2025, 12, 9)}],
        "placing": [{"on": on, "confirmed": date(2025, 12, 9)}],
        "particulars": {"stop": "flat hand"},
        "alternative": [{"skill": "wrist-lift", "text": "on the table", "agreed_with": "family", "on": on}],
        "told": [{"to": "the mother", "what": "no check today", "on": on}],
    }  # fmt: skip
    record = build_record("one", data, course)
    assert record.consents == {"video": False, "photo": True}
    assert [(s.skill, HELPS[s.help]) for s in record.lessons[0].showings] == [
        ("wrist-lift", "alone"),
        ("feet-supported", "cue"),
        ("moves-named-finger", "model"),
        ("rounded-hand-keys", "hands-on"),
        ("sings-up-down", "not-shown"),
    ]
    assert record.lessons[0].not_tried == ("free-black-key-piece",)
    assert record.lessons[0].remarks == {"wrist-lift": "left sinks a little"}
    assert [hold.part for hold in record.holds] == ["voice", "all"]
    assert record.set_aside[0].agreed_with == "family"
    assert record.band_choices[0].band == "6-7"
    assert record.decisions[0].decided == "stay"
    assert (record.tasks[0].days_reported, record.tasks[0].reported) == (3, "fun")
    assert (record.promises[0].due, record.promises[0].answered) == (day_number("2025-12-09"), None)
    assert record.placings[0].confirmed == day_number("2025-12-09")


def test_a_skill_may_stand_in_two_lists_of_one_day(course):
    lesson = {"on": date(2025, 12, 2), "alone": ["wrist-lift"], "cue": ["wrist-lift"]}
    record = build_record("one", HEADER | {"lesson": [lesson]}, course)
    assert [s.help for s in record.lessons[0].showings] == [0, 1]


def test_blocks_may_stand_in_any_order_of_days(course):
    days = [date(2025, 12, 2), date(2025, 11, 4), date(2025, 11, 18)]
    record = build_record("one", HEADER | {"lesson": [{"on": on} for on in days]}, course)
    assert [lesson.on for lesson in record.lessons] == [day.toordinal() for day in days]


@pytest.mark.parametrize("text", ["", "..", "../temwa", "a b", ".temwa", "-x", "é", "a" * 65, "t\n", "a.b"])
def test_what_cannot_be_a_file_name_is_no_id(text):
    assert not is_id(text)


@pytest.mark.parametrize("text", ["temwa", "Temwa-2", "t_1", "7"])
def test_a_plain_name_is_an_id(text):
    assert is_id(text)


def test_a_missing_file_is_a_problem(course, tmp_path):
    loaded = load_record(tmp_path / "nobody.toml", course)
    assert loaded.record is None
    assert loaded.problems


def test_a_folder_in_place_of_a_file_is_a_problem(course, tmp_path):
    assert load_record(tmp_path, course).problems


SLIPS = {
    '"Invented"': ('"Invented', "Invented", "“Invented”"),
    "2025-09-09": ("2025-09-49", "9.9.2025", "2025-09-09\non = 2025-09-09", "2025-09-09, 10"),
    '["a-skill"]': ('["a-skill"', "[a-skill]", '[a-skill"]', '["a-skill" "b"]', '["a-skill"]]', '"""a-skill'),
    "cue = ": ("cue ", "cue : ", "cue == ", "just words\ncue = "),
    "[[lesson]]\n": ("[[lesson]\n", "[lesson]]\n", "[[lesson]] and\n"),
}
"""By what stands in a file, what is written there by a slip, so that the text is not TOML."""


@pytest.mark.parametrize(("right", "wrong"), [(right, one) for right, some in SLIPS.items() for one in some])
def test_a_slip_that_stops_the_reading_hides_no_mistyped_key(right, wrong, tmp_path):
    """Above it, in its block, on its line, and below."""
    lesson = '[[lesson]]\non = 2025-09-09\ncue = ["a-skill"]\nalnoe = ["other"]\n'
    text = f'format = 1\nname = "Invented"\nborn = "2020-05"\nhome_kyes = 61\n\n{lesson}'
    text += '\n[[lesson]]\non = 2025-09-16\ncue = ["a-skill"]\n'
    text += '\n[[hold]]\nopenned = 2025-10-01\nwords = "x"\n'
    (path := tmp_path / "a.toml").write_text(text.replace(right, wrong, 1), "utf-8")
    found = load_without_course(path).problems
    assert len(found) == 4
    for key in ("home_kyes", "alnoe", "openned"):
        assert sum(f'"{key}"' in one.message for one in found) == 1, (key, found)
