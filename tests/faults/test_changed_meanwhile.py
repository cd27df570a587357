"""Somebody saves the file in an editor while this program is writing: neither loses anything."""

from __future__ import annotations

import pytest

from readiness.days import day_number
from readiness.files import writing
from readiness.files.writing import Refusal
from readiness.record.noting import NewLesson, note_lesson
from readiness.record.steps import answer_promise
from readiness.record.taking_back import take_back

DAY = day_number("2025-12-10")
LESSON = NewLesson(DAY, {"wrist-lift": 0}, note="noted")


@pytest.fixture
def meanwhile(monkeypatch):
    """Return a function that lets somebody do something once, just before a step of writing."""

    def before(step, deed):
        real, done = getattr(writing, step), []

        def disturbed(*args, **named):
            if not done:
                done.append(True)
                deed()
            return real(*args, **named)

        monkeypatch.setattr(writing, step, disturbed)
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
@pytest.mark.parametrize("step", ["_write_all", "_lock", "_read_all"])
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
    done = meanwhile("_lock", saved_as_new(temwa, b"[[task]]", b"[[task]"))
    (refusal,) = note_lesson(course, record, LESSON, folder, DAY)
    assert done
    assert refusal.id == "broken-file"
    assert "noted" not in temwa.read_text(encoding="utf-8")


def test_a_file_that_is_gone_meanwhile(temwa, folder, read, course, meanwhile):
    record = read(temwa)
    done = meanwhile("_lock", temwa.unlink)
    (refusal,) = note_lesson(course, record, LESSON, folder, DAY)
    assert done
    assert "no such file" in refusal.message
    assert not temwa.exists()
