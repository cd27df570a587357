"""A course to and from open forms: one table of the forms, and writing an imported course.

An import never writes over a course that is there. What was imported is then a course like any
other: what it lacks is said by its check.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Final

import tomli

from readiness.course.layers import GRAPH, PACING, read_files
from readiness.course.load import course_of, written_down
from readiness.editing.plain import (
    Plain,
    PlainError,
    export_case,
    export_graphml,
    import_case,
    import_graphml,
)
from readiness.lazy import dataclass
from readiness.shipped import shipped
from readiness.toml.problems import Problem, errors
from readiness.toml.read import LARGEST
from readiness.toml.statements import pieces
from readiness.toml.write import Refusal, create

__all__ = [
    "FORMS", "QUESTIONS", "Incoming", "checked", "export_course", "form_by_ending", "import_course",
    "incoming", "last_changed", "made_whole", "remarks_lost",
]  # fmt: skip

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


def remarks_lost(folder: Path) -> int:
    """Return how many comments the files of a course have, none of which another form holds."""
    texts = (path.read_text(encoding="utf-8") for path in _paths(folder))
    return sum(piece.kind == "comment" for text in texts for piece in pieces(text))


def last_changed(folder: Path) -> date:
    """Return the day on which a file of a course was last written (UTC)."""
    return datetime.fromtimestamp(max(path.stat().st_mtime for path in _paths(folder)), tz=UTC).date()


def _paths(folder: Path) -> set[Path]:
    files = read_files(folder)
    return {files.graph.path, files.pacing.path, *files.graph.bases, *files.pacing.bases}


def incoming(file: Path, answers: Mapping[str, str]) -> Incoming | Refusal:
    """Return the course in a file in one of the forms, or why there is none.

    Args:
        answers: values for keys that are missing, see :data:`readiness.editing.incoming.QUESTIONS`.
    """
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
