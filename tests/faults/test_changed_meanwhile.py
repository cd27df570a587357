"""Somebody saves the file in an editor while this program is writing: neither loses anything."""

from __future__ import annotations

import os

import pytest

from readiness.days import day_number
from readiness.record.entries import answer_promise, decide, give_promise, give_task
from readiness.record.model import Decision
from readiness.record.noting import NewLesson, note_lesson
from readiness.record.undo import take_back
from readiness.toml import new_files
from readiness.toml import write as writing
from readiness.toml.write import Refusal

DAY = day_number("2025-12-10")
LESSON = NewLesson(DAY, {"wrist-lift": 0}, note="noted")


@pytest.fixture
def meanwhile(monkeypatch):
    """Return a function that lets somebody do something once, just before a step of writing."""

    def before(step, deed):
        room = writing if step.startswith("_") else new_files
        real, done = getattr(room, step), []

        def disturbed(*args, **named):
            if not done:
                done.append(True)
                deed()
            return real(*args, **named)

        monkeypatch.setattr(room, step, disturbed)
        return done

    return before


def saved_as_new(path, old, new):
    """Save like an editor that puts a new file in the place of the old one."""

    def save():
        other = path.with_name("editor.tmp")
        other.write_bytes(path.read_bytes().replace(old, new))
        other.replace(path)

    return save


def saved_in_place(path, old, new):
    """Save like an editor that writes over the old one."""
    return lambda: path.write_bytes(path.read_bytes().replace(old, new))


@pytest.mark.parametrize("saved", [saved_as_new, saved_in_place])
@pytest.mark.parametrize("step", ["write_all", "lock", "read_all"])
def test_a_note_and_an_edit_at_the_same_moment_are_both_there(
    saved, step, temwa, folder, read, course, meanwhile
):
    record = read(temwa)
    done = meanwhile(step, saved(temwa, b"before breakfast", b"after breakfast"))
    assert note_lesson(course, record, LESSON, folder, DAY) == ()
    assert done
    text = temwa.read_text(encoding="utf-8")
    assert "after breakfast" in text
    assert read(temwa).lessons[-1].note == "noted"
    assert text.count('note = "noted"') == 1


@pytest.mark.parametrize("saved", [saved_as_new, saved_in_place])
def test_an_answer_is_not_put_over_an_edit(saved, temwa, folder, read, meanwhile):
    """The edit comes after the new file was written beside, just before it takes the place."""
    record = read(temwa)
    done = meanwhile("_unchanged", saved(temwa, b"before breakfast", b"after breakfast"))
    refusal = answer_promise(record, folder, 1, DAY, "done")
    assert done
    assert refusal is not None
    assert refusal.id == "changed"
    text = temwa.read_text(encoding="utf-8")
    assert "after breakfast" in text
    assert "answered" not in text
    assert [path.name for path in folder.iterdir() if path.suffix != ".toml"] == []
    assert answer_promise(read(temwa), folder, 1, DAY, "done") is None


@pytest.mark.parametrize("saved", [saved_as_new, saved_in_place])
@pytest.mark.parametrize("again", [False, True])
def test_an_answer_is_not_put_over_an_edit_just_then(saved, again, temwa, folder, read, monkeypatch):
    """The edit comes after the last look at the file, and perhaps one more while it is put back."""
    record, real, calls = read(temwa), new_files.exchange, []

    def meanwhile(one, other):
        if not calls:
            saved(temwa, b"before breakfast", b"after breakfast")()
        elif again and len(calls) == 1:
            other.with_name("editor.tmp").write_bytes(one.read_bytes() + b"# the latest\n")
            other.with_name("editor.tmp").replace(other)
        calls.append(True)
        return real(one, other)

    monkeypatch.setattr(new_files, "exchange", meanwhile)
    refusal = answer_promise(record, folder, 1, DAY, "done")
    if len(calls) == 1:
        pytest.skip("this system or disk cannot exchange two files in one step")
    assert refusal.id == "changed"
    assert str(temwa) in refusal.message
    text = temwa.read_bytes()
    assert b"after breakfast" in text
    assert b"answered" not in text
    assert text.endswith(b"# the latest\n") == again
    assert [path.name for path in folder.iterdir() if path.suffix != ".toml"] == []


@pytest.mark.parametrize("saved", [saved_as_new, saved_in_place])
def test_taking_back_stops_at_an_edit(saved, temwa, folder, read, course, meanwhile):
    assert note_lesson(course, read(temwa), LESSON, folder, DAY) == ()
    done = meanwhile("_unchanged", saved(temwa, b"before breakfast", b"after breakfast"))
    answer = take_back(temwa, folder)
    assert done
    assert isinstance(answer, Refusal)
    assert answer.id == "changed"
    assert read(temwa).lessons[-1].note == "noted"


@pytest.mark.parametrize("saved", [saved_as_new, saved_in_place])
def test_taking_lines_out_of_a_block_stops_at_an_edit(saved, temwa, folder, read, meanwhile):
    assert answer_promise(read(temwa), folder, 1, DAY, "done") is None
    done = meanwhile("_unchanged", saved(temwa, b"before breakfast", b"after breakfast"))
    answer = take_back(temwa, folder)
    assert done
    assert isinstance(answer, Refusal)
    assert answer.id == "changed"
    assert read(temwa).promises[0].answer == "done"


def test_an_edit_that_breaks_the_file_meanwhile_is_not_added_to(temwa, folder, read, course, meanwhile):
    record = read(temwa)
    done = meanwhile("lock", saved_as_new(temwa, b"[[task]]", b"[[task]"))
    (refusal,) = note_lesson(course, record, LESSON, folder, DAY)
    assert done
    assert refusal.id == "broken-file"
    assert "noted" not in temwa.read_text(encoding="utf-8")


def test_a_file_that_is_gone_meanwhile(temwa, folder, read, course, meanwhile):
    record = read(temwa)
    done = meanwhile("lock", temwa.unlink)
    (refusal,) = note_lesson(course, record, LESSON, folder, DAY)
    assert done
    assert "no such file" in refusal.message
    assert not temwa.exists()


ADDING = {
    "note": lambda record, folder, course: note_lesson(course, record, LESSON, folder, DAY),
    "task": lambda record, folder, _: give_task(record, folder, DAY, "wrist-lift", "up and down", 5, 4),
    "promise": lambda record, folder, _: give_promise(record, folder, DAY, "her mother", "a song", None),
    "decide": lambda record, folder, _: decide(
        record, folder, Decision(DAY, "arms-that-travel", "ready", "move", "together"), "finger-number-pieces"
    ),
}


@pytest.mark.parametrize("kind", ADDING)
@pytest.mark.parametrize("times", [0, 1])
def test_what_another_program_saved_with_our_entry_in_it_has_it_once(
    kind, times, temwa, folder, read, course, monkeypatch
):
    """It read the file once the entry stood there, and puts its own in place before we look."""
    record, fsync, done = read(temwa), os.fsync, []
    for _ in range(times):
        assert not ADDING[kind](record, folder, course)
    already = temwa.read_bytes().count(b"# noted ")

    def saved_meanwhile(file):
        fsync(file)
        if not done:
            done.append(True)
            saved_as_new(temwa, b"before breakfast", b"after breakfast")()

    monkeypatch.setattr(os, "fsync", saved_meanwhile)
    assert not ADDING[kind](record, folder, course)
    monkeypatch.undo()
    assert done
    text = temwa.read_bytes()
    assert b"after breakfast" in text
    assert text.count(b"# noted ") == already + 1
    read(temwa, twice="doubled-entry" * bool(already))
