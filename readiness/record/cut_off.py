"""Entries that were cut off: a program died, or a copy of the file stopped, before their last line.

An entry that begins with a mark ends in ``# noted`` and that mark. Where the end is missing nobody
knows what else is, although the rest may read like a shorter lesson; so it is named and never counted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final, NamedTuple

from readiness.lazy import dataclass, regex
from readiness.record.marks import NOTED, entry_words, mark_of
from readiness.toml.problems import Place, Problem, sort_problems
from readiness.toml.read import Loaded

if TYPE_CHECKING:
    from readiness.record.schema import StudentFile

__all__ = ["CUT_OFF", "CutOff", "cut_off", "with_cut_off_named"]

CUT_OFF: Final = "cut-off"
"""The id of the problem."""

_BEGINS: Final = regex(r"\[\[(\w+)\]\](?: # ([0-9a-f]{8}))?[ \t]*\r?")
_FIRST: Final = regex(r"\n\[\[\w+\]\] # ([0-9a-f]{8})(?=\s)")
_LAST: Final = regex(r"\n# noted ([0-9a-f]{8})(?=[ \t\r]*\n)")
_BEGUN: Final = regex(r"\[(?:\[(?:\w+(?:\](?:\](?: (?:#(?: (?:[0-9a-f]{0,8}))?)?)?)?)?)?)?\r?")
"""A first line that stops somewhere."""
_END: Final = NOTED.decode()
_TOGETHER: Final = (("decision", "unit_start"), ("placing", "lesson"))
"""Blocks that one entry holds, in their order."""
_TWO_VERSIONS: Final = "two-versions"


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
    """Return a text without the blank end; a last line end of which only half is there ends nothing."""
    return text.rstrip()[:-1] if text.endswith("\r") else text.rstrip()


def _is_begun(body: str) -> bool:
    return _BEGUN.fullmatch(body.rpartition("\n")[2]) is not None


def with_cut_off_named(loaded: Loaded[StudentFile]) -> Loaded[StudentFile]:
    """Return what was read with one problem for each entry that was cut off, in place of all others in it."""
    if any(one.id == _TWO_VERSIONS for one in loaded.problems) or not (found := cut_off(loaded.text)):
        return loaded
    last = _body(loaded.text).count("\n") + 1
    lines = {line for one in found for line in range(one.first, one.last + 1)}
    others = [p for p in loaded.problems if min(p.place.line, last) not in lines]
    named = [_problem(one, Place(loaded.path, one.first, 1)) for one in found]
    return replace(loaded, value=None, problems=sort_problems([*others, *named]))


def _problem(one: CutOff, place: Place) -> Problem:
    lines = f"line {one.first} is" if one.first == one.last else f"lines {one.first} to {one.last} are"
    end = f'"# noted {one.mark}"' if one.mark else "as the program writes it"
    more = "" if one.is_whole else ", and so is something before that"
    message = f"{lines} an entry whose end is missing, {end}{more}"
    hint = "this entry was cut off; take it out or note it again"
    if one.is_whole:
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


def _has_end(one: _Begun, later: Sequence[_Begun], ends: Sequence[int]) -> bool:
    """Return whether an entry ends before the same begins once more."""
    ending = next((at for at in ends if at > one.at), None)
    again = next((other.at for other in later if other[1:] == one[1:]), one.at)
    return ending is not None and not one.at < again < ending


def _until(lines: Sequence[str], begun: Sequence[_Begun]) -> int:
    """Return where the first of some entries stops, at the latest: at the next block that is not its own."""
    (_, kind, mark), *later = begun
    ends = next((a for a, k, m in later if m not in ("", mark) or (kind, k) not in _TOGETHER), len(lines))
    while not lines[ends - 1].strip():
        ends -= 1
    return ends


def _cut(lines: Sequence[str], one: _Begun, until: int) -> CutOff:
    end, last = _END + one.mark, lines[until - 1].rstrip()
    words = lines[one.at : until - 1] if last and end.startswith(last) else lines[one.at : until]
    entry = entry_words("\n".join([*words, end]).encode())
    is_whole = any(mark_of(entry, gap).decode() == one.mark for gap in (b"", b"\n"))
    return CutOff(one.at + 1, until, one.mark, is_whole)
