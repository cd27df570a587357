"""Taking the last thing back, saying that a note was wrong, and moving a lesson to whose it was.

Only what was done last of all that stands, only if this program did it and it is as it was left:
whatever was changed by hand since stays, and so does all that was noted before. A line at the end takes an
entry back (``record.marks``). A hold is not taken back, an adult ends it, unless a named adult says why it
was a mistake, and then a line in the file says so; that it was ended can be taken back, for then it is open
again. All that one import brought has its token and is taken back together, in every file.

A correction is an entry of its own, also long after: it names the notes as they were made, so that it
means the same wherever a merge puts it. The notes stay in the file; whoever reads it leaves them out before
anything is judged, so to judging they were never there. Nothing here knows a clock.
"""

from __future__ import annotations

import re
import secrets
from collections import Counter
from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from functools import partial
from pathlib import Path
from typing import Final, NamedTuple

import tomli

from readiness.record.append import Step, add_blocks, block, carry_out, entry_moved, take_out
from readiness.record.marks import (
    ABOVE,
    CONSENT,
    NOTED,
    TAKEN,
    TAKEN_ABOVE,
    entries_with,
    entry_around,
    entry_begin,
    entry_words,
    is_marked,
    line_end,
    mark_above,
    moved_line,
    moved_token,
    standing,
    taken_back,
)
from readiness.record.model import SHOWN, Lesson, Record
from readiness.record.noting import NewLesson, lesson_text, unless_of_another
from readiness.toml import write as writing
from readiness.toml.write import Refusal

__all__ = [
    "SINCE", "as_new", "correct", "first_day", "import_line", "import_token", "last_entry",
    "move_entry", "move_lessons", "stays", "take_back", "take_import_back",
]  # fmt: skip

_IMPORT: Final = b"# import "

_MISTAKE: Final = b"# entered by mistake"
_SAYS: Final = re.compile(
    rb"(?:\A|\n)((?:%s[^\n]*\n)?)(# (?:noted|taken back)(?: above)? )([0-9a-f]{8})\r?\n\Z" % _MISTAKE
)
"""The last line of a file, where this program did what was done last; before it why a hold was a mistake."""


class _Done(NamedTuple):
    """Something this program did: how its last line begins, its mark, its words, the file before it."""

    kind: bytes
    mark: bytes
    words: bytes
    before: bytes


def take_back(path: Path, folder: Path, mark: str | None = None, mistake: str = "") -> str | Refusal:
    """Take back what was done last, if this tool did it and nothing came after; return its text.

    Args:
        path: the student file; folder: the students folder it must be in.
        mark: the one it must have, as :func:`last_entry` gave it; anything by default.
        mistake: of a hold, who says why it was one, and when; it is kept in the file. Without that it stands.
    """
    if (moved := _moved(path, folder, mark)) is not None:
        return moved
    taken: list[_Done] = []
    refusal = writing.replace(path, folder, lambda before: _crossed_out(before, mark, taken, mistake))
    if refusal in (_HOLD, _CONSENT):
        return Refusal(refusal.id, refusal.message.format(path.stem))
    return refusal or taken[-1].words.decode()


def _moved(path: Path, folder: Path, mark: str | None) -> str | Refusal | None:
    """Take back a note's way from one file to another, in both; None where that was not done last."""
    done = _last_in(path)
    token = None if isinstance(done, Refusal) else moved_token(done.words)
    if isinstance(done, Refusal) or token is None or mark not in (None, done.mark.decode()):
        return None
    there, home, words = entry_moved(folder, token, path), path.name, done.words
    steps = [Step(path.name, back=done.mark.decode())]
    if there is None:  # it was taken back with an import, or its file is gone
        refusal = carry_out(folder, steps)
        left = words.decode().replace(moved_line(token.decode()), "")
        return refusal or (left if "[[" in left or mark is not None else take_back(path, folder))
    steps.append(there[0])
    if b"[[" not in there[1]:  # it went from there to here
        home = there[0].file
    elif b"[[" not in words:
        words = there[1]
    if home != path.name or words is not done.words:
        again = words.decode().replace(moved_line(token.decode()), f"# moved back {token.decode()}\n")
        steps.insert(0, Step(home, add=again))
    return carry_out(folder, steps) or words.decode()


def last_entry(path: Path) -> tuple[str, frozenset[str], str] | Refusal:
    """Return what was noted last in a file, the kinds of its blocks, and its mark; or why none is."""
    done = _last_in(path)
    if isinstance(done, Refusal):
        return ("", frozenset({"consent"}), "") if done == _CONSENT else done
    kinds = re.findall(r"^\[\[(\w+)\]\]", words := done.words.decode(), re.MULTILINE)
    return words, frozenset({"above"} if done.kind == ABOVE else kinds), done.mark.decode()


def first_day(entry: str) -> int | None:
    """Return the first day that an entry names."""
    read = tomli.loads(entry)
    blocks = [block for kind in read.values() if isinstance(kind, list) for block in kind]
    days = (value for block in (read, *blocks) for value in block.values() if isinstance(value, date))
    return next((day.toordinal() for day in days), None)


def move_entry(path: Path, other: Path, folder: Path) -> Refusal | None:
    """Take what was noted last in a student's file to another's: in both files, or in neither.

    The entry is taken back here, and a line says so; one undo finds both by the token of that line.
    """
    done = _last_standing(path.read_bytes())
    if isinstance(done, Refusal):
        return done
    link = moved_line(secrets.token_hex(4))
    return carry_out(folder, [
        Step(other.name, add=done.words.decode() + link), Step(path.name, add=link),
        Step(path.name, back=done.mark.decode()),
    ])  # fmt: skip


def import_line(token: str) -> str:
    """Return the last line of an entry that came with an import; of one import all have the same token."""
    return f"{_IMPORT.decode()}{token}\n" if token else ""


def import_token(path: Path) -> str:
    """Return the token of the import that was noted last in a file, and not moved there; else nothing."""
    done = _last_in(path)
    return "" if isinstance(done, Refusal) or moved_token(done.words) else _token(done.words)


def _token(words: bytes) -> str:
    return next((one[len(_IMPORT) :].decode() for one in words.splitlines() if one.startswith(_IMPORT)), "")


def take_import_back(folder: Path, token: str, last: str = "") -> dict[str, tuple[int, int, Refusal | None]]:
    """Take back every entry that stands of an import, whatever was noted since.

    Each file is written in one step, that of ``last`` at the end: where it stops half-way, the same again
    does the rest. What was changed by hand stays.

    Returns:
        By student, how many entries were taken back, how many lessons stay as corrected, why not all were.
    """
    found: dict[str, tuple[int, int, Refusal | None]] = {}
    for path in sorted(folder.glob("*.toml"), key=lambda one: (one.stem == last, one.name)):
        said: list[bytes] = []
        refusal = writing.append(path, folder, partial(_import_out, path, token, said))
        if refusal != _NOT_OURS:
            is_left = any(entries_with(path.read_bytes(), _IMPORT + token.encode()))
            left = refusal or (_BY_HAND if is_left else None)
            marks, kept = (0, 0) if refusal else (len(said) - 1, said[-1].count(b"[[lesson]]"))
            found[path.stem] = (marks, kept, left)
    return found


def _import_out(path: Path, token: str, said: list[bytes], before: bytes) -> bytes | Refusal:
    """Return the lines that take the entries of an import back; ``said``: their marks, and these lines."""
    marks = list(entries_with(before, _IMPORT + token.encode()))
    said[:] = [mark for mark, words in marks if words is not None]
    if not said:
        return _BY_HAND if marks else _NOT_OURS
    lines = take_out(path, before, reversed(said))
    said += [lines] if isinstance(lines, bytes) else []
    return lines


def _crossed_out(before: bytes, mark: str | None, taken: list[_Done], mistake: str) -> bytes | Refusal:
    """Return the file with what was done last taken back, which is added to ``taken``."""
    done = _last_standing(before)
    if isinstance(done, Refusal):
        return done
    if mark not in (None, done.mark.decode()):
        return SINCE
    is_hold, end = b"[[hold]]" in done.words.split(b"\n"), line_end(before)
    if is_hold and not mistake:
        return _HOLD
    taken.append(done)
    if done.kind == ABOVE:
        return _without(before, done.mark) + TAKEN_ABOVE + done.mark + end
    why = b"%s, %s%s" % (_MISTAKE, " ".join(mistake.split()).encode(), end) if is_hold else b""
    return before + why + taken_back(before, [done.mark])


def _last_in(path: Path) -> _Done | Refusal:
    try:
        return _last_standing(path.read_bytes())
    except OSError:
        return _NOT_OURS


def _last_standing(before: bytes) -> _Done | Refusal:
    """Return what was done last and not taken back, or why there is none that can be."""
    gone = Counter[tuple[bytes, bytes]]()
    while not isinstance(done := _last(before), Refusal):
        if done.kind in (TAKEN, TAKEN_ABOVE):
            gone[NOTED if done.kind == TAKEN else ABOVE, done.mark] += 1
        elif not gone[done.kind, done.mark]:
            return _as_it_was(done)
        else:
            gone[done.kind, done.mark] -= 1
        before = done.before
    return done


def _last(before: bytes) -> _Done | Refusal:
    """Return what was done last, whether it was taken back or not."""
    if before.rstrip(b"\r\n").endswith(b"\n" + CONSENT):
        return _CONSENT
    said = _SAYS.search(before)
    if said is None:
        return _NOT_OURS
    _, kind, mark = said.groups()
    if kind == NOTED:
        return _entry(before, mark)
    head = before[: said.start(1)]
    words = (line for line in head.split(b"\n") if kind == ABOVE and is_marked(line, mark))
    text = b"".join(line.rstrip(b"\r").removesuffix(b" # " + mark) + b"\n" for line in words)
    return _Done(kind, mark, text, _without(head, mark) if kind == ABOVE else head)


def _entry(before: bytes, mark: bytes) -> _Done | Refusal:
    """Return the entry at the end of a file.

    The line ends before it are its own, unless a merge has put something else there.
    """
    lines = before.split(b"\n")
    begun = entry_begin(lines, len(lines) - 2, mark)
    if begun is None:
        return _NOT_OURS
    first, gap = begun
    start, ending = sum(len(line) + 1 for line in lines[:first]), line_end(before)
    ahead = before[:start]
    is_apart = ahead == ending or ahead.endswith(ending * 2)
    head = before[: start - len(ending) * (1 + len(gap)) * is_apart]
    return _Done(NOTED, mark, entry_words(before[start:]), head)


def _without(text: bytes, mark: bytes) -> bytes:
    return b"\n".join(line for line in text.split(b"\n") if not is_marked(line, mark))


def _as_it_was(done: _Done) -> _Done | Refusal:
    """Return what was done, if the rest of the file is as it was then; an entry has been seen to be whole."""
    was = (done.before, done.before.removesuffix(line_end(done.before)))
    if done.kind == NOTED or any(mark_above(file, done.words) == done.mark for file in was):
        return done
    return _CHANGED


_NOT_OURS: Final = Refusal(
    "nothing-to-undo",
    "nothing was taken back: the last that still counts is no entry as this program left it. It stood "
    "there when the file was made, or it was written or changed by hand.",
)
_CHANGED: Final = Refusal(
    "changed-since",
    "nothing was taken back: what was done last put lines into an older entry, and the file was changed "
    "by hand since.",
)
_HOLD: Final = Refusal(
    "undo-hold",
    "nothing was taken back: the last entry is a pause, and only an adult ends it (`readiness resume "
    "{0} --by NAME --words WORDS`). One of today or yesterday that was a mistake is taken out with "
    "`readiness undo {0} --by NAME --why WORDS`; if it was meant for somebody else, pause that one first.",
)
_BY_HAND: Final = Refusal("changed-since", "what was changed by hand since the import stays.")
_CONSENT: Final = Refusal(
    "undo-consent",
    "nothing was taken back: a consent was noted last, and it stays in the file until another answer is "
    "noted: `readiness consent {0} WHAT no --by NAME`. A lesson noted before it is corrected by its day: "
    "`readiness correct {0} --on DATE`.",
)
SINCE: Final = Refusal("not-the-last", "nothing was taken back: something else was noted since.")


def correct(
    record: Record, folder: Path, skills: Sequence[str], instead: NewLesson, on: int, why: str = ""
) -> Refusal | None:
    """Say that notes of a day were wrong, and how it was instead, in one entry.

    Args:
        record, folder: whose file, and the students folder.
        skills: what was noted wrongly; nothing for all the lessons of the day.
        instead: of that day, how it was in truth, as far as that is known, and who says so.
        on: the day on which it is said; why: a few words.
    """
    lessons = [lesson for lesson in record.lessons if lesson.on == instead.on]
    parts = [lessons] if skills else [[one] for one in lessons]
    blocks = [_correction(on, instead.on, some, instead.by, why, skills) for some in parts]
    blocks += [lesson_text(instead)] * bool(instead.helps)
    return add_blocks(record.own_path, folder, "\n".join(blocks), unless_of_another(record))


def _correction(
    on: int, of: int, lessons: Iterable[Lesson], by: str, why: str, skills: Sequence[str] = ()
) -> str:
    """Return that notes of some lessons of a day were wrong: those of some skills, else all of them."""
    shown = [one for lesson in lessons for one in lesson.showings if not skills or one.skill in skills]
    noted = [(name, [one.skill for one in shown if one.help == given]) for given, name in enumerate(SHOWN)]
    days = [("on", date.fromordinal(on)), ("of", date.fromordinal(of)), ("whole", not skills or None)]
    return block("correction", [*days, *noted, ("by", by), ("why", why)])


def as_new(lesson: Lesson) -> NewLesson:
    """Return a lesson of a file as one to be noted."""
    return NewLesson(
        lesson.on, {one.skill: one.help for one in lesson.showings}, lesson.not_tried, lesson.by, lesson.note,
        lesson.remarks, lesson.disliked, lesson.liked_again, lesson.tried_again,
    )  # fmt: skip


_STAYS: Final = {
    "decision": "a decision rests on the verdict of {name}; `readiness undo {id}` takes it back, then "
    "`readiness decide {other}` makes one.",
    "unit_start": "the start of a unit is {name}'s own; `readiness undo {id}` takes it back.",
    "hold": "a pause is not moved: `readiness pause {other}` opens one there first, then an adult takes "
    "this one out by the next day: `readiness undo {id} --by NAME --why WORDS`.",
    "correction": "a correction is about the notes of {name}; `readiness undo {id}` takes it back.",
    "consent": "a consent is the family's own answer: ask for it and note it with `readiness consent "
    "{other}`, and the right one with `readiness consent {id}`.",
    "above": "what was noted last answers an older entry of {name}; `readiness undo {id}` takes it back, "
    "then it can be noted for {other}.",
}
"""What is not taken to another student, and why, by the kind of its block."""


def stays(kinds: AbstractSet[str], record: Record, other: Record) -> list[Refusal]:
    """Return why an entry is not taken to another student; nothing where it can be."""
    names = {"name": record.name, "id": record.id, "other": other.id}
    found = [Refusal("stays", why.format(**names)) for kind, why in _STAYS.items() if kind in kinds]
    if "task" in kinds and any(hold.closed is None for hold in other.entire.holds):
        found.append(Refusal("on-hold", f"{other.name} is paused: no home task during a pause."))
    return found


def move_lessons(
    record: Record, other: Record, folder: Path, lessons: Sequence[Lesson], on: int
) -> Refusal | None:
    """Take lessons to another student's file: in both files, or in neither.

    Args:
        record: in whose file they are; other: whose they were.
        folder: the students folder; lessons: of the first file.
        on: the day on which it is done.
    """
    why, link = "noted for the wrong student", moved_line(secrets.token_hex(4))
    there = [_correction(on, one.on, [one], "", why) for one in lessons]
    here = [lesson_text(as_new(one)) for one in lessons]
    lines = standing(record.own_path.read_bytes()).split(b"\n")
    entries = [entry_around(lines, one.line - 1) for one in lessons]
    came = {import_line(_token(b"\n".join(lines[one.start : one.stop]))) if one else "" for one in entries}
    return carry_out(folder, [
        Step(other.own_path.name, add="\n".join(here) + "".join(came if len(came) == 1 else ()) + link),
        Step(record.own_path.name, add="\n".join(there) + link),
    ])  # fmt: skip
