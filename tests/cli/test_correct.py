"""``readiness correct`` and ``readiness move-note``, as a person types them."""

from __future__ import annotations

import json
import re
import tomllib
from collections import Counter
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from readiness.record.load import load_record
from readiness.record.marks import standing


@pytest.fixture
def here(studio, monkeypatch, say):
    monkeypatch.chdir(studio)
    return studio / "students"


def test_a_correction_says_what_counts_no_longer_and_the_verdict(here, say):
    words = ("--on", "9 Dec 2025", "--why", "I held the wrist", "--by", "OB")
    said = say("correct", "temwa", "2", "wrist-lift", *words)
    assert said.code == 0
    flat = " ".join(said.out.split())
    assert "Lifts the wrist, noted without help. It stays in the file and no longer counts." in flat
    assert "With a reminder: Lifts the wrist." in flat
    assert "As it was noted: Ready for unit 4. Now: Not yet: more time in this unit." in flat
    blocks = tomllib.loads((here / "temwa.toml").read_text(encoding="utf-8"))
    assert blocks["correction"][0]["of"] == date(2025, 12, 9)
    assert blocks["lesson"][-1] == {"on": date(2025, 12, 9), "cue": ["wrist-lift"], "by": "OB"}
    assert say("undo", "temwa").code == 0
    assert "Ready for unit 4" in say("why", "temwa", "--on", "2025-12-09").out
    assert say("correct", "temwa", "--yes", "--on", "2.12.2025", "--json").code == 0
    assert say("recheck", "--student", "temwa", "--on", "2025-12-09").code == 0
    assert "not noted for" in say("correct", "temwa", "echo-clap-four", "--on", "9.12.2025").told
    assert "no lesson" in say("correct", "temwa", "--on", "1.1.2025").told


def test_a_figure_without_a_skill_crosses_out_nothing(here, say):
    before = (here / "temwa.toml").read_bytes()
    said = say("correct", "temwa", "2", "--on", "2025-12-09")
    told = "please say of which skill, as in `readiness correct temwa 2 SKILL`. Nothing was"
    assert (said.code, told in " ".join(said.told.split())) == (2, True)
    assert (here / "temwa.toml").read_bytes() == before


@pytest.mark.parametrize("key", ["no", "yes"])
def test_at_a_terminal_a_whole_lesson_is_crossed_out_once_somebody_says_yes(key, here, say, monkeypatch):
    before = (here / "temwa.toml").read_bytes()
    for module in ("note", "keys"):
        monkeypatch.setattr(f"readiness.cli.{module}.is_terminal", lambda: True)
    monkeypatch.setattr("readiness.cli.keys.Keys.line", lambda *_: key)
    assert say("correct", "temwa", "--on", "2025-12-09").code == (0 if key == "yes" else 2)
    assert ((here / "temwa.toml").read_bytes() == before) is (key == "no")


def test_a_lesson_of_one_thing_is_crossed_out_at_once(here, say):
    assert say("note", "temwa", "1", "wrist-lift", "--on", "2025-12-10").code == 0
    assert say("correct", "temwa", "--on", "2025-12-10").code == 0


@pytest.mark.parametrize("skills", [("wrist-lift",), ()])
@pytest.mark.parametrize("how", [("2", "wrist-lift"), ("wrist-lift",)])
def test_what_is_crossed_out_already_says_so_and_how_it_comes_back(skills, how, here, say):
    day = ("--on", "2025-12-09")
    assert say("correct", "temwa", *skills, *day, "--yes").code == 0
    before = (here / "temwa.toml").read_bytes()
    for words in (*(() if skills else ((), day)), how, (*how, *day)):
        told = " ".join(say("correct", "temwa", *words).told.split())
        assert "of 9 December 2025 was crossed out on " in told
    assert (here / "temwa.toml").read_bytes() == before
    first, last = re.findall("`readiness ([^`]+)`", told)
    assert first.split() == ["note", "temwa", *(how if len(how) > 1 else ()), *day]
    assert say(*last.split()).code == 0
    assert say("correct", "temwa", *how, *day).code == 0


def test_a_note_is_moved_and_one_undo_takes_it_back_in_both(here, say):
    said = say("move-note", "temwa", "noemi", "--on", "2025-12-09")
    assert said.code == 0
    assert "Moved from Temwa to Noemi: 9 December 2025, 7 things." in " ".join(said.out.split())
    assert "9 December" in say("shown", "noemi", "--on", "2025-12-09").out
    assert say("undo", "temwa").code == 0
    assert "9 December" not in say("shown", "noemi", "--on", "2025-12-09").out
    assert "9 December" in say("shown", "temwa", "--on", "2025-12-09").out
    assert "other student" in say("move-note", "temwa", "temwa").told


def test_what_was_cut_short_is_finished_and_said_by_whoever_opens_the_folder_next(here, say):
    step = {"file": "temwa.toml", "add": '[[told]]\nto = "a"\nwhat = "b"\non = 2025-12-02\n', "back": ""}
    (here / ".moving.json").write_text(f"[{json.dumps(step)}]")
    said = say("why", "temwa")
    assert "cut short; it is finished now" in " ".join(said.told.split())
    assert (here / "temwa.toml").read_text(encoding="utf-8").count("[[told]]") == 1
    assert "cut short" not in say("why", "temwa").told


ENTRIES = {
    "promise": ("promise", "temwa", "--to", "mother", "--give", "the song book"),
    "task": (
        "task", "temwa", "--give", "wrist-lift", "--text", "lift and land", "--minutes", "2", "--days", "4",
    ),
    "lesson": ("note", "temwa", "2", "wrist-lift", "--on", "2025-12-10"),
}


@pytest.mark.parametrize("who", ["temwa", "noemi"])
@pytest.mark.parametrize("kind", ENTRIES)
def test_whatever_was_noted_last_is_moved_and_one_undo_brings_it_back(here, say, kind, who):
    def blocks(name):
        return tomllib.loads(standing((here / f"{name}.toml").read_bytes()).decode())

    assert say("promise", "temwa", "--to", "aunt", "--give", "older").code == 0
    assert say(*ENTRIES[kind]).code == 0
    before, theirs = blocks("temwa"), blocks("noemi")
    said = say("move-note", "temwa", "noemi")
    assert said.code == 0, said
    assert "Moved from Temwa to Noemi: " in " ".join(said.out.split())
    assert blocks("noemi")[kind] == [*theirs.get(kind, []), before[kind][-1]]
    if kind != "lesson":  # a lesson stays, and a correction says that it no longer counts
        assert blocks("temwa").get(kind, []) == before[kind][:-1]
    undone = say("undo", who)
    assert undone.code == 0
    assert f"[[{kind}]]" in undone.out or kind == "lesson"
    assert "taken back in both files" in " ".join(undone.out.split())
    assert blocks("noemi") == theirs
    assert blocks("temwa") == before
    assert say("move-note", "temwa", "noemi").code == 0  # and once more
    assert blocks("noemi")[kind] == [*theirs.get(kind, []), before[kind][-1]]


STAY = {
    "a decision rests on the verdict": ("decide", "temwa", "stay", "--reason", "tired", "--on", "2025-12-09"),
    "a pause is not moved: `readiness pause noemi`": ("pause", "temwa", "--words", "sore"),
    "a correction is about the notes of Temwa": ("correct", "temwa", "--yes", "--on", "2025-12-09"),
    "a consent is the family's own answer": ("consent", "temwa", "family", "yes", "--by", "mother"),
}


@pytest.mark.parametrize("told", STAY)
def test_what_is_not_moved_says_why_and_changes_nothing(here, say, told):
    said = say(*STAY[told])
    assert said.code in (0, 1), said
    before = {path: path.read_bytes() for path in here.glob("*.toml")}
    said = say("move-note", "temwa", "noemi")
    assert said.code == 2
    assert told in " ".join(said.told.split())
    assert {path: path.read_bytes() for path in here.glob("*.toml")} == before


@pytest.mark.parametrize(
    ("command", "told"),
    [("correct", "(default: that of the latest lesson)"), ("move-note", "(default: what was noted last,"),
     ("import", "tue, yesterday --"), ("note", "(default: today)")],
)  # fmt: skip
def test_the_help_says_what_is_meant_without_a_day(say, command, told):
    said = " ".join(say(command, "--help").out.split())
    assert told in said
    assert ("(default: today)" in said) == (command == "note")


DAYS = {"25.11.2025": date(2025, 11, 25).toordinal(), "2.12.2025": date(2025, 12, 2).toordinal()}
HEAD = (
    'format = 1\nname = "{}"\nborn = "2019-02"\n\n'
    '[[unit_start]]\nunit = "hand-shape-wrist"\non = 2025-11-03\n'
)
BOTH = ("groups-of-two", "wrist-lift")
TO, BACK = ("sd", "sa"), ("sa", "sd")
WHOSE, WHEN = st.sampled_from([TO, TO, BACK]), st.sampled_from([*DAYS, "25.11.2025"])
SKILL, HOW = st.sampled_from(BOTH), st.sampled_from("123")
NOTE = st.one_of(
    st.tuples(st.just("note"), WHOSE, WHEN, HOW, st.sampled_from([*BOTH, ",".join(BOTH)])),
    st.tuples(st.just("note"), WHOSE, WHEN, st.just("--text"), st.sampled_from(["moved", "again"])),
)
ASIDE = st.one_of(
    st.tuples(st.just("correct"), WHOSE, WHEN),
    st.tuples(st.just("correct"), WHOSE, WHEN, SKILL),
    st.tuples(st.just("correct"), WHOSE, WHEN, HOW, SKILL),
    st.tuples(st.just("undo"), WHOSE, st.just("")),
    st.tuples(st.just("import"), WHOSE, WHEN, SKILL),
    st.tuples(st.just("undo --import"), WHOSE, st.just("")),
    st.tuples(st.just("doctor"), WHOSE, st.just("")),
    st.tuples(st.just("move-note"), WHOSE, st.one_of(st.just(""), WHEN)),
)
STEPS = st.builds(list.__add__, st.lists(NOTE, max_size=4), st.lists(st.one_of(NOTE, ASIDE), max_size=6))
WORN = [("note", TO, "25.11.2025", "1", skill) for skill in BOTH]
CAME, CAME_2 = (("import", TO, "25.11.2025", skill) for skill in BOTH)
UNDO = ("undo --import", TO, "")
TOGETHER = ("note", TO, "25.11.2025", "1", ",".join(BOTH))


def noted(record, on):
    """Return what is noted on a day, or on all of them, as it counts; a lesson without a note too."""
    lessons = [one for one in record.lessons if on in ("", one.on)]
    return lessons, sorted((one.on, s.skill, s.help) for one in lessons for s in one.showings)


def counting(record):
    """Return the lessons that count, each in words, wherever in the file they stand."""
    return [
        str(replace(one, line=0, showings=tuple(shown[:2] for shown in one.showings)))
        for one in record.lessons
    ]


def brought(record, token):
    """Return the lessons of an import that stand in a file, each in words, and which are whole."""
    lines, found = record.path.read_text(encoding="utf-8").split("\n"), []
    for one in record.lessons:
        end = next((at for at in range(one.line, len(lines)) if lines[at].startswith("# noted")), one.line)
        found += [one] * any(line.startswith(f"# import {token}") for line in lines[one.line : end])
    return Counter(counting(replace(record, lessons=tuple(found))))


def words_of(what, who, other, day, words, folder, tokens):
    """Return the command of a step."""
    if what == "import":
        table = folder / "table.csv"
        table.write_text(f"Student,Day,Skill,How\n{who.capitalize()},{day},{words[0]},alone\n")
        return ("import", str(table), "--write", "--dates", "dmy")
    if what in ("undo --import", "doctor"):
        return ("undo", "--import", tokens[-1]) if what != "doctor" else ("doctor", "--fix", "--yes")
    also = [other] * (what == "move-note") + ["--yes"] * (what == "correct")
    return (what, who, *also, *words, *(("--on", day) if day else ()))


def is_corrected(before, after, words, on):
    """Hold that after a correction of a day what it names does not count, and how it was instead does."""
    skill, how = words[-1:], [int(one) - 1 for one in words[:-1]]
    left = [one for one in before if skill and one[1] not in skill]
    assert after[1] == sorted([*left, *((on, *skill, one) for one in how)])
    assert skill or not after[0]


def is_so(what, told, record, on, words):
    """Return whether a reason against a step, as it was told, is a true one."""
    lessons, shown = noted(record, on)
    blocks = re.findall(r"^\[\[(\w+)", standing(record.path.read_bytes()).decode(), re.MULTILINE)
    return (
        what in ("undo --import", "import")
        or ("no lesson of" in told and what != "note" and not lessons)
        or (" is not noted for" in told and what == "correct" and words[-1] not in {one[1] for one in shown})
        or (" was crossed out on " in told and any(
            one.of == on and what != "note" and (one.skill == words[-1] if words else not shown)
            for one in record.corrected
        ))
        or ("is before the first lesson noted" in told and min(one.on for one in record.lessons) > on)
        or ("is no entry as this program left it" in told and blocks == ["unit_start"])
        or ("a correction is about the notes" in told and what == "move-note" and "correction" in blocks)
    )


@example([*WORN, ("note", TO, "25.11.2025", "--text", "moved"), ("correct", TO, "25.11.2025", "3", BOTH[0]),
          ("correct", TO, "25.11.2025")])  # fmt: skip
@example([*WORN, ("move-note", TO, "25.11.2025"), ("undo", BACK, "")])
@example([WORN[0], ("move-note", TO, ""), ("move-note", BACK, "")])
@example([WORN[0], ("correct", TO, "25.11.2025"), WORN[0]])
@example([TOGETHER, ("correct", TO, "25.11.2025", BOTH[0]), TOGETHER])
@example([WORN[0], WORN[0]])
@example([CAME, ("correct", TO, "25.11.2025", "3", BOTH[0]), UNDO, WORN[0], ("undo", TO, "")])
@example([WORN[0], CAME_2, ("correct", TO, "25.11.2025"), UNDO, ("undo", TO, "")])
@example([TOGETHER, CAME, ("correct", TO, "25.11.2025", "3", BOTH[0]), ("correct", TO, "25.11.2025"), UNDO])
@example([CAME, ("move-note", TO, ""), UNDO, ("undo", TO, ""), ("undo", BACK, "")])
@example([CAME, ("move-note", TO, "25.11.2025"), ("undo", BACK, ""), UNDO])
@example([CAME, ("move-note", TO, "25.11.2025"), UNDO, ("undo", BACK, "")])
@example([WORN[0], ("move-note", TO, "25.11.2025"), ("correct", BACK, "25.11.2025", "3", BOTH[0]),
          ("undo", TO, ""), ("note", BACK, "25.11.2025", "1", BOTH[0])])  # fmt: skip
@settings(suppress_health_check=[*settings().suppress_health_check, HealthCheck.function_scoped_fixture])
@given(STEPS)
def test_whatever_is_noted_corrected_moved_and_taken_back_leaves_files_that_can_be_read(
    say, course, tmp_path_factory, course_folder, steps
):
    """Every step adds to what is there, and the file is right; or it is refused, for a reason that is so.

    Whatever was done, the doctor then takes nothing back that counts once: no note is lost by it.
    """
    folder = tmp_path_factory.mktemp("steps")
    where = f'course = "{course_folder.as_posix()}"\nstudents = "."\ntoday = 2025-12-09\n'
    (folder / "studio.toml").write_text(f'format = 1\nname = "S"\n{where}', encoding="utf-8")
    paths = {name: folder / f"{name}.toml" for name in TO}
    for name, path in paths.items():
        path.write_text(HEAD.format(name.capitalize()), encoding="utf-8")

    def read_it(path):
        loaded = load_record(path, course)
        kinds = {(one.id, one.message.partition("]]")[0]) for one in loaded.problems}
        assert {said for said in kinds if said[0] not in ("same-entry", "doubled-entry")} == set()
        assert not {said[1] for said in kinds} & {"this [[correction", "this [[unit_start"}
        return loaded.record

    tokens = ["00000000"]
    for what, (who, other), day, *words in steps:
        before, record = {path: path.read_bytes() for path in paths.values()}, read_it(paths[who])
        on, were = DAYS.get(day, ""), {path: read_it(path) for path in paths.values()}
        command = words_of(what, who, other, day, words, folder, tokens)
        said = say(*command, "--students", folder)
        tokens += re.findall("readiness undo --import ([0-9a-f]{8})", " ".join(said.out.split()))
        if said.code == 2:
            assert is_so(what, said.told, record, on, words), (what, said.told)
            assert {path: path.read_bytes() for path in before} == before
        after = {path: read_it(path) for path in before}
        assert all(path.read_bytes().startswith(old) for path, old in before.items())
        for path, was in were.items() if what == "undo --import" else ():
            left = Counter(counting(was)) - brought(was, tokens[-1])
            assert Counter(counting(after[path])) == left, "all of the import, and nothing but that"
        is_again = "What it corrected counts again" in said.out
        assert not is_again or noted(after[paths[who]], "") != noted(record, "")
        if what == "correct" and said.code != 2:
            is_corrected(noted(record, on)[1], noted(after[paths[who]], on), words, on)
    counted = [counting(read_it(path)) for path in paths.values()]
    assert say("doctor", "--fix", "--yes", "--students", folder).code in (0, 1)
    for path, once in zip(paths.values(), counted, strict=True):
        left = load_record(path, course)
        assert set(counting(left.record)) == set(once), "only of two that count and are alike one goes"
        assert "doubled-entry" not in {one.id for one in left.problems}
