"""The entries beside lessons: decisions, holds, home tasks (and how much practice they ask), promises.

Each function checks and then writes one entry, or returns why nothing was written. New
things are added at the end of the file; closing, answering and reporting put lines into the
block they belong to. A hold is opened by anyone in one step and closed only by a named
adult with words; a move against an open hold is refused here, whoever asks.

How much practice is asked for at home is compared with the pacing numbers of the band. They are common
practice only, so this never refuses anything; comfort decides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.course.model import Band
from readiness.days import iso
from readiness.lazy import dataclass, regex
from readiness.record.append import Unless, add_blocks, block, fill_in
from readiness.record.checks import why_no_adult
from readiness.record.marks import standing
from readiness.record.model import Decision, Hold, Promise, Record, Seen, Task
from readiness.terms import READY, Verdict
from readiness.toml.write import Refusal

if TYPE_CHECKING:
    from readiness.record.schema import StudentFile

__all__ = [
    "TASK_DAYS", "TASK_MINUTES", "Practice", "answer_promise", "close_hold", "decide", "give_promise",
    "give_task", "no_lesson", "no_lessons", "open_hold", "open_promises", "open_tasks", "practice_on",
    "report_task",
]  # fmt: skip

TASK_MINUTES: Final = range(1, 601)
TASK_DAYS: Final = range(1, 8)
"""What a home task may have: minutes a day, and days a week."""
_NO_LESSON: Final = regex(rb"(?m)^# no lesson on ([\d-]{10})(?:: (.*?))?(?: # [0-9a-f]{8})?\r?$")


def no_lesson(record: Record, folder: Path, on: int, why: str) -> Refusal | None:
    """Note that no lesson took place on a day: a comment line, since to every rule there was none."""
    if any(one.on == on for one in record.entire.lessons):
        told = f"a lesson of {iso(on)} is noted; `readiness correct {record.id}` crosses it out."
        return Refusal("lesson-noted", told)
    return add_blocks(record.own_path, folder, f"# no lesson on {iso(on)}{f': {why}' if why else ''}\n")


def no_lessons(path: Path | None) -> Mapping[int, str]:
    """Return the days on which no lesson took place, as noted in a student's file, and why; none unread."""
    with suppress(OSError, ValueError):
        found = _NO_LESSON.findall(standing(path.read_bytes()) if path else b"")
        return {date.fromisoformat(day.decode()).toordinal(): why.decode() for day, why in found}
    return {}


def decide(record: Record, folder: Path, decision: Decision, next_unit: str | None) -> Refusal | None:
    """Keep the teacher's decision beside the computed verdict; moving starts the next unit.

    A reason is asked for where the decision differs from the verdict; who is not placed yet
    has no verdict to differ from.

    Args:
        next_unit: the unit that a move starts; None in the last one, where it starts nothing.
    """
    moves = decision.decided == "move"
    on_hold = f"{record.name} is paused. There is no move during a pause; only an adult ends it."
    if moves and any(hold.is_open(decision.on) for hold in record.holds):
        return Refusal("on-hold", on_hold)
    last = next((one for one in reversed(record.decisions) if one.on == decision.on), None)
    if moves and last is not None and last.decided == "move" and decision.reason in ("", last.reason):
        what = f"the start of {record.name}" if last.is_start else f"a move of {record.name}"
        return Refusal(
            "begun-already" if last.is_start else "moved-already",
            f"{what} was decided on {iso(decision.on)} already, so nothing more is written. "
            "To go one unit further still on that day, give that move a reason of its own.",
        )
    verdict = decision.computed.replace("-", " ")
    differs = decision.computed != Verdict.NOT_PLACED and moves != (decision.computed in READY)
    if differs and not decision.reason.strip():
        return Refusal(
            "no-reason",
            f'this differs from the verdict of that day, "{verdict}". That is yours to decide, '
            "so please say why.",
        )
    day = date.fromordinal(decision.on)
    until = None if decision.until is None else date.fromordinal(decision.until)
    fields = [
        ("on", day), ("unit", decision.unit), ("computed", decision.computed),
        ("decided", decision.decided), ("until", until), ("reason", decision.reason),
    ]  # fmt: skip
    text = block("decision", fields)
    if moves and next_unit is not None:
        text += "\n" + block("unit_start", [("unit", next_unit), ("on", day)])
    return add_blocks(record.own_path, folder, text, _unless_held(record, day, on_hold) if moves else None)


def _unless_held(record: Record, day: date, message: str) -> Unless:
    """Return a last look at the file, so that a hold opened a second ago is seen too."""

    def look(file: StudentFile) -> Refusal | None:
        held = any(
            h.part not in record.elsewhere and h.opened <= day and (h.closed is None or h.closed > day)
            for h in file.hold
        )
        return Refusal("on-hold", message) if held else None

    return look


def open_hold(record: Record, folder: Path, on: int, words: str, part: str) -> Refusal | None:
    """Pause for care. ``part`` is hand, voice or all; ``words`` are the family's own.

    A hold that was closed later is no reason against it: the closing may have been a slip. Nor is a
    mistake in the file: a hold is kept at once and the file is mended later.
    """
    if not words.strip():
        return Refusal("no-words", "please say in a few words what was said, in the student's own words.")
    standing = [hold for hold in record.entire.holds if hold.is_open(on) and hold.closed is None]
    already = next((hold for hold in standing if hold.part == part), None)
    if already is not None:
        what = "everything" if part == "all" else f"the {part}"
        return Refusal(
            "already-paused", f"{record.name} is paused already ({what}, since {iso(already.opened)})."
        )
    text = block("hold", [("opened", date.fromordinal(on)), ("words", words), ("part", part)])
    return add_blocks(record.own_path, folder, text, even_if_broken=True)


def close_hold(record: Record, folder: Path, on: int, by: str, words: str, part: str = "") -> Refusal | None:
    """Close the first open hold, of a ``part`` where there are several; a named adult does it, in words."""
    if not by.strip() or not words.strip():
        return Refusal("no-adult", "an adult ends a pause: please give a name and a few words.")
    if wrong := why_no_adult(by, record.name, record.born, on):
        return Refusal("no-adult", f"{wrong}.")
    standing = [(i, h) for i, h in enumerate(record.entire.holds) if h.is_open(on) and h.closed is None]
    open_now = [(i, hold) for i, hold in standing if part in ("", hold.part)]
    if len({hold.part for _, hold in open_now}) != 1:
        return _which_hold(record, on, [hold for _, hold in open_now], part)
    closing = {"closed": date.fromordinal(on), "closed_by": by, "closed_words": words}
    at, hold = open_now[0]
    known = {"opened": date.fromordinal(hold.opened), "words": hold.words, "closed": None}
    return fill_in(record.own_path, folder, ("hold", at), closing, known)


def _which_hold(record: Record, on: int, found: Sequence[Hold], part: str) -> Refusal:
    if not found:
        kind = f" for {part}" if part else ""
        return Refusal("no-hold", f"{record.name} has no pause{kind} on {iso(on)}.")
    listed = ", ".join(f"{hold.part} (since {iso(hold.opened)})" for hold in found)
    return Refusal("which-hold", f"there is more than one pause: {listed}; please say which.")


def give_task(
    record: Record, folder: Path, on: int, skill: str, text: str, minutes_day: int, days_planned: int
) -> Refusal | None:
    """Give a home task. None is given while a hold is open: no playing task at all."""
    if not text.strip():
        return Refusal("no-words", "please say what is to be done at home.")
    if minutes_day not in TASK_MINUTES or days_planned not in TASK_DAYS:
        return Refusal("odd-task", "a task has 1 to 600 minutes a day, and 1 to 7 days a week.")
    day = date.fromordinal(on)
    fields = [
        ("given", day), ("for_skill", skill), ("text", text),
        ("minutes_day", minutes_day), ("days_planned", days_planned),
    ]  # fmt: skip
    on_hold = f"{record.name} is paused: no home task during a pause; only an adult ends it."
    return add_blocks(record.own_path, folder, block("task", fields), _unless_held(record, day, on_hold))


def report_task(record: Record, folder: Path, number: int, days: int, words: str) -> Refusal | None:
    """Note what the family said about a task; ``number`` counts the tasks of the file from 1."""
    tasks = record.entire.tasks
    if not 1 <= number <= len(tasks):
        they = f"`readiness task {record.id}` lists them"
        return Refusal("no-task", f"there is no task number {number}; {they}.")
    task = tasks[number - 1]
    if task.days_reported is not None:
        return Refusal("reported", f"task {number} has its report already: {task.days_reported} days.")
    report = {"days_reported": days, **({"reported": words} if words else {})}
    known = {"given": date.fromordinal(task.given), "text": task.text, "days_reported": None}
    return fill_in(record.own_path, folder, ("task", number - 1), report, known)


def give_promise(
    record: Record, folder: Path, on: int, to: str, text: str, due: int | None
) -> Refusal | None:
    """Keep a promise, so that it is not forgotten."""
    if not to.strip() or not text.strip():
        return Refusal("no-words", "please say to whom and what was promised.")
    if due is not None and due < on:
        return Refusal("due-before", f"{iso(due)} is before the day of the promise.")
    fields = [
        ("given", date.fromordinal(on)), ("to", to), ("text", text),
        ("due", None if due is None else date.fromordinal(due)),
    ]  # fmt: skip
    return add_blocks(record.own_path, folder, block("promise", fields))


def answer_promise(record: Record, folder: Path, number: int, on: int, answer: str) -> Refusal | None:
    """Mark a promise as answered; ``number`` counts the promises of the file from 1."""
    if not 1 <= number <= len(record.promises):
        they = f"`readiness promise {record.id}` lists them"
        return Refusal("no-promise", f"there is no promise number {number}; {they}.")
    promise = record.promises[number - 1]
    if promise.answered is not None:
        return Refusal("answered", f"promise {number} was answered on {iso(promise.answered)} already.")
    if on < promise.given:
        return Refusal("answered-before", f"{iso(on)} is before the day of the promise.")
    said = {"answered": date.fromordinal(on), "answer": answer}
    known = {"given": date.fromordinal(promise.given), "text": promise.text, "answered": None}
    return fill_in(record.own_path, folder, ("promise", number - 1), said, known)


def open_promises(record: Record | Seen, day: int) -> tuple[tuple[int, Promise], ...]:
    """Return the promises still open on a day, with their numbers from 1; overdue ones first."""
    found = [
        (number, one)
        for number, one in enumerate(record.promises, 1)
        if one.given <= day and (one.answered is None or one.answered > day)
    ]
    return tuple(sorted(found, key=lambda pair: (pair[1].due is None or pair[1].due >= day, pair[0])))


def open_tasks(record: Record, day: int) -> tuple[tuple[int, Task], ...]:
    """Return the tasks without a report up to a day, numbered; none under a hold, when none may be shown."""
    if any(hold.is_open(day) for hold in record.holds):
        return ()
    return tuple(
        (number, one)
        for number, one in enumerate(record.entire.tasks, 1)
        if one in record.tasks and one.given <= day and one.days_reported is None
    )


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
    """Return the practice of all ``tasks`` up to the day of the newest, beside what the band has."""
    now = [task for task in tasks if day - 7 < task.given <= day]
    before = _minutes([task for task in tasks if day - 14 < task.given <= day - 7])
    return Practice(
        minutes_day=sum(task.minutes_day for task in now),
        usual=band.pair("practice_minutes_day"),
        longest=max((task.minutes_day for task in now), default=0),
        pause_after=band.whole("play_without_pause_minutes"),
        minutes_week=_minutes(now),
        week_before=before,
        most=int(before * (100 + band.number("practice_rise_percent_week")) // 100) if before else None,
    )


def _minutes(tasks: Sequence[Task]) -> int:
    return sum(task.minutes_day * min(task.days_planned, 7) for task in tasks)
