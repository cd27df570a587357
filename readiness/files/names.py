"""Mistakes in the names of a TOML text: in headers, in keys, and names used twice.

Causes like those in ``causes``, which lists them: each recognises one mistake in the
statement where ``tomli`` stopped, or says nothing.
"""

from __future__ import annotations

import re

from readiness.files.locate import Locator, Path, Places
from readiness.files.scan import Fault, Stop

__all__ = ["written_twice", "wrong_header", "wrong_key"]


def written_twice(stop: Stop) -> Fault | None:
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
    return Fault(at, "written-twice", what, hint, first, "first written here")


def _names(stop: Stop) -> tuple[tuple[str, ...], int]:
    """Return the names in the header or key of a statement, and where the last begins."""
    reader = Locator(stop.text[stop.start :])
    skip = re.compile(r"[ \t\[]*").match(reader.text)
    reader.cursor = skip.end() if skip else 0
    parts = reader.parts()
    return tuple(name for name, _ in parts), stop.start + parts[-1][1]


def _clash(stop: Stop, path: Path, places: Places, name: str) -> tuple[str, str]:
    header = stop.line.strip().partition("#")[0].strip()
    if stop.is_header and path in places.headers and not header.startswith("[["):
        return f"there are two tables {header}", "give one another name, or put the lines of both under one"
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


def wrong_header(stop: Stop) -> Fault | None:
    """The header of a table that is not ``[name]`` or ``[[name]]`` on a line of its own."""
    if not stop.is_header:
        return None
    begin = stop.start + len(stop.line) - len(stop.line.lstrip())
    written = stop.text[begin : stop.start + len(stop.line)]
    if not written.startswith("["):
        return Fault(begin, "header", "the header of a table begins with [", f"write [{written.strip()}")
    opening = 2 if written.startswith("[[") else 1
    closing = "]" * opening
    name = re.match(r"""(?:"[^"]*"|'[^']*'|[^\]#"'])*+""", written[opening:])
    inside = name.group() if name else ""
    if not written[opening + len(inside) :].startswith(closing):
        at = begin + opening + len(inside.rstrip())
        hint = f"write {written[:opening]}{inside.strip()}{closing}"
        return Fault(at, "header", f"the header of a table ends with {closing}", hint)
    if not inside.strip():
        return Fault(begin, "header", "this table has no name", "write its name in the brackets")
    joint = "-" if "." in inside else "_"  # ids are written with hyphens, kinds of table like keys
    return _odd_name(inside, begin + opening, joint, "table") or _after_header(stop, begin, opening, inside)


def _after_header(stop: Stop, begin: int, opening: int, inside: str) -> Fault:
    at = begin + 2 * opening + len(inside)
    while stop.text[at : at + 1] in (" ", "\t"):
        at += 1
    if stop.text[at : at + 1] == "]":
        message = "this header closes with more brackets than it opens with"
        return Fault(at, "header", message, f"write [{inside.strip()}] or [[{inside.strip()}]]")
    return Fault(at, "header", "nothing may follow the header of a table", "write it on the next line")


def wrong_key(stop: Stop) -> Fault | None:
    """Something wrong before the ``=``."""
    if stop.opened or not stop.said.startswith(("Expected '='", "Invalid initial", "Invalid statement")):
        return None
    before, equals, _ = stop.line.partition("=")
    begin = stop.start + len(before) - len(before.lstrip())
    name = before.strip()
    if colon := re.match(r"""([\w."'-]+)[ \t]*:""", name):
        at = stop.text.index(":", begin)
        message = "a key and its value stand on either side of =, not of :"
        return Fault(at, "colon", message, f"write {colon[1]} =")
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
        return Fault(begin, "no-equals", f"the = between {word} and its value is missing", f"write {word} =")
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
        return Fault(begin + odd.start(), "odd-letter", message, hint)
    if space := re.search(r"[A-Za-z0-9_-]+[ \t]+[A-Za-z0-9_-]", bare):
        message = f"the name of this {what} has a space in it"
        joined = re.sub(r"[ \t]+", joint, name.strip())
        return Fault(begin + space.start(), "space-in-name", message, f"write {joined}")
    if gap := re.search(r"^\s*\.|\.\s*\.|\.\s*$", bare):
        hint = "write it, or leave out the dot"
        return Fault(begin + gap.start(), "empty-name", "a name is missing beside this dot", hint)
    return None
