"""An entry that was cut off anywhere is named with its lines, and is never a shorter lesson."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from readiness.days import day_number
from readiness.record.entries import decide, give_promise, give_task, open_hold
from readiness.record.load import load_record, load_without_course, record_in
from readiness.record.marks import CUT_OFF, cut_off
from readiness.record.model import Decision, Lesson, Showing
from readiness.record.noting import NewLesson, note_lesson
from readiness.record.undo import correct, move_lessons
from readiness.toml.write import Refusal

DAY, NOTED = day_number("2025-12-16"), day_number("2025-12-02")
HINT = "this entry was cut off; take it out or note it again"
SHOWN = {"wrist-lift": 0, "feet-supported": 1}
LESSON = NewLesson(DAY, SHOWN, ("sings-up-down",), "OB", 'good "day"', {"wrist-lift": "left"})
THREE = [Lesson(day, (Showing("wrist-lift", 1, 0),)) for day in (DAY - 7, DAY - 7, DAY)]
MOVE = Decision(DAY, "arms-that-travel", "ready", "move", "together")


def entries(course, record, folder):
    """Return what adds each kind of entry to a file."""
    other = replace(record, path=folder / "noemi.toml")
    return {
        "lesson": lambda: note_lesson(course, record, LESSON, folder, DAY),
        "placing": lambda: note_lesson(course, record, LESSON, folder, DAY, is_placing=True),
        "hold": lambda: open_hold(record, folder, DAY, "wrist hurts", "hand"),
        "move": lambda: decide(record, folder, MOVE, "finger-number-pieces"),
        "task": lambda: give_task(record, folder, DAY, "wrist-lift", "up and down", 5, 4),
        "promise": lambda: give_promise(record, folder, DAY, "her mother", "a song", DAY + 7),
        "correction": lambda: correct(record, folder, (), NewLesson(NOTED, SHOWN), DAY),
        "lessons": lambda: move_lessons(other, record, folder, THREE, DAY),
    }


KINDS = ("lesson", "placing", "hold", "move", "task", "promise", "correction", "lessons")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("ending", [b"\n", b"\r\n"])
def test_an_entry_cut_at_any_length_is_named_and_never_counted(kind, ending, temwa, folder, course, read):
    temwa.write_bytes(temwa.read_bytes().replace(b"\n", ending))
    before = temwa.read_bytes()
    assert not entries(course, read(temwa), folder)[kind]()
    whole = temwa.read_bytes()
    entry = whole[len(before) :]
    first = before.count(b"\n") + 2
    known = record_in(before, temwa, course).record
    for length in range(len(ending) + 1, len(entry)):
        loaded = record_in(before + entry[:length], temwa, course)
        if entry[length:] == ending:
            assert loaded.record == record_in(whole, temwa, course).record
            continue
        (problem,) = loaded.problems
        last = (before + entry[:length]).rstrip().count(b"\n") + 1
        assert (problem.id, problem.severity, problem.place.line) == (CUT_OFF, "error", first)
        assert f"{first}" in problem.message
        assert f"{last}" in problem.message
        assert problem.hint.startswith(HINT)
    assert record_in(before + entry[: len(ending)], temwa, course).record == known


def test_what_is_surely_missing_is_said(temwa, folder, course, read):
    before = temwa.read_bytes()
    assert note_lesson(course, read(temwa), LESSON, folder, DAY) == ()
    whole = temwa.read_bytes()
    mark = whole.rstrip()[-8:].decode()
    end = whole.rindex(b"# noted")
    for cut in (end, end + 4, end + 10):
        (problem,) = record_in(whole[:cut], temwa, course).problems
        assert f'end is missing, "# noted {mark}"' in problem.message
        assert "before that" not in problem.message
        assert "write its end under it" in problem.hint
    mended = whole[:end] + f"# noted {mark}\n".encode()
    assert record_in(mended, temwa, course).problems == ()
    (problem,) = record_in(whole[: end - 30], temwa, course).problems
    assert "and so is something before that" in problem.message
    assert cut_off(before.decode()) == ()


def test_nothing_is_put_behind_an_entry_that_was_cut_off_but_what_must_not_wait(temwa, folder, course, read):
    record = read(temwa)
    assert note_lesson(course, record, LESSON, folder, DAY) == ()
    cut = temwa.read_bytes()[:-40]
    temwa.write_bytes(cut)
    for kind, add in entries(course, record, folder).items():
        if kind != "hold":
            found = add()
            refusal = found if isinstance(found, Refusal) else found[0]
            assert refusal.id == "broken-file"
            assert HINT in refusal.message
            assert temwa.read_bytes() == cut
    assert open_hold(record, folder, DAY, "wrist hurts", "hand") is None
    assert [one.id for one in load_record(temwa, course).problems] == [CUT_OFF]
    assert [one.id for one in load_without_course(temwa).problems] == [CUT_OFF]


def test_an_entry_noted_again_without_taking_the_cut_one_out_is_told_apart(temwa, folder, course, read):
    before = temwa.read_bytes()
    assert note_lesson(course, read(temwa), LESSON, folder, DAY) == ()
    entry = temwa.read_bytes()[len(before) :]
    both = before + entry[: len(entry) // 2].rstrip() + b"\n" + entry
    (problem,) = record_in(both, temwa, course).problems
    assert (problem.id, problem.place.line) == (CUT_OFF, before.count(b"\n") + 2)
    twice = before + entry + entry
    assert [one.id for one in record_in(twice, temwa, course).problems] == ["doubled-entry"]


def test_what_is_written_by_hand_behind_it_is_not_taken_for_its_own(temwa, folder, course, read):
    before = temwa.read_bytes()
    assert note_lesson(course, read(temwa), LESSON, folder, DAY) == ()
    cut = temwa.read_bytes()[: len(before) + 40]
    by_hand = b"\n\n[[lesson]]\non = 2025-12-17\nalone = [\"wrist-lift\"]\n"
    (one,) = cut_off((cut + by_hand).decode())
    assert one.last == cut.count(b"\n") + 1
    assert [p.id for p in record_in(cut + by_hand, temwa, course).problems] == [CUT_OFF]


MARKS = st.sampled_from(["0a1b2c3d", "ffffffff", "12345678"])
LINES = st.one_of(
    st.builds("[[{}]] # {}".format, st.sampled_from(["lesson", "decision", "unit_start"]), MARKS),
    st.builds("# noted {}".format, MARKS),
    st.sampled_from(["[[lesson]]", "on = 2025-12-16", "", "[[les", "# noted above 0a1b2c3d", "# noted 0a1b"]),
)


@given(st.lists(LINES, max_size=14))
def test_lines_in_any_order_give_stretches_in_their_order(lines):
    """Each entry found lies within the text, behind the one before, begins at a mark and has no end in it."""
    found = cut_off("\n".join(lines))
    at = 0
    for one in found:
        assert at < one.first <= one.last <= len(lines)
        assert lines[one.first - 1].startswith("[[")
        assert f"# noted {one.mark}" not in lines[one.first - 1 : one.last] or not one.mark
        at = one.last
    for number, line in enumerate(lines, 1):
        mark = line[-8:] if line.startswith("[[") and " # " in line else ""
        if mark and f"# noted {mark}" not in lines[number:]:
            assert any(one.first <= number <= one.last for one in found)
