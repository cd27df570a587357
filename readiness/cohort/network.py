"""A network on the disk, judged part by part, by one worker or many, and the counts over it.

What was worked out of a part is kept in the cache folder of whoever asks, and taken from there as long as
the part, the course and the day are the same. A part is named and left out where it cannot be read, was
gathered for another course or edition, or is the same school once more; it hides no other.

The counts are those of ``readiness.school``, made from arrays. No student is ever a row here. For a reader
outside, small counts are hidden by the same rule (``school.counts``).
"""

from __future__ import annotations

import multiprocessing
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from concurrent.futures import BrokenExecutor, Executor, ProcessPoolExecutor
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import is_dataclass
from functools import partial
from hashlib import sha256
from importlib import import_module
from itertools import islice
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
import pyarrow as pa
import pyarrow.csv as pa_csv
import pyarrow.parquet as pq

from readiness.cohort.columns import STUDENTS, TROUBLE, Label, Unreadable, label_of, packed, unpacked
from readiness.cohort.judge import JudgedPart, judge_part, to_table
from readiness.cohort.kernel import VERDICTS
from readiness.course.model import Course
from readiness.lazy import dataclass, fields_of
from readiness.school import counts
from readiness.school.counts import Hidden, OfSkill
from readiness.terms import Verdict
from readiness.toml.write import put

__all__ = [
    "Engine", "Outcome", "Keeps", "Tally", "course_digest", "dask", "judge_network", "keeps", "numbers",
    "parts_in", "processes", "tally", "write_verdicts",
]  # fmt: skip

Outcome = JudgedPart | Unreadable
Job = Callable[[Path], Outcome]

TRIES: Final = 3
"""A part whose worker was lost so often is left out."""


class Engine(NamedTuple):
    """Who does the work: opens an executor; so many parts at once; what a lost worker raises."""

    open: Callable[[], AbstractContextManager[Executor]]
    ahead: int
    lost: tuple[type[Exception], ...] = (BrokenExecutor,)


def processes(workers: int) -> Engine:
    """Return a pool of processes on this machine."""
    spawn = multiprocessing.get_context("spawn")
    return Engine(lambda: ProcessPoolExecutor(workers, mp_context=spawn), 2 * workers)


def dask(workers: int, scheduler: str | None = None) -> Engine:
    """Return a Dask cluster: the one of a scheduler, else one on this machine.

    Args:
        workers: how many processes, on this machine.
        scheduler: an address such as ``tcp://10.0.0.5:8786``; every worker must find the parts under the
            same path.

    Raises:
        ModuleNotFoundError: Dask is not installed.
    """
    distributed: Any = import_module("distributed")  # it has no types

    @contextmanager
    def opened() -> Iterator[Executor]:
        if scheduler is not None:
            with distributed.Client(scheduler) as client:
                yield client.get_executor()
            return
        with (
            distributed.LocalCluster(
                n_workers=workers, threads_per_worker=1, processes=True, host="127.0.0.1",
                dashboard_address=None, worker_dashboard_address=None,
            ) as cluster,
            distributed.Client(cluster) as client,
        ):  # fmt: skip
            yield client.get_executor()

    return Engine(opened, 2 * workers, (BrokenExecutor, distributed.KilledWorker))


def parts_in(network: Path) -> tuple[Path, ...]:
    """Return what lies in a network's folder, by name, nothing hidden; OSError where it may not be read."""
    return tuple(sorted(one for one in network.iterdir() if not one.name.startswith(".")))


def judge_network(
    parts: Sequence[Path], course: Course, on: int, *, cache: Path | None = None, engine: Engine | None = None
) -> Iterator[Outcome]:
    """Yield the answers of each part in the order given, or why it has none.

    Only a few parts are in memory at a time.

    Args:
        cache: where what was worked out is kept; None: nowhere.
        engine: who does the work; without one it is done here. It changes no byte.
    """
    refused = dict(_refused(parts, course))
    open_parts = [part for part in parts if part not in refused]
    job = partial(_judged, course=course, on=on, cache=cache, question=f"{course_digest(course)} {on}")
    answers = map(job, open_parts) if engine is None else _handed_out(job, open_parts, engine)
    for part in parts:
        yield refused[part] if part in refused else next(answers)


def write_verdicts(path: Path, found: Iterable[Outcome]) -> tuple[int, list[Unreadable]]:
    """Write the answers as one table (``to_table``), part by part, whole or not at all.

    Args:
        path: a new file, ``.csv`` or ``.parquet``.

    Returns:
        How many students are in it, and the parts that are not.

    Raises:
        OSError: it cannot be written.
    """
    left_out: list[Unreadable] = []
    schema, students = to_table([]).schema, 0
    new = path.with_name(f".{path.name}.new")
    try:
        made = pa_csv.CSVWriter if path.suffix == ".csv" else pq.ParquetWriter
        with made(new, schema) as writer:
            for one in found:
                if isinstance(one, Unreadable):
                    left_out.append(one)
                else:
                    writer.write_table(to_table([one]))
                    students += len(one.verdict)
        new.chmod(0o600)
        new.replace(path)
    finally:
        new.unlink(missing_ok=True)
    return students, left_out


# What is no part of this network.


def _refused(parts: Sequence[Path], course: Course) -> Iterator[tuple[Path, Unreadable]]:
    """Yield the parts that are left out unread, and why."""
    first: dict[str, str] = {}
    for part in parts:
        label = label_of(part) if part.is_dir() else None
        if reason := _reason(part, label, course, first):
            yield part, Unreadable(part.name, *reason)
        elif label is not None and label.source:
            first[label.source] = part.name


def _reason(
    part: Path, label: Label | None, course: Course, first: Mapping[str, str]
) -> tuple[str, str] | None:
    if not part.is_dir() or not (part / STUDENTS).exists():
        return "not-a-part", f"{part.name} is not a part: a part is a folder with {STUDENTS}."
    if label is None:
        return None  # whoever reads it says what is wrong
    mine = (course.name, course.edition)
    if label.course and label.course != mine:
        theirs, wanted = (f"{name}, edition {edition}" for name, edition in (label.course, mine))
        return "other-course", f"{part.name} was gathered for {theirs}; asked is {wanted}. Gather it again."
    if label.source in first:
        return "same-part", f"{part.name} is the same school as {first[label.source]}. Keep one of the two."
    return None


# Many workers, a few parts ahead, in order.


def _handed_out(job: Job, parts: Sequence[Path], engine: Engine) -> Iterator[Outcome]:
    """Yield the answers in order; after a lost worker a part goes alone, to take no other along."""
    done, lost = 0, 0
    while done < len(parts):
        some = parts[done : done + 1] if lost else parts[done:]
        try:
            with engine.open() as executor:
                for found in _ahead(executor, job, some, engine.ahead):
                    yield found
                    done, lost = done + 1, 0
        except engine.lost:
            lost += 1
            if lost == TRIES:
                name = parts[done].name
                yield Unreadable(name, "lost-worker", f"{name}: whoever judged it was lost {TRIES} times.")
                done, lost = done + 1, 0


def _ahead(executor: Executor, job: Job, parts: Sequence[Path], ahead: int) -> Iterator[Outcome]:
    waiting, left = deque(executor.submit(job, part) for part in parts[:ahead]), islice(parts, ahead, None)
    while waiting:
        yield waiting.popleft().result()
        waiting.extend(executor.submit(job, part) for part in islice(left, 1))


# What was worked out before.


def course_digest(course: Course) -> str:
    """Return a name for all that is taught: another one for any edit of a skill, a unit or an age."""
    said = repr(_plain((course.name, course.edition, course.units, course.skills, course.bands)))
    return sha256(said.encode()).hexdigest()[:32]


def _plain(value: Any) -> Any:  # noqa: ANN401 - whatever a course holds
    """Return a value as tuples in an order that is always the same."""
    if is_dataclass(value) and not isinstance(value, type):
        return tuple(_plain(one) for _, one in fields_of(value))
    if isinstance(value, Mapping):
        return tuple(sorted((repr(key), _plain(one)) for key, one in value.items()))
    if isinstance(value, Set):
        return tuple(sorted(map(repr, value)))
    return tuple(map(_plain, value)) if isinstance(value, tuple | list) else value


def _judged(part: Path, course: Course, on: int, cache: Path | None, question: str) -> Outcome:
    if cache is None:
        return judge_part(part, course, on)
    kept = cache / f"network-{sha256(str(part.resolve()).encode()).hexdigest()[:32]}.parquet"
    with suppress(OSError):
        there = (part / STUDENTS).stat()
        question += f" {there.st_size} {there.st_mtime_ns} {there.st_ino}"
    before = _kept(kept, question, part.name, course, on)
    if before is not None:
        return before
    found = judge_part(part, course, on)
    if isinstance(found, JudgedPart):
        with suppress(OSError):
            cache.mkdir(parents=True, exist_ok=True, mode=0o700)
        about = {"question": question, "gap": found.gap.tolist(), "look": found.look.tolist()}
        arrays = {name: pa.array(one) for name, one in fields_of(found) if name in _ARRAYS}
        put(kept, packed(pa.table({"id": found.ids, **arrays}), about))
    return found


_ARRAYS: Final = ("unit", "band", "verdict", "underlying")


def _kept(path: Path, question: str, part: str, course: Course, on: int) -> JudgedPart | None:
    """Return what was kept of the same part, course and day; None for anything else."""
    try:
        table, about = unpacked(path)
        if about["question"] != question:
            return None
        arrays = {name: table[name].combine_chunks().to_numpy() for name in _ARRAYS}
        counts = {name: np.array(about[name], np.int64) for name in ("gap", "look")}
        ids = table["id"].combine_chunks()
    except TROUBLE:
        return None
    return JudgedPart(
        part=part, on=on, ids=ids, units=tuple(course.unit), bands=tuple(course.band),
        skills=tuple(course.skill), state=np.zeros((0, len(course.skills)), np.uint8), **arrays, **counts,
    )  # fmt: skip


@dataclass(frozen=True)
class Keeps(OfSkill):
    """How many students a skill keeps in their unit: tried and not there, or to be looked at."""

    gap: Hidden
    look: Hidden


class Tally:
    """Counts that grow part by part, so that no part has to stay in memory.

    They are for whoever looks after the network; for others ``school.counts`` hides what is small.
    """

    def __init__(self, course: Course) -> None:
        self._course = course
        self._units = np.zeros(len(course.units) + 1, np.int64)
        self._verdicts = np.zeros(len(VERDICTS), np.int64)
        self._gap, self._look = (np.zeros(len(course.skills), np.int64) for _ in range(2))

    def add(self, part: JudgedPart | Unreadable) -> None:
        """Count a part; one that could not be read is not counted."""
        if isinstance(part, JudgedPart):
            self._units += np.bincount(part.unit + 1, minlength=len(self._units))
            self._verdicts += np.bincount(part.verdict, minlength=len(VERDICTS))
            self._gap += part.gap
            self._look += part.look

    @property
    def numbers(self) -> counts.Numbers[int]:
        """How many students there are in all, in each unit and with each verdict."""
        said = dict(zip(VERDICTS, self._verdicts.tolist(), strict=True))
        said[Verdict.READY] += said[Verdict.READY_TAKING_ALONG]
        by_unit = list(zip((None, *self._course.unit), self._units.tolist(), strict=True))
        verdicts = tuple((verdict, said[verdict]) for verdict in counts.VERDICTS)
        return counts.Numbers(int(self._verdicts.sum()), (*by_unit[1:], by_unit[0]), verdicts)

    @property
    def keeps(self) -> tuple[Keeps, ...]:
        """The skills that keep students in their unit, the one of most students first.

        A student whom several skills keep counts with each of them. One whose lessons are paused
        counts too: what waits for them is the same.
        """
        rows = zip(self._course.skills, self._gap.tolist(), self._look.tolist(), strict=True)
        found = sorted(rows, key=lambda row: (-row[1] - row[2], -row[1]))
        return tuple(Keeps(skill.id, skill.unit, gap, look) for skill, gap, look in found if gap or look)


def tally(parts: Iterable[JudgedPart | Unreadable], course: Course) -> Tally:
    """Return the counts over some parts."""
    counted = Tally(course)
    for part in parts:
        counted.add(part)
    return counted


def numbers(parts: Iterable[JudgedPart | Unreadable], course: Course) -> counts.Numbers[int]:
    """Return :attr:`Tally.numbers` of some parts."""
    return tally(parts, course).numbers


def keeps(parts: Iterable[JudgedPart | Unreadable], course: Course) -> tuple[Keeps, ...]:
    """Return :attr:`Tally.keeps` of some parts."""
    return tally(parts, course).keeps
