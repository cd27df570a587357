"""What was read of a course or a ``studio.toml`` before, so that it is not checked again unchanged.

It is kept beside what is kept of students (``studio.cache``), a file for each: the value of what has no
error, its warnings, and a hash of every file it was read from, of the files looked for in vain, and of
this program. It is taken only where all of these are the same. It holds plain values of the project's own
classes; nothing else in it is ever made.
"""

from __future__ import annotations

import pickle
import sys
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import cache
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any, Final, TypeVar

from readiness.course.model import LoadedCourse
from readiness.shipped import shipped
from readiness.toml.write import put

__all__ = ["as_kept", "cache_folder", "drop_unused", "program", "program_files", "read_course"]

T = TypeVar("T")

_MADE: Final = {
    "readiness.course.model": {
        "Band", "Course", "SkillGroup", "Group", "LoadedCourse", "Plan", "Provenance", "Skill", "Strand",
        "Unit",
    },
    "readiness.record.rhythm": {"Event", "Rhythm"},
    "readiness.studio.find": {"Settings", "Wording"},
    "readiness.terms": {"Fade", "Kind"},
    "readiness.toml.problems": {"Place", "Problem"},
    "readiness.toml.read": {"Loaded"},
    "readiness.toml.texts": {"DidYouMean"},
    "pathlib": {"Path", "PosixPath", "WindowsPath"},
    "pathlib._local": {"Path", "PosixPath", "WindowsPath"},  # where Python 3.13 has them
    "datetime": {"date"},
}  # fmt: skip
"""The classes of which there are values in what is kept."""
_ROOMS: Final = ("", "toml", "course", "course/checks", "record", "judging", "studio")
"""Where the program reads files and judges: another one as soon as anything there changes."""
_UNUSED_DAYS: Final = 100
_SWITCH: Final = "READINESS_CACHE"
_SEAL: Final = sha256().digest_size


def read_course(folder: Path, cache: Path | None) -> LoadedCourse:
    """Return what ``load_course`` does, as it was kept if that is the same; without a ``cache`` as read."""

    def read() -> LoadedCourse:
        from readiness.course.load import load_course

        return load_course(folder)

    def keep(made: LoadedCourse) -> tuple[Sequence[Path], LoadedCourse] | None:
        if made.course is None:
            return None
        course = replace(made.course)  # without what was worked out of it, but what all judging begins with
        _ = course.plan
        return made.files, replace(made, course=course)

    return as_kept(cache, folder, LoadedCourse, read, keep)


def cache_folder(environ: Mapping[str, str]) -> Path | None:
    """Return the folder ``READINESS_CACHE`` names, None where that is nothing, else the system's own."""
    if _SWITCH in environ:
        return Path(environ[_SWITCH]) if environ[_SWITCH] else None
    if sys.platform == "win32":
        base = environ.get("LOCALAPPDATA")
    else:
        home = environ.get("HOME")
        base = environ.get("XDG_CACHE_HOME") or (str(Path(home, ".cache")) if home else None)
    return Path(base, "readiness") if base and Path(base).is_absolute() else None


def as_kept(
    cache: Path | None,
    of: Path,
    kind: type[T],
    read: Callable[[], T],
    keep: Callable[[T], tuple[Sequence[Path], T] | None],
) -> T:
    """Return what was kept, where all it depends on is the same; else what is read, and keep that.

    Args:
        cache: the folder to keep it in; None: nothing is kept.
        of: whose it is, a file or a folder; ``kind`` is what is made of it.
        keep: gives the files it depends on and what is to be kept; None: nothing is.
    """
    kept = None if cache is None else cache / f"{sha256(str(of).encode()).hexdigest()[:32]}.kept"
    found = None if kept is None else _kept(kept, kind)
    if found is not None:
        return found
    made = read()
    if kept is not None and (whole := keep(made)) is not None:
        with suppress(OSError):
            kept.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            data = pickle.dumps((_state(whole[0]), *whole))
            put(kept, sha256(data).digest() + data)
            drop_unused(kept.parent, "*.kept")
    return made


def drop_unused(cache: Path, names: str) -> None:
    """Delete what is kept and was not asked for in a long time; ``names``: a pattern."""
    for old in cache.glob(names):
        if time.time() - old.stat().st_mtime > _UNUSED_DAYS * 86_400:
            old.unlink()


def _kept(path: Path, kind: type[T]) -> T | None:
    """Return what was kept, None where anything is not as it was."""
    with suppress(OSError):
        whole = path.read_bytes()
        seal, data = whole[:_SEAL], whole[_SEAL:]
        if sha256(data).digest() == seal:
            with suppress(pickle.UnpicklingError, AttributeError, TypeError, ValueError, EOFError):
                state, files, made = _Unpickler(BytesIO(data)).load()
                if isinstance(made, kind) and state == _state(files):
                    return made
    return None


def _state(files: Iterable[Path]) -> tuple[bytes, ...]:
    """Return what the course depends on: the files as they are, and the program that reads them."""
    return (program(), *map(_hash, files))


def _hash(path: Path) -> bytes:
    try:
        return sha256(path.read_bytes()).digest()
    except (FileNotFoundError, NotADirectoryError):
        return b""


@cache
def program() -> bytes:
    """Return a word for this program: another one as soon as any file of it, or a shipped course, changes."""
    sizes = sorted((str(path), (now := path.stat()).st_size, now.st_mtime_ns) for path in program_files())
    return sha256(repr(sizes).encode()).digest()


def program_files() -> list[Path]:
    """Return the files by which a course or a student file is read and judged, those with words too."""
    found = [path for room in _ROOMS for path in (Path(__file__).parents[1] / room).glob("*.*")]
    return [*found, *shipped().glob("skill_graphs/*/*.toml")]


class _Unpickler(pickle.Unpickler):
    """Makes values of the course's own classes, and of nothing else."""

    def find_class(self, module: str, name: str) -> Any:  # noqa: ANN401 - a class
        if name not in _MADE.get(module, ()):
            raise pickle.UnpicklingError(f"{module}.{name}")
        return super().find_class(module, name)
