"""How long a whole school takes: reading it, reading it again, judging it, and the same by other means.

Printed, never a test. Everything is measured in one run, step by step in turn, the best of several
rounds; what counts is how the rows stand to one another. Before any time is told, verdicts and
states of the engine are compared with those of the peers, and the run ends where one differs.

Run it with ``python tests/bench/school_speed.py [STUDENTS] [ROUNDS] [--commands [NAME ...]]`` (1,500 and 3),
with the extra ``test`` installed; it takes some minutes. With ``--commands`` only whole commands are
measured, those that begin with a name that is given; ``demo`` in place of a number asks the demo.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from hashlib import sha256
from pathlib import Path
from resource import RUSAGE_CHILDREN, RUSAGE_SELF, getrusage
from shutil import copytree

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent)]

from bench.school import COURSE, NOTES, STUDENTS, TODAY, write_school  # noqa: E402
from bench.timing import Best, machine, table  # noqa: E402

from readiness.course.load import load_course  # noqa: E402
from readiness.judging import judge  # noqa: E402
from readiness.studio.cache import keeping  # noqa: E402
from readiness.studio.find import find_studio  # noqa: E402
from readiness.studio.load import Studio, load_studio, student_files  # noqa: E402

ROUNDS = 3
SAMPLE = 100
NAIVE = 12
ON = TODAY.toordinal()


def opened(students: Path, cache: Path | None = None) -> Studio:
    """Read the school; with a folder to keep things in, as the commands do."""
    with keeping(cache, student_files(students)) as read_student:
        return load_studio(find_studio(None, students, students, {}), read_student)


def verdicts(studio: Studio) -> list[str]:
    assert studio.course is not None
    return [judge(studio.course, record, ON).verdict for record in studio.records.values()]


def findings(studio: Studio) -> None:
    """Judge all with the reasons."""
    assert studio.course is not None
    for record in studio.records.values():
        judge(studio.course, record, ON).findings  # noqa: B018 - that it is made is what is measured


def everything(studio: Studio) -> None:
    """Judge all and read all of each answer."""
    assert studio.course is not None
    for record in studio.records.values():
        answer = judge(studio.course, record, ON)
        for one in answer.standings.values():
            one.state  # noqa: B018 - that it is made is what is measured
        answer.findings, answer.look_first, answer.earliest  # noqa: B018


def over_notes(studio: Studio) -> int:
    """Go over all notes and do nothing."""
    many = 0
    for record in studio.records.values():
        for lesson in record.lessons:
            for _ in lesson.showings:
                many += 1
    return many


def one_round(best: Best, folder: Path, cache: Path) -> None:
    students = folder / "students"
    files = student_files(students)
    with best.of("read all bytes"):
        data = [path.read_bytes() for path in files]
    with best.of("read and hash"):
        for path in files:
            sha256(path.read_bytes()).digest()
    texts = [one.decode() for one in data]
    with best.of("the course alone"):
        load_course(COURSE)
    with best.of("tomllib alone"):
        for text in texts:
            tomllib.loads(text)
    with best.of("open, nothing kept"):
        studio = opened(students)
    judging(best, studio)
    opened(students, cache)
    with best.of("open again, nothing changed"):
        again = opened(students, cache)
    with best.of("open again, then all verdicts"):
        found = verdicts(opened(students, cache))
    assert found == verdicts(again) == verdicts(studio)


def judging(best: Best, studio: Studio) -> None:
    """Judge records that were just read, then the same records once more."""
    over_notes(studio)
    with best.of("an empty loop over all notes"):
        over_notes(studio)
    with best.of("all verdicts, just read"):
        verdicts(studio)
    with best.of("all verdicts, asked again"):
        verdicts(studio)
    with best.of("all verdicts with their findings"):
        findings(studio)
    with best.of("everything of all answers"):
        everything(studio)
    from_columns(best, studio)


def from_columns(best: Best, studio: Studio) -> None:
    """Judge the same students from columns, as a network of schools is judged."""
    # Imported here, since the memory of what only this needs is not to be counted with the rest.
    from readiness.cohort import VERDICTS, Unreadable, gather, judge_columns

    assert studio.course is not None
    with best.of("columns made of the records"):
        columns = gather("school", studio.records.values(), studio.course)
    judge_columns(columns, studio.course, ON)
    with best.of("all verdicts, from columns"):
        found = judge_columns(columns, studio.course, ON)
    assert not isinstance(found, Unreadable)
    assert [VERDICTS[one] for one in found.verdict] == verdicts(studio)


def peak(what: str, students: Path, cache: Path) -> float:
    """Do one thing in this process and return the most memory it took, in MB.

    Linux alone tells the peak of a program apart from that of whoever started it.
    """
    doing, _, again = what.partition(" ")
    if doing != "imports":
        studio = opened(students, cache if again else None)
        WAYS[doing](studio)
    status = Path("/proc/self/status")
    if status.exists():
        return int(re.search(r"VmHWM:\s+(\d+) kB", status.read_text())[1]) / 1024
    return getrusage(RUSAGE_SELF).ru_maxrss / 1024


WAYS = {
    "open": lambda studio: studio.records, "judge": verdicts, "everything": everything,
    "twice": lambda studio: (everything(studio), everything(studio)),
}  # fmt: skip


# Whole commands in processes of their own: what is asked, beside what, and how many times that it may take.

FOUND = "a student's id in capital letters, which is looked for among all"
ROUND = "the number of the round, so that nothing is noted twice"
ASKED: list[tuple[str, tuple[str, ...], str, float | None]] = [
    ("python -c pass", (), "", None),
    ("--help", ("--help",), "python -c pass", 4),
    ("why", ("why", FOUND), "python -c pass", 12),
    ("note", ("note", FOUND, "1", "wrist-lift", "--yes", "--text", ROUND), "python -c pass", 10),
    ("why, after a note", ("why", FOUND), "python -c pass", 12),
    ("note, of several", ("note", FOUND, "1", "fing", "--yes", "--text", ROUND), "python -c pass", 10),
    ("note, the one due", ("note", FOUND, "1", "hand", "--yes", "--text", ROUND), "python -c pass", 10),
    ("note, no such skill", ("note", FOUND, "1", "xyzzy", "--yes", "--text", ROUND), "python -c pass", None),
    ("roster", ("roster",), "", None),
    ("roster --json", ("roster", "--json"), "roster", 3),
    ("recheck", ("recheck",), "roster", 3),
    ("today", ("today",), "roster", None),
    ("ask look", ("ask", "look"), "roster", None),
    ("ask all", ("ask", "all"), "", None),
    ("moderate", ("moderate",), "ask all", 1),
    ("both courses judged", (), "", None),
    ("compare", ("compare", "--set", "band.6-7.carry_limit=1"), "both courses judged", 2),
    ("retire", ("retire", "shares-programme"), "both courses judged", 2),
]


def took(command: Sequence[str], folder: Path, cache: Path) -> float:
    """Return the processor time of a process and all it started, compiled before as an installed one is."""
    before = getrusage(RUSAGE_CHILDREN)
    environ = {
        **os.environ, "READINESS_CACHE": str(cache), "PYTHONPATH": str(HERE.parents[1]),
        "PYTHONDONTWRITEBYTECODE": "", "PYTHONPYCACHEPREFIX": str(cache.parent / "compiled"),
    }  # fmt: skip
    subprocess.run([sys.executable, *command], check=False, capture_output=True, cwd=folder, env=environ)
    after = getrusage(RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def commands(folder: Path, cache: Path, rounds: int, names: Sequence[str]) -> list[tuple[str, ...]]:
    """Return what each command takes beside its peer, the best of some rounds in turn."""
    best: dict[str, float] = {}
    asked = [one for one in ASKED if not names or one[0].startswith(("python -c pass", *names))]
    students = str(folder / "students")
    late = student_files(folder if folder.name == "students" else folder / "students")[-1].stem.upper()
    for number in range(rounds):
        for name, words, _, _ in asked:
            typed = [{FOUND: late, ROUND: f"{number}"}.get(word, word) for word in words]
            command = ("-m", "readiness", *typed) if words else ("-c", "pass")
            if name == "both courses judged":
                command = (__file__, "--peak", "twice again", students, str(cache))
            best[name] = min(best.get(name, float("inf")), took(command, folder, cache))
    return [
        (name, f"{best[name]:.2f}", f"{best[name] / best[peer]:.1f} x {peer}" if peer else "", f"{aim or ''}")
        for name, _, peer, aim in asked
    ]


def peaks(students: Path, cache: Path) -> Iterable[tuple[str, str]]:
    for what in ("imports", "open", "open again", "judge", "judge again", "everything"):
        command = [sys.executable, __file__, "--peak", what, str(students), str(cache)]
        yield what, subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip()


def shown(best: Mapping[str, float], base: str, names: Iterable[str]) -> list[tuple[str, str, str]]:
    return [(n, f"{best[n] * 1000:,.1f}", f"{best[n] / best[base]:,.1f}") for n in names if n in best]


def main() -> None:
    if sys.argv[1:2] == ["--peak"]:
        print(f"{peak(sys.argv[2], Path(sys.argv[3]), Path(sys.argv[4])):.0f}")
        return
    many = sys.argv[1] if len(sys.argv) > 1 else str(STUDENTS)
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else ROUNDS
    with tempfile.TemporaryDirectory() as name:
        folder, cache = Path(name) / "school", Path(name) / "kept"
        if many == "demo":
            copytree(COURSE.parent, folder / COURSE.parent.name)
            folder = copytree(COURSE.parents[1] / "demo_students", folder / "students")
        else:
            write_school(folder, int(many))
        took(("-m", "readiness", "roster"), folder, cache)
        _, *names = sys.argv[sys.argv.index("--commands") :] if "--commands" in sys.argv else ("",)
        print(table(("command", "s", "beside", "aim"), commands(folder, cache, rounds, names)), flush=True)
        if "--commands" not in sys.argv:
            school(folder, cache, int(many), rounds)


def school(folder: Path, cache: Path, many: int, rounds: int) -> None:
    from bench.school_peers import compare, peers_in_turn

    course = opened(folder / "students").course
    assert course is not None
    compared, states, differ = compare(course, SAMPLE)
    if differ:
        sys.exit(f"{differ} verdicts or states differ.")
    best = Best()
    for _ in range(rounds):
        one_round(best, folder, cache)
    size = sum(path.stat().st_size for path in (folder / "students").iterdir()) / 1e6
    print(f"{machine()}; {many:,} students, about {NOTES} notes each, {size:.1f} MB")
    print(f"processor time, best of {rounds} rounds\n")
    names = list(best)
    at = names.index("an empty loop over all notes")
    again = [n for n in names if n.startswith("open again")]
    print(
        table(("reading", "ms", "x reading the bytes"), shown(best, "read all bytes", (*names[:at], *again)))
    )
    judged = [n for n in names[at:] if n not in again]
    print(table(("judging", "ms", "x empty loop"), shown(best, "an empty loop over all notes", judged)))
    print(table(("peak memory of a fresh process", "MB"), list(peaks(folder / "students", cache))))
    peers, plain = peers_in_turn(course, SAMPLE, NAIVE, rounds)
    print(
        f"{compared} students, {states:,} states: no difference. The times are of {SAMPLE}, naive: {plain}.\n"
    )
    print(table(("verdict and all states, a student", "ms", "x engine"), shown(peers, "engine", peers)))


if __name__ == "__main__":
    main()
