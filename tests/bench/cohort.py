"""How long judging a network takes beside reading it at all; printed, never a test.

In one run, on one core, the best of some rounds taken in turn, because other programs use the
machine too: adding up the columns in memory; decoding the Parquet files to numbers, as a whole (what
one writes first) and some students at a time (which is quicker, and what judging does); decoding and
judging; judging kept columns after an edit of a number and of what stands on what; and the engine
on a sample, whose verdicts are compared. The first call, which compiles or loads what was
compiled, is not counted.

Run it with ``python tests/bench/cohort.py``; ``--network`` measures the command instead: its processor time
and the most memory of its process with 1, 10 and 100 schools of 10,000 students each, nothing kept.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from time import perf_counter, process_time

for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ[_threads] = "1"

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import numpy as np  # noqa: E402
import pyarrow as pa  # noqa: E402
import pyarrow.parquet as pq  # noqa: E402
from bench.cohort_made_up import NOTES, TODAY, made_up, record_of  # noqa: E402

from readiness.cohort import VERDICTS, JudgedPart, judge_columns, read_part, write_part  # noqa: E402
from readiness.course.load import load_course  # noqa: E402
from readiness.course.model import Course  # noqa: E402
from readiness.judging import judge  # noqa: E402

FOLDER = ROOT / "skill_graphs" / "first-two-years"
SAMPLE = 200


def slower(course: Course) -> Course:
    """Return the course with one number of each band changed."""
    bands = [
        replace(band, numbers={**band.numbers, "days_needed.motor": band.whole("days_needed.motor") + 1})
        for band in course.bands
    ]
    return replace(course, bands=tuple(bands))


def linked(course: Course) -> Course:
    """Return the course with one more prerequisite in every unit but the first."""
    first = {unit.id: next(s.id for s in course.skills if s.unit == unit.id) for unit in course.units}
    before = dict(zip(list(course.unit)[1:], course.unit, strict=False))
    more = {first[unit]: first[before[unit]] for unit in before}
    skills = [
        replace(s, stands_on=tuple(dict.fromkeys((*s.stands_on, more[s.id])))) if s.id in more else s
        for s in course.skills
    ]
    return replace(course, skills=tuple(skills))


def decoded_whole(part: Path) -> int:
    """Read all columns of the notes to numbers in one go and do nothing with them."""
    (notes,) = part.glob("notes-*.parquet")
    table = pq.read_table(notes, use_threads=False, partitioning=None)
    return sum(len(column.to_numpy()) for column in table.columns)


def decoded(part: Path) -> int:
    """Read all columns to numbers, some students at a time, and do nothing with them."""
    return sum(len(notes.day) for notes in read_part(part).notes)


def judged(part: Path, course: Course) -> JudgedPart:
    found = judge_columns(read_part(part), course, TODAY)
    assert isinstance(found, JudgedPart), found
    return found


def best_of(rounds: int, works: dict[str, Callable[[], object]]) -> dict[str, tuple[float, float]]:
    """Return, by name, the shortest times by the clock and on the processor; all take turns."""
    best = dict.fromkeys(works, (float("inf"), float("inf")))
    for _ in range(rounds):
        for name, work in works.items():
            clock, processor = perf_counter(), process_time()
            work()
            took = perf_counter() - clock, process_time() - processor
            best[name] = min(best[name][0], took[0]), min(best[name][1], took[1])
    return best


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("--students", type=int, default=100_000)
    options.add_argument("--rounds", type=int, default=7)
    options.add_argument("--network", action="store_true")
    options.add_argument("--room", type=Path, default=None, help="a folder to keep the files in")
    chosen = options.parse_args()
    pa.set_cpu_count(1)
    pa.set_io_thread_count(1)
    course = load_course(FOLDER).course
    assert course is not None
    with tempfile.TemporaryDirectory() as room:
        if chosen.network:
            network(course, chosen.room or Path(room))
        else:
            measure(course, (chosen.room or Path(room)) / f"part-{chosen.students}", chosen)


def measure(course: Course, part: Path, chosen: argparse.Namespace) -> None:
    if not part.exists():
        assert write_part(part, made_up(course, chosen.students)) is None
    size = sum(file.stat().st_size for file in part.iterdir())
    kept = read_part(part, keep=True)
    notes = sum(len(block.day) for block in kept.notes)
    first = judge_columns(kept, course, TODAY)
    edits = {"a number edited": slower(course), "a prerequisite edited": linked(course)}
    works: dict[str, Callable[[], object]] = {
        "columns in memory, added up": lambda: [int(c.sum(dtype=np.uint64)) for b in kept.notes for c in b],
        "Parquet decoded, as a whole": lambda: decoded_whole(part),
        "Parquet decoded, bit by bit": lambda: decoded(part),
        "Parquet decoded and judged": lambda: judged(part, course),
        "kept columns judged": lambda: judge_columns(kept, course, TODAY),
        "kept columns, every state": lambda: judge_columns(kept, course, TODAY, states=True),
        **{f"kept columns, {name}": lambda c=c: judge_columns(kept, c, TODAY) for name, c in edits.items()},
    }
    best = best_of(chosen.rounds, works)
    print(
        f"{len(first.verdict):,} students, {notes:,} notes (so many for each: {NOTES}), {size / 1e6:.0f} MB"
    )
    print({VERDICTS[i]: int(n) for i, n in enumerate(np.bincount(first.verdict, minlength=6))})
    whole, limit = (best[f"Parquet decoded, {how}"][1] for how in ("as a whole", "bit by bit"))
    print(f"{'':37} by the clock  on the processor   x as a whole  x bit by bit")
    for name, (clock, processor) in best.items():
        ratios = f"{processor / whole:14.2f} {processor / limit:13.2f}"
        print(f"{name:37} {clock:10.3f} s {processor:14.3f} s {ratios}")
    sample(course, kept, first, limit)


def sample(course: Course, kept, first: JudgedPart, limit: float) -> None:
    """Judge some students by the engine, with all its reasons, and compare."""
    rows = [
        row
        for row in range(0, len(first.verdict), len(first.verdict) // SAMPLE)
        if VERDICTS[first.verdict[row]] != "paused"
    ]
    records = [record_of(kept, row) for row in rows]
    begun = process_time()
    said = [judge(course, record, TODAY).verdict for record in records]
    each = (process_time() - begun) / len(rows)
    assert said == [VERDICTS[first.verdict[row]] for row in rows], "the two disagree"
    took = each * len(first.verdict)
    print(f"{'engine, from a sample (same verdicts)':37} {'':12} {took:14.0f} s {took / limit:28.0f}")


COMMAND = """
import re, sys, time
from readiness.cli.main import main
code, used = main(sys.argv[1:]), time.process_time()
most = re.search(r"VmHWM:\\s+(\\d+) kB", open("/proc/self/status").read())
print(f"exit code {code}: {used:.1f} s, {int(most[1]) / 1024:.0f} MB at most")
"""
"""A process that runs a command and says what it took; Linux alone tells its own memory apart."""


def network(course: Course, room: Path) -> None:
    """Judge networks of one, ten and a hundred schools; each made-up school comes ten times, by ten names."""
    for school in range(10):
        columns = made_up(course, 10_000, school)
        for name in (f"{school}-{time}" for time in range(10)):
            for many in ("100", *(["10"] * name.endswith("-0")), *(["1"] * (name == "0-0"))):
                (room / many).mkdir(exist_ok=True)
                assert write_part(room / many / name, replace(columns, part=name, source=name)) is None
    (room / "none").mkdir()
    environ = {**os.environ, "READINESS_CACHE": "", "PYTHONPATH": str(ROOT)}
    studio = ("--course", str(FOLDER), "--students", str(room / "none"))
    for many in ("1", "10", "100"):
        for step in (("judge", "--to", str(room / f"{many}.parquet")), ("report",)):
            command = (sys.executable, "-c", COMMAND, "network", *step, str(room / many), *studio)
            said = subprocess.check_output(command, cwd=room, env=environ, text=True)
            print(f"{int(many) * 10_000:>9,} students, {step[0]}: {said.splitlines()[-1]}", flush=True)


if __name__ == "__main__":
    main()
