"""What is said when a studio is made, a student comes, or a student leaves.

Each time the reminder that belongs to it: keep little (C9), who is it for (C8).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.words.cautions import caution
from readiness.words.grammar import counted, date_words, listed, tidy, unit_words
from readiness.words.layout import Page, Paragraph, columns, copied

if TYPE_CHECKING:
    from readiness.course.model import Course
    from readiness.record.forget import Forgotten
    from readiness.record.model import Record
    from readiness.studio.backup import Archive, State, Step
    from readiness.studio.leftovers import Leftovers

__all__ = [
    "LEAVING", "backup_words", "deletion_words", "enrolled_words", "forgotten_words", "name_in",
    "restore_words", "restored_words", "started_words",
]  # fmt: skip

NAMED_AT_MOST: Final = 10
LEAVING: Final = (
    "This deletes everything kept about {}: {}. It cannot be taken back. --export FILE makes a copy first."
)


def started_words(
    folder: Path, group: str = "", with_demo: bool = False, empty: bool = False
) -> Iterator[Paragraph | str]:
    """Yield where the studio is, who may use it besides its owner, and what to do next."""
    yield f"A studio is in {folder}, {'with the six invented students' if with_demo else 'no students yet'}."
    if group:
        yield f"Whoever is in the group {group} may read it and write to it; nobody else may."
    yield from columns((
        ("studio.toml", "where things are, and the dates of the term"),
        ("course", "the skills (graph.toml) and the pace by age (pacing.toml), yours to change"),
        ("students", "one file a student"),
    ), 2)  # fmt: skip
    then = "readiness roster" if with_demo else "readiness enrol mia --name Mia --born 2019-05 --unit UNIT"
    yield "Next:"
    yield from copied(f"cd {folder}", "readiness course add skill" if empty else then)


def deletion_words(record: Record, day: int, until: int | None) -> str:
    """Return that ``until``, when a file was to be deleted, is over on a day; empty until then."""
    if until is None or until >= day:
        return ""
    then = f"`readiness forget {record.id}` deletes it, or write a later day at the head of {record.file}."
    return f"the file of {tidy(record.name)} was to be deleted by {date_words(until, day)}: {then}"


def enrolled_words(
    record: Record, course: Course, others: Sequence[str] = (), *, goes_on: bool = False,
    day: str | None = None,
) -> Iterator[str]:  # fmt: skip
    """Yield that a student's file is there, what comes next, how to correct it, and C9.

    ``others``: ids of students of the same given name; ``goes_on``: the placing lesson begins at once;
    ``day`` was typed, for the command that comes next.
    """
    id_, name, at = record.id, tidy(record.name), f" --on {day}" if day else ""
    path = record.path or Path(f"{id_}.toml")
    yield f"{name} has a file now: {path}."
    if record.unit_starts:
        unit = unit_words(course, record.unit_starts[-1].unit)
        yield f"{name} starts with {unit}: `readiness sheet {id_}`"
    elif record.placings and goes_on:
        yield "The placing lesson starts now, one thing at a time."
    elif record.placings:
        place, paper = f"`readiness place {id_}{at}`", f"`readiness sheet {id_}{at}`"
        yield f"Next, the placing lesson: {place}, or on paper: {paper}"
    else:
        yield f"No starting unit yet. Note a lesson, then ask `readiness why {id_}`."
    if others:
        have = "has" if len(others) == 1 else "have"
        yield f"{listed(others)} {have} the name {name} too; type {id_} for this one."
    yield f"Correct a name or a birth month by hand, at the head of {path.name}."
    yield f"Stop sign, seat, own words, who collects: `readiness particulars {id_}`"
    yield caution("C9")


def forgotten_words(
    name: str, gone: Forgotten, exported: Path | None, found: Leftovers, *, in_git: bool = False
) -> Page:
    """Yield what is gone, where a name is still found, how far was looked, and what remains."""
    yield f"A copy is in {exported}." if exported else ""
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
    names = f"That file has {counted(gone.other_names, 'further name')} on this disk, with all of it"
    yield f"{names}; please look for it there." if gone.other_names else ""
    yield caution("C8") if exported else ""
    there = f"The id or the name is still in {counted(len(found.places), 'place')}"
    yield f"{there}; look at each, it may mean somebody else:" if found.places else ""
    places = (f"{at.file}:{at.line}" if at.line else f"{at.file} (its name)" for at in found.places)
    yield from copied(*places)
    free = "That is all there is in the" if found.places else "The id and the name are no longer in the"
    read = counted(found.read, "file that was", "files that were")
    yield f"{free} {read} read, here and in all folders inside:"
    yield from copied(*map(str, found.folders))
    unread = [str(path) for path in found.unread[:NAMED_AT_MOST]]
    unread += [f"and {more} more"] if (more := len(found.unread) - NAMED_AT_MOST) > 0 else []
    unread += [] if found.is_whole else ["and further files: there are too many here to read them all"]
    yield "Not looked into (not text, very large, or hidden); please look:" if unread else ""
    yield from copied(*unread)
    yield _IN_GIT if in_git else ""
    yield "Backups, mails, papers and colleagues' machines are yours to clear, as local law asks."


_IN_GIT: Final = (
    "The folder is kept in git, and older versions there still hold the file. Where local law wants it, ask "
    "whoever looks after it to take it out of the history."
)

# What is said of a backup, and of what would come back from it.

_SEEN: Final = 12
"""So many letters of a seal are compared by eye."""
_STATES: Final[Mapping[State, str]] = {
    "missing": "is lost, and comes back",
    "not-here": "is not here, and comes back only if you name the child",
    "newer": "stays as it is: it has lines that the archive does not have",
    "other": "stays as it is: it differs from the archive",
}


def backup_words(path: Path, archive: Archive, left: Sequence[tuple[Path, str]] = ()) -> Iterator[str]:
    """Yield what a backup holds, what was left out, and how to try it."""
    yield f"{path} is written: {counted(len(archive.files), 'file')}, sealed with {archive.seal[:_SEEN]}."
    yield from (f"Left out: {file.name}, for {why}." for file, why in left)
    yield (
        "It holds everything about these children. Keep it where only you can read it. Delete older ones: "
        "students you forgot here are still in them."
    )
    yield f"Try it now and then: `readiness restore {path} --check`"


def restore_words(path: Path, archive: Archive, plan: Sequence[Step]) -> Iterator[str]:
    """Yield what restoring would change, file by file."""
    yield f"{path} is whole, made on {date_words(archive.made)}, sealed with {archive.seal[:_SEEN]}."
    for step in (step for step in plan if step.state != "same"):
        name = name_in(archive.files[step.file]) if step.student else ""
        lacks = f"lacks its last {counted(step.lines, 'line')}, which can come back"
        yield f"{step.file}{f' ({name})' if name else ''} {_STATES.get(step.state, lacks)}."
    same = sum(step.state == "same" for step in plan)
    yield f"{counted(same, 'file is', 'files are')} as in the archive."
    if gone := [step.student for step in plan if step.state in ("adds", "not-here")]:
        yield f"To bring back what is lost: `readiness restore {path} --bring-back {' '.join(gone)}`"
        yield (
            "Leave out students who were forgotten, and files from which something was deleted on purpose: "
            "only you know them. Then make a new backup and delete this one."
        )
    elif any(step.state == "missing" for step in plan):
        yield f"`readiness restore {path}` brings it back."


def restored_words(done: Sequence[Step], plan: Sequence[Step]) -> Iterator[str]:
    """Yield what was brought back, what was not, and what to look at."""
    yield from [f"{step.file} is back." for step in done] or ["Nothing was brought back."]
    yield from (f"{step.file} {_STATES[step.state]}." for step in plan if step.state in _STATES)
    yield "Now look it over: `readiness doctor`"


def name_in(data: bytes) -> str:
    """Return the given name in a student's file, empty where none is to be read."""
    import tomllib  # here, since most of the commands have no need of it

    try:
        return tidy(str(tomllib.loads(data.decode("utf-8-sig")).get("name", "")))
    except (ValueError, RecursionError):
        return ""
