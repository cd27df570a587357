"""What the head of a student's file says of consents, and of the day on which it is to be deleted.

The head has one line ``consents = { video = true }``, as the format says; what is not in it is a no. Who gave
an answer and on which day stands in a comment line under it, one for every answer, so that a yes that was
taken back can still be read. A line that somebody wrote in another way is left alone, and that is said.

The day on which the file is to be deleted is a comment line too, so that it can be changed or taken out by
hand. Only the head is read: what comes before the first block.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import is_dataclass, replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from readiness.days import age_on, iso
from readiness.lazy import dataclass, fields_of, regex
from readiness.record.append import line, read_file, why_wrong
from readiness.record.marks import CONSENT, line_end
from readiness.record.model import Hold, OnADay, Placing, Promise, Record, Task, as_told, mentions_pain
from readiness.toml import write as writing
from readiness.toml.texts import composed
from readiness.toml.write import Refusal

__all__ = [
    "ADULT_AGE", "CONSENTS", "CONSENT_FOR", "KEPT", "ConsentSaid", "Sharing", "answers_in", "as_if_agreed",
    "consent", "delete_by", "delete_by_line", "is_of_age", "kept_on", "kept_to_dict", "may_see",
    "note_consent",
]  # fmt: skip

# Who may see what is kept about a student: one value for each reader.
#
# A consent that is not noted is a no. What a reader does not need is left out even with
# consent: the words about the body, the day of birth, other students. Which law applies is not
# decided here. Common practice, no source.

ADULT_AGE: Final = 18
"""From here on a family needs the student's own consent; local law may differ."""

CONSENTS: Final[Mapping[str, str]] = MappingProxyType({
    "touch": "touch",
    "video": "video",
    "photo": "photo",
    "family": "share_family",
    "substitute": "share_substitute",
    "school": "share_school",
    "set-aside": "share_set_aside",
})
"""What can be agreed to, as it is typed, and the key under ``consents`` in a student's file."""

CONSENT_FOR: Final[Mapping[str, str]] = MappingProxyType({
    reader: CONSENTS[reader] for reader in ("family", "substitute", "school")
})
"""The readers, and the key under ``consents`` that a student's file has for each."""

KEPT: Final = (
    "name", "born", "family", "instrument", "no-playing", "hold-words", "pause-ended", "unit", "live-skills",
    "results", "lesson-notes", "remarks", "plan", "tasks", "promises", "decisions", "set-aside", "consents",
    "stop-and-seat", "own-words", "collects", "alternatives", "told", "other-students",
)  # fmt: skip
"""What is kept, by the names used here, in the order it is told."""

_SUBSTITUTE: Final = frozenset({
    "name", "instrument", "no-playing", "pause-ended", "unit", "live-skills", "remarks", "plan", "tasks",
    "promises", "consents", "stop-and-seat", "own-words", "collects",
})  # fmt: skip
_SCHOOL: Final = frozenset({"name", "no-playing", "unit", "live-skills", "results", "decisions"})
_AGREED: Final = frozenset({"set-aside", "alternatives"})
_SAFETY: Final = frozenset({"no-playing", "plan", "consents", "stop-and-seat"})
"""What a substitute gets without consent: enough for a safe lesson, and no name."""


@dataclass(frozen=True)
class Sharing:
    """What one reader may see.

    Attributes:
        reader: family, substitute or school.
        consent: the key of the consent it depends on.
        is_needed: whether a consent is needed; a minor's family needs none.
        is_given: whether it is noted as yes.
        sees, left_out: parts of ``KEPT``, in its order.
    """

    reader: str
    consent: str
    is_needed: bool
    is_given: bool
    sees: tuple[str, ...]
    left_out: tuple[str, ...]

    def may(self, part: str) -> bool:
        """Return whether the reader may see a part."""
        return part in self.sees

    def may_tell(self, words: str) -> bool:
        """Return whether the reader may see some words: none about the body without that part."""
        return self.may("hold-words") or not mentions_pain(words)


def is_of_age(record: Record, day: int) -> bool:
    """Return whether a student is an adult on a day; nobody is whose birth could not be read (0)."""
    return record.born > 0 and age_on(record.born, day) >= ADULT_AGE


def consent(record: Record, key: str) -> bool:
    """Return whether a consent is noted as yes; absence is no."""
    return record.consents.get(key, False)


def as_if_agreed(record: Record, reader: str, day: int) -> Sharing:
    """Return what a reader might see with consent; ``is_given`` still says whether there is one."""
    return may_see(record, reader, day, anyway=True)


def may_see(record: Record, reader: str, day: int, *, anyway: bool = False) -> Sharing:
    """Return what a reader may see, ``anyway`` without consent too; KeyError where no reader is so called."""
    key = CONSENT_FOR[reader]
    is_needed = reader != "family" or is_of_age(record, day)
    is_given = consent(record, key)
    parts = _parts(record, reader, is_allowed=is_given or not is_needed or anyway)
    sees, left_out = (tuple(one for one in KEPT if (one in parts) == seen) for seen in (True, False))
    return Sharing(reader, key, is_needed, is_given, sees, left_out)


def _parts(record: Record, reader: str, *, is_allowed: bool) -> frozenset[str]:
    if not is_allowed:
        return _SAFETY if reader == "substitute" else frozenset()
    if reader == "family":
        return frozenset(KEPT) - {"other-students"}
    agreed = _AGREED if consent(record, "share_set_aside") else frozenset()
    return (_SUBSTITUTE if reader == "substitute" else _SCHOOL) | agreed


_LINE: Final = regex(rb"(?m)^consents[ \t]*=[ \t]*\{[^\r\n{}]*\}")
_BLOCK: Final = regex(rb"(?m)^[ \t]*\[")
_SAID: Final = regex(rb"(?m)^# (\w+): (yes|no), said by .*, (\d{4}-\d\d-\d\d)[ \t]*\r?$")


class ConsentSaid(NamedTuple):
    """An answer that stands under the line of the consents: whether yes, its day as written, its line."""

    key: str
    is_yes: bool
    on: str
    line: int


def answers_in(file: bytes) -> tuple[ConsentSaid, ...]:
    """Return the answers in the head of a student's file from the top, which is where the last one is put."""
    block = _BLOCK.search(file)
    found = _SAID.finditer(file[: block.start()] if block else file)
    return tuple(
        ConsentSaid(one[1].decode(), one[2] == b"yes", one[3].decode(), file.count(b"\n", 0, one.start()) + 1)
        for one in found
    )


def note_consent(
    record: Record, folder: Path, answers: Mapping[str, bool], by: str, on: int
) -> Refusal | None:
    """Write answers into the head of a student's file; one of a later day that stands there counts still.

    Args:
        record: the student; folder: the students folder the file must be in.
        answers: by the values of ``CONSENTS``, yes or no.
        by: who gave them; on: the day.
    """
    if not by.strip():
        return Refusal("no-name", "please say who gave the answer.")
    is_same = composed(by).strip().casefold() == record.name.strip().casefold()
    if any(answers.values()) and is_same and not is_of_age(record, on):
        return Refusal("no-adult", f"{record.name} is not of age: a grown-up of the family says yes.")
    path = record.own_path
    behind = f"said by {by.strip()}, {iso(on)}"
    told = [f"# {key}: {'yes' if yes else 'no'}, {behind}" for key, yes in answers.items()]

    def edit(before: bytes) -> bytes | Refusal:
        file = read_file(path, before)
        if isinstance(file, str):
            return why_wrong(path, before, file)
        later = {one.key for one in answers_in(before) if one.on > date.fromordinal(on).isoformat()}
        wanted = {**file.consents, **{key: yes for key, yes in answers.items() if key not in later}}
        after = _with_line(before, line("consents", wanted), told)
        now = None if after is None else read_file(path, after)
        if after is None or now != file.model_copy(update={"consents": wanted}):
            other = "its consents are written in another way than this program can change"
            by_hand = f"please change {', '.join(answers)} by hand in {path}."
            return Refusal("by-hand", f"nothing was written: {other}; {by_hand}")
        body, end = after.rstrip(b"\r\n"), line_end(after)
        return after if body.endswith(b"\n" + CONSENT) else body + end + CONSENT + end

    return writing.replace(path, folder, edit)


def _with_line(before: bytes, consents: str, told: Sequence[str]) -> bytes | None:
    """Return the file with the line of the consents; None where it stands there in another way."""
    end = line_end(before)
    block = _BLOCK.search(before)
    at = block.start() if block else len(before)
    head, rest = before[:at], before[at:]
    new, lines = consents.encode(), b"".join(end + one.encode() for one in told)
    if (found := _LINE.search(head)) is not None:
        behind = head[found.end() :].partition(b"\n")  # what somebody wrote behind it stays
        written = behind[0].rstrip(b"\r") + lines
        return head[: found.start()] + new + written + (end + behind[2] if behind[1] else b"") + rest
    if b"consents" in re.sub(rb"(?m)^[ \t]*#.*$", b"", head):
        return None
    kept = head.rstrip(b"\r\n")
    return kept + end + new + lines + (head[len(kept) :] or end) + rest


# What was kept on a day: nothing noted for later, and what was open then is open.


def kept_on(record: Record, day: int) -> Record:
    """Return all that a student's file held on a day; particulars and consents have no day and stay."""
    blocks: dict[str, Any] = {
        name: tuple(_block_on(one, day) for one in value if _first_day(one) <= day)
        for name, value in fields_of(record)
        if isinstance(value, tuple)
    }
    return replace(record, **blocks)


def _first_day(block: OnADay | Hold | Task | Promise) -> int:
    if isinstance(block, Task | Promise):
        return block.given
    return block.opened if isinstance(block, Hold) else block.on


def _block_on(block: object, day: int) -> object:
    match block:
        case Hold(closed=int(later)) if later > day:
            return replace(block, closed=None, closed_by="", closed_words="")
        case Promise(answered=int(later)) if later > day:
            return replace(block, answered=None, answer="")
        case Placing(confirmed=int(later)) if later > day:
            return replace(block, confirmed=None)
    return block


# Everything kept about one student as plain values: dates as written, help by its name.
#
# What is not about the student (lines of the file, the file itself) is left out.

_NOT_ABOUT: Final = frozenset({"line", "path", "whole", "elsewhere", "is_beside"})


def kept_to_dict(block: object) -> dict[str, object]:
    """Return all of a student's file, or of a block of it, ready for ``json.dumps``."""
    assert is_dataclass(block)
    return {name: _value(name, value) for name, value in fields_of(block) if name not in _NOT_ABOUT}


def _value(name: str, value: object) -> object:
    if isinstance(value, tuple):
        return [_value("", one) for one in value]
    if is_dataclass(value):
        return kept_to_dict(value)
    return dict(value) if isinstance(value, Mapping) else as_told(name, value)


_HEAD: Final = 4096
_KEPT_LINE: Final = regex(rb"(?m)^# To be deleted by (\d{4})-(\d\d)-(\d\d)\.?[ \t]*\r?$")


def delete_by_line(day: int) -> str:
    """Return the line that says when a file is to be deleted."""
    return f"# To be deleted by {iso(day)}.\n"


def delete_by(path: Path | None) -> int | None:
    """Return the day on which a file is to be deleted, None where it says none or cannot be read."""
    if path is None:
        return None
    with suppress(OSError, ValueError), path.open("rb") as file:
        found = _KEPT_LINE.search(file.read(_HEAD).partition(b"\n[")[0])
        return None if found is None else date(*map(int, found.groups())).toordinal()
    return None
