"""Noting a consent changes one line in the head of a file, and nothing that was noted is lost."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace

import pytest

from readiness.days import day_number
from readiness.record.consents import CONSENTS, note_consent
from readiness.record.load import load_record

DAY = day_number("2025-12-02")
HEAD = 'format = 1\nname = "Nil"\nborn = "2019-05"\n'
LESSON = '\n[[lesson]]\non = 2025-11-25\nalone = ["feet-supported"] # consents = { video = true }\n'


def noted(path, course, key="video", given=True, by="Ms Nil", on=DAY):
    record = load_record(path, course).record
    return note_consent(record, path.parent, {key: given}, by, on)


@pytest.fixture
def file(tmp_path):
    def make(text):
        path = tmp_path / "nil.toml"
        path.write_bytes(text.encode())
        return path

    return make


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize(
    "head",
    [HEAD, HEAD + "consents = { touch = true } # asked twice\n", HEAD + "consents = {}\n", "\ufeff" + HEAD],
)
@pytest.mark.parametrize("rest", [LESSON, ""])
def test_an_answer_stands_in_the_head_and_everything_else_stays(head, rest, end, file, course):
    path = file((head + rest).replace("\n", end))
    before = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    for given, by in ((True, "Ms Nil"), (False, "Mr Nil")):
        assert noted(path, course, given=given, by=by) is None
    after = path.read_bytes().decode("utf-8-sig")
    assert tomllib.loads(after) == {**before, "consents": {**before.get("consents", {}), "video": False}}
    for line in (head.lstrip("\ufeff") + rest).splitlines():
        assert line.partition("}")[2] in after
    assert "# video: yes, said by Ms Nil, 2025-12-02" in after
    assert "# video: no, said by Mr Nil, 2025-12-02" in after
    assert after.count("\r\n") == (after.count("\n") if end == "\r\n" else 0)


@pytest.mark.parametrize(
    "head",
    [
        HEAD + "consents.touch = true\n",
        HEAD + '"consents" = { touch = true }\n',
        HEAD + "\n[consents]\ntouch = true\n",
    ],
)
def test_consents_written_in_another_way_are_left_alone_and_that_is_said(head, file, course):
    path = file(head + LESSON)
    before = path.read_bytes()
    refusal = noted(path, course)
    assert refusal is not None
    assert refusal.id == "by-hand"
    assert "change video by hand in" in refusal.message
    assert path.read_bytes() == before


def test_a_child_does_not_agree_for_itself_and_a_no_of_its_own_counts(file, course):
    path = file(HEAD + LESSON)
    assert noted(path, course, by="nil").id == "no-adult"
    assert noted(path, course, by=" ").id == "no-name"
    assert noted(path, course, given=False, by="Nil") is None
    record = replace(load_record(path, course).record, born=day_number("1990-01-01"))
    assert note_consent(record, path.parent, {"video": True}, "Nil", DAY) is None


def test_a_broken_file_is_not_made_worse(file, course):
    path = file(HEAD + LESSON)
    record = load_record(path, course).record
    path.write_bytes(b"format = 1\nname =\n")
    assert note_consent(record, path.parent, {"video": True}, "Ms Nil", DAY).id == "broken-file"
    assert path.read_bytes() == b"format = 1\nname =\n"


def test_every_consent_that_is_looked_at_can_be_noted():
    assert {"touch", "video", "photo", "share_family", "share_substitute", "share_school"} <= {
        *CONSENTS.values()
    }


def test_the_command_notes_lists_and_is_not_taken_back_with_a_lesson(file, course, monkeypatch, capsys):
    from readiness.cli.main import main

    path = file(HEAD + LESSON)
    monkeypatch.chdir(path.parent)
    where = ("--students", str(path.parent), "--course", str(course.folder), "--on", "2025-12-02")
    assert main(["note", "nil", "--alone", "feet-supported", *where]) == 0
    assert main(["consent", "nil", "substitute", "yes", "--by", "Ms Nil", *where]) == 0
    assert "Agreed to now: substitute." in " ".join(capsys.readouterr().out.split())
    assert main(["share", "nil", "--for", "substitute", *where]) == 0
    assert "No consent" not in capsys.readouterr().out
    before = path.read_bytes()
    assert main(["undo", "nil", *where[:4]]) == 2
    assert "a consent was noted last" in " ".join(capsys.readouterr().err.split())
    assert path.read_bytes() == before
    assert main(["consent", "nil", "--json", *where]) == 0
    assert json.loads(capsys.readouterr().out)["consents"] == {"share_substitute": True}
    assert main(["consent", "nil", "video", *where]) == 2
    assert main(["consent", "nil", *where]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "substitute: yes - sharing with a substitute" in told
    assert "video: not noted, so no" in told


@pytest.mark.parametrize(("first", "then"), [(DAY, DAY + 28), (DAY + 28, DAY)])
@pytest.mark.parametrize("no_is_later", [True, False])
def test_the_answer_of_the_later_day_counts_whichever_was_typed_first(first, then, no_is_later, file, course):
    path = file(HEAD + LESSON)
    for on in (first, then):
        assert noted(path, course, given=(on == max(first, then)) != no_is_later, on=on) is None
    record = load_record(path, course).record
    assert record.consents == {"video": not no_is_later}
    assert path.read_text().count("# video: ") == 2
    assert noted(path, course, "photo", on=DAY) is None  # an answer about another thing is not asked
    assert load_record(path, course).record.consents["photo"]


def test_several_answers_are_noted_in_one_command_and_an_older_one_is_said(file, course, capsys):
    from readiness.cli.main import main

    path = file(HEAD + LESSON)
    where = ("--students", str(path.parent), "--course", str(course.folder))
    say = ("consent", "nil", "--by", "Ms Nil", *where)
    assert main([*say, "touch", "photo", "yes", "video", "no", "--on", "2025-12-02"]) == 0
    assert load_record(path, course).record.consents == {"touch": True, "photo": True, "video": False}
    capsys.readouterr()
    assert main([*say, "touch", "no", "--on", "2025-12-01"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "The answer of a later day counts: touch is still yes. Agreed to now: touch and photo." in told
    before = path.read_bytes()
    for words in (("touch", "yes", "video"), ("yes",), ("touch", "yes", "no", "video")):
        assert main([*say, *words]) == 2, words
    assert path.read_bytes() == before
    assert main(["undo", "nil", *where]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "it stays in the file until another answer is noted: `readiness consent nil " in told
    assert "A lesson noted before it is corrected by its day: `readiness correct nil " in told
