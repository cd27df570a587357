"""The worst inputs found so far for each exact search: steps, time, whether proved. Printed, never a test.

A row is a search, what makes the input hard, and a function that runs it and returns the steps it
counted and whether its answer is proved; whoever bounds another search adds rows to ``ROWS``. No
solver is asked, so that the own searches are seen alone.

Below it, how often each kind of proof of a smallest cover comes out, and whether the independent checker
confirms it: students of a made-up school, and made-up questions far harder than a course asks.

Run it with ``python tests/bench/worst_inputs.py [STUDENTS]`` (300), with the extra ``test`` installed.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from time import process_time
from unittest.mock import patch

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent)]

from bench.odd_students import odd_students  # noqa: E402
from bench.school import TODAY, school_course  # noqa: E402
from bench.timing import machine, table  # noqa: E402
from laws.covers import confirms, pieces_on_techniques  # noqa: E402
from laws.test_way_is_cheapest import made_up, sharing  # noqa: E402

from readiness.advice.min_cost import cheapest  # noqa: E402
from readiness.judging.cover import Cover, smallest_cover  # noqa: E402
from readiness.judging.history import known_on  # noqa: E402
from readiness.judging.lookahead import look_effects  # noqa: E402
from readiness.record.load import build_record  # noqa: E402

MIXED = (3, 5, 8, 10)
Measured = tuple[int, bool]


def look_set(techniques: int, pieces: int, seed: int, minutes: tuple[int, ...] = (5,)) -> Measured:
    """Stale techniques, pieces that each stand on three of them."""
    cover = smallest_cover(*pieces_on_techniques(techniques, pieces, seed, minutes))
    return cover.steps, cover.proved


def way(groups: int, members: int, under: int = 0) -> Measured:
    """Any-of-three groups over the same members, which share ground."""
    found = cheapest(*sharing(groups, members, under, MIXED))
    return found.compared, found.proved


def long_way(skills: int, groups: int) -> Measured:
    """A large course with groups under groups."""
    found = cheapest(made_up(skills, groups, 1), sum(1 << i for i in range(skills - 12, skills)))
    return found.compared, found.proved


ROWS: list[tuple[str, str, Callable[[], Measured]]] = [
    ("look set", "27 techniques, 60 pieces", lambda: look_set(27, 60, 2)),
    ("look set", "33 techniques, 80 pieces", lambda: look_set(33, 80, 1, MIXED)),
    ("look set", "45 techniques, 120 pieces", lambda: look_set(45, 120, 0, MIXED)),
    ("look set", "60 techniques, 160 pieces", lambda: look_set(60, 160, 1, MIXED)),
    ("look set", "60 techniques, 160 pieces, the worst seed", lambda: look_set(60, 160, 3, MIXED)),
    ("way", "400 skills, 120 groups under each other", lambda: long_way(400, 120)),
    ("way", "60 groups, 40 members", lambda: way(60, 40)),
    ("way", "120 groups, 60 members", lambda: way(120, 60)),
    ("way", "120 groups, 100 members on 20 more", lambda: way(120, 100, 20)),
]


def rows() -> Iterator[tuple[object, ...]]:
    for search, what, run in ROWS:
        begun = process_time()
        steps, proved = run()
        yield f"{search}: {what}", f"{steps:,}", f"{process_time() - begun:.2f}", "yes" if proved else "no"


def of_school(many: int) -> Iterator[Cover]:
    """Yield the look sets of students in whose files odd things are common."""
    course, day = school_course(), TODAY.toordinal()
    for data in odd_students(course, many, 7):
        record = build_record("made-up", data, course)
        known = known_on(course, record, day)
        if known.unit is None:
            continue
        yield look_effects(course, known, day + 7).smallest(course.plan)


def made_up_covers() -> Iterator[Cover]:
    for techniques, pieces in ((12, 20), (18, 40), (27, 60), (33, 80), (45, 120)):
        for seed in range(4):
            yield smallest_cover(*pieces_on_techniques(techniques, pieces, seed, MIXED))


def kind_of(cover: Cover) -> str:
    """Return what kind of proof there is."""
    proof = cover.proof
    if not cover.skills:
        return "nothing to look at"
    if proof is None:
        return "none: not checked"
    assert confirms(proof, cover)
    if proof["kind"] == "disjoint":
        return "disjoint"
    return "tree, prices alone" if all(part["nodes"] == [None] for part in proof["parts"]) else "tree"


def kinds(where: str, covers: Iterable[Cover]) -> Iterator[tuple[object, ...]]:
    for kind, times in sorted(Counter(map(kind_of, covers)).items()):
        yield f"{where}: {kind}", times


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    print(machine() + "\n")
    with patch("readiness.judging.cover.find_spec", lambda _: None):
        print(table(("worst input", "steps", "seconds", "proved"), list(rows())))
        counted = [*kinds("students", of_school(many)), *kinds("made up", made_up_covers())]
    print(table(("kind of proof", "times"), counted))


if __name__ == "__main__":
    main()
