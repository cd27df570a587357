"""The door for other programs: the program of DEVELOPERS.md is written from ``help(readiness)`` alone."""

from __future__ import annotations

import ast
import builtins
import json
import os
import pickle
import pydoc
import re
import shutil
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path

import pytest

import readiness
from readiness import api
from readiness.cli.main import main

ROOT = Path(__file__).parents[2]
MARK = r"test_from_python.py -->\n```python\n(.*?)```"
(PROGRAM,) = re.findall(MARK, (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.DOTALL)


@pytest.fixture
def file(tmp_path):
    """Return the program in a file of its own."""
    path = tmp_path / "program.py"
    path.write_text(PROGRAM, encoding="utf-8")
    return path


def run(*words, folder):
    """Carry out a program of Python that finds the library as any other program does."""
    own = {**os.environ, "PYTHONPATH": str(ROOT), "MYPYPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, *words],
        cwd=folder, env=own, capture_output=True, text=True, timeout=600, check=False,
    )  # fmt: skip


def test_it_runs(file, tmp_path):
    said = run(str(file), folder=tmp_path)
    assert (said.returncode, said.stderr) == (0, "")
    assert "Linnea: may not play" in said.stdout
    assert "3 opening feet-supported" in said.stdout
    assert "Temwa: look at ('rounded-hand-keys', 'wrist-lift'); 2025-12-09 at the earliest" in said.stdout


def test_it_is_short_and_uses_what_help_shows():
    shown = pydoc.render_doc(readiness, renderer=pydoc.plaintext)
    used = {node.attr for node in ast.walk(ast.parse(PROGRAM)) if isinstance(node, ast.Attribute)}
    assert len([line for line in PROGRAM.splitlines() if line]) <= 15
    assert not {name for name in used if not re.search(rf"\b{name}\b", shown)}
    assert len(shown.splitlines()) < 1200


@pytest.mark.parametrize("one", [readiness.Answer, readiness.Studio])
def test_help_says_the_type_of_what_is_read(one):
    shown = pydoc.render_doc(one, renderer=pydoc.plaintext)
    read = {name: prop for name, prop in vars(one).items() if isinstance(prop, property)}
    assert read
    for name, prop in read.items():
        kind = prop.fget.__annotations__["return"].replace("judged.", "")
        assert f" |  {name}\n |      ``{kind}``: " in shown


def test_who_is_listed_is_named():
    studio = readiness.demo()
    for student, name in studio.students.items():
        answer = studio.why(student, on=date(2025, 12, 2))
        assert (answer.student, answer.name) == (student, name)


DAY = date(2025, 12, 2)


@pytest.mark.parametrize(
    "ask, error, told",
    [
        (lambda s: s.place("temwa", DAY), ValueError, "student 'temwa' has begun 'hand-shape-wrist' already"),
        *(
            (lambda s, n=n: s.plan("temwa", DAY, n), ValueError, f"minutes is from 10 to 90; {n} is not")
            for n in (-5, 0, 9, 91, 500, 10**9)
        ),
        (lambda s: s.plan("temwa", DAY, 30.5), TypeError, "minutes is a whole number; 30.5 is float"),
        (lambda s: s.plan("temwa", DAY, "30"), TypeError, "minutes is a whole number; '30' is str"),
        (lambda s: s.plan("temwa", DAY, True), TypeError, "minutes is a whole number; True is bool"),
        (lambda s: s.why(None, DAY), TypeError, "student is the id of a student; None is NoneType"),
        (lambda s: readiness.open_studio("/nowhere"), readiness.FilesError, "there is no folder '/nowhere'"),
        (lambda s: readiness.build_record("x y/../z", {}, None), ValueError, "'x y/../z' is no student's id"),
    ],
)
def test_what_cannot_be_asked_is_refused_by_the_name_of_the_argument(ask, error, told):
    with pytest.raises(error, match=re.escape(told)):
        ask(readiness.demo())


@pytest.mark.parametrize("minutes", [10, 90])
def test_a_plan_takes_the_minutes_that_the_command_takes(minutes):
    assert readiness.demo().plan("temwa", DAY, minutes).value.minutes == minutes


ASKED = {
    "why": ("temwa",), "plan": ("temwa",), "sheet": ("temwa",), "place": ("rafiq",),
    "after_break": ("temwa",), "route": ("temwa", "arms-that-travel"), "ask": ("ready",),
}  # fmt: skip


@pytest.mark.parametrize("name", ASKED)
def test_an_answer_says_what_the_command_says_and_is_equal_to_another_one_of_the_same_question(name, capsys):
    one, other = (getattr(readiness.demo(), name)(*ASKED[name], on=DAY) for _ in range(2))
    assert one == other
    assert hash(one) == hash(other)
    elsewhere = pickle.loads(pickle.dumps(one))
    assert (elsewhere, elsewhere.to_dict(), elsewhere.text()) == (one, one.to_dict(), one.text())
    command = {"after_break": "back", "route": "way"}.get(name, name)
    words = [*ASKED[name][:1], *(("--to", one) for one in ASKED[name][1:])]
    words = [word for one in words for word in ((one,) if isinstance(one, str) else one)]
    main([command, *words, "--on", "2025-12-02", "--json"])
    assert json.loads(capsys.readouterr().out) == json.loads(json.dumps(one.to_dict()))
    main([command, *words, "--on", "2025-12-02", "--full"])
    assert one.text().split() == capsys.readouterr().out.split()


def test_every_error_that_is_documented_can_be_imported():
    raised = set()
    for name in readiness.__all__:
        shown = pydoc.render_doc(getattr(readiness, name), renderer=pydoc.plaintext)
        raised |= {*re.findall(r"^ +(?:\| +)*([A-Z]\w+(?:Error|Refusal)): ", shown, re.MULTILINE)}
    assert "ChangeError" in raised
    assert all(hasattr(builtins, one) or hasattr(readiness, one) for one in raised), raised


def test_two_studios_in_two_threads_speak_each_in_its_own_words(tmp_path):
    day = date(2025, 12, 2)
    words = {"stool": 'seat = "stool"\ndates = "month-day"', "bench": 'seat = "bench"\ndates = "day-month"'}
    studios = {}
    for seat, wording in words.items():
        folder = shutil.copytree(ROOT / "demo_students", tmp_path / seat)
        course = (ROOT / "skill_graphs" / "first-two-years").as_posix()
        head = f'format = 1\nname = "Probe"\ncourse = "{course}"\nstudents = "."\n'
        (folder / "studio.toml").write_text(f"{head}[wording]\n{wording}\n", encoding="utf-8")
        studios[seat] = readiness.open_studio(folder)

    def said(seat):
        return studios[seat].sheet("temwa", on=day).text(), studios[seat].why("temwa", on=day).text()

    alone = {seat: said(seat) for seat in studios}
    assert "December 2" in alone["stool"][1]
    assert "2 December" in alone["bench"][1]
    meet, phrases = threading.Barrier(2, timeout=60), api.Phrases

    def at_once(*given):
        meet.wait()  # both have said whose words these are before either says more
        return phrases(*given)

    with pytest.MonkeyPatch.context() as patch, ThreadPoolExecutor(2) as threads:
        patch.setattr(api, "Phrases", at_once)
        together = dict(zip(studios, threads.map(said, studios), strict=True))
    assert together == alone


def test_its_types_hold(file, tmp_path):
    pytest.importorskip("mypy")
    own = ("--cache-dir", str(tmp_path / "cache"), "--config-file", "", "--follow-imports", "silent")
    mistaken = tmp_path / "mistaken.py"
    mistaken.write_text(PROGRAM.replace("answer.may_move", "answer.may_mvoe"), encoding="utf-8")
    said = run("-m", "mypy", "--strict", *own, str(file), str(mistaken), folder=tmp_path)
    (wrong,) = [line for line in said.stdout.splitlines() if ": error:" in line]
    assert wrong.startswith("mistaken.py:")
    assert '"Answer" has no attribute "may_mvoe"' in wrong
