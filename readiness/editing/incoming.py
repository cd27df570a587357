"""A course from elsewhere made whole: what is missing is asked once a key, what had to be made up is said.

Nothing is written here, and nothing is made up that changes how a student is judged without being named:
the ages and their pace, a strand, and the skill by which a child says that something hurts.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

import tomli

from readiness.course.layers import GRAPH, PACING
from readiness.editing.plain import Plain
from readiness.lazy import dataclass
from readiness.shipped import shipped

__all__ = ["QUESTIONS", "Incoming", "made_whole"]

QUESTIONS: Final[Mapping[str, tuple[str, str]]] = {
    "kind": ("skill", "what are the skills a matter of: motor, knowledge, ear, reading or habit"),
    "fade": ("skill", "how soon do they go without use: fast, medium or slow"),
    "minutes": ("skill", "how many minutes of teaching does one take"),
    "lesson_weeks": ("unit", "how many weekly lessons does a unit take"),
}
"""What may be missing, of what, and the one question for all of them."""
_NUMBERS: Final = ("minutes", "lesson_weeks")
_STRAND: Final = "from-elsewhere"
_SHIPPED: Final = shipped() / "skill_graphs" / "first-two-years"


@dataclass(frozen=True)
class Incoming:
    """A course on its way in.

    Attributes:
        plain: as it will be written.
        taken: how many of what were taken in.
        made_up: what was put in place of what is missing, each as a clause.
        missing: by key, whose value is missing and was not answered.
    """

    plain: Plain
    taken: Mapping[str, int]
    made_up: tuple[str, ...]
    missing: Mapping[str, Sequence[str]]


def made_whole(plain: Plain, answers: Mapping[str, str]) -> Incoming:
    """Return a course with answers in place of missing values, and with what every course must have."""
    graph: dict[str, Any] = copy.deepcopy(dict(plain.graph))
    units, skills, strands = (graph.setdefault(kind, {}) for kind in ("unit", "skill", "strand"))
    taken = {"skill": len(skills), "unit": len(units), "strand": len(strands)}
    taken["link"] = sum(len(one.get("stands_on", ())) for one in skills.values())
    made_up = [*_units(units, skills), *_strands(strands, skills), *_pain(units, skills)]
    missing = {}
    for key, (what, _) in QUESTIONS.items():
        without = [id_ for id_, table in graph[what].items() if key not in table]
        if without and key in answers:
            given = answers[key]
            for id_ in without:
                graph[what][id_][key] = int(given) if key in _NUMBERS and given.isdecimal() else given
            made_up.append(f"{key} = {given} for {len(without)} of the {len(graph[what])} {what}s")
        elif without:
            missing[key] = without
    pacing = plain.pacing
    if not pacing.get("band"):
        pacing = tomli.loads((_SHIPPED / PACING).read_text(encoding="utf-8"))
        made_up.append("the ages and their pace, as in the course that comes with the program")
    return Incoming(Plain(graph, pacing, plain.left_out), taken, tuple(made_up), missing)


def _units(units: dict[str, Any], skills: Mapping[str, dict[str, Any]]) -> Iterator[str]:
    """Give a unit to skills without one: the first in which something builds on them, else the last."""
    without = [id_ for id_, table in skills.items() if not table.get("unit")]
    if without and not units:
        units["all"] = {"name": "All"}
        yield 'a unit "all"'
    order = list(units)
    for id_ in without:
        above = (one.get("unit") for one in skills.values() if id_ in one.get("stands_on", ()))
        skills[id_]["unit"] = min(filter(None, above), key=order.index, default=order[-1])
    if without:
        yield f"the unit of {len(without)} of the {len(skills)} skills"


def _strands(strands: dict[str, Any], skills: Mapping[str, dict[str, Any]]) -> Iterator[str]:
    without = [table for table in skills.values() if not table.get("strand")]
    for table in without:
        table["strand"] = _STRAND
    if without:
        strands[_STRAND] = {"name": "From elsewhere"}
        yield f'a strand "{_STRAND}" for {len(without)} of the {len(skills)} skills'


def _pain(units: Mapping[str, Any], skills: dict[str, Any]) -> Iterator[str]:
    """Put in the skill by which a child says that something hurts, which every course must have."""
    if not units or any(table.get("asks_pain") for table in skills.values()):
        return
    known = tomli.loads((_SHIPPED / GRAPH).read_text(encoding="utf-8"))["skill"]
    id_, table = next((id_, table) for id_, table in known.items() if table.get("asks_pain"))
    strand = next((one.get("strand", _STRAND) for one in skills.values()), _STRAND)
    skills[id_ if id_ not in skills else f"{id_}-2"] = {**table, "unit": next(iter(units)), "strand": strand}
    yield f'the skill "{id_}" in the first unit, by which a child says that something hurts'
