"""A studio is made, a student comes, a student leaves."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from readiness.cli.commands import Exit
from readiness.days import day_number
from readiness.record.consents import delete_by
from readiness.record.draft_entry import half_done_path, keep
from readiness.record.noting import NewLesson
from readiness.studio.find import find_studio
from readiness.studio.load import load_studio
from readiness.toml.problems import errors


@pytest.fixture
def here(studio, monkeypatch, say):
    """Return a studio that is the current folder."""
    monkeypatch.chdir(studio)
    return studio


# start


def test_a_studio_is_made_with_a_course_of_its_own(say, tmp_path, monkeypatch, course_folder):
    said = say("start", "mine", "--name", 'Mia\'s "studio"')
    assert said.code == 0
    folder = tmp_path / "mine"
    for name in ("graph.toml", "pacing.toml"):
        made = (folder / "course" / name).read_bytes().partition(b"\n")
        assert made[0] == f"#:schema ../schemas/{name.removesuffix('.toml')}.json".encode()
        assert made[2] == (course_folder / name).read_bytes()
    studio = load_studio(find_studio(None, None, folder, {}))
    assert errors(studio.problems) == ()
    assert (studio.name, studio.records, studio.today) == ('Mia\'s "studio"', {}, None)
    monkeypatch.chdir(folder)
    assert say("roster").out.startswith("No students yet. The first one:")
    assert say("check").code == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine"]


def test_a_studio_with_the_demo_answers_as_the_demo_and_may_be_written_to(say, tmp_path, monkeypatch):
    demo = say("why", "temwa")
    assert say("start", "mine", "--with-demo").code == 0
    monkeypatch.chdir(tmp_path / "mine")
    assert say("why", "temwa").out == demo.out
    assert say("note", "temwa", "--not-shown", "wrist-lift").code == 0
    assert say("why", "temwa").out != demo.out


def test_what_is_half_entered_or_left_is_nothing_for_git(say, tmp_path):
    """Tried with git itself."""
    assert say("start", "mine", "--with-demo").code == 0
    students = tmp_path / "mine" / "students"
    keep(students / "temwa.toml", NewLesson(1, {"wrist-lift": 0}))
    for name in (".temwa.abcd1234.new", ".temwa.toml.abcd1234.was", ".noemi.half-done.json"):
        (students / name).write_bytes(b"{}")
    git = shutil.which("git")
    if git is None:
        pytest.skip("there is no git here")
    subprocess.run([git, "init", "-q"], cwd=tmp_path / "mine", check=True)
    words = [git, "status", "--porcelain", "--untracked-files=all"]
    told = subprocess.run(words, cwd=tmp_path / "mine", check=True, capture_output=True, text=True).stdout
    assert "students/temwa.toml" in told
    assert "students/." not in told


def test_an_empty_folder_may_become_a_studio(say, tmp_path):
    (tmp_path / "mine").mkdir()
    assert json.loads(say("start", "mine", "--json").out) == {
        "format": 1,
        "studio": "mine",
        "with_demo": False,
        "group": None,
    }
    assert tomllib.loads((tmp_path / "mine" / "studio.toml").read_text(encoding="utf-8"))["name"] == "mine"


@pytest.mark.parametrize(
    "folder, told",
    [
        ("full", "has something in it already"),
        ("file", "is no folder"),
        ("no/where", "there is no folder no"),
    ],
)
def test_what_is_there_is_never_written_over(folder, told, say, tmp_path):
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine.txt").write_text("mine", encoding="utf-8")
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    said = say("start", folder)
    assert said.code == Exit.WRONG
    assert told in said.told
    assert (tmp_path / "full" / "mine.txt").read_text(encoding="utf-8") == "mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "full"]


@pytest.mark.parametrize("name", ["a\x1bb", "a\nb", "  "])
def test_a_name_that_cannot_be_shown_is_refused(name, say, tmp_path):
    assert say("start", "mine", "--name", name).code == Exit.WRONG
    assert not (tmp_path / "mine").exists()


# enrol


def test_a_student_is_enrolled_with_few_fields_and_the_caution(say, here):
    said = say("enrol", "mia", "--name", "Mia", "--born", "2019-05", "--on", "2025-12-02")
    assert said.code == 0
    flat = " ".join(said.out.split())
    assert "Mia has a file now" in flat
    assert "No starting unit yet." in flat
    for words in (
        "Keep as little as the lessons need",
        "the family could read",
        "Set a day to delete it",
        "local law",
    ):
        assert words in flat
    text = (here / "students" / "mia.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text) == {"format": 1, "name": "Mia", "born": "2019-05"}
    assert say("why", "mia", "--on", "2025-12-02").code == Exit.NOT_READY


def test_everything_that_may_be_known_is_kept(say, here):
    say(
        "enrol", "mia", "--name", "Mia", "--born", "2019-05-03", "--family", "rossi", "--home-keys", "61",
        "--unit", "black-key-groups", "--delete-by", "2027-08-31", "--on", "2025-12-02",
    )  # fmt: skip
    text = (here / "students" / "mia.toml").read_text(encoding="utf-8")
    assert "# To be deleted by 2027-08-31.\n" in text
    found = tomllib.loads(text)
    assert (found["family"], found["home_keys"], found["born"]) == ("rossi", 61, "2019-05-03")
    assert found["unit_start"][0]["unit"] == "black-key-groups"
    assert json.loads(say("why", "mia", "--json", "--on", "2025-12-02").out)["unit"] == "black-key-groups"


def test_a_transfer_student_begins_with_a_placing_lesson(say, here):
    said = say(
        "enrol", "mia", "--name", "Mia", "--born", "2019-05", "--placing", "--on", "2025-12-02", "--json"
    )
    found = json.loads(said.out)
    assert (found["student"], found["cautions"]) == ("mia", ["C9"])
    answer = json.loads(say("why", "mia", "--json", "--on", "2025-12-02").out)
    assert answer["verdict"] == "not-placed"


@pytest.mark.parametrize(
    "words, told",
    [
        (("--born", "2019-13"), 'and "2019-13" is not.'),
        (("--born", "2019"), 'and "2019" is not.'),
        (("--born", "11.2021"), 'and "11.2021" is not. Did you mean 2021-11?'),
        (("--born", "2019-05", "--unit", "Siting well"), 'Did you mean "1 sitting-high-low"?'),
        (("--born", "2019-05", "--unit", "zzz"), "`readiness check --list units` names them."),
        (("--born", "2030-05", "--on", "2025-12-02"), "2025-12-02 is before the birth date, 2030-05."),
        (("--born", "2019-05", "--unit", "black-key-gruops"), 'Did you mean "2 black-key-groups"?'),
        (("--born", "2019-05", "--unit", "black-key-groups", "--placing"), "not both"),
        (("--born", "2019-05", "--home-keys", "200"), "--home-keys takes a whole number from 0 to 128"),
        (("--born", "2019-05", "--on", "2199-01-01"), "has not come yet"),
        (("--born", "2019-05", "--name", "M\x1bia"), "cannot be shown"),
        (("--born", "2019-05", "--name", " "), "name"),
        (("--born", "2019-05", "--family", "a\udcffb"), "cannot be shown"),
        (("--born", "2019-05", "--delete-by", "later"), "--delete-by takes a day"),
        (("--born", "2019-05", "--delete-by", "2020-08-31"), "2020-08-31, the day of deleting, is not after"),
    ],
)
def test_a_slip_while_enrolling_makes_no_file(words, told, say, here):
    said = say("enrol", "mia", "--name", "Mia", *words)
    assert said.code == Exit.WRONG
    assert told in said.told
    assert not (here / "students" / "mia.toml").exists()


def test_a_file_that_is_there_is_not_written_over(say, here):
    before = (here / "students" / "temwa.toml").read_bytes()
    said = say("enrol", "temwa", "--name", "Mia", "--born", "2019-05")
    assert 'there already is a student "temwa"' in said.told
    assert (here / "students" / "temwa.toml").read_bytes() == before


# forget


def test_a_student_is_forgotten_with_all_that_belongs_to_it(say, here, tmp_path):
    path = here / "students" / "temwa.toml"
    data = path.read_bytes()
    keep(path, NewLesson(1, {"wrist-lift": 0}))
    unfinished = path.with_name(".temwa.abc123.new")
    unfinished.write_bytes(data)
    other = path.with_name(".temwa2.half-done.json")
    other.write_bytes(b"{}")
    said = say("forget", "temwa", "--yes", "--export", tmp_path / "copy.toml")
    assert said.code == 0
    assert (tmp_path / "copy.toml").read_bytes() == data
    assert not any(one.exists() for one in (path, half_done_path(path), unfinished))
    assert other.exists()
    flat = " ".join(said.out.split())
    assert "who is it for" in flat
    assert re.search(r"The id and the name are no longer in the \d+ files that were read, here and", flat)
    assert str(here) in said.out
    assert "any more" not in flat
    assert "temwa" not in say("roster").out.casefold()


def test_an_id_of_which_only_something_beside_is_left_is_forgotten(say, here):
    students = here / "students"
    keep(students / "temwa.toml", NewLesson(1, {"wrist-lift": 0}))
    (students / "temwa.toml").unlink()
    (students / ".temwa.half-done.somebody.json").write_bytes(b"{}")
    said = say("forget", "temwa", "--yes", "--export", here.parent / "copy.toml")
    assert said.code == 2
    assert "nothing was deleted: there is no file of temwa to make a copy of." in said.told
    said = say("forget", "temwa", "--yes")
    assert said.code == 0
    told = " ".join(said.out.split())
    assert "There was no file of temwa; what was left beside it is deleted." in told
    assert [path for path in students.iterdir() if "temwa" in path.name] == []
    assert 'there is no student "temwa"' in say("forget", "temwa", "--yes").told


def test_a_new_student_with_that_id_is_never_offered_what_was_another_childs(say, here):
    path = here / "students" / "zuri.toml"
    for name in (".zuri.half-done.json", ".zuri.half-done.somebody.json", ".zuri.abcd1234.new"):
        path.with_name(name).write_bytes(b"{}")
    assert say("enrol", "zuri", "--name", "Zuri", "--born", "2019-05").code == 0
    assert [one.name for one in path.parent.iterdir() if "zuri" in one.name] == ["zuri.toml"]


def test_a_copy_that_a_run_made_before_it_was_stopped_will_do(say, here, tmp_path):
    path, copy = here / "students" / "temwa.toml", tmp_path / "copy.toml"
    copy.write_bytes(path.read_bytes())
    path.write_bytes(path.read_bytes() + b"# more\n")
    assert "there already is a file" in say("forget", "temwa", "--yes", "--export", copy).told
    copy.write_bytes(path.read_bytes())
    assert say("forget", "temwa", "--yes", "--export", copy).code == 0
    assert (path.exists(), copy.exists()) == (False, True)


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right of their own there")
def test_forgetting_through_a_link_says_what_is_gone_and_what_stays(say, here):
    link, file = here / "students" / "mia.toml", here / "students" / "temwa.toml"
    link.symlink_to("temwa.toml")
    said = say("forget", "mia", "--yes")
    told = " ".join(said.out.split())
    assert "mia.toml was only a link to temwa.toml: the link is deleted, with what was half entered" in told
    assert "that file is still there. `readiness forget temwa` deletes it." in told
    assert (link.is_symlink(), file.exists()) == (False, True)
    (here / "elsewhere").hardlink_to(file)
    told = " ".join(say("forget", "temwa", "--yes").out.split())
    assert "That file has 1 further name on this disk, with all of it" in told


def test_a_folder_in_git_is_said_to_hold_every_older_version(say, here):
    assert "kept in git" not in say("forget", "bogdan", "--yes").out
    (here / ".git").mkdir()
    told = " ".join(say("forget", "temwa", "--yes").out.split())
    assert "The folder is kept in git, and older versions there still hold the file" in told
    assert "colleagues' machines are yours to clear" in told


def test_where_a_name_still_stands_is_said_line_by_line(say, here):
    studio = here / "studio.toml"
    studio.write_text(
        studio.read_text(encoding="utf-8") + "[lesson_dates]\ntemwa = [2025-12-16]\n", encoding="utf-8"
    )
    sibling = here / "students" / "chikondi.toml"
    sibling.write_text(
        sibling.read_text(encoding="utf-8") + "# TEMWA's brother; not Temwas\n", encoding="utf-8"
    )
    backup = here / "students" / "temwa.toml~"
    backup.write_text('name = "Temwa"\n', encoding="utf-8")
    line = sibling.read_text(encoding="utf-8").count("\n")
    said = say("forget", "temwa", "--yes", "--json")
    found = [(one["file"].rpartition("/")[2], one["line"]) for one in json.loads(said.out)["still_named"]]
    assert found == [("studio.toml", 6), ("chikondi.toml", line), ("temwa.toml~", 0), ("temwa.toml~", 1)]


def test_pages_tables_and_drafts_in_the_studio_are_looked_through(say, here):
    pages = here / "for the door" / "printed"
    pages.mkdir(parents=True)
    named = {
        "sheet.html": "<h1>T&#101;mwa</h1>", "answers.csv": "name,unit\ntemwa,3\n", "a.txt": "Ask Temwa.",
        "why.json": '{"name": "\\u0054emwa"}',
    }  # fmt: skip
    for name, text in named.items():
        (pages / name).write_text(text, encoding="utf-8")
    (pages / "old.txt").write_text("Temwa", encoding="utf-16")
    (pages / "other.html").write_text("<h1>Temwas</h1>", encoding="utf-8")
    (pages / "scan.pdf").write_bytes(b"%PDF-1.7 Temwa")
    (here / ".git").mkdir()
    (here / ".git" / "packed").write_text("Temwa", encoding="utf-8")
    found = json.loads(say("forget", "temwa", "--yes", "--json").out)
    assert {Path(one["file"]).name for one in found["still_named"]} == {*named, "old.txt"}
    assert {Path(one).name for one in found["looked_at"]["not_read"]} == {"scan.pdf", ".git"}
    assert found["looked_at"]["whole"]


def test_what_was_not_looked_into_is_said(say, here):
    (here / "scan.pdf").write_bytes(b"%PDF-1.7 Temwa")
    said = say("forget", "temwa", "--yes")
    assert "Not looked into (not text, very large, or hidden); please look:" in said.out
    assert "scan.pdf" in said.out


def test_too_many_files_are_not_called_all_of_them(monkeypatch, say, here):
    monkeypatch.setattr("readiness.studio.doctor.MOST_FILES", 2)
    assert "there are too many here to read them all" in say("forget", "temwa", "--yes").out


@pytest.mark.parametrize(
    "words, told",
    [
        (("forget", "temwa"), "without a terminal, --yes says that temwa is really meant"),
        (("forget", "tem", "--yes"), 'please type the whole id of Temwa: "temwa".'),
        (("forget", "Temwa", "--yes"), "please type the whole id"),
        (("forget", "nobody", "--yes"), 'there is no student "nobody"'),
        (("forget", "temwa", "--yes", "--export", "students/copy.toml"), "would stay among the students"),
        (
            ("forget", "temwa", "--yes", "--export", "studio.toml"),
            "nothing was deleted: there already is a file",
        ),
        (("forget", "temwa", "--yes", "--export", "no/where.toml"), "nothing was deleted"),
    ],
)
def test_nothing_is_deleted_by_a_slip(words, told, say, here):
    before = {path: path.read_bytes() for path in here.rglob("*.toml")}
    said = say(*words)
    assert said.code == Exit.WRONG
    assert told in said.told
    assert {path: path.read_bytes() for path in here.rglob("*.toml")} == before


@pytest.mark.parametrize("typed, gone", [("temwa\n", True), ("yes\n", False), ("\n", False)])
def test_in_a_terminal_the_id_is_typed_once_more(typed, gone, say, here, monkeypatch):
    monkeypatch.setattr("readiness.cli.keys.is_terminal", lambda: True)
    monkeypatch.setattr("readiness.cli.keys.Keys.line", lambda self, prompt: typed)
    said = say("forget", "temwa")
    assert "This deletes everything kept about Temwa" in " ".join(said.out.split())
    assert (here / "students" / "temwa.toml").exists() is not gone
    assert said.code == (0 if gone else Exit.WRONG)


# a second student of one name, and a day that has passed


def enrolled(say, student, *more):
    return say("enrol", student, "--name", "Ottilie", "--born", "2019-05", "--on", "2025-12-02", *more)


def test_a_second_student_of_one_name_is_told_apart_everywhere(say, here):
    assert "has the name" not in " ".join(enrolled(say, "ottilie").out.split())
    flat = " ".join(enrolled(say, "ottilie2", "--placing").out.split())
    assert "ottilie has the name Ottilie too; type ottilie2 for this one." in flat
    roster = say("roster").out
    assert "Ottilie (ottilie)\n" in roster
    assert "Ottilie (ottilie2)\n" in roster
    assert "Temwa (" not in roster
    assert "Ottilie (ottilie) and Ottilie (ottilie2) · together" in say("together", "ottilie", "ottilie2").out
    changed = " ".join(say("compare", "--set", "band.4-5.carry_limit=1", "--on", "2025-12-02").out.split())
    assert "Ottilie (ottilie)" in changed


def test_which_of_two_is_meant_is_asked_and_never_picked_silently(say, here):
    enrolled(say, "ottilie")
    assert "this is about" not in say("why", "ottilie").err
    enrolled(say, "ottilie2")
    before = {path: path.read_bytes() for path in here.rglob("*.toml")}
    said = say("note", "Ottilie", "--on", "2025-12-02", "--alone", "feet-supported")
    assert said.code == Exit.WRONG
    assert '"Ottilie" could be ottilie or ottilie2. Please type the whole id.' in said.told
    assert {path: path.read_bytes() for path in here.rglob("*.toml")} == before
    assert "this is about ottilie; ottilie2 has the name Ottilie too." in say("why", "ottilie").told
    assert "this is about ottilie2; ottilie has the name" in say("why", "ottilie2").told


def test_how_a_name_or_birth_month_is_corrected_is_said(say, here):
    flat = " ".join(enrolled(say, "ottilie").out.split())
    assert "Correct a name or a birth month by hand, at the head of ottilie.toml." in flat


def test_a_day_of_deleting_that_has_passed_is_said_wherever_the_student_is_asked_about(say, here):
    enrolled(say, "ottilie", "--delete-by", "2027-06-30")
    told = "to be deleted by 30 June: `readiness forget ottilie` deletes it"
    for words in (("roster",), ("ask", "all"), ("why", "ottilie")):
        after, before = (say(*words, "--on", day) for day in ("2027-07-05", "2027-06-30"))
        assert told in " ".join(f"{after.out} {after.err}".split()), words
        assert "to be deleted" not in f"{before.out} {before.err}", words
    outside = say("ask", "all", "--for", "third-party", "--on", "2027-07-05")
    assert "Ottilie" not in f"{outside.out} {outside.err}"


@pytest.mark.parametrize(
    "head, day",
    [
        ("# To be deleted by 2027-06-30.\n", "2027-06-30"),
        ("# To be deleted by 2027-06-30\r\n", "2027-06-30"),
        ("# To be deleted by 2027-02-31.\n", None),
        ("# To be deleted by and by.\n", None),
        ("[[lesson]]\n# To be deleted by 2027-06-30.\n", None),
        ("", None),
    ],
)
def test_the_day_of_deleting_is_read_from_the_head_alone(head, day, tmp_path):
    path = tmp_path / "x.toml"
    path.write_bytes(f'format = 1\n{head}name = "X"\n'.encode())
    assert delete_by(path) == (None if day is None else day_number(day))
    assert delete_by(tmp_path / "none.toml") is None
    assert delete_by(None) is None


@pytest.mark.parametrize("unit", ["1", "14"])
def test_a_start_is_told_as_a_start_to_everybody_and_never_as_a_move(unit, say, here):
    enrolled(say, "ottilie")
    say("consent", "ottilie", "school", "yes", "--by", "the mother", "--on", "2025-12-02")
    assert say("decide", "ottilie", "move", "--unit", unit, "--on", "2025-12-02").code == 0
    texts = {
        words: " ".join(say(*words, "--on", "2025-12-02").out.split())
        for words in (
            ("share", "ottilie", "--for", "school"), ("share", "ottilie", "--for", "family"),
            ("tell", "ottilie", "school"), ("tell", "ottilie", "family"), ("tell", "ottilie", "child"),
            ("why", "ottilie"), ("handover", "ottilie"), ("changed", "ottilie"),
        )
    }  # fmt: skip
    for words, text in texts.items():
        for moved in ("to move on.", "to move on;", "moved on", "You have closed", "to close this unit."):
            assert moved not in text, words
    school, family = (texts["share", "ottilie", "--for", reader] for reader in ("school", "family"))
    assert "On 2 December the teacher decided to begin with this unit." in school
    assert "to begin in this unit; the notes said: no starting unit yet." in family
    row = json.loads(say("ask", "ready", "--json", "--on", "2025-12-02").out)["rows"]
    assert [one["closed"] for one in row if one["student"] == "ottilie"] in ([], [None])


def test_an_id_that_cannot_be_is_said_as_it_could_be(say, here):
    assert say("enrol", "Lea M.", "--name", "Lea", "--born", "2018-02").told.rstrip().endswith("lea-m.")


def test_nobody_is_enrolled_in_a_course_that_the_studio_does_not_name(say, here):
    """The file would be one that no list of the studio can read; once it is named, it is said which it is."""
    folder = here / "students"
    there = {path: path.read_bytes() for path in folder.iterdir()}
    assert say("start", "other", "--empty").code == 0
    new = ("enrol", "kit", "--name", "Kit", "--born", "2019-05", "--unit", "1", "--course")
    said = say(*new, "other/course")
    assert said.code == Exit.WRONG
    assert "studio.toml names no course other/course" in said.told
    assert {path: path.read_bytes() for path in folder.iterdir()} == there
    with (here / "studio.toml").open("a", encoding="utf-8") as file:
        file.write('[courses]\nmore = "other/course"\n')
    said = say(*new, "more")
    assert said.code == 0
    told = " ".join(said.out.split())
    assert 'The course is "A course of my own": `readiness roster --course more` lists who is in it.' in told
    assert say("roster", "--course", "more").code == 0
    assert say("roster").code == 0
