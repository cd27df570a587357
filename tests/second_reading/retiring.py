"""What a course with retired skills means on a day, read a second time: by writing it anew.

The course of the day is the file as somebody would write it who has never heard of what was
retired: its tables are gone and every list names what took its place. The student's notes
are copied out in the same way.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

__all__ = ["as_taught_on", "as_noted_for"]

Toml = Mapping[str, Any]
HELP_LISTS = ("alone", "cue", "model", "hands_on", "not_shown", "not_tried")
DATES = ("since", "retired", "replaced_by")


def is_over(skill: Toml, on: date) -> bool:
    """Return whether a skill is retired by a day."""
    return "retired" in skill and skill["retired"] <= on


def is_there(skill: Toml, on: date) -> bool:
    """Return whether a skill is taught on a day."""
    return not is_over(skill, on) and ("since" not in skill or skill["since"] <= on)


def now_called(skills: Toml, name: str, on: date) -> list[str]:
    """Return what a name means on a day, replacement after replacement."""
    if is_there(skills[name], on):
        return [name]
    if not is_over(skills[name], on):
        return []
    found: list[str] = []
    for heir in skills[name].get("replaced_by", []):
        found += [n for n in now_called(skills, heir, on) if n not in found]
    return found


def rewritten(skills: Toml, names: Iterable[str], on: date, own: str = "") -> list[str]:
    """Return a list of names as it would be written on a day."""
    found: list[str] = []
    for name in names:
        found += [n for n in now_called(skills, name, on) if n not in found and n != own]
    return found


def as_taught_on(graph: Toml, on: date) -> Toml:
    """Return the graph without what is not taught on a day."""
    skills = graph["skill"]
    if not any(key in skill for skill in skills.values() for key in DATES):
        return graph
    taught = {}
    for name, skill in skills.items():
        if not is_there(skill, on):
            continue
        new = {key: value for key, value in skill.items() if key not in DATES}
        new["stands_on"] = rewritten(skills, skill.get("stands_on", []), on, name)
        new["stands_on_some"] = []
        for group in skill.get("stands_on_some", []):
            of = rewritten(skills, group["of"], on, name)
            least = group["at_least"]
            if len(of) < len(set(group["of"])):
                least = min(least, len(of))
            if of:
                new["stands_on_some"].append({"at_least": least, "of": of})
        taught[name] = new
    return {**graph, "skill": taught}


def as_noted_for(graph: Toml, student: Toml, on: date) -> Toml:
    """Return the student's file with the names of a day."""
    skills = graph["skill"]
    if not any(key in skill for skill in skills.values() for key in DATES):
        return student
    lessons = [
        {k: rewritten(skills, v, on) if k in HELP_LISTS else v for k, v in lesson.items()}
        for lesson in student.get("lesson", [])
    ]
    aside = {entry["skill"] for entry in student.get("set_aside", []) if entry["on"] <= on}
    kept = [
        {"skill": s, "on": date.min}
        for s in skills
        if is_there(skills[s], on) and _aside(skills, s, aside, on)
    ]
    return {**student, "lesson": lessons, "set_aside": kept}


def _aside(skills: Toml, name: str, agreed: set[str], on: date) -> bool:
    """Return whether a skill is set aside: itself, or, where it is a new name, all it was before."""
    if name in agreed:
        return True
    before = [
        old for old, skill in skills.items() if name in skill.get("replaced_by", []) and is_over(skill, on)
    ]
    earlier = [old for old in before if skills[name].get("since", date.min) < skills[old]["retired"]]
    return bool(before) and not earlier and all(_aside(skills, old, agreed, on) for old in before)
