"""The marks by which this program knows its own entries again, and those that were cut off.

An entry at the end of a file has its mark behind the first line, behind every fourth after it, behind the one
before a further block (where another entry would have its head), and on a last line of its own. Lines put
into an older block have theirs behind each of them, and the file then ends in a line that says so: what was
done last is always seen at the end. What is taken back stays where it is; a line at the end names its mark,
and whoever reads the file leaves it out (:func:`standing`). So a merge of two copies, which only ever adds
lines, keeps both. Nothing is written here.

Entries that were cut off: a program died, or a copy of the file stopped, before their last line.

An entry that begins with a mark ends in ``# noted`` and that mark. Where the end is missing nobody
knows what else is, although the rest may read like a shorter lesson; so it is named and never counted.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final, NamedTuple

from readiness.lazy import dataclass, regex
from readiness.toml.problems import Place, Problem, sort_problems
from readiness.toml.read import Loaded

if TYPE_CHECKING:
    from readiness.record.schema import StudentFile

__all__ = [
    "ABOVE", "CONSENT", "CUT_OFF", "NOTED", "TAKEN", "TAKEN_ABOVE", "CutOff", "cut_off", "end_of",
    "entries_with", "entry_around", "entry_begin", "entry_words", "is_marked", "line_end", "mark_above",
    "mark_of", "moved_line", "moved_token", "standing", "taken_back", "with_cut_off_named", "with_marks",
]  # fmt: skip

NOTED: Final = b"# noted "
"""How the last line of an entry begins; the mark follows."""
ABOVE: Final = b"# noted above "
"""How the last line of a file begins where lines were last put into an older block."""
CONSENT: Final = b"# consent noted above"
"""The last line of a file where a consent was noted last, in its head."""
TAKEN: Final = b"# taken back "
"""How the line begins that takes an entry back: of those above it with the mark, the last that stands."""
TAKEN_ABOVE: Final = b"# taken back above "
"""The same for lines put into an older block. They are taken out as well, but a merge can bring them back."""
_MOVED: Final = re.compile(rb"^# moved ([0-9a-f]{8})(?: # [0-9a-f]{8})?\r?$", re.MULTILINE)
_SAYS: Final = re.compile(rb"# (noted|taken back|taken back above) ([0-9a-f]{8})\r?")
_LONGEST: Final = 500
"""The most lines an entry of ours has; further up nothing is looked for."""
_TRIED: Final = 4
"""So many lines with the mark are tried as the first, from the top; a merge may have left a piece above."""
_APART: Final = 4
"""Every fourth line has the mark: a merge (xdiff) keeps three equal lines or fewer together."""


def line_end(before: bytes) -> bytes:
    """Return how the lines of a file end."""
    return b"\r\n" if before.partition(b"\n")[0].endswith(b"\r") else b"\n"


def mark_of(words: bytes, gap: bytes) -> bytes:
    """Return the mark of an entry, by which it is known again; ``gap``: a line end put before it."""
    return hashlib.sha256(gap + words).hexdigest()[:8].encode()


def taken_back(before: bytes, marks: Iterable[bytes]) -> bytes:
    """Return the lines behind a file that take entries back; ``marks``: theirs."""
    end = line_end(before)
    return end * (not before.endswith(b"\n")) + b"".join(TAKEN + mark + end for mark in marks)


def mark_above(before: bytes, words: bytes) -> bytes:
    """Return the mark of lines put into a file that was ``before``: no other file has it."""
    return mark_of(words, before + b"\0")


def with_marks(words: bytes, mark: bytes, apart: int = _APART) -> bytes:
    """Return lines with the mark behind the first, the one before a further block and every ``apart``-th."""
    lines, due = words.splitlines(keepends=True), 0
    for i, written in enumerate(line.rstrip(b"\n") for line in lines):
        if i >= due or b"".join(lines[i + 1 : i + 2]).startswith(b"[["):
            lines[i], due = written + b" " * bool(written) + b"# " + mark + b"\n", i + apart
    return b"".join(lines)


def end_of(entry: bytes) -> bytes:
    """Return the last line of an entry, which has its mark."""
    return entry.rstrip().rpartition(b"\n")[2]


def entry_words(entry: bytes) -> bytes:
    """Return the blocks of an entry, without its marks."""
    lines = entry.replace(b"\r\n", b"\n").strip(b"\n").split(b"\n")
    mark = b"# " + lines[-1].removeprefix(NOTED)
    return b"".join((b"" if one == mark else one.removesuffix(b" " + mark)) + b"\n" for one in lines[:-1])


def entry_begin(lines: Sequence[bytes], last: int, mark: bytes) -> tuple[int, bytes] | None:
    """Return where an entry begins, and the line end put before it; None if it is none as it was written.

    Args:
        lines: of the file, without the newlines.
        last: which of them ends the entry; mark: the one it names.
    """
    marked: list[int] = []
    for first in range(last - 1, max(last - _LONGEST, -1), -1):
        if lines[first].startswith(b"# ") and _SAYS.fullmatch(lines[first]):
            break  # the end of another entry
        marked += [first] * is_marked(lines[first], mark)
    for first in reversed(marked[-_TRIED:]):
        words = entry_words(b"\n".join([*lines[first : last + 1], b""]))
        for gap in (b"", b"\n"):
            if mark_of(words, gap) == mark:
                return first, gap
    return None


def entry_around(lines: Sequence[bytes], number: int) -> range | None:
    """Return the lines of the entry of ours, as it was written, that a line stands in."""
    last = next((n for n in range(number, len(lines)) if lines[n].startswith(NOTED)), number)
    begun = entry_begin(lines, last, lines[last].rstrip(b"\r").removeprefix(NOTED))
    return None if begun is None or begun[0] > number else range(begun[0], last)


def entries_with(data: bytes, line: bytes) -> Iterator[tuple[bytes, bytes | None]]:
    """Yield the mark of each entry that stands and has a line with that beginning, and its blocks.

    The blocks are None where the entry is not as it was left.
    """
    lines = standing(data).split(b"\n")
    for at in (at for at, one in enumerate(lines) if one.startswith(line)):
        if last := next((n for n in range(at, len(lines)) if lines[n].startswith(NOTED)), 0):
            mark = lines[last].removeprefix(NOTED).strip()
            begun = entry_begin(lines, last, mark)
            yield mark, entry_words(b"\n".join([*lines[begun[0] : last + 1], b""])) if begun else None


def moved_line(token: str) -> str:
    """Return the last line of an entry that belongs to one in another file; both have the same token."""
    return f"# moved {token}\n"


def moved_token(words: bytes) -> bytes | None:
    """Return the token of an entry that belongs to one in another file."""
    found = _MOVED.search(words)
    return None if found is None else found[1]


def is_marked(line: bytes, mark: bytes) -> bool:
    """Return whether a line has a mark behind its words."""
    return line.rstrip(b"\r").endswith(b" # " + mark)


def standing(data: bytes) -> bytes:
    """Return a student file without what was taken back; all else keeps its line."""
    if TAKEN not in data:
        return data
    lines = data.split(b"\n")
    said = [(number, said) for number, line in enumerate(lines) if (said := _SAYS.fullmatch(line))]
    taken = {mark[2] for _, mark in said if mark[1] == b"taken back"}
    behind = {b" # " + mark[2] for _, mark in said if mark[1] == b"taken back above"}
    gone = {n for n, line in enumerate(lines) if line.rstrip(b"\r")[-11:] in behind}
    stand: dict[bytes, list[range]] = {mark: [] for mark in taken}
    for number, (kind, mark) in ((number, one.groups()) for number, one in said):
        if kind == b"taken back" and stand[mark]:
            gone.update(stand[mark].pop())
        elif kind == b"noted" and mark in taken and (begun := entry_begin(lines, number, mark)):
            stand[mark].append(range(begun[0], number + 1))
    return b"\n".join(
        line[len(line.rstrip(b"\r")) :] if number in gone else line for number, line in enumerate(lines)
    )


CUT_OFF: Final = "cut-off"
"""The id of the problem."""

_BEGINS: Final = regex(r"\[\[(\w+)\]\](?: # ([0-9a-f]{8}))?[ \t]*\r?")
_FIRST: Final = regex(r"\n\[\[\w+\]\] # ([0-9a-f]{8})(?=\s)")
_LAST: Final = regex(r"\n# noted ([0-9a-f]{8})(?=[ \t\r]*\n)")
_BEGUN: Final = regex(r"\[(?:\[(?:\w+(?:\](?:\](?: (?:#(?: (?:[0-9a-f]{0,8}))?)?)?)?)?)?)?\r?")
"""A first line that stops somewhere."""
_END: Final = NOTED.decode()


@dataclass(frozen=True)
class CutOff:
    """One entry without its end.

    Attributes:
        first, last: its lines, from 1.
        mark: its mark, empty where its first line is cut off itself.
        is_whole: whether no line is missing but the last, the end.
    """

    first: int
    last: int
    mark: str
    is_whole: bool


def cut_off(text: str) -> tuple[CutOff, ...]:
    """Return the entries of a student file that have no end."""
    body = _body(text)
    ruled = f"\n{body}\n"
    begun = [(found[1], found.start()) for found in _FIRST.finditer(ruled)]
    ended = {found[1]: found.start() for found in _LAST.finditer(ruled)}
    is_each_ended = all(ended.get(mark, -1) > at for mark, at in begun)
    if is_each_ended and len({mark for mark, _ in begun}) == len(begun) and not _is_begun(body):
        return ()  # as nearly always
    return tuple(_found(body.split("\n")))


def _body(text: str) -> str:
    """Return a text without the blank end; a last line of which half the line end is there ends nothing."""
    body = text.rstrip()
    return body[:-1] if text.endswith("\r") and body[-2:-1] != "\n" else body


def _is_begun(body: str) -> bool:
    return _BEGUN.fullmatch(body.rpartition("\n")[2]) is not None


def with_cut_off_named(loaded: Loaded[StudentFile]) -> Loaded[StudentFile]:
    """Return what was read with one problem for each entry that was cut off, in place of all others in it."""
    if any(one.id == "two-versions" for one in loaded.problems) or not (found := cut_off(loaded.text)):
        return loaded
    last = _body(loaded.text).count("\n") + 1
    lines = {line for one in found for line in range(one.first, one.last + 1)}
    others = [p for p in loaded.problems if min(p.place.line, last) not in lines]
    named = [_problem(one, Place(loaded.path, one.first, 1)) for one in found]
    return replace(loaded, value=None, problems=sort_problems([*others, *named]))


def _problem(cut: CutOff, place: Place) -> Problem:
    lines = f"line {cut.first} is" if cut.first == cut.last else f"lines {cut.first} to {cut.last} are"
    end = f'"# noted {cut.mark}"' if cut.mark else "as the program writes it"
    more = "" if cut.is_whole else ", and so is something before that"
    message = f"{lines} an entry whose end is missing, {end}{more}"
    hint = "this entry was cut off; take it out or note it again"
    if cut.is_whole:
        hint += ", or, since it says all it said, write its end under it"
    return Problem(CUT_OFF, "error", place, message, hint)


class _Begun(NamedTuple):
    """The first line of a block, with its mark, if it has one."""

    at: int
    kind: str
    mark: str


def _found(lines: Sequence[str]) -> Iterator[CutOff]:
    first = enumerate(map(_BEGINS.fullmatch, lines))
    begun = [_Begun(at, found[1], found[2] or "") for at, found in first if found]
    ends: dict[str, list[int]] = {}
    for at, line in enumerate(lines):
        if line.startswith(_END):
            ends.setdefault(line.rstrip().removeprefix(_END), []).append(at)
    until = 0
    for number, one in enumerate(begun):
        if one.mark and one.at >= until and not _has_end(one, begun[number + 1 :], ends.get(one.mark, ())):
            until = _until(lines, begun[number:])
            yield _cut(lines, one, until)
    if until < len(lines) and _is_begun(lines[-1]):
        yield CutOff(len(lines), len(lines), "", is_whole=False)


def _has_end(begun: _Begun, later: Sequence[_Begun], ends: Sequence[int]) -> bool:
    """Return whether an entry ends before the same begins once more."""
    ending = next((at for at in ends if at > begun.at), None)
    again = next((other.at for other in later if other[1:] == begun[1:]), begun.at)
    return ending is not None and not begun.at < again < ending


def _until(lines: Sequence[str], begun: Sequence[_Begun]) -> int:
    """Return where the first of some entries stops, at the latest: at the next block that is not its own."""
    (_, _, mark), *later = begun
    others = (one.at for one in later if not lines[one.at - 1].rstrip().endswith(f"# {mark}"))
    ends = next(others, len(lines))
    while not lines[ends - 1].strip():
        ends -= 1
    return ends


def _cut(lines: Sequence[str], begun: _Begun, until: int) -> CutOff:
    end, last = _END + begun.mark, lines[until - 1].rstrip()
    words = lines[begun.at : until - 1] if last and end.startswith(last) else lines[begun.at : until]
    entry = entry_words("\n".join([*words, end]).encode())
    is_whole = any(mark_of(entry, gap).decode() == begun.mark for gap in (b"", b"\n"))
    return CutOff(begun.at + 1, until, begun.mark, is_whole)
