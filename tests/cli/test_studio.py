"""Finding the studio, and the lists: roster, check, recheck."""

from __future__ import annotations

import json
import re
import shutil
import sqlite3
import zlib
from contextlib import closing
from pathlib import Path

import pytest

from readiness.cli.commands import Exit
from readiness.days import day_number
from readiness.judging import engine, recheck_looks
from readiness.studio.cache import as_told
from readiness.studio.find import StudioNotFoundError, find_studio
from readiness.studio.load import load_studio

ROOT = Path(__file__).parents[2]
NAMES = ["Bogdan", "Chikondi", "Linnea", "Noemi", "Rafiq", "Temwa"]


# ---------------------------------------------------------------- where the studio is


def test_the_studio_of_this_folder_or_above_is_taken(studio, say, monkeypatch):
    deep = studio / "papers" / "2025"
    deep.mkdir(parents=True)
    monkeypatch.chdir(deep)
    assert find_studio(None, None, deep, {}).students == (studio / "students").resolve()
    assert say("roster", "--on", "2025-12-02").err == ""


@pytest.mark.parametrize("named", ["studio", "studio/studio.toml"])
def test_the_environment_goes_before_the_folder(named, studio, tmp_path, demo_folder):
    where = find_studio(None, None, demo_folder, {"READINESS_STUDIO": str(tmp_path / named)})
    assert where.students == (studio / "students").resolve()
    assert not where.is_demo


def test_a_studio_that_is_not_there_is_said(tmp_path, say, monkeypatch):
    monkeypatch.setenv("READINESS_STUDIO", str(tmp_path / "nowhere"))
    said = say("roster")
    assert said.code == Exit.WRONG
    assert "READINESS_STUDIO says" in said.told


def test_the_shipped_demo_comes_last(tmp_path, demo_folder):
    where = find_studio(None, None, tmp_path, {})
    assert where.is_demo
    assert where.students == demo_folder.resolve()


@pytest.mark.parametrize("course", [True, False])
def test_the_studio_that_names_the_students_is_theirs_from_anywhere(course, studio, tmp_path, course_folder):
    where = find_studio(course_folder if course else None, studio / "students", tmp_path, {})
    assert (where.file.path, where.course) == (studio.resolve() / "studio.toml", course_folder)
    shutil.copytree(studio / "students", studio / "others")
    assert find_studio(None, studio / "others", tmp_path, {}).is_demo


def test_both_folders_named_need_no_studio(studio, tmp_path, course_folder):
    students = (studio / "students").rename(tmp_path / "alone")
    where = find_studio(course_folder, students, tmp_path, {})
    assert (where.course, where.students, where.file) == (course_folder, students, None)
    assert not where.is_demo


def test_the_demo_lends_its_course_but_not_its_day(studio, tmp_path, say):
    students = (studio / "students").rename(tmp_path / "alone")
    where = find_studio(None, students, tmp_path, {})
    assert where.is_demo
    assert load_studio(where).today is None
    assert "this uses the demo course." in say("roster", "--students", students, "--on", "2025-12-02").told


def test_a_studio_file_beside_the_students_counts(demo_folder, tmp_path):
    where = find_studio(None, demo_folder, tmp_path, {})
    assert not where.is_demo
    assert load_studio(where).today == day_number("2025-12-02")


@pytest.mark.parametrize("option", ["--course", "--students"])
def test_a_folder_that_is_not_there_is_said(option, say, tmp_path):
    said = say("why", "temwa", option, tmp_path / "nowhere")
    assert (said.code, said.out) == (Exit.WRONG, "")
    assert "there is no" in said.told
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert "is a file" in say("why", "temwa", option, tmp_path / "file").told


def test_a_folder_named_in_the_studio_file_must_be_there(studio):
    shutil.rmtree(studio / "students")
    with pytest.raises(StudioNotFoundError, match=r"no students folder .*; .*studio.toml:4 names it"):
        find_studio(None, None, studio, {})


@pytest.mark.parametrize(
    "line, told",
    [
        ("today = '2025-12-02'", "[quoted-date]"),
        ("term_ends = 2025-12-19", 'did you mean "term_end"?'),
        ("[[event]]\nname = 'Holidays'\nfrom = 2025-12-20", "[event-days]"),
        (
            "[[event]]\nname = 'Rest'\nfrom = 2025-12-20\nto = 2025-12-01",
            '8:6: error: [event-days] "Rest" ends on 2025-12-01, before it begins on 2025-12-20',
        ),
        ("[event]\non = 2025-12-20", "[event] needs two brackets: there may be several"),
        ("[event]\non = 2025-12-20\n[event]\non = 2025-12-21", "write each as one of several: [[event]]"),
        ("[event]\non = 2025-12-20\n[[event]]\non = 2025-12-21", "write [[event]] there, too"),
        ("[holidays]\nfrom = 2025-12-20\nto = 2025-12-21", "did you mean [[event]]?"),
        ("[[holiday]]\nfrom = 2025-12-20\nto = 2025-12-21", "did you mean [[event]]?"),
        ("[[event]]\nname = 'Sharing'", "[event-days]"),
        ("[lesson_dates]\nall = ['2025-12-09']", "[quoted-date]"),
        ("today = ", "error"),
    ],
)
def test_a_mistake_in_the_studio_file_is_shown_where_it_is(line, told, studio, say, monkeypatch):
    monkeypatch.chdir(studio)
    path = studio / "studio.toml"
    path.write_text(path.read_text(encoding="utf-8") + line + "\n", encoding="utf-8")
    said = say("roster", "--on", "2025-12-02")
    assert (said.code, said.out) == (Exit.WRONG, "")
    assert f"{path}:" in said.told
    assert told in " ".join(said.told.split())


def test_the_demo_studio_is_read_whole(tmp_path):
    studio = load_studio(find_studio(None, None, tmp_path, {}))
    assert studio.name == "Vessenport Community Music School"
    assert [record.name for record in studio.records.values()] == NAMES
    assert studio.teachers["OB"] == "Odalys Brandt"
    assert studio.term_end == day_number("2025-12-19")
    assert [(e.name, e.first, e.last) for e in studio.events] == [
        ("Sharing afternoon", day_number("2026-03-14"), day_number("2026-03-14"))
    ]
    assert not studio.broken


def test_planned_lessons_are_everybodys_and_ones_own(studio, say, monkeypatch):
    monkeypatch.chdir(studio)
    with (studio / "studio.toml").open("a", encoding="utf-8") as file:
        file.write("[lesson_dates]\nall = [2025-12-16]\n")
        file.write("temwa = [2025-12-18, 2025-12-11]\ntenwa = [2025-12-12]\n")
    found = load_studio(find_studio(None, None, studio, {}))
    days = tuple(map(day_number, ("2025-12-11", "2025-12-16", "2025-12-18")))
    assert found.calendar("temwa").planned == days
    assert found.calendar("noemi").planned == (day_number("2025-12-16"),)
    said = say("why", "temwa", "--on", "2025-12-02", "--json")
    assert json.loads(said.out)["earliest"] == "2025-12-11"
    assert 'there is no student file for "tenwa"' in said.told
    assert 'did you mean "temwa"?' in said.told


def test_holidays_are_a_stretch_of_days(studio):
    with (studio / "studio.toml").open("a", encoding="utf-8") as file:
        file.write('[[event]]\nname = "Winter holidays"\nfrom = 2025-12-20\nto = 2026-01-04\n')
    event = load_studio(find_studio(None, None, studio, {})).events[0]
    assert (event.first, event.last) == (day_number("2025-12-20"), day_number("2026-01-04"))


def test_other_files_in_the_folder_are_left_alone(studio):
    students = studio / "students"
    (students / ".draft.toml").write_text("nonsense", encoding="utf-8")
    (students / "notes.txt").write_text("nonsense", encoding="utf-8")
    (students / "old.toml").mkdir()
    found = load_studio(find_studio(None, None, studio, {}))
    assert len(found.loaded) == len(NAMES)


def test_in_a_very_large_studio_one_answer_reads_one_file(studio, say, monkeypatch):
    monkeypatch.chdir(studio)
    plain = say("why", "temwa", "--on", "2025-12-02")
    for number in range(120):
        (studio / "students" / f"x{number}.toml").write_text("nonsense", encoding="utf-8")
    assert say("why", "temwa", "--on", "2025-12-02") == plain
    assert "120 other student files have problems" in say("why", "tem", "--on", "2025-12-02").told


# ---------------------------------------------------------------- roster


def test_the_roster_is_in_order_of_name(say):
    said = say("roster")
    assert said.code == Exit.READY
    first = [line.split()[0] for line in said.out.splitlines() if line[:1].strip()]
    found = [name for name in first if name in NAMES]
    assert found == NAMES


def test_the_roster_shows_a_hold(say):
    lines = say("roster").out.splitlines()
    assert "PAUSED" in next(line for line in lines if line.startswith("Linnea"))


def test_the_roster_as_json_is_an_answer_a_line(say):
    lines = say("roster", "--json").out.splitlines()
    assert [json.loads(line)["student"] for line in lines] == [name.lower() for name in NAMES]
    for line, name in zip(lines, NAMES, strict=True):
        assert json.loads(line) == json.loads(say("why", name, "--json").out)


def test_a_broken_file_hides_nobody(say, studio, monkeypatch):
    monkeypatch.chdir(studio)
    whole = say("roster", "--on", "2025-12-02").out
    (studio / "students" / "aa.toml").write_text('name = "A"\n', encoding="utf-8")
    said = say("roster", "--on", "2025-12-02")
    assert said.code == Exit.WRONG
    assert said.out == whole
    assert "aa.toml:1:1: error: [missing-key]" in said.told


def test_an_empty_studio_says_so(say, studio, monkeypatch):
    monkeypatch.chdir(studio)
    for path in (studio / "students").iterdir():
        path.unlink()
    assert say("roster").out.startswith("No students yet. The first one:")
    assert "there are no student files in" in say("why", "temwa").told
    assert say("roster", "--json").out == ""
    assert say("recheck").code == Exit.READY


# ---------------------------------------------------------------- check


def test_the_shipped_course_can_be_used(say, course_folder):
    for words in (["check"], ["check", course_folder]):
        said = say(*words)
        assert said.code == Exit.READY
        assert "error" not in said.out


def test_a_course_without_a_problem_says_so_plainly(say):
    said = say("check", ROOT / "tests" / "toml_files" / "good_courses" / "small")
    assert said.code == Exit.READY
    assert said.out.startswith("No problems: ")
    assert said.out.count("\n") == 1


def test_mistakes_in_a_course_are_all_shown_and_refused(say, tmp_path, course_folder):
    own = tmp_path / "own"
    shutil.copytree(course_folder, own)
    graph = own / "graph.toml"
    text = graph.read_text(encoding="utf-8").replace('kind = "motor"', 'kind = "moter"', 1)
    graph.write_text(text.replace('fade = "slow"', 'fade = "never"', 1), encoding="utf-8")
    said = say("check", own)
    assert said.code == Exit.WRONG
    assert said.out.count(": error: [") == 2
    assert "2 errors" in said.out.splitlines()[-1]


def test_loose_ends_are_listed_on_demand(say):
    plain, listed = say("check").out, say("check", "--list", "loose-ends").out
    assert listed.endswith(plain)
    assert "counts-groups" in listed.removesuffix(plain)


def test_a_course_folder_that_is_not_there_is_said(say, tmp_path):
    assert "is not there" in say("check", tmp_path / "nowhere").told
    (tmp_path / "graph.toml").write_text("", encoding="utf-8")
    assert "is a file" in say("check", tmp_path / "graph.toml").told
    empty = tmp_path / "empty"
    empty.mkdir()
    assert say("check", empty).code == Exit.WRONG


# ---------------------------------------------------------------- recheck


@pytest.mark.parametrize("day", ["2025-09-16", "2025-12-02", "2025-12-05", "2025-12-17"])
def test_every_answer_follows_from_the_files(day, say):
    said = say("recheck", "--on", day)
    assert said.code == Exit.READY
    assert all(name in said.out for name in NAMES)


def test_a_saved_answer_is_worked_out_again(say, tmp_path):
    (tmp_path / "saved.json").write_text(say("why", "temwa", "--json").out, encoding="utf-8")
    assert say("recheck", "saved.json").code == Exit.READY
    (tmp_path / "all.json").write_text(say("roster", "--json").out, encoding="utf-8")
    said = say("recheck", "all.json")
    assert said.code == Exit.READY
    assert all(name in said.out for name in NAMES)


@pytest.mark.parametrize(
    "key, value",
    [
        ("verdict", "ready"),
        ("deciding", {}),
        ("blockers", []),
        ("band", "6-7"),
        ("earliest", "2025-12-16"),
        ("one_thing", None),
        ("look_first", ["feet-supported"]),
        ("next_lesson", "2025-12-10"),
        ("findings", []),
        ("cautions", ["C14"]),
        ("unheard-of", 1),
    ],
)
def test_an_answer_that_was_changed_does_not_follow(key, value, say, tmp_path):
    found = json.loads(say("why", "temwa", "--json").out)
    (tmp_path / "saved.json").write_text(json.dumps({**found, key: value}), encoding="utf-8")
    said = say("recheck", "saved.json")
    assert said.code == Exit.NOT_READY
    assert key in said.out


def test_what_could_not_be_checked_is_named(say, tmp_path, monkeypatch):
    """The look set of a saved answer, when no step of the search is left."""
    monkeypatch.setattr(recheck_looks, "MOST_STEPS", 0)
    found = {**json.loads(say("why", "temwa", "--json").out), "proof": None}
    assert found["look_first"]
    (tmp_path / "saved.json").write_text(json.dumps(found), encoding="utf-8")
    said = say("recheck", "saved.json")
    assert said.code == Exit.NOT_READY
    assert "- look_first: whether a smaller set" in said.out
    assert "does not follow" not in said.out


def test_answers_come_in_from_other_programs(start):
    saved = start("why", "temwa", "--json").out
    said = start("recheck", "-", text=saved)
    assert said.code == Exit.READY
    assert "Temwa" in said.out


@pytest.mark.parametrize(
    "text, told",
    [
        ("", "is empty"),
        ("nonsense", "is not JSON"),
        ("[1, 2]", "holds something else"),
        ("17", "holds something else"),
        ('{"student": "temwa"}', "holds something else"),
        ('{"student": "temwa", "on": "someday"}', "takes a day such as 2025-12-02"),
        ('{"student": "temwa", "on": "2025-12-02", "if": {}}', "what-if"),
        ('{"student": "nobody", "on": "2025-12-02"}', "there is no student"),
        ("[" * 100_000, "is not JSON"),
    ],
)
def test_what_is_no_answer_is_refused(text, told, say, tmp_path):
    (tmp_path / "saved.json").write_text(text, encoding="utf-8")
    said = say("recheck", "saved.json")
    assert said.code == Exit.WRONG
    assert told in said.told


def test_a_saved_file_that_cannot_be_read_is_said(say, tmp_path):
    assert "cannot be read" in say("recheck", "nowhere.json").told
    assert "cannot be read" in say("recheck", "there/temwa").told
    assert 'there is no student "temwo". Did you mean "temwa"?' in say("recheck", "temwo").told
    (tmp_path / "bytes").write_bytes(b"\xff\xfe\xff")
    assert "not text in UTF-8" in say("recheck", "bytes").told


@pytest.mark.parametrize("typed", [("--student", "temwa"), ("temwa",), ("Temwa", "--on", "2025-12-02")])
def test_one_student_alone_can_be_rechecked(typed, say):
    said = say("recheck", *typed)
    assert said.code == Exit.READY
    assert "Temwa" in said.out
    assert "Noemi" not in said.out


# ---------------------------------------------------------------- answers as they were told

DAY = ("--on", "2025-12-02")


@pytest.fixture(name="own")
def _own(studio, course_folder, say, monkeypatch):
    """Return a studio that keeps what it tells for itself, with a course of its own, in which we are."""
    shutil.copytree(course_folder, studio / "course")
    file = studio / "studio.toml"
    file.write_text(re.sub("course = .*", 'course = "course"', file.read_text("utf-8")), "utf-8")
    monkeypatch.chdir(studio)
    monkeypatch.setenv("READINESS_CACHE", str(studio / "kept"))
    return studio


def add(name, text):
    return lambda own: (own / name).write_text((own / name).read_text("utf-8") + text, "utf-8")


def other_number(own):
    pacing = own / "course" / "pacing.toml"
    pacing.write_text(pacing.read_text("utf-8").replace("carry_limit = 2", "carry_limit = 1"), "utf-8")


def spoil(own):
    with closing(sqlite3.connect(next((own / "kept").glob("*.sqlite")))) as found, found:
        found.execute("UPDATE student SET told = zeroblob(99) WHERE file = 'temwa.toml'")


@pytest.mark.parametrize("change, anew, day", [
    (lambda _: None, 0, DAY), (lambda _: None, 6, ("--on", "2025-12-03")),
    (other_number, 6, DAY), (spoil, 1, DAY),
    (add("students/temwa.toml", '[[lesson]]\non = 2025-12-01\nmodel = ["wrist-lift"]\n'), 1, DAY),
    (add("studio.toml", "[lesson_dates]\ntemwa = [2025-12-04]\n"), 1, DAY),
    (add("studio.toml", "[lesson_dates]\nall = [2025-12-04]\n"), 6, DAY),
    (add("studio.toml", 'rhythm = { day = "fri", weeks = 2 }\n'), 6, DAY),
])  # fmt: skip
def test_an_answer_is_told_again_only_where_all_it_follows_from_is_the_same(
    change, anew, day, own, say, monkeypatch
):
    assert say("roster", "--json", *DAY).out
    change(own)
    judged = []
    real = engine.judge
    monkeypatch.setattr(engine, "judge", lambda *of: judged.append(of[1].id) or real(*of))
    again = say("roster", "--json", *day).out
    assert len(judged) == anew
    assert "6 answers were taken from the cache" in say("recheck", *day).told
    assert "cache" not in say("recheck", "--fresh", *day).told
    monkeypatch.setenv("READINESS_CACHE", "")
    assert again == say("roster", "--json", *day).out


@pytest.mark.parametrize("change, key", [
    (lambda told: told | {"verdict": "ready"}, "verdict"), (lambda told: told | {"on": "2025-12-09"}, "on"),
    (lambda told: told | {"student": "noemi"}, "student"), (lambda _: ["temwa"], "on"),
])  # fmt: skip
def test_an_answer_that_is_kept_wrong_is_found_and_deleted(change, key, own, say):
    right = say("roster", "--json", *DAY).out
    file = next((own / "kept").glob("*.sqlite"))
    with closing(sqlite3.connect(file)) as found, found:
        (told,) = found.execute("SELECT told FROM student WHERE file = 'temwa.toml'").fetchone()
        wrong = zlib.compress(json.dumps(change(json.loads(zlib.decompress(told)))).encode())
        found.execute("UPDATE student SET told = ? WHERE file = 'temwa.toml'", (wrong,))
    assert say("roster", "--json", *DAY).out != right
    said = say("recheck", *DAY)
    assert said.code == Exit.NOT_READY
    about, _, after = said.out.partition("about Temwa on 2 December 2025 does not follow")
    assert "not follow" not in about
    assert f"- {key}\n" in after
    assert "It is deleted now" in after
    assert wrong not in file.read_bytes()
    said = say("recheck", *DAY)
    assert said.code == Exit.READY
    assert "5 answers were taken from the cache" in said.told
    assert say("roster", "--json", *DAY).out == right


def test_who_is_forgotten_leaves_no_answer(own, say):
    say("roster", "--json", *DAY)
    file = next((own / "kept").glob("*.sqlite"))
    with closing(sqlite3.connect(file)) as found:
        (told,) = found.execute("SELECT told FROM student WHERE file = 'temwa.toml'").fetchone()
    assert told in file.read_bytes()
    assert say("forget", "temwa", "--yes").code == Exit.READY
    assert told not in file.read_bytes()


def test_an_answer_that_a_solver_could_better_is_not_kept(own, say):
    say("roster")
    studio = load_studio(find_studio(None, None, own, {}))
    records = tuple(studio.records.values())
    for _ in range(2):
        told = as_told(own / "kept", studio, 0, records, lambda _: {"proof": {"kind": "not-proved"}})
        assert not any(was_kept for _, was_kept in told)
