"""Stops every command that writes before, half-way through and after each call that changes a file or folder.

Usage: ``python tests/faults/stop_anywhere.py [--quick] [COMMAND ...]`` (not on Windows). Each try begins with
the same studio. A process of its own carries the command out and is killed at one call; in further tries that
call is refused, as a full disk refuses it. After each try:

- every student file is what it was or what the command makes of it, to the byte; where an append was stopped
  half-way, its one problem is the entry that was cut off, and without those lines the file is what it was;
- a command that said it was done has done it, and one that was refused has changed nothing;
- the next command works: the same one where nothing had happened yet, else another one in that folder; and
  nothing is left beside the files but what somebody typed.
"""

from __future__ import annotations

import argparse
import errno
import gc
import os
import shutil
import signal
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from functools import cache, partial
from importlib import import_module
from io import StringIO
from pathlib import Path

import readiness.studio.load
from readiness.cli.commands import COMMANDS
from readiness.cli.main import main as carry_out
from readiness.course.load import load_course
from readiness.days import day_number
from readiness.record import draft_entry as half_done
from readiness.record.load import load_record
from readiness.record.marks import CUT_OFF, cut_off
from readiness.record.noting import NewLesson, note_lesson
from readiness.toml import new_files

ROOT = Path(__file__).parents[2]
COURSE = ROOT / "skill_graphs" / "first-two-years"
DAY = "2025-12-16"
LESSON = NewLesson(day_number(DAY), {"wrist-lift": 0, "feet-supported": 1}, by="OB", note="from the round")
KILLED = -signal.SIGKILL

CALLS = (
    "open", "write", "fsync", "ftruncate", "truncate", "unlink", "remove", "rename", "replace", "link",
    "symlink", "mkdir", "rmdir", "chmod", "fchmod", "chown", "fchown", "setxattr",
)  # fmt: skip
WHOLE = ("before", "after", "refused")
HOW = (*WHOLE, "first byte", "half", "all but one")
QUICK = ("note", "resume", "resume, a second name", "round noted", "enrol", "forget with a copy", "start")
MAKES = os.O_CREAT | os.O_TRUNC


class Stopper:
    """Stands in the way of the calls of this process: tells them to a file, and ends it at one."""

    def __init__(self, told: Path, at: int = 0, how: str = "") -> None:
        self.told, self.at, self.how, self.count = told, at, how, 0

    def stand_in_the_way(self) -> None:
        for name in CALLS:
            setattr(os, name, partial(self.called, name, getattr(os, name)))
        new_files.exchange = partial(self.called, "exchange", new_files.exchange)

    def called(self, name, real, *args, **named):
        if name == "open" and not args[1] & MAKES:
            return real(*args, **named)
        self.count += 1
        with self.told.open("a", encoding="utf-8") as file:
            file.write(f"{name} {'' if name == 'write' else Path(str(args[0])).name}\n")
        if self.count != self.at:
            return real(*args, **named)
        if self.how == "refused":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        try:
            if self.how == "after":
                real(*args, **named)
            elif self.how != "before":
                data = args[1]
                part = {"first byte": 1, "half": len(data) // 2, "all but one": len(data) - 1}[self.how]
                real(args[0], data[:part])
        finally:
            os.kill(os.getpid(), signal.SIGKILL)


@dataclass(frozen=True)
class Case:
    """One command that writes.

    Attributes:
        name, act: the command; prepare: what is done before it.
        about: the student.
        makes_studio: whether it makes one; is_once: whether it does nothing where it was done.
    """

    name: str
    act: Callable[[], int]
    prepare: Callable[[], object] = lambda: None
    about: str = "temwa"
    makes_studio: bool = False
    is_once: bool = False


@dataclass
class Tally:
    """What was tried, and what went wrong."""

    commands: int = 0
    tries: Counter = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)


def command(*words: str) -> Callable[[], int]:
    """Return a command as it is typed."""
    return lambda: carry_out(list(words))


def noted(*words: str) -> Callable[[], int]:
    return command("note", "temwa", "--on", DAY, *words)


def in_the_file(path: str, text: str) -> Callable[[], object]:
    """Return what puts a text at the end of a file."""
    return lambda: Path(path).write_bytes(Path(path).read_bytes() + text.encode())


def with_record(note: Callable[..., tuple], student: str) -> int:
    """Note the lesson of a round that was half entered, as the screens and the round at a terminal do."""
    path = Path("students", f"{student}.toml").absolute()
    course = load(COURSE).course
    kept = half_done.offered(path)
    if kept is None:
        return 0
    refused = note(course, load_record(path, course).record, kept, path.parent, kept.on)
    return 2 if refused or half_done.drop(path) else 0


def keep_round(student: str) -> int:
    return 2 if half_done.keep(Path("students", f"{student}.toml").absolute(), LESSON) else 0


RESUME = ("resume", "temwa", "--on", DAY, "--by", "the mother", "--words", "fine")
PAUSE = ("pause", "temwa", "--on", DAY, "--words", "sore", "--part", "hand")
GIVE = ("task", "temwa", "--on", DAY, "--give", "wrist-lift", "--text", "up", "--minutes", "5", "--days", "5")
REPORT = ("task", "temwa", "--on", DAY, "--report", "1", "--days", "3")
ENROL = ("enrol", "zuri", "--name", "Zuri", "--born", "2019-05", "--on", DAY)
OWN = ("particulars", "temwa", "--on", DAY, "--bench", "46 cm", "--told", "her mother=the bench")
CASES = (
    Case("note", noted("--alone", "wrist-lift", "--by", "OB", "--text", "a good day")),
    Case("pause", command(*PAUSE)),
    Case("resume", command(*RESUME), command(*PAUSE)),
    Case(
        "resume, a second name", command(*RESUME),
        lambda: (command(*PAUSE)(), os.link("students/temwa.toml", "second")),
    ),
    Case("task given", command(*GIVE)),
    Case("task reported", command(*REPORT)),
    Case("promise given", command("promise", "temwa", "--on", DAY, "--give", "a song", "--to", "her mother")),
    Case("promise answered", command("promise", "temwa", "--on", DAY, "--answer", "1", "--words", "done")),
    Case("decide", command("decide", "temwa", "move", "--on", DAY, "--reason", "together")),
    Case("consent", command("consent", "temwa", "video", "yes", "--by", "her mother", "--on", DAY)),
    Case("undo a note", command("undo", "temwa"), noted("--alone", "wrist-lift")),
    Case("undo a report", command("undo", "temwa"), command(*REPORT)),
    Case("corrected", command("correct", "temwa", "2", "wrist-lift", "--on", "2025-12-09")),
    Case("note kept", noted("--text", "typed"), in_the_file("students/temwa.toml", "\n[[lesson]\n")),
    Case("note dropped", noted("--drop"), lambda: keep_round("temwa")),
    Case("round kept", lambda: keep_round("temwa")),
    Case("round noted", lambda: with_record(note_lesson, "temwa"), lambda: keep_round("temwa"), is_once=True),
    Case(
        "placing noted", lambda: with_record(partial(note_lesson, is_placing=True), "alma"),
        lambda: keep_round("alma"), "alma",
        is_once=True,
    ),
    Case("particulars", command(*OWN)),
    Case("enrol", command(*ENROL), about="zuri"),
    Case(
        "enrol after leftovers", command(*ENROL),
        lambda: shutil.copy("students/temwa.toml", "students/.zuri.half-done.else.json"), about="zuri",
    ),
    Case("forget", command("forget", "temwa", "--yes"), lambda: keep_round("temwa")),
    Case("forget with a copy", command("forget", "temwa", "--yes", "--export", "copy.toml")),
    Case("start", command("start", "new", "--name", "New"), makes_studio=True),
    Case(
        "start in a folder", command("start", "new", "--with-demo"), lambda: Path("new").mkdir(),
        makes_studio=True,
    ),
)


def made(room: Path) -> None:
    """Make the studio that every try begins with."""
    students = room / "students"
    students.mkdir(parents=True)
    for one in ("temwa", "noemi"):
        shutil.copyfile(ROOT / "demo_students" / f"{one}.toml", students / f"{one}.toml")
    (students / "alma.toml").write_text('format = 1\nname = "Alma"\nborn = "2019-05"\n', encoding="utf-8")
    text = f'format = 1\nname = "Own"\ncourse = "{COURSE}"\nstudents = "students"\ntoday = {DAY}\n'
    (room / "studio.toml").write_text(text, encoding="utf-8")


def warmed(room: Path) -> None:
    """Import and work out here what every process that is begun from this one would for itself."""
    made(room)
    with chdir(room), redirect_stdout(StringIO()), redirect_stderr(StringIO()):
        for one in COMMANDS:
            import_module(one.module)
        for words in (("why", "noemi"), ("note", "noemi", "--on", DAY, "--text", "next")):
            carry_out(words)
    gc.freeze()


def in_process(act: Callable[[], int], room: Path, stopper: Stopper | None = None) -> int:
    """Carry something out in a process of its own, and return its exit code or the signal that ended it."""
    child = os.fork()
    if child == 0:
        os.chdir(room)
        for stream in (1, 2):
            os.dup2(os.open(room.parent / "said", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600), stream)
        if stopper is not None:
            stopper.stand_in_the_way()
        code = 70
        try:
            code = int(act())
            sys.stdout.flush()
        finally:
            sys.stderr.flush()
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def files(room: Path) -> dict[str, bytes]:
    """Return everything in a folder but what programs that died may leave for the next to clear."""
    return {
        str(path.relative_to(room)): path.read_bytes()
        for path in sorted(room.rglob("*"))
        if path.is_file() and path.suffix not in (".new", ".was") and ".new/" not in str(path)
    }


def left(room: Path) -> list[str]:
    return [str(path.relative_to(room)) for path in room.rglob("*") if path.suffix in (".new", ".was")]


class Trying:
    """One case: what the studio was, what the command makes of it, and all the tries."""

    def __init__(self, case: Case, base: Path, tally: Tally) -> None:
        self.case, self.base, self.tally = case, base, tally
        self.room = base / "room"
        shutil.rmtree(self.room, ignore_errors=True)
        made(self.room)
        assert in_process(lambda: case.prepare() is NotImplemented, self.room) == 0, self.said()
        shutil.rmtree(base / "as it was", ignore_errors=True)
        self.room.rename(base / "as it was")
        self.fresh()
        self.before = files(self.room)
        self.code = in_process(case.act, self.room, Stopper(base / "calls"))
        assert self.code == (2 if case.name == "note kept" else 0), (case.name, self.code, self.said())
        self.calls = (base / "calls").read_text(encoding="utf-8").splitlines()
        self.after = files(self.room)
        assert self.after != self.before, case.name

    def said(self) -> str:
        return (self.base / "said").read_text(encoding="utf-8")

    def fresh(self) -> None:
        """Let everything be as it was; of a file with two names both are kept."""
        for one in ("said", "calls"):
            (self.base / one).unlink(missing_ok=True)
        shutil.rmtree(self.room, ignore_errors=True)
        shutil.copytree(self.base / "as it was", self.room)
        if (self.room / "second").exists():
            (self.room / "second").unlink()
            (self.room / "second").hardlink_to(self.room / "students" / "temwa.toml")

    def all(self, hows: tuple[str, ...]) -> None:
        """Try every call in every way that fits it."""
        for at, call in enumerate(self.calls, 1):
            for how in hows:
                if how in WHOLE or call.startswith("write"):
                    self.one(at, how)

    def one(self, at: int, how: str) -> None:
        self.fresh()
        code = in_process(self.case.act, self.room, Stopper(self.base / "calls", at, how))
        assert how == "refused" or code == KILLED, (self.case.name, at, how)
        self.tally.tries[how] += 1
        for wrong in self.wrong(code, how, self.calls[at - 1]):
            self.tally.wrong.append(f"{self.case.name}, {how} {at}, {self.calls[at - 1]}: {wrong}")

    def wrong(self, code: int, how: str, call: str) -> Iterator[str]:
        """Yield what is wrong after a try, and after the next command."""
        if any(self.room.rglob("*.was")):
            in_process(command("why", "noemi"), self.room)  # whoever reads puts it back
        now = files(self.room)
        state = self.state(now)
        if "Traceback" in self.said():
            yield f"a traceback: {self.said()[-600:]}"
        if state == "neither":
            yield f"neither as it was nor as it is to be: {_differing(now, self.before)}"
            return
        if code == 0 and state != "after":
            yield "it said that it is done, and it is not"
        if how == "refused" and code not in (0, 2):
            yield f"refused, it ended with {code}"
        if how == "refused" and left(self.room) and not call.startswith(("unlink", "rmdir")):
            yield f"refused, it left {left(self.room)}"
        if state == "cut off":
            yield from self.taken_out()
        yield from self.once_more(state)
        yield from self.another(is_left=how == "refused" and call.startswith("unlink"))

    def state(self, now: dict[str, bytes]) -> str:
        """Return how things stand: as before, as after, partly so, an entry cut off, or none of these."""
        name, about = f"students/{self.case.about}.toml", self.case.about
        ended = {**now, name: now.get(name, b"") + b"\n"}
        states = {
            "after": lambda: self.after in (now, ended),
            "before": lambda: _hidden(_differing(now, self.before), about),
            "after, not all": lambda: _hidden(_differing(now, self.after), about)
            or _hidden(_differing(ended, self.after), about),
            "cut off": lambda: _differing(now, self.before) == {name} and self.is_cut(now[name]),
            "before, with a copy": lambda: now == {**self.before, "copy.toml": self.before[name]},
            "before, with parts": lambda: self.case.makes_studio and self.is_partly(now),
        }
        return next((state for state, holds in states.items() if holds()), "neither")

    def is_partly(self, now: dict[str, bytes]) -> bool:
        """Return whether a studio that is being made has nothing but right parts, and is none yet."""
        new = {one: data for one, data in now.items() if self.before.get(one) != data}
        return "new/studio.toml" not in new and all(self.after.get(one) == new[one] for one in new)

    @property
    def path(self) -> Path:
        return self.room / "students" / f"{self.case.about}.toml"

    def is_cut(self, data: bytes) -> bool:
        """Return whether a file has one problem, the entry that was cut off, and was right before."""
        before = self.before[f"students/{self.case.about}.toml"]
        cuts, problems = cut_off(data.decode()), load_record(self.path, load(COURSE).course).problems
        if not cuts:  # no more than the beginning of a comment, or of nothing
            rest = data.removeprefix(before).strip()
            return problems == () and (not rest or rest.startswith(b"#")) and b"\n" not in rest
        kept = data.split(b"\n")[: cuts[0].first - 1]
        is_all = cuts[0].last == data.rstrip().count(b"\n") + 1
        is_named = is_all and [one.id for one in problems] == [CUT_OFF]
        return is_named and b"\n".join(kept).rstrip() == before.rstrip()

    def taken_out(self) -> Iterator[str]:
        """Take the entry that was cut off out, as the hint says; before that nothing more is noted."""
        if cut_off(self.path.read_text(encoding="utf-8")):
            if in_process(self.case.act, self.room) == 0 and self.case.name != "pause":
                yield "the next entry was put behind one that was cut off"
            self.path.write_bytes(self.before[f"students/{self.case.about}.toml"])

    def once_more(self, state: str) -> Iterator[str]:
        """Carry the command out again: it does what it did not do, and does nothing twice."""
        code, now = in_process(self.case.act, self.room), files(self.room)
        differing = {
            one for one in _differing(now, self.after) if now.get(one, b"") + b"\n" != self.after.get(one)
        }
        if state != "after":
            if code != self.code or not (_hidden(differing, self.case.about) or state == "cut off"):
                yield f"{state}; once more ended with {code}, differing in {differing}: {self.said()[-300:]}"
        elif self.case.is_once and now != self.after:
            yield "what was noted before is there twice"

    def another(self, *, is_left: bool) -> Iterator[str]:
        """Carry another command out in the same folder: it works, and nothing is left beside the files.

        What could not be deleted in another folder stays until something of that name is written there.
        """
        if not self.case.makes_studio:
            code = in_process(command("note", "noemi", "--on", DAY, "--text", "next"), self.room)
            if code != 0:
                yield f"the next note ended with {code}: {self.said()[-300:]}"
        where = self.room / "students" if is_left else self.room
        students = self.room / "students"
        drafts = [one.name for one in students.glob(".*.json")]
        alone = [one for one in drafts if not (students / f"{one.split('.')[1]}.toml").exists()]
        if found := [*left(where), *alone]:
            yield f"{found} lies about"


def _differing(now: dict[str, bytes], other: dict[str, bytes]) -> set[str]:
    return {one for one in {*now, *other} if now.get(one) != other.get(one)}


def _hidden(names: set[str], about: str) -> bool:
    """Return whether all names are of what is kept beside the file of one student."""
    return all(one.startswith(f"students/.{about}.") for one in names)


@cache
def load(folder: Path):
    return load_course(folder)


def try_all(names: list[str], *, quick: bool) -> Tally:
    """Try all cases, or those named; quickly: some, killed half-way through writing and after each call."""
    readiness.studio.load.read_course = lambda folder, _: load(folder)
    tally = Tally()
    with tempfile.TemporaryDirectory(prefix="readiness-stop-") as folder:
        warmed(Path(folder, "warm"))
        for case in CASES:
            if case.name in (names or (QUICK if quick else [case.name])):
                tally.commands += 1
                Trying(case, Path(folder), tally).all(("half", "after") if quick else HOW)
    return tally


def main() -> int:
    """Try, and say how often and what went wrong."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("commands", nargs="*", choices=[[], *(case.name for case in CASES)])
    args = parser.parse_args()
    os.environ["READINESS_CACHE"] = ""
    os.environ.pop("READINESS_STUDIO", None)
    tally = try_all(args.commands, quick=args.quick)
    counts = ", ".join(f"{how} {count}" for how, count in tally.tries.items())
    print(f"{tally.tries.total()} tries of {tally.commands} commands ({counts}); {len(tally.wrong)} wrong")
    for one in tally.wrong:
        print(one)
    return 1 if tally.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
