"""Two branches add to one student's file, and git merges them: both are there, whole.

The merge is git's own union merge, as the shipped ``.gitattributes`` asks for it. Everything is
done with the real program, because what it does with equal lines is nowhere promised.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tomllib
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from readiness.days import day_number
from readiness.record.append import add_blocks, block
from readiness.record.entries import answer_promise, close_hold, decide, open_hold, report_task
from readiness.record.load import load_record, load_without_course
from readiness.record.marks import standing
from readiness.record.model import Decision
from readiness.record.noting import NewLesson, lesson_text
from readiness.record.undo import take_back
from readiness.studio.folder import make_studio
from readiness.toml.write import Refusal

pytestmark = pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")

ROOT = Path(__file__).parents[2]
SKILLS = ("rounded-hand-keys", "wrist-lift", "feet-supported", "sings-up-down", "loose-shoulders",
          "rounded-hand-rest")  # fmt: skip
FEW = settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)


def git(folder, *words):
    nobody = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1", "HOME": str(folder)}
    who = ("-c", "user.name=A teacher", "-c", "user.email=teacher@studio.example")
    done = subprocess.run(
        ["git", *who, *words], cwd=folder, env={**os.environ, **nobody}, capture_output=True, check=False
    )
    assert done.returncode == 0, (done.stdout + done.stderr).decode()
    return done.stdout


def keep(folder, words):
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", words)


def entries_of(text):
    """Return every block of a student file, to be compared as a set."""
    return [
        (kind, repr(sorted(one.items(), key=str)))
        for kind, blocks in tomllib.loads(text).items()
        if isinstance(blocks, list)
        for one in blocks
    ]


@pytest.fixture(scope="module")
def merged(tmp_path_factory):
    """Return a function that merges two versions of a text as git does under ``merge=union``."""
    folder = tmp_path_factory.mktemp("merge")

    def merge(base, ours, theirs):
        for name, data in (("base", base), ("ours", ours), ("theirs", theirs)):
            (folder / name).write_bytes(data)
        return git(folder, "merge-file", "-p", "--union", "ours", "base", "theirs")

    return merge


def test_a_new_studio_and_this_project_ask_for_it(tmp_path):
    assert make_studio(tmp_path / "mine", "Mine") is None
    for folder, student in ((tmp_path / "mine", "students/mia.toml"), (ROOT, "demo_students/temwa.toml")):
        lines = (folder / ".gitattributes").read_text(encoding="utf-8").splitlines()
        asked = [line.split()[0] for line in lines if "merge=union" in line]
        assert any(Path(student).match(pattern) for pattern in asked)


def test_two_branches_note_the_same_student(tmp_path, course, records):
    studio = tmp_path / "mine"
    assert make_studio(studio, "Mine", with_demo=True) is None
    students = studio / "students"
    file = students / "temwa.toml"
    git(studio, "init", "-q", "-b", "main")
    keep(studio, "as it was")
    before = entries_of(file.read_text(encoding="utf-8"))
    git(studio, "checkout", "-q", "-b", "other")
    day, helps = day_number("2025-12-09"), dict.fromkeys(SKILLS[:5], 0)
    other = lesson_text(NewLesson(day, helps, by="LN"))
    assert add_blocks(file, students, other) is None
    keep(studio, "what LN saw")
    git(studio, "checkout", "-q", "main")
    own = lesson_text(NewLesson(day, helps, by="OB"))
    assert add_blocks(file, students, own) is None
    keep(studio, "what OB saw")
    git(studio, "merge", "-q", "-m", "both", "other")
    text = file.read_text(encoding="utf-8")
    assert sorted(entries_of(text)) == sorted([*before, *entries_of(own), *entries_of(other)])
    taken = [take_back(file, students), take_back(file, students)]
    assert set(taken) == {own, other}
    assert load_record(file, course).record.lessons == records["temwa"].lessons


def test_a_hold_closed_on_one_branch_and_a_lesson_on_the_other(tmp_path, folder, read, temwa, merged):
    day = day_number("2025-12-10")
    assert open_hold(read(temwa), folder, day, "thumb hurts", "hand") is None
    base = temwa.read_bytes()
    assert close_hold(read(temwa), folder, day + 7, "Odalys", "fine after advice") is None
    closed = temwa.read_bytes()
    temwa.write_bytes(base)
    assert add_blocks(temwa, folder, lesson_text(NewLesson(day + 7, {"rounded-hand-rest": 0}))) is None
    noted = temwa.read_bytes()
    for ours, theirs in ((closed, noted), (noted, closed)):
        found = tomllib.loads(merged(base, ours, theirs).decode())
        assert found["hold"][-1]["closed_by"] == "Odalys"
        assert found["lesson"][-1]["alone"] == ["rounded-hand-rest"]


# Few days, skills and words, so that entries are alike in as many lines as can be.
days = st.integers(0, 1).map(lambda more: day_number("2025-12-09") + more)
lessons = st.builds(
    lambda on, helps, left, by, note: lesson_text(NewLesson(on, helps, tuple(left), by, note)),
    days,
    st.dictionaries(st.sampled_from(SKILLS), st.integers(0, 1), min_size=1),
    st.lists(st.sampled_from(SKILLS), max_size=6, unique=True),
    st.sampled_from(["", "OB", "LN"]),
    st.sampled_from(["", "two\nlines", "x" * 120]),
)
others = st.builds(
    lambda on, to, text: block(
        "promise", [("given", date.fromordinal(on)), ("to", to), ("text", text), ("due", date(2025, 12, 16))]
    ),
    days,
    st.sampled_from(["the mother", "the father"]),
    st.sampled_from(["a", "b"]),
)
decisions = st.builds(
    lambda on, reason: (
        block(
            "decision",
            [("on", date.fromordinal(on)), ("unit", "hand-shape-wrist"), ("computed", "ready"),
             ("decided", "move"), ("reason", reason)],
        )
        + "\n"
        + block("unit_start", [("unit", "arms-that-travel"), ("on", date.fromordinal(on))])
    ),
    days,
    st.sampled_from(["", "a"]),
)  # fmt: skip
some = st.lists(lessons | lessons | others | decisions, min_size=1, max_size=3)


def written(path, before, entries):
    path.write_bytes(before)
    for text in entries:
        assert add_blocks(path, path.parent, text) is None
    return path.read_bytes()


@FEW
@given(own=some, other=some, common=st.lists(lessons | others, max_size=1), crlf=st.booleans())
def test_no_two_entries_get_into_one_another(own, other, common, crlf, merged, tmp_path):
    """Whatever is added on either side is there afterwards; what both added alike, at least once."""
    path = tmp_path / "mia.toml"
    head = b'format = 1\nname = "Mia"\nborn = "2019-05"\n'.replace(b"\n", b"\r\n" if crlf else b"\n")
    base = written(path, head, common)
    ours, theirs = written(path, base, own), written(path, base, other)
    found = entries_of(merged(base, ours, theirs).decode())
    sides = [entries_of(side.decode()) for side in (ours, theirs)]
    assert set(found) == {*sides[0], *sides[1]}
    for one in set(found):
        most = sides[0].count(one) + sides[1].count(one)
        assert max(side.count(one) for side in sides) <= found.count(one) <= most


added = st.lists(lessons | others | decisions | st.just(""), min_size=1, max_size=4)
"""Entries one after another; an empty one takes back what was noted last."""


def written_and_taken_back(path, before, entries):
    path.write_bytes(before)
    for text in entries:
        if text:
            assert add_blocks(path, path.parent, text) is None
        else:
            take_back(path, path.parent)
    return path.read_bytes()


@FEW
@given(own=added, other=some, common=some, crlf=st.booleans())
def test_what_was_taken_back_on_one_side_does_not_come_back(own, other, common, crlf, merged, tmp_path):
    """In either order; and what the other side noted is there, unless it is the very thing taken back."""
    path = tmp_path / "mia.toml"
    head = b'format = 1\nname = "Mia"\nborn = "2019-05"\n'.replace(b"\n", b"\r\n" if crlf else b"\n")
    base = written(path, head, common)
    ours, theirs = written_and_taken_back(path, base, own), written(path, base, other)
    stand = [entries_of(standing(side).decode()) for side in (ours, theirs)]
    gone = {one for one in entries_of(ours.decode()) if one not in stand[0]}
    for sides in ((ours, theirs), (theirs, ours)):
        found = entries_of(standing(merged(base, *sides)).decode())
        assert {*stand[0], *stand[1]} - gone <= set(found) <= {*stand[0], *stand[1]}
        assert not (gone & set(found)) - {*entries_of("\n".join(other))}
        path.write_bytes(merged(base, *sides))
        assert load_without_course(path).problems == ()


def on_both_sides(path, base, ours, theirs, merged):
    """Return the two merges, in either order, of what two people did to one file."""
    path.write_bytes(base)
    sides = []
    for deed in (ours, theirs):
        deed()
        sides.append(path.read_bytes())
        path.write_bytes(base)
    return [merged(base, *sides), merged(base, *reversed(sides))]


DAY = day_number("2025-12-10")
REPORTS = {
    "task": lambda record, folder, words: report_task(record, folder, 1, 3, words),
    "promise": lambda record, folder, words: answer_promise(record, folder, 1, DAY, words),
    "hold": lambda record, folder, words: close_hold(record, folder, DAY, "Odalys", words),
}


@pytest.mark.parametrize("kind", REPORTS)
def test_the_same_told_on_both_sides_is_one_or_says_which_lines_to_delete(
    kind, folder, read, temwa, course, merged
):
    assert open_hold(read(temwa), folder, DAY, "thumb hurts", "hand") is None
    base = temwa.read_bytes()

    def deed(words):
        return lambda: REPORTS[kind](read(temwa), folder, words)

    for both in on_both_sides(temwa, base, deed("fine"), deed("fine"), merged):
        temwa.write_bytes(both)
        assert kept_words(read(temwa), kind) == "fine"
    for both in on_both_sides(temwa, base, deed("fine"), deed("not so fine"), merged):
        temwa.write_bytes(both)
        (problem,) = load_record(temwa, course).problems
        assert (problem.id, problem.other is not None) == ("written-twice", True)
        first, last = re.search(r"delete lines (\d+) to (\d+) or lines", problem.hint).groups()
        lines = both.splitlines(keepends=True)
        assert problem.place.line in range(int(first), int(last) + 1)
        temwa.write_bytes(b"".join(lines[: int(first) - 1] + lines[int(last) :]))
        assert kept_words(read(temwa), kind) in ("fine", "not so fine")


def kept_words(record, kind):
    if kind == "task":
        return record.tasks[0].reported
    return record.promises[0].answer if kind == "promise" else record.holds[0].closed_words


def test_a_report_taken_back_on_one_side_leaves_the_other_one(folder, read, temwa, merged):
    base = temwa.read_bytes()

    def taken_back():
        assert report_task(read(temwa), folder, 1, 3, "a slip") is None
        assert not isinstance(take_back(temwa, folder), Refusal)

    def told():
        assert report_task(read(temwa), folder, 1, 4, "she liked it") is None

    for both in on_both_sides(temwa, base, taken_back, told, merged):
        temwa.write_bytes(both)
        assert kept_words(read(temwa), "task") == "she liked it"


def moving(read, temwa, folder, day, reason="", decided="move"):
    def deed():
        decision = Decision(day, "hand-shape-wrist", "ready", decided, reason)
        assert decide(read(temwa), folder, decision, "arms-that-travel") is None

    return deed


@pytest.mark.parametrize("day", [DAY, DAY + 1])
@pytest.mark.parametrize("reason", ["", "her own wish"])
def test_one_move_decided_on_both_sides_is_a_move_by_one_unit(day, reason, folder, read, temwa, merged):
    deeds = moving(read, temwa, folder, DAY), moving(read, temwa, folder, day, reason)
    for both in on_both_sides(temwa, temwa.read_bytes(), *deeds, merged):
        temwa.write_bytes(both)
        is_twice = day == DAY and reason != ""  # one beginning of the unit, two decisions
        record = read(temwa, twice="same-entry" * is_twice)
        assert {one.unit for one in record.unit_starts} == {"hand-shape-wrist", "arms-that-travel"}
        assert len(record.decisions) == (1 if (day, reason) == (DAY, "") else 2)


def test_a_move_and_its_taking_back_beside_a_lesson_and_beside_another_move(folder, read, temwa, merged):
    moving(read, temwa, folder, DAY)()
    base = temwa.read_bytes()

    def back():
        assert not isinstance(take_back(temwa, folder), Refusal)

    def lesson():
        assert add_blocks(temwa, folder, lesson_text(NewLesson(DAY, {"wrist-lift": 0}))) is None

    for both in on_both_sides(temwa, base, back, lesson, merged):
        temwa.write_bytes(both)
        assert read(temwa).decisions == ()
        assert read(temwa).lessons[-1].on == DAY
    for both in on_both_sides(temwa, base, back, moving(read, temwa, folder, DAY + 1, "her wish"), merged):
        temwa.write_bytes(both)
        assert [one.reason for one in read(temwa).decisions] == ["her wish"]


def test_plain_blocks_would_get_into_one_another(merged):
    """Why the entries have their marks: without them the same merge gives a file that is wrong."""
    head = b'format = 1\nname = "Mia"\nborn = "2019-05"\n'
    block_of = '\n[[lesson]]\non = 2025-12-09\nalone = ["wrist-lift"]\ncue = ["feet-supported"]\nby = "{}"\n'
    ours, theirs = (head + block_of.format(by).encode() for by in ("OB", "LN"))
    with pytest.raises(tomllib.TOMLDecodeError):
        tomllib.loads(merged(head, ours, theirs).decode())
