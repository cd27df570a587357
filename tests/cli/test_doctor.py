"""A studio is looked over: every finding by a folder that has it, and the safe ones mended and undone."""

from __future__ import annotations

import json
import re
import shutil
import stat
import sys
import unicodedata
from pathlib import Path

import pytest

from readiness.cli.commands import Exit
from readiness.record.append import add_blocks
from readiness.record.draft_entry import FormWords
from readiness.record.load import load_without_course

LESSON = '\n[[lesson]]\non = {}\nalone = ["wrist-lift"]\n'
NEW = 'format = 1\nname = "{}"\nborn = "{}"\n'


@pytest.fixture
def here(studio, say, monkeypatch):
    """Return the students folder of a clean studio, which is the current folder."""
    monkeypatch.chdir(studio)
    (studio / "students").chmod(0o700)
    with (studio / "studio.toml").open("a", encoding="utf-8") as file:
        file.write('today = 2026-01-31\n[teachers]\nOB = "Odalys Brandt"\n')
    return studio / "students"


def append(path, text):
    path.write_bytes(path.read_bytes() + text.encode())


def doubled(here):
    text = '[[promise]]\ngiven = 2025-12-10\nto = "the mother"\ntext = "a letter"\n'
    for _ in range(2):
        assert add_blocks(here / "temwa.toml", here, text) is None


def open_to_one(here):
    (here / "temwa.toml").chmod(0o600)
    here.chmod(0o2770)
    for path in here.glob("*.toml"):
        path.chmod(0o600 if path.stem == "temwa" else 0o660)


def twice_in_two_forms(here):
    for stem, form in (("jose", "NFC"), ("pepe", "NFD")):
        (here / f"{stem}.toml").write_text(
            NEW.format(unicodedata.normalize(form, "José"), "2019-05-02"), encoding="utf-8"
        )


@pytest.mark.parametrize("command", ["check", "doctor"])
def test_mistakes_in_all_files_are_told_at_once(command, here, say, course_folder):
    """One slip in each of five files; the wrong day of an event is told once."""
    studio = here.parent
    shutil.copytree(course_folder, studio / "course")
    own = (studio / "studio.toml").read_text("utf-8").replace(course_folder.as_posix(), "course")
    (studio / "studio.toml").write_text(own, "utf-8")
    slips = {
        studio / "studio.toml": ("[teachers]", '[[event]]\nname = "Sharing"\non = 2026-12-51\n[teachers]'),
        studio / "course" / "graph.toml": ('kind = "motor"', 'kind = "moter"'),
        studio / "course" / "pacing.toml": ("carry_limit", "cary_limit"),
        here / "temwa.toml": ("born", "borne"),
        here / "noemi.toml": ("[[lesson]]", "[[lessons]]"),
    }
    for path, (right, slip) in slips.items():
        path.write_text(path.read_text("utf-8").replace(right, slip, 1), "utf-8")
    said = say(command)
    assert said.code == Exit.WRONG
    for path in slips:
        assert f"{path.name}:" in said.out, said.out
    assert said.out.count("studio.toml:") == 1


def typed_words(file):
    held = FormWords(file, "pause")
    held[()] = "a secret"
    assert held.keep() is None


def answered(here, above, below, now):
    """Put two answers into a file as they stand there: that of November was put in last."""
    lines = f"consents = {{ video = {now} }}\n"
    for answer, day in ((above, "2025-11-18"), (below, "2025-12-02")):
        lines += f"# video: {answer}, said by the mother, {day}\n"
    text = (here / "temwa.toml").read_text("utf-8")
    (here / "temwa.toml").write_text(re.sub(r"(?m)^consents = .*\n", lines, text), "utf-8")


@pytest.mark.parametrize(("above", "below", "now", "told"), [
    ("yes", "no", "true", '"video" is yes here, and its latest answer is no, of 2025-12-02'),
    ("yes", "no", "false", "this yes is older than the no of 2025-12-02 below it"),
    ("no", "no", "true", '"video" is yes here, and its latest answer is no, of 2025-12-02'),
    ("no", "no", "false", ""),
    ("no", "yes", "true", "this no is older than the yes of 2025-12-02 below it"),
])  # fmt: skip
def test_a_consent_whose_lines_say_otherwise_is_pointed_out(above, below, now, told, here, say):
    """The later day counts, whichever answer was typed last."""
    answered(here, above, below, now)
    said = " ".join(say("doctor").out.split())
    assert ("[consent-order]" in said) == bool(told)
    assert told in said


FINDINGS = {
    "doubled-entry": doubled,
    "left-behind": lambda here: (here / ".gone.half-done.json").write_text('{"note": "a secret"}'),
    "half-entered": lambda here: (here / ".temwa.half-done.json").write_text('{"note": "a secret"}'),
    "unwritten-words": lambda here: typed_words(here / "temwa.toml"),
    "unfinished-copy": lambda here: (here / ".temwa.k2j3.new").write_text('note = "a secret"'),
    "second-copy": lambda here: (here / "temwa (conflicted copy).toml").write_bytes(
        (here / "temwa.toml").read_bytes()
    ),
    "two-files": twice_in_two_forms,
    "reserved-name": lambda here: (here / "lpt1.toml").write_text(NEW.format("Nil", "2019-05")),
    "unknown-skill": lambda here: append(
        here / "temwa.toml", '\n[[lesson]]\non = 2025-12-16\nalone = ["wrist-rise-high"]\n'
    ),
    "before-birth": lambda here: append(here / "temwa.toml", LESSON.format("2015-12-16")),
    "future-lesson": lambda here: append(here / "temwa.toml", LESSON.format("2031-12-16")),
    "far-away-day": lambda here: append(here / "temwa.toml", LESSON.format("2024-12-05")),
    "future-end-of-a-hold": lambda here: append(
        here / "temwa.toml",
        '\n[[hold]]\nopened = 2025-12-16\nwords = "sore"\n'
        'closed = 2035-12-20\nclosed_by = "OB"\nclosed_words = "gone"\n',
    ),
    "odd-age": lambda here: (here / "aa.toml").write_text(
        NEW.format("A", "2025-05") + LESSON.format("2025-12-16")
    ),
    "settled-ahead": lambda here: append(
        here / "temwa.toml", '\n[[settled]]\nthrough = "together-pieces"\non = 2025-12-16\n'
    ),
    "unknown-initials": lambda here: append(here / "temwa.toml", LESSON.format("2025-12-16") + 'by = "BO"\n'),
    "two-ways": lambda here: append(
        here / "temwa.toml", LESSON.format("2025-12-16") + 'cue = ["wrist-lift"]\n'
    ),
    "agreed-with-nobody": lambda here: append(
        here / "temwa.toml", '\n[[set_aside]]\nskill = "wrist-lift"\non = 2025-12-16\n'
    ),
    "unknown-consent": lambda here: (here / "temwa.toml").write_text(
        (here / "temwa.toml").read_text("utf-8").replace("video = false", "vidoe = false"), "utf-8"
    ),
    "consent-order": lambda here: answered(here, "yes", "no", "true"),
    "before-the-unit": lambda here: (here / "aa.toml").write_text(
        NEW.format("A", "2019-05") + LESSON.format("2025-11-25") + LESSON.format("2025-12-02")
        + '[[unit_start]]\nunit = "hand-shape-wrist"\non = 2025-12-09\n'
    ),
    "lesson-dates-for-nobody": lambda here: append(
        here.parent / "studio.toml", "[lesson_dates]\ntmewa = [2026-02-03]\n"
    ),
    "missing-key": lambda here: (here / "aa.toml").write_text('name = "A"\nborn = "2019-05"\n'),
}
UNREADABLE = {"second-copy", "unknown-skill", "before-birth", "missing-key"}


@pytest.mark.parametrize("id_", FINDINGS)
def test_every_finding_is_found_and_says_what_to_do(id_, here, say):
    assert say("doctor").code == Exit.READY
    FINDINGS[id_](here)
    said = say("doctor", "--json")
    (found,) = json.loads(said.out)["findings"]
    assert found["id"] == id_
    assert found["hint"] or id_ == "lesson-dates-for-nobody"
    assert said.code == (Exit.WRONG if id_ in UNREADABLE else Exit.NOT_READY)
    told = say("doctor")
    assert f"[{id_}]" in told.out
    assert "a secret" not in told.out
    assert ":0" not in told.out.partition(" warning:")[0]
    assert "1 thing to correct." in told.out
    checked = say("check")
    assert f"[{id_}]" in checked.out


def test_no_mistake_in_a_course_makes_a_student_unknown(here, say, course_folder, tmp_path):
    """What is told of a half-entered lesson never leads to deleting whoever it is about."""
    FINDINGS["half-entered"](here)
    mistaken = tmp_path / "mistaken"
    mistaken.mkdir()
    for path in course_folder.glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        (mistaken / path.name).write_text(text.replace('"wrist-lift"', '"wrist-lfit"', 1), encoding="utf-8")
    said = say("doctor", "--course", str(mistaken))
    flat = " ".join(said.out.split())
    assert "temwa.toml: warning: [half-entered] a lesson of temwa is half entered, not noted yet" in flat
    ways = "`readiness note temwa` finishes it, `readiness note temwa --drop` forgets it"
    assert f"{ways}; on the screens key l, then q or x" in flat
    assert "readiness forget" not in flat
    (here / ".temwa.half-done.json").rename(here / ".temwa.half-done.somebody.json")
    assert "it is another person's: whoever typed it finishes it" in " ".join(say("doctor").out.split())


HOLD = '[[hold]]\nopened = 2025-12-16\nwords = "{}"\n'
CLOSED = HOLD.format("sore") + 'closed = 2025-12-20\nclosed_by = "{}"\nclosed_words = "gone"\n'
START = '[[unit_start]]\nunit = "{}"\non = 2026-01-13\n'
EVENT = '[[event]]\nname = "Songs"\n{}\n'
BY_HAND = {
    "skill twice": (
        "temwa", LESSON.format("2025-12-16").replace('"]', '", "wrist-lift"]'), "double-entry",
        '"wrist-lift"]',
    ),
    "pause twice": ("temwa", HOLD.format("sore") * 2, "same-entry", "hold]]"),
    "pause of blanks": ("temwa", HOLD.format(" "), "empty-text", '" "'),
    "promise to nobody": (
        "temwa", '[[promise]]\ngiven = 2025-12-16\nto = ""\ntext = "A letter."\n', "empty-text", '""'
    ),
    "closed by the child": ("temwa", CLOSED.format("TEMWA "), "hold-closed-by-nobody", '"TEMWA "'),
    "closed by nobody": ("temwa", CLOSED.format("me"), "hold-closed-by-nobody", '"me"'),
    "two starts": (
        "temwa", START.format("arms-that-travel") + START.format("more-positions"), "two-starts",
        '"more-positions"',
    ),
    "age for no reason": (
        "temwa", '[[band_choice]]\nband = "8-10"\non = 2025-12-16\n', "choice-without-reason",
        "[[band_choice]]",
    ),
    "a day far off": ("../studio", EVENT.format("on = 2036-03-14"), "far-away-day", "2036-03-14"),
    "a date far off": ("../studio", "[lesson_dates]\nall = [2036-03-17]\n", "far-away-day", "2036-03-17]"),
    "event twice": ("../studio", EVENT.format("on = 2026-03-14") * 2, "same-entry", "event]]"),
    "no name": ("../studio", "[[event]]\non = 2026-03-14\n", "event-without-name", "event]]"),
    "holidays of a year": (
        "../studio", EVENT.format("from = 2026-03-14\nto = 2027-03-20"), "long-holidays", "2027-03-20"
    ),
    "day twice": (
        "../studio", "[lesson_dates]\nall = [2026-03-17, 2026-03-17]\n", "double-entry", "2026-03-17]"
    ),
    "teacher twice": ("../studio", 'KF = "odalys  brandt"\n', "same-name", '"odalys  brandt"'),
    "nobody": ("../studio", 'KF = " "\n', "empty-text", '" "'),
}  # fmt: skip


@pytest.mark.parametrize("mistake", BY_HAND)
def test_what_is_typed_by_hand_is_told_once_at_its_place(mistake, here, say):
    name, text, id_, pointed = BY_HAND[mistake]
    append(here / f"{name}.toml", text)
    (found,) = json.loads(say("doctor", "--json").out)["findings"]
    line = (here / f"{name}.toml").read_text("utf-8").split("\n")[found["line"] - 1]
    assert (found["id"], line[found["column"] - 1 :]) == (id_, pointed)


@pytest.mark.parametrize(
    "name, text",
    [
        ("temwa", CLOSED.format("her mother")),
        ("temwa", START.format("arms-that-travel")),
        ("temwa", LESSON.format("2025-12-16") + LESSON.format("2025-12-23")),
        ("temwa", '[[band_choice]]\nband = "8-10"\non = 2025-12-16\nreason = "Reads early."\n'),
        ("../studio", EVENT.format("on = 2029-01-29") + EVENT.format("on = 2026-03-15")),
        ("../studio", EVENT.format("from = 2026-03-14\nto = 2026-07-11")),
        ("../studio", "[lesson_dates]\nall = [2026-03-17]\ntemwa = [2026-03-17]\n"),
    ],
)
def test_what_may_be_meant_is_not_told(name, text, here, say):
    append(here / f"{name}.toml", text)
    assert say("doctor").out.startswith("Nothing to correct.")


def test_a_clean_studio_and_a_new_one_are_clean(here, say, tmp_path, monkeypatch):
    assert say("doctor").out.startswith("Nothing to correct.")
    assert say("start", tmp_path / "new").code == 0
    monkeypatch.chdir(tmp_path / "new")
    assert say("doctor").code == Exit.READY


def test_a_renamed_skill_is_told_with_its_new_name(here, say, studio, tmp_path, course_folder):
    course = studio / "course"
    course.mkdir()
    for name in ("graph.toml", "pacing.toml"):
        text = (course_folder / name).read_text(encoding="utf-8").replace("wrist-lift", "wrist-rises")
        (course / name).write_text(text, encoding="utf-8")
    said = say("doctor", "--course", course)
    assert said.code == Exit.WRONG
    told = " ".join(said.out.split())
    assert "renamed to wrist-rises? Then `[skill.wrist-lift]` stays in graph.toml" in told


def test_check_tells_a_rename_once_and_what_to_write(say, studio, course_folder):
    course = studio / "course"
    course.mkdir()
    for name in ("graph.toml", "pacing.toml"):
        text = (course_folder / name).read_text("utf-8").replace("wrist-lift", "wrist-rises")
        (course / name).write_text(text, "utf-8")
    file = studio / "studio.toml"
    file.write_text(file.read_text("utf-8").replace(course_folder.as_posix(), "course"), "utf-8")
    asked = ("why", "temwa", "--on", "2025-12-02", "--students", studio / "students", "--course")
    before = say(*asked, course_folder)
    said = say("check", course)
    assert said.code == Exit.WRONG
    (told,) = [one for one in said.out.split("\n\n") if "[skill-gone]" in one]
    told = " ".join(told.split())
    assert '"wrist-lift" is gone, and 5 notes of 2 students name it' in told
    graph = course / "graph.toml"
    text = graph.read_text("utf-8")
    table = text[text.index("[skill.wrist-rises]") :].partition("\n\n")[0]
    lines = told.partition("two more lines: ")[2].split(" and ")
    kept = "\n".join([table.replace("wrist-rises]", "wrist-lift]"), lines[0], lines[1].split("]")[0] + "]"])
    graph.write_text(f"{text}\n{kept}\n", "utf-8")
    assert say("check", course).code == 0
    now = say(*asked, course)  # but for the commands below it, which name the course asked about
    assert now.out.partition("More:")[0] == before.out.partition("More:")[0]


@pytest.mark.parametrize("gone", ["groups-of-two", "wrist-lift"])
def test_a_skill_that_notes_name_is_put_back_and_no_other_renamed(gone, say, studio, course_folder):
    course = Path(shutil.copytree(course_folder, studio / "course"))
    file, graph = studio / "studio.toml", course / "graph.toml"
    file.write_text(file.read_text("utf-8").replace(course_folder.as_posix(), "course"), "utf-8")
    notes = studio / "students" / "temwa.toml"
    notes.write_text(f'{notes.read_text("utf-8")}\n{LESSON.format("2025-12-02")}'.replace("wrist-lift", gone))
    before, _, after = graph.read_text("utf-8").partition(f"[skill.{gone}]")
    graph.write_text(before + after.partition("\n\n")[2], "utf-8")
    for command, found in (("check", "problems"), ("doctor", "findings")):
        answer = json.loads(say(command, "--students", notes.parent, "--json").out)
        told = [one for one in answer[found] if gone in one["message"]]
        assert len(told) > 1
        assert {one["hint"] for one in told} == {
            "was it taken out? a skill is retired, not deleted: put its table back with retired = 2026-09-01"
        }


def test_a_slip_of_the_finger_is_not_called_gone(say, studio, course_folder):
    shutil.copytree(course_folder, studio / "course")
    file = studio / "studio.toml"
    file.write_text(file.read_text("utf-8").replace(course_folder.as_posix(), "course"), "utf-8")
    notes = studio / "students" / "temwa.toml"
    notes.write_text(notes.read_text("utf-8").replace('cue = ["feet-', 'cue = ["feat-'), "utf-8")
    told = " ".join(say("check", studio / "course").out.split())
    assert "gone" not in told
    assert 'there is no skill "feat-supported"' in told
    assert 'did you mean "feet-supported"?' in told


def test_a_long_break_is_no_wrong_year(here, say):
    days = ("2025-01-14", "2025-01-21", "2025-11-11")
    text = NEW.format("Nil", "2015-03") + "".join(map(LESSON.format, days))
    (here / "nil.toml").write_text(text, encoding="utf-8")
    assert say("doctor").code == Exit.READY


def test_fixing_shows_asks_and_can_be_undone(here, say):
    doubled(here)
    file = here / "temwa.toml"
    before = file.read_bytes()
    asked = say("doctor", "--fix")
    assert asked.code == Exit.WRONG
    assert "[doubled-entry]" in asked.out
    assert "--yes" in asked.told
    assert file.read_bytes() == before
    assert say("doctor", "--fix", "--yes").code == Exit.READY
    assert file.read_bytes().startswith(before + b"# taken back ")
    promises = load_without_course(file).record.promises
    assert [one.text for one in promises].count("a letter") == 1
    assert say("doctor").code == Exit.READY
    assert say("doctor", "--undo").code == Exit.READY
    assert file.read_bytes() == before
    assert [path.name for path in here.iterdir() if path.suffix != ".toml"] == []
    assert say("doctor", "--undo").code == Exit.WRONG


def test_what_somebody_took_back_while_it_was_asked_is_not_taken_back_once_more(here, say, monkeypatch):
    for _ in range(2):
        say("promise", "temwa", "--to", "mother", "--give", "a letter", "--on", "2025-12-16")
    monkeypatch.setattr("readiness.cli.studio.ask_first", lambda *_: say("undo", "temwa"))
    assert say("doctor", "--fix").code == Exit.READY
    promises = load_without_course(here / "temwa.toml").record.promises
    assert [one.text for one in promises].count("a letter") == 1


def test_what_was_noted_after_a_fix_stays_when_it_is_undone(here, say):
    doubled(here)
    say("doctor", "--fix", "--yes")
    say("note", "temwa", "--alone", "wrist-lift", "--on", "2025-12-16")
    assert say("doctor", "--undo").code == Exit.READY
    assert say("doctor", "--json").out.count('"doubled-entry"') == 1
    assert "wrist-lift" in (here / "temwa.toml").read_text(encoding="utf-8").rpartition("# noted")[0][-90:]


@pytest.mark.skipif(sys.platform == "win32", reason="who may read a file is kept in another way there")
def test_a_file_for_one_reader_in_a_shared_folder_is_opened_and_closed_again(here, say):
    open_to_one(here)
    said = say("doctor", "--json")
    assert [one["id"] for one in json.loads(said.out)["findings"]] == ["one-reader"]
    assert say("doctor", "--fix", "--yes").code == Exit.READY
    assert stat.S_IMODE((here / "temwa.toml").stat().st_mode) == 0o660
    assert say("doctor", "--undo").code == Exit.READY
    assert stat.S_IMODE((here / "temwa.toml").stat().st_mode) == 0o600


def test_nothing_of_a_mended_student_is_left_when_forgotten(here, say):
    doubled(here)
    say("doctor", "--fix", "--yes")
    kept = (here / ".temwa.doctor.json").read_text(encoding="utf-8")
    assert "letter" not in kept
    assert say("forget", "temwa", "--yes").code == 0
    assert not [path for path in here.iterdir() if "temwa" in path.name]


@pytest.mark.parametrize("id_", ["con", "NUL", "lpt1", "Com9", "aux"])
def test_an_id_that_another_system_cannot_hold_is_refused(id_, here, say):
    said = say("enrol", id_, "--name", "Nil", "--born", "2019-05")
    assert said.code == Exit.WRONG
    assert "some computers cannot hold a file named" in said.told
    assert not (here / f"{id_}.toml").exists()


def test_one_name_typed_in_two_ways_is_one_name(here, say):
    twice_in_two_forms(here)
    (here / "pepe.toml").unlink()
    for form in ("NFC", "NFD"):
        said = say("why", unicodedata.normalize(form, "José"), "--json")
        assert json.loads(said.out)["student"] == "jose"
        (here / "jose.toml").write_text(
            NEW.format(unicodedata.normalize("NFD", "José"), "2019-05-02"), encoding="utf-8"
        )


@pytest.mark.parametrize("form", ["NFC", "NFD"])
def test_a_child_is_no_adult_in_whatever_way_the_name_is_typed(form, here, say):
    twice_in_two_forms(here)
    by = unicodedata.normalize(form, "José")
    for id_ in ("jose", "pepe"):
        assert say("consent", id_, "video", "yes", "--by", by, "--on", "2026-01-05").code == Exit.WRONG
        assert say("pause", id_, "--words", "thumb", "--on", "2026-01-05").code == 0
        assert say("resume", id_, "--by", by, "--words", "fine", "--on", "2026-01-06").code == Exit.WRONG


def test_the_demo_is_never_mended(say):
    assert say("doctor").code == Exit.READY
    assert say("doctor", "--fix", "--yes").code == Exit.WRONG


@pytest.mark.parametrize(
    "typed, again", [("firm-fingretip", "did you mean"), ("firm-fingers", "renamed to")]
)
def test_a_skill_mistyped_is_no_skill_that_was_renamed(typed, again, here, say):
    """Nobody has a note of the skill that was meant; twice the same slip of the finger stays a slip."""
    for count, told in ((1, "did you mean"), (2, again)):
        slip = LESSON.format(f"2025-12-{15 + count}").replace("wrist-lift", typed)
        append(here / "temwa.toml", slip)
        flat = " ".join(say("doctor").out.split())
        assert re.search(rf'{told} "?firm-fingertip"?\?', flat)
        assert ("renamed" in flat) == (told == "renamed to")


def test_the_same_slip_in_two_files_is_told_at_each_with_what_was_meant(here, say):
    for who in ("temwa", "rafiq"):
        append(here / f"{who}.toml", LESSON.format("2025-12-16").replace("wrist-lift", "wrist-lft"))
    for command in ("check", "doctor"):
        said = say(command)
        flat = " ".join(f"{said.out} {said.err}".split())
        assert flat.count('did you mean "wrist-lift"? or was it taken out?') == 2
        assert "renamed" not in flat


def test_one_lesson_noted_twice_is_told_alike_by_every_command_and_can_be_mended(here, say):
    """Also where the second came from a sibling's file."""
    for who in ("temwa", "noemi"):
        assert say("note", who, "--alone", "feet-supported", "--on", "2026-01-30").code in (0, 1)
    assert say("move-note", "noemi", "temwa", "--on", "2026-01-30").code == Exit.READY
    advice = "`readiness doctor --fix` takes the second back; or leave it, if it was meant twice"
    for words in (("check",), ("doctor",), ("roster",), ("ask", "all")):
        said = say(*words)
        told = " ".join(f"{said.out} {said.err}".split())
        assert told.count("[doubled-entry]") == told.count(advice) == 1
        assert "[same-entry]" not in told
    say("doctor", "--fix", "--yes")
    assert say("doctor").code == Exit.READY


def test_initials_of_nobody_are_told_when_they_are_noted(here, say):
    said = say("note", "temwa", "--alone", "feet-supported", "--on", "2026-01-30", "--by", "OBB")
    assert 'has the initials "OBB"' in said.told
    assert (
        "initials" not in say("note", "temwa", "--cue", "wrist-lift", "--on", "2026-01-30", "--by", "OB").told
    )


@pytest.mark.parametrize(
    "born, hint",
    [("2020-17-11", "there is no month 17"), ("11-2020", "write it as in"), ("2020-11-31", "write it as in")],
)
def test_a_wrong_birth_says_what_is_wrong(born, hint, here, say):
    path = here / "temwa.toml"
    path.write_text(re.sub(r"(?m)^born = .*", f'born = "{born}"', path.read_text("utf-8")), "utf-8")
    assert hint in " ".join(say("check").out.split())


@pytest.mark.parametrize("words", [("roster",), ("ask", "all"), ("ask", "time")])
def test_warnings_of_one_kind_about_one_file_are_told_once(say, studio, monkeypatch, words):
    """A note typed three times is one paragraph at the end of every list; the doctor names each."""
    monkeypatch.chdir(studio)
    for _ in range(3):
        assert say("note", "temwa", "2", "wrist-lift", "--on", "2025-12-09").code != Exit.WRONG
    told = say(*words).told
    assert told.count("is here twice, word for word") == 1
    assert "and 1 more warning like it (doubled-entry)" in told
    assert "`readiness doctor --fix` takes the second back" in told
    assert say("doctor").out.count("[doubled-entry]") == 2
    assert say("doctor", "--fix", "--yes").code in (Exit.READY, Exit.NOT_READY)
    assert "word for word" not in say(*words).told


def test_the_letters_of_the_studio_are_looked_at_too(here, say):
    (letters := here.parent / "letters").mkdir()
    assert say("doctor").code == Exit.READY
    (letters / "family.txt").write_text("[wating]\n$good\n", encoding="utf-8")
    (letters / "shcool.txt").write_text("[report]\n$good\n", encoding="utf-8")
    found = json.loads(say("doctor", "--json").out)["findings"]
    assert [(Path(one["file"]).name, one["line"]) for one in found] == [("family.txt", 1), ("shcool.txt", 0)]
    assert [one["hint"] for one in found] == ["did you mean [waiting]?", "call it school.txt"]


def test_a_mistake_of_form_hides_no_name_and_one_in_studio_toml_nothing_in_the_other_files(here, say):
    temwa, studio = here / "temwa.toml", here.parent / "studio.toml"
    slips = ("on = 2025-11-25", 'on = "2025-11-25"'), ('"wrist-lift"', '"wrist-lft"')
    for old, new in slips:
        temwa.write_text(temwa.read_text("utf-8").replace(old, new, 1), "utf-8")
    own = studio.read_text("utf-8")
    told = ["quoted-date", "unknown-skill"]
    for text, more in ((own, []), (own.replace("students =", "studnets ="), ["unknown-key"])):
        studio.write_text(text, "utf-8")
        found = json.loads(say("doctor", "--json").out)["findings"]
        assert [one["id"] for one in found] == [*told, *more]


def test_what_looks_like_a_students_file_and_is_none_is_named(here, say):
    shutil.copy(here / "temwa.toml", here / "one.toml.txt")
    shutil.copy(here / "temwa.toml", here / "temwa.toml.txt")
    shutil.copy(here / "temwa.toml", here / "two.TOML")
    (here / "three.toml").mkdir()
    (here / "four.toml").symlink_to("nowhere.toml")
    (here / "about.txt").write_text("What the folder is for.")
    found = json.loads(say("doctor", "--json").out)["findings"]
    misnamed = "no student is read from a file with this name"
    folder = "this is a folder, and no student"
    assert [(Path(one["file"]).name, one["message"], one["hint"]) for one in found] == [
        ("four.toml", "this is a link to a file that is not there", "put the file itself here"),
        ("one.toml.txt", misnamed, "call it one.toml"),
        ("temwa.toml.txt", misnamed, "temwa.toml is here too: keep one"),
        ("three.toml", f"{folder} is read from it", "give it another name, or take it out"),
        ("two.TOML", misnamed, "call it two.toml"),
    ]


@pytest.mark.parametrize("key, table, home", [
    ('rhythm = { day = "tue" }', "[[lesson]]", "rhythm stands above the first table"),
    ('part = "hand"', "[[lesson]]", "part stands in [[hold]]"),
    ("unit = 3", "[[unit_start]]", 'write the id of unit 3: "hand-shape-wrist"'),
    ("unit = 99", "[[unit_start]]", 'put it in quotes: "99"'),
])
def test_what_stands_in_the_wrong_place_or_form_is_told_with_what_to_write(key, table, home, here, say):
    append(here / "temwa.toml", f"\n{table}\non = 2025-12-16\n{key}\n")
    found = json.loads(say("doctor", "--json").out)["findings"]
    assert [one["hint"] for one in found] == [home]


def test_half_a_week_is_a_week_and_not_none(here, say):
    temwa = here / "temwa.toml"
    head = 'rhythm = { day = "tue", weeks = 0.5 }\n'
    temwa.write_text(temwa.read_text("utf-8").replace("consents", f"{head}consents", 1), "utf-8")
    assert [one["hint"] for one in json.loads(say("doctor", "--json").out)["findings"]] == ["write 1"]


@pytest.mark.parametrize("born", ["2026-05-14", "2091-05"])
def test_a_birth_after_what_is_noted_is_told_once_and_where_it_stands(born, here, say):
    temwa = here / "temwa.toml"
    temwa.write_text(temwa.read_text("utf-8").replace("2020-05-14", born), "utf-8")
    (one,) = json.loads(say("doctor", "--json").out)["findings"]
    assert one["message"].startswith(f"born {born}: that is after ")
    assert one["line"] == temwa.read_text("utf-8").split(born)[0].count("\n") + 1


def test_an_empty_course_is_called_empty_and_a_missing_folder_has_its_line(here, say, course_folder):
    studio = here.parent
    shutil.copytree(course_folder, studio / "course")
    own = (studio / "studio.toml").read_text("utf-8").replace(course_folder.as_posix(), "cours")
    (studio / "studio.toml").write_text(own, "utf-8")
    line = own.split('"cours"')[0].count("\n") + 1
    for command in ("check", "doctor", "why"):
        told = " ".join(say(command, *["temwa"] * (command == "why")).told.split())
        assert f'studio.toml:{line} names it (did you mean "course"?).' in told
    (studio / "studio.toml").write_text(own.replace('"cours"', '"course"'), "utf-8")
    (studio / "course" / "graph.toml").write_text("# nothing yet\n", "utf-8")
    found = json.loads(say("doctor", "--json").out)["findings"]
    assert [(Path(one["file"]).name, one["message"]) for one in found] == [
        ("graph.toml", "nothing is written in this file")
    ]


def test_a_day_that_is_fixed_for_good_is_said_with_its_line(here, say):
    studio = here.parent / "studio.toml"
    line = studio.read_text("utf-8").split("today")[0].count("\n") + 1
    told = f"studio.toml:{line} fixes the day: every answer is that of 31 January 2026"
    assert told in " ".join(say("doctor").err.split())
    studio.write_text(studio.read_text("utf-8").replace("today = 2026-01-31\n", ""), "utf-8")
    assert "fixes the day" not in say("doctor").err
