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
from readiness.words.grammar import counted, date_words, listed, tidy, wrap

__all__ = [
    "backup_words", "deletion_words", "enrolled_words", "forgotten_words", "leaving_words", "name_in",
    "restore_words", "restored_words", "started_words",
]  # fmt: skip

NAMED_AT_MOST = 10


def started_words(folder: Path, group: str = "", *, with_demo: bool, width: int = 80) -> str:
    """Return what was made, who may use it besides its owner, and what to do next."""
    who = "with the six invented students" if with_demo else "no students yet"
    told = [f"A studio is in {folder}, {who}."]
    if group:
        told.append(f"Whoever is in the group {group} may read it and write to it; nobody else may.")
    lines = _lines(told, width)
    rows = [
        ("studio.toml", "where things are, and the dates of the term"),
        ("course", "the skills (graph.toml) and the pace by age (pacing.toml), yours to change"),
        ("students", "one file a student"),
    ]
    for name, what in rows:
        lines += _lines([what], width, lead=f"  {name:<12} ")
    go = f"cd {folder}"
    then = "readiness roster" if with_demo else "readiness enrol mia --name Mia --born 2019-05 --unit UNIT"
    return lines + f"Next:\n  {go}\n  {then}\n"


def deletion_words(record: Record, day: int, until: int | None) -> str:
    """Return that the day on which a file was to be deleted has passed; empty while it has not.

    Args:
        record: the student's record; day: the day asked about.
        until: the day that stands in the file, None for none.
    """
    if until is None or until >= day:
        return ""
    file = record.path.name if record.path else f"{record.id}.toml"
    return (
        f"the file of {tidy(record.name)} was to be deleted by {date_words(until, day)}: "
        f"`readiness forget {record.id}` does it, or write another day at the head of {file}."
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
    told, at = [f"{tidy(record.name)} has a file now: {path}."], f" --on {day}" if day else ""
    if record.unit_starts:
        unit = course.unit[record.unit_starts[-1].unit]
        told.append(
            f"Begins with unit {unit.number}, {tidy(unit.name)}. What to look at in the first lesson: "
            f"`readiness sheet {record.id}`"
        )
    elif record.placings:
        told.append(
            "The placing lesson begins here, one thing at a time."
            if goes_on
            else f"The placing lesson is next: `readiness place {record.id}{at}` asks one thing at a time, "
            f"`readiness sheet {record.id}{at}` has it on paper."
        )
    else:
        told.append(
            f"Not placed yet. After a lesson is noted, `readiness why {record.id}` says where to start, and "
            f"`readiness decide {record.id} move` begins there."
        )
    if others:
        told.append(
            f"{listed(others)} {'has' if len(others) == 1 else 'have'} the name {tidy(record.name)} too: "
            f"lists write the id beside the name, and {record.id} is what to type for this one."
        )
    told.append(f"A name or birth month typed wrongly is put right by hand, at the head of {path.name}.")
    told.append(
        f"Stop sign, seat, own words and who collects: `readiness particulars {record.id}` changes them; the "
        "page for a substitute (`readiness handover`) has them."
    )
    return _lines([*told, caution("C9")], width)


def leaving_words(name: str, path: Path, width: int = 80) -> str:
    """Return what will be deleted, before it is."""
    text = (
        f"This deletes everything kept about {tidy(name)}: {path}. It cannot be taken back. A copy can be "
        "made first with --export FILE."
    )
    return _lines([text], width)


def forgotten_words(
    name: str,
    gone: Forgotten,
    exported: Path | None,
    found: Leftovers,
    width: int = 80,
    *,
    in_git: bool = False,
) -> str:
    """Return what is gone, where a name still stands, how far was looked, and what remains."""
    places = found.places
    told = list(_gone_words(name, gone))
    if exported is not None:
        told = [f"A copy is in {exported}.", *told, caution("C8")]
    lines = _lines(told, width)
    if places:
        there = f"The id or the name still stands in {counted(len(places), 'place')}"
        lines += _lines([f"{there}; please look at each, it may mean somebody else:"], width)
        lines += "".join(f"  {_at(one)}\n" for one in places)
    lines += _lines([_looked(found)], width)
    lines += "".join(f"  {folder}\n" for folder in found.folders)
    if found.unread or not found.is_whole:
        lines += _lines(["Not looked into (no text, very large, or hidden); please look yourself:"], width)
        lines += "".join(f"  {one}\n" for one in found.unread[:NAMED_AT_MOST])
        more = len(found.unread) - NAMED_AT_MOST
        lines += f"  and {more} more\n" if more > 0 else ""
        lines += "" if found.is_whole else "  and further files: there are too many here to read them all\n"
    return lines + _lines(_beyond(in_git=in_git), width)


def _gone_words(name: str, gone: Forgotten) -> Iterator[str]:
    """Yield what was deleted, and what of it stays."""
    if gone.led_to is not None:
        link, led_to = gone.deleted[0].name, gone.led_to
        is_student = led_to.suffix == ".toml"
        how = f"`readiness forget {led_to.stem}` deletes it." if is_student else "Delete it by hand."
        yield (
            f"{link} was only a link to {led_to.name}: the link is deleted, with what was half entered, and "
            f"that file stays. {how}"
        )
    elif gone.deleted and gone.deleted[0].suffix == ".toml":
        yield f"The file of {tidy(name)} is deleted, with what was half entered."
    else:
        yield f"There was no file of {tidy(name)} any more; what was left beside it is deleted."
    if gone.other_names:
        yield (
            f"That file has {counted(gone.other_names, 'further name')} on this disk, where all of it still "
            "stands; please look for it there."
        )


def _beyond(*, in_git: bool) -> Iterator[str]:
    """Yield where this program cannot look."""
    if in_git:
        yield (
            "The folder is kept in git: every older version there still holds the file, on all machines that "
            "have it. Ask whoever looks after it to take it out of the history, where local law wants that."
        )
    yield (
        "Backups, mails, papers and what colleagues keep on their machines are yours to clear, as local law "
        "asks."
    )


def _looked(found: Leftovers) -> str:
    """Return how far was looked: never more than that is said to be free of the name."""
    read = f"{counted(found.read, 'file that was', 'files that were')} read, here and in all folders inside:"
    if found.places:
        return f"That is all there is in the {read}"
    return f"Neither the id nor the name stands in the {read}"


def _at(place: Place) -> str:
    return f"{place.file}:{place.line}" if place.line else f"{place.file} (its name)"


def _lines(texts: Iterable[str], width: int, lead: str = "") -> str:
    return "".join(f"{line}\n" for text in texts for line in wrap(text, width, lead=lead))


# What is said of a backup, and of what would come back from it.

_SEEN: Final = 12
"""So many letters of a seal are compared by eye."""
_KEEP: Final = (
    "It holds all that is kept about these children. Keep it where only you can read it, and delete older "
    "ones: who is forgotten in the studio is still in them."
)
_FORGOTTEN: Final = (
    "Leave out the ids of children who were forgotten, and of files from which something was deleted on "
    "purpose: nothing is kept by which to know them. Then make a new backup and delete this one."
)
_STATES: Final[Mapping[State, str]] = {
    "missing": "is lost, and comes back",
    "not-here": "is not here, and comes back only if you name the child",
    "newer": "stays as it is: it has something that the archive does not have",
    "other": "stays as it is: it is another one than in the archive",
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
    return _lost_lines(told, width)


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
    return _lost_lines(told, width)


def _told(step: Step, archive: Archive) -> str:
    name = name_in(archive.files[step.file]) if step.student else ""
    what = _STATES.get(step.state) or f"lacks its last {counted(step.lines, 'line')}, which can come back"
    return f"{step.file}{f' ({name})' if name else ''} {what}."


def restored_words(done: Sequence[Step], plan: Sequence[Step], width: int = 80) -> str:
    """Return what was brought back, what was not, and what to look at."""
    back = [f"{one.file} is back." for one in done] or ["Nothing was brought back."]
    stays = [f"{one.file} {_STATES[one.state]}." for one in plan if one.state in _STATES]
    return _lost_lines([*back, *stays, "Now look it over: `readiness doctor`"], width)


def name_in(data: bytes) -> str:
    """Return the given name in a student's file, empty where none is to be read."""
    try:
        return tidy(str(tomllib.loads(data.decode("utf-8-sig")).get("name", "")))
    except (ValueError, RecursionError):
        return ""


def _lost_lines(texts: Sequence[str], width: int) -> str:
    return "".join(f"{line}\n" for text in texts for line in wrap(text, width))
