"""The statement in which ``tomli`` stopped, cut into pieces, and what was surely meant by it.

Everything before that statement has been accepted, so where it begins is certain. Where it
was meant to end is not: the rule is the end of its brackets, or the line before one that
looks like a new statement. This only cuts; saying what is wrong is for ``toml.syntax``.


A syntax error hides no error of sense behind it: the file is read on with the statement as it was meant,
or without it where that cannot be told. Nothing of this is ever kept, written or judged by.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property
from itertools import chain, takewhile
from typing import Any, Final, NamedTuple

import tomli

from readiness.lazy import dataclass
from readiness.toml.locate import Locator, Path, Places, Spot, locate
from readiness.toml.texts import as_id

__all__ = [
    "CURLY", "LOOKS_NEW", "OF_NAMES", "Fault", "Mended", "Rest", "Stop", "Token", "meant", "mended",
    "pieces", "step", "words",
]  # fmt: skip

CURLY: Final = "“”„‟‘’‚‛«»″′"  # noqa: RUF001 - these are meant
"""Quotes that text programs put in place of the two that TOML knows."""

LOOKS_NEW: Final = re.compile(
    r"""^[ \t]*+(?:\[\[?[ \t]*[A-Za-z_][^\[\],=\n]*\]\]?[ \t]*(?:\#|$)|[\w."'-]+[ \t]*=)""", re.MULTILINE
)
"""The beginning of a line that is a header or ``key =``."""

_HEADER: Final = re.compile(r"[ \t]*+\[\[?[A-Za-z_]")

_PIECE: Final = re.compile(
    r'''
      (?P<text>"""(?:[^"\\]|\\.|"(?!""))*+"{3,5} | \'\'\'(?:[^']|'(?!''))*+'{3,5})
    | (?P<open>(?:"""|\'\'\').*)
    | (?P<line_text>"(?:[^"\\\n]|\\[^\n])*+" | '[^'\n]*+')
    | (?P<open_line>["'][^\n]*)
    | (?P<comment>\#[^\n]*)
    | (?P<bracket>[\[\]{}])
    | (?P<newline>\n)
    | (?P<sign>[=,])
    | (?P<blank>[ \t]+)
    | (?P<word>[^\s,\[\]{}="'\#]+|.)
    ''',
    re.VERBOSE | re.DOTALL,
)


class Token(NamedTuple):
    """One piece of text and what it is; ``open`` kinds are quotes that never close."""

    kind: str
    start: int
    end: int


def pieces(text: str, start: int = 0) -> Iterator[Token]:
    """Yield the pieces of a text from a position on."""
    for match in _PIECE.finditer(text, start):
        yield Token(str(match.lastgroup), match.start(), match.end())


def words(text: str, start: int) -> Iterator[Token]:
    """Yield the pieces of a text from a position on, but for blanks, comments and line ends."""
    return (one for one in pieces(text, start) if one.kind not in ("blank", "comment", "newline"))


@dataclass(frozen=True)
class Fault:
    """What is wrong, by positions in the text.

    Attributes:
        at: the wrong word.
        right: what is to be written there, where that can be told; the hint says so, unless it says more.
        other: the position it clashes with.
        other_label: what stands there.
        inside: the values to leave out, when the rest of the statement can still be read.
        run: whether lines right below that are no statements either belong to it.
    """

    at: int
    id: str
    message: str
    hint: str = ""
    other: int | None = None
    other_label: str = ""
    inside: tuple[tuple[int, int], ...] = ()
    run: bool = False
    right: str = ""


@dataclass(frozen=True)
class Stop:
    """Where ``tomli`` stopped in a text.

    Attributes:
        text: the text, lines ended by a newline alone.
        at: the position at which it stopped.
        start: where the statement begins, at the start of a line.
    """

    text: str
    at: int
    said: str
    start: int

    @classmethod
    def find(cls, text: str, at: int, said: str, sure: int = 0) -> Stop:
        """Find the statement that holds a position; one begins for sure at ``sure``."""
        start, depth = sure, 0
        for piece in pieces(text, sure):
            if piece.kind in ("open", "open_line"):  # never right, wherever tomli noticed it
                at = min(at, piece.end)
            if piece.end > at or piece.kind in ("open", "open_line"):
                break
            depth += step(text, piece)
            if piece.kind == "newline" and depth == 0:
                start = piece.end
        return cls(text, at, said, start)

    @cached_property
    def end(self) -> int:
        """Where the statement was probably meant to end: at the end of a line."""
        depth, last = 0, ""
        for piece in pieces(self.text, self.start):
            depth += step(self.text, piece)
            last = self.text[piece.start] if piece.kind == "bracket" else last
            if piece.kind == "open":
                found = LOOKS_NEW.search(self.text, self._line_end(piece.start) + 1)
                return found.start() - 1 if found else len(self.text)
            new = _HEADER if last == "{" else LOOKS_NEW  # in braces every key looks like a statement
            if piece.kind == "newline" and (depth <= 0 or new.match(self.text, piece.end)):
                return piece.start
        return len(self.text)

    @cached_property
    def before(self) -> list[Token]:
        """The pieces of the statement that begin before the position, blanks and comments left out."""
        return list(takewhile(lambda piece: piece.start < self.at, words(self.text, self.start)))

    @cached_property
    def opened(self) -> list[int]:
        """The brackets that are open at the position, outermost first."""
        stack: list[int] = []
        for piece in self.before:
            if piece.kind == "bracket" and self.text[piece.start] in "[{":
                stack.append(piece.start)
            elif piece.kind == "bracket" and stack:
                stack.pop()
        return stack

    @property
    def line(self) -> str:
        """The first line of the statement."""
        return self.text[self.start : self._line_end(self.start)]

    @property
    def rest(self) -> str:
        """What follows the position on its line."""
        return self.text[self.at : self._line_end(self.at)]

    @property
    def word(self) -> tuple[int, str]:
        """The word around the position, with where it begins."""
        begin = self.text.rfind("\n", 0, self.at) + 1
        for sign in re.compile(r"[\s,\[\]{}=#]").finditer(self.text, begin, self.at):
            begin = sign.end()
        match = re.compile(r"[^\s,\[\]{}=#]*").match(self.text, begin)
        return begin, match.group() if match else ""

    @property
    def is_header(self) -> bool:
        """Whether the statement is the header of a table, even one without its first bracket."""
        return re.match(r"""[ \t]*+(?:\[|[\w."' -]++\]{1,2}[ \t]*(?:#|\Z))""", self.line) is not None

    @property
    def key(self) -> str:
        """The key of the statement, as written."""
        return self.line.partition("=")[0].strip()

    def _line_end(self, at: int) -> int:
        end = self.text.find("\n", at)
        return len(self.text) if end < 0 else end


def step(text: str, piece: Token) -> int:
    """Return by how much a piece changes how many brackets are open."""
    if piece.kind != "bracket":
        return 0
    return 1 if text[piece.start] in "[{" else -1


# Mistakes in the names of a TOML text: in headers, in keys, and names used twice.
#
# Causes like those in ``causes``, which lists them: each recognises one mistake in the
# statement where ``tomli`` stopped, or says nothing.


def _written_twice(stop: Stop) -> Fault | None:
    """A name that already stands for something, with the place of the first."""
    if not stop.said.startswith(("Cannot", "Duplicate")):
        return None
    if stop.opened and not stop.is_header:
        return _twice_in_braces(stop)
    before = Locator(stop.text[: stop.start])
    before.walk()
    names, at = _names(stop)
    path = before.resolve(names) if stop.is_header else (*before.table, *names)
    places = Places(before.spots, before.headers)
    line, column = places.at_key(path)
    first = before.line_starts[line - 1] + column - 1
    what, hint = _clash(stop, path, places, ".".join(names))
    header = places.headers.get(path, "") if stop.is_header else places.header(path)[1]
    right = header if header.startswith("[[") else ""
    if not right:  # nobody can tell what the lines below belong to
        hint += f"{'' if hint.endswith('?') else '.'} The lines below it were not looked at yet"
    return Fault(at, "written-twice", what, hint, first, "first written here", right=right)


def _names(stop: Stop) -> tuple[tuple[str, ...], int]:
    """Return the names in the header or key of a statement, and where the last begins."""
    reader = Locator(stop.text[stop.start :])
    skip = re.compile(r"[ \t\[]*").match(reader.text)
    reader.cursor = skip.end() if skip else 0
    parts = reader.parts()
    return tuple(name for name, _ in parts), stop.start + parts[-1][1]


def _clash(stop: Stop, path: Path, places: Places, name: str) -> tuple[str, str]:
    header = stop.line.strip().partition("#")[0].strip()
    if stop.is_header and (first := places.headers.get(path, "")):
        if header.startswith("[["):
            return f"{header} is one of several, and {first} has one bracket", f"write {header} there, too"
        if first.startswith("[["):
            return f"{header} is one of several: those before stand in two brackets", f"write [{header}]"
        other = f"write each as one of several: [{header}]" if len(path) == 1 else "give one another name"
        return f"there are two tables {header}", f"{other}, or put the lines of both under one"
    if stop.is_header:
        return f"the name {name} is already used for something else", "choose another name for one of them"
    inside = places.header(path)[1]
    what = f"the key {name} is written twice" + (f" in {inside}" if inside else "")
    return what, "keep one of the two; or is the header of a table missing between them?"


def _twice_in_braces(stop: Stop) -> Fault | None:
    said = re.search(r"key '(.*)'", stop.said)
    if said is None or not stop.opened:
        return None
    name = re.compile(rf"""(?<![\w-])["']?{re.escape(said[1])}["']?[ \t]*=""")
    found = [m.start() for m in name.finditer(stop.text, stop.opened[-1], stop.at)]
    if len(found) < 2:
        return None
    message = f"the key {said[1]} is written twice in these braces"
    return Fault(found[-1], "written-twice", message, "keep one of the two", found[0], "first written here")


def _wrong_header(stop: Stop) -> Fault | None:
    """The header of a table that is not ``[name]`` or ``[[name]]`` on a line of its own."""
    if not stop.is_header:
        return None
    begin = stop.start + len(stop.line) - len(stop.line.lstrip())
    written = stop.text[begin : stop.start + len(stop.line)]
    if not written.strip("[ \t"):
        hint = "delete the line, or write the name of a table: [skill.wrist-lift]"
        return Fault(begin, "header", "this bracket opens nothing", hint)
    if not written.startswith("["):
        return Fault(begin, "header", "the header of a table begins with [", right=f"[{written.strip()}")
    opening = 2 if written.startswith("[[") else 1
    closing = "]" * opening
    name = re.match(r"""(?:"[^"]*"|'[^']*'|[^\]#"'])*+""", written[opening:])
    inside = name.group() if name else ""
    if not written[opening + len(inside) :].startswith(closing):
        at = begin + opening + len(inside.rstrip())
        right = f"{written[:opening]}{inside.strip()}{closing}"
        return Fault(at, "header", f"the header of a table ends with {closing}", right=right)
    if not inside.strip():
        return Fault(begin, "header", "this table has no name", "write its name in the brackets")
    # Ids are written with hyphens, kinds of table like keys.
    joint = "-" if "." in inside else "_" if opening == 2 else "."
    return _odd_name(inside, begin + opening, joint, "table") or _after_header(stop, begin, opening, inside)


def _after_header(stop: Stop, begin: int, opening: int, inside: str) -> Fault:
    at = begin + 2 * opening + len(inside)
    while stop.text[at : at + 1] in (" ", "\t"):
        at += 1
    if stop.text[at : at + 1] == "]":
        message, right = "this header closes with more brackets than it opens with", f"[[{inside.strip()}]]"
        return Fault(at, "header", message, f"write [{inside.strip()}] or {right}", right=right)
    header = stop.text[begin : begin + 2 * opening + len(inside)]
    return Fault(
        at, "header", "nothing may follow the header of a table", "write it on the next line", right=header
    )


def _wrong_key(stop: Stop) -> Fault | None:
    """Something wrong before the ``=``."""
    if stop.opened or not stop.said.startswith(("Expected '='", "Invalid initial", "Invalid statement")):
        return None
    before, equals, _ = stop.line.partition("=")
    begin = stop.start + len(before) - len(before.lstrip())
    name = before.strip()
    if colon := re.match(r"""([\w."'-]+)[ \t]*:""", name):
        at = stop.text.index(":", begin)
        message = "a key and its value stand on either side of =, not of :"
        return Fault(at, "colon", message, right=f"{colon[1]} =")
    if not equals:
        return _loose_item(name, begin) or _no_equals(name, begin)
    if not name:
        return Fault(begin, "no-key", "there is no key before the =", "write what the value is for")
    return _odd_name(name, begin, "_", "key")


def _loose_item(name: str, begin: int) -> Fault | None:
    if not re.fullmatch(r"""(?:"[^"]*"|'[^']*')[ \t]*,?|[\]}][ \t]*,?""", name.partition("#")[0].strip()):
        return None
    hint = "the list above it closes too early, or its first line, key = [, is missing"
    return Fault(
        begin, "loose-item", "this looks like a part of a list, but no list is open here", hint, run=True
    )


def _no_equals(name: str, begin: int) -> Fault:
    word, _, rest = name.partition(" ") if " " in name else name.partition("\t")
    if rest and re.fullmatch(r"[\w.-]+", word) and re.match(r"""["'\[{\d]|true\b|false\b""", rest.strip()):
        return Fault(begin, "no-equals", f"the = between {word} and its value is missing", right=f"{word} =")
    hint = "begin a remark with #, or write: key = value"
    if re.fullmatch(r"[\w.-]+", name):
        hint = f"write {name} = and its value"
    return Fault(begin, "no-equals", "this line has no =, so it is no key with a value", hint, run=True)


def _odd_name(name: str, begin: int, joint: str, what: str) -> Fault | None:
    """A name with a space, an odd letter or an empty part in it."""
    bare = re.sub(r"""(["'])(?:(?!\1).)*\1""", lambda m: "x" * len(m.group()), name)
    allowed = "names are written with a-z, 0-9, _ and -"
    if odd := re.search(r"[^A-Za-z0-9_.\s-]", bare):
        message = f"{odd.group()} cannot stand in the name of a {what}"
        hint = f"{allowed}; in quotes other letters are possible"
        if what == "table" and (two := re.fullmatch(r"([\w-]+) *[:/] *([\w-]+)", name.strip())):
            hint = f"write {two[1]}.{two[2]}"
        return Fault(begin + odd.start(), "odd-letter", message, hint)
    if space := re.search(r"[A-Za-z0-9_-]+[ \t]+[A-Za-z0-9_-]", bare):
        message = f"the name of this {what} has a space in it"
        first = re.sub(r"[ \t]+", joint, name.strip(), count=1)
        joined = re.sub(r"[ \t]+", "-" if joint == "." else joint, first)
        kind, dot, id_ = joined.partition(".")
        joined = f"{kind}.{as_id(id_)}" if dot and kind in ("skill", "unit", "strand") else joined
        return Fault(begin + space.start(), "space-in-name", message, f"write {joined}")
    if gap := re.search(r"^\s*\.|\.\s*\.|\.\s*$", bare):
        hint = "write it, or leave out the dot"
        return Fault(begin + gap.start(), "empty-name", "a name is missing beside this dot", hint)
    return None


OF_NAMES: Final = (_written_twice, _wrong_header, _wrong_key)
"""The causes that are about names, the surest first."""

_TAIL: Final = re.compile(r"[ \t]*[\]},]*[ \t]*(?:#[^\n]*)?$")
_STRAIGHT: Final = str.maketrans(dict.fromkeys(CURLY, '"'))


@dataclass(frozen=True)
class Mended:
    """A text that was read on behind its mistakes.

    Attributes:
        data: what it says; places: where, by the lines and columns of the text as it was written.
        lost: the statements that were left out; tables: the headers above them, as in ``Places.header``.
        guessed: the numbers of the lines that are read as they were meant.
    """

    data: Mapping[str, Any]
    places: Places
    lost: str
    tables: frozenset[tuple[str | int, ...]]
    guessed: frozenset[int]


@dataclass(frozen=True, slots=True)
class Rest:
    """A text without the statements that are wrong.

    Attributes:
        text: each other line is in its place; written: the text as it was.
        left: by number of its first line, from 0, a wrong statement, and as it was meant.
    """

    text: str
    written: str
    left: tuple[tuple[int, str, str | None], ...]

    def without(self, lines: Iterable[int]) -> Rest:
        """Return the same without what was meant by the statements on these lines, from 1."""
        wrong = set(lines)
        left = (
            (at, statement, None if new and wrong & set(range(at + 1, at + new.count("\n") + 2)) else new)
            for at, statement, new in self.left
        )
        return replace(self, left=tuple(left))


def meant(stop: Stop, fault: Fault) -> str | None:
    """Return the statement as it was meant, on as many lines, None where that cannot be told."""
    written = stop.text[stop.start : stop.end]
    new = _new(written, fault.at - stop.start, fault, stop)
    if new is None or new.count("\n") != written.count("\n"):
        return None
    try:
        tomli.loads(new)
    except (ValueError, RecursionError):
        return None
    return new


def _new(text: str, at: int, fault: Fault, stop: Stop) -> str | None:
    """Return a statement with its fault corrected as the hint says."""
    if fault.id == "curly-quotes":
        return text.translate(_STRAIGHT)
    if fault.id == "unclosed-text" and text[at : at + 3] != text[at] * 3:
        end = text.find("\n", at)
        tail = _TAIL.search(text, at, len(text) if end < 0 else end)
        close = tail.start() if tail else len(text)
        return text[:close] + text[at] + text[close:]
    if fault.id == "header" and text.strip("[ \t") == "":
        return ""
    if fault.id == "header" and fault.right:
        return fault.right if text.count('"') % 2 == text.count("'") % 2 == 0 else None
    if fault.id in ("no-quotes", "number-form", "decimal-comma", "no-brackets"):
        spans = [(begin - stop.start, end - stop.start) for begin, end in fault.inside]
        value = text[at:].partition("\n")[0].partition("#")[0].rstrip()
        return _quoted(text, spans) if spans else text[:at] + fault.right + text[at + len(value) :]
    return _sign(text, at, fault)


def _quoted(text: str, spans: list[tuple[int, int]]) -> str:
    for begin, end in reversed(spans):
        text = f'{text[:begin]}"{text[begin:end]}"{text[end:]}'
    return text


def _sign(text: str, at: int, fault: Fault) -> str | None:
    """Return a statement with one sign more or less."""
    if fault.id == "unclosed-list" and not text.rstrip().endswith("["):
        return f"{text.rstrip()}]{text[len(text.rstrip()) :]}"
    added = '"' if fault.id == "half-quoted" else fault.right
    if added and fault.id in ("half-quoted", "comma"):
        return f"{text[:at]}{added}{text[at:]}"
    if fault.id in ("comma", "bracket"):
        return text[:at] + text[at + 1 :]
    if fault.id in ("colon", "equals-twice"):
        return text[:at] + re.sub(r":=?|=+", " =" if fault.id == "colon" else "", text[at:], count=1)
    if fault.id == "no-equals" and fault.right:
        return f"{text[:at]}{fault.right}{text[at + len(fault.right) - len(' =') :]}"
    return None


def mended(rest: Rest) -> Mended | None:
    """Return what a text says with its statements as they were meant, None where it is no TOML still."""
    for chosen in (rest.left, tuple((line, statement, None) for line, statement, _ in rest.left)):
        lines = rest.text.split("\n")
        for line, _, new in chosen:
            if new is not None:
                lines[line : line + new.count("\n") + 1] = new.split("\n")
        try:
            data = tomli.loads("\n".join(lines))
        except (ValueError, RecursionError):
            continue
        lost = [(line, statement) for line, statement, new in chosen if new is None]
        guessed = (range(line + 1, line + new.count("\n") + 2) for line, _, new in chosen if new)
        places = _moved(locate("\n".join(lines)), lines, rest.written.split("\n"))
        return Mended(
            {key: value for key, value in data.items() if not key.startswith("unread-")},
            places,
            "\n".join(statement for _, statement in lost),
            frozenset(_table_at(places, line + 1) for line, _ in lost),
            frozenset(chain.from_iterable(guessed)),
        )
    return None


def _table_at(places: Places, line: int) -> tuple[str | int, ...]:
    known = (path for path in places.headers if not str(path[0]).startswith("unread-"))
    above = [(places.spots[path].line, path) for path in known if places.spots[path].line <= line]
    return max(above, key=lambda one: one[0])[1] if above else ()


def _moved(places: Places, lines: list[str], written: list[str]) -> Places:
    """Return places with the columns of the lines as they were written."""
    pairs = enumerate(zip(lines, written, strict=False), 1)
    changed = {number: (new, old) for number, (new, old) in pairs if new != old}
    if not changed:
        return places

    def column(line: int, at: int) -> int:
        if line not in changed:
            return at
        new, old = changed[line]
        same = len(list(takewhile(bool, (a == b for a, b in zip(new, old, strict=False)))))
        return at if at <= same + 1 else max(1, min(len(old), at - len(new) + len(old)))

    spots = {
        path: Spot(s.line, column(s.line, s.column), s.value_line, column(s.value_line, s.value_column))
        for path, s in places.spots.items()
    }
    return Places(spots, places.headers)
