"""What was kept of the files is used only where a file is what it was, and never missed where it is gone."""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import stat
import subprocess
import sys
import tempfile
import threading
from contextlib import closing
from dataclasses import fields, replace
from pathlib import Path

import pytest
import tomli_w
from drawn import situations
from hypothesis import given, settings
from hypothesis import strategies as st

from readiness.advice.after_break import pain_noted
from readiness.cli import context
from readiness.cli.commands import Exit
from readiness.cli.main import main
from readiness.course.load import build_course
from readiness.editing.dry_run import fits, mentions
from readiness.judging.as_json import answer_to_dict
from readiness.judging.engine import judge
from readiness.judging.recheck import Rechecked, Rechecker
from readiness.record import load, model
from readiness.record.append import add_blocks
from readiness.record.enrol import Forgotten, forget
from readiness.record.model import PAIN, Record
from readiness.record.undo import take_back
from readiness.school.counts import moderation
from readiness.studio import cache as kept
from readiness.studio.cache import drop_kept, has_kept, keeping, needed, pack, unpack
from readiness.studio.find import Location
from readiness.studio.kept_files import cache_folder
from readiness.studio.load import load_studio, student_files
from readiness.testing import record_of

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo_students"
COURSE = ROOT / "skill_graphs" / "first-two-years"
MANY = 50


@pytest.fixture(name="school")
def _school(tmp_path):
    """Return a folder with many students."""
    folder = tmp_path / "students"
    folder.mkdir()
    sources = sorted(path for path in DEMO.glob("*.toml") if path.stem != "studio")
    for number in range(MANY + 4):
        source = sources[number % len(sources)]
        text = source.read_text("utf-8").replace('name = "', f'name = "N{number} ', 1)
        (folder / f"s{number:03}.toml").write_text(text, encoding="utf-8")
    return folder


def read(school, cache, course=COURSE):
    """Return the studio, and how many files were read through."""
    through = []
    real = load.parse_bytes
    kept.record_in.__globals__["parse_bytes"] = lambda *args: through.append(args[1]) or real(*args)
    try:
        with keeping(cache, student_files(school)) as read_student:
            studio = load_studio(Location(course, school, None, False, ()), read_student)
    finally:
        kept.record_in.__globals__["parse_bytes"] = real
    return studio, len(through)


def everything(studio, day=737761):
    return [
        (one.path, one.text, one.problems, None if one.record is None else all_of(one.record))
        for one in studio.loaded
    ], [answer_to_dict(judge(studio.course, record, day)) for record in studio.records.values()]


def all_of(record):
    return {field.name: getattr(record, field.name) for field in fields(Record)}


def database(cache):
    (one,) = cache.glob("*.sqlite")
    return one


def test_what_did_not_change_is_not_read_through_again_and_says_the_same(school, tmp_path):
    taken = school / "s000.toml"
    assert add_blocks(taken, school, "[[lesson]]\non = 2025-12-09\n") is None
    assert isinstance(take_back(taken, school), str)
    plain = load_studio(Location(COURSE, school, None, False, ()))
    first, through = read(school, tmp_path / "cache")
    assert through == len(plain.loaded)
    again, through = read(school, tmp_path / "cache")
    answers = [answer_to_dict(judge(again.course, one, 737761)) for one in again.records.values()]
    assert through == 0
    assert everything(plain) == everything(first) == everything(again)
    assert answers == everything(plain)[1]
    assert list(again.records.values()) == list(plain.records.values())


def test_verdicts_are_given_without_reading_a_file_through(school, tmp_path, monkeypatch):
    read(school, tmp_path / "cache")
    studio, _ = read(school, tmp_path / "cache")
    monkeypatch.setattr(kept, "record_in", None)
    for record in studio.records.values():
        answer = judge(studio.course, record, 737761)
        assert answer_to_dict(answer)
        assert Rechecker(studio.course).check(answer_to_dict(answer), record) == Rechecked()
        assert not mentions(record, frozenset({"nobody-has-it"}))
        assert fits(record, studio.course)
    assert moderation(studio.course, studio.records.values(), None, 737761)
    for record in studio.records.values():
        assert replace(record.seen, born=1).born == 1


@pytest.mark.parametrize("keep_the_time", [False, True])
def test_a_change_of_the_file_is_always_seen(school, tmp_path, keep_the_time):
    """The same size, and even the same time of change: only the content says it."""
    read(school, tmp_path / "cache")
    path = school / "s000.toml"
    before = path.stat()
    data = path.read_bytes()
    changed = data.replace(b'name = "N0', b'name = "X0', 1)
    assert len(changed) == len(data)
    path.write_bytes(changed)
    if keep_the_time:
        os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    studio, through = read(school, tmp_path / "cache")
    assert through == 1
    assert studio.records["s000"].name.startswith("X0")
    assert read(school, tmp_path / "cache")[1] == 0


def test_a_file_with_a_problem_is_read_every_time(school, tmp_path):
    path = school / "s001.toml"
    wrong = '\n[[lesson]]\non = 2025-12-01\nalone = ["wrist-lfit"]\n'
    path.write_text(path.read_text("utf-8") + wrong, "utf-8")
    for expected in (MANY + 4, 1, 1):
        studio, through = read(school, tmp_path / "cache")
        assert through == expected
        assert [problem.id for problem in studio.broken["s001"].problems] == ["unknown-skill"]


def test_a_course_without_a_name_makes_those_be_read_again_who_have_it(school, tmp_path):
    read(school, tmp_path / "cache")
    having = [path for path in student_files(school) if '"wrist-lift"' in path.read_text("utf-8")]
    other = shutil.copytree(COURSE, tmp_path / "other")
    graph = other / "graph.toml"
    graph.write_text(graph.read_text("utf-8").replace("wrist-lift", "wrist-rise"), "utf-8")
    studio, through = read(school, tmp_path / "cache", other)
    assert 0 < through == len(having) < MANY + 4
    assert [one.path for one in studio.loaded if one.record is None] == having
    assert everything(studio) == everything(load_studio(Location(other, school, None, False, ())))
    assert read(school, tmp_path / "cache")[1] == 0, "nothing of them was kept anew"


@pytest.mark.parametrize("change", ["one more skill", "pain is asked by what one has set aside"])
def test_only_what_a_row_needs_of_the_course_counts(change, school, tmp_path):
    path = school / "s002.toml"
    agreed = '\n[[set_aside]]\nskill = "wrist-lift"\non = 2025-11-30\nagreed_with = "family"\n'
    path.write_text(path.read_text("utf-8") + agreed, "utf-8")
    read(school, tmp_path / "cache")
    other = shutil.copytree(COURSE, tmp_path / "other")
    graph = other / "graph.toml"
    before, head, after = graph.read_text("utf-8").partition("[skill.wrist-lift]")
    if change == "one more skill":
        table = after.partition("\n\n[skill.")[0]
        after = f"{after.replace(table, table + chr(10) * 2 + '[skill.wrist-up]' + table, 1)}"
    else:
        after = after.replace("asks_pain = false", "asks_pain = true", 1)
    graph.write_text(before + head + after, "utf-8")
    studio, through = read(school, tmp_path / "cache", other)
    assert through == (0 if change == "one more skill" else 1)
    assert list(studio.broken) == ([] if change == "one more skill" else ["s002"])
    assert everything(studio) == everything(load_studio(Location(other, school, None, False, ())))


def test_other_numbers_of_the_pacing_need_no_reading(school, tmp_path):
    read(school, tmp_path / "cache")
    other = shutil.copytree(COURSE, tmp_path / "other")
    pacing = other / "pacing.toml"
    pacing.write_text(pacing.read_text("utf-8").replace("carry_limit = 2", "carry_limit = 0"), "utf-8")
    studio, through = read(school, tmp_path / "cache", other)
    plain = load_studio(Location(other, school, None, False, ()))
    assert through == 0
    assert everything(studio) == everything(plain)


def spoil_a_page(path):
    data = bytearray(path.read_bytes())
    data[len(data) // 2 : len(data) // 2 + 900] = b"\xa5" * 900
    path.write_bytes(data)


def spoil_a_row(path):
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("UPDATE student SET seen = zeroblob(200) WHERE file < 's020.toml'")
        connection.execute("UPDATE student SET needs = zeroblob(2) WHERE file > 's030.toml'")
        connection.execute("UPDATE student SET name = 'Nobody' WHERE file > 's040.toml'")


def spoil_the_form(path):
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("UPDATE student SET name = NULL, seal = 'x' WHERE file < 's020.toml'")


def spoil_the_columns(path):
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("ALTER TABLE student DROP COLUMN seal")


@pytest.mark.parametrize("spoil", [
    spoil_a_page, spoil_a_row, spoil_the_form, spoil_the_columns, lambda path: path.write_bytes(b""),
    lambda path: path.write_bytes(b"nothing" * 999),
    lambda path: path.write_bytes(path.read_bytes()[:5000]), lambda path: path.unlink(),
    lambda path: path.parent.rename(path.parent.with_name("away")),
])  # fmt: skip
def test_whatever_is_wrong_with_what_is_kept_the_files_are_read(school, tmp_path, spoil):
    plain = load_studio(Location(COURSE, school, None, False, ()))
    read(school, tmp_path / "cache")
    spoil(database(tmp_path / "cache"))
    for _ in range(3):
        assert everything(read(school, tmp_path / "cache")[0]) == everything(plain)
    assert read(school, tmp_path / "cache")[1] == 0, "it is made anew"


def test_where_nothing_can_be_kept_the_files_are_read(school, tmp_path):
    in_the_way = tmp_path / "cache"
    in_the_way.write_text("a file is in the way")
    for _ in range(2):
        studio, through = read(school, in_the_way)
        assert through == len(studio.records) == MANY + 4
    assert in_the_way.read_text() == "a file is in the way"


def test_a_folder_that_cannot_even_be_asked_for_does_no_harm(school, tmp_path):
    too_long = tmp_path / ("x" * 300)
    assert read(school, too_long)[1] == MANY + 4
    drop_kept(too_long, school / "s003.toml")


def test_two_may_read_at_once(school, tmp_path):
    plain = everything(load_studio(Location(COURSE, school, None, False, ())))
    found = []
    threads = [
        threading.Thread(target=lambda: found.append(everything(load_kept(school, tmp_path / "cache"))))
        for _ in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [plain] * 4


def load_kept(school, cache):
    with keeping(cache, student_files(school)) as read_student:
        return load_studio(Location(COURSE, school, None, False, ()), read_student)


def test_no_word_that_anybody_wrote_is_kept_and_nothing_beside_the_files(school, tmp_path):
    words = "the left wrist hurts since Sunday"
    path = school / "s002.toml"
    path.write_text(
        path.read_text("utf-8")
        + f'\n[[hold]]\nopened = 2025-12-01\nwords = "{words}"\n'
        + f'\n[[promise]]\ngiven = 2025-12-01\nto = "aunt Quorra"\ntext = "{words}"\n'
        + f'\n[[lesson]]\non = 2025-12-01\nnote = "{words}"\nremarks = {{ wrist-lift = "{words}" }}\n',
        "utf-8",
    )
    before = {one.name for one in school.iterdir()}
    read(school, tmp_path / "cache")
    data = database(tmp_path / "cache").read_bytes()
    assert b"wrist hurts" not in data
    assert b"Quorra" not in data
    assert {one.name for one in school.iterdir()} == before
    if sys.platform != "win32":
        assert stat.S_IMODE(database(tmp_path / "cache").stat().st_mode) == 0o600


NOTED = b'\n[[lesson]]\non = 2025-12-01\nnote = "says the wrist is quorx"\n'
"""A lesson on a day on which no other student has one, with a word that no list has yet."""


def on_days_of_pain(cache, days):
    """Return whether anything in the cache folder says that a student may have spoken of it on just these."""
    return any(b"],[%s],{" % days in one.read_bytes() for one in cache.iterdir())


@pytest.mark.parametrize("change", ["words", "program"])
def test_another_list_of_words_for_pain_or_another_program_finds_what_the_old_one_hid(
    change, school, tmp_path, monkeypatch
):
    cache, path = tmp_path / "cache", school / "s002.toml"
    path.write_bytes(path.read_bytes() + NOTED)
    before, _ = read(school, cache)
    assert not pain_noted(before.records["s002"], 739586)
    assert read(school, cache)[1] == 0
    monkeypatch.setattr(model, "_PAIN", re.compile("quorx"))
    if change == "words":
        monkeypatch.setattr(model, "PAIN", "quorx")
    else:
        monkeypatch.setattr(kept, "program", lambda: b"another")
    for through in (len(before.loaded), 0):
        again, found = read(school, cache)
        assert found == through
        assert pain_noted(again.records["s002"], 739586) == ("says the wrist is quorx",)
        assert all(not pain_noted(one, 739586) for id_, one in again.records.items() if id_ != "s002")


def test_whether_words_speak_of_pain_is_asked_of_a_school_without_reading_any(school, tmp_path, monkeypatch):
    path = school / "s002.toml"
    path.write_bytes(path.read_bytes() + NOTED.replace(b"quorx", b"sore"))
    read(school, tmp_path / "cache")
    studio, _ = read(school, tmp_path / "cache")
    unpacked = []
    real = kept.checked_record
    monkeypatch.setattr(kept, "checked_record", lambda *args: unpacked.append(args[1].stem) or real(*args))
    asked = [id_ for id_, record in studio.records.items() if pain_noted(record, 739586)]
    assert asked == unpacked == ["s002"]


def test_who_is_forgotten_is_forgotten_here_too(school, tmp_path):
    read(school, tmp_path / "cache")
    path = school / "s003.toml"
    assert b"N3 " in database(tmp_path / "cache").read_bytes()
    assert isinstance(forget(path, school), Forgotten)
    drop_kept(tmp_path / "cache", path)
    data = database(tmp_path / "cache").read_bytes()
    assert b"N3 " not in data
    assert b"N4 " in data


def test_who_is_forgotten_while_another_program_reads_does_not_come_back(school, tmp_path):
    """The other program has read the file before it is deleted, and keeps what it read afterwards."""
    path = school / "s003.toml"
    with keeping(tmp_path / "cache", student_files(school)) as read_student:
        load_studio(Location(COURSE, school, None, False, ()), read_student)
        assert isinstance(forget(path, school), Forgotten)
        drop_kept(tmp_path / "cache", path)
    data = database(tmp_path / "cache").read_bytes()
    assert b"N3 " not in data
    assert b"N4 " in data
    assert not has_kept(tmp_path / "cache", path)
    assert has_kept(tmp_path / "cache", school / "s004.toml")


def test_who_is_gone_without_a_word_is_gone_after_the_next_reading(school, tmp_path):
    read(school, tmp_path / "cache")
    (school / "s003.toml").unlink()
    read(school, tmp_path / "cache")
    assert b"N3 " not in database(tmp_path / "cache").read_bytes()


def test_what_is_not_used_for_long_is_deleted(school, tmp_path):
    old = tmp_path / "cache" / "0123.sqlite"
    old.parent.mkdir()
    old.write_bytes(b"")
    os.utime(old, (0, 0))
    read(school, tmp_path / "cache")
    assert not old.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="the folders of that system are others")
@pytest.mark.parametrize(("environ", "expected"), [
    ({"HOME": "/h"}, "/h/.cache/readiness"), ({"HOME": "/h", "XDG_CACHE_HOME": "/x"}, "/x/readiness"),
    ({"HOME": "/h", "READINESS_CACHE": "/mine"}, "/mine"), ({"HOME": "/h", "READINESS_CACHE": ""}, None),
    ({}, None), ({"XDG_CACHE_HOME": "relative"}, None),
])  # fmt: skip
def test_where_it_is_kept(environ, expected):
    """XDG Base Directory Specification: $XDG_CACHE_HOME, else $HOME/.cache; relative paths are ignored."""
    assert cache_folder(environ) == (None if expected is None else Path(expected))


def test_the_commands_keep_and_forget(school, tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("READINESS_CACHE", str(tmp_path / "cache"))
    here = ("--course", str(COURSE), "--students", str(school))
    sore = school / "s005.toml"
    sore.write_bytes(sore.read_bytes() + NOTED.replace(b"quorx", b"sore"))
    assert main(["ask", "numbers", "--on", "2025-12-02", *here]) == Exit.READY
    first = capsys.readouterr()
    assert b"N5 " in database(tmp_path / "cache").read_bytes()
    assert main(["ask", "numbers", "--on", "2025-12-02", *here]) == Exit.READY
    assert capsys.readouterr() == first
    assert on_days_of_pain(tmp_path / "cache", b"739586")
    assert main(["forget", "s005", "--yes", *here]) == Exit.READY
    assert b"N5 " not in database(tmp_path / "cache").read_bytes()
    assert not on_days_of_pain(tmp_path / "cache", b"739586")


def test_a_student_of_many_is_found_without_reading_another(school, tmp_path, monkeypatch):
    monkeypatch.setenv("READINESS_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(context, "_MANY", MANY)
    where = Location(COURSE, school, None, False, ())
    read(school, tmp_path / "cache")
    studio, _ = read(school, tmp_path / "cache")
    for typed in ("s017", "S017", studio.records["s017"].name, "s01", "nobody"):
        found = context.only_file(where, typed)
        assert (found and found.stem) == ("s017" if typed not in ("s01", "nobody") else None)
    other = school / "s018.toml"
    other.write_text(re.sub('name = ".*"', 'name = "S017"', other.read_text("utf-8"), count=1), "utf-8")
    assert context.only_file(where, "S017") is None, "it is somebody's name now"
    assert context.only_file(where, "s017") == school / "s017.toml"
    file, read_whole = school / "s016.toml", []
    real = context.load_without_course
    monkeypatch.setattr(context, "load_without_course", lambda path: read_whole.append(path) or real(path))
    assert add_blocks(file, school, "[[lesson]]\non = 2025-12-09\n") is None
    assert context.only_file(where, "S016") == file
    assert read_whole == [other], "a lesson changes no name"
    file.write_text(file.read_text("utf-8") + "[[lesson]]\n", "utf-8")
    assert context.only_file(where, "S016") == file
    assert file in read_whole, "of a broken file nothing is known"
    monkeypatch.setenv("READINESS_CACHE", "")
    assert context.only_file(where, "S015") is None, "nobody's name is known"


@given(situations())
@settings(max_examples=40)
def test_packing_loses_nothing(situation):
    course = build_course(dict(situation.graph), dict(situation.pacing))
    seen = record_of(situation, course).seen
    names = kept._names_of(course)
    number = {name: at for at, name in enumerate(names)}
    assert unpack(pack(seen, number), names, needed(seen, number)) == seen


SAID = ("", "left wrist sore", "fingers tingling", "smiles a lot", "le duele", "painted", "ouch\nand ow")


@given(situations(), st.lists(st.tuples(st.sampled_from(SAID), st.sampled_from(SAID)), min_size=1))
@settings(max_examples=40)
def test_what_is_kept_hides_no_note_that_may_speak_of_pain(situation, said):
    """Kept or not, in a note or in a remark: on every day the words of the latest lesson are found."""
    student, skill = dict(situation.student), next(iter(situation.graph["skill"]))
    student["lesson"] = [
        {**lesson, "note": note, "remarks": {skill: remark}}
        for number, lesson in enumerate(student.get("lesson", ()))
        for note, remark in [said[number % len(said)]]
    ]
    course = build_course(dict(situation.graph), dict(situation.pacing))
    with tempfile.TemporaryDirectory() as name:
        path = Path(name, "mia.toml")
        path.write_bytes(tomli_w.dumps(student).encode())
        for _ in range(2):
            with keeping(Path(name, "cache"), [path]) as read_student:
                record = read_student(path, course).record
        plain = load.load_record(path, course).record
        for day in {0, *(one.on + more for one in plain.lessons for more in (-1, 0, 1))}:
            last = max((one.on for one in plain.lessons if one.on <= day), default=None)
            of_day = [(one.note, *one.remarks.values()) for one in plain.lessons if one.on == last]
            found = () if any(last and last <= hold.opened <= day for hold in plain.holds) else of_day
            assert pain_noted(record, day) == tuple(w for one in found for w in one if re.search(PAIN, w))


@given(situations())
@settings(max_examples=40)
def test_what_was_checked_before_is_read_as_by_the_check(situation):
    course, path = build_course(dict(situation.graph), dict(situation.pacing)), Path("mia.toml")
    data = tomli_w.dumps(dict(situation.student)).encode()
    loaded = load.record_in(data, path, course)
    assert loaded.record is not None, loaded.problems
    assert load.checked_record(data, path, course) == loaded.record


@pytest.mark.parametrize("words", [["why", "temwa"], ["why", "temwa", "--json"], ["roster"], ["--help"]])
def test_what_did_not_change_is_answered_without_the_models_that_check_files(words, tmp_path):
    """Making the models takes longer than the answer; only a process of its own says what it loaded."""
    there = os.environ | {"READINESS_CACHE": str(tmp_path / "cache"), "READINESS_STUDIO": str(DEMO)}
    asked = f"import sys, readiness.cli.main as m; m.main({words!r}); print('pydantic' in sys.modules)"
    run = [sys.executable, "-c", asked]
    first, again = (
        subprocess.run(run, env=there, cwd=ROOT, capture_output=True, text=True, check=True) for _ in range(2)
    )
    *answer, loads_models = again.stdout.splitlines()
    assert answer == first.stdout.splitlines()[:-1]
    assert answer
    assert loads_models == "False"


_READ_A_STUDIO = """
import sys
from pathlib import Path
opened = set()
sys.addaudithook(lambda event, args: event == "open" and opened.add(str(args[0])))
from readiness.cli.main import main
main(["check"]), main(["roster"])
from readiness.studio.kept_files import program_files
ours = {str(path.resolve()) for path in map(Path, opened) if path.is_file()}
home, packages = str(Path(sys.argv[1])), f"{Path(sys.prefix).resolve()}/"  # an environment may stand in it
ours = {path for path in ours if path.startswith(home) and not path.startswith(packages)}
ours = {path for path in ours if not path.endswith((".py", ".pyc"))}
print("left", sorted(ours - {str(path.resolve()) for path in program_files()}), len(ours))
"""


def test_whatever_reads_a_course_or_a_student_makes_another_program_when_it_changes(tmp_path):
    """What is kept is taken only of the same program: every file it opens while it reads is part of it."""
    course = tmp_path / "course"
    shutil.copytree(ROOT / "skill_graphs" / "first-two-years", course)
    graph = course / "graph.toml"
    text = graph.read_text(encoding="utf-8").replace("activities = [", "activities = [\n", 1)
    graph.write_text(text, encoding="utf-8")
    told = 'format = 1\ncourse = "course"\nstudents = "."\n'
    (tmp_path / "studio.toml").write_text(told, encoding="utf-8")
    there = os.environ | {"READINESS_CACHE": str(tmp_path / "cache")} | {"PYTHONPATH": str(ROOT)}
    run = [sys.executable, "-c", _READ_A_STUDIO, str(ROOT)]
    done = subprocess.run(run, env=there, cwd=tmp_path, capture_output=True, text=True, check=True)
    left, many = done.stdout.splitlines()[-1].removeprefix("left ").rsplit(" ", 1)
    assert left == "[]"
    assert int(many) > 2
