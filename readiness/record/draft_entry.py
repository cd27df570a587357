"""A lesson half entered, kept safe beside the student's file until it is noted or dropped.

After every answer the whole round so far is put in place in one step, so that a killed
program, a closed terminal or a flat battery costs nothing. What cannot be noted, because a file
has a mistake to mend first, is kept here too, as it was typed. It belongs to whoever typed it: each
person has a file, and what stands there and cannot be read is never replaced. Nothing is kept beside a
student file that is gone. It is no evidence: judging never looks here. Words that were typed in a field and
not kept yet lie beside it, by the skills they are about (none: the whole lesson). What was typed into another
form and not written has a file of its own, by form and field: a lesson that is noted takes none of it away.
"""

from __future__ import annotations

import getpass
import json
import os
import re
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import Any, Final

import tomli

from readiness.course.find import find_skills
from readiness.course.model import Course
from readiness.days import iso
from readiness.lazy import fields_of
from readiness.record.append import read_file
from readiness.record.marks import standing
from readiness.record.model import AGAIN, HELPS, SHOWN, Record, as_written
from readiness.record.noting import NewLesson, lesson_text, unless_of_another
from readiness.toml.write import Refusal, put_beside, why_not

__all__ = [
    "FORMS", "FormWords", "Forms", "Typed", "begun_pauses", "drop", "forms", "half_done_path", "keep",
    "keep_beside", "offered", "typed", "understood", "why_unreadable",
]  # fmt: skip

Typed = Mapping[tuple[str, ...], str]
"""Words that were typed and not kept, by what they are about."""
Forms = Mapping[str, Typed]
"""The same by the form they were typed into, there by the name of the field."""

FORMS: Final = ".typed.json"
"""How the name of a file with what was typed into forms ends."""

_ODD: Final = re.compile(r"[^A-Za-z0-9_-]")


def half_done_path(student_file: Path) -> Path:
    """Return where the half-entered lesson of a student file is kept, of the person who runs the program."""
    before = student_file.with_name(f".{student_file.stem}.half-done.json")
    return before if _is_mine(before) else before.with_suffix(f".{_person()}.json")


def _person() -> str:
    """Return a word for the person who runs the program: the name of the account, else its number."""
    if hasattr(os, "getuid"):
        import pwd

        try:
            name = pwd.getpwuid(os.getuid()).pw_name
        except KeyError:
            name = str(os.getuid())
    else:  # pragma: no cover - the other system
        name = getpass.getuser()
    return _ODD.sub(lambda odd: f"_{ord(odd[0]):x}_", name)


def _is_mine(path: Path) -> bool:
    """Return whether there is a file of the person who runs the program, as earlier editions named it."""
    try:
        return hasattr(os, "getuid") and path.lstat().st_uid == os.getuid()
    except FileNotFoundError:
        return False


def keep(
    student_file: Path, lesson: NewLesson, record: Record | None = None, words: Typed | None = None
) -> Refusal | None:
    """Keep a half-entered lesson, in place of what was kept before.

    Args:
        student_file: the file it is kept beside; lesson: what was entered so far.
        record: the student it was begun for, where that may be long ago.
        words: what is typed and not kept yet; None leaves what there is.
    """

    def change(_before: NewLesson | None) -> NewLesson | Refusal:
        return _of_another(student_file, record) or lesson

    return _put(student_file, change, words)


def _of_another(student_file: Path, record: Record | None) -> Refusal | None:
    """Return that a file is not that of the student something was begun for any more, if so."""
    file = "" if record is None else read_file(student_file, student_file.read_bytes())
    return None if record is None or isinstance(file, str) else unless_of_another(record)(file)


def keep_beside(student_file: Path, lesson: NewLesson) -> Refusal | None:
    """Keep a lesson together with what was half entered of the same day; nothing kept is lost."""
    return _put(student_file, lambda before: _both(before, lesson))


def _both(before: NewLesson | None, lesson: NewLesson) -> NewLesson | Refusal:
    if before is None or before.is_empty:
        return lesson
    if before.on != lesson.on:
        message = f"this cannot be kept half entered: a lesson of {iso(before.on)} is kept there already."
        return Refusal("kept-already", message)
    joined: dict[str, Any] = {"note": "; ".join(dict.fromkeys(filter(None, (before.note, lesson.note))))}
    for (name, was), (_, now) in zip(fields_of(before), fields_of(lesson), strict=True):
        if isinstance(now, tuple | dict):
            joined[name] = {**was, **now} if isinstance(now, dict) else (*dict.fromkeys((*was, *now)),)
    return replace(lesson, **joined)


def _put(
    student_file: Path, change: Callable[[NewLesson | None], NewLesson | Refusal], words: Typed | None = None
) -> Refusal | None:
    path = half_done_path(student_file)

    def edit(before: bytes | None) -> bytes | Refusal:
        kept = None if before is None else _lesson_in(before)
        if before is not None and kept is None:
            return _unreadable(path, "it is no half-entered lesson")
        lesson = change(kept)
        if isinstance(lesson, Refusal):
            return lesson
        said = typed(student_file) if words is None else words
        return json.dumps({**asdict(lesson), "typed": _plain(said)}).encode()

    return _unsafe(put_beside(student_file, path, edit))


def _plain(words: Typed) -> dict[str, str]:
    return {" ".join(about): said for about, said in words.items()}


def _unsafe(refusal: Refusal | None, what: str = "this round") -> Refusal | None:
    """Return a refusal as that of what was to be kept safe."""
    if refusal is None or not refusal.why:
        return refusal
    return replace(refusal, message=f"{what} cannot be kept safe: {refusal.why}")


def understood(course: Course, lesson: NewLesson) -> NewLesson:
    """Return what is kept with the ids that are meant; what the course does not know goes to the note."""
    left: list[str] = []

    def meant(listed: Iterable[str], words: str) -> tuple[str, ...]:
        """Return the skills somebody typed; those nobody knows are put into words, added to ``left``."""
        every = list[str]()
        for typed in listed:
            found = [typed] if typed in course.skill else find_skills(course, typed)
            known = [one for one in found if isinstance(one, str)]
            if len(known) < len(found) or not found:
                left.append(f"{typed}: {words}")
            every += known
        return tuple(every)

    helps = {one: given for typed, given in lesson.helps.items() for one in meant([typed], SHOWN[given])}
    not_tried = meant(lesson.not_tried, "not_tried")
    remarks = {one: words for typed, words in lesson.remarks.items() for one in meant([typed], words)}
    disliked, liked = meant(lesson.disliked, "disliked"), meant(lesson.liked_again, "liked again")
    again = dict[str, str]()
    for typed, how in lesson.tried_again.items():
        if how in AGAIN:
            again |= dict.fromkeys(meant([typed], f"tried again {AGAIN[how]}"), how)
        else:
            left.append(f"{typed}: tried again {how}")
    note = "; ".join(one for one in (lesson.note, *left) if one)
    return replace(
        lesson, helps=helps, not_tried=not_tried, note=note, remarks=remarks,
        disliked=disliked, liked_again=liked, tried_again=again,
    )  # fmt: skip


def offered(student_file: Path) -> NewLesson | None:
    """Return the half-entered lesson that is kept, None without one or where it is unreadable.

    One that was noted already, by a program that died before it could drop it, is dropped now.
    """
    try:
        found = _lesson_in(half_done_path(student_file).read_bytes())
        noted = found is not None and _is_noted(student_file, found)
    except OSError:
        return None
    if noted:
        drop(student_file)
    return None if noted else found


def typed(student_file: Path) -> Typed:
    """Return the words that were typed and not kept; none where they cannot be read."""
    try:
        return _typed_in(json.loads(half_done_path(student_file).read_bytes()).get("typed", {}))
    except (OSError, ValueError, AttributeError):
        return {}


def _typed_in(plain: Mapping[str, object]) -> Typed:
    return {tuple(about.split()): str(said) for about, said in plain.items()}


def forms(file: Path) -> Forms:
    """Return what was typed into the forms about a file and not written; none where it cannot be read."""
    return _read_forms(_forms_path(file))


def _read_forms(path: Path) -> Forms:
    try:
        return _forms_in(path.read_bytes())
    except (OSError, ValueError, AttributeError):
        return {}


def begun_pauses(folder: Path) -> frozenset[str]:
    """Return the ids of the students in a folder of whom anybody typed a pause that is not kept."""
    begun = (path for path in folder.glob(f"*{FORMS}") if any(_read_forms(path).get("pause", {}).values()))
    return frozenset(path.name[1:].partition(".half-done.")[0] for path in begun)


class FormWords(dict[tuple[str, ...], str]):
    """What is typed into one form and written nowhere, by field; at first what was kept of it."""

    def __init__(self, file: Path | None, form: str, record: Record | None = None) -> None:
        """Begin with what was kept.

        Args:
            file: what the form is about, a student's file or a studio's; None where nothing is to be kept.
            form: its name; record: the student it is about.
        """
        super().__init__(forms(file).get(form, {}) if file else {})
        self.file, self.form, self.record, self._kept = file, form, record, {**self}

    def keep(self) -> Refusal | None:
        """Keep what is typed now, in place of what was kept of this form; forget it without words."""
        if self.file is None or self == self._kept:
            return None
        self._kept = {**self}
        refusal = put_beside(self.file, _forms_path(self.file), self._edit)
        return None if refusal is _GONE else _unsafe(refusal, _TYPED)

    def _edit(self, before: bytes | None) -> bytes | Refusal:
        assert self.file is not None
        path = _forms_path(self.file)
        try:
            kept = {**_forms_in(before or b"{}"), self.form: self}
        except (ValueError, AttributeError):
            return _unreadable(path, "it is no words of a form", _TYPED)
        if any(kept.values()):
            plain = {name: _plain(one) for name, one in kept.items() if one}
            return _of_another(self.file, self.record) or json.dumps(plain).encode()
        path.unlink(missing_ok=True)  # here, where nobody else can be writing to it
        return _GONE


_TYPED: Final = "what was typed"
_GONE: Final = Refusal("gone", "")


def _forms_path(file: Path) -> Path:
    return file.with_name(f".{file.stem}.half-done.{_person()}{FORMS}")


def _forms_in(data: bytes) -> Forms:
    return {str(form): _typed_in(words) for form, words in json.loads(data).items()}


def why_unreadable(student_file: Path) -> Refusal | None:
    """Return why what is kept half entered cannot be read; None where it can, or where nothing is kept."""
    path = half_done_path(student_file)
    try:
        return None if _lesson_in(path.read_bytes()) else _unreadable(path, "it is no half-entered lesson")
    except FileNotFoundError:
        return None
    except OSError as error:
        return _unreadable(path, why_not(error))


def _unreadable(path: Path, why: str, what: str = "this round") -> Refusal:
    kept = f"what is kept in {path} cannot be read ({why}); please look at it first."
    return Refusal("kept-unreadable", f"{what} cannot be kept safe: {kept}")


def _is_noted(student_file: Path, lesson: NewLesson) -> bool:
    """Return whether a lesson, to the letter, counts in the file already."""
    with suppress(ValueError, LookupError, TypeError, AttributeError):
        file = tomli.loads(standing(student_file.read_bytes()).decode("utf-8-sig"))
        return tomli.loads(lesson_text(lesson))["lesson"][0] in as_written(file)
    return False


def _lesson_in(data: bytes) -> NewLesson | None:
    try:
        plain = json.loads(data)
        return NewLesson(
            on=date.fromordinal(plain["on"]).toordinal(),
            helps={str(skill): HELPS.index(HELPS[given]) for skill, given in plain["helps"].items()},
            not_tried=tuple(map(str, plain["not_tried"])),
            by=str(plain["by"]),
            note=str(plain["note"]),
            remarks={str(skill): str(words) for skill, words in plain["remarks"].items()},
            disliked=tuple(map(str, plain.get("disliked", ()))),
            liked_again=tuple(map(str, plain.get("liked_again", ()))),
            tried_again={str(skill): str(how) for skill, how in plain.get("tried_again", {}).items()},
        )
    except (ValueError, LookupError, TypeError, AttributeError, OverflowError):
        return None


def drop(student_file: Path) -> Refusal | None:
    """Forget the half-entered lesson; it has been noted, or is not wanted. Return why it stays, if so."""
    path = half_done_path(student_file)
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        return Refusal("cannot-drop", f"{path} cannot be deleted: {why_not(error)}.")
    return None
