"""What this program keeps beside a student's file: half-entered lessons, and what writers that died left.

Each such file begins with a dot and the id, so that it can be found when the student is forgotten.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

__all__ = ["beside", "orphans"]

_BESIDE: Final = re.compile(r"\.([A-Za-z0-9][\w-]*)\.(?:.*\.)?(?:json|new|was)", re.ASCII)


def beside(folder: Path, id: str) -> tuple[Path, ...]:  # noqa: A002 - it is an id
    """Return what is kept beside the file of one id, whether that file is there or not.

    Raises:
        OSError: the folder cannot be read; nothing is known then.
    """
    return tuple(path for whose, path in _kept(folder) if whose == id)


def orphans(folder: Path) -> tuple[Path, ...]:
    """Return what is kept in a folder beside student files that are gone.

    Raises:
        OSError: the folder cannot be read; nothing is known then.
    """
    return tuple(path for whose, path in _kept(folder) if not os.path.lexists(folder / f"{whose}.toml"))


def _kept(folder: Path) -> Iterator[tuple[str, Path]]:
    for path in sorted(folder.iterdir()):
        if found := _BESIDE.fullmatch(path.name):
            yield found[1], path
