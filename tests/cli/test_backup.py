"""The drill: a backup is made, things are lost and changed, and what comes back is what was lost, no more."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
import zipfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from readiness.cli.commands import Exit
from readiness.studio.folder import unsealed

DAY = ("--on", "2025-12-16")


@pytest.fixture
def here(studio, say, monkeypatch, tmp_path):
    """Return a studio of one's own with its course in it, which is the current folder; a backup is made."""
    monkeypatch.chdir(tmp_path)
    own = tmp_path / "own"
    assert say("start", own, "--with-demo").code == 0
    monkeypatch.chdir(own)
    assert say("backup", "../backup.zip").code == 0
    return own


def contents(folder):
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def checked(say, *more):
    said = say("restore", "../backup.zip", "--check", "--json", *more)
    plan = {one["file"]: one["state"] for one in json.loads(said.out)["files"] if one["state"] != "same"}
    return said.code, plan


def test_the_drill(here, say, flat):
    before = contents(here)
    assert checked(say) == (Exit.READY, {})
    file = here / "students" / "temwa.toml"
    file.write_bytes(file.read_bytes()[:-40])  # torn
    (here / "students" / "rafiq.toml").unlink()  # lost
    (here / "course" / "pacing.toml").unlink()
    assert say("forget", "bogdan", "--yes").code != 0  # the course is gone, so nobody is forgotten either
    assert say("consent", "linnea", "video", "no", "--by", "her mother").code != 0
    assert checked(say) == (
        Exit.NOT_READY,
        {"students/temwa.toml": "adds", "students/rafiq.toml": "not-here", "course/pacing.toml": "missing"},
    )
    shown = flat(say("restore", "../backup.zip", "--check").out)
    assert "students/rafiq.toml (Rafiq) is not here, and comes back only if you name the child." in shown
    assert "`readiness restore ../backup.zip --bring-back rafiq temwa`" in shown
    assert say("restore", "../backup.zip", "--bring-back", "rafiq", "temwa").code == Exit.READY
    assert contents(here) == before


def test_nothing_newer_is_overwritten_and_nobody_forgotten_comes_back(here, say):
    assert say("note", "temwa", "--alone", "wrist-lift", *DAY).code == 0
    assert say("consent", "linnea", "video", "no", "--by", "her mother", *DAY).code == 0
    assert say("note", "rafiq", "--alone", "wrist-lift", *DAY).code == 0
    assert say("undo", "rafiq").code == 0
    assert say("forget", "bogdan", "--yes").code == 0
    (here / "studio.toml").write_bytes((here / "studio.toml").read_bytes() + b"# mine\n")
    before = contents(here)
    code, plan = checked(say)
    assert code == Exit.NOT_READY
    assert plan == {
        "students/temwa.toml": "newer", "students/linnea.toml": "newer", "students/rafiq.toml": "newer",
        "students/bogdan.toml": "not-here", "studio.toml": "other",
    }  # fmt: skip
    assert contents(here) == before
    assert "Nothing was brought back." in say("restore", "../backup.zip").out
    assert contents(here) == before
    refused = say("restore", "../backup.zip", "--bring-back", "temwa")
    assert refused.code == Exit.WRONG
    assert contents(here) == before
    assert say("restore", "../backup.zip", "--bring-back", "bogdan").code == Exit.READY
    assert {name for name in contents(here) if name not in before} == {"students/bogdan.toml"}


def test_lines_that_are_lost_and_not_brought_back_are_told(here, say):
    temwa = here / "students" / "temwa.toml"
    temwa.write_bytes(b"\n".join(temwa.read_bytes().split(b"\n")[:-20]))
    told = " ".join(say("restore", "../backup.zip").out.split())
    assert "students/temwa.toml lacks lines at its end, which come back only if you name the child." in told
    assert "lacks" not in say("restore", "../backup.zip", "--bring-back", "temwa").out


def test_everything_is_lost(here, say, tmp_path, monkeypatch):
    before = contents(here)
    monkeypatch.chdir(tmp_path)
    assert say("restore", "backup.zip").code == Exit.WRONG  # there is no studio to be found
    students = [path.stem for path in (here / "students").iterdir()]
    new = tmp_path / "new"
    assert say("restore", "backup.zip", "--into", new, "--bring-back", *students).code == Exit.READY
    assert contents(new) == {name: data for name, data in before.items() if name.endswith(".toml")}


def test_the_digests_are_those_of_another_program(here, tmp_path):
    """Of ``sha256sum`` and ``unzip -p`` where they are there, of hashlib and zipfile else."""
    with zipfile.ZipFile(tmp_path / "backup.zip") as archive:
        assert archive.testzip() is None
        listed = json.loads(archive.read("seal.json"))
        assert set(archive.namelist()) == {"seal.json", *listed["files"]}
        for name, digest in listed["files"].items():
            assert hashlib.sha256((here / name).read_bytes()).hexdigest() == digest
    if sys.platform == "linux" and shutil.which("unzip") and shutil.which("sha256sum"):
        command = f"unzip -p {tmp_path / 'backup.zip'} students/temwa.toml | sha256sum"
        done = subprocess.run(command, shell=True, capture_output=True, check=True, text=True)
        assert done.stdout.split()[0] == listed["files"]["students/temwa.toml"]


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.floats(0, 1, exclude_max=True), other=st.integers(1, 255), cut=st.booleans())
def test_a_damaged_archive_is_refused_or_holds_the_same(at, other, cut, here, tmp_path):
    """Whatever byte is another one, or wherever the archive is cut off: never another content."""
    whole = (tmp_path / "backup.zip").read_bytes()
    place, damaged = int(at * len(whole)), tmp_path / "damaged.zip"
    changed = whole[:place] + (b"" if cut else bytes([whole[place] ^ other]) + whole[place + 1 :])
    damaged.write_bytes(changed)
    found = unsealed(damaged)
    assert not hasattr(found, "files") or found.files == unsealed(tmp_path / "backup.zip").files


EVIL = ("../evil.toml", "/etc/evil.toml", "students/.hidden.toml", "a/../../b.toml", "c:/x.toml", "run.sh")


@pytest.mark.parametrize("name", EVIL)
def test_no_archive_writes_anywhere_else(name, here, say, tmp_path):
    digests = {name: hashlib.sha256(b"x").hexdigest()}
    listed = {"format": 1, "made": "2025-12-02", "students": "students", "files": digests}
    with zipfile.ZipFile(tmp_path / "evil.zip", "w") as archive:
        archive.writestr("seal.json", json.dumps(listed))
        archive.writestr(name, b"x")
    said = say("restore", "../evil.zip")
    assert said.code == Exit.WRONG
    assert "cannot be used as a backup" in said.told


@pytest.mark.parametrize("place", ["students/backup.zip", "backup.zip"])
def test_a_backup_is_not_kept_in_the_studio_and_nothing_is_written_over(place, here, say, tmp_path):
    assert say("backup", place).code == Exit.WRONG
    assert not (here / place).exists()
    before = (tmp_path / "backup.zip").read_bytes()
    assert say("backup", "../backup.zip").code == Exit.WRONG
    assert (tmp_path / "backup.zip").read_bytes() == before


def test_who_was_to_be_deleted_by_then_is_left_out_and_that_is_said(here, say, tmp_path):
    file = here / "students" / "noemi.toml"
    file.write_bytes(b"# To be deleted by 2025-12-01.\n" + file.read_bytes())
    said = say("backup", "../later.zip", "--on", "2025-12-02")
    assert "Left out: noemi.toml, for it was to be deleted by 2025-12-01." in said.out
    assert "students/noemi.toml" not in unsealed(tmp_path / "later.zip").files
    assert say("backup", "../before.zip", "--on", "2025-12-01").code == 0
    assert "students/noemi.toml" in unsealed(tmp_path / "before.zip").files


def test_the_same_studio_on_the_same_day_is_the_same_archive(here, say, tmp_path):
    for name in ("one", "two"):
        assert say("backup", f"../{name}.zip", *DAY).code == 0
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()
