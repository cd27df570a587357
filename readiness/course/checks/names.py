"""R9: every id that is used is also there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Final

from readiness.course.checks.register import as_written
from readiness.course.draft import Draft
from readiness.course.raw import Word, named_words
from readiness.course.schema import RULES
from readiness.toml.problems import Problem
from readiness.toml.suggest import did_you_mean, nearest

__all__ = [
    "check_bands_exist",
    "check_rules_exist",
    "check_skills_exist",
    "check_strands_exist",
    "check_units_exist",
]


FEW: Final = 8
"""So many names are listed where none is near."""

OTHERWISE: Final = {"rule": "a rule is named as in a band: carry_limit, days_needed.motor"}
"""What to do where a table of that name is not the answer."""


@as_written
def check_skills_exist(draft: Draft) -> Iterator[Problem]:
    """Every skill named in ``stands_on`` and ``of`` has its table."""
    words = [w for s in draft.skills for w in named_words(s) if w.text not in draft.skill]
    uses = Counter(word.text for word in words)
    for word in words:
        yield _unknown_skill(draft, word, uses[word.text])


def _unknown_skill(draft: Draft, word: Word, uses: int) -> Problem:
    """Return the problem; a name used more than once may be right and its table misspelt."""
    for skill in draft.skills:
        name = draft.graph.text("skill", skill.id, "name") or ""
        if name.strip().casefold() == word.text.strip().casefold():
            message, hint = f'there is no skill "{word.text}"', f'that is its name; its id is "{skill.id}"'
            return Problem("unknown-skill", "error", word.place, message, hint)
    near = nearest(word.text, draft.skill)
    if near is None or uses == 1:
        return _unknown("skill", word, draft.skill)
    return Problem(
        "unknown-skill",
        "error",
        word.place,
        f'there is no skill "{word.text}"',
        f"{did_you_mean(word.text, draft.skill)} the name is used {uses} times: "
        f"if it is right, correct the table [skill.{near}] instead",
        draft.skill[near].place,
        "the skill with the nearest name",
    )


@as_written
def check_units_exist(draft: Draft) -> Iterator[Problem]:
    """Every skill is put in a unit of the course."""
    return _all_known("unit", (s.unit for s in draft.skills), [unit.id for unit in draft.units])


@as_written
def check_strands_exist(draft: Draft) -> Iterator[Problem]:
    """Every skill is put in a strand of the course."""
    return _all_known("strand", (s.strand for s in draft.skills), draft.strands)


@as_written
def check_bands_exist(draft: Draft) -> Iterator[Problem]:
    """Every band named in ``optional_in`` and in a ``[[change]]`` is in the pacing."""
    words = [*(w for s in draft.skills for w in s.optional_in), *(c.band for c in draft.changes)]
    return _all_known("band", words, [band.name for band in draft.bands])


@as_written
def check_rules_exist(draft: Draft) -> Iterator[Problem]:
    """Every rule named in a ``[[change]]`` is a rule."""
    return _all_known("rule", (change.rule for change in draft.changes), RULES)


def _all_known(kind: str, words: Iterable[Word | None], names: Iterable[str]) -> Iterator[Problem]:
    """Yield a problem a word; with no names at all the file has a larger problem, said elsewhere."""
    known = dict.fromkeys(names)
    for word in words:
        if word is not None and known and word.text not in known:
            yield _unknown(kind, word, known)


def _unknown(kind: str, word: Word, names: Iterable[str]) -> Problem:
    known = tuple(names)
    hint = did_you_mean(word.text, known)
    if not hint and len(known) <= FEW:
        hint = f"the course has: {', '.join(known)}"
    elif not hint:
        hint = OTHERWISE.get(kind, f"correct the name, or add [{kind}.{word.text}]")
    return Problem(f"unknown-{kind}", "error", word.place, f'there is no {kind} "{word.text}"', hint)
