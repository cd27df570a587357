"""Where in a studio a student may still be named: every file of its folders, and what cannot be read.

Texts are read: pages, tables, drafts, the files of the program. A picture, a PDF, an archive or a very
large file is not, and neither is a hidden folder such as the history of a version control; what was
left out is given too, so that nobody takes "nothing found" for more than was looked at.
"""

from __future__ import annotations

import html
import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from readiness.lazy import dataclass
from readiness.studio.find import FILE_NAME, Location
from readiness.toml.problems import Place

__all__ = ["Leftovers", "has_history", "leftovers", "studio_folders"]

LARGEST: Final = 20_000_000
"""A larger file is not looked into, in bytes."""

MOST_FILES: Final = 20_000

_PAGES: Final = (".html", ".htm", ".xhtml", ".svg", ".xml", ".graphml")
_ESCAPED: Final = re.compile(r"\\u([0-9a-fA-F]{4})")


@dataclass(frozen=True)
class Leftovers:
    """What was found, and how far the looking went.

    Attributes:
        places: where a word stands: line 0 is the name of a file.
        folders: what was looked through, with all folders in it.
        unread: files that are no text, too large or not to be opened, and hidden folders.
        is_whole: False where there were so many files that the rest was left out.
    """

    places: tuple[Place, ...]
    folders: tuple[Path, ...]
    read: int
    unread: tuple[Path, ...]
    is_whole: bool


def has_history(folder: Path) -> bool:
    """Return whether a folder is kept in git, which holds every older version of its files."""
    full = folder.resolve()
    return any((one / ".git").exists() for one in (full, *full.parents))


def studio_folders(where: Location) -> tuple[Path, ...]:
    """Return the folders that make up a studio, none of them inside another."""
    own = [where.file.path.parent] if where.file is not None and where.file.path.name == FILE_NAME else []
    every = {one.resolve(): one for one in (*own, where.students, where.course, *where.beside) if one}
    return tuple(
        one
        for full, one in every.items()
        if not any(full != other and full.is_relative_to(other) for other in every)
    )


def leftovers(folders: Iterable[Path], words: Iterable[str], leave_out: Path | None = None) -> Leftovers:
    """Look for some words in the names and the texts of all files of some folders.

    Args:
        words: an id and a given name; found as whole words, whatever the size of the letters.
        leave_out: a file that is meant to have them, such as a copy just made.
    """
    where = tuple(folders)
    told = "|".join(sorted({re.escape(word) for word in words if word.strip()}))
    wanted = re.compile(rf"(?<![^\W_])(?:{told})(?![^\W_])", re.IGNORECASE)
    places: list[Place] = []
    unread: list[Path] = []
    read, is_whole = 0, True
    for number, path in enumerate(_all(where, unread)):
        if number >= MOST_FILES:
            is_whole = False
            break
        if leave_out is not None and path.resolve() == leave_out.resolve():
            continue
        if wanted.search(path.name):
            places.append(Place(path, 0, 0))
        text = _text(path)
        if text is None:
            unread.append(path)
            continue
        read += 1
        places += _found(path, text, wanted)
    return Leftovers(tuple(places), where, read, tuple(unread), is_whole)


def _all(folders: Iterable[Path], unread: list[Path]) -> Iterator[Path]:
    """Yield the files; hidden folders, links elsewhere, and what may not be looked at go among the unread."""

    def not_looked_at(error: OSError) -> None:
        unread.append(Path(error.filename))

    for folder in folders:
        for at, inside, files in os.walk(folder, onerror=not_looked_at):
            here = Path(at)
            skipped = sorted(n for n in inside if n.startswith(".") or (here / n).is_symlink())
            unread += [here / name for name in skipped]
            inside[:] = sorted(set(inside) - set(skipped))
            yield from (here / name for name in sorted(files))


def _text(path: Path) -> str | None:
    """Return a file as text, None for what is none or cannot be read."""
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            return None
        data = path.read_bytes()
    except OSError:
        return None
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    return None if b"\0" in data or data[:5] == b"%PDF-" else data.decode(errors="replace")


def _found(path: Path, text: str, wanted: re.Pattern[str]) -> Iterator[Place]:
    """Yield where the words stand, also as a page or JSON writes letters."""
    for number, line in enumerate(text.split("\n"), 1):
        plain = line
        if path.suffix.lower() in _PAGES:
            plain = html.unescape(line)
        elif path.suffix.lower() == ".json":
            plain = _ESCAPED.sub(lambda code: chr(int(code[1], 16)), line)
        if match := wanted.search(plain):
            yield Place(path, number, match.start() + 1)
