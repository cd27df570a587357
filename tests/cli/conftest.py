"""The command line as a person uses it: words in, code and texts out."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from readiness.cli.main import main

ROOT = Path(__file__).parents[2]


class Said(NamedTuple):
    """What a command answered."""

    code: int
    out: str
    err: str

    @property
    def told(self):
        """What stands on the error stream, as if no line of it were folded."""
        return " ".join(self.err.split())


@pytest.fixture
def say(capsys, monkeypatch, tmp_path):
    """Return a function that carries out a command in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def carry_out(*words):
        capsys.readouterr()
        code = main([str(word) for word in words])
        out, err = capsys.readouterr()
        assert "Traceback" not in err
        return Said(code, out, err)

    return carry_out


@pytest.fixture
def start(tmp_path):
    """Return a function that carries out a command in a new process."""

    def carry_out(*words, text="", program=("-m", "readiness"), **environment):
        done = subprocess.run(
            [sys.executable, *program, *words],
            input=text.encode(),
            capture_output=True,
            check=False,
            cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
        )
        return Said(done.returncode, done.stdout.decode(), done.stderr.decode())

    return carry_out


@pytest.fixture
def studio(tmp_path, course_folder, demo_folder):
    """Return a studio folder of one's own: the demo students, their course, no fixed day."""
    folder = tmp_path / "studio"
    (folder / "students").mkdir(parents=True)
    for path in demo_folder.glob("*.toml"):
        if path.name != "studio.toml":
            (folder / "students" / path.name).write_bytes(path.read_bytes())
    (folder / "studio.toml").write_text(
        f'format = 1\nname = "Own studio"\ncourse = "{course_folder.as_posix()}"\nstudents = "students"\n',
        encoding="utf-8",
    )
    return folder
