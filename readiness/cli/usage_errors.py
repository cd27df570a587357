"""What is said of a slip in the words of a command, as a person would say it.

The parser of the standard library finds the slip and says at which argument; its own wording is
for programmers and is not looked at. Each answer ends in how the command is written, or in what
was probably meant.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from types import MappingProxyType
from typing import Final

from readiness.cli.output import as_sentence
from readiness.toml.suggest import did_you_mean
from readiness.words.grammar import listed

__all__ = [
    "does_not_fit", "how_it_is_written", "missing", "no_choice", "no_number", "nothing_behind", "too_much",
]  # fmt: skip

_FEW: Final = 4  # so many choices are still worth writing out
_OPTIONS_AT_MOST: Final = 20

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
    """Return a command with its words (in brackets what may be left out) and the options it must have."""
    needed = [one for one in parser._actions if one.required or not one.option_strings]
    return " ".join([parser.prog, *map(_written, needed)])


def _written(action: argparse.Action) -> str:
    """Return one thing to type: an option with its value, or the value alone."""
    if action.option_strings:
        return f"{action.option_strings[-1]} {_value(action)}"
    return _value(action) if action.required else f"[{_value(action)}]"


def _value(action: argparse.Action) -> str:
    choices = [str(one) for one in action.choices or ()]
    value = "|".join(choices) if 0 < len(choices) <= _FEW else action.metavar or action.dest.upper()
    return " ".join(value) if isinstance(value, tuple) else value


def _name(action: argparse.Action) -> str:
    """Return what an argument is called in what is said: its options, or its word of the help."""
    if action.option_strings:
        return "/".join(action.option_strings)
    return action.metavar if isinstance(action.metavar, str) else action.dest


def _see(parser: argparse.ArgumentParser) -> str:
    return f"All about it: `{parser.prog} --help`"


def missing(parser: argparse.ArgumentParser, read: argparse.Namespace) -> str:
    """Return which words a command lacks, and how the whole is written."""
    lacking = [one for one in parser._actions if one.required and getattr(read, one.dest, None) is None]
    said = f"{listed([_name(one) for one in lacking])} must be there" if lacking else "something is missing"
    return f"{said}: `{how_it_is_written(parser)}`. {_see(parser)}"


def no_choice(action: argparse.Action, typed: str, parser: argparse.ArgumentParser) -> str:
    """Return what can stand in place of a word that is not one of the choices."""
    choices = [str(one) for one in action.choices or ()]
    form = "" if action.option_strings else f" It is written `{how_it_is_written(parser)}`."
    within = next((one for one in choices if one in typed.casefold()), "")
    same = _SAME_AS.get(typed.casefold(), within)
    hint = as_sentence(f'did you mean "{same}"?' if same in choices else did_you_mean(typed, choices))
    meant = f" {hint}" if hint else ""
    name, allowed = _name(action), listed(choices, "or")
    named = f'"{typed}" is not {allowed}' if "|" in name else f'{name} is {allowed}, not "{typed}"'
    return f"{named}.{meant}{form} {_see(parser)}"


def nothing_behind(action: argparse.Action, parser: argparse.ArgumentParser) -> str:
    """Return what must stand behind an option."""
    return f"something must stand behind {_name(action)}: {_written(action)}. {_see(parser)}"


def no_number(action: argparse.Action, typed: str, parser: argparse.ArgumentParser) -> str:
    """Return what to say of a word where a number is needed: no other type can be missed."""
    return f'{_name(action)} takes a whole number, not "{typed}". {_see(parser)}'


def does_not_fit(name: str, parser: argparse.ArgumentParser) -> str:
    """Return what to say of an option that does not fit as it stands there, for whatever reason."""
    action = next((one for one in parser._actions if name == _name(one)), None)
    groups = (group._group_actions for group in parser._mutually_exclusive_groups)
    together = next((group for group in groups if action in group and len(group) > 1), None)
    if action is not None and action.nargs == 0 and together is None:
        return f"nothing can stand behind {name}. {_see(parser)}"
    if together is not None:
        return f"of {listed([_name(one) for one in together])} there can be one at a time. {_see(parser)}"
    return f"{name} does not fit there. It is written `{how_it_is_written(parser)}`. {_see(parser)}"
