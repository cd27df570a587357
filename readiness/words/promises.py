"""What is said about promises: what is open, what was answered, what is overdue.

Promises are kept in the words they were given in, and are never left out; under a hold they
stand below the hold. Nobody is reminded of anything by anybody but the teacher.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readiness.record.model import Promise, Record
from readiness.record.steps import open_promises
from readiness.words.grammar import counted, date_words, tidy, wrap
from readiness.words.names import called, namesakes
from readiness.words.page import Paragraph, Section, item, lay_out
from readiness.words.paused import hold_notice
from readiness.words.steps import task_given

__all__ = [
    "answered_words", "family_promise_words", "overdue_words", "promise_list_words", "promised_section",
    "promised_words",
]  # fmt: skip


def promise_list_words(record: Record, day: int, width: int = 80) -> str:
    """Return the open promises, overdue ones first, and the home task given last.

    Promises are never left out; a home task is while a hold is open.
    """
    found = open_promises(record, day)
    head = f"Promised, {tidy(record.name)}, {date_words(day)}"
    told = [item(f"promise {number}, {_promise(one, day)}") for number, one in found]
    if not told:
        told = [item("no open promise.")]
    answered = sum(1 for one in record.promises if one.answered is not None and one.answered <= day)
    if answered:
        told.append(item(f"{counted(answered, 'promise was', 'promises were')} answered."))
    sections = [_notice(record, day), Section(head, tuple(told))]
    tasks = [one for one in record.tasks if one.given <= day]
    if tasks and not any(hold.is_open(day) for hold in record.holds):
        sections.append(Section("Home task given last", (item(task_given(tasks[-1], day)),)))
    return lay_out(sections, width)


def family_promise_words(family: Sequence[Record], day: int, width: int = 80) -> str:
    """Return what was promised about brothers and sisters, a section each; none beside another."""
    shared = namesakes(record.name for record in family)
    named = [(record, called(record.name, record.id, shared)) for record in family]
    return lay_out((one for record, name in named for one in _promises_of(record, name, day)), width)


def _notice(record: Record, day: int) -> Section:
    """Return that a student is paused for care, nothing otherwise."""
    notice = hold_notice(record, day)
    return Section("", (Paragraph(notice),) if notice else ())


def _promises_of(record: Record, name: str, day: int) -> Iterator[Section]:
    """Yield every promise, the open ones first, the answered ones with their answers."""
    still = open_promises(record, day)
    told = [item(f"promise {number}, {_promise(one, day)}") for number, one in still]
    for number, one in enumerate(record.promises, 1):
        if one.answered is not None and one.answered <= day:
            words = f": {tidy(one.answer)}" if one.answer else ""
            done = f"; answered on {date_words(one.answered, day)}{words}"
            text = f"{date_words(one.given, day)}: {tidy(one.text).rstrip('.')}"
            told.append(item(f"promise {number}, given {text}{done}"))
    head = f"Promised, {name}, {date_words(day)}"
    yield _notice(record, day)
    yield Section(head, tuple(told) or (item("nothing was promised."),))


def _promise(one: Promise, day: int) -> str:
    due = ""
    if one.due is not None:
        due = f", due {date_words(one.due, day)}"
        due += f": {counted(day - one.due, 'day')} over" if one.due < day else ""
    return f"given {date_words(one.given, day)} to {tidy(one.to)}{due}: {tidy(one.text)}"


def promised_words(record: Record, day: int, width: int = 80) -> str:
    """Return the promise that was given last."""
    last = record.promises[-1]
    return _lines([
        *filter(None, (hold_notice(record, day),)),
        f"Noted for {tidy(record.name)}: promise {len(record.promises)}, {_promise(last, day)}",
        f"A slip of the finger? `readiness undo {record.id}` takes this back.",
    ], width)  # fmt: skip


def answered_words(record: Record, day: int, number: int, width: int = 80) -> str:
    """Return that a promise is answered."""
    one = record.promises[number - 1]
    words = f": {tidy(one.answer)}" if one.answer else ""
    told = f"Noted for {tidy(record.name)}: promise {number} to {tidy(one.to)} is answered{words}"
    return _lines([*filter(None, (hold_notice(record, day),)), f"{told} ({_file(record)})."], width)


def overdue_words(record: Record, day: int) -> str:
    """Return in a few words that promises are overdue; empty when none is, and while a hold is open."""
    seen = record.seen
    due = [one.due for _, one in open_promises(seen, day) if one.due is not None and one.due < day]
    if not due or any(hold.is_open(day) for hold in seen.holds):
        return ""
    return f"{counted(len(due), 'promise')} overdue since {date_words(min(due), day)}"


def promised_section(record: Record, day: int) -> Section:
    """Return the overdue promises as a section, nothing when none is."""
    if not overdue_words(record, day):
        return Section("", ())
    over = [(i, one) for i, one in open_promises(record, day) if one.due is not None and one.due < day]
    told = tuple(item(f"promise {i}, {_promise(one, day)}") for i, one in over)
    return Section("Promised and overdue", told)


def _file(record: Record) -> str:
    return record.path.name if record.path else f"{record.id}.toml"


def _lines(texts: Sequence[str], width: int) -> str:
    return "".join(f"{line}\n" for text in texts for line in wrap(text, width))
