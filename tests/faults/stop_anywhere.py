"""Stops every command that writes before, half-way through and after each call that changes something on the disk.

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
import os
import shutil
import signal
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache, partial
from importlib import import_module
from pathlib import Path

import readiness.studio.load
from readiness.cli.commands import COMMANDS
from readiness.cli.main import main as carry_out
from readiness.course.load import load_course
from readiness.days import day_number
from readiness.record import half_done
from readiness.record.beside import orphans
from readiness.record.cut_off import CUT_OFF, cut_off
from readiness.record.load import load_record
from readiness.record.noting import NewLesson, note_lesson
from readiness.record.placing_lesson import note_placing_lesson

ROOT = Path(__file__).parents[2]
COURSE = ROOT / "skill_graphs" / "first-two-years"
DAY = "2025-12-16"
LESSON = NewLesson(day_number(DAY), {"wrist-lift": 0, "feet-supported": 1}, by="OB", note="from the round")
KILLED = -signal.SIGKILL

CALLS = (
    "open", "write", "fsync", "ftruncate", "truncate", "unlink", "remove", "rename", "replace", "link", "symlink",
    "mkdir", "rmdir", "chmod", "fchmod", "chown", "fchown", "setxattr",
)  # fmt: skip
HOW = ("before", "first byte", "half", "all but one", "after", "refused")
MAKES = os.O_CREAT | os.O_TRUNC


class Stopper:
    """Stands in the way of the calls of this process: counts them, and ends it at one."""

    def __init__(self, at: int, how: str) -> None:
        self.at, self.how, self.count = at, how, 0

    def stand_in_the_way(self) -> None:
        for name in CALLS:
            setattr(os, name, partial(self.called, name, getattr(os, name)))

    def called(self, name, real, *args, **named):
        if name == "open" and not args[1] & MAKES:
            return real(*args, **named)
        self.count += 1
        if self.count != self.at:
            return real(*args, **named)
        if self.how == "refused":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        if self.how == "after":
            real(*args, **named)
        elif self.how != "before" and name == "write":
            data = args[1]
            part = {"first byte": 1, "half": len(data) // 2, "all but one": len(data) - 1}[self.how]
            real(args[0], data[:part])
        os.kill(os.getpid(), signal.SIGKILL)
        raise AssertionError


@dataclass(frozen=True)
class Case:
    """One command that writes: what is done before it, and itself."""

    name: str
    act: Callable[[], int]
    prepare: Callable[[], object] = lambda: None
    about: str = "temwa"
    makes_studio: bool = False


@dataclass
class Tally:
    """What was tried, and what went wrong."""

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
    course = readiness.studio.load.load_course(COURSE).course
    kept = half_done.offered(path)
    if kept is None:
        return 1
    refused = note(course, load_record(path, course).record, kept, path.parent, kept.on)
    return 2 if refused or half_done.drop(path) else 0


def keep_round(student: str) -> int:
    return 2 if half_done.keep(Path("students", f"{student}.toml").absolute(), LESSON) else 0


RESUME = ("resume", "temwa", "--on", DAY, "--by", "the mother", "--words", "fine")
GIVE = ("task", "temwa", "--on", DAY, "--give", "wrist-lift", "--text", "lifts", "--minutes", "5", "--days", "5")
CASES = (
    Case("note", noted("--alone", "wrist-lift", "--by", "OB", "--text", "a good day")),
    Case("pause", command("pause", "temwa", "--on", DAY, "--words", "sore", "--part", "hand")),
    Case("resume", command(*RESUME), command("pause", "temwa", "--on", DAY, "--words", "sore")),
    Case(
        "resume, a second name", command(*RESUME),
        lambda: (command("pause", "temwa", "--on", DAY, "--words", "sore")(), os.link("students/temwa.toml", "second")),
    ),
    Case("task given", command(*GIVE)),
    Case("task reported", command("task", "temwa", "--on", DAY, "--report", "1", "--days", "3")),
    Case("promise given", command("promise", "temwa", "--on", DAY, "--give", "a song", "--to", "her mother")),
    Case("promise answered", command("promise", "temwa", "--on", DAY, "--answer", "1", "--words", "done")),
    Case("decide", command("decide", "temwa", "move", "--on", DAY, "--reason", "together")),
    Case("consent", command("consent", "temwa", "video", "yes", "--by", "her mother", "--on", DAY)),
    Case("undo a note", command("undo", "temwa"), noted("--alone", "wrist-lift")),
    Case(
        "undo a report", command("undo", "temwa"),
        command("task", "temwa", "--on", DAY, "--report", "1", "--days", "3"),
    ),
    Case("note kept", noted("--text", "typed"), in_the_file("students/temwa.toml", "\n[[lesson]\n")),
    Case("note dropped", noted("--drop"), lambda: keep_round("temwa")),
    Case("round kept", lambda: keep_round("temwa")),
    Case("round noted", lambda: with_record(note_lesson, "temwa"), lambda: keep_round("temwa")),
    Case(
        "placing noted", lambda: with_record(note_placing_lesson, "alma"), lambda: keep_round("alma"), about="alma"
    ),
    Case("enrol", command("enrol", "zuri", "--name", "Zuri", "--born", "2019-05", "--on", DAY), about="zuri"),
    Case(
        "enrol after leftovers", command("enrol", "zuri", "--name", "Zuri", "--born", "2019-05", "--on", DAY),
        lambda: shutil.copy("students/temwa.toml", "students/.zuri.half-done.else.json"), about="zuri",
    ),
    Case("forget", command("forget", "temwa", "--yes"), lambda: keep_round("temwa")),
    Case("forget with a copy", command("forget", "temwa", "--yes", "--export", "copy.toml")),
    Case("start", command("start", "new", "--name", "New"), makes_studio=True),
    Case("start in a folder", command("start", "new", "--with-demo"), lambda: Path("new").mkdir(), makes_studio=True),
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
        self.fresh()
        self.before = files(self.room)
        code = in_process(case.act, self.room)
        assert code == (2 if case.name == "note kept" else 0), (case.name, code, self.said())
        self.code, self.after = code, files(self.room)
        assert self.after != self.before, case.name

    def said(self) -> str:
        return (self.base / "said").read_text(encoding="utf-8")

    def fresh(self) -> None:
        shutil.rmtree(self.room, ignore_errors=True)
        made(self.room)
        (self.base / "said").unlink(missing_ok=True)
        assert in_process(lambda: self.case.prepare() and 0 or 0, self.room) == 0, self.said()

    def all(self, hows: tuple[str, ...]) -> None:
        """Try every call in every way, until the command comes through."""
        for how in hows:
            at, code = 1, KILLED
            while at == 1 or self.was_reached:
                code = self.one(at, how)
                at += 1
            assert code == self.code, (self.case.name, how, at, code)

    def one(self, at: int, how: str) -> int:
        self.fresh()
        marker = self.base / "reached"
        marker.unlink(missing_ok=True)
        stopper = Stopper(at, how)
        stopper.called = partial(_marking, stopper, stopper.called, marker)
        code = in_process(self.case.act, self.room, stopper)
        self.was_reached = marker.exists()
        self.tally.tries[how] += 1
        for wrong in self.wrong(code, how):
            self.tally.wrong.append(f"{self.case.name}, call {at}, {how} ({marker_text(marker)}): {wrong}")
        return code

    def wrong(self, code: int, how: str) -> Iterator[str]:
        """Yield what is wrong after a try, and after the next command."""
        now = files(self.room)
        if "Traceback" in self.said():
            yield f"a traceback: {self.said()[-600:]}"
        state = self.state(now)
        if state == "neither":
            changed = [name for name in {*now, *self.before} if now.get(name) != self.before.get(name)]
            yield f"the files are neither as they were nor as they are to be: {changed}"
            return
        if code == self.code and state != "after" and self.code == 0:
            yield "it said that it is done, and it is not"
        if how == "refused" and self.was_reached:
            if code not in (0, 2):
                yield f"refused, it ended with {code}"
            if left(self.room):
                yield f"refused, it left {left(self.room)}"
        yield from self.next(state)

    def state(self, now: dict[str, bytes]) -> str:
        """Return how things stand: as before, as after, an entry cut off, partly forgotten, or neither."""
        if now == self.after:
            return "after"
        if now == self.before:
            return "before"
        name = f"students/{self.case.about}.toml"
        if name in now and {**now, name: now[name] + b"\n"} == self.after:
            return "after"
        others = {one: data for one, data in now.items() if one != name}
        if _only_hidden_differ(now, self.before, self.case.about):
            return "before"
        if _only_hidden_differ(now, self.after, self.case.about):
            return "after, not all"
        if others == {one: data for one, data in self.before.items() if one != name} and self.is_cut(now[name]):
            return "cut off"
        if self.case.name == "forget with a copy" and others.get("copy.toml") == self.before[name]:
            return "before"
        if self.case.makes_studio and _only_parts(now, self.before, self.after):
            return "before"
        return "neither"

    def is_cut(self, data: bytes) -> bool:
        """Return whether a file has one problem, the entry that was cut off, and was right before it."""
        path, course = self.room / "students" / f"{self.case.about}.toml", load(COURSE).course
        before = self.before[f"students/{self.case.about}.toml"]
        cuts = cut_off(data.decode())
        problems = load_record(path, course).problems
        lines = data.decode().split("\n")
        without = "\n".join(lines[: cuts[0].first - 1]).rstrip() + "\n" if cuts else data.decode().rstrip() + "\n"
        is_right = [one.id for one in problems] == [CUT_OFF] if cuts else problems == ()
        return is_right and without.encode() == before.rstrip() + b"\n" and data.startswith(before)

    def next(self, state: str) -> Iterator[str]:
        """Yield what is wrong with the next command."""
        if state == "cut off":
            path = self.room / "students" / f"{self.case.about}.toml"
            if cut_off(path.read_text(encoding="utf-8")):
                if in_process(self.case.act, self.room) == 0 and self.case.name != "pause":
                    yield "the next entry was put behind one that was cut off"
                path.write_bytes(self.before[f"students/{self.case.about}.toml"])
                for kept in path.parent.glob(f".{self.case.about}.*"):
                    kept.unlink()
        code = in_process(self.case.act, self.room)
        now = files(self.room)
        if state != "after" and not (code == self.code and _only_hidden_differ(now, self.after, self.case.about)):
            changed = [name for name in {*now, *self.after} if now.get(name) != self.after.get(name)]
            if not (self.case.name == "round noted" and code == 1) and state != "cut off":
                yield f"after {state}, once more ended with {code}, differing in {changed}: {self.said()[-300:]}"
        if state == "after" and self.doubled(now):
            yield "what was noted before is there twice"
        if not self.case.makes_studio:
            code = in_process(command("note", "noemi", "--on", DAY, "--text", "next"), self.room)
            if code != 0:
                yield f"the next note ended with {code}: {self.said()[-300:]}"
            if found := [*left(self.room), *map(str, orphans(self.room / "students"))]:
                yield f"{found} lies about"
        elif found := left(self.room):
            yield f"{found} lies about"

    def doubled(self, now: dict[str, bytes]) -> bool:
        return self.case.name in ("round noted", "placing noted") and now != self.after


def _marking(stopper: Stopper, real, marker: Path, name, call, *args, **named):
    """Say in a file which call it is that is stopped; that is no call of the program."""
    if stopper.count + 1 == stopper.at and not (name == "open" and not args[1] & MAKES):
        with marker.open("w", encoding="utf-8") as file:
            file.write(f"{name} {args[0] if name != 'write' else ''}")
    return real(name, call, *args, **named)


def marker_text(marker: Path) -> str:
    return marker.read_text(encoding="utf-8").strip() if marker.exists() else "came through"


def _only_hidden_differ(now: dict[str, bytes], other: dict[str, bytes], about: str) -> bool:
    """Return whether two folders differ in nothing but what is kept beside the file of one student."""
    begin = f"students/.{about}."
    names = {one for one in {*now, *other} if now.get(one) != other.get(one)}
    return all(one.startswith(begin) for one in names)


def _only_parts(now: dict[str, bytes], before: dict[str, bytes], after: dict[str, bytes]) -> bool:
    """Return whether a studio that is being made has nothing but right parts, and is none yet."""
    new = {one: data for one, data in now.items() if before.get(one) != data}
    return "new/studio.toml" not in new and all(after.get(one) == data for one, data in new.items())


@cache
def load(folder: Path):
    return load_course(folder)


def try_all(names: list[str], *, quick: bool) -> Tally:
    """Try all cases, or those named; quickly: killed half-way through writing and after each call."""
    readiness.studio.load.load_course = load
    load(COURSE)
    for one in COMMANDS:
        import_module(one.module)
    tally = Tally()
    with tempfile.TemporaryDirectory(prefix="readiness-stop-") as folder:
        for case in CASES:
            if not names or case.name in names:
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
    print(f"{tally.tries.total()} tries of {len(args.commands or CASES)} commands ({counts}); {len(tally.wrong)} wrong")
    for one in tally.wrong:
        print(one)
    return 1 if tally.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
