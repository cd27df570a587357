"""The folder of a studio: made new, sealed as one archive, and brought back from it.

Everything is made apart and put in place, studio.toml last, so that there is a whole studio or none. A
folder with anything in it is left alone, but for what a start that was stopped has left there. Who may
read and write follows the folder it is made in: its group where a group works there, else one person.

One archive of a studio, sealed with digests, and bringing back what was lost from it.

In it are ``studio.toml``, the student files and the courses that lie in the studio's folder, as they are to
the byte, with a list of their SHA-256 digests. Nothing that is newer is ever overwritten: a student's file
is brought back only where all that stands there now is the beginning of what the archive has, so a note, a
consent that was withdrawn and an entry that was taken back since all stay. A child who was forgotten has
left nothing by which to know it, on purpose, and lines that are missing may have been deleted on purpose;
so nothing of a child comes back unless that child is named.
"""

from __future__ import annotations

import io
import json
import os
import re
import shutil
import sys
import tempfile
import zipfile
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from hashlib import sha256
from pathlib import Path, PurePosixPath
from typing import Final, Literal

from readiness.days import iso
from readiness.lazy import dataclass
from readiness.record.append import quoted
from readiness.record.consents import delete_by
from readiness.shipped import shipped
from readiness.studio.find import FILE_NAME, Location
from readiness.studio.load import student_files
from readiness.studio.schema import FOLDER, StudioFile, schemas, with_schema
from readiness.toml.new_files import FileRights, give, is_for_a_group, lock, write_all
from readiness.toml.problems import errors
from readiness.toml.read import parse_toml
from readiness.toml.write import Refusal, create, replace, why_not

__all__ = [
    "Archive", "RestoreStep", "State", "back_up", "bring_back", "group_of", "make_studio", "root_of", "steps",
    "unsealed",
]  # fmt: skip

_COURSE: Final = Path("skill_graphs", "first-two-years")
_EMPTY: Final = Path("skill_graphs", "empty")
"""The graph of a course to be written; its pace is that of the other."""
_COURSE_FILES: Final = ("graph.toml", "pacing.toml", "names.es.toml")
_STUDENTS: Final = "demo_students"
_MERGING: Final = b"""\
# Teachers who keep this folder in git: notes added on two machines to one student are both kept.
students/*.toml merge=union
"""
_NOT_KEPT: Final = b"""\
# Lessons half entered, which are nobody's but whose they are, and what a program that was stopped leaves.
.*.half-done.*
.*.new
.*.was
.*.doctor.json
"""
_SUFFIX: Final = ".studio.new"
_PARTS: Final = ("course", "students", FOLDER, ".gitattributes", ".gitignore")
_NEW: Final = """\
# Where things are. Folders are given as seen from the folder this file is in.

format = 1
name = {name}
course = "course"
students = "students"

# All of this may be added:
# term_end = 2025-12-19
#
# [teachers] # the initials used in the lesson notes
# OB = "Odalys Brandt"
#
# [[event]]
# name = "Sharing afternoon"
# on = 2026-03-14
#
# Planned lessons, where they do not simply come every seven days:
# [lesson_dates]
# all = [2025-12-16]
"""


def make_studio(
    folder: Path, name: str, *, with_demo: bool = False, shared: bool = False, empty: bool = False
) -> Refusal | None:
    """Make a studio folder.

    Args:
        folder: not there yet, or empty.
        name: what the studio is called.
        with_demo: with the invented students, and the day they are asked about.
        shared: for the group of the folder, whoever may use the one it is made in.
        empty: with a course of one unit to begin one's own from.
    """
    text = _studio_text(name, with_demo=with_demo)
    wrong = errors(parse_toml(text, folder / FILE_NAME, StudioFile).problems)
    if wrong:
        return Refusal("no-name", f"the name of the studio cannot be used: {wrong[0].message}.")
    try:
        files = _files(with_schema(text, "studio", ""), with_demo=with_demo, empty=empty)
        return _stands_in_the_way(folder) or _make(folder, files, shared=shared)
    except OSError as error:
        return Refusal("cannot-write", f"{folder} cannot be made: {why_not(error)}.")


def group_of(folder: Path) -> str:
    """Return the group that works in a folder, by name or number; empty where none does."""
    if sys.platform == "win32" or not is_for_a_group(folder):
        return ""
    try:
        return folder.group()
    except KeyError:
        return str(folder.stat().st_gid)


def _stands_in_the_way(folder: Path) -> Refusal | None:
    room = folder if folder.is_dir() else folder.parent
    for left in tuple(room.glob(f".*{_SUFFIX}")):
        if room == folder or left.name.startswith(f".{folder.name}."):
            _clear(left, folder)
    if folder.is_dir():
        if any(folder.iterdir()):
            return Refusal("not-empty", f"{folder} has something in it already; please name a new folder.")
    elif folder.exists() or folder.is_symlink():
        return Refusal("not-a-folder", f"{folder} is there already, and is no folder.")
    if not folder.parent.is_dir():
        missing = f"there is no folder {folder.parent} to make it in"
        return Refusal("no-parent", f"{missing}; please make that one first.")
    return None


def _files(text: str, *, with_demo: bool, empty: bool = False) -> dict[str, bytes]:
    """Return what is to be in a studio, by its place in it; studio.toml comes last."""
    found = {f"course/{one}": (shipped() / _COURSE / one).read_bytes() for one in _COURSE_FILES}
    if empty:
        del found["course/names.es.toml"]
        found["course/graph.toml"] = (shipped() / _EMPTY / "graph.toml").read_bytes()
    for name in ("graph", "pacing"):
        plain = found[f"course/{name}.toml"].decode()
        found[f"course/{name}.toml"] = with_schema(plain, name, "../").encode()
    found |= {f"{FOLDER}/{name}": schema.encode() for name, schema in schemas().items()}
    for student in sorted((shipped() / _STUDENTS).glob("*.toml")) if with_demo else ():
        if student.name != FILE_NAME:
            found[f"students/{student.name}"] = student.read_bytes()
    return {**found, ".gitattributes": _MERGING, ".gitignore": _NOT_KEPT, FILE_NAME: text.encode()}


def _make(folder: Path, files: Mapping[str, bytes], *, shared: bool) -> Refusal | None:
    """Make everything apart, in the folder where there is one already, then put it in its place."""
    is_new = not folder.is_dir()
    room = folder.parent if is_new else folder
    with _begun(room, folder.name) as new:
        is_group = shared or is_for_a_group(room)
        group = room.stat().st_gid if is_group and (is_for_a_group(room) or not is_new) else None
        dirs = FileRights(0o2770 if is_group else 0o700, None, group)
        for one in (new, new / "course", new / "students", new / FOLDER):
            one.mkdir(exist_ok=True)
            give(one, dirs)
        for name, data in files.items():
            path = new / name
            file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
            try:
                write_all(file, data)
            finally:
                os.close(file)
            give(path, FileRights(0o660 if is_group else 0o600, None, group))
        if is_new:
            new.rename(folder)
            return None
        if shared and not is_for_a_group(folder):
            give(folder, dirs)
        _put_in_place(new, folder)
    return None


def _put_in_place(new: Path, folder: Path) -> None:
    """Put all parts in their place, studio.toml last, or none."""
    try:
        for name in (*_PARTS, FILE_NAME):
            (new / name).rename(folder / name)
    except BaseException:
        for name in _PARTS:
            if (folder / name).exists():
                _delete(folder / name)
        raise


@contextmanager
def _begun(room: Path, name: str) -> Iterator[Path]:
    """Give a new folder, held as long as this program lives; it is gone again where it was not taken."""
    new = Path(tempfile.mkdtemp(prefix=f".{name}.", suffix=_SUFFIX, dir=room))
    held = _held(new)
    try:
        yield new
    finally:
        shutil.rmtree(new, ignore_errors=True)
        if held is not None:
            os.close(held)


def _held(folder: Path) -> int | None:
    """Return a folder opened and held; None where somebody else holds it, or it cannot be."""
    if sys.platform == "win32":  # pragma: no cover - folders are not opened there
        return None
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    if lock(handle, waits=False):
        return handle
    os.close(handle)
    return None


def _clear(left: Path, folder: Path) -> None:
    """Delete what a start that was stopped has left, and what it had put in place if nobody changed it."""
    held = _held(left)
    if held is None:
        return
    try:
        if left.parent == folder and (left / FILE_NAME).exists():
            known = {*_files("", with_demo=True).values(), *_files("", with_demo=False, empty=True).values()}
            for one in filter(Path.exists, (folder / name for name in _PARTS)):
                if all(file.is_dir() or file.read_bytes() in known for file in (one, *one.rglob("*"))):
                    _delete(one)
        shutil.rmtree(left)
    finally:
        os.close(held)


def _delete(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink()


def _studio_text(name: str, *, with_demo: bool) -> str:
    """Return ``studio.toml``: a new one, or the demo's with the folders of the copy and its own name.

    The first of each key is the studio's; an event further down has a name, too.
    """
    if not with_demo:
        return _NEW.format(name=quoted(name))
    text = (shipped() / _STUDENTS / FILE_NAME).read_text(encoding="utf-8")
    for key, value in (("course", "course"), ("students", "students"), ("name", name)):
        if value:
            said = quoted(value).replace("\\", r"\\")
            text = re.sub(rf"(?m)^({key} = ).*$", rf"\g<1>{said}", text, count=1)
    return text


_SEAL: Final = "seal.json"
_FORMAT: Final = 1
_MOST: Final = 20_000
_LARGEST: Final = 500_000_000
"""More files, and more bytes, than any studio has; an archive with more is none of ours."""

State = Literal["same", "adds", "missing", "not-here", "newer", "other"]
"""What restoring means for a file: nothing; lines are added, if the child is named; it is made; it is made,
if the child is named; it stays, for it has what the archive has not; it is no student's and stays."""


@dataclass(frozen=True)
class Archive:
    """What one archive holds: files by their path in the studio, the digest of the list of them, the day."""

    files: Mapping[str, bytes]
    seal: str
    made: int
    students: str


@dataclass(frozen=True)
class RestoreStep:
    """What restoring would do to one file.

    Attributes:
        lines: how many lines would be added; student: the id, where it is a student's file.
    """

    file: str
    state: State
    student: str = ""
    lines: int = 0


def root_of(where: Location) -> Path | None:
    """Return the folder that a studio lies in: its own file and the students."""
    if where.students is None:
        return None
    students = where.students.resolve()
    if where.file is None or where.file.path.name != FILE_NAME:
        return students.parent
    return Path(os.path.commonpath([where.file.path.resolve().parent, students]))


def back_up(where: Location, day: int) -> tuple[bytes, Archive, tuple[tuple[Path, str], ...]]:
    """Return the bytes of an archive, what is in it, and what was left out with the reason.

    Args:
        where: the studio; day: on which it is made. A student to be deleted by then is left out.

    Raises:
        OSError: a file cannot be read; an archive without it would be taken for whole.
    """
    root = root_of(where)
    assert root is not None
    assert where.students is not None
    files, left = dict[str, bytes](), list[tuple[Path, str]]()
    for path in _all_files(where):
        until = delete_by(path) if path.parent == where.students else None
        if not path.resolve().is_relative_to(root):
            left.append((path, "it lies outside the studio's folder"))
        elif until is not None and until < day:
            left.append((path, f"it was to be deleted by {iso(until)}"))
        else:
            files[path.resolve().relative_to(root).as_posix()] = path.read_bytes()
    digests = {name: sha256(data).hexdigest() for name, data in files.items()}
    students = where.students.resolve().relative_to(root).as_posix()
    plain = {"format": _FORMAT, "made": iso(day), "students": students, "files": digests}
    listed = json.dumps(plain, indent=1).encode()
    archive = Archive(files, sha256(listed).hexdigest(), day, students)
    return _packed({_SEAL: listed, **files}, date.fromordinal(day)), archive, tuple(left)


def _all_files(where: Location) -> Iterator[Path]:
    """Yield a studio's own file, the students' and those of its courses."""
    assert where.students is not None
    if where.file is not None:
        yield where.file.path
    yield from student_files(where.students)
    for course in (where.course, *where.beside):
        yield from sorted(course.glob("*.toml")) if course is not None else ()


def _packed(files: Mapping[str, bytes], day: date) -> bytes:
    """Return a ZIP archive; the same files give the same bytes."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, data in files.items():
            info = zipfile.ZipInfo(name, (max(day.year, 1980), day.month, day.day, 0, 0, 0))
            info.external_attr = 0o600 << 16
            archive.writestr(info, data, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def unsealed(path: Path) -> Archive | Refusal:
    """Return what an archive holds if every file in it is as it was sealed."""
    try:
        with zipfile.ZipFile(path) as archive:
            found = archive.infolist()
            if len(found) > _MOST or sum(one.file_size for one in found) > _LARGEST:
                return _no_archive(path, "it holds more than any studio")
            files = {one.filename: archive.read(one) for one in found}
    except OSError as error:
        return _no_archive(path, why_not(error))
    except Exception:  # whatever the reader of archives stumbles over in one that is damaged
        return _no_archive(path, "it is no archive, or a damaged one")
    listed = files.pop(_SEAL, b"")
    try:
        plain = json.loads(listed)
        digests, made = dict(plain["files"]), date.fromisoformat(plain["made"]).toordinal()
        students = str(plain["students"])
    except (ValueError, LookupError, TypeError, RecursionError):
        return _no_archive(path, "its list of files is not to be read")
    sealed = {name for name, data in files.items() if sha256(data).hexdigest() == digests.get(name)}
    wrong = {*files, *digests} - {*filter(_is_safe, sealed)}
    if wrong:
        return _no_archive(path, f"{min(wrong)} is not as it was sealed")
    return Archive(files, sha256(listed).hexdigest(), made, students)


def _is_safe(name: str) -> bool:
    parts = name.split("/")
    return name.endswith(".toml") and not any(
        part in ("", "..") or part.startswith(".") or any(sign in part for sign in '\\:\0') for part in parts
    )


def _no_archive(path: Path, why: str) -> Refusal:
    return Refusal("no-archive", f"nothing was changed: {path} cannot be used as a backup ({why}).")


def steps(archive: Archive, root: Path) -> tuple[RestoreStep, ...]:
    """Return what restoring would do in a studio's folder, file by file; nothing is written."""
    return tuple(_step(name, data, archive.students, root) for name, data in archive.files.items())


def _step(name: str, data: bytes, students: str, root: Path) -> RestoreStep:
    at = PurePosixPath(name)
    student = at.stem if at.parent.as_posix() == students and at.name != FILE_NAME else ""
    path = root / name
    if not path.exists():
        return RestoreStep(name, "not-here" if student else "missing", student)
    now = path.read_bytes()
    if now == data:
        return RestoreStep(name, "same", student)
    if not student:
        return RestoreStep(name, "other")
    if data.startswith(now):
        return RestoreStep(name, "adds", student, data.count(b"\n") - now.count(b"\n"))
    return RestoreStep(name, "newer", student)


def bring_back(
    archive: Archive, root: Path, named: Collection[str]
) -> tuple[tuple[RestoreStep, ...], tuple[Refusal, ...]]:
    """Bring back what is lost; return what was done and what stood in the way.

    Args:
        archive: what is in the archive; root: the studio's folder.
        named: the students of whom something is to come back.
    """
    answers = [
        (step, _write(root / step.file, archive.files[step.file]))
        for step in steps(archive, root)
        if step.state == "missing" or (step.state in ("adds", "not-here") and step.student in named)
    ]
    done = tuple(step for step, refusal in answers if refusal is None)
    return done, tuple(refusal for _, refusal in answers if refusal is not None)


def _write(path: Path, data: bytes) -> Refusal | None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        return Refusal("cannot-write", f"{path.parent} cannot be made: {why_not(error)}.")
    if not path.exists():
        return create(path, path.parent, data)
    changed = Refusal("changed", f"nothing was written: {path} was changed by somebody else just now.")
    return replace(path, path.parent, lambda before: data if data.startswith(before) else changed)
