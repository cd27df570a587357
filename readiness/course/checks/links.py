"""R9: every id that is used is there; links lead back to what is taught before, never round, each once."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import partial
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise
from typing import Final

from readiness.course.checks.register import as_written, chain, count, few_names, of_a_day, unit_words
from readiness.course.draft import Draft, DraftGroup, DraftSkill, Word, blocks, named_words, one_table, tables
from readiness.course.graph import SkillGraph
from readiness.course.model import TAKEN_OUT, union
from readiness.course.schema import RULES, SkillTable
from readiness.days import iso
from readiness.toml.problems import Place, Problem, told_again
from readiness.toml.texts import AN_ID, did_you_mean, is_slip, nearest

__all__ = ["check_implied_links", "check_loops", "check_self_links", "implied_links"]

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
    uses = Counter(word.text for skill in draft.skills for word in named_words(skill))
    for word in words:
        yield _unknown_skill(draft, word, uses)


def _unknown_skill(draft: Draft, word: Word, uses: Mapping[str, int]) -> Problem:
    """Return the problem; a name used more than once is right: its table is misspelt, or was taken out.

    A name that is a slip of the finger away from a skill that others name is still a slip.
    """
    near = nearest(word.text, draft.skill)
    hint = _otherwise(draft, "skill", word.text)
    if hint or uses[word.text] == 1:
        return _unknown("skill", word, draft.skill, hint)
    if near is None or uses[near]:
        is_near = near is not None and is_slip(word.text, near)
        meant = did_you_mean(word.text, draft.skill, f" or {TAKEN_OUT}")
        return _unknown("skill", word, draft.skill, meant if is_near else TAKEN_OUT)
    message = f'there is no skill "{word.text}"'
    instead = f"if it is right, correct the table [skill.{near}] instead"
    hint = did_you_mean(word.text, draft.skill, f" the name is used {uses[word.text]} times: {instead}")
    label, there = "the skill with the nearest name", draft.skill[near].place
    return Problem("unknown-skill", "error", word.place, message, hint, there, label, word.text)


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
    for rule, said in basis.items() if isinstance(basis, dict) else ():
        if rule not in _RULES and (hint := did_you_mean(rule, _RULES)):
            place = draft.pacing.source.key_place("basis", rule)
            yield Problem("unknown-basis", "warning", place, f'[basis] has no rule "{rule}"', hint, word=rule)
        elif isinstance(said, str) and said and not any(map(str.isalpha, said)):
            place, hint = draft.pacing.at("basis", rule), 'write the source, or "common practice"'
            message = f'"{said}" does not say where {rule} comes from; the number itself stands in [band]'
            yield Problem("unknown-basis", "warning", place, message, hint)


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
        add = f", or add [{kind}.{word.text}]" if AN_ID.fullmatch(word.text) else ""
        hint = OTHERWISE.get(kind, f"correct the name{add}")
    message = f'there is no {kind} "{word.text}"'
    return Problem(f"unknown-{kind}", "error", word.place, message, hint, word=word.text)


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
                yield _unknown("skill", word, draft.skill, hint)


@as_written()
def check_lifetimes(draft: Draft) -> Iterator[Problem]:
    """What is replaced is retired, and what is retired was there."""
    for skill in draft.skills:
        if skill.replaced_words and skill.retired is None:
            message = f'"{skill.id}" is replaced, but not retired'
            hint = "say from which day: retired = 2026-09-01"
            yield Problem("replaced-not-retired", "error", skill.replaced_words[0].place, message, hint)
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


@as_written()
def check_self_links(draft: Draft) -> Iterator[Problem]:
    """No skill stands on itself."""
    for skill in draft.skills:
        for word in skill.stands_on:
            if word.text == skill.id:
                message = f'"{skill.id}" stands on itself'
                yield Problem("self-link", "error", word.place, message, "take its own name out")


@of_a_day()
def check_loops(draft: Draft) -> Iterator[Problem]:
    """No skills wait for each other in a ring; one problem for each link that leads back."""
    for skill, before in draft.links.in_loops:
        way = [*draft.links.graph.path(skill, before), skill]
        message = f"these skills wait for each other: {chain(way)}{_over_groups(draft, way)}"
        hint = (
            "each comes before the next: take one of these links out, most likely this one, "
            "which names a skill that is taught later"
        )
        yield Problem("loop", "error", _word_for(draft.skill[skill], before).place, message, hint)


def _over_groups(draft: Draft, ring: Sequence[str]) -> str:
    """Say which steps of a ring hang on a group only."""
    steps = [
        f"{upper} names {lower} in a group"
        for lower, upper in pairwise(ring)
        if lower not in draft.links.needs[upper]
    ]
    return f" (over stands_on_some: {'; '.join(steps)})" if steps else ""


@of_a_day()
def check_later_units(draft: Draft) -> Iterator[Problem]:
    """No skill stands on a skill of a later unit, in a group either."""
    for skill_id, before_id in draft.links.to_later:
        skill, before = draft.skill[skill_id], draft.skill[before_id]
        own, other = draft.unit_of(skill), draft.unit_of(before)
        assert own is not None
        assert other is not None
        assert before.unit is not None
        message = (
            f'"{skill.id}" of {unit_words(own)} stands on "{before.id}" of the later {unit_words(other)}'
        )
        hint = "what comes first is taught in the same unit or before: take the link out, or move a skill"
        here = _word_for(skill, before.id).place
        there = before.unit.place
        yield Problem("later-unit", "error", here, message, hint, there, f'the unit of "{before.id}"')


def _word_for(skill: DraftSkill, before: str) -> Word:
    """Return the first word by which a skill names another."""
    return next(word for word in named_words(skill) if word.text == before)


@as_written("double-entry")
def check_double_entries(draft: Draft) -> Iterator[Problem]:
    """No list names the same thing twice."""
    for path, listed in _lists(draft):
        place = partial(draft.graph.at, *path)
        yield from told_again(map(str, listed), place, "double-entry", '"{}" is in this list twice')


_Path = tuple[str | int, ...]
_LISTS: Final = (
    "stands_on", "optional_in", "replaced_by", "at_home", "for_children", "touches", "for_two", "uses",
)  # fmt: skip


def _lists(draft: Draft) -> Iterator[tuple[_Path, list[object]]]:
    """Yield every list of a skill in which nothing is meant twice, with its path."""
    for id_, table in tables(draft.graph.data, "skill"):
        found: list[tuple[object, _Path]] = [(table[key], (key,)) for key in _LISTS if key in table]
        groups = blocks(table["stands_on_some"]) if "stands_on_some" in table else ()
        found += [(group.get("of"), ("stands_on_some", at, "of")) for at, group in groups]
        for listed, path in found:
            if isinstance(listed, list):
                yield ("skill", id_, *path), listed


# R9: what is already said by a longer way, with that way.
#
# The reduction of a graph of thousands of skills is done on sets of bits; the way that
# explains a single link is looked for only when there is such a link.


def implied_links(draft: Draft) -> tuple[tuple[str, str], ...]:
    """Return the links (skill, what it stands on) that a longer way already implies, in file order."""
    return tuple(
        (skill, before)
        for skill, needed in draft.links.sound.items()
        for above in [union(draft.links.above[other] for other in needed)]
        for before in needed
        if above & draft.links.bit[before]
    )


@of_a_day("implied-link")
def check_implied_links(draft: Draft) -> Iterator[Problem]:
    """No link says what others already say."""
    implied = implied_links(draft)
    graph = SkillGraph(draft.links.sound) if implied else None
    for skill_id, before in implied:
        assert graph is not None
        skill = draft.skill[skill_id]
        ways = (
            (*graph.path(before, other), skill_id)
            for other in draft.links.sound[skill_id]
            if draft.links.above[other] & draft.links.bit[before]
        )
        message = f'"{before}" comes before "{skill_id}" anyway: {chain(min(ways, key=len))}'
        here, advice = _word_for(skill, before).place, _advice(draft, skill, before)
        yield Problem("implied-link", "warning", here, message, advice)


def _advice(draft: Draft, skill: DraftSkill, before: str) -> str:
    own, other = draft.unit_of(skill), draft.unit_of(draft.skill[before])
    if own is None or own == other:
        return "take the name out: the longer way says it already"
    return f"take the name out, unless it is to be looked at again when unit {own.number} is entered"


@of_a_day("implied-group")
def check_implied_groups(draft: Draft) -> Iterator[Problem]:
    """No group is met already by what the skill stands on, or by another group before it."""
    for _, found in _implied_groups(draft):
        yield found


@of_a_day("group-of-all")
def check_groups_of_all(draft: Draft) -> Iterator[Problem]:
    """Every group leaves a choice; of one that is met anyway, that is said and no more."""
    for skill in draft.skills:
        for group in skill.groups:
            names = {word.text for word in group.of}
            if group.at_least != len(names) or skill.id in names:
                continue
            if len(names) < len(group.of) or names - draft.skill.keys():
                continue  # told already, and there may be fewer or more of them when that is mended
            if any(implied is group for implied, _ in _implied_groups(draft)):
                continue
            what = "its one member" if len(names) == 1 else f"all of its {len(names)} members"
            message = f'this group of "{skill.id}" asks for {what}, so it leaves no choice'
            hint = "write them in stands_on, or name other ways in the group"
            yield Problem("group-of-all", "warning", group.place, message, hint)


def _implied_groups(draft: Draft) -> Iterator[tuple[DraftGroup, Problem]]:
    """Yield the groups that ask for nothing new; one of a size that cannot be makes no other needless."""
    owners = [skill for skill in draft.skills if skill.groups]
    for skill in owners:
        for at, group in enumerate(skill.groups):
            before = [
                g
                for other in owners
                if draft.links.above[skill.id] & draft.links.bit[other.id]
                for g in other.groups
            ]
            earlier = [g for g in (*before, *skill.groups[:at]) if _can_be(g)]
            for found in _implied_group(draft, skill, group, earlier) if _can_be(group) else ():
                yield group, found


def _can_be(group: DraftGroup) -> bool:
    """Return whether a group asks for a number that its members can make."""
    return group.at_least is not None and 1 <= group.at_least <= len({word.text for word in group.of})


def _implied_group(
    draft: Draft, skill: DraftSkill, group: DraftGroup, earlier: Sequence[DraftGroup]
) -> Iterator[Problem]:
    """Yield a problem where a group asks for nothing new."""
    members = dict.fromkeys(word.text for word in group.of)
    assert group.at_least is not None
    met = [name for name in members if draft.links.above[skill.id] & draft.links.bit.get(name, 0)]
    lacking = group.at_least - len(met)
    asked = members.keys() - met
    others = ((g, g.at_least, {word.text for word in g.of} - asked) for g in earlier)
    # so many of these members are met whichever way another group is met
    other = next((g for g, least, apart in others if least and least - len(apart) >= lacking), None)
    if lacking <= 0:
        yield _needless(group, f'{_both(met[: group.at_least])} before "{skill.id}" anyway')
    elif other is not None:
        yield _needless(group, "another group asks for as much", other.place, "the other group")


def _needless(group: DraftGroup, why: str, other: Place | None = None, label: str = "") -> Problem:
    message = f"this group is always met: {why}"
    hint = "take the group out, or name skills in it that are not sure to come before"
    return Problem("implied-group", "warning", group.place, message, hint, other, label)


def _both(names: list[str]) -> str:
    quoted = " and ".join(f'"{name}"' for name in names)
    return f"{quoted} {'comes' if len(names) == 1 else 'come'}"


# What nothing leads to.


@as_written("stands-on-left-out")
def check_left_out(draft: Draft) -> Iterator[Problem]:
    """A skill beyond the first unit says what it stands on, or that nothing comes first; told once a file."""
    left_out = _left_out(draft)
    if left_out:
        do = "does" if len(left_out) == 1 else "do"
        what = f"{count(len(left_out), 'skill')} after the first unit {do}"
        names = few_names([f'"{skill.id}"' for skill in left_out])
        message = f"{what} not say what comes first: {names}"
        hint = "name it in stands_on; where nothing comes first, write stands_on = []"
        yield Problem("stands-on-left-out", "warning", left_out[0].place, message, hint)


def _left_out(draft: Draft) -> list[DraftSkill]:
    later = {unit.id for unit in draft.units[1:]}
    return [
        skill
        for skill in draft.skills
        if draft.meant_unit.get(skill.id) in later
        and draft.graph.get("skill", skill.id, "stands_on") is None
        and not _is_odd(draft, skill)
        and not skill.groups
        and skill.retired is None
    ]


def _is_odd(draft: Draft, skill: DraftSkill) -> bool:
    """Return whether a skill has a key that nobody knows: it may be ``stands_on``, misspelt."""
    table = one_table(draft.graph.get("skill", skill.id))
    return isinstance(table, Mapping) and not table.keys() <= SkillTable.model_fields.keys()


@of_a_day("isolated-skill")
def check_isolated(draft: Draft) -> Iterator[Problem]:
    """Every skill has something before it or after it, except what is looked at in every check."""
    told = {skill.id for skill in _left_out(draft)}
    for skill in draft.skills:
        linked = skill.stands_on or skill.groups or draft.named_by[skill.id]
        is_told = skill.id in told or _is_odd(draft, skill)
        if not linked and not skill.always_look and not skill.asks_pain and not is_told:
            message = f'nothing comes before "{skill.id}", and nothing builds on it'
            hint = "let a later skill stand on it, name what comes first, or leave it out of the course"
            yield Problem("isolated-skill", "warning", skill.place, message, hint)


# R9: a group can be met, and not by the skill itself.


@of_a_day()
def check_group_sizes(draft: Draft) -> Iterator[Problem]:
    """``at_least`` is between 1 and the number of different members."""
    for skill in draft.skills:
        for group in skill.groups:
            members = len({word.text for word in group.of})
            if group.at_least is not None and not _can_be(group):
                message = f"at_least is {group.at_least}, but the group has {count(members, 'member')}"
                hint = f"write a number from 1 to {members}" if members else "name the skills in of = [...]"
                yield Problem("group-size", "error", group.at_least_place, message, hint)


@of_a_day()
def check_own_groups(draft: Draft) -> Iterator[Problem]:
    """No skill is a member of its own group."""
    for skill in draft.skills:
        for word in (word for group in skill.groups for word in group.of):
            if word.text == skill.id:
                message = f'"{skill.id}" is in its own group'
                hint = "a skill cannot come before itself: take its name out of the group"
                yield Problem("own-group", "error", word.place, message, hint)
