"""How often the ranges of ``readiness when`` hold, and how wide they are; printed, never a test of a time.

Made-up studios: children join on any week, learn two skills of one kind at a time, and begin the
next when one is secure. A skill takes two lessons and then as many as chance and the child's own
pace want (a pace differs from child to child, so cases of one child are alike). On a day some
skills are under way; for up to five of them the range is asked for, and it holds when the true
number of lessons, known to chance alone, is in it. Only where five are finished is a range given.

Side by side, in one run and over the same questions: with the cases under way counted, and with
the finished ones alone.

Run it with ``python tests/bench/estimates_hold.py [STUDIOS]``.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from readiness.advice.estimates import FEWEST, Lasted, holding_range  # noqa: E402

__all__ = ["STUDIOS", "Tally", "tallies"]

STUDIOS = {
    "steady, three years": (15, 150),
    "thirty weeks old": (6, 30),
    "twenty weeks old": (12, 20),
    "twelve weeks old": (12, 12),
    "eight weeks old": (8, 8),
}
"""Children and weeks."""

AT_ONCE, ASKED, LONGEST = 2, 5, 80


@dataclass
class Tally:
    """What was seen of the ranges of one way: ``below`` and ``above`` are misses."""

    asked: int = 0
    below: int = 0
    above: int = 0
    widths: list[int] = field(default_factory=list)

    @property
    def held(self) -> float:
        """The share of ranges that held."""
        return 1 - (self.below + self.above) / len(self.widths)

    def add(self, cases: list[Lasted], real: int) -> None:
        """Ask once."""
        self.asked += 1
        enough = sum(done for _, done in cases) >= FEWEST
        if enough and (found := holding_range(cases)):
            low, high = found
            self.widths.append(high - low + 1)
            self.below += real < low
            self.above += real > high


def tallies(children: int, weeks: int, unlike: float, studios: int, seed: int = 1) -> tuple[Tally, Tally]:
    """Return how the ranges did with the cases under way counted, and with the finished ones alone.

    Args:
        children, weeks: the size and age of each studio.
        unlike: the variance of the children's paces, whose mean is 1; 0 makes them alike.
        studios: how many are made.
    """
    chance = random.Random(f"{seed} {children} {weeks} {unlike}")
    counted, alone = Tally(), Tally()
    for _ in range(studios):
        skills = list(_skills(chance, children, weeks, unlike))
        open_ = [number for number, (so_far, real) in enumerate(skills) if real > so_far]
        for number in chance.sample(open_, min(ASKED, len(open_))):
            so_far, real = skills[number]
            others = skills[:number] + skills[number + 1 :]
            like = [(min(a, b) - so_far, b <= a) for a, b in others if min(a, b) > so_far]
            counted.add(like, real - so_far)
            alone.add([one for one in like if one[1]], real - so_far)
    return counted, alone


def _skills(chance: random.Random, children: int, weeks: int, unlike: float) -> Iterator[tuple[int, int]]:
    """Yield of each skill the lessons since it was begun, and those it takes."""
    for _ in range(children):
        pace = chance.gammavariate(1 / unlike, unlike) if unlike else 1.0
        likely, joined = min(0.9, max(0.05, pace / 3)), chance.randrange(weeks)
        for _ in range(AT_ONCE):
            begun = joined
            while begun < weeks:
                takes = 2
                while takes < LONGEST and chance.random() > likely:
                    takes += 1
                yield weeks - begun, takes
                begun += takes


def main(studios: int) -> None:
    """Print a line for each kind of studio and way."""
    print(
        f"{'studio':<22}{'paces':<8}{'way':<16}{'ranges':>7}{'held':>7}{'below':>8}{'above':>8}{'width':>6}"
    )
    for name, (children, weeks) in STUDIOS.items():
        for unlike in (0, 0.1, 0.3):
            ways = zip(("counted", "finished alone"), tallies(children, weeks, unlike, studios), strict=True)
            for way, one in ways:
                many = len(one.widths)
                print(
                    f"{name:<22}{unlike:<8}{way:<16}{many / one.asked:>7.0%}{one.held:>7.1%}"
                    f"{one.below / many:>8.1%}{one.above / many:>8.1%}{median(one.widths):>6.0f}"
                )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400)
