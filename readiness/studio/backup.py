"""One archive of a studio, sealed with digests, and bringing back what was lost from it.

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
import zipfile
from collections.abc import Collection, Iterator, Mapping
from datetime import date
from hashlib import sha256
from pathlib import Path, PurePosixPath
from typing import Final, Literal

from readiness.days import iso
from readiness.lazy import dataclass
from readiness.record.consents import delete_by
from readiness.studio.find import FILE_NAME, Location
from readiness.studio.load import student_files
from readiness.toml.write import Refusal, create, replace

__all__ = ["Archive", "State", "Step", "back_up", "bring_back", "root_of", "steps", "unsealed"]

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
class Step:
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
        return _no_archive(path, (error.strerror or str(error)).lower())
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


def steps(archive: Archive, root: Path) -> tuple[Step, ...]:
    """Return what restoring would do in a studio's folder, file by file; nothing is written."""
    return tuple(_step(name, data, archive.students, root) for name, data in archive.files.items())


def _step(name: str, data: bytes, students: str, root: Path) -> Step:
    at = PurePosixPath(name)
    student = at.stem if at.parent.as_posix() == students and at.name != FILE_NAME else ""
    path = root / name
    if not path.exists():
        return Step(name, "not-here" if student else "missing", student)
    now = path.read_bytes()
    if now == data:
        return Step(name, "same", student)
    if not student:
        return Step(name, "other")
    if data.startswith(now):
        return Step(name, "adds", student, data.count(b"\n") - now.count(b"\n"))
    return Step(name, "newer", student)


def bring_back(
    archive: Archive, root: Path, named: Collection[str]
) -> tuple[tuple[Step, ...], tuple[Refusal, ...]]:
    """Bring back what is lost; return what was done and what stood in the way.

    Args:
        archive: what is in the archive; root: the studio's folder.
        named: the students of whom something is to come back.
    """
    done, refusals = list[Step](), list[Refusal]()
    for step in steps(archive, root):
        if step.state == "missing" or (step.state in ("adds", "not-here") and step.student in named):
            refusal = _write(root / step.file, archive.files[step.file])
            if refusal is None:
                done.append(step)
            else:
                refusals.append(refusal)
    return tuple(done), tuple(refusals)


def _write(path: Path, data: bytes) -> Refusal | None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        return Refusal("cannot-write", f"{path.parent} cannot be made: {why}.")
    if not path.exists():
        return create(path, path.parent, data)
    changed = Refusal("changed", f"nothing was written: {path} was changed by somebody else just now.")
    return replace(path, path.parent, lambda before: data if data.startswith(before) else changed)
