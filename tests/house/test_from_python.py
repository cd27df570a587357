"""The door for other programs: the program of DEVELOPERS.md is written from ``help(readiness)`` alone."""

from __future__ import annotations

import ast
import os
import pydoc
import re
import subprocess
import sys
from pathlib import Path

import pytest

import readiness

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
    assert "linnea: may not play" in said.stdout
    assert "temwa: look at ('rounded-hand-keys', 'wrist-lift'); 2025-12-09 at the earliest" in said.stdout


def test_it_is_short_and_uses_what_help_shows():
    shown = pydoc.render_doc(readiness, renderer=pydoc.plaintext)
    used = {node.attr for node in ast.walk(ast.parse(PROGRAM)) if isinstance(node, ast.Attribute)}
    assert len([line for line in PROGRAM.splitlines() if line]) <= 15
    assert not {name for name in used if not re.search(rf"\b{name}\b", shown)}


def test_its_types_hold(file, tmp_path):
    pytest.importorskip("mypy")
    own = ("--cache-dir", str(tmp_path / "cache"), "--config-file", "", "--follow-imports", "silent")
    mistaken = tmp_path / "mistaken.py"
    mistaken.write_text(PROGRAM.replace("answer.may_move", "answer.may_mvoe"), encoding="utf-8")
    said = run("-m", "mypy", "--strict", *own, str(file), str(mistaken), folder=tmp_path)
    (wrong,) = [line for line in said.stdout.splitlines() if ": error:" in line]
    assert wrong.startswith("mistaken.py:")
    assert '"Answer" has no attribute "may_mvoe"' in wrong
