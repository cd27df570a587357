"""All that is wrong with a text that is not TOML, in one go.

``tomli`` stops at the first mistake. So the statement with the mistake is left out and
the rest is read again, with every other line where it was. What could only be a consequence
of leaving something out is not reported; nothing of the guessed text is used otherwise.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from pathlib import Path
from typing import Final

import tomli

from readiness.days import dated
from readiness.toml.locate import offset
from readiness.toml.problems import Place, Problem
from readiness.toml.statements import CURLY, LOOKS_NEW, OF_NAMES, Fault, Rest, Stop, meant

__all__ = ["CAUSES", "MOST", "NUMBERS", "find_fault", "read_on"]

# Why a text is not TOML, in words for somebody who does not know that word.
#
# ``tomli`` says where it stopped, which is often not where the mistake is. Each cause here
# is one function that looks at the statement and either recognises one mistake or says
# nothing; they are tried in the order of ``CAUSES``, the surest first. Nothing is mended:
# a fault says at most which stretch to leave out when the rest of the file is looked at.


def find_fault(stop: Stop) -> Fault:
    """Return the first cause that fits, or that none was recognised."""
    return next(filter(None, (cause(stop) for cause in CAUSES)), None) or Fault(
        stop.at,
        "not-understood",
        "from here on this line is not written in a way that can be read",
        'a line is: key = value, with text in "quotes"; compare it with the lines around it',
    )


def _unseen_letter(stop: Stop) -> Fault | None:
    """A tab-like, invisible or foreign blank, usually pasted from elsewhere."""
    letter = stop.text[stop.at : stop.at + 1]
    if letter in ("", " ", "\n", "\t") or unicodedata.category(letter) not in ("Cc", "Cf", "Zs", "Zl", "Zp"):
        return None
    hint = "delete it, and type a plain space if one is needed"
    return Fault(stop.at, "unseen-letter", f"there is an unseen character here (U+{ord(letter):04X})", hint)


def _curly_quotes(stop: Stop) -> Fault | None:
    """Quotes as text programs make them, at either end of a text."""
    at = stop.word[0] if stop.word[1][:1] in tuple(CURLY) else -1
    for piece in stop.before:
        if piece.kind in ("open", "open_line"):
            curly = re.search(f"[{CURLY}]", stop.text[piece.start : piece.end].split("\n")[0])
            at = piece.start + curly.start() if curly and at < 0 else at
    if at < 0:
        return None
    sample = re.match(r'"[^"]{1,40}"', re.sub(f"[{CURLY}]", '"', stop.text[at:].split("\n")[0]))
    hint = 'type the straight quote of the keyboard: "' if not sample else f"write {sample.group()}"
    return Fault(at, "curly-quotes", "this is a curly quote; text stands between straight ones", hint)


def _unclosed_text(stop: Stop) -> Fault | None:
    for piece in stop.before:
        mark = stop.text[piece.start : piece.start + 3]
        if piece.kind == "open":
            message = "the three quotes that open here never close"
            return Fault(piece.start, "unclosed-text", message, f"write {mark} where the text ends")
        if piece.kind == "open_line":
            message = "the quote that opens here never closes"
            hint = f"write {mark[0]} where the text ends, on the same line"
            return Fault(piece.start, "unclosed-text", message, hint, run=True)
    return None


def _closed_too_late(stop: Stop) -> Fault | None:
    """Three quotes that were meant to close earlier and swallow statements up to the next three."""
    if not stop.before or stop.before[-1].kind != "text" or stop.said.startswith("Cannot"):
        return None
    text = stop.before[-1]
    if not LOOKS_NEW.search(stop.text, stop.text.find("\n", text.start) + 1, text.end):
        return None
    return Fault(
        text.start,
        "unclosed-text",
        "the three quotes that open here close only at the next three, lines below",
        f"write {stop.text[text.start : text.start + 3]} where the text ends",
        text.end - 3,
        "closes here",
    )


def _backslash(stop: Stop) -> Fault | None:
    if not stop.said.startswith(("Unescaped", "Invalid hex", "Escaped")):
        return None
    at = stop.text.rfind("\\", stop.start, stop.at + 1)
    message = "a backslash in quotes means something else than itself"
    hint = "write two of them: \\\\ , or put the text in 'single quotes'"
    return Fault(max(at, stop.start), "backslash", message, hint)


def _number(stop: Stop) -> Fault | None:
    """A date or number as it is written elsewhere."""
    at, word = stop.word
    comma = re.compile(r"\d+,\d+(?=[ \t]*(?:#|\n|\Z))").search(stop.text, stop.start)
    if re.fullmatch(r"[+-]?0\d{1,30}", word):
        return Fault(at, "leading-zero", "a number has no zero in front", right=f"{int(word)}")
    if re.fullmatch(r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}\.?", word):
        meant = dated(word)
        hint = f"write {meant}" if meant else "write year-month-day, as in 2025-12-02, each with its zeros"
        return Fault(at, "date-form", f"{word} is not how a date is written, or no such day", hint)
    if not stop.opened and comma and comma.start() <= stop.at < comma.end():
        message, right = "a number has a decimal point, no comma", comma.group().replace(",", ".")
        hint = f"write {right}, or a whole number where things are counted"
        return Fault(comma.start(), "decimal-comma", message, hint, right=right)
    return None


def _number_form(stop: Stop) -> Fault | None:
    """A number as it is written elsewhere: without a figure beside its point, with a blank or a %."""
    at, word = stop.word
    if blank := re.search(r"(?<![\w.])\d{1,3}[ \t]$", stop.text[stop.start : stop.at]):
        figures = re.match(r"(?:\d{3}[ \t]?)+(?=[ \t]*(?:#|\n|\Z))", stop.text[stop.at :])
        if figures and not stop.opened:
            at, right = stop.start + blank.start(), f"{blank[0].strip()}{''.join(figures[0].split())}"
            return Fault(at, "number-form", "a number has no blank in it", right=right)
    if re.fullmatch(r"[+-]?\.\d+", word):
        right = word.replace(".", "0.")
        return Fault(at, "number-form", "a number has a figure before its point", right=right)
    if re.fullmatch(r"[+-]?\d+\.", word):
        hint = f"write {word[:-1]}, or {word}0 where parts count"
        return Fault(at, "number-form", "a number has a figure after its point", hint, right=word[:-1])
    if re.fullmatch(r"\d{1,3}%", word):
        share, number = f"{int(word[:-1]) / 100:.10g}", word[:-1]
        first, other = (number, share) if "percent" in stop.key else (share, number)
        hint = f"write {first}, or {other}"
        return Fault(at, "number-form", "a number has no % behind it", hint, right=first)
    return None


def _two_equals(stop: Stop) -> Fault | None:
    if stop.opened or not stop.before or stop.text[stop.before[-1].start] != "=" or stop.rest[:1] != "=":
        return None
    return Fault(stop.at, "equals-twice", "one = is enough", right=f"{stop.key} =")


def _no_brackets(stop: Stop) -> Fault | None:
    """Several values that stand in no brackets, or in round ones."""
    value = re.search(r"=[ \t]*([^#\n]*?)[ \t]*(?:#|\n|\Z)", stop.text[stop.start : stop.end])
    if stop.opened or stop.is_header or value is None:
        return None
    inside = value[1].removeprefix("(").removesuffix(")")
    item = r"""(?:[+-]?\d[\d.]*|"[^"]*"|'[^']*')"""
    if not re.fullmatch(rf"{item}(?:[ \t]*,[ \t]*{item})+", inside):
        return None
    at = stop.start + value.start(1)
    return Fault(at, "no-brackets", "several values stand in square brackets", right=f"[{inside}]")


def _half_quoted(stop: Stop) -> Fault | None:
    """A name in a list with its second quote alone."""
    name = re.match(r"([A-Za-z][\w -]*)[\"'](?=[ \t]*(?:,|\]))", stop.rest)
    if not stop.opened or name is None:
        return None
    return Fault(stop.at, "half-quoted", "the first quote of this name is missing", right=f'"{name[1]}"')


def _number_too_long(stop: Stop) -> Fault | None:
    told, hint = "this number has too many digits", "put it in quotes if it is text"
    return Fault(stop.at, "number-too-long", told, hint) if "digits" in stop.said else None


def _no_value(stop: Stop) -> Fault | None:
    is_behind = stop.before and stop.text[stop.before[-1].start] == "="
    if not is_behind or stop.opened or stop.is_header or stop.rest.strip().partition("#")[0]:
        return None
    return Fault(stop.at, "no-value", f"{stop.key} has no value", "write one after the =, or delete the line")


def _unclosed(stop: Stop) -> Fault | None:
    """A list or inline table that never closes, at the bracket that opens it."""
    at_end = stop.at >= len(stop.text)
    line = stop.text.rfind("\n", 0, stop.at) + 1
    new = LOOKS_NEW.match(stop.text, line, stop.at + len(stop.rest)) if line > stop.start else None
    opened = [at for at in stop.opened if not new or at < line]
    if not opened:
        return None
    if stop.text[opened[-1]] == "{" and (stop.rest.startswith("\n") or not stop.rest.strip()):
        message = "what stands in braces must be on one line"
        return Fault(opened[-1], "unclosed-braces", message, "close it with } on the line where it opens")
    if not at_end and not new:
        return None
    if stop.text[opened[0]] == "{":
        message = "the { that opens here never closes"
        return Fault(opened[0], "unclosed-braces", message, "write } where it ends")
    return Fault(opened[0], "unclosed-list", "the list that opens here never closes", "write ] where it ends")


def _comma(stop: Stop) -> Fault | None:
    """A comma too many or too few in a list or in braces."""
    if not stop.opened or not stop.before:
        return None
    last, here = stop.before[-1], stop.text[stop.at : stop.at + 1]
    if here == "," and stop.text[last.start] in ",[{":
        return Fault(stop.at, "comma", "there is nothing before this comma", "leave the comma out")
    if here == "}" and stop.text[last.start] == ",":
        return Fault(last.start, "comma", "no comma may stand before }", "leave the comma out")
    numbers = re.match(r"[\d+-]", here) and stop.text[last.start : last.end].replace(".", "").isdecimal()
    is_item = last.kind in ("text", "line_text") or numbers
    if stop.said.startswith("Unclosed") and is_item and here not in ("]", "}"):
        message = "a comma is missing here, between two things of the list"
        return Fault(last.end, "comma", message, "write a comma", right=",")
    return None


def _in_braces(stop: Stop) -> Fault | None:
    """Something in braces that is no ``key = value``."""
    is_said = stop.said.startswith(("Expected '='", "Invalid initial", "Unclosed inline"))
    if not is_said or not stop.opened or stop.text[stop.opened[-1]] != "{":
        return None
    hint = 'write them as in { at_least = 1, of = ["wrist-lift"] }'
    return Fault(stop.at, "in-braces", "in braces stand only key = value, with commas between them", hint)


def _bare_words(stop: Stop) -> Fault | None:
    """Names in a list without quotes: all of one line at once."""
    if not stop.opened or stop.text[stop.opened[-1]] != "[" or not re.match(r"[^\W\d]", stop.word[1]):
        return None
    begin = max(stop.opened[-1] + 1, stop.text.rfind("\n", 0, stop.at) + 1)
    line = re.compile(r"[^\n\]#]*").match(stop.text, begin)
    items = re.compile(r"""(?<![^\s,\[])[^\W\d](?:[^\n,\]#"']*[^\s,\]#"'])?(?=[ \t]*(?:[,\]#\n]|\Z))""")
    end = line.end() if line else stop.at
    values = ("true", "false", "inf", "nan")
    found = [m for m in items.finditer(stop.text, begin, end) if m.group() not in values]
    if not any(m.start() <= stop.at < m.end() for m in found):
        return None
    quoted = ", ".join(f'"{m.group()}"' for m in found[:5])
    spans = tuple(m.span() for m in found)
    return Fault(found[0].start(), "no-quotes", "names in a list stand in quotes", inside=spans, right=quoted)


def _bare_text(stop: Stop) -> Fault | None:
    """A text without quotes as the value of a key."""
    if stop.opened or not stop.before or stop.text[stop.before[-1].start] != "=":
        return None
    text = stop.rest.partition("#")[0].strip()
    if not re.match(r"[^\W\d]", text):
        return None
    meant = {"yes": "true", "no": "false"}.get(text.lower(), text.lower())
    if meant in ("true", "false"):
        return Fault(stop.at, "no-quotes", "yes and no are written true and false", right=meant)
    if text.lower() in NUMBERS:
        right = f"{NUMBERS.index(text.lower())}"
        return Fault(stop.at, "no-quotes", "a number stands in figures", right=right)
    return Fault(stop.at, "no-quotes", "text stands in quotes", right=f'"{text}"' if len(text) < 60 else "")


NUMBERS: Final = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


def _quote_inside(stop: Stop) -> Fault | None:
    """A text that ends at a quote in its middle."""
    last = stop.before[-1] if stop.before else None
    if last is None or last.kind != "line_text" or not re.match(r"""[\w"']""", stop.rest.lstrip()):
        return None
    double = stop.text[last.start] == '"'
    hint = 'write \\" for a quote inside the text' if double else 'put the whole text in "double quotes"'
    return Fault(last.end - 1, "quote-in-text", "the text ends at this quote, and more follows", hint)


_MONTH: Final = re.compile(r"(19|20)\d\d-(0[1-9]|1[0-2])")


def _after_value(stop: Stop) -> Fault | None:
    """Something after the end of a value."""
    if not stop.said.startswith("Expected newline"):
        return None
    if stop.rest[:1] in ("]", "}"):
        return Fault(stop.at, "bracket", f"this {stop.rest[0]} closes nothing", "leave it out")
    if re.match(r"[\w.-]+[ \t]*=", stop.rest):
        return Fault(stop.at, "two-on-a-line", "there are two keys on one line", "begin a new line here")
    value = stop.text[stop.start : stop.end].partition("=")[2].strip()
    hint = "put text in quotes, begin a remark with #, or leave it out"
    if two := re.match(r"(\d+) ?(/|-|\N{EN DASH}|to) ?(\d+)(?=\s|$)", value):
        first, sign, second = two.groups()
        is_share = sign == "/" and int(second)
        hint = f"write {int(first) / int(second):.10g}" if is_share else f"write [{first}, {second}]"
        hint = f'put a month in quotes: "{value}"' if _MONTH.fullmatch(value) else hint
    elif number := re.match(r"(\d+(?:\.\d+)?) ?[A-Za-z]", value):
        hint = f"a number stands alone: write {number[1]}"
    return Fault(stop.at, "after-value", f"nothing may follow the value of {stop.key}", hint)


CAUSES: Final[tuple[Callable[[Stop], Fault | None], ...]] = (
    _number_too_long,
    _curly_quotes,
    _unclosed_text,
    _unseen_letter,
    _closed_too_late,
    _backslash,
    *OF_NAMES,
    _two_equals,
    _number_form,
    _number,
    _no_brackets,
    _no_value,
    _unclosed,
    _comma,
    _in_braces,
    _half_quoted,
    _bare_words,
    _bare_text,
    _quote_inside,
    _after_value,
)
"""Every known cause, the surest first."""


MOST: Final = 20
"""So many mistakes of one file are reported at once."""

_LETTERS_READ: Final = 10_000_000  # in all, so that a huge file is not read twenty times

_SAID_WHERE: Final = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)")
_NO_STATEMENTS: Final = re.compile(r"(?:\n(?![ \t]*\[)(?=[^\n]*\S)[^\n=]*(?=\n|\Z))*")
_BOTH_KEPT: Final = re.compile(r"^<{7}(?: .*)?$", re.MULTILINE)
_BOTH_END: Final = re.compile(r"^>{7}(?: .*)?$", re.MULTILINE)
_LONG_NUMBER: Final = re.compile(r"\d[\d_]{4000,}")


def read_on(text: str, path: Path) -> tuple[tuple[Problem, ...], Rest | None]:
    """Return the mistakes that keep a text from being read, and the text beside them.

    There are at most ``MOST``, none in good TOML; where there are too many of them the text is None.
    """
    written = text = text.replace("\r\n", "\n")
    if begin := _BOTH_KEPT.search(text):
        return (_two_versions(text, begin.start(), path),), None
    found: list[Problem] = []
    left: list[tuple[int, str, str | None]] = []
    sure = 0
    most = max(1, min(MOST, _LETTERS_READ // (len(text) + 1)))
    while len(found) < most and (stop := _first_stop(text, sure)) is not None:
        fault = find_fault(stop)
        other = None if fault.other is None else Place.of(text, fault.other, path)
        place = Place.of(text, fault.at, path)
        hint = fault.hint or (f"write {fault.right}" if fault.right else "")
        found.append(Problem(fault.id, "error", place, fault.message, hint, other, fault.other_label))
        left.append((text.count("\n", 0, stop.start), text[stop.start : stop.end], meant(stop, fault)))
        text, sure = _leave_out(text, stop, fault, len(found))
    return tuple(found), Rest(text, written, tuple(left)) if len(found) < most else None


def _first_stop(text: str, sure: int) -> Stop | None:
    """Return where ``tomli`` stops, None when it does not or cannot be asked."""
    try:
        tomli.loads(text)
    except RecursionError:
        return None
    except ValueError as err:
        at, said = _where(str(err), text)
        return Stop.find(text, at, said, sure) if at >= sure else None
    return None


def _where(said: str, text: str) -> tuple[int, str]:
    """Return the position in what ``tomli`` said, and the rest of it."""
    where = _SAID_WHERE.search(said)
    if where is None:
        number = _LONG_NUMBER.search(text)
        return (number.start() if number else 0), said
    said = said[: where.start()]
    if where[1] is None:
        return len(text), said
    return offset(text, int(where[1]), int(where[2])), said


def _leave_out(text: str, stop: Stop, fault: Fault, number: int) -> tuple[str, int]:
    """Return the text without the fault, every other line in its place, and where to go on.

    A wrong header becomes another one, so that its lines do not fall to the table above. So
    does a key written twice, because most often the header above it is what is missing: of one of
    several blocks that is known.
    """
    if fault.inside:
        for start, end in fault.inside:
            text = text[:start] + "0".ljust(end - start) + text[end:]
        return text, stop.start
    start, end, put = stop.start, stop.end, ""
    is_twice = fault.id == "written-twice"
    if stop.is_header or (is_twice and not stop.opened):
        put = (fault.right if is_twice else "") or f"[unread-{number}]"
        end = start + len(stop.line) if stop.is_header else end
    elif fault.run and (below := _NO_STATEMENTS.match(text, end)):
        end = below.end()
    put += "\n" * text.count("\n", start, end)
    return text[:start] + put + text[end:], start + len(put)


def _two_versions(text: str, begin: int, path: Path) -> Problem:
    """Return that a merge left both versions in the file; the rest is looked at when one is chosen."""
    end = _BOTH_END.search(text, begin)
    message = "here two versions of this file were put together, and nobody has chosen yet"
    hint = (
        "keep what is right of both, for notes mostly all lines of both, and delete the marker lines "
        "<<<<<<<, ======= and >>>>>>>"
    )
    here = Place.of(text, begin, path)
    there = None if end is None else Place.of(text, end.start(), path)
    return Problem("two-versions", "error", here, message, hint, there, "as far as here")
