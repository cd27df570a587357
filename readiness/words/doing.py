"""A skill's name as a piece of a sentence: what somebody does, is asked to do, is doing.

The names of skills mostly say what a student does ("Lifts the wrist"). A letter has to say it
to a child ("lift your wrist"), to a family ("lifts the wrist") and as a thing ("lifting the
wrist"). A name that is built in another way is never bent: it stands in quotation marks.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from readiness.words.grammar import quoted, tidy

__all__ = ["do", "does", "doing"]

_VERBS: Final = (
    "add", "alternate", "answer", "arc", "arrange", "balance", "breathe", "bring", "build", "call",
    "carry", "catch", "change", "check", "choose", "clap", "close", "come", "compare", "conduct", "copy",
    "count", "cover", "describe", "draw", "drink", "drop", "echo", "echo-sing", "explain", "feel", "find",
    "finish", "follow", "get", "give", "go", "guess", "hear", "hold", "hum", "imitate", "improvise",
    "invent", "join", "jump", "keep", "know", "lean", "learn", "leave", "let", "lift", "listen", "look",
    "lower", "make", "mark", "match", "move", "name", "notice", "open", "pat", "perform", "place", "plan",
    "play", "point", "practise", "prepare", "press", "put", "raise", "reach", "read", "recognise",
    "release", "remember", "repeat", "rest", "say", "see", "set", "share", "show", "sing", "sit", "slide",
    "sort", "speak", "stand", "start", "stay", "step", "stop", "swing", "take", "tap", "tell", "tie",
    "touch", "trace", "transpose", "try", "turn", "understand", "use", "wait", "walk", "warm", "watch",
    "widen", "write",
)  # fmt: skip
_OWN: Final = re.compile(
    r"\bthe (?=(?:arms?|hands?|wrists?|shoulders?|elbows?|thumbs?|eyes|feet|body|fingertip|fingertips)\b)"
)
_SHORT: Final = re.compile(r"[^aeiou]*[aeiou][bdgmnprt]")
_SELF: Final = re.compile(r"\bself\b ?")


def does(name: str) -> str:
    """Return what a student does, to stand after the student's name.

    >>> does("Lifts the wrist"), does("Feet supported"), does("Hands take turns")
    ('lifts the wrist', 'keeps the feet supported', 'lets the hands take turns')
    """
    words = _words(name)
    if _is_verb_first(words):
        return _SELF.sub("", f"{words[0].lower()} {' '.join(words[1:])}".strip())
    if _is_plural_doing(words):
        return f"lets the {words[0].lower()} {' '.join(words[1:])}"
    if _is_state(words):
        return f"keeps the {words[0].lower()} {words[1]}"
    return f"shows {quoted(name)}"


def do(name: str) -> str:
    """Return what a student is asked to do, spoken to the student.

    >>> do("Lifts the wrist"), do("Starts and stops on a signal"), do("Counts self in")
    ('lift your wrist', 'start and stop on a signal', 'count yourself in')
    """
    words = _words(name)
    if _is_verb_first(words):
        said = " ".join(_THIRD[w.lower()] if i in _verbs(words) else w for i, w in enumerate(words))
        return _OWN.sub("your ", re.sub(r"\bself\b", "yourself", said))
    if _is_plural_doing(words):
        return f"let your {words[0].lower()} {' '.join(words[1:])}"
    if _is_state(words):
        return f"keep your {words[0].lower()} {words[1]}"
    return f"show me {quoted(name)}"


def doing(name: str) -> str:
    """Return a skill as a thing that can be worked on.

    >>> doing("Lifts the wrist"), doing("Taps two layers"), doing("Hands take turns")
    ('lifting the wrist', 'tapping two layers', 'hands taking turns')
    >>> doing("Scales, first look")
    '"Scales, first look"'
    """
    words = _words(name)
    if _is_verb_first(words):
        said = " ".join(_ing(_THIRD[w.lower()]) if i in _verbs(words) else w for i, w in enumerate(words))
        return _SELF.sub("", said)
    if _is_plural_doing(words):
        return " ".join([words[0].lower(), _ing(words[1]), *words[2:]])
    if _is_state(words):
        return f"keeping the {words[0].lower()} {words[1]}"
    return quoted(name)


def _words(name: str) -> list[str]:
    return tidy(name).split()


def _is_verb_first(words: list[str]) -> bool:
    return bool(words) and words[0].lower() in _THIRD


def _is_plural_doing(words: list[str]) -> bool:
    """Return whether a name is built like "Hands take turns"."""
    return len(words) > 1 and words[0].lower().endswith("s") and words[1] in _VERBS


def _is_state(words: list[str]) -> bool:
    """Return whether a name is built like "Feet supported"."""
    return len(words) == 2 and words[0].isalpha() and words[1].endswith("ed") and words[1] not in _VERBS


def _verbs(words: list[str]) -> tuple[int, ...]:
    """Return where the verbs stand: the first word, and one joined to it by "and".

    In "steps, skips and repeats" the word before "and" ends in an s as well: things, not doings.
    """
    joined = [
        i
        for i in range(2, len(words))
        if words[i - 1] == "and" and words[i] in _THIRD and (i == 2 or not words[i - 2].endswith("s"))
    ]
    return (0, *joined)


def _third(verb: str) -> str:
    if re.search(r"[^aeiou]y$", verb):
        return f"{verb[:-1]}ies"
    return f"{verb}es" if re.search(r"(?:s|x|z|ch|sh|o)$", verb) else f"{verb}s"


def _ing(verb: str) -> str:
    last = verb.rpartition("-")[2]
    if last.endswith("ie"):
        return f"{verb[:-2]}ying"
    if last.endswith("e") and not re.search(r"[eoy]e$", last):
        return f"{verb[:-1]}ing"
    return f"{verb}{verb[-1]}ing" if _SHORT.fullmatch(last) else f"{verb}ing"


_THIRD: Final[Mapping[str, str]] = {_third(verb): verb for verb in _VERBS}
"""The verbs by the form they have in a name: "lifts" is "lift"."""
