"""From the two files of a course to a checked :class:`Course`, or to what is wrong with it.

Content never raises: a course with an error is no course, and all its problems come back in
one list. The shape is asked first (``course.schema``), the meaning always
(``course.checks``), whatever the shape check found. Reading for judging and reading for
checking are the same thing, so that no course is judged that ``check`` would refuse.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, Final

import tomli_w

from readiness.course.checks import check
from readiness.course.checks.register import without_allowed
from readiness.course.draft import make_draft
from readiness.course.layers import GRAPH, PACING, CourseFile, CourseFiles, as_read, read_files
from readiness.course.model import Band, Course, Group, LoadedCourse, Provenance, Skill, Strand, Unit
from readiness.course.schema import RULES, GraphFile, PacingFile, SkillTable, shipped_bands
from readiness.terms import Fade, Kind
from readiness.toml.problems import Place, Problem, errors, render, sort_problems
from readiness.toml.read import parse_toml

__all__ = ["LoadedCourse", "build_course", "course_of", "load_course", "written_down"]


def load_course(folder: Path) -> LoadedCourse:
    """Read and check the ``graph.toml`` and ``pacing.toml`` of a folder."""
    if not folder.is_dir():
        hint = "name the folder that holds graph.toml and pacing.toml"
        place = Place(folder, 1, 1)
        return LoadedCourse(None, (Problem("no-folder", "error", place, "there is no such folder", hint),))
    found = read_files(folder)
    every = (file for one in (found.graph, found.pacing) for file in (one.path, *one.bases))
    return replace(course_of(found, folder), files=tuple(dict.fromkeys((*every, folder / PACING))))


def build_course(graph: Mapping[str, object], pacing: Mapping[str, object]) -> Course:
    """Make a course of plain values, with places as if written down; ValueError says why they are none."""
    texts, files = written_down(graph, pacing, Path())
    loaded = course_of(files)
    if loaded.course is None:
        raise ValueError("\n".join(render(problem, texts) for problem in errors(loaded.problems)))
    return loaded.course


def written_down(
    graph: Mapping[str, object], pacing: Mapping[str, object], folder: Path
) -> tuple[Mapping[Path, str], CourseFiles]:
    """Return plain values as the texts of two files, and those read; TypeError or ValueError: no TOML."""
    texts = {folder / GRAPH: tomli_w.dumps(graph), folder / PACING: tomli_w.dumps(pacing)}
    (graph_path, graph_text), (pacing_path, pacing_text) = texts.items()
    return texts, CourseFiles(
        as_read(parse_toml(graph_text, graph_path, GraphFile), GraphFile),
        as_read(parse_toml(pacing_text, pacing_path, PacingFile), PacingFile),
    )


def course_of(files: CourseFiles, folder: Path | None = None) -> LoadedCourse:
    """Check what was read and turn it into a course."""
    graph, pacing = files.graph, files.pacing
    draft = make_draft(graph.written, pacing.written)
    lost = "\n".join(one.lost for one in (graph, pacing) if one.lost)
    of_sense = (one for one in check(draft) if not lost or _is_sure(one, lost))
    found = sort_problems((*graph.problems, *pacing.problems, *of_sense))
    problems = sort_problems(without_allowed(draft, _without_echoes(found), graph.path))
    if graph.value is None or pacing.value is None or errors(problems):
        return LoadedCourse(None, problems)
    bands = {name: _numbers(band) for name, band in pacing.data["band"].items()}
    ages = {name: pacing.value.band[name].from_age for name in bands}
    course = Course(
        name=graph.value.name,
        edition=graph.value.edition,
        units=tuple(
            Unit(id_, unit.name, number, unit.lesson_weeks, unit.aim)
            for number, (id_, unit) in enumerate(graph.value.unit.items(), start=1)
        ),
        strands=tuple(Strand(id_, strand.name, strand.shared) for id_, strand in graph.value.strand.items()),
        skills=tuple(
            _skill(id_, table, graph.value.uses, graph.key_place("skill", id_))
            for id_, table in graph.value.skill.items()
        ),
        bands=tuple(Band(name, ages[name], bands[name]) for name in sorted(bands, key=ages.__getitem__)),
        alternatives_by_kind={
            kind: text for kind, text in graph.value.alternatives_by_kind.model_dump().items() if text
        },
        provenance=dict(_provenance(pacing, pacing.value, bands)),
        link_places=dict(_link_places(graph, graph.value)),
        uses=graph.value.uses,
    )
    return LoadedCourse(replace(course, folder=folder), problems)


def _is_sure(problem: Problem, lost: str) -> bool:
    """Return whether a problem cannot come of a line that was left out: no warning, and no lost name."""
    header = rf"^\s*\[+\s*{problem.id.removeprefix('unknown-')}\b"
    is_lost = re.search(header, lost, re.MULTILINE) or problem.word in re.sub(r"[^\w\n-]", "", lost)
    return problem.severity == "error" and problem.id != "pain-not-asked" and not (problem.word and is_lost)


def _without_echoes(problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
    """Return the problems without warnings of a number that an error is about, or of a table that is none.

    What is usual, the error says.
    """
    told = {place for one in errors(problems) for place in (one.place, one.other)}
    apart = {one.place for one in problems if one.id == "unknown-table"}
    usual = {one.place: f"usual is {one.usual}" for one in problems if one.usual}
    return tuple(
        replace(one, hint=one.hint or usual.get(one.place, "")) if one.id == "out-of-range" else one
        for one in problems
        if one.severity == "error" or (one.place not in (told if one.id in _NUMBERS else apart))
    )


_NUMBERS: Final = ("age-label", "days-beyond-unit", "outside-range", "unusual-number")


_ONCE: Final = ("optional_in", "replaced_by", "stands_on")
"""Lists in which a word counts once."""


def _skill(id_: str, table: SkillTable, uses: str, place: Place) -> Skill:
    told: dict[str, Any] = {}
    told |= {key: tuple(value) if type(value) is list else value for key, value in table}
    told |= {key: tuple(dict.fromkeys(told[key])) for key in _ONCE if told[key]}
    told |= {key: told[key].toordinal() for key in ("since", "retired") if told[key] is not None}
    told |= {
        "id": id_, "place": place, "kind": Kind(table.kind), "fade": Fade(table.fade),
        "uses": _uses(table, uses), "quiet": table.quiet or table.asks_pain,
        "stands_on_some": tuple(
            Group(group.at_least, tuple(dict.fromkeys(group.of))) for group in table.stands_on_some
        ),
    }  # fmt: skip
    return Skill(**told)


def _uses(table: SkillTable, uses: str) -> tuple[str, ...]:
    """Return the parts of the body a skill works: its own word, else none if quiet, else the course's."""
    if table.uses is not None:
        return tuple(dict.fromkeys(table.uses))
    return () if table.quiet or table.asks_pain else (uses,)


def _link_places(graph: CourseFile[GraphFile], taught: GraphFile) -> Iterator[tuple[tuple[str, str], Place]]:
    """Yield the place of every word by which a skill names another; a link wins over a group."""
    for skill, table in taught.skill.items():
        at = ("skill", skill)
        for g, group in reversed(list(enumerate(table.stands_on_some))):
            for i, member in reversed(list(enumerate(group.of))):
                yield (skill, member), graph.value_place(*at, "stands_on_some", g, "of", i)
        for i, before in reversed(list(enumerate(table.stands_on))):
            yield (skill, before), graph.value_place(*at, "stands_on", i)


def _provenance(
    pacing: CourseFile[PacingFile], pace: PacingFile, bands: Mapping[str, Mapping[str, object]]
) -> Iterator[tuple[tuple[str, str], Provenance]]:
    """Yield where each number of each band comes from."""
    defaults = _shipped_numbers(pace.name)
    blocks = sorted(enumerate(pace.change), key=lambda numbered: numbered[1].on or date.min)
    changed_by = {
        (pacing.key_place("change", i).file, block.band, block.rule): block.by for i, block in blocks
    }
    for band, numbers in bands.items():
        for rule, number in numbers.items():
            default = defaults.get((band, rule))
            place = pacing.value_place("band", band, *rule.split("."))
            by = changed_by.get((place.file, band, rule), "")
            basis = pace.basis.get(rule) or pace.basis.get(rule.partition(".")[0], "")
            yield (band, rule), Provenance(place, default, number != default, by, basis)


def _numbers(band: Mapping[str, object]) -> dict[str, object]:
    """Return the rules of a band by their dotted names; whatever is missing is left out."""
    found: dict[str, object] = {}
    for rule in RULES:
        name, _, key = rule.partition(".")
        value = band.get(name)
        if key:
            value = value.get(key) if isinstance(value, Mapping) else None
        if value is not None:
            found[rule] = tuple(value) if isinstance(value, list) else value
    return found


@cache
def _shipped_numbers(name: str) -> Mapping[tuple[str, str], object]:
    """Return the numbers of a pacing that comes with the program, by band and rule."""
    bands = shipped_bands(name).items()
    return {(band, rule): number for band, table in bands for rule, number in _numbers(table).items()}
