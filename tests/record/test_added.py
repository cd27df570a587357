"""Lessons added to a file that was checked before are looked at without the models, and just as strictly."""

from __future__ import annotations

from dataclasses import fields
from datetime import UTC, date, datetime, time, timedelta
from hashlib import sha256
from pathlib import Path

import pytest
import tomli_w
from hypothesis import event, example, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from readiness.days import YEARS
from readiness.record.append import Checked, add_blocks, is_lesson, read_file, with_lessons
from readiness.record.load import load_record, record_in
from readiness.record.marks import TAKEN
from readiness.record.model import AGAIN, SHOWN, Record
from readiness.record.noting import NewLesson, note_lesson
from readiness.record.schema import LessonBlock
from readiness.record.undo import take_back

LISTS = (*SHOWN, "not_tried", "disliked", "liked_again")
TABLES = ("remarks", "tried_again")
NAMES = (*LISTS, *TABLES, "on", "by", "note")
EDGES = [YEARS[0] - 1, YEARS[0], YEARS[-1], YEARS[-1] + 1]
DAYS = st.sampled_from([date(2025, 12, 2), *(date(one, *day) for one in EDGES for day in ((1, 1), (12, 31)))])
USUAL = st.text(st.characters(categories=["L", "N", "P", "Zs"]), max_size=6) | st.just("wrist-lift")
WORDS = st.integers(0, 9).flatmap(
    lambda chance: USUAL if chance else st.text(max_size=3) | st.sampled_from(["a\nb", "\t", "\u200e"])
)
SIMPLE = (
    DAYS | WORDS | st.datetimes() | st.times() | st.booleans() | st.integers() | st.floats()
    | st.sampled_from([*AGAIN, [], {}])
)  # fmt: skip
ANY = SIMPLE | st.lists(SIMPLE, max_size=2) | st.dictionaries(WORDS, SIMPLE, max_size=2)
FITTING = {
    **dict.fromkeys(LISTS, st.lists(WORDS, max_size=3)),
    "on": DAYS,
    "by": WORDS,
    "note": WORDS,
    "remarks": st.dictionaries(WORDS, WORDS, max_size=2),
    "tried_again": st.dictionaries(WORDS, st.sampled_from([*AGAIN, "louder"]), max_size=2),
}


@st.composite
def blocks(draw):
    """Return a block as TOML may hold it: nearly a lesson, with few things that are not as they should be."""
    names = draw(st.lists(st.sampled_from(NAMES), unique=True, max_size=4))
    block = {name: draw(FITTING[name]) for name in names}
    block |= {"on": draw(DAYS)} if draw(st.integers(0, 9)) else {}
    odd = draw(st.dictionaries(st.sampled_from([*NAMES, "alnoe"]), ANY, max_size=1))
    return block | odd if draw(st.integers(0, 3)) == 0 else block


@settings(max_examples=400)
@given(blocks())
@example({"on": datetime(2025, 12, 2, 10, tzinfo=UTC)})
@example({"on": "2025-12-02"})
@example({"on": date(2025, 12, 2), "alone": ("wrist-lift",)})
@example({"on": date(2025, 12, 2), "remarks": {"wrist-lift": "a\nb"}})
@example({"on": date(2025, 12, 2), "by": "a\nb"})
@example({"on": date(2025, 12, 2), "tried_again": {"wrist-lift": ["slower"]}})
@example({"on": date(2025, 12, 2), "note": time(10)})
def test_a_lesson_is_what_the_model_accepts(block):
    try:
        LessonBlock.model_validate(block)
        accepted = True
    except ValidationError:
        accepted = False
    event(f"accepted: {accepted}")
    assert is_lesson(block) is accepted


def checked(data):
    return Checked(len(data), sha256(data).digest())


def plainly(loaded):
    values = loaded.record and {one.name: getattr(loaded.record, one.name) for one in fields(Record)}
    return loaded.path, loaded.text, loaded.problems, values


FOLDER = Path(__file__).parents[2] / "demo_students"
DEMO = [path.read_bytes() for path in sorted(FOLDER.glob("[!s]*.toml"))]
HEAD = b'format = 1\nname = "Mia"\nborn = "2018-05"\n'
PATH = Path("somebody.toml")
PROMISE = b'[[promise]]\ngiven = 2025-12-09\nto = "us"\ntext = "it"\n# why'
TWO = b"\n[[lesson]]\non = 2025-12-02\n\n[[lesson]]\non = 2025-12-03\n"
WRONG = b"[[correction]]\non = 2025-12-09\nof = 2025-12-09\nwhole = true\n"
LINES = b"\n[[lesson]]\non = 2025-12-09\n"


@st.composite
def grown(draw):
    """Return a student file, and the same with something behind it."""
    before = draw(st.sampled_from([*DEMO, HEAD, HEAD + LINES, HEAD + LINES[:-1]]))
    on = date(2025, 12, 2) + timedelta(draw(st.sampled_from([0, 1, 7, 30, -400])))
    skills = draw(st.lists(st.sampled_from(["wrist-lift", "feet-supported"]), max_size=2))
    lesson = {"on": on, draw(st.sampled_from(LISTS)): skills}
    odd = draw(st.sampled_from([
        {"lesson": [lesson], "told": [{"to": "us", "what": "it", "on": on}]}, {"lesson": lesson},
        {"lesson": [lesson | {"disliked": ["nobody-has-it"]}]}, {"hold": [{"opened": on, "words": "ouch"}]},
        {"correction": [{"on": on, "of": on}]},
    ]))  # fmt: skip
    two = [lesson, lesson | {"note": "again"}]
    other = odd if draw(st.integers(0, 4)) == 0 else {"lesson": two[: draw(st.integers(1, 2))]}
    gap, behind = b"\n", b""
    if draw(st.integers(0, 3)) == 0:
        behind = draw(st.sampled_from([b"\n", b"# why\n", TAKEN + b"0a1b2c3d\n", b"\xff\n"]))
        gap = draw(st.sampled_from([b"", b"# ", b"\n# noted 0a1b2c3d\n"]))
    return before, before + gap + tomli_w.dumps(other).encode() + behind


@given(grown())
@example((HEAD + b"lesson = []\n", HEAD + b"lesson = []\n" + LINES))  # TOML lets nobody add a block to it
@example((HEAD + LINES, HEAD + LINES + b"# [[lesson]]\nby = 'R. M.'\n"))
@example((HEAD + LINES[:-1], HEAD + LINES[:-1] + LINES[1:]))
@example((HEAD, HEAD + LINES.replace(b"2025", b"2015")))
@example((HEAD + LINES, HEAD + LINES + LINES.replace(b"2025", b"2011")))
@example((HEAD + LINES, HEAD + LINES + LINES.replace(b"]]", b"]] # 0a1b2c3d")))  # an entry without its end
@example((HEAD + LINES, HEAD + LINES + LINES + b"[[told]]\nto = 1\n"))
@example((HEAD + TWO + PROMISE, HEAD + TWO + PROMISE + LINES[1:]))
@example((HEAD + WRONG + LINES, HEAD + WRONG + LINES + LINES))
@example((HEAD + LINES, HEAD + LINES + LINES + b"alone = ['wrist-lift', 'wrist-lift']\n"))
def test_a_file_that_grew_reads_as_it_does_with_the_models(course, found):
    before, after = found
    plain = record_in(before, PATH, course)
    assert plain.record is not None
    assert plain.problems == ()
    again = record_in(after, PATH, course, checked(before))
    event(f"models: {with_lessons(after, PATH, checked(before), course) is None}")
    assert plainly(again) == plainly(record_in(after, PATH, course))


def test_what_was_taken_back_is_not_in_it(course, folder):
    path, before = folder / TEMWA, HEAD
    path.write_bytes(before)
    assert add_blocks(path, folder, LINES.decode().lstrip()) is None
    noted = path.read_bytes()
    assert isinstance(take_back(path, folder), str)
    for known in (before, noted):
        assert plainly(load_record(path, course, checked(known))) == plainly(load_record(path, course))


TEMWA = "temwa.toml"


def test_a_lesson_is_noted_without_the_models_and_as_with_them(course, folder, tmp_path, monkeypatch):
    """The same bytes, and the same record of them."""
    path, lesson = folder / TEMWA, NewLesson(739587, {"wrist-lift": 0}, by="R. M.", note="well")
    other = tmp_path / "other"
    other.mkdir()
    (other / TEMWA).write_bytes(before := path.read_bytes())
    assert note_lesson(course, load_record(other / TEMWA, course).record, lesson, other, lesson.on) == ()
    record = load_record(path, course).record
    monkeypatch.setattr("readiness.record.schema.StudentFile", None)
    assert note_lesson(course, record, lesson, folder, lesson.on, checked(before)) == ()
    again = load_record(path, course, checked(before))
    assert path.read_bytes() == (other / TEMWA).read_bytes() != before
    monkeypatch.undo()
    assert again.record == load_record(path, course).record
    assert [one.on for one in again.record.lessons][-1] == lesson.on


@pytest.mark.parametrize("wrong", ["on = 2025-12-02\nby = 1", "on = 2025-12-02\nalone = ''", "cue = []"])
def test_what_is_not_plainly_right_is_said_by_the_models(course, folder, wrong):
    path, text = folder / TEMWA, f"[[lesson]]\n{wrong}\n"
    before = path.read_bytes()
    found = add_blocks(path, folder, text, is_right=lambda data: record_in(
        data, path, course, checked(before)).record is not None)  # fmt: skip
    assert found == add_blocks(path, folder, text)
    assert found.id == "would-break"
    assert isinstance(read_file(path, before + text.encode()), str)
    assert path.read_bytes() == before
