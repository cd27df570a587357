"""Two people with accounts of their own work in one folder: nobody is locked out, and no words are lost.

Both are real accounts to the system (numbers without a name). Only whoever may do everything can try that;
elsewhere these tests are skipped and say so.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from faults.somebody import Said, say_as

from readiness.cli.commands import Exit

ROOT = Path(__file__).parents[2]
GROUP = 54000
ANNA, BELA = 54001, 54002

pytestmark = pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0 or shutil.which("setpriv") is None,
    reason="only root can take two other accounts, with setpriv",
)


def run_as(who, program, cwd):
    """Run a program as somebody else; both have groups of their own and the one they share."""
    alone = ["--reuid", str(who), "--regid", str(who), "--groups", str(GROUP)]
    done = subprocess.run(
        ["setpriv", *alone, sys.executable, "-c", program],
        capture_output=True, text=True, check=False, cwd=cwd, umask=0o022,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1", "HOME": "/nonexistent"},
    )  # fmt: skip
    return Said(done.returncode, done.stdout, done.stderr)


def say(who, studio, *commands):
    """Carry out commands one after the other, as far as the first that does not come through."""
    said = say_as(who, GROUP, studio, commands)
    assert "Traceback" not in said.err, said.err
    return said


ENROL = ("enrol", "mia", "--name", "Mia", "--born", "2019-05")
NOTE = ("note", "mia", "--alone", "wrist-lift")


def mode(path):
    return path.stat().st_mode & 0o7777


@pytest.fixture(scope="module")
def reachable():
    """Skip where the program lies in a folder that nobody else may enter."""
    there = "import importlib.util as u, sys; sys.exit(u.find_spec('pydantic') is None)"
    if run_as(ANNA, there, cwd="/").code:
        pytest.skip(f"other accounts may not use {sys.executable}")


def new_room():
    """Make a folder that the group may use, where both can reach it."""
    folder = Path(tempfile.mkdtemp(prefix="readiness-two-"))
    folder.chmod(0o755)
    shared = folder / "shared"
    shared.mkdir()
    os.chown(shared, 0, GROUP)
    shared.chmod(0o2770)
    return shared


@pytest.fixture(scope="module")
def made(reachable):
    """Return a studio that Anna made in the shared folder, with a student that she enrolled."""
    folder = new_room()
    said = say(ANNA, folder, ("start", "studio", "--with-demo"), ("cd", "studio"), ENROL)
    assert said.code == 0, said.err
    assert f"in the group {GROUP} may read it and write to it" in " ".join(said.out.split())
    yield folder / "studio"
    shutil.rmtree(folder.parent)


@pytest.fixture
def room(reachable):
    """Return a folder that the group may use, where both can reach it."""
    shared = new_room()
    yield shared
    shutil.rmtree(shared.parent)


@pytest.fixture
def studio(room, made):
    """Return the studio as it was made, in a folder of its own, with all modes and owners."""
    subprocess.run(["cp", "-a", str(made), str(room)], check=True)
    return room / "studio"


def test_a_studio_and_its_students_follow_the_folder(studio):
    for folder in (studio, studio / "course", studio / "students"):
        assert (mode(folder), folder.stat().st_gid) == (0o2770, GROUP), folder
    files = [path for path in studio.rglob("*") if path.is_file()]
    assert len(files) > 8
    for path in files:
        assert (mode(path), path.stat().st_uid, path.stat().st_gid) == (0o660, ANNA, GROUP), path


@pytest.mark.parametrize("shared", [False, True])
def test_a_studio_in_a_private_folder_is_private_unless_it_is_to_be_shared(room, shared):
    home = room.parent / "home"
    home.mkdir()
    os.chown(home, ANNA, ANNA)
    said = say(ANNA, home, ("start", "own", *["--shared"] * shared), ("cd", "own"), ENROL)
    assert said.code == 0, said.err
    for path in (home / "own", *(home / "own").rglob("*")):
        modes = (0o2770, 0o660) if shared else (0o700, 0o600)
        assert mode(path) == modes[path.is_file()], path
        assert path.stat().st_gid == ANNA


@pytest.mark.parametrize("folder_mode", [0o2770, 0o770])
def test_an_empty_folder_that_somebody_made_for_the_group_stays_theirs(room, folder_mode):
    """The parent belongs to the system, so a teacher may write in the folder alone."""
    given = room.parent / "given"
    given.mkdir()
    os.chown(given, 0, GROUP)
    given.chmod(folder_mode)
    said = say(BELA, room, ("start", str(given)))
    assert said.code == 0, said.err
    assert (mode(given), given.stat().st_uid, given.stat().st_gid) == (folder_mode, 0, GROUP)
    assert sorted(path.name for path in given.iterdir()) == [
        ".gitattributes", ".gitignore", "course", "schemas", "students", "studio.toml",
    ]  # fmt: skip
    assert say(ANNA, given, ENROL).code == 0
    mia = given / "students" / "mia.toml"
    assert (mode(mia), mia.stat().st_gid) == (0o660, GROUP)
    assert say(BELA, given, NOTE).code == 0


REWRITING = (
    [("consent", "temwa", "video", "yes", "--by", "her mother")],
    [("pause", "temwa", "--words", "sore"), ("resume", "temwa", "--by", "the mother", "--words", "fine")],
    [("promise", "temwa", "--answer", "1", "--words", "done")],
    [("note", "temwa", "--alone", "wrist-lift"), ("undo", "temwa")],
    [("task", "temwa", "--report", "1", "--days", "3")],
)
TRIES = [
    *((commands, "none") for commands in REWRITING),
    *((REWRITING[1], link) for link in ("second name", "within the folder")),
]


@pytest.mark.parametrize("commands, link", TRIES, ids=[f"{tried[-1][0]}-{link}" for tried, link in TRIES])
def test_whoever_writes_to_a_file_it_stays_as_it_was(studio, commands, link):
    temwa = studio / "students" / "temwa.toml"
    other = studio / "other-name.toml"
    if link == "second name":
        other.hardlink_to(temwa)
    elif link == "within the folder":
        temwa.rename(temwa.with_name("temwa-file"))
        temwa.symlink_to("temwa-file")
    before = temwa.stat()
    said = say(BELA, studio, *commands)
    assert said.code == 0, said
    after = temwa.stat()
    for what in ("st_uid", "st_gid", "st_mode", "st_nlink"):
        assert getattr(after, what) == getattr(before, what), what
    assert temwa.is_symlink() == (link == "within the folder")
    assert link != "second name" or other.read_bytes() == temwa.read_bytes()
    assert [path.name for path in temwa.parent.glob(".*")] == []
    assert say(ANNA, studio, ("note", "temwa", "--alone", "wrist-lift")).code == 0


def test_each_keeps_what_each_typed_for_a_student_whose_file_has_a_mistake(studio):
    temwa = studio / "students" / "temwa.toml"
    right = temwa.read_bytes()
    temwa.write_bytes(right + b"\n[[lesson]\n")
    for who, words in ((ANNA, "from anna"), (BELA, "from bela")):
        said = say(who, studio, ("note", "temwa", "--text", words))
        assert said.code == 2
        assert "kept as you typed it" in " ".join(said.err.split())
    kept = sorted(temwa.parent.glob(".*"))
    assert [path.stat().st_uid for path in kept] == [ANNA, BELA]
    assert [mode(path) for path in kept] == [0o600, 0o600]
    assert ["from anna" in kept[0].read_text(), "from bela" in kept[1].read_text()] == [True, True]
    temwa.write_bytes(right)
    program = (
        "from pathlib import Path; from readiness.record.draft_entry import offered; "
        f"print(offered(Path({str(temwa)!r})).note)"
    )
    for who, words in ((ANNA, "from anna"), (BELA, "from bela")):
        assert run_as(who, program, cwd=studio).out == f"{words}\n"
    assert say(BELA, studio, ("forget", "temwa", "--yes")).code == 0
    assert [path.name for path in temwa.parent.iterdir() if "temwa" in path.name] == []


def test_what_may_not_be_looked_at_is_not_taken_for_nothing_there(studio):
    students = studio / "students"
    students.chmod(0o700)
    for words in (("roster",), ("why", "temwa"), ENROL):
        said = say(BELA, studio, words)
        assert said.code == 2
        assert (said.out, "permission denied" in said.err, "students" in said.err) == ("", True, True)
    students.chmod(0o2770)
    studio.chmod(0o700)
    said = say(BELA, studio.parent, ("roster", "--students", str(students)))
    assert (said.code, said.out, "permission denied" in said.err) == (2, "", True)
    studio.chmod(0o2770)
    students.joinpath("temwa.toml").chmod(0o600)
    said = say(BELA, studio, ("note", "temwa", "--text", "not lost"))
    assert said.code == 2
    assert "not lost" in said.err or list(students.glob(".temwa.*"))


def test_a_new_file_of_somebody_who_died_is_cleared_by_the_other(studio):
    """A new file stands as the one it is for, so a colleague can see that nobody holds it."""
    students = studio / "students"
    left = students / ".temwa.abcd1234.new"
    left.write_bytes(b"half a child's file")
    os.chown(left, ANNA, GROUP)
    left.chmod(0o660)
    assert say(BELA, studio, NOTE).code == 0
    assert not left.exists()


@pytest.mark.parametrize("words", [("roster",), ("why", "temwa"), ("ask", "ready"), ("forget", "temwa")])
def test_a_folder_that_may_not_be_read_is_no_empty_studio(studio, words):
    (studio / "students").chmod(0o700)
    said = say(BELA, studio, words)
    assert (said.code, said.out) == (Exit.WRONG, "")
    assert "cannot be read: permission denied" in " ".join(said.err.split())
    assert "studio/students" in "".join(said.err.split())


def test_what_is_typed_is_kept_where_the_course_may_not_be_read(studio):
    (studio / "course").chmod(0o700)
    said = say(BELA, studio, ("note", "temwa", "--text", "not lost"))
    assert (said.code, said.err.count("[no-access]")) == (Exit.WRONG, 2)
    assert len([*(studio / "students").glob(f".temwa.half-done.{BELA}.json")]) == 1
