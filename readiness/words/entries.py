"""What is said about the steps beside lessons: decisions, pauses, home tasks, promises.

A decision of the teacher stands beside the verdict and is never argued with. During a pause nothing
here speaks of playing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from readiness.advice.after_break import pain_noted, tasks_now
from readiness.advice.ground import unit_begun
from readiness.days import iso
from readiness.record.entries import open_promises
from readiness.terms import Verdict
from readiness.words.cautions import (
    after_hold,
    care_words,
    caution,
    ended_lines,
    ends_words,
    forbids_playing,
    hold_notice,
    if_it_hurts,
    stop_first,
)
from readiness.words.english import called, namesakes
from readiness.words.grammar import capital, counted, date_words, ended, inside, listed, quoted, tidy, typed
from readiness.words.layout import Section, bullets, item, plain, under
from readiness.words.phrases import Phrases, passed_over

if TYPE_CHECKING:
    from readiness.judging.answer import Answer
    from readiness.record.entries import Practice
    from readiness.record.model import Decision, Hold, Promise, Record, Task
    from readiness.toml.write import Refusal

__all__ = [
    "KEPT_IN_BROKEN", "WHY_ASKED", "answered_words", "behind", "decided_before", "decided_to",
    "decided_words", "decision_question", "family_promise_words", "freed_words", "not_resumed_words",
    "overdue_words", "paused_words", "promise_list_words", "promise_told", "promised_section",
    "promised_words", "reported_words", "resumed_words", "task_list_words", "task_told", "task_words",
    "WHAT_WAS_SAID", "unpaused_words", "ways_words",
]  # fmt: skip

KEPT_IN_BROKEN: Final = (
    "the pause is kept at the end of {}. Until the mistake above is corrected, the other commands cannot "
    "tell you about the pause; keep it in mind."
)
_SLIP: Final = "A slip? `readiness undo {}` takes this back."


def decided_words(p: Phrases, decided: str, unit: str | None, until: int | None = None) -> Iterator[str]:
    """Yield what the teacher decided beside the verdict.

    ``unit`` begins with a move, None: none does; ``until``: the last day of a stay, where one was named.
    """
    answer, record, last = p.answer, p.record, f", until {date_words(until)}" if until else ""
    what = f"{tidy(record.name)} {_step(p, decided, unit)}{last}, decided on {date_words(answer.on)}"
    is_start = decided == "move" and unit != answer.next_unit
    over = passed_over(p.course, record, answer.on) if decided == "move" else ""
    both = "" if is_start else f" That day: {p.verdict}.{over} Both stay in {record.file}; yours counts."
    yield f"Noted: {what}.{both}"
    yield p.new_waits() if decided == "move" and unit else ""
    yield from ended_lines(p.course, record, answer.on)
    if is_start and unit and (before := p.course.units[: p.course.unit[unit].number - 1]):
        several = f"units 1 to {len(before)}" if len(before) > 1 else "unit 1"
        yield (
            f"The skills of {several} are not secure by that. `readiness plan {record.id}` says when to look "
            f"at them in passing. If you are sure of them all, write this at the end of {record.file}:"
        )
        yield from ("[[settled]]", f'through = "{before[-1].id}"', f"on = {iso(answer.on)}")
    yield _SLIP.format(record.id)


def _step(p: Phrases, decided: str, unit: str | None) -> str:
    here = p.answer.unit
    if decided == "stay":
        return f"stays in {p.unit(here)}" if here else "has no starting unit for now"
    if unit is None:
        return "finishes the course"
    return f"{'moves on to' if unit == p.answer.next_unit else 'begins with'} {p.unit(unit)}"


def paused_words(record: Record, hold: Hold) -> Iterator[str]:
    """Yield what comes first in a pause (C1)."""
    yield f"Paused: {tidy(record.name)}, from {date_words(hold.opened)} ({_part(hold)})."
    yield stop_first(record, hold.opened)
    yield from care_words([hold])
    yield f"When {ends_words(record, hold.opened)}: `readiness resume {record.id} --by NAME --words \"...\"`."


WHAT_WAS_SAID: Final = "Stop playing now. What was said, in the words it was said in? "


def unpaused_words(
    why: str, refusal: Refusal | None = None, student: str = "", *, of_age: bool = False
) -> str:
    """Return why no pause was kept of a student, and what comes first all the same."""
    then = "Then note the pause again, so that it is kept."
    if refusal is not None and refusal.id == "already-paused":
        then = f"Note what was said now: `readiness note {student} --text WORDS`"
    return f"{why}\nStop playing now. {'' if of_age else 'Tell the family the same day. '}{then}"


def not_resumed_words(record: Record, day: int, by: str, words: str, part: str) -> str:
    """Return why a pause stays whose end was asked for in words that seem to forbid playing."""
    again = f"--by {typed(by)} --words {typed(words)}{part} --on {iso(day)} --yes"
    return (
        f"{quoted(words)} seems not to allow playing yet, so the pause stays; if playing is allowed all the "
        f"same: `readiness resume {record.id} {again}`."
    )


def resumed_words(
    record: Record, closed: Hold, still: Sequence[Hold], freed: Sequence[int] = ()
) -> Iterator[str]:
    """Yield how to begin again, or what is still paused; ``freed``: the days whose notes count now (R1a)."""
    undo, words = f"`readiness undo {record.id}` pauses again.", quoted(closed.closed_words)
    is_doubtful = forbids_playing(closed.closed_words)
    yield f"WARNING: {words} seems not to allow playing yet. If so, now: {undo}" if is_doubtful else ""
    until = closed.closed or closed.opened
    pause = f"The pause of {tidy(record.name)} ({_part(closed)}) since {date_words(closed.opened, until)}"
    yield ended(f"{pause} ended on {date_words(until)}, by {closed.closed_by}")
    parts = listed([f"{_part(hold)}, since {date_words(hold.opened)}" for hold in still])
    begin = "Begin with a small part of what was done before, with rests, and add a little each week. "
    begin += "If it comes back, stop at once and pause again."
    begin = f"Still paused: {parts}. No playing tasks until that pause ends too." if still else begin
    yield "" if is_doubtful and not still else begin
    yield freed_words(record.id, freed, until)
    yield "" if is_doubtful else f"If these words do not allow playing yet, or it was a slip: {undo}"


def freed_words(student: str, freed: Sequence[int], until: int) -> str:
    """Return which days count now, of a pause that ended on the day ``until``; nothing where none does."""
    days = listed([date_words(day, until) for day in freed])
    now = f"What was noted on {days} counts now, as the pause had ended by then."
    correct = listed([f"`readiness correct {student} --on {iso(day)}`" for day in freed])
    return f"{now} Only if it was played too early, take it out: {correct}" if freed else ""


def _part(hold: Hold) -> str:
    return {"hand": "hand and arm", "voice": "voice", "all": "everything"}.get(hold.part, hold.part)


def task_list_words(p: Phrases, practice: Practice) -> Iterator[Section | str]:
    """Yield the home tasks given up to the day, why each, and whether they fit the age."""
    record, on = p.record, p.answer.on
    if p.answer.verdict == Verdict.PAUSED:
        yield from (hold_notice(record, on), "No home task during a pause; the ones given before wait.")
        return
    yield from after_hold(p.course, record, on)
    seen = [task for task in record.tasks if task.given <= on]
    tasks = [(i, task) for i, task in enumerate(record.entire.tasks, 1) if task in seen]
    if not tasks:
        give = f"`readiness task {record.id} --give SKILL --text WORDS --minutes N --days N` gives one"
        yield f"No home task is noted for {tidy(record.name)}; {give}."
        return
    told = [one for i, task in tasks for one in (item(_numbered(i, task, on)), under(_why(p, task)))]
    yield Section(f"Home practice of {tidy(record.name)}, {date_words(on)}", tuple(told))
    if not practice.minutes_day:
        return
    low, high = practice.usual
    age = "for an adult" if p.of_age else f"at age {p.age}"
    beside = tidy(str(p.numbers["adult_beside"]))
    usual = f"Usual {age}: {low} to {high} (a custom of the trade)."
    yield bullets("Does it fit?", (
        f"In these seven days: {counted(practice.minutes_day, 'minute')} a day together. {usual}",
        "" if p.of_age or beside == "none" else f"An adult sits beside: {beside}.",
        *_too_much(practice),
    ))  # fmt: skip


def task_told(task: Task, *, with_report: bool = True) -> str:
    """Return a home task with how much it is and what was reported of it."""
    often = f" on {counted(task.days_planned, 'day')}" if task.days_planned else ""
    much = f" {counted(task.minutes_day, 'minute')} a day{often};" if task.minutes_day else ""
    said = f" ({quoted(tidy(task.reported))})" if task.reported and with_report else ""
    days = "no report yet" if task.days_reported is None else f"done on {counted(task.days_reported, 'day')}"
    return f"{ended(task.text)}{much} {days}{said}."


def _numbered(number: int, task: Task, day: int) -> str:
    return f"task {number}, given {date_words(task.given, day)}: {task_told(task)}"


def _why(p: Phrases, task: Task) -> str:
    answer, skill = p.answer, task.for_skill
    if task not in tasks_now(p.course, p.record, answer.on):
        why = "given before what it works had to rest, so"
        why = "ask first;" if pain_noted(p.record, answer.on) else why
        return f"For {p.name(skill)}: {why} not for now."
    reason = "review"
    if skill == answer.one_thing:
        reason = "the place to start"
    elif any(skill == one.skill or (one.group and skill in one.group.of) for one in answer.blockers):
        reason = "needed for the next unit"
    elif skill in answer.open_rest:
        reason = "unfinished in this unit"
    elif skill in answer.chain:
        reason = "needed first"
    return f"For {p.name(skill)}: {p.state(skill)}; {reason}."


def _too_much(practice: Practice) -> Iterator[str]:
    week = f"{practice.minutes_week} minutes in this week after {practice.week_before} in the one before"
    told = {
        "above-usual": f"{practice.minutes_day} minutes a day are more than the usual {practice.usual[1]}.",
        "without-pause":
            f"{practice.longest} minutes at a stretch: a rest after {practice.pause_after} is usual.",
        "sudden-rise": f"{week}: up to {practice.most} would be a slow rise.",
    }  # fmt: skip
    yield from (words for why, words in told.items() if why in practice.too_much)
    yield caution("C4") if practice.too_much else ""


def task_words(p: Phrases, practice: Practice) -> Iterator[str]:
    """Yield the task that was given last, and C4 where it is much."""
    record, task = p.record, p.record.entire.tasks[-1]
    yield f"Noted for {tidy(record.name)}: {_numbered(len(record.entire.tasks), task, p.answer.on)}"
    yield _why(p, task)
    yield from _too_much(practice)
    yield from after_hold(p.course, record, p.answer.on)
    yield _SLIP.format(record.id)


def reported_words(record: Record, day: int, number: int) -> Iterator[str]:
    """Yield the report about a task."""
    task = record.entire.tasks[number - 1]
    days = f"{counted(task.days_reported or 0, 'day')} of {task.days_planned} planned"
    words = f', "{tidy(task.reported)}"' if task.reported else ""
    yield hold_notice(record, day)
    yield f"Noted for {tidy(record.name)}, task {number}: {days}{words} ({record.file})."
    yield if_it_hurts(record, day, task.reported)


# Promises: open, answered, overdue.
# They are kept in the words they were given in, and are never left out; during a pause they stand below
# it. Nobody is reminded of anything by anybody but the teacher.


def promise_list_words(record: Record, day: int) -> Iterator[Section | str]:
    """Yield the open promises, overdue ones first, and the home task given last.

    Promises are never left out; a home task is during a pause.
    """
    told = [*_open(record, day)] or ["Nothing is promised."]
    yield (notice := hold_notice(record, day))
    yield bullets(f"Promised, {tidy(record.name)}, {date_words(day)}", told)
    tasks = [] if notice else [one for one in record.tasks if one.given <= day][-1:]
    last = (f"given {date_words(task.given, day)}: {task_told(task)}" for task in tasks)
    yield bullets("Home task given last", last)


def family_promise_words(family: Sequence[Record], day: int) -> Iterator[Section | str]:
    """Yield what was promised about brothers and sisters, a section each; none beside another.

    The open promises come first, then the answered ones with their answers.
    """
    shared = namesakes(record.name for record in family)
    for record in family:
        yield hold_notice(record, day)
        told = [*_open(record, day)]
        for number, one in enumerate(record.promises, 1):
            if one.answered is not None and one.answered <= day:
                done = f"; answered on {date_words(one.answered, day)}{behind(one.answer)}"
                text = f"{date_words(one.given, day)}: {inside(one.text)}"
                told.append(f"promise {number}, given {text}{done}")
        title = f"Promised, {called(record.name, record.id, shared)}, {date_words(day)}"
        yield bullets(title, told or ["nothing was promised."])


def behind(words: str, lead: str = ": ") -> str:
    """Return the words that somebody gave behind what was done, nothing where there are none."""
    return f"{lead}{inside(words)}" if words else ""


def _open(record: Record, day: int) -> Iterator[str]:
    return (f"promise {number}, {promise_told(one, day)}" for number, one in open_promises(record, day))


def promise_told(promise: Promise, day: int | None) -> str:
    """Return a promise with its days, and by how many it is over on a day."""
    due = ""
    if promise.due is not None:
        due = f", due {date_words(promise.due, day)}"
        due += f": {counted(day - promise.due, 'day')} over" if day and promise.due < day else ""
    return f"given {date_words(promise.given, day)} to {tidy(promise.to)}{due}: {tidy(promise.text)}"


def promised_words(record: Record, day: int) -> Iterator[str]:
    """Yield the promise that was given last."""
    last = record.promises[-1]
    yield hold_notice(record, day)
    yield f"Noted for {tidy(record.name)}: promise {len(record.promises)}, {promise_told(last, day)}"
    yield if_it_hurts(record, day, last.text)
    yield _SLIP.format(record.id)


def answered_words(record: Record, day: int, number: int) -> Iterator[str]:
    """Yield that a promise is answered."""
    one = record.promises[number - 1]
    told = f"Noted for {tidy(record.name)}: promise {number} to {tidy(one.to)} is answered"
    yield hold_notice(record, day)
    yield f"{told}{behind(one.answer)} ({record.file})."
    yield if_it_hurts(record, day, one.answer)


def overdue_words(record: Record, day: int) -> str:
    """Return in a few words that promises are overdue; empty when none is, and during a pause."""
    seen = record.seen
    due = [one.due for _, one in open_promises(seen, day) if one.due is not None and one.due < day]
    if not due or any(hold.is_open(day) for hold in seen.holds):
        return ""
    return f"{counted(len(due), 'promise')} overdue since {date_words(min(due), day)}"


def promised_section(record: Record, day: int) -> Section:
    """Return the overdue promises as a section, nothing when none is."""
    over = [(i, one) for i, one in open_promises(record, day) if one.due is not None and one.due < day]
    over = over if overdue_words(record, day) else []
    return bullets("Promised and overdue", (f"promise {i}, {promise_told(one, day)}" for i, one in over))


# A decision before it is kept: the verdict, and what moving on or staying would mean.
# The choice is the teacher's, and both ways are told alike: nothing here persuades.

WHY_ASKED: Final = {
    "no-reason": "This differs from the verdict. That is yours to decide; please say why.",
    "moved-already": "A move was decided today already. To go one unit further still, please say why.",
    "begun-already": "The start was decided today already. To go one unit further still, please say why.",
}
"""Said where a decision is kept only with a reason, by what the library refused."""


def ways_words(p: Phrases, begins: str | None = None) -> Iterator[Section]:
    """Yield the verdict and what either decision would mean; ``begins``: a unit that was chosen."""
    answer, record, name = p.answer, p.record, tidy(p.record.name)
    yield from map(plain, (
        hold_notice(record, answer.on),
        decided_before(answer, record),
        f"{date_words(answer.on)}: {p.verdict}.",
        f"There is no move during a pause. When {ends_words(record, answer.on)}: Escape, then key w."
        if answer.verdict == Verdict.PAUSED
        else f"To move on: {name} {_step(p, 'move', unit_begun(p.course, record, answer, begins))}.",
        f"To stay: {name} {_step(p, 'stay', None)}.",
        "You decide. The verdict and your decision are both kept.",
    ))  # fmt: skip


def decision_question(p: Phrases, decided: str, begins: str | None = None) -> str:
    """Return the question before a decision is kept; ``begins``: a unit that was chosen."""
    step = _step(p, decided, unit_begun(p.course, p.record, p.answer, begins))
    is_move = decided == "move" and p.answer.unit
    over = passed_over(p.course, p.record, p.answer.on) if is_move else ""
    waits = f" {p.new_waits()}".rstrip() if decided == "move" else ""
    return f"{capital(tidy(p.record.name))} {step}?\n\n{p.verdict}.{over}{waits}"


def decided_before(answer: Answer, record: Record) -> str:
    """Return what was decided on the same day already, if anything was."""
    today = [one for one in record.decisions if one.on == answer.on]
    return f"Decided on {date_words(answer.on)} already: {decided_to(today[-1])}." if today else ""


def decided_to(decision: Decision) -> str:
    """Return what was decided, to follow "decided"; where a new student begins is no move.

    >>> from readiness.record.model import Decision
    >>> decided_to(Decision(1, "unit-2", "ready", "move"))
    'to move on'
    >>> decided_to(Decision(1, "unit-2", "not-placed", "move"))
    'to begin in this unit'
    """
    if decision.is_start:
        return "to begin in this unit" if decision.decided == "move" else "to begin later"
    return "to move on" if decision.decided == "move" else "to stay"
