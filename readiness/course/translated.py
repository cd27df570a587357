"""What a course is called in another language: ``names.es.toml`` beside ``graph.toml``.

::

    format = 1
    language = "es"
    reviewed_by = ""                        # who has read it and signs; until then it is a draft

    [unit.arms-that-travel]
    name = "Brazos que viajan"

    [skill.wrist-lift]
    name = "Levanta la muñeca"
    said = "levantar la muñeca"             # as a thing that can be worked on
    you = "levantas la muñeca"              # as spoken to a child
    at_home = ["..."]                       # the activities for home, in the order of the course's at_home

A skill that is not in it keeps its English name, and nothing of it is sent home in English.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field, replace
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from readiness.course.model import Course, Skill
from readiness.lazy import dataclass
from readiness.toml.problems import Problem, errors, few, sort_problems
from readiness.toml.read import Loaded, read_toml
from readiness.toml.schema_errors import Line, Name
from readiness.toml.texts import did_you_mean

__all__ = ["Names", "called_in", "names_in", "names_problems"]


class _NamesTable(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class UnitNames(_NamesTable):
    """One ``[unit.x]``."""

    name: Name


class SkillNames(_NamesTable):
    """One ``[skill.x]``."""

    name: Name
    said: Line = ""
    you: Line = ""
    at_home: list[Line] = Field(default_factory=list)


class NamesFile(_NamesTable):
    """The whole file."""

    format: Literal[1]
    language: Name
    reviewed_by: Line = ""
    unit: dict[str, UnitNames] = Field(default_factory=dict)
    skill: dict[str, SkillNames] = Field(default_factory=dict)


@dataclass(frozen=True)
class Names:
    """The names of a course in one language.

    Attributes:
        reviewed_by: who signed that they read well; empty for a draft, and where there is no file.
        problems: what is wrong in the file; with an error among them nothing of it is used.
    """

    reviewed_by: str = ""
    unit: Mapping[str, UnitNames] = field(default_factory=dict)
    skill: Mapping[str, SkillNames] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()


def names_problems(course: Course | None) -> tuple[Problem, ...]:
    """Return what is wrong in all files of names of a course."""
    if course is None or course.folder is None:
        return ()
    files = sorted(course.folder.glob("names.*.toml"))
    return tuple(one for path in files for one in names_in(course, path.name.split(".")[1]).problems)


def names_in(course: Course, language: str) -> Names:
    """Return what a course is called in a language; empty where it has no file of names for it."""
    path = None if course.folder is None else course.folder / f"names.{language}.toml"
    if path is None or not path.exists():
        return Names()
    loaded = read_toml(path, NamesFile)
    file = loaded.value
    if file is None:
        return Names(problems=loaded.problems)
    problems = sort_problems((*loaded.problems, *few(_wrong(loaded, file, course, language))))
    if errors(problems):
        return Names(problems=problems)
    return Names(file.reviewed_by.strip(), file.unit, file.skill, problems)


def _wrong(loaded: Loaded[NamesFile], file: NamesFile, course: Course, language: str) -> Iterator[Problem]:
    """Yield names of what is not there, and activities that are not as many as those of the course."""
    if file.language != language:
        told = f'this file is named for "{language}" and says "{file.language}"'
        yield Problem("names-language", "warning", loaded.value_place("language"), told)
    for what, id_ in (*(("unit", one) for one in file.unit), *(("skill", one) for one in file.skill)):
        known = course.nameable[what]
        if id_ not in known:
            told = f'there is no {what} "{id_}" in the course'
            place = loaded.key_place(what, id_)
            yield Problem(f"names-no-{what}", "warning", place, told, did_you_mean(id_, known))
    for id_, names in file.skill.items():
        there = len(course.skill[id_].at_home) if id_ in course.skill else len(names.at_home)
        if names.at_home and len(names.at_home) != there:
            told = f"{len(names.at_home)} activities for home stand here, and {there} in the course"
            place = loaded.key_place("skill", id_, "at_home")
            yield Problem("names-at-home", "warning", place, told, "write one for each, in the same order")


def called_in(course: Course, names: Names) -> Course:
    """Return a course with the names of a language; what it does not name has no forms, only its own name."""
    return replace(
        course,
        units=tuple(
            replace(unit, name=names.unit[unit.id].name) if unit.id in names.unit else unit
            for unit in course.units
        ),
        skills=tuple(_called(skill, names.skill.get(skill.id)) for skill in course.skills),
    )


def _called(skill: Skill, names: SkillNames | None) -> Skill:
    if names is None:
        return replace(skill, said="", you="", at_home=())
    at_home = skill.at_home if len(names.at_home) == len(skill.at_home) else ()
    remedies = list(skill.remedies)
    for number, text in zip(at_home, names.at_home, strict=False):
        remedies[number - 1] = text
    named = replace(skill, name=names.name, said=names.said, you=names.you)
    return replace(named, at_home=at_home, remedies=tuple(remedies))
