"""Students of a small school, and what is asked about them."""

from __future__ import annotations

import re
import shutil

import pytest

from readiness.cli.main import main
from readiness.course.load import load_course
from readiness.days import day_number
from readiness.record.load import build_record, load_record
from readiness.record.rhythm import NO_CALENDAR
from readiness.school.students import judge_all

DAY = "2025-12-05"
HOSTILE = '=1+1 <script>alert("x")</script> & $x^2$'


@pytest.fixture(scope="session")
def taught(course_folder):
    return load_course(course_folder).course


@pytest.fixture(scope="session")
def demo(taught, demo_folder):
    """Return a function that gives the invented students as judged on a day."""
    names = ("bogdan", "chikondi", "linnea", "noemi", "rafiq", "temwa")
    records = [load_record(demo_folder / f"{name}.toml", taught).record for name in names]

    def on(day):
        return judge_all(taught, records, day_number(day), lambda _: NO_CALENDAR)

    return on


@pytest.fixture(scope="session")
def student(taught):
    """Return a function that makes a record from blocks."""

    def make(name, **blocks):
        data = {"format": 1, "name": name.capitalize(), "born": "2019-03-02", **blocks}
        return build_record(name, data, taught)

    return make


@pytest.fixture
def ask(capsys, monkeypatch, course_folder, demo_folder, tmp_path):
    """Return a function that asks about the students of a folder; the demo's without one."""
    monkeypatch.chdir(tmp_path)

    def carry_out(*words, students=demo_folder, on=DAY):
        capsys.readouterr()
        where = ("--course", str(course_folder), "--students", str(students))
        code = main(["ask", *map(str, words), "--on", on, *where])
        out, err = capsys.readouterr()
        assert "Traceback" not in err
        return code, out, err

    return carry_out


@pytest.fixture
def crowd(tmp_path, demo_folder):
    """Return a folder with each demo student ten times, one with a name that means no good."""
    folder = tmp_path / "crowd"
    folder.mkdir()
    for path in demo_folder.glob("*.toml"):
        for number in range(10 if path.name != "studio.toml" else 0):
            text = path.read_text(encoding="utf-8")
            text = re.sub(r'(?m)^name = "(.*)"', rf'name = "\1 {number}"', text, count=1)
            (folder / f"{path.stem}-n{number}.toml").write_text(text, encoding="utf-8")
    one = folder / "temwa-n3.toml"
    text = one.read_text(encoding="utf-8")
    one.write_text(re.sub(r"(?m)^name = .*", lambda _: f"name = '{HOSTILE}'", text, count=1), "utf-8")
    return folder


@pytest.fixture
def broken(tmp_path, demo_folder):
    """Return a folder in which Linnea, who is paused, has a file that cannot be read."""
    folder = tmp_path / "broken"
    shutil.copytree(demo_folder, folder, ignore=shutil.ignore_patterns("two-courses", "studio.toml"))
    with (folder / "linnea.toml").open("a", encoding="utf-8") as file:
        file.write("\n[[lesson]]\non = yesterday\n")
    return folder
