"""A course as GraphML, for tools that draw and measure graphs, and back again without loss.

Every skill is a node with its texts and flags; an edge leads from what comes first to what
stands on it, and says by ``via`` whether it is a link of its own (``stands_on``) or one of a group
(``group`` numbers the skill's groups, ``at_least`` says how many); ``number`` is its place in the
list. What is no graph (units, strands, pacing) is kept as JSON text on the graph itself; lists
on a skill are JSON text too, because GraphML knows no lists. GraphML: graphml.graphdrawing.org,
read and written by networkx.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any, Final

from readiness.course.graph import from_graphml, to_graphml
from readiness.course.schema import SkillTable
from readiness.editing.plain import AN_ID, Plain, PlainError, as_json_value, from_json_value

__all__ = ["export_graphml", "import_graphml"]

_LISTS: Final = (
    "remedies", "optional_in", "replaced_by", "uses", "at_home", "for_children", "touches", "for_two",
)  # fmt: skip
_DATES: Final = ("since", "retired")
_FIELDS: Final = frozenset(SkillTable.model_fields)
_FLAGS: Final = frozenset(key for key, one in SkillTable.model_fields.items() if one.annotation is bool)
_NOT_XML: Final = re.compile("[^\t\n\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Letters that XML 1.0 cannot hold, and the carriage return, which it changes."""


def export_graphml(plain: Plain) -> str:
    """Return a course as a GraphML text.

    Raises:
        PlainError: a text holds a control character, which XML cannot hold.
    """
    skills = plain.graph["skill"]
    about = {
        "graph": json.dumps(as_json_value({k: v for k, v in plain.graph.items() if k != "skill"})),
        "pacing": json.dumps(as_json_value(plain.pacing)),
    }
    nodes = {name: dict(_attributes(name, table)) for name, table in skills.items()}
    return to_graphml(about, nodes, [edge for name, table in skills.items() for edge in _edges(name, table)])


def _attributes(name: str, table: Mapping[str, Any]) -> Iterator[tuple[str, str | int | bool]]:
    for key, value in table.items():
        if key in ("stands_on", "stands_on_some"):
            continue
        told = value if isinstance(value, (str, bool, int)) else json.dumps(as_json_value(value))
        if isinstance(told, str) and (found := _NOT_XML.search(told)):
            letter = f"U+{ord(found.group()):04X}"
            raise PlainError(
                f"{key} of {name} holds the unseen character {letter}, which this form cannot hold"
            )
        yield key, told


def _edges(name: str, table: Mapping[str, Any]) -> Iterator[tuple[str, str, dict[str, str | int]]]:
    for number, before in enumerate(table.get("stands_on", ())):
        yield before, name, {"via": "stands_on", "number": number}
    for at, group in enumerate(table.get("stands_on_some", ())):
        for number, before in enumerate(group["of"]):
            told = {"via": "stands_on_some", "group": at, "at_least": group["at_least"], "number": number}
            yield before, name, told


def import_graphml(text: str) -> Plain:
    """Return the course in a GraphML text; what such a text lacks is missing from it.

    Raises:
        PlainError: it is no GraphML, or one that was not made from a course.
    """
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        raise PlainError("this GraphML defines entities of its own, which are not read")
    try:
        about, nodes, edges = from_graphml(text)
    except Exception as error:
        raise PlainError(f"this is no GraphML that can be read: {error}") from None
    graph, pacing = (_about(about.get(what, "{}")) for what in ("graph", "pacing"))
    # the id of a node is its attribute, where a tool has put numbers in place of ids
    own = {one: str(attributes.get("id", "")) for one, attributes in nodes.items()}
    good = all(map(AN_ID.fullmatch, own.values())) and len(set(own.values())) == len(own)
    names = own if good else {one: one for one in own}
    skills = {names[one]: _graphml_table(attributes) for one, attributes in nodes.items()}
    odd = (key for attributes in nodes.values() for key in attributes if key not in (*_FIELDS, "id"))
    left_out = Counter(f"{key} of nodes" for key in odd)
    edges = [(names[before], names[name], told) for before, name, told in edges]
    groups: dict[tuple[str, int], dict[str, Any]] = {}
    for before, name, attributes in sorted(edges, key=lambda edge: _whole(edge[2], "number", 0)):
        if attributes.get("via") == "stands_on_some":
            number = _whole(attributes, "group", len(groups))
            group = groups.setdefault((name, number), {"at_least": 1, "of": []})
            group["at_least"] = _whole(attributes, "at_least", 1)
            group["of"].append(before)
        else:
            skills[name].setdefault("stands_on", []).append(before)
    for (name, _), group in sorted(groups.items(), key=lambda pair: pair[0][1]):
        skills[name].setdefault("stands_on_some", []).append(group)
    return Plain({"format": 1, "name": "From elsewhere", **graph, "skill": skills}, pacing, left_out)


def _about(text: object) -> dict[str, Any]:
    """Return what the graph itself keeps as JSON text: a table."""
    value = _json(text, "what this GraphML says about units and pacing is no JSON")
    if not isinstance(value, dict):
        raise PlainError("what this GraphML says about units and pacing is no table")
    return value


def _json(text: object, wrong: str) -> Any:  # noqa: ANN401 - whatever JSON holds
    try:
        return from_json_value(json.loads(str(text)))
    except (ValueError, RecursionError):
        raise PlainError(wrong) from None


def _whole(attributes: Mapping[str, Any], key: str, otherwise: int) -> int:
    """Return a whole number that a link carries."""
    try:
        return int(attributes.get(key, otherwise))
    except (TypeError, ValueError, OverflowError):
        raise PlainError(f'{key} "{attributes[key]}" of a link is no whole number') from None


def _graphml_table(attributes: Mapping[str, Any]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    for key, value in attributes.items():
        if key not in _FIELDS or value == "" or value != value:  # noqa: PLR0124 - tools write nothing as NaN
            continue
        is_whole = isinstance(value, float) and value.is_integer()
        if key in _LISTS or key in _DATES:
            table[key] = _json(value, f'{key} "{value}" is not as it was written')
        else:
            table[key] = bool(value) if key in _FLAGS else int(value) if is_whole else value
    # An empty text is no text at all in GraphML; only these must be there.
    return {**{key: "" for key in ("name", "shown_when") if key not in table}, **table}
