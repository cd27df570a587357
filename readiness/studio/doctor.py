"""What is wrong in a studio's folder, the little that is mended by itself, and where a name still stands.

Everything is a problem with its place, what it means and what to do, as the checks of files give
them; a mistake in one file never hides the rest. Mended is only what can be taken back: an entry
that stands there twice is taken back once by a line at the end, and a file that only one person may
read in a folder that several share is opened to the group. What was done is kept beside the student's
file, without a word of it, until it is undone.

Where in a studio a student may still be named: every file of its folders, and what cannot be read.

Texts are read: pages, tables, drafts, the files of the program. A picture, a PDF, an archive or a very
large file is not, and neither is a hidden folder such as the history of a version control; what was
left out is given too, so that nobody takes "nothing found" for more than was looked at.
"""

from __future__ import annotations

import html
import json
import os
import re
import stat
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from contextlib import suppress
from dataclasses import replace
from datetime import date
from difflib import get_close_matches
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any, Final

import tomli

from readiness.course.model import PUT_BACK, TAKEN_OUT
from readiness.lazy import dataclass
from readiness.record.checks import DOUBLED, before_the_unit, odd_days
from readiness.record.consents import CONSENTS, answers_in
from readiness.record.draft_entry import FORMS, half_done_path
from readiness.record.enrol import is_reserved
from readiness.record.load import LoadedRecord, load_without_course
from readiness.record.marks import TAKEN, taken_back
from readiness.record.model import HELPS, Record, Showing
from readiness.studio.find import FILE_NAME, Location, Settings
from readiness.studio.load import Studio, load_studio, student_files, with_copies_named
from readiness.toml.problems import Place, Problem, sort_problems, told_again
from readiness.toml.read import Loaded
from readiness.toml.texts import did_you_mean, is_slip
from readiness.toml.write import Refusal, put
from readiness.toml.write import replace as put_in_place

__all__ = [
    "MENDED", "Leftovers", "gone_skills", "has_history", "leftovers", "look_over", "mend",
    "studio_folders", "unmend",
]  # fmt: skip

MENDED: Final = (DOUBLED, "one-reader")
"""The problems that :func:`mend` takes away."""

_KEPT: Final = ".doctor.json"
_MISNAMED: Final = re.compile(r"([^.].*?)\.toml(?:\.txt)?", re.IGNORECASE)
_HIDDEN: Final = re.compile(r"\.([A-Za-z0-9][A-Za-z0-9_-]*)\.(.+)\.(json|new)")


def look_over(studio: Studio, latest: int) -> tuple[Problem, ...]:
    """Return what is wrong with a studio's students, file and course; ``latest``: a note's last day."""
    told = studio.problems
    if studio.course is None:  # a mistake in studio.toml hides none in the other files
        studio = load_studio(replace(studio.where, problems=()))
    alone = student_files(folder) if studio.course is None and (folder := studio.where.students) else ()
    every = (*studio.loaded, *with_copies_named([load_without_course(path) for path in alone]))
    wrong = [p for p in told if p.severity == "error" or p.place.file.name == FILE_NAME]
    noted = _noted(one.record for one in every if one.record)
    found = [_named_by_notes(problem, noted) for problem in wrong]
    gone = Counter(_gone_word(problem) for one in every for problem in one.problems)
    for one in every:
        found += [p if _is_slip(p, gone) else _renamed(p, studio) for p in one.problems]
        found += (*_for_one_reader(one.path), *_reserved(one.path))
        if one.record is not None:
            found += (*odd_days(one.record, latest), *_initials(one.record, studio), *_of_two_minds(one))
            found += (*_unexplained(one.record, one.path), *_consents(one.record, one.path, one.text))
            found += before_the_unit(one.record, studio.course) if studio.course is not None else ()
    found += (*_twice(studio.records.values()), *_left_behind(studio), *_settings(studio, latest))
    return sort_problems(found)


def _at(path: Path, line: int = 0) -> Place:
    """Return the beginning of a line, or the file as a whole."""
    return Place(path, line, min(line, 1))


def _gone_word(problem: Problem) -> str:
    """Return the skill that a problem says is not there; empty where it is about something else."""
    return problem.word if problem.id == "unknown-skill" else ""


def _is_slip(problem: Problem, gone: Mapping[str, int]) -> bool:
    """Return whether a name that is close to another was never there: in one note alone, or a slip away."""
    return bool(problem.meant) and (gone[_gone_word(problem)] == 1 or is_slip(problem.word, problem.meant))


def _noted(records: Iterable[Record]) -> set[str]:
    """Return the skills that have a note."""
    lessons = (lesson for one in records for lesson in one.lessons)
    return {showing.skill for one in lessons for showing in one.showings}


def _named_by_notes(problem: Problem, noted: AbstractSet[str]) -> Problem:
    """Return a link to a skill that is not there; where notes name that skill, it was there."""
    if _gone_word(problem) not in noted or (problem.other is not None and problem.meant not in noted):
        return problem
    return replace(problem, hint=TAKEN_OUT, other=None, other_label="")


def _renamed(problem: Problem, studio: Studio) -> Problem:
    """Return a note of a skill that is gone with the name it has now, if it can be told."""
    word = _gone_word(problem)
    now = _name_now(word, studio) if word else None
    if now is None:
        return problem
    kept = f'`[skill.{word}]` stays in graph.toml with retired = DATE and replaced_by = ["{now}"]'
    more = f"`readiness retire {now}` says more. If not, {PUT_BACK}"
    return replace(problem, hint=f"renamed to {now}? Then {kept}; {more}")


_LONG_AGO: Final = "2000-01-01"
"""Before every note: a skill that went on this day and was renamed is the new one on every day."""


def gone_skills(found: Iterable[Problem], studio: Studio) -> tuple[Problem, ...]:
    """Return what :func:`look_over` found, the notes of one gone skill told as one, and what to write."""
    notes: dict[str, list[Problem]] = {}
    rest: list[Problem] = []
    for one in found:
        is_gone = one.place.file.parent == studio.where.students and not is_slip(one.word, one.meant)
        word = _gone_word(one) if is_gone else ""
        (notes.setdefault(word, []) if word else rest).append(one)
    return sort_problems((*rest, *[_gone(skill, some, studio) for skill, some in notes.items()]))


def _gone(skill: str, notes: Sequence[Problem], studio: Studio) -> Problem:
    """Return that a skill is not there which notes name, at what it is probably called now."""
    if _is_slip(notes[0], {skill: len(notes)}):
        return notes[0]
    students = len({one.place.file for one in notes})
    many = f"{len(notes)} {'note' if len(notes) == 1 else 'notes'} of {students}"
    verb = "names" if len(notes) == 1 else "name"
    names = f'{many} {"student" if students == 1 else "students"} {verb} it'
    now = _name_now(skill, studio)
    if now is None or studio.course is None:
        message = f'"{skill}" is not in the course, and {names}'
        return replace(notes[0], message=message, hint=TAKEN_OUT if notes[0].meant else notes[0].hint)
    hint = (
        f"renamed to {now}? Then its notes count again with a copy of [skill.{now}] that is called "
        f'[skill.{skill}] and has two more lines: retired = {_LONG_AGO} and replaced_by = ["{now}"]. '
        f"If not, {PUT_BACK}"
    )
    place = studio.course.skill[now].place or notes[0].place
    message = f'"{skill}" is gone, and {names}'
    return Problem("skill-gone", "error", place, message, hint, notes[0].place, "one of the notes")


def _name_now(gone: str, studio: Studio) -> str | None:
    """Return the skill whose name is close to one that is gone and that nobody has a note of."""
    noted, parts = _noted(studio.records.values()), set(gone.split("-"))
    there = studio.course.skill.keys() - noted if studio.course else ()
    likely = [one for one in there if parts & set(one.split("-"))]
    return next(iter(get_close_matches(gone, likely, n=1)), None)


def _for_one_reader(path: Path) -> Iterator[Problem]:
    """A file that only its owner may read, in a folder that a group shares."""
    with suppress(OSError):
        shared = stat.S_IMODE(path.parent.stat().st_mode) & 0o070 == 0o070
        if os.name == "posix" and shared and not path.stat().st_mode & stat.S_IRGRP:
            message = "nobody but its owner may read this file, and the folder is shared by a group"
            yield Problem("one-reader", "warning", _at(path), message, f"`chmod g+rw {path.name}`")


def _reserved(path: Path) -> Iterator[Problem]:
    """An id that another system cannot have as the name of a file."""
    if is_reserved(path.stem):
        message = f'some computers cannot hold a file named "{path.stem}"'
        hint = f"give it another name, such as {path.stem}-1.toml; its notes stay as they are"
        yield Problem("reserved-name", "warning", _at(path), message, hint)


def _initials(record: Record, studio: Studio) -> Iterator[Problem]:
    """Initials of a teacher that nobody in ``studio.toml`` has."""
    for lesson in record.lessons:
        if record.path is not None and (odd := studio.odd_initials(lesson.by)):
            yield Problem("unknown-initials", "warning", _at(record.path, lesson.line), odd[0], odd[1])


def _of_two_minds(loaded_record: LoadedRecord) -> Iterator[Problem]:
    """A skill noted in two ways in one lesson."""
    record, path = loaded_record.record, loaded_record.path
    assert record is not None
    for lesson in record.lessons:
        first = dict[str, Showing]()
        for one in lesson.showings:
            earlier = first.setdefault(one.skill, one)
            if earlier.help != one.help:
                ways = " and ".join(HELPS[help_] for help_ in sorted({earlier.help, one.help}))
                message = f'"{one.skill}" is noted in one lesson as {ways}'
                hint = "the one with more help counts; take the other out"
                other = _at(path, earlier.line)
                yield Problem("two-ways", "warning", _at(path, one.line), message, hint, other, "the other")


def _consents(record: Record, path: Path, text: str) -> Iterator[Problem]:
    """A consent that nobody asks for, and one whose last line is not the answer that counts."""
    lines = text.split("\n")
    for key in record.consents.keys() - set(CONSENTS.values()):
        line = next((n for n, text in enumerate(lines, 1) if key in text), 1)
        message = f'nothing asks for a consent "{key}", so nothing follows from it'
        hint = did_you_mean(key, CONSENTS.values()) or f"there are: {', '.join(CONSENTS.values())}"
        yield Problem("unknown-consent", "warning", _at(path, line), message, hint)
    said = answers_in(text.encode())
    for last in {one.key: one for one in reversed(said)}.values():
        counts = max((one for one in said if one.key == last.key), key=lambda one: one.on)
        now, then = record.consents.get(last.key, False), counts.is_yes
        if {now, last.is_yes} != {then}:
            latest = f"its latest answer is {_YES[then]}, of {counts.on}"
            message = f'"{last.key}" is {_YES[now]} here, and {latest}'
            what = next((word for word, key in CONSENTS.items() if key == last.key), last.key)
            hint = f"ask, then note it: `readiness consent {record.id} {what} yes` or no"
            if now == then:
                message = f'this {_YES[last.is_yes]} is older than the {_YES[then]} of {counts.on} below it'
                hint = "the later day counts; put the lines in the order of their days, the latest first"
            here, there = _at(path, last.line), _at(path, counts.line)
            yield Problem("consent-order", "warning", here, message, hint, there, "the latest answer")


_YES: Final = ("no", "yes")


def _unexplained(record: Record, path: Path) -> Iterator[Problem]:
    """A skill that is set aside and nobody has agreed, an age that is set and nothing says why."""
    for aside in record.set_aside:
        if not aside.agreed_with.strip():
            message = f'"{aside.skill}" is set aside, and nobody has agreed'
            hint = 'say with whom it was agreed: agreed_with = "family"'
            yield Problem("agreed-with-nobody", "warning", _at(path, aside.line), message, hint)
    for choice in record.band_choices:
        if not choice.reason.strip():
            message = f'the numbers are those of age "{choice.band}", and nothing says why'
            hint = 'tell whoever reads it next: reason = "..."'
            yield Problem("choice-without-reason", "warning", _at(path, choice.line), message, hint)


def _twice(records: Iterable[Record]) -> Iterator[Problem]:
    """A student in two files."""
    first = dict[tuple[str, int], Record]()
    for one in records:
        known = first.setdefault((one.name.casefold(), one.born), one)
        if known is not one and one.path is not None and known.path is not None:
            message = f"{one.name} has the same name and birth date as the student in {known.path.name}"
            hint = (
                "one child in two files? Then put the entries of one at the end of the other, and "
                f"`readiness forget {one.id}`; two children: give one of them another name"
            )
            yield Problem("two-files", "warning", _at(one.path), message, hint, _at(known.path), "the other")


_FAR: Final = 3 * 365
"""So many days ahead nobody plans a day of a studio (a guess)."""
_REST: Final = 120
"""No holidays are longer, in days (a guess)."""


def _settings(studio: Studio, latest: int) -> Iterator[Problem]:
    """What ``studio.toml`` says twice, to nobody, or for a day that is hardly meant."""
    if (file := studio.where.file) is None:
        return
    data = tomli.loads(file.text)
    for at, day in _days_of(data):
        if day.toordinal() - latest > _FAR:
            message = f"{day.isoformat()} is years away"
            yield Problem("far-away-day", "warning", file.value_place(*at), message, "is the year wrong?")
    events = data.get("event", [])
    said, place = map(str, events), partial(file.key_place, "event")
    yield from told_again(said, place, "same-entry", "this [[event]] is here twice")
    for i, event in enumerate(events):
        yield from _odd_event(file, i, event)
    for who, dates in data.get("lesson_dates", {}).items():
        place = partial(file.value_place, "lesson_dates", who)
        yield from told_again(dates, place, "double-entry", "this day is here twice")
    teachers: Mapping[str, str] = data.get("teachers", {})
    names, initials = [" ".join(name.casefold().split()) for name in teachers.values()], list(teachers)
    places = [file.value_place("teachers", one) for one in initials]
    yield from told_again(names, places.__getitem__, "same-name", "this name is here twice")
    for one in (one for one, name in teachers.items() if not name.strip()):
        here, hint = file.value_place("teachers", one), "write the name, or take the line out"
        yield Problem("empty-text", "warning", here, f"nothing says who {one} is", hint)


def _odd_event(file: Loaded[Settings], number: int, event: Mapping[str, Any]) -> Iterator[Problem]:
    """An event on one day that takes no lesson out and says nothing else, or holidays beyond any."""
    if event.keys() == {"on"}:
        message = "this event has no name, and lessons fall on its day all the same"
        hint = 'write name = "..."; a day without lessons has from and to, both that day'
        yield Problem("event-without-name", "warning", file.key_place("event", number), message, hint)
    elif "to" in event and (days := (event["to"] - event["from"]).days + 1) > _REST:
        message, here = f"no lesson falls on these {days} days", file.value_place("event", number, "to")
        yield Problem("long-holidays", "warning", here, message, "is the year wrong?")


def _days_of(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], date]]:
    """Yield the days that a ``studio.toml`` plans, with where they stand."""
    tables = [(("event", i), event) for i, event in enumerate(data.get("event", []))]
    for at, table in [((), data), *tables]:
        yield from (((*at, key), table[key]) for key in ("term_end", "on", "from", "to") if key in table)
    for who, dates in data.get("lesson_dates", {}).items():
        yield from ((("lesson_dates", who, i), day) for i, day in enumerate(dates))


def _left_behind(studio: Studio) -> Iterator[Problem]:
    """Hidden files that a lesson half entered, or a writer that died, left beside the students."""
    folder = studio.where.students
    for path in sorted(folder.iterdir()) if folder is not None else ():
        yield from _misnamed(path)
        of = _HIDDEN.fullmatch(path.name)
        if of is None or path.name.endswith(_KEPT):
            continue
        record = studio.records.get(of[1])
        with_what = "place" if record is not None and not record.unit_starts else "note"
        yield _left(path, of[1], path.with_name(f"{of[1]}.toml"), with_what)


def _misnamed(path: Path) -> Iterator[Problem]:
    """A file that looks like a student's and is read as nobody's."""
    plain = _MISNAMED.fullmatch(path.name)
    if plain is None:
        return
    if path.is_dir():
        message = "this is a folder, and no student is read from it"
        yield Problem("misnamed-file", "warning", _at(path), message, "give it another name, or take it out")
    elif path.suffix != ".toml":
        message, name = "no student is read from a file with this name", f"{plain[1]}.toml"
        hint = f"{name} is here too: keep one" if path.with_name(name).exists() else f"call it {name}"
        yield Problem("misnamed-file", "warning", _at(path), message, hint)


def _left(path: Path, student: str, file: Path, with_what: str) -> Problem:
    """Return what a hidden file is, beside the file of a student it may be of, and what to do."""
    at = partial(Problem, severity="warning", place=_at(path))
    if not file.exists():
        message = f'this is left of "{student}", and there is no such student'
        return at("left-behind", message=message, hint=f"`readiness forget {student}` clears it")
    if path.name.endswith(FORMS):
        message = f"words typed for {student} are not written yet"
        hint = "the screens offer them to whoever typed them, in the same form: keep them or empty its field"
        return at("unwritten-words", place=_at(file), message=message, hint=hint)
    if path.suffix == ".json":
        message, go_on = f"a lesson of {student} is half entered, not noted yet", f"`readiness {with_what}"
        drop = f"`readiness note {student} --drop` forgets it"
        hint = f"{go_on} {student}` finishes it, {drop}; on the screens key l, then q or x"
        other = f"it is another person's: whoever typed it finishes it with {go_on} {student}`"
        hint = hint if path == half_done_path(file) else other
        return at("half-entered", place=_at(file), message=message, hint=hint)
    message = f"this was left when something was written for {student} and the program was ended"
    hint = f"look whether {file.name} has everything, then delete it"
    return at("unfinished-copy", message=message, hint=hint)


_MendedFile = tuple[list[str], int | None]
"""What was mended in one student's file, without a word of it: lines put at its end, its old mode."""


def mend(folder: Path, found: Iterable[Problem]) -> tuple[Refusal, ...]:
    """Mend what :func:`look_over` found and takes no person, so that :func:`unmend` can undo it."""
    by_file: dict[Path, list[Problem]] = {}
    for one in (one for one in found if one.id in MENDED):
        by_file.setdefault(one.place.file, []).append(one)
    return tuple(filter(None, (_mended(folder, path, some) for path, some in by_file.items())))


def _mended(folder: Path, path: Path, found: Sequence[Problem]) -> Refusal | None:
    mode = stat.S_IMODE(path.stat().st_mode) if any(one.id == "one-reader" for one in found) else None
    text = path.read_bytes().split(b"\n")
    marks = [text[one.place.line - 1].rpartition(b"# ")[2].strip() for one in found if one.id == DOUBLED]
    lines = [(TAKEN + mark).decode() for mark in marks]
    before, was = _read_done(_kept_at(path)) or ([], None)
    done = {"lines": [*before, *lines], "mode": mode if was is None else was}
    if (refusal := put(_kept_at(path), json.dumps(done).encode())) is not None:
        return refusal
    if mode is not None:
        path.chmod(mode | stat.S_IRGRP | stat.S_IWGRP)
    return put_in_place(path, folder, lambda data: data + taken_back(data, marks)) if marks else None


def unmend(folder: Path) -> tuple[tuple[str, ...], tuple[Refusal, ...]]:
    """Undo what was mended last; return whose files are as they were, and what stood in the way."""
    answers: dict[str, Refusal | None] = {}
    for kept in sorted(folder.glob(f".*{_KEPT}")):
        path = folder / f"{kept.name[1:].removesuffix(_KEPT)}.toml"
        done = _read_done(kept)
        if done is not None and path.is_file():
            answers[path.stem] = _unmended(folder, path, kept, done)
    refusals = tuple(one for one in answers.values() if one is not None)
    return tuple(who for who, refusal in answers.items() if refusal is None), refusals


def _unmended(folder: Path, path: Path, kept: Path, done: _MendedFile) -> Refusal | None:
    lines, mode = done
    if lines and (refusal := put_in_place(path, folder, lambda before: _without_lines(before, lines))):
        return refusal
    if mode is not None:
        path.chmod(mode)
    kept.unlink()
    return None


def _without_lines(before: bytes, lines: Iterable[str]) -> bytes:
    """Return a file without some lines, each taken out once, from the end."""
    rest = before.split(b"\n")
    for line in lines:
        at = [i for i, one in enumerate(rest) if one.rstrip(b"\r") == line.encode()]
        if at:
            del rest[at[-1]]
    return b"\n".join(rest)


def _read_done(kept: Path) -> _MendedFile | None:
    try:
        plain: Mapping[str, object] = json.loads(kept.read_text(encoding="utf-8"))
        lines, mode = plain["lines"], plain["mode"]
    except (OSError, ValueError, LookupError, TypeError):
        return None
    if not isinstance(lines, list) or not (mode is None or (isinstance(mode, int) and 0 <= mode <= 0o777)):
        return None
    return [one for one in map(str, lines) if one.startswith(TAKEN.decode())], mode


def _kept_at(path: Path) -> Path:
    return path.with_name(f".{path.stem}{_KEPT}")


LARGEST: Final = 20_000_000
"""A larger file is not looked into, in bytes."""

MOST_FILES: Final = 20_000

_PAGES: Final = (".html", ".htm", ".xhtml", ".svg", ".xml", ".graphml")
_ESCAPED: Final = re.compile(r"\\u([0-9a-fA-F]{4})")


@dataclass(frozen=True)
class Leftovers:
    """What was found, and how far the looking went.

    Attributes:
        places: where a word stands: line 0 is the name of a file.
        folders: what was looked through, with all folders in it.
        unread: files that are no text, too large or not to be opened, and hidden folders.
        is_whole: False where there were so many files that the rest was left out.
    """

    places: tuple[Place, ...]
    folders: tuple[Path, ...]
    read: int
    unread: tuple[Path, ...]
    is_whole: bool


def has_history(folder: Path) -> bool:
    """Return whether a folder is kept in git, which holds every older version of its files."""
    full = folder.resolve()
    return any((one / ".git").exists() for one in (full, *full.parents))


def studio_folders(where: Location) -> tuple[Path, ...]:
    """Return the folders that make up a studio, none of them inside another."""
    own = [where.file.path.parent] if where.file is not None and where.file.path.name == FILE_NAME else []
    every = {one.resolve(): one for one in (*own, where.students, where.course, *where.beside) if one}
    return tuple(
        one
        for full, one in every.items()
        if not any(full != other and full.is_relative_to(other) for other in every)
    )


def leftovers(folders: Iterable[Path], words: Iterable[str], leave_out: Path | None = None) -> Leftovers:
    """Look for some words in the names and the texts of all files of some folders.

    Args:
        words: an id and a given name; found as whole words, whatever the size of the letters.
        leave_out: a file that is meant to have them, such as a copy just made.
    """
    where = tuple(folders)
    told = "|".join(sorted({re.escape(word) for word in words if word.strip()}))
    wanted = re.compile(rf"(?<![^\W_])(?:{told})(?![^\W_])", re.IGNORECASE)
    places: list[Place] = []
    unread: list[Path] = []
    read, every = 0, _all(where, unread)
    for path in islice(every, MOST_FILES):
        if leave_out is not None and path.resolve() == leave_out.resolve():
            continue
        if wanted.search(path.name):
            places.append(Place(path, 0, 0))
        text = _text(path)
        if text is None:
            unread.append(path)
            continue
        read += 1
        places += _found(path, text, wanted)
    is_whole = next(every, None) is None
    return Leftovers(tuple(places), where, read, tuple(unread), is_whole)


def _all(folders: Iterable[Path], unread: list[Path]) -> Iterator[Path]:
    """Yield the files; hidden folders, links elsewhere, and what may not be looked at go among the unread."""

    def not_looked_at(error: OSError) -> None:
        unread.append(Path(error.filename))

    for folder in folders:
        for at, inside, files in os.walk(folder, onerror=not_looked_at):
            here = Path(at)
            skipped = sorted(n for n in inside if n.startswith(".") or (here / n).is_symlink())
            unread += [here / name for name in skipped]
            inside[:] = sorted(set(inside) - set(skipped))
            yield from (here / name for name in sorted(files))


def _text(path: Path) -> str | None:
    """Return a file as text, None for what is none or cannot be read."""
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            return None
        data = path.read_bytes()
    except OSError:
        return None
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    return None if b"\0" in data or data[:5] == b"%PDF-" else data.decode(errors="replace")


def _found(path: Path, text: str, wanted: re.Pattern[str]) -> Iterator[Place]:
    """Yield where the words stand, also as a page or JSON writes letters."""
    for number, line in enumerate(text.split("\n"), 1):
        plain = line
        if path.suffix.lower() in _PAGES:
            plain = html.unescape(line)
        elif path.suffix.lower() == ".json":
            plain = _ESCAPED.sub(lambda code: chr(int(code[1], 16)), line)
        if match := wanted.search(plain):
            yield Place(path, number, match.start() + 1)
