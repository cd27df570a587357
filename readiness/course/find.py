"""Which skill or unit somebody means: by its id, by its name as it is printed, or by a beginning.

What could mean two things means neither: the answer is then a :class:`Refusal` that says between
which to choose. The nearest name is offered, never taken; nothing is guessed at.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Final, NamedTuple

from readiness.course.model import Course, Skill, Unit
from readiness.toml.texts import nearest
from readiness.toml.write import Refusal

__all__ = ["Near", "find_skill", "find_skills", "find_unit", "named_skill", "unit_pair", "unknown_unit"]

_SPLIT: Final = re.compile(r"[\W_]+")
_LETTERS: Final = 3
"""So many letters of a word are its beginning, where nothing says that the skill is near."""
_OFFERED: Final = 4
"""So many are named where one of them is to be chosen."""


class Near(NamedTuple):
    """What a student is at: of ``own``, lists of skills, the nearest that a word fits is meant.

    But what it begins among those ``begun``, or fits among those noted ``lately``, is asked about.
    """

    own: Sequence[Iterable[str]] = ()
    begun: Iterable[str] = ()
    lately: Iterable[str] = ()


_NOWHERE: Final = Near()


def find_skill(course: Course, typed: str, *nearby: Iterable[str], near: Near = _NOWHERE) -> str | Refusal:
    """Return the id of the skill that was typed: its id, its name or an unambiguous beginning of either.

    Args:
        typed: letters, large or small; "Lifts the wrist (wrist-lift)" is understood as well.
        nearby: ids to look among before the whole course, such as those on today's sheet; what
            fits one of them alone wins.
        near: what the student is at whom it is about.
    """
    word = _plain(typed)
    if word in course.skill:
        return word
    several = [one.id for one in course.skills if _begins_either(one, word)] if len(word) == 1 else []
    if several:  # a key too many would mean something
        return _several_skills(course, typed, several)
    if near.own and (only := _only(course, word)):
        return only
    for choices in near.own if any(_fits(one, word) for one in course.skills) else ():
        own = (tuple(choices),)
        ways = (_first(course, own, word, fits) for fits in (_is_called, _begins_either, _has_words))
        if found := next(filter(None, ways), ()):
            found = _with_rivals(course, near, found, word)
            return found[0] if len(found) == 1 else _several_skills(course, typed, found)
    looked = (*map(tuple, nearby), tuple(course.skill))
    begun = (lambda skill, word: skill.id.startswith(word)), _begins
    named = _first(course, looked, word, _is_called)
    fits = named or [skill for way in begun for skill in _first(course, looked, word, way)]
    fitting = tuple(dict.fromkeys(fits if word else ()))
    if not fitting and min(map(len, word.split()), default=0) >= _LETTERS:
        fitting = _first(course, looked, word, _has_words)
    if len(fitting) > 1:
        return _several_skills(course, typed, fitting)
    return fitting[0] if fitting else _unknown_skill(course, typed, (*near.own, *looked))


def _only(course: Course, word: str) -> str | None:
    """Return the one skill of the course that a word can mean, whatever is near; None where that matters."""
    fits = [one for one in course.skills if _fits(one, word)]
    is_long = min(map(len, word.split()), default=0) >= _LETTERS
    return fits[0].id if len(fits) == 1 and (is_long or _begins_either(fits[0], word)) else None


def _first(
    course: Course, looked: Iterable[Iterable[str]], word: str, fits: Callable[[Skill, str], bool]
) -> tuple[str, ...]:
    """Return all that fits among the first skills of which any does; what is retired only alone."""
    for choices in looked:
        if found := [skill for skill in dict.fromkeys(choices) if fits(course.skill[skill], word)]:
            return tuple(skill for skill in found if skill not in course.gone) or tuple(found)
    return ()


def _with_rivals(course: Course, near: Near, found: tuple[str, ...], word: str) -> tuple[str, ...]:
    """Return what fits, and what else of the student's may be meant; of two letters what is near is."""
    first = course.skill[found[0]]
    if len(word) < _LETTERS or _is_called(first, word):
        return found
    begun = () if _begins_either(first, word) else near.begun
    rivals = [one for one in begun if _begins_either(course.skill[one], word)]
    rivals += [one for one in near.lately if _fits(course.skill[one], word)]
    return tuple(dict.fromkeys((*found, *rivals)))


def _begins_either(skill: Skill, word: str) -> bool:
    return bool(word) and (skill.id.startswith(word) or _begins(skill, word))


def _fits(skill: Skill, word: str) -> bool:
    return _begins_either(skill, word) or _has_words(skill, word)


def _has_words(skill: Skill, word: str) -> bool:
    """Return whether every word that was typed begins a word of the name or of the id, in their order."""
    return any(_in_order(word.split(), _SPLIT.split(text)) for text in (skill.id, _plain(skill.name)))


def _in_order(typed: Sequence[str], words: Iterable[str]) -> bool:
    left = iter(words)
    return bool(typed) and all(any(word.startswith(one) for word in left) for one in typed)


def _is_called(skill: Skill, word: str) -> bool:
    return word in (name := _plain(skill.name), f"{name} ({skill.id})")


def _begins(skill: Skill, word: str) -> bool:
    return f"{_plain(skill.name)} ({skill.id})".startswith(word)


def named_skill(course: Course, typed: str) -> str | None:
    """Return the id of a skill that was typed in full, by its id or its name; None without one."""
    word = _plain(typed)
    called = [skill.id for skill in course.skills if _is_called(skill, word)]
    return word if word in course.skill else called[0] if len(called) == 1 else None


def find_skills(course: Course, typed: str, near: Near = _NOWHERE) -> tuple[str | Refusal, ...]:
    """Return the skills of a list with commas between; a name may have spaces and commas in it.

    Ids with nothing but spaces between them are understood as well, where no name is meant.
    """
    parts = [part.strip() for part in typed.split(",") if part.strip()]
    commas = max(skill.name.count(",") for skill in course.skills)
    found: list[str | Refusal] = []
    while parts:
        for count in range(min(len(parts), commas + 1), 0, -1):
            text = ", ".join(parts[:count])
            if count > 1 and not any(_begins(skill, _plain(text)) for skill in course.skills):
                continue  # only a name has commas in it
            one = find_skill(course, text, near=near)
            if isinstance(one, str) or count == 1:
                break
        found += [one] if isinstance(one, str) else _spaced(course, parts[0], one)
        del parts[:count]
    return tuple(found)


def _spaced(course: Course, part: str, whole: Refusal) -> list[str | Refusal]:
    """Return the ids that a part without commas is made of; else what is wrong with the whole part."""
    words = part.lower().split()
    are_ids = all(any(skill.startswith(word) for skill in course.skill) for word in words)
    one_is = any(word in course.skill for word in words) or _nearest_skill(course, part) is None
    if len(words) > 1 and whole.id == "unknown-skill" and are_ids and one_is:
        return [find_skill(course, word) for word in words]
    return [whole]


def _plain(typed: str) -> str:
    return " ".join(typed.casefold().split())


def _several(id_: str, typed: str, fitting: Sequence[str]) -> Refusal:
    some = ", ".join(fitting[:_OFFERED]) + (" ..." if len(fitting) > _OFFERED else "")
    return Refusal(id_, f'"{typed}" could be {some}; please type a little more.')


def _several_skills(course: Course, typed: str, fitting: Sequence[str]) -> Refusal:
    return _several("ambiguous-skill", typed, [_skill_pair(course.skill[one]) for one in fitting])


def _skill_pair(skill: Skill) -> str:
    return f'"{skill.name}" ({skill.id})'


def _unknown_skill(course: Course, typed: str, nearby: Iterable[Iterable[str]]) -> Refusal:
    meant = _nearest_skill(course, typed) or _nearest_word(course, _plain(typed), nearby)
    hint = f"Did you mean {meant}?" if meant else "`readiness map` shows them all."
    return Refusal("unknown-skill", f'there is no skill "{typed}" in the course. {hint}')


def _nearest_skill(course: Course, typed: str) -> str | None:
    """Return the skill that was probably meant, as it may be typed; None where none is near."""
    if (meant := nearest(_plain(typed), course.skill)) is not None:
        return f'"{meant}"'
    names = {_plain(skill.name): skill for skill in course.skills}
    name = nearest(_plain(typed), names)
    return None if name is None else _skill_pair(names[name])


def _nearest_word(course: Course, word: str, nearby: Iterable[Iterable[str]]) -> str | None:
    """Return what was probably meant by one word of an id or a name, of the nearest skills that have one.

    It is the skill where only one has that word, else the word, which then says between which to choose.
    """
    if nearest(word, _words(course, course.skill)) is None:
        return None
    for choices in nearby:
        having = _words(course, choices)
        if meant := nearest(word, having):
            return _skill_pair(having[meant][0]) if len(having[meant]) == 1 else f'"{meant}"'
    return None


def _words(course: Course, skills: Iterable[str]) -> dict[str, list[Skill]]:
    """Return the words of ids and names that are long enough, each with the skills that have it."""
    having: dict[str, list[Skill]] = {}
    for skill in (course.skill[one] for one in skills):
        for part in {*_SPLIT.split(skill.id), *_SPLIT.split(_plain(skill.name))}:
            if len(part) >= _LETTERS:
                having.setdefault(part, []).append(skill)
    return having


def find_unit(course: Course, typed: str) -> str | Refusal:
    """Return the id of the unit that was typed: its number, id, name or an unambiguous beginning."""
    word = _plain(typed)
    if word in course.unit:
        return word
    for fits in (_is_unit, lambda unit, word: unit.id.startswith(word) or _plain(unit.name).startswith(word)):
        fitting = [unit for unit in course.units if word and fits(unit, word)]
        if len(fitting) == 1:
            return fitting[0].id
        if fitting:
            return _several("ambiguous-unit", typed, tuple(map(unit_pair, fitting)))
    return unknown_unit(course, typed)


def _is_unit(unit: Unit, word: str) -> bool:
    name, number = _plain(unit.name), str(unit.number)
    return word in (number, f"unit {number}", name, f"unit {number}, {name}", unit_pair(unit))


def unit_pair(unit: Unit) -> str:
    """Return a unit as its number and id, either of which may be typed: ``3 hand-shape-wrist``."""
    return f"{unit.number} {unit.id}"


def unknown_unit(course: Course, typed: str) -> Refusal:
    """Return that there is no such unit, with the nearest one or how units are named."""
    words = len(typed.split())
    begun = {" ".join(_plain(unit.name).split()[:words]).rstrip(",.:;"): unit for unit in course.units}
    names = {**begun, **{_plain(unit.name): unit for unit in course.units}, **course.unit}
    meant = nearest(_plain(typed), names)
    first, last = map(unit_pair, (course.units[0], course.units[-1]))
    every = f"They go from {first} to {last}; `readiness check --list units` names them."
    hint = f'Did you mean "{unit_pair(names[meant])}"?' if meant else every
    return Refusal("unknown-unit", f'there is no unit "{typed}" in the course. {hint}')
