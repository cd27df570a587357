"""How much practice is asked for at home: in a day, at a stretch, in a week.

Compares what was given with the pacing numbers of the band and says what is more than they
have. They are common practice only, so this never refuses anything; comfort decides.
"""

from __future__ import annotations

from collections.abc import Sequence

from readiness.course.model import Band
from readiness.lazy import dataclass
from readiness.record.model import Task

__all__ = ["Practice", "practice_on"]


@dataclass(frozen=True)
class Practice:
    """Practice in the seven days up to a day, beside what is usual in the band.

    Attributes:
        minutes_day: of all tasks given in these days together; usual: from and to.
        longest: the longest single task; pause_after: minutes after which a pause comes.
        minutes_week: minutes a day times days planned, at most seven, of all these tasks.
        week_before: the same for the seven days before; most: as much as follows on it
            without a sudden rise, None where nothing was given then.
    """

    minutes_day: int
    usual: tuple[int, int]
    longest: int
    pause_after: int
    minutes_week: int
    week_before: int
    most: int | None

    @property
    def too_much(self) -> tuple[str, ...]:
        """What is more than usual: above-usual, without-pause, sudden-rise."""
        tests = {
            "above-usual": self.minutes_day > self.usual[1],
            "without-pause": self.longest > self.pause_after,
            "sudden-rise": self.most is not None and self.minutes_week > self.most,
        }
        return tuple(name for name, applies in tests.items() if applies)


def practice_on(tasks: Sequence[Task], band: Band, day: int) -> Practice:
    """Return the practice asked for up to a day.

    Args:
        tasks: all tasks, the new one among them.
        band: the pacing rules of the student's age.
        day: the day of the newest task.
    """
    now = [task for task in tasks if day - 7 < task.given <= day]
    then = [task for task in tasks if day - 14 < task.given <= day - 7]
    before = _minutes(then)
    rise = band.number("practice_rise_percent_week")
    return Practice(
        minutes_day=sum(task.minutes_day for task in now),
        usual=band.pair("practice_minutes_day"),
        longest=max((task.minutes_day for task in now), default=0),
        pause_after=band.whole("play_without_pause_minutes"),
        minutes_week=_minutes(now),
        week_before=before,
        most=int(before * (100 + rise) // 100) if before else None,
    )


def _minutes(tasks: Sequence[Task]) -> int:
    return sum(task.minutes_day * min(task.days_planned, 7) for task in tasks)
