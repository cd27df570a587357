"""Carries commands out for somebody with an account of their own, in a process of its own.

Each process is forked from one that has imported the program and done nothing with it.
"""

from __future__ import annotations

import os
import sys
import tempfile
from importlib import import_module
from multiprocessing import get_context
from pathlib import Path
from pkgutil import walk_packages
from typing import NamedTuple

import readiness
from readiness.cli.commands import COMMANDS
from readiness.cli.main import main

__all__ = ["Said", "say_as"]

ROOMS = tuple(f"readiness.{room}." for room in ("advice", "course", "judging", "record", "studio", "toml"))
FORKED = get_context("forkserver")
IMPORTED = [
    *(one.name for one in walk_packages(readiness.__path__, "readiness.") if one.name.startswith(ROOMS)),
    *(one.module for one in COMMANDS),
    "grp", "pwd", "encodings.utf_8_sig",
]  # fmt: skip
"""What a command imports, also late, where somebody may not be allowed to read it."""

FORKED.set_forkserver_preload(IMPORTED)
for _name in IMPORTED:
    import_module(_name)


class Said(NamedTuple):
    """What a command answered."""

    code: int
    out: str
    err: str


def say_as(who: int, group: int, folder: Path, commands: tuple[tuple[str, ...], ...]) -> Said:
    """Carry out commands one after the other, as far as the first that does not come through."""
    with tempfile.TemporaryDirectory() as own:
        said = Path(own, "out"), Path(own, "err")
        process = FORKED.Process(target=_carry_out, args=(who, group, folder, commands, said))
        process.start()
        process.join()
        return Said(process.exitcode, *(path.read_text(encoding="utf-8") for path in said))


def _carry_out(who: int, group: int, folder: Path, commands: tuple[tuple[str, ...], ...], said) -> None:
    for number, path in enumerate(said, 1):
        os.dup2(os.open(path, os.O_WRONLY | os.O_CREAT), number)
    os.environ.clear()
    os.environ.update(PATH=os.defpath, HOME="/nonexistent", READINESS_CACHE="")
    os.umask(0o022)
    os.setgroups([group])
    os.setresgid(who, who, who)
    os.setresuid(who, who, who)
    os.chdir(folder)
    for words in commands:
        code = os.chdir(words[1]) or 0 if words[0] == "cd" else main(words)
        if code:
            sys.exit(code)
