"""A course as plain values, on its way to or from another form.

What ``graph.toml`` and ``pacing.toml`` hold as ``tomli`` gives it, all that is inherited written
out. Days are the only values that JSON does not know; they travel as ``{"day": "2026-09-01"}``.

An import never writes over a course that is there. What was imported is then a course like any
other: what it lacks is said by its check.
"""

from __future__ import annotations

import copy
import json
import re
import uuid
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Final

import tomli

from readiness.course.graph import from_graphml, to_graphml
from readiness.course.layers import GRAPH, PACING, read_files
from readiness.course.load import course_of, written_down
from readiness.course.schema import SkillTable
from readiness.lazy import dataclass
from readiness.shipped import shipped
from readiness.toml.problems import Problem, errors
from readiness.toml.read import LARGEST
from readiness.toml.statements import pieces
from readiness.toml.texts import AN_ID, as_id
from readiness.toml.write import Refusal, create

__all__ = [
    "FORMS", "QUESTIONS", "Incoming", "Plain", "PlainError", "checked", "export_course", "form_by_ending",
    "import_course", "incoming", "last_changed", "lost",
]  # fmt: skip



@dataclass(frozen=True)
class Plain:
    """The content of the two files of a course."""

    graph: Mapping[str, Any]
    pacing: Mapping[str, Any]
    left_out: Counter[str] = field(default_factory=Counter)
    """What the form held that a course cannot hold, and how often."""


class PlainError(ValueError):
    """A course that cannot be written in another form, or a text that holds no course."""


def as_json_value(value: Any) -> Any:  # noqa: ANN401 - whatever a file holds
    """Return a value with its days as JSON can hold them."""
    if isinstance(value, Mapping):
        return {key: as_json_value(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [as_json_value(inner) for inner in value]
    if isinstance(value, date) and not isinstance(value, datetime):
        return {"day": value.isoformat()}
    return value


def from_json_value(value: Any) -> Any:  # noqa: ANN401 - whatever a file holds
    """Return a value without JSON's nulls, its days as days again; ValueError where a day is none."""
    if isinstance(value, dict):
        if set(value) == {"day"} and isinstance(value["day"], str):
            return date.fromisoformat(value["day"])
        return {key: from_json_value(inner) for key, inner in value.items() if inner is not None}
    return [from_json_value(inner) for inner in value] if isinstance(value, list) else value


# A course as JSON after the open idea of items and associations of 1EdTech CASE, and back.
#
# Field names are those of 1EdTech CASE 1.1 (Competencies and Academic Standards Exchange), written down from
# memory and not held against its schema file: the package with ``CFDocument``, ``CFItems`` and
# ``CFAssociations``; of a document ``identifier, uri, creator, title, version, caseVersion,
# lastChangeDateTime``; of an item ``identifier, uri, humanCodingScheme, abbreviatedStatement, fullStatement,
# CFItemType, listEnumeration, notes, statusStartDate, statusEndDate, lastChangeDateTime``; of an association
# ``identifier, uri, associationType, sequenceNumber, originNodeURI, destinationNodeURI, lastChangeDateTime``;
# of a node ``title, identifier, uri``. The association types used are ``isChildOf``, ``isPartOf``,
# ``precedes`` and ``replacedBy``. What a course holds beyond that stands under ``extensions``.
# ``sequenceNumber`` is the place in the order of teaching and ``listEnumeration`` the same for people ("3",
# "3.2"), so that the order of the items means nothing. Groups of which some come first stand there alone,
# because ``precedes`` would say more than is meant.
#
# Identifiers are made from the course's name and the ids, so that the same course gives the same file.
# Nothing is fetched and nothing is sent.


VERSION: Final = "1.1"
_SPACE: Final = uuid.uuid5(uuid.NAMESPACE_URL, "urn:readiness:course")
_IN_ITEM: Final = (
    "name", "shown_when", "age_note", "unit", "strand", "stands_on", "since", "retired", "replaced_by",
)  # fmt: skip
"""What of a skill has a field or an association of its own."""
_TYPES: Final = {"Unit": "unit", "Strand": "strand", "Skill": "skill"}


def export_case(plain: Plain, changed: date) -> str:
    """Return a course as a JSON text; ``changed`` is the day that is given as that of the last change."""
    document = _Document(plain, f"{changed.isoformat()}T00:00:00Z")
    package = {
        "CFDocument": document.head(),
        "CFItems": list(document.items()),
        "CFAssociations": list(document.associations()),
    }
    return json.dumps(package, ensure_ascii=False, indent=2) + "\n"


class _Document:
    """One course on its way out."""

    def __init__(self, plain: Plain, changed: str) -> None:
        self.graph, self.pacing, self.changed = plain.graph, plain.pacing, changed
        self.title = str(plain.graph.get("name", ""))

    def _known(self, *parts: str) -> dict[str, str]:
        identifier = str(uuid.uuid5(_SPACE, "/".join([self.title, *parts])))
        return {"identifier": identifier, "uri": f"urn:uuid:{identifier}"}

    def head(self) -> dict[str, Any]:
        kept = {
            k: v for k, v in self.graph.items() if k not in ("name", "edition", "unit", "strand", "skill")
        }
        return {
            **self._known("document"),
            "creator": "Not named",
            "title": self.title,
            "language": "en",
            "version": str(self.graph.get("edition", "")),
            "caseVersion": VERSION,
            "lastChangeDateTime": self.changed,
            "extensions": as_json_value({**kept, "pacing": self.pacing}),
        }

    def items(self) -> Iterator[dict[str, Any]]:
        """Yield strands, units and skills, each in the order of the course."""
        for kind in ("Strand", "Unit"):  # a unit has an aim
            for number, (name, table) in enumerate(self.graph[_TYPES[kind]].items(), start=1):
                own = {"fullStatement": table.get("aim") or table["name"], "listEnumeration": str(number)}
                yield self._item(kind, name, table, own, ("name",))
        units, inside = list(self.graph["unit"]), Counter[str]()
        for name, table in self.graph["skill"].items():
            inside[table["unit"]] += 1
            place = f"{units.index(table['unit']) + 1}.{inside[table['unit']]}"
            own = {**dict(_of_skill(table)), "listEnumeration": place}
            yield self._item("Skill", name, table, own, _IN_ITEM)

    def _item(
        self, kind: str, name: str, table: Mapping[str, Any], own: dict[str, str], told: tuple[str, ...]
    ) -> dict[str, Any]:
        more = as_json_value({key: value for key, value in table.items() if key not in told or value == []})
        return {
            **self._known(_TYPES[kind], name),
            "humanCodingScheme": name,
            "abbreviatedStatement": table["name"],
            "CFItemType": kind,
            "language": "en",
            **own,
            "lastChangeDateTime": self.changed,
            **({"extensions": more} if more else {}),
        }

    def associations(self) -> Iterator[dict[str, Any]]:
        """Yield what belongs where and what comes first."""
        for kind, how in (("strand", "isPartOf"), ("unit", "isChildOf")):
            for number, name in enumerate(self.graph[kind], start=1):
                yield self._association(how, (kind, name), ("document",), number)
        for at, (name, table) in enumerate(self.graph["skill"].items(), start=1):
            yield self._association("isChildOf", ("skill", name), ("unit", table["unit"]), at)
            yield self._association("isPartOf", ("skill", name), ("strand", table["strand"]), at)
            for number, before in enumerate(table.get("stands_on", ()), start=1):
                yield self._association("precedes", ("skill", before), ("skill", name), number)
            for number, heir in enumerate(table.get("replaced_by", ()), start=1):
                yield self._association("replacedBy", ("skill", name), ("skill", heir), number)

    def _association(
        self, kind: str, origin: tuple[str, ...], destination: tuple[str, ...], number: int
    ) -> dict[str, Any]:
        return {
            **self._known(kind, *origin, *destination, str(number)),
            "associationType": kind,
            "sequenceNumber": number,
            "originNodeURI": {"title": self._title(origin), **self._known(*origin)},
            "destinationNodeURI": {"title": self._title(destination), **self._known(*destination)},
            "lastChangeDateTime": self.changed,
        }

    def _title(self, path: tuple[str, ...]) -> str:
        return self.title if path == ("document",) else str(self.graph[path[0]][path[1]]["name"])


def _of_skill(table: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "fullStatement", table["shown_when"]
    if "age_note" in table:
        yield "notes", table["age_note"]
    for key, name in (("since", "statusStartDate"), ("retired", "statusEndDate")):
        if key in table:
            yield name, table[key].isoformat()


def import_case(text: str) -> Plain:
    """Return the course in a JSON text of items and associations.

    A text from elsewhere has no kinds, minutes or pacing; what is missing stays missing, so
    that the check of the course names it. Items that others are children of are units.

    Raises:
        PlainError: it is no JSON, or not of items and associations.
    """
    try:
        return _Package(json.loads(text)).plain()
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise PlainError(f"this is neither JSON nor GraphML; at {place} it cannot be read") from None
    except (KeyError, TypeError, AttributeError, ValueError, OverflowError, RecursionError):
        raise PlainError(
            "this is no JSON of items and associations (CFDocument, CFItems, CFAssociations)"
        ) from None


class _Package:
    """One course on its way in."""

    def __init__(self, package: Mapping[str, Any]) -> None:
        head, items = package["CFDocument"], package["CFItems"]
        links = package.get("CFAssociations", [])
        self.head, self.items = head, {item["identifier"]: item for item in items}
        self.left_out: Counter[str] = Counter(
            f"{field} of items" for item in items for field in item if field not in _ITEM_FIELDS
        )
        self.left_out.update(f"{field} of the document" for field in head if field not in _HEAD_FIELDS)
        self.left_out.update(field for field in package if field not in _PACKAGE_FIELDS)
        self.links = [
            (
                str(link["associationType"]),
                link["originNodeURI"]["identifier"],
                link["destinationNodeURI"]["identifier"],
            )
            for link in sorted(links, key=lambda link: int(link.get("sequenceNumber") or 0))
        ]
        parents = {to for kind, origin, to in self.links if kind == "isChildOf" and origin in self.items}
        self.kind = {
            one: _TYPES.get(str(item.get("CFItemType", "")), "unit" if one in parents else "skill")
            for one, item in self.items.items()
        }
        place: dict[str, int] = {}
        for at, (kind, origin, _) in enumerate(self.links):
            if kind in ("isChildOf", "isPartOf"):
                place.setdefault(origin, at)
        listed = sorted(self.items.items(), key=lambda one: [  # by the place as people write it, "3.2" or "3"
            *map(int, re.findall(r"\d+", str(one[1].get("listEnumeration", ""))))
        ])  # fmt: skip
        self.items = dict(sorted(listed, key=lambda one: place.get(one[0], len(self.links))))
        self.name = self._names()

    def _names(self) -> dict[str, str]:
        """Return the id each item gets: its code where that may serve, else one made of its words."""
        names: dict[str, str] = {}
        taken: set[tuple[str, str]] = set()
        for one, item in self.items.items():
            code = str(item.get("humanCodingScheme", ""))
            words = code or item.get("abbreviatedStatement") or item["fullStatement"]
            plain = code if AN_ID.fullmatch(code) else (as_id(str(words))[:60] or "item")
            name = next(
                tried
                for n in range(1, len(self.items) + 2)
                if (self.kind[one], tried := plain if n == 1 else f"{plain}-{n}") not in taken
            )
            taken.add((self.kind[one], name))
            names[one] = name
        return names

    def plain(self) -> Plain:
        kept = from_json_value(self.head.get("extensions", {}))
        pacing = kept.pop("pacing", {})
        graph: dict[str, Any] = {"format": 1, **kept, "name": self.head.get("title", "")}
        if self.head.get("version"):
            graph["edition"] = self.head["version"]
        tables: dict[str, dict[str, Any]] = {"strand": {}, "unit": {}, "skill": {}}
        for one, item in self.items.items():
            tables[self.kind[one]][self.name[one]] = dict(_table(self.kind[one], item))
        for kind, origin, to in self.links:
            inside = origin in self.items and to in self.items
            if not (inside and self._link(tables, kind, origin, to)) and to != self.head.get("identifier"):
                self.left_out[f"{kind} links"] += 1
        return Plain({**graph, **tables}, pacing, self.left_out)

    def _link(self, tables: dict[str, dict[str, Any]], kind: str, origin: str, to: str) -> bool:
        """Put a link in its place, and return whether there is one for it."""
        kinds = self.kind[origin], self.kind[to]
        first, second = self.name[origin], self.name[to]
        if kinds == ("skill", "unit") and kind == "isChildOf":
            tables["skill"][first]["unit"] = second
        elif kinds == ("skill", "strand"):
            tables["skill"][first]["strand"] = second
        elif kinds == ("skill", "skill") and kind == "precedes":
            tables["skill"][second].setdefault("stands_on", []).append(first)
        elif kinds == ("skill", "skill") and kind == "replacedBy":
            tables["skill"][first].setdefault("replaced_by", []).append(second)
        else:
            return False
        return True


_PACKAGE_FIELDS: Final = frozenset({"CFDocument", "CFItems", "CFAssociations"})
_HEAD_FIELDS: Final = frozenset({
    "identifier", "uri", "creator", "title", "version", "caseVersion", "lastChangeDateTime", "language",
    "extensions",
})  # fmt: skip
_ITEM_FIELDS: Final = frozenset({
    "identifier", "uri", "humanCodingScheme", "abbreviatedStatement", "fullStatement", "CFItemType",
    "listEnumeration", "language", "notes", "statusStartDate", "statusEndDate", "lastChangeDateTime",
    "extensions",
})  # fmt: skip


def _table(kind: str, item: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    yield "name", item.get("abbreviatedStatement") or item["fullStatement"]
    if kind == "skill":
        if "fullStatement" in item:
            yield "shown_when", item["fullStatement"]
        if "notes" in item:
            yield "age_note", item["notes"]
        for field, key in (("statusStartDate", "since"), ("statusEndDate", "retired")):
            if item.get(field):
                yield key, date.fromisoformat(str(item[field])[:10])
    yield from from_json_value(item.get("extensions", {})).items()


# A course as GraphML, for tools that draw and measure graphs, and back again without loss.
#
# Every skill is a node with its texts and flags; an edge leads from what comes first to what
# stands on it, and says by ``via`` whether it is a link of its own (``stands_on``) or one of a group
# (``group`` numbers the skill's groups, ``at_least`` says how many); ``number`` is its place in the
# list. What is no graph (units, strands, pacing) is kept as JSON text on the graph itself; lists
# on a skill are JSON text too, because GraphML knows no lists. GraphML: graphml.graphdrawing.org,
# read and written by networkx.


_LISTS: Final = (
    "remedies", "optional_in", "replaced_by", "uses", "at_home", "for_children", "touches", "for_two",
    "stands_on",
)  # fmt: skip
_FIELDS: Final = frozenset(SkillTable.model_fields)
_FLAGS: Final = frozenset(key for key, one in SkillTable.model_fields.items() if one.annotation is bool)
_NOT_XML: Final = re.compile("[^\t\n\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Letters that XML 1.0 cannot hold, and the carriage return, which it changes."""


def export_graphml(plain: Plain) -> str:
    """Return a course as GraphML; a PlainError where a text holds a control character, which XML cannot."""
    skills = plain.graph["skill"]
    about = {
        "graph": json.dumps(as_json_value({k: v for k, v in plain.graph.items() if k != "skill"})),
        "pacing": json.dumps(as_json_value(plain.pacing)),
    }
    nodes = {name: dict(_attributes(name, table)) for name, table in skills.items()}
    return to_graphml(about, nodes, [edge for name, table in skills.items() for edge in _edges(name, table)])


def _attributes(name: str, table: Mapping[str, Any]) -> Iterator[tuple[str, str | int | bool]]:
    for key, value in table.items():
        if key == "stands_on_some" or (key == "stands_on" and value):  # an empty list has no edge to say it
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
    """Return the course in a GraphML text, without what that lacks; PlainError where it holds none."""
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
        if key in (*_LISTS, "since", "retired"):
            table[key] = _json(value, f'{key} "{value}" is not as it was written')
        else:
            table[key] = bool(value) if key in _FLAGS else int(value) if is_whole else value
    # An empty text is no text at all in GraphML; only these must be there.
    return {**{key: "" for key in ("name", "shown_when") if key not in table}, **table}


FORMS: Final[Mapping[str, tuple[Callable[[Plain, date], str], Callable[[str], Plain]]]] = {
    "graphml": (lambda plain, _: export_graphml(plain), import_graphml),
    "case": (export_case, import_case),
}
"""For each form, how it is written and how it is read."""


def export_course(folder: Path, form: str, day: date) -> str:
    """Return a course in one of the forms, with all it inherits written out.

    Args:
        folder: the course; it has no error.
        form: one of :data:`FORMS`.
        day: given as the day of the last change, where the form asks for one.

    Raises:
        PlainError: something in it cannot be written in that form.
    """
    files = read_files(folder)
    units = {
        unit: {key: value for key, value in table.items() if key != "after"}  # the order says it
        for unit, table in files.graph.data["unit"].items()
    }
    return FORMS[form][0](Plain({**files.graph.data, "unit": units}, files.pacing.data), day)


def form_by_ending(file: Path) -> str | None:
    """Return the form a file's ending asks for."""
    return {".graphml": "graphml", ".xml": "graphml", ".json": "case"}.get(file.suffix.lower())


def lost(folder: Path) -> Iterator[str]:
    """Yield what no other form holds: the comments of a course's files, its names in other languages."""
    texts = (path.read_text(encoding="utf-8") for path in _paths(folder))
    if many := sum(piece.kind == "comment" for text in texts for piece in pieces(text)):
        yield f"{many} comment{'s' * (many > 1)} of the files"
    yield from sorted(path.name for path in folder.glob("names.*.toml"))


def last_changed(folder: Path) -> date:
    """Return the day on which a file of a course was last written (UTC)."""
    return datetime.fromtimestamp(max(path.stat().st_mtime for path in _paths(folder)), tz=UTC).date()


def _paths(folder: Path) -> set[Path]:
    files = read_files(folder)
    return {files.graph.path, files.pacing.path, *files.graph.bases, *files.pacing.bases}


def incoming(file: Path, answers: Mapping[str, str]) -> Incoming | Refusal:
    """Return the course in a file of one of the forms, or why not; ``answers`` are for ``QUESTIONS``."""
    try:
        if file.stat().st_size > LARGEST:
            return Refusal(
                "too-large", f"nothing was written: {file} is larger than {LARGEST // 1_000_000} MB."
            )
        text = file.read_bytes().decode()
        form = "graphml" if text.lstrip("\ufeff \t\r\n").startswith("<") else "case"
        return made_whole(FORMS[form][1](text), answers)
    except UnicodeDecodeError:
        return Refusal("not-utf8", f"nothing was written: {file} is not saved as UTF-8.")
    except PlainError as error:
        return Refusal("no-course", f"nothing was written: {error}.")
    except (AttributeError, KeyError, TypeError, ValueError):
        return Refusal("no-course", f"nothing was written: {file} holds values that a course cannot have.")


def checked(found: Incoming, folder: Path) -> tuple[Mapping[Path, str], tuple[Problem, ...]] | Refusal:
    """Return the texts to write for a course on its way in, and what the check says of them."""
    try:
        texts, files = written_down(found.plain.graph, found.plain.pacing, folder)
    except (TypeError, ValueError):
        return Refusal("no-course", "nothing was written: it holds values that a course cannot have.")
    return texts, course_of(files, folder).problems


def import_course(file: Path, folder: Path, answers: Mapping[str, str] | None = None) -> Refusal | None:
    """Write the course in a file into a new folder, or say why not.

    Nothing is written that the check would refuse.

    Args:
        file: a file in one of the forms.
        folder: where the course goes; it is made, and a course there is never written over.
        answers: values for keys that are missing.
    """
    found = incoming(file, answers or {})
    if isinstance(found, Refusal):
        return found
    made = checked(found, folder)
    if isinstance(made, Refusal):
        return made
    texts, problems = made
    if wrong := errors(problems):
        return Refusal("has-errors", f"nothing was written: {wrong[0].message}.")
    there = next((path.name for path in texts if path.exists()), None)
    if there is not None:
        return Refusal("exists", f"nothing was written: there already is a {there} in {folder}.")
    folder.mkdir(parents=True, exist_ok=True)
    done = (create(path, folder, text.encode()) for path, text in texts.items())
    return next((refusal for refusal in done if refusal is not None), None)


# A course from elsewhere made whole: what is missing is asked once a key, what had to be made up is said.
#
# Nothing is written here, and nothing is made up that changes how a student is judged without being named:
# the ages and their pace, a strand, and the skill by which a child says that something hurts.


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
    named = [
        (*one.get("stands_on", ()), *(name for some in one.get("stands_on_some", ()) for name in some["of"]))
        for one in skills.values()
    ]
    taken["link"] = sum(len(set(names)) for names in named)
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
