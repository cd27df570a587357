"""What was read of a course before, so that a course that did not change is not read and checked again.

It is kept beside what is kept of students (``studio.cache``), in a file for each folder: the course without
an error, its warnings, and a hash of every file it was read from, of the files looked for in vain, and of
this program. It is taken only where all of these are the same. It holds plain values of the course's own
classes; nothing else in it is ever made.
"""

from __future__ import annotations

import pickle
import time
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any, Final

from readiness.course.model import LoadedCourse
from readiness.shipped import shipped
from readiness.toml.write import put

__all__ = ["read_course"]

_MADE: Final = {
    "readiness.course.model": {
        "Band", "Course", "Group", "LoadedCourse", "Provenance", "Skill", "Strand", "Unit",
    },
    "readiness.terms": {"Fade", "Kind"},
    "readiness.toml.problems": {"Place", "Problem"},
    "pathlib": {"Path", "PosixPath", "WindowsPath"},
    "datetime": {"date"},
}  # fmt: skip
"""The classes of which there are values in a course."""
_UNUSED_DAYS: Final = 100
_SEAL: Final = sha256().digest_size


def read_course(folder: Path, cache: Path | None) -> LoadedCourse:
    """Return what ``course.load.load_course`` returns, from what was kept where that is the same.

    Args:
        folder: that of the course.
        cache: the folder to keep it in; None: nothing is kept.
    """
    kept = None if cache is None else cache / f"{sha256(str(folder).encode()).hexdigest()[:32]}.course"
    found = None if kept is None else _kept(kept)
    if found is not None:
        return found
    from readiness.course.load import load_course

    loaded = load_course(folder)
    if kept is not None and loaded.course is not None:
        with suppress(OSError):
            kept.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            data = pickle.dumps((_state(loaded.files), replace(loaded, course=replace(loaded.course))))
            put(kept, sha256(data).digest() + data)
            for old in kept.parent.glob("*.course"):
                if time.time() - old.stat().st_mtime > _UNUSED_DAYS * 86_400:
                    old.unlink()
    return loaded


def _kept(path: Path) -> LoadedCourse | None:
    """Return a course as it was kept, None where anything is not as it was."""
    with suppress(OSError):
        whole = path.read_bytes()
        seal, data = whole[:_SEAL], whole[_SEAL:]
        if sha256(data).digest() == seal:
            with suppress(pickle.UnpicklingError, AttributeError, TypeError, ValueError, EOFError):
                state, loaded = _Reader(BytesIO(data)).load()
                if isinstance(loaded, LoadedCourse) and state == _state(loaded.files):
                    return loaded
    return None


def _state(files: Iterable[Path]) -> tuple[bytes, ...]:
    """Return what the course depends on: the files as they are, and the program that reads them."""
    return (_program(), *map(_hash, files))


def _hash(path: Path) -> bytes:
    try:
        return sha256(path.read_bytes()).digest()
    except (FileNotFoundError, NotADirectoryError):
        return b""


def _program() -> bytes:
    """Return a word for this program: another one as soon as any file of it, or a shipped number, changes."""
    home = Path(__file__).parents[1]
    read = [path for room in ("", "toml", "course", "course/checks") for path in (home / room).glob("*.py")]
    read += shipped().glob("skill_graphs/*/pacing.toml")
    sizes = sorted((str(path), (now := path.stat()).st_size, now.st_mtime_ns) for path in read)
    return sha256(repr(sizes).encode()).digest()


class _Reader(pickle.Unpickler):
    """Makes values of the course's own classes, and of nothing else."""

    def find_class(self, module: str, name: str) -> Any:  # noqa: ANN401 - a class
        if name not in _MADE.get(module, ()):
            raise pickle.UnpicklingError(f"{module}.{name}")
        return super().find_class(module, name)
