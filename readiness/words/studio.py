"""What is said when a studio is made, a student comes, or a student leaves.

Each time the reminder that belongs to it: keep little (C9), who is it for (C8).
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from readiness.course.model import Course
from readiness.record.forget import Forgotten
from readiness.record.model import Record
from readiness.studio.backup import Archive, State, Step
from readiness.studio.leftovers import Leftovers
from readiness.toml.problems import Place
from readiness.words.cautions import caution
from readiness.words.grammar import counted, date_words, listed, tidy
from readiness.words.layout import Paragraph, Section, columns, lay_out, lines

__all__ = [
    "backup_words", "deletion_words", "enrolled_words", "forgotten_words", "leaving_words", "name_in",
    "restore_words", "restored_words", "started_words",
]  # fmt: skip

NAMED_AT_MOST = 10


def started_words(
    folder: Path, group: str = "", with_demo: bool = False, empty: bool = False, width: int = 80
) -> str:
    """Return where the studio is, who may use it besides its owner, and what to do next."""
    who = "with the six invented students" if with_demo else "no students yet"
    told = [f"A studio is in {folder}, {who}."]
    if group:
        told.append(f"Whoever is in the group {group} may read it and write to it; nobody else may.")
    rows = (
        ("studio.toml", "where things are, and the dates of the term"),
        ("course", "the skills (graph.toml) and the pace by age (pacing.toml), yours to change"),
        ("students", "one file a student"),
    )
    then = "readiness roster" if with_demo else "readiness enrol mia --name Mia --born 2019-05 --unit UNIT"
    then = "readiness course add skill" if empty else then
    made = lay_out([Section("", (*map(Paragraph, told), *columns(rows, 2)))], width)
    return f"{made}Next:\n  cd {folder}\n  {then}\n"


def deletion_words(record: Record, day: int, until: int | None) -> str:
    """Return that the day on which a file was to be deleted is over; empty until then.

    Args:
        record: the student's record; day: the day asked about.
        until: the day that stands in the file, None for none.
    """
    if until is None or until >= day:
        return ""
    file = record.path.name if record.path else f"{record.id}.toml"
    return (
        f"the file of {tidy(record.name)} was to be deleted by {date_words(until, day)}: "
        f"`readiness forget {record.id}` deletes it, or write a later day at the head of {file}."
    )


def enrolled_words(
    record: Record,
    course: Course,
    others: Sequence[str] = (),
    width: int = 80,
    *,
    goes_on: bool = False,
    day: str | None = None,
) -> str:
    """Return that a student's file is there, what comes next, how to correct it, and C9.

    Args:
        record: the new student's record; course: what is taught.
        others: the ids of students of the same given name.
        width: the widest line.
        goes_on: whether the placing lesson begins at once.
        day: the day that was typed, for the command that comes next.
    """
    path = record.path or Path(f"{record.id}.toml")
    name, at = tidy(record.name), f" --on {day}" if day else ""
    told = [f"{name} has a file now: {path}."]
    if record.unit_starts:
        unit = course.unit[record.unit_starts[-1].unit]
        first = f"unit {unit.number}, {tidy(unit.name)}: `readiness sheet {record.id}`"
        told.append(f"{name} starts with {first}")
    elif record.placings and goes_on:
        told.append("The placing lesson starts now, one thing at a time.")
    elif record.placings:
        told.append(
            f"Next, the placing lesson: `readiness place {record.id}{at}`, or on paper: "
            f"`readiness sheet {record.id}{at}`"
        )
    else:
        told.append(f"No starting unit yet. Note a lesson, then ask `readiness why {record.id}`.")
    if others:
        have = "has" if len(others) == 1 else "have"
        told.append(f"{listed(others)} {have} the name {name} too; type {record.id} for this one.")
    told.append(f"Correct a name or a birth month by hand, at the head of {path.name}.")
    told.append(f"Stop sign, seat, own words, who collects: `readiness particulars {record.id}`")
    return lines([*told, caution("C9")], width)


def leaving_words(name: str, path: Path, width: int = 80) -> str:
    """Return what will be deleted, before it is."""
    text = (
        f"This deletes everything kept about {tidy(name)}: {path}. It cannot be taken back. --export FILE "
        "makes a copy first."
    )
    return lines([text], width)


def forgotten_words(
    name: str,
    gone: Forgotten,
    exported: Path | None,
    found: Leftovers,
    width: int = 80,
    *,
    in_git: bool = False,
) -> str:
    """Return what is gone, where a name is still found, how far was looked, and what remains."""
    told = list(_gone_words(name, gone))
    if exported is not None:
        told = [f"A copy is in {exported}.", *told, caution("C8")]
    text = lines(told, width)
    if found.places:
        there = f"The id or the name is still in {counted(len(found.places), 'place')}"
        text += _list(f"{there}; look at each, it may mean somebody else:", map(_at, found.places), width)
    text += _list(_looked(found), map(str, found.folders), width)
    if found.unread or not found.is_whole:
        more = len(found.unread) - NAMED_AT_MOST
        named = [
            *map(str, found.unread[:NAMED_AT_MOST]),
            *([f"and {more} more"] if more > 0 else []),
            *([] if found.is_whole else ["and further files: there are too many here to read them all"]),
        ]
        text += _list("Not looked into (not text, very large, or hidden); please look:", named, width)
    return text + lines(_beyond(in_git=in_git), width)


def _list(title: str, things: Iterable[str], width: int) -> str:
    """Return a title with lines under it that are never broken, because they are copied."""
    return lines([title], width) + "".join(f"  {one}\n" for one in things)


def _gone_words(name: str, gone: Forgotten) -> Iterator[str]:
    """Yield what was deleted, and what of it stays."""
    if gone.led_to is not None:
        link, led_to = gone.deleted[0].name, gone.led_to
        is_student = led_to.suffix == ".toml"
        how = f"`readiness forget {led_to.stem}` deletes it." if is_student else "Delete it by hand."
        yield (
            f"{link} was only a link to {led_to.name}: the link is deleted, with what was half entered, and "
            f"that file is still there. {how}"
        )
    elif gone.deleted and gone.deleted[0].suffix == ".toml":
        yield f"The file of {tidy(name)} is deleted, with what was half entered."
    else:
        yield f"There was no file of {tidy(name)}; what was left beside it is deleted."
    if gone.other_names:
        yield (
            f"That file has {counted(gone.other_names, 'further name')} on this disk, with all of it; please "
            "look for it there."
        )


def _beyond(*, in_git: bool) -> Iterator[str]:
    """Yield where this program cannot look."""
    if in_git:
        yield (
            "The folder is kept in git, and older versions there still hold the file. Where local law wants "
            "it, ask whoever looks after it to take it out of the history."
        )
    yield (
        "Backups, mails, papers and the machines of colleagues are yours to clear, as local law asks."
    )


def _looked(found: Leftovers) -> str:
    """Return how far was looked: never more than that is said to be free of the name."""
    read = f"{counted(found.read, 'file that was', 'files that were')} read, here and in all folders inside:"
    if found.places:
        return f"That is all there is in the {read}"
    return f"The id and the name are no longer in the {read}"


def _at(place: Place) -> str:
    return f"{place.file}:{place.line}" if place.line else f"{place.file} (its name)"


# What is said of a backup, and of what would come back from it.

_SEEN: Final = 12
"""So many letters of a seal are compared by eye."""
_KEEP: Final = (
    "It holds everything about these children. Keep it where only you can read it. Delete older ones: "
    "students you forgot here are still in them."
)
_FORGOTTEN: Final = (
    "Leave out students who were forgotten, and files from which something was deleted on purpose: only you "
    "know them. Then make a new backup and delete this one."
)
_STATES: Final[Mapping[State, str]] = {
    "missing": "is lost, and comes back",
    "not-here": "is not here, and comes back only if you name the child",
    "newer": "stays as it is: it has lines that the archive does not have",
    "other": "stays as it is: it differs from the archive",
}


def backup_words(
    path: Path, archive: Archive, left: Sequence[tuple[Path, str]] = (), width: int = 80
) -> str:
    """Return what a backup holds, what was left out, and how to try it."""
    told = [
        f"{path} is written: {counted(len(archive.files), 'file')}, sealed with {archive.seal[:_SEEN]}.",
        *(f"Left out: {one.name}, for {why}." for one, why in left),
        _KEEP,
        f"Try it now and then: `readiness restore {path} --check`",
    ]
    return lines(told, width)


def restore_words(path: Path, archive: Archive, plan: Sequence[Step], width: int = 80) -> str:
    """Return what restoring would change, file by file."""
    whole = f"{path} is whole, made on {date_words(archive.made)}, sealed with {archive.seal[:_SEEN]}."
    told = [whole, *(_told(one, archive) for one in plan if one.state != "same")]
    same = sum(one.state == "same" for one in plan)
    told.append(f"{counted(same, 'file is', 'files are')} as in the archive.")
    if gone := [one.student for one in plan if one.state in ("adds", "not-here")]:
        named = f"`readiness restore {path} --bring-back {' '.join(gone)}`"
        told += [f"To bring back what is lost: {named}", _FORGOTTEN]
    elif any(one.state == "missing" for one in plan):
        told.append(f"`readiness restore {path}` brings it back.")
    return lines(told, width)


def _told(step: Step, archive: Archive) -> str:
    name = name_in(archive.files[step.file]) if step.student else ""
    what = _STATES.get(step.state) or f"lacks its last {counted(step.lines, 'line')}, which can come back"
    return f"{step.file}{f' ({name})' if name else ''} {what}."


def restored_words(done: Sequence[Step], plan: Sequence[Step], width: int = 80) -> str:
    """Return what was brought back, what was not, and what to look at."""
    back = [f"{one.file} is back." for one in done] or ["Nothing was brought back."]
    stays = [f"{one.file} {_STATES[one.state]}." for one in plan if one.state in _STATES]
    return lines([*back, *stays, "Now look it over: `readiness doctor`"], width)


def name_in(data: bytes) -> str:
    """Return the given name in a student's file, empty where none is to be read."""
    try:
        return tidy(str(tomllib.loads(data.decode("utf-8-sig")).get("name", "")))
    except (ValueError, RecursionError):
        return ""
