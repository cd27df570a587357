"""What is said of a slip in the words of a command, as a person would say it.

The parser of the standard library finds the slip; its own wording is for programmers and is
not shown. Each answer ends in how the command is written, or in what was probably meant.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Sequence
from types import MappingProxyType
from typing import Final

from readiness.cli.output import as_sentence
from readiness.toml.suggest import did_you_mean
from readiness.words.grammar import listed

__all__ = ["how_it_is_written", "said_of", "too_much"]

_FEW: Final = 4  # so many choices are still worth writing out
_OPTIONS_AT_MOST: Final = 16

_SAME_AS: Final = MappingProxyType({
    **dict.fromkeys(("wrist", "arm", "finger", "fingers", "thumb", "elbow", "shoulder", "hands"), "hand"),
    **dict.fromkeys(("throat", "singing", "hoarse"), "voice"),
    **dict.fromkeys(("back", "neck", "head", "body", "everything", "both"), "all"),
    **dict.fromkeys(("parent", "parents", "mother", "father", "mum", "dad", "home", "carer"), "family"),
    **dict.fromkeys(("student", "pupil", "kid"), "child"),
    **dict.fromkeys(("employer", "director", "coordinator", "head-teacher"), "school"),
    **dict.fromkeys(("on", "up", "next"), "move"),
    **dict.fromkeys(("wait", "not-yet", "repeat"), "stay"),
})
"""What people say, and the choice that means it, where it is one of the choices."""


def said_of(message: str, parser: argparse.ArgumentParser) -> str:
    """Return what to say in place of a message of ``argparse``."""
    for pattern, say in _SLIPS:
        if found := re.fullmatch(pattern, message, re.DOTALL):
            return f"{say(found, parser)} {_see(parser)}"
    return f"{message}. {_see(parser)}"


def too_much(words: Sequence[str], parser: argparse.ArgumentParser) -> str:
    """Return what to say of words that a command has no use for."""
    options = [name for action in parser._actions for name in action.option_strings]
    unknown = [word.partition("=")[0] for word in words if word.startswith("-")]
    hints = [_perhaps(did_you_mean(name, options), parser) for name in unknown]
    told = [f"there is no option {name} here{hint}" for name, hint in zip(unknown, hints, strict=True)]
    if not told:
        told = [f'"{words[0]}" is one word too many; words that belong together stand in quotes.']
    return f"{' '.join(told)} It is written `{how_it_is_written(parser)}`. {_see(parser)}"


def _perhaps(hint: str, parser: argparse.ArgumentParser) -> str:
    """Return what was probably meant, else which options there are."""
    if hint:
        return f"; {hint}"
    own = [one.option_strings[-1] for one in parser._actions if one.option_strings and one.dest != "help"]
    return f"; there are {listed(own)}." if 1 < len(own) <= _OPTIONS_AT_MOST else "."


def how_it_is_written(parser: argparse.ArgumentParser) -> str:
    """Return a command with all that it cannot do without."""
    needed = [one for one in parser._actions if one.required]
    return " ".join([parser.prog, *map(_written, needed)])


def _written(action: argparse.Action) -> str:
    """Return one thing to type: an option with its value, or the value alone."""
    choices = [str(one) for one in action.choices or ()]
    value = "|".join(choices) if 0 < len(choices) <= _FEW else action.metavar or action.dest.upper()
    value = " ".join(value) if isinstance(value, tuple) else value
    return f"{action.option_strings[-1]} {value}" if action.option_strings else value


def _see(parser: argparse.ArgumentParser) -> str:
    return f"All about it: `{parser.prog} --help`"


def _missing(found: re.Match[str], parser: argparse.ArgumentParser) -> str:
    """Return which words are missing, and how the whole is written."""
    return f"{listed(found[1].split(', '))} must be there: `{how_it_is_written(parser)}`."


def _no_choice(found: re.Match[str], parser: argparse.ArgumentParser) -> str:
    choices = re.findall(r"'([^']*)'", found[3])
    form = "" if found[1].startswith("-") else f" It is written `{how_it_is_written(parser)}`."
    same = _SAME_AS.get(found[2].casefold(), "")
    hint = as_sentence(f'did you mean "{same}"?' if same in choices else did_you_mean(found[2], choices))
    meant = f" {hint}" if hint else ""
    return f'{found[1]} is {listed(choices, "or")}, not "{found[2]}".{meant}{form}'


def _nothing_behind(found: re.Match[str], parser: argparse.ArgumentParser) -> str:
    actions = parser._actions
    action = next((one for one in actions if "/".join(one.option_strings) == found[1]), None)
    form = _written(action) if action is not None else found[1]
    return f"something must stand behind {found[1]}: {form}."


def _no_number(found: re.Match[str], _parser: argparse.ArgumentParser) -> str:
    return f'{found[1]} takes a whole number, and "{found[2]}" is none.'


_Say = Callable[[re.Match[str], argparse.ArgumentParser], str]
_SLIPS: Final[tuple[tuple[str, _Say], ...]] = (
    (r"the following arguments are required: (.*)", _missing),
    (r"argument (\S+): invalid choice: '(.*)' \(choose from (.*)\)", _no_choice),
    (r"argument (\S+): expected .*", _nothing_behind),
    (r"argument (\S+): invalid int value: '(.*)'", _no_number),
)
