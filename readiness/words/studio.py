"""What is said when a studio is made, a student comes, or a student leaves.

Each time the reminder that belongs to it: keep little (C9), who is it for (C8).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.words.cautions import caution
from readiness.words.grammar import counted, date_words, listed, tidy, unit_words
from readiness.words.layout import Paragraph, Section, columns, lay_out, lines

if TYPE_CHECKING:
    from readiness.course.model import Course
    from readiness.record.forget import Forgotten
    from readiness.record.model import Record
    from readiness.studio.backup import Archive, State, Step
    from readiness.studio.leftovers import Leftovers

__all__ = [
    "backup_words", "deletion_words", "enrolled_words", "forgotten_words", "leaving_words", "name_in",
    "restore_words", "restored_words", "started_words",
]  # fmt: skip

NAMED_AT_MOST: Final = 10


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
    """Return that ``until``, when a file was to be deleted, is over on a day; empty until then."""
    if until is None or until >= day:
        return ""
    then = f"`readiness forget {record.id}` deletes it, or write a later day at the head of {record.file}."
    return f"the file of {tidy(record.name)} was to be deleted by {date_words(until, day)}: {then}"


def enrolled_words(
    record: Record, course: Course, others: Sequence[str] = (), width: int = 80, *,
    goes_on: bool = False, day: str | None = None,
) -> str:  # fmt: skip
    """Return that a student's file is there, what comes next, how to correct it, and C9.

    ``others``: ids of students of the same given name; ``goes_on``: the placing lesson begins at once;
    ``day`` was typed, for the command that comes next.
    """
    id_, name, at = record.id, tidy(record.name), f" --on {day}" if day else ""
    path = record.path or Path(f"{id_}.toml")
    then = f"No starting unit yet. Note a lesson, then ask `readiness why {id_}`."
    if record.unit_starts:
        unit = unit_words(course, record.unit_starts[-1].unit)
        then = f"{name} starts with {unit}: `readiness sheet {id_}`"
    elif record.placings and goes_on:
        then = "The placing lesson starts now, one thing at a time."
    elif record.placings:
        place, paper = f"`readiness place {id_}{at}`", f"`readiness sheet {id_}{at}`"
        then = f"Next, the placing lesson: {place}, or on paper: {paper}"
    have = "has" if len(others) == 1 else "have"
    return lines([
        f"{name} has a file now: {path}.",
        then,
        f"{listed(others)} {have} the name {name} too; type {id_} for this one." if others else "",
        f"Correct a name or a birth month by hand, at the head of {path.name}.",
        f"Stop sign, seat, own words, who collects: `readiness particulars {id_}`",
        caution("C9"),
    ], width)  # fmt: skip


def leaving_words(name: str, path: Path, width: int = 80) -> str:
    """Return what will be deleted, before it is."""
    everything = f"This deletes everything kept about {tidy(name)}: {path}."
    return lines([f"{everything} It cannot be taken back. --export FILE makes a copy first."], width)


def forgotten_words(
    name: str, gone: Forgotten, exported: Path | None, found: Leftovers, width: int = 80, *,
    in_git: bool = False,
) -> str:  # fmt: skip
    """Return what is gone, where a name is still found, how far was looked, and what remains."""
    told = list(_gone_words(name, gone))
    if exported is not None:
        told = [f"A copy is in {exported}.", *told, caution("C8")]
    text = lines(told, width)
    if found.places:
        there = f"The id or the name is still in {counted(len(found.places), 'place')}"
        places = (f"{at.file}:{at.line}" if at.line else f"{at.file} (its name)" for at in found.places)
        text += _list(f"{there}; look at each, it may mean somebody else:", places, width)
    free = "That is all there is in the" if found.places else "The id and the name are no longer in the"
    read = f"{counted(found.read, 'file that was', 'files that were')} read, here and in all folders inside:"
    text += _list(f"{free} {read}", map(str, found.folders), width)
    unread = [str(path) for path in found.unread[:NAMED_AT_MOST]]
    unread += [f"and {more} more"] if (more := len(found.unread) - NAMED_AT_MOST) > 0 else []
    unread += [] if found.is_whole else ["and further files: there are too many here to read them all"]
    if unread:
        text += _list("Not looked into (not text, very large, or hidden); please look:", unread, width)
    return text + lines([_IN_GIT if in_git else "", _BEYOND], width)


_IN_GIT: Final = (
    "The folder is kept in git, and older versions there still hold the file. Where local law wants it, ask "
    "whoever looks after it to take it out of the history."
)
_BEYOND: Final = "Backups, mails, papers and colleagues' machines are yours to clear, as local law asks."


def _list(title: str, things: Iterable[str], width: int) -> str:
    """Return a title with lines under it that are never broken, because they are copied."""
    return lines([title], width) + "".join(f"  {thing}\n" for thing in things)


def _gone_words(name: str, gone: Forgotten) -> Iterator[str]:
    """Yield what was deleted, and what of it stays."""
    if (led_to := gone.led_to) is not None:
        by_command = f"`readiness forget {led_to.stem}` deletes it."
        yield (
            f"{gone.deleted[0].name} was only a link to {led_to.name}: the link is deleted, with what was "
            "half entered, and that file is still there. "
            f"{by_command if led_to.suffix == '.toml' else 'Delete it by hand.'}"
        )
    elif gone.deleted and gone.deleted[0].suffix == ".toml":
        yield f"The file of {tidy(name)} is deleted, with what was half entered."
    else:
        yield f"There was no file of {tidy(name)}; what was left beside it is deleted."
    if gone.other_names:
        names = counted(gone.other_names, "further name")
        yield f"That file has {names} on this disk, with all of it; please look for it there."


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
    return lines([
        f"{path} is written: {counted(len(archive.files), 'file')}, sealed with {archive.seal[:_SEEN]}.",
        *(f"Left out: {file.name}, for {why}." for file, why in left),
        _KEEP,
        f"Try it now and then: `readiness restore {path} --check`",
    ], width)  # fmt: skip


def restore_words(path: Path, archive: Archive, plan: Sequence[Step], width: int = 80) -> str:
    """Return what restoring would change, file by file."""
    told = [f"{path} is whole, made on {date_words(archive.made)}, sealed with {archive.seal[:_SEEN]}."]
    for step in (step for step in plan if step.state != "same"):
        name = name_in(archive.files[step.file]) if step.student else ""
        lacks = f"lacks its last {counted(step.lines, 'line')}, which can come back"
        told.append(f"{step.file}{f' ({name})' if name else ''} {_STATES.get(step.state, lacks)}.")
    same = sum(step.state == "same" for step in plan)
    told.append(f"{counted(same, 'file is', 'files are')} as in the archive.")
    if gone := [step.student for step in plan if step.state in ("adds", "not-here")]:
        named = f"`readiness restore {path} --bring-back {' '.join(gone)}`"
        told += [f"To bring back what is lost: {named}", _FORGOTTEN]
    elif any(step.state == "missing" for step in plan):
        told.append(f"`readiness restore {path}` brings it back.")
    return lines(told, width)


def restored_words(done: Sequence[Step], plan: Sequence[Step], width: int = 80) -> str:
    """Return what was brought back, what was not, and what to look at."""
    back = [f"{step.file} is back." for step in done] or ["Nothing was brought back."]
    stays = [f"{step.file} {_STATES[step.state]}." for step in plan if step.state in _STATES]
    return lines([*back, *stays, "Now look it over: `readiness doctor`"], width)


def name_in(data: bytes) -> str:
    """Return the given name in a student's file, empty where none is to be read."""
    import tomllib  # here, since most of the commands have no need of it

    try:
        return tidy(str(tomllib.loads(data.decode("utf-8-sig")).get("name", "")))
    except (ValueError, RecursionError):
        return ""
