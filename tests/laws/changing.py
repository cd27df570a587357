"""Every way to change one thing in an answer's JSON: a key, a list entry, or a single value anywhere."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

__all__ = ["changes"]

Step = str | int
Change = tuple[tuple[Step, ...], str, Any]
"""Where it is, what was done, and the whole answer with it."""

LIKE = (
    ("paused", "not-yet", "look-again", "ready-taking-along", "ready", "not-placed"),
    ("secure", "wobbling", "stale", "untried", "slipped", "building", "not-shown", "with-help"),
    ("alone", "cue", "model", "hands-on"),
    ("fast", "long", "stuck", "footing", "fade-soon", "young"),
    ("C1", "C2", "C3", "C5", "C6", "C7", "C11", "C13", "C14"),
    ("on-a-break", "first-lesson-back", "after-a-hold", "hold-open", "too-many-open", "taken-along"),
    ("move", "stay"),
    ("hand", "voice", "all"),
    ("birthday", "no-lesson"),
)
"""Words of one kind: each is changed to the next."""


def changes(answer: dict[str, Any], words: dict[str, str]) -> Iterator[Change]:
    """Yield all changes of one thing.

    Args:
        answer: what ``json.loads`` gives; it is not touched.
        words: for ids of the course, another that could stand in their place.
    """
    for path, value in _everything(answer):
        for what, other in _other_values(value, words):
            if other != value or type(other) is not type(value):
                yield path, what, _put(answer, path, other)


def _everything(value: Any, path: tuple[Step, ...] = ()) -> Iterator[tuple[tuple[Step, ...], Any]]:
    yield path, value
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, one in inside:
        yield from _everything(one, (*path, key))


def _put(value: Any, path: tuple[Step, ...], other: Any) -> Any:
    if not path:
        return other
    copy = dict(value) if isinstance(value, dict) else list(value)
    copy[path[0]] = _put(value[path[0]], path[1:], other)
    return copy


def _other_values(value: Any, words: dict[str, str]) -> Iterator[tuple[str, Any]]:
    if isinstance(value, dict):
        yield from ((f"without {key}", {k: v for k, v in value.items() if k != key}) for key in value)
        yield "with one key more", {**value, "more": None}
        yield from ((f"{key} renamed", _renamed(value, key, words)) for key in value if key in words)
    elif isinstance(value, list):
        yield from _other_lists(value, words)
    elif isinstance(value, bool):
        yield from (("turned", not value), ("as a number", int(value)))
    elif isinstance(value, (int, float)):
        yield from (("one more", value + 1), ("one less", value - 1))
    elif isinstance(value, str):
        yield from (("another", other) for other in _other_words(value, words))
    else:
        yield from (("something", words[next(iter(words))]), ("a day", "2024-02-06"))
    if value is not None:
        yield "null", None


def _renamed(value: dict[str, Any], key: str, words: dict[str, str]) -> dict[str, Any]:
    return {words[key] if k == key else k: v for k, v in value.items()}


def _other_lists(value: list[Any], words: dict[str, str]) -> Iterator[tuple[str, Any]]:
    for n, one in enumerate(value):
        yield "one left out", value[:n] + value[n + 1 :]
        yield "one twice", [*value[: n + 1], one, *value[n + 1 :]]
        if n and value[n - 1] != one:
            yield "two swapped", [*value[: n - 1], one, value[n - 1], *value[n + 1 :]]
    yield "one more", [*value, words[next(iter(words))]]


def _other_words(value: str, words: dict[str, str]) -> Iterator[str]:
    try:
        day = date.fromisoformat(value)
    except ValueError:
        yield value + "x"
    else:
        yield from (str(day + timedelta(days=days)) for days in (7, -7, 1))
    if value in words:
        yield words[value]
    yield from (row[row.index(value) - 1] for row in LIKE if value in row)
