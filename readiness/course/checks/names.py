"""R9: every id that is used is also there."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import suppress
from graphlib import CycleError, TopologicalSorter
from typing import Final

from readiness.course.checks.register import as_written, chain
from readiness.course.draft import Draft, DraftSkill, Word, named_words
from readiness.course.schema import RULES
from readiness.days import iso
from readiness.toml.problems import Problem
from readiness.toml.suggest import did_you_mean, nearest

FEW: Final = 8
"""So many names are listed where none is near."""

_WITHOUT_NUMBERS: Final = ("review_lessons", "same_day")
_RULES: Final = frozenset((*RULES, *(rule.partition(".")[0] for rule in RULES), *_WITHOUT_NUMBERS))
OTHERWISE: Final = {"rule": "a rule is named as in a band: carry_limit, days_needed.motor"}
"""What to do where a table of that name is not the answer."""


@as_written()
def check_skills_exist(draft: Draft) -> Iterator[Problem]:
    """Every skill named in ``stands_on`` and ``of`` has its table."""
    told = draft.elsewhere | {re.sub("[^a-z0-9]+", "-", name.lower()) for name in draft.skill}
    words = [w for s in draft.skills for w in named_words(s) if w.text not in draft.skill]
    words = [word for word in words if word.text not in told]
    uses = Counter(word.text for word in words)
    for word in words:
        yield _unknown_skill(draft, word, uses[word.text])


def _unknown_skill(draft: Draft, word: Word, uses: int) -> Problem:
    """Return the problem; a name used more than once may be right and its table misspelt."""
    near = nearest(word.text, draft.skill)
    hint = _otherwise(draft, "skill", word.text)
    if hint or near is None or uses == 1:
        return _unknown("skill", word, draft.skill, hint)
    message = f'there is no skill "{word.text}"'
    hint = (
        f"{did_you_mean(word.text, draft.skill)} the name is used {uses} times: "
        f"if it is right, correct the table [skill.{near}] instead"
    )
    there = draft.skill[near].place
    return Problem(
        "unknown-skill", "error", word.place, message, hint, there, "the skill with the nearest name"
    )


def _otherwise(draft: Draft, kind: str, written: str) -> str:
    """Return what was written in place of an id: a name, the id of another kind, or several ids."""
    for id_ in draft.graph.ids(kind):
        if (draft.graph.text(kind, id_, "name") or "").strip().casefold() == written.strip().casefold():
            return f'that is its name; its id is "{id_}"'
    ids = [one for one in re.split(r"[\s,;]+", written) if one]
    if len(ids) > 1 and all(id_ in draft.graph.ids(kind) for id_ in ids):
        return "each in quotes of its own: " + ", ".join(f'"{id_}"' for id_ in ids)
    other = next((one for one in ("unit", "strand", "skill") if written in draft.graph.ids(one)), None)
    return f'"{written}" is a {other}: name a {kind}' if other else ""


@as_written()
def check_units_exist(draft: Draft) -> Iterator[Problem]:
    """Every skill is put in a unit of the course."""
    return _all_known(draft, "unit", (s.unit for s in draft.skills), draft.graph.ids("unit"))


@as_written()
def check_strands_exist(draft: Draft) -> Iterator[Problem]:
    """Every skill is put in a strand of the course."""
    return _all_known(draft, "strand", (s.strand for s in draft.skills), draft.graph.ids("strand"))


@as_written()
def check_bands_exist(draft: Draft) -> Iterator[Problem]:
    """Every band named in ``optional_in`` and in a ``[[change]]`` is in the pacing."""
    words = [*(w for s in draft.skills for w in s.optional_in), *draft.changed("band")]
    return _all_known(draft, "band", words, [band.name for band in draft.bands])


@as_written()
def check_rules_exist(draft: Draft) -> Iterator[Problem]:
    """Every rule named in a ``[[change]]`` is a rule."""
    for word in draft.changed("rule"):
        if word is not None and word.text not in RULES:
            parts = [rule for rule in RULES if rule.endswith(f".{word.text}")]
            yield _unknown("rule", word, RULES, f"did you mean {' or '.join(parts)}?" if parts else "")


@as_written("unknown-basis")
def check_basis(draft: Draft) -> Iterator[Problem]:
    """What a number rests on is said of a rule, or of something like one."""
    basis = draft.pacing.get("basis")
    for rule in basis if isinstance(basis, dict) else ():
        if rule not in _RULES and (hint := did_you_mean(rule, _RULES)):
            place = draft.pacing.source.key_place("basis", rule)
            yield Problem("unknown-basis", "warning", place, f'[basis] has no rule "{rule}"', hint)


def _all_known(
    draft: Draft, kind: str, words: Iterable[Word | None], names: Iterable[str]
) -> Iterator[Problem]:
    """Yield a problem a word; with no names at all the file has a larger problem, said elsewhere."""
    known = dict.fromkeys(names)
    for word in words:
        if word is not None and known and word.text not in known:
            yield _unknown(kind, word, known, "" if kind == "band" else _otherwise(draft, kind, word.text))


def _unknown(kind: str, word: Word, names: Iterable[str], hint: str = "") -> Problem:
    known = tuple(names)
    hint = hint or did_you_mean(word.text, known)
    if not hint and len(known) <= FEW:
        hint = f"the course has: {', '.join(known)}"
    elif not hint:
        add = f", or add [{kind}.{word.text}]" if re.fullmatch("[a-z0-9-]+", word.text) else ""
        hint = OTHERWISE.get(kind, f"correct the name{add}")
    return Problem(f"unknown-{kind}", "error", word.place, f'there is no {kind} "{word.text}"', hint)


# R9, for skills that come and go: a skill is retired before anything takes its place.
#
# ``since``, ``retired`` and ``replaced_by`` are our addition to the format (``course.schema``).
# What a date does to links is asked of each stretch of days by the other checks.


@as_written()
def check_heirs_exist(draft: Draft) -> Iterator[Problem]:
    """Every skill named in ``replaced_by`` has its table."""
    for skill in draft.skills:
        for word in skill.replaced_words:
            if word.text not in draft.skill:
                hint = did_you_mean(word.text, draft.skill) or f"add [skill.{word.text}]"
                yield Problem("unknown-skill", "error", word.place, f'there is no skill "{word.text}"', hint)


@as_written()
def check_lifetimes(draft: Draft) -> Iterator[Problem]:
    """What is replaced is retired, and what is retired was there."""
    for skill in draft.skills:
        if skill.replaced_words and skill.retired is None:
            message = f'"{skill.id}" is replaced, but not retired'
            hint = "say from which day: retired = 2026-09-01"
            here = skill.replaced_words[0].place
            yield Problem("replaced-not-retired", "error", here, message, hint)
        if skill.since is not None and skill.retired is not None and skill.since >= skill.retired:
            assert skill.retired_place is not None
            message = f'"{skill.id}" is retired on {iso(skill.retired)}, so it is never there'
            hint = "look at both days"
            here = skill.retired_place
            there = skill.since_place
            yield Problem("never-there", "error", here, message, hint, there, f"begins on {iso(skill.since)}")


@as_written()
def check_heirs_in_time(draft: Draft) -> Iterator[Problem]:
    """What takes a place is there on the day it is left."""
    for skill in draft.skills:
        for word in skill.replaced_words:
            heir = draft.skill.get(word.text)
            if heir is None or skill.retired is None or heir.since is None or heir.since <= skill.retired:
                continue
            message = (
                f'"{heir.id}" begins on {iso(heir.since)}, '
                f'after "{skill.id}" is retired, on {iso(skill.retired)}'
            )
            hint = f"let it begin on the day the other is retired: since = {iso(skill.retired)}"
            there = heir.since_place
            yield Problem("comes-too-late", "error", word.place, message, hint, there, "begins here")


@as_written()
def check_own_heirs(draft: Draft) -> Iterator[Problem]:
    """Nothing takes its own place, over any number of steps."""
    with suppress(CycleError):
        TopologicalSorter({s.id: s.replaced_by for s in draft.skills if s.replaced_words}).prepare()
        return
    for skill in draft.skills:
        way = _back_to(draft, skill)
        if way:
            message = f"these skills take each other's place: {chain(way)}"
            hint = "take one of the names out of replaced_by"
            here = next(word.place for word in skill.replaced_words if word.text == way[1])
            yield Problem("replaces-itself", "error", here, message, hint)


def _back_to(draft: Draft, skill: DraftSkill) -> tuple[str, ...]:
    """Return the way over ``replaced_by`` from a skill to itself; empty when there is none."""
    ways: list[tuple[str, ...]] = [(skill.id,)]
    met: set[str] = set()
    while ways:
        way = ways.pop()
        for name in draft.skill[way[-1]].replaced_by:
            if name == skill.id:
                return (*way, name)
            if name in draft.skill and name not in met:
                met.add(name)
                ways.append((*way, name))
    return ()
