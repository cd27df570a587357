"""Files made to harm: a clear problem, no traceback, no hang, and no more memory than there is.

What is tried is bytes of any kind, the shipped files with pieces changed, and files made to take
as much time and memory as can be.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from readiness.course.load import load_course
from readiness.days import day_number
from readiness.judging.engine import judge
from readiness.record.load import load_record
from readiness.studio.find import StudioNotFoundError, find_studio
from readiness.studio.load import load_studio
from readiness.toml.problems import MOST, Place, Problem, errors, few, render
from readiness.toml.texts import nearest
from readiness.words.grammar import tidy
from readiness.words.why import tell_answer

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
COURSE = ROOT / "skill_graphs" / "first-two-years"
FILES = {
    "student": ROOT / "demo_students" / "chikondi.toml",
    "graph": COURSE / "graph.toml",
    "pacing": COURSE / "pacing.toml",
    "studio": ROOT / "demo_students" / "studio.toml",
}
WHOLE = {kind: path.read_bytes() for kind, path in FILES.items()}
TURNS = "\u061c\u200e\u200f\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
COMMANDING = {*map(chr, (*range(9), *range(11, 32), *range(127, 160))), *TURNS}
"""What does something on a terminal instead of being seen; a tab and a line end are no harm."""

DAYS = [day_number(day) for day in ("2025-11-25", "2026-06-01")]

PIECES = [
    b'"', b"'''", b'"""', b"[", b"]", b"[[", b"{", b"}", b"=", b"#", b"\n", b"\r", b"\\", b"\x00", b"\x1b[2J",
    b"\xff", b"\xef\xbb\xbf", b"9" * 4400, b"1e999", b"nan", b"-inf", b"0xffffffffffffffff", b"9999-12-31",
    b"0001-01-01", b"2025-02-30", b"true", b"{}", b"[[[[[[[[", b"a.b.c.d", b'"\\u0000"', b'"\\U0010FFFF"',
    b'"\\uD800"', b'"\\u001b[31m"', "\u202e".encode(), b"07:32:00", b"2025-12-02T07:32:00Z",
    b"<<<<<<< mine\n", b"=======\n", b">>>>>>> theirs\n", b",", b"-5", b"0.1", b"99999999999999999999",
]  # fmt: skip


@st.composite
def changed(draw, kind):
    """Return a shipped file with pieces put in, taken out, doubled or put in place of a value."""
    data = WHOLE[kind]
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(data)))
        length = draw(st.sampled_from([0, 1, 3, 40, 400]))
        piece = draw(st.sampled_from(PIECES) | st.binary(max_size=6))
        lines = data.split(b"\n")
        line = draw(st.integers(0, len(lines) - 1))
        match draw(st.integers(0, 5)):
            case 0:
                data = data[:at] + piece + data[at:]
            case 1:
                data = data[:at] + data[at + length :]
            case 2:
                data = data[:at] + data[at : at + length] + data[at:]
            case 3:
                data = data[:at]
            case 4:
                data = b"\n".join([*lines[:line], lines[draw(st.integers(0, len(lines) - 1))], *lines[line:]])
            case _:
                written = lines[line].partition(b"=")[0] + b"= " + piece
                data = b"\n".join([*lines[:line], written, *lines[line + 1 :]])
    return data


def anything(kind):
    return changed(kind) | st.binary(max_size=200) | st.text(max_size=100).map(lambda text: text.encode())


def is_told(problems):
    """Return whether every problem can be printed and none of it would command the terminal."""
    for problem in problems:
        assert not set(render(problem)) & COMMANDING, problem
    return True


@pytest.fixture(scope="module")
def place():
    with tempfile.TemporaryDirectory() as name:
        yield Path(name)


@settings(max_examples=60)
@given(data=anything("student"))
@example(data=WHOLE["student"])
def test_any_student_file_is_read_or_refused(data, place, course):
    file = place / "mia.toml"
    file.write_bytes(data)
    loaded = load_record(file, course)
    assert is_told(loaded.problems)
    assert (loaded.record is None) == bool(errors(loaded.problems))
    for day in DAYS if loaded.record else ():
        assert tell_answer(judge(course, loaded.record, day), course, loaded.record)


@pytest.mark.parametrize("kind", ["graph", "pacing"])
@settings(max_examples=25)
@given(data=st.data())
def test_any_course_file_is_read_or_refused(kind, data, place):
    for one in ("graph", "pacing"):
        content = data.draw(anything(one)) if one == kind else WHOLE[one]
        (place / f"{one}.toml").write_bytes(content)
    loaded = load_course(place)
    assert is_told(loaded.problems)
    assert (loaded.course is None) == bool(errors(loaded.problems))
    record = load_record(FILES["student"], loaded.course).record if loaded.course else None
    if record:
        assert tell_answer(judge(loaded.course, record, DAYS[0]), loaded.course, record)


@settings(max_examples=40)
@given(data=anything("studio"))
def test_any_studio_file_is_read_or_refused(data, place):
    (place / "studio.toml").write_bytes(data)
    try:
        studio = load_studio(find_studio(None, None, place, {}))
    except StudioNotFoundError:
        return
    assert is_told(studio.problems)


EXPECTED = {
    "lists in lists": {"long-line", "too-deep"},
    "closed lists in lists": {"too-deep"},
    "braces in braces": {"too-deep"},
    "a key of many parts": {"too-deep"},
    "a header of many parts": {"too-deep"},
    "many tables": {"too-much"},
    "tables one in another": {"too-much"},
    "one skill very often": {"too-much"},
    "unknown skills": {"unknown-skill", "more-problems"},
    "empty lists": {"too-much"},
    "very many lessons": {"too-much"},
    "very many wrong lessons": {"not-a-date", "more-problems"},
    "a number of a million digits": {"long-line"},
    "a text that never ends": {"long-line"},
    "lines that never end": {"unclosed-text"},
    "backslashes": {"long-line"},
    "quotes": {"long-line"},
    "blanks": {"long-line"},
    "blanks in short lines": {"no-equals"},
    "empty lines": set(),
    "letters that join others": {"long-line"},
    "nothing but zero bytes": {"long-line"},
    "more than is read": {"too-large"},
    "two versions, often": {"two-versions"},
    "a great loop": {"loop"},
    "on what is not there": {"unknown-skill", "more-problems"},
}


@pytest.mark.skipif(sys.platform == "win32", reason="there are no such limits there")
def test_files_made_to_take_all_there_is():
    """With half a gigabyte and two minutes for all of them, in a process of its own."""
    done = subprocess.run(
        [sys.executable, str(HERE / "glutton.py")],
        env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    found = {}
    for line in done.stdout.splitlines():
        what, ids, sizes = line.split(" | ") if " | | " not in line else (*line.split(" | | ")[:1], "", "")
        found[what.strip()] = set(ids.split())
        count, shown = map(int, sizes.split()[:2] or ("0", "0"))
        assert count <= 4 * (MOST + 1)
        assert shown < 200_000
    for what, ids in EXPECTED.items():
        assert found[what] & ids if ids else not found[what], (what, found[what])


def test_of_many_problems_the_first_are_told_and_that_there_are_more():
    looked_at = []

    def endless():
        for line in range(1, 1_000_000):
            looked_at.append(line)
            yield Problem("x", "error", Place(Path("a.toml"), line, 1), "x")

    found = few(endless())
    assert [one.place.line for one in found] == [*range(1, MOST + 1), MOST + 1]
    assert found[-1].id == "more-problems"
    assert len(looked_at) == MOST + 1
    assert [one.id for one in few(found[:3])] == ["x"] * 3


def test_among_very_many_names_the_near_one_is_still_found():
    names = [f"skill-{number}" for number in range(3000)] + ["wrist-lift"]
    assert nearest("wrsit-lift", names) == "wrist-lift"
    assert nearest("wrist-lft", names) == "wrist-lift"
    assert nearest("zzz", names) is None


@given(st.text())
def test_no_text_laid_out_commands_the_terminal_or_turns_a_line(text):
    assert not set(tidy(text)) & (COMMANDING | {"\n", "\t"})
