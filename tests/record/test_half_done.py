"""A half-entered lesson is kept as it is, offered again, and never trusted blindly."""

from __future__ import annotations

from dataclasses import replace
from fnmatch import fnmatch
from threading import Barrier, Thread

import pytest

from readiness.record import draft_entry as half_done
from readiness.record.enrol import Forgotten, NewStudent, enrol, forget
from readiness.record.model import Record
from readiness.record.noting import NewLesson, check_lesson, note_lesson
from readiness.record.undo import correct, move_lessons, take_back
from readiness.toml.write import Refusal

LESSON = NewLesson(
    739587, {"wrist-lift": 0, "feet-supported": 4}, ("sings-up-down",), "OB", "well", {"wrist-lift": "ü"}
)


def test_what_is_kept_is_offered(temwa):
    assert half_done.offered(temwa) is None
    assert half_done.keep(temwa, LESSON) is None
    assert half_done.offered(temwa) == LESSON
    assert half_done.keep(temwa, NewLesson(1)) is None
    assert half_done.offered(temwa) == NewLesson(1)
    half_done.drop(temwa)
    half_done.drop(temwa)
    assert half_done.offered(temwa) is None
    assert [path.name for path in temwa.parent.iterdir() if path.name.startswith(".")] == []


@pytest.mark.parametrize(
    "content",
    [
        b"", b"{", b"[]", b"\xff", b'{"on": "x"}', b'{"on": 1e400}',
        b'{"on": 1, "helps": {"a": 7}, "not_tried": [], "by": "", "note": "", "remarks": {}}',
        b'{"on": 0, "helps": {}, "not_tried": [], "by": "", "note": "", "remarks": {}}',
    ],
)  # fmt: skip
def test_a_file_that_is_not_ours_offers_nothing(content, temwa):
    half_done.half_done_path(temwa).write_bytes(content)
    assert half_done.offered(temwa) is None


@pytest.mark.parametrize("content", [b"", b"{", b'{"on": "x"}', None])
def test_what_cannot_be_read_is_said_and_nothing_is_put_in_its_place(content, temwa):
    path = half_done.half_done_path(temwa)
    path.mkdir() if content is None else path.write_bytes(content)
    assert str(path) in half_done.why_unreadable(temwa).message
    for keep in (half_done.keep, half_done.keep_beside):
        refusal = keep(temwa, LESSON)
        assert "this round cannot be kept safe: " in refusal.message
        assert str(path) in refusal.message
    assert path.is_dir() if content is None else path.read_bytes() == content


def test_nothing_is_wrong_with_what_is_not_there_or_can_be_read(temwa):
    assert half_done.why_unreadable(temwa) is None
    half_done.keep(temwa, LESSON)
    assert half_done.why_unreadable(temwa) is None


def test_what_was_typed_beside_the_help_is_kept_and_understood_later(temwa, course):
    """A way of trying again that is none, and a skill nobody knows, go to the words of the lesson."""
    again = {"wrist": "slowly", "wrist-lift": "slower", "nothing-such": "one-hand"}
    lesson = NewLesson(1, disliked=("sings-up",), liked_again=("rounded-hand-keys",), tried_again=again)
    assert half_done.keep(temwa, lesson) is None
    assert half_done.offered(temwa) == lesson
    meant = half_done.understood(course, lesson)
    assert (meant.disliked, meant.liked_again) == (("sings-up-down",), ("rounded-hand-keys",))
    assert meant.tried_again == {"wrist-lift": "slower"}
    assert meant.note == "wrist: tried again slowly; nothing-such: tried again with one hand"
    assert check_lesson(course, Record("m", "M", 0), meant, (), 1) == ()


def test_each_person_has_a_lesson_of_their_own(temwa, monkeypatch):
    for person in ("anna", "bela"):
        monkeypatch.setattr(half_done, "_person", lambda person=person: person)
        assert half_done.keep(temwa, replace(LESSON, note=person)) is None
    for person in ("anna", "bela"):
        monkeypatch.setattr(half_done, "_person", lambda person=person: person)
        assert half_done.offered(temwa).note == person
    half_done.drop(temwa)
    monkeypatch.setattr(half_done, "_person", lambda: "anna")
    assert half_done.offered(temwa).note == "anna"


def keep_form(file, form, words, record=None):
    """Type words into a form, in place of those that stand there; return why they are not kept, if so."""
    held = half_done.FormWords(file, form, record)
    held.clear()
    held.update(words)
    return held.keep()


def test_each_form_has_its_words_until_they_are_forgotten_and_a_lesson_has_none_of_them(temwa):
    assert half_done.forms(temwa) == {}
    half_done.keep(temwa, LESSON)
    assert keep_form(temwa, "pause", {(): "left wrist"}) is None
    assert keep_form(temwa, "promise", {("to",): "aunt", ("text",): "a song"}) is None
    half_done.drop(temwa)
    promise = {("to",): "aunt", ("text",): "a song"}
    assert half_done.forms(temwa) == {"pause": {(): "left wrist"}, "promise": promise}
    assert keep_form(temwa, "pause", {}) is None
    assert half_done.forms(temwa) == {"promise": promise}
    (file,) = temwa.parent.glob(".*")
    assert fnmatch(file.name, ".*.half-done.*"), "the studio's .gitignore knows it"
    assert file.stat().st_mode & 0o077 == 0
    assert keep_form(temwa, "promise", {}) is None
    assert keep_form(temwa, "promise", {}) is None
    assert list(temwa.parent.glob(".*")) == []


def test_what_two_people_type_into_one_form_is_each_ones_own(temwa, monkeypatch):
    for person in ("anna", "bela"):
        monkeypatch.setattr(half_done, "_person", lambda person=person: person)
        assert half_done.forms(temwa) == {}
        assert keep_form(temwa, "pause", {(): person}) is None
    keep_form(temwa, "pause", {})
    assert half_done.forms(temwa) == {}
    monkeypatch.setattr(half_done, "_person", lambda: "anna")
    assert half_done.forms(temwa) == {"pause": {(): "anna"}}


@pytest.mark.parametrize("content", [b"[]", b'{"pause": 3}', b"\xff"])
def test_what_is_no_words_of_a_form_is_never_replaced(temwa, content):
    keep_form(temwa, "pause", {(): "left wrist"})
    (file,) = temwa.parent.glob(".*")
    file.write_bytes(content)
    assert half_done.forms(temwa) == {}
    held = half_done.FormWords(temwa, "pause")
    for words in ({(): "more"}, {}):
        held.clear()
        held.update(words)
        refusal = held.keep()
        assert refusal.message.startswith(f"what was typed cannot be kept safe: what is kept in {file} ")
    assert file.read_bytes() == content


def test_words_of_a_form_go_with_the_student_and_to_no_other_of_that_id(temwa, folder, course, read):
    record = read(temwa)
    assert keep_form(temwa, "pause", {(): "left wrist"}, record) is None
    assert isinstance(forget(temwa, folder), Forgotten)
    assert list(folder.glob(".*")) == []
    assert "no such file" in keep_form(temwa, "pause", {(): "left wrist"}, record).message
    assert enrol(course, NewStudent("temwa", "Tove", "2019-01", 739587), folder) == ()
    refusal = keep_form(temwa, "pause", {(): "left wrist"}, record)
    assert "is the file of Tove now, not of Temwa" in refusal.message
    assert list(folder.glob(".*")) == []


def test_one_of_an_earlier_edition_is_still_its_owners(temwa):
    half_done.keep(temwa, LESSON)
    half_done.half_done_path(temwa).rename(temwa.with_name(".temwa.half-done.json"))
    assert half_done.offered(temwa) == LESSON
    assert half_done.keep(temwa, replace(LESSON, note="more")) is None
    assert [path.name for path in temwa.parent.glob(".*")] == [".temwa.half-done.json"]


@pytest.mark.parametrize("keep", [half_done.keep, half_done.keep_beside])
def test_nothing_is_kept_beside_a_file_that_is_gone(keep, temwa, folder):
    assert half_done.keep(temwa, LESSON) is None
    assert isinstance(forget(temwa, folder), Forgotten)
    refusal = keep(temwa, LESSON)
    assert "no such file" in refusal.message
    assert [path for path in folder.iterdir() if "temwa" in path.name] == []


def test_a_round_that_is_open_is_not_kept_or_noted_for_another_child_of_that_id(temwa, folder, course, read):
    record = read(temwa)
    assert half_done.keep(temwa, LESSON, record) is None
    assert isinstance(forget(temwa, folder), Forgotten)
    assert enrol(course, NewStudent("temwa", "Tove", "2019-01", 739587), folder) == ()
    before = temwa.read_bytes()
    assert half_done.offered(temwa) is None
    assert "is the file of Tove now, not of Temwa" in half_done.keep(temwa, LESSON, record).message
    (refusal,) = note_lesson(course, record, LESSON, folder, 739587)
    assert refusal.id == "another-student"
    assert temwa.read_bytes() == before
    assert list(folder.glob(".*")) == []


def test_whoever_keeps_while_the_student_is_forgotten_brings_nothing_back(temwa, folder):
    """Four rounds are open and keep every answer; again and again the student is forgotten meanwhile."""
    data = temwa.read_bytes()
    for _ in range(15):
        temwa.write_bytes(data)
        begun = Barrier(5)

        def answering(begun=begun):
            begun.wait()
            while half_done.keep(temwa, LESSON) is None:
                pass

        rounds = [Thread(target=answering) for _ in range(4)]
        for one in rounds:
            one.start()
        begun.wait()
        while isinstance(forget(temwa, folder), Refusal):
            pass
        for one in rounds:
            one.join()
        assert [path.name for path in folder.iterdir() if "temwa" in path.name] == []


@pytest.mark.parametrize("is_placing", [False, True])
def test_what_a_program_noted_and_then_died_is_not_offered(is_placing, temwa, folder, course, read):
    lesson = NewLesson(739587, {"wrist-lift": 0}, note="well")
    half_done.keep(temwa, lesson)
    assert note_lesson(course, read(temwa), lesson, folder, lesson.on, is_placing=is_placing) == ()
    assert half_done.offered(temwa) is None
    assert list(folder.glob(".*")) == []
    half_done.keep(temwa, replace(lesson, note="another"))
    assert half_done.offered(temwa).note == "another"


@pytest.mark.parametrize("how", ["taken back", "corrected", "moved away", "moved away and back"])
def test_what_was_noted_and_counts_no_longer_is_offered(how, temwa, folder, course, read):
    lesson, noemi = NewLesson(739587, {"wrist-lift": 0}, note="well"), folder / "noemi.toml"
    assert note_lesson(course, read(temwa), lesson, folder, lesson.on) == ()
    if how == "taken back":
        assert not isinstance(take_back(temwa, folder), Refusal)
    elif how == "corrected":
        assert correct(read(temwa), folder, ["wrist-lift"], NewLesson(lesson.on, {}), lesson.on) is None
    else:
        ways = [(temwa, noemi), (noemi, temwa)][: 1 + how.endswith("back")]
        for here, there in ways:
            whose = read(here)
            assert move_lessons(whose, read(there), folder, whose.lessons[-1:], lesson.on) is None
    half_done.keep(temwa, lesson)
    assert half_done.offered(temwa) == (None if how.endswith("and back") else lesson)


def test_only_the_owner_may_read_it(temwa):
    half_done.keep(temwa, LESSON)
    assert half_done.half_done_path(temwa).stat().st_mode & 0o077 == 0
