"""A course is looked over (``check``, rule R9), drawn (``map``) or carried to other tools (``exchange``).

The forms of ``readiness check --format``: JSON for editors, SARIF 2.1.0 for reviews.

SARIF is an open standard (OASIS, "Static Analysis Results Interchange Format Version 2.1.0"); the numbers
beside its parts are those of its sections.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import quote

from readiness import __version__
from readiness.cli.commands import CommandError, Exit, command, epilog, option
from readiness.cli.context import (
    add_day_option,
    add_studio_options,
    course_without_errors,
    day_asked,
    day_for,
    latest_day,
    locate_studio,
    open_studio,
    pick_student,
    print_problems,
    read_studio,
)
from readiness.cli.inputs import (
    print_file,
    put_file,
    refuse,
    respond,
    skill_typed,
    taken,
    unit_typed,
    write_file,
)
from readiness.cli.keys import Keys, is_terminal
from readiness.cli.output import aside, say, text_width
from readiness.course.load import load_course
from readiness.course.model import Course, LoadedCourse
from readiness.course.translated import names_problems
from readiness.editing import exchange
from readiness.judging.engine import judge
from readiness.pages.document import PAPERS as PAGE_PAPERS
from readiness.pictures.formats import Shown, map_as_dot, map_as_mermaid, map_as_text, shown
from readiness.pictures.svg import PAPERS, map_as_svg
from readiness.studio.find import StudioNotFoundError, find_studio
from readiness.studio.load import Studio
from readiness.toml.problems import Place, Problem, end_column, errors, render
from readiness.words.cautions import hold_notice
from readiness.words.course import incoming_words, unanswered_words
from readiness.words.grammar import listed
from readiness.words.lists import check_words

__all__ = ["as_json", "as_sarif"]


def as_json(
    loaded: LoadedCourse, problems: Sequence[Problem], target: str | None, *, with_facts: bool, strict: bool
) -> str:
    """Return one JSON object with what was found, and with the facts of the course if wanted."""
    from readiness.editing.facts import course_facts, facts_to_dict, problem_to_dict

    found: dict[str, object] = {
        "format": 1,
        "accepted": loaded.course is not None and not (problems if strict else errors(problems)),
        "problems": [problem_to_dict(one) for one in problems],
    }
    if with_facts and loaded.course is not None:
        found["facts"] = facts_to_dict(course_facts(loaded.course, target))
    return json.dumps(found, ensure_ascii=False, indent=2)


def as_sarif(problems: Sequence[Problem], here: Path) -> str:
    """Return a SARIF log (3.13) of one run (3.14); places in ``here`` are named as seen from it."""
    rules = list(dict.fromkeys(one.id for one in problems))
    driver = {"name": "readiness", "version": __version__, "rules": [{"id": rule} for rule in rules]}
    log = {
        "$schema": "https://json.schemastore.org/sarif-2.1.0.json",
        "version": "2.1.0",
        "runs": [
            {
                "tool": {"driver": driver},
                "columnKind": "unicodeCodePoints",  # 3.14.17
                "results": [_result(one, rules.index(one.id), here) for one in problems],
            }
        ],
    }
    return json.dumps(log, ensure_ascii=False, indent=2)


def _result(problem: Problem, rule: int, here: Path) -> dict[str, Any]:
    """Return a result (3.27); the second place is a related location (3.27.22)."""
    hint = f": {problem.hint}" if problem.hint else ""
    result: dict[str, Any] = {
        "ruleId": problem.id,
        "ruleIndex": rule,
        "level": problem.severity,
        "message": {"text": f"{problem.message}{hint}"},
        "locations": [_location(problem.place, here)],
    }
    if problem.other is not None:
        label = {"message": {"text": problem.other_label or "and here"}}
        result["relatedLocations"] = [{"id": 0, **label, **_location(problem.other, here)}]
    return result


def _location(place: Place, here: Path) -> dict[str, Any]:
    """Return a location (3.28) with its region (3.30); a file as a whole has no region."""
    path = place.file.resolve()
    inside = path.is_relative_to(here.resolve())
    uri = quote(path.relative_to(here.resolve()).as_posix()) if inside else path.as_uri()
    physical: dict[str, Any] = {"artifactLocation": {"uri": uri}}
    if place.line >= 1:
        physical["region"] = {
            "startLine": place.line,
            "startColumn": max(1, place.column),
            "endLine": place.line,
            "endColumn": max(1, end_column(place)),
        }
    return {"physicalLocation": physical}


LISTS = (
    "units", "leaps", "small-units", "chains", "reach-back", "rests-on", "optional", "loose-ends", "variant",
)  # fmt: skip


@command(
    "check",
    option(
        "course", metavar="COURSE_DIR", type=Path, nargs="?",
        help="the folder with graph.toml and pacing.toml (default: the studio's course)",
    ),
    option(
        "--list", choices=LISTS, action="append", default=[],
        help="also list: units, with their numbers; leaps, how big each unit is for each age; small-units; "
        "chains, skills learnt one after the other; reach-back, prerequisites many units back; rests-on, the "
        "skills most others build on; optional, not needed at an age; loose-ends, nothing later builds on "
        "them; variant, differences from the course it is based on (may be given several times)",
    ),
    option("--facts", action="store_true", help="all of these lists"),
    option("--unit", metavar="UNIT", help="one unit on a page: too big, too small, past times"),
    option(
        "--advice", action="store_true", help="what a colleague would say: what holds a child in each unit"
    ),
    option("--to", metavar="SKILL", help="where the chain of rests-on leads"),
    option(
        "--students", metavar="DIR", type=Path,
        help="also look for student files that name what is not in the course",
    ),
    option("--strict", action="store_true", help="warnings count as errors do"),
    option(
        "--format", choices=["text", "json", "sarif"], default="text",
        help="text to read; json for editors and programs; sarif, an open standard, for reviews of code",
    ),
    option("--json", action="store_const", const="json", dest="format", help="as --format json"),
    epilog(
        "Exit code 0: accepted, 2: an error, or with --strict a warning. A warning that is meant is silenced "
        'in its unit, or at the top of graph.toml: allow = ["small-leap"] and reason = "...".'
    ),
)
def run_check(args: argparse.Namespace) -> Exit:
    """Print every problem, where it stands and what to do, and a last line that sums up."""
    folder = _folder(args.course, args.students)
    loaded = load_course(folder)
    page = _page(args)
    if page is not None and loaded.course is not None:
        return page(args, loaded.course)
    found = (*loaded.problems, *names_problems(loaded.course), *_beside(args))
    problems = tuple({(one.id, one.place, one.message): one for one in found}.values())
    lists = LISTS if args.facts else tuple(dict.fromkeys(args.list))
    if args.to is not None and loaded.course is not None:
        args.to = skill_typed(loaded.course, args.to)
    if args.format == "sarif":
        print(as_sarif(problems, Path.cwd()))
    elif args.format == "json":
        target = args.to if args.to or lists else None
        print(as_json(loaded, problems, target, with_facts=bool(lists), strict=args.strict))
    else:
        if lists and loaded.course is not None:
            print(_facts(loaded.course, folder, lists, args.to), flush=True)
        for problem in problems:
            print(render(problem, width=text_width()), end="\n\n")
        print(check_words(loaded.course, problems), end="")
    return Exit.WRONG if (problems if args.strict else errors(problems)) else Exit.READY


def _page(args: argparse.Namespace) -> Callable[[argparse.Namespace, Course], Exit] | None:
    """Return what prints a page to read in place of the problems, where one is asked for."""
    args.json = args.format == "json"
    page = _tell_advice if args.advice else _tell_unit if args.unit is not None else None
    if page is not None and args.format == "sarif":
        raise CommandError("--advice and --unit are pages to read. SARIF holds problems only.")
    return page


def _beside(args: argparse.Namespace) -> tuple[Problem, ...]:
    """Return what ``readiness doctor`` says of the students beside the course, but for the demo's."""
    studio = _studio_beside(args)
    if studio is None or (studio.where.is_demo and args.students is None):
        return ()
    from readiness.studio.doctor import gone_skills, look_over

    return gone_skills(look_over(studio, latest_day(studio.today)), studio)


def _tell_unit(args: argparse.Namespace, course: Course) -> Exit:
    from readiness.editing.facts import course_facts, facts_of_unit, latest, unit_to_dict
    from readiness.school.counts import past
    from readiness.words.course import unit_sections

    unit = unit_typed(course, args.unit)
    studio = _studio_beside(args)
    records = () if studio is None else studio.records.values()
    times = past(course, records, latest_day(None if studio is None else studio.today), unit)
    facts = facts_of_unit(course_facts(course), course, unit)
    return respond(args, lambda: unit_to_dict(facts, times), unit_sections(latest(course), facts, times))


def _studio_beside(args: argparse.Namespace) -> Studio | None:
    """Return the studio of the students named, else the one that has the course; None where none has it."""
    folder, is_alone = args.course, args.course is not None and args.students is None
    start, environ = (folder.resolve(), {}) if is_alone else (Path.cwd(), os.environ)
    try:
        where = find_studio(folder, args.students, start, environ)
    except StudioNotFoundError:
        if is_alone:
            return None
        raise
    if is_alone and (where.is_demo or not where.is_listed):
        return None
    return read_studio(where if folder is None else replace(where, course=folder))


def _tell_advice(args: argparse.Namespace, course: Course) -> Exit:
    """Print what a colleague would say, with what the notes of the studio's own students say of the links."""
    from readiness.editing.facts import advice_to_dict, colleague_says, latest
    from readiness.words.course import advice_sections

    studio = _studio_beside(args)
    said = colleague_says(course, () if studio is None else studio.records.values())
    return respond(args, lambda: {"advice": advice_to_dict(said)}, advice_sections(latest(course), said))


def _facts(course: Course, folder: Path, lists: Sequence[str], target: str | None) -> str:
    from readiness.editing.facts import course_facts, latest, variant_of
    from readiness.words.course import fact_sections, variant_sections
    from readiness.words.layout import lay_out

    sections = list(
        fact_sections(
            latest(course), course_facts(course, target), tuple(one for one in lists if one != "variant")
        )
    )
    if "variant" in lists:
        sections += variant_sections(variant_of(folder), course)
    return lay_out(sections, text_width())


def _folder(typed: Path | None, students: Path | None) -> Path:
    """Return the folder of the course: the one that was typed, else the studio's."""
    if typed is not None and not typed.is_dir():
        kind = "a file; please give the folder it is in" if typed.exists() else "not there"
        raise CommandError(f"the course folder {typed} is {kind}.")
    if typed is not None and not any(typed.glob("*.toml")):
        made = "`readiness start FOLDER` makes a studio with a copy of the shipped course"
        missing = f"there is no course in {typed}: graph.toml and pacing.toml would be there"
        raise CommandError(f"{missing}. {made}.")
    if typed is not None:
        return typed
    where = locate_studio(None, students)
    if where.course is None:
        print_problems(where.problems)
        raise CommandError
    return where.course


_KINDS = {
    ".svg": "svg", ".dot": "dot", ".gv": "dot", ".mmd": "mermaid", ".mermaid": "mermaid", ".txt": "txt",
    ".html": "html", ".htm": "html",
}  # fmt: skip
"""What is drawn, by the ending of the file."""


@command(
    "map",
    option("student", metavar="ID", nargs="?", default=argparse.SUPPRESS,
        help="show where this student stands, on --on",
    ),
    option("--student", metavar="ID", help=argparse.SUPPRESS),
    option("--unit", metavar="UNIT", help="only this unit, with what is under and over it"),
    option(
        "--to", metavar="WHAT",
        help="what to draw: svg, one sheet; html, a page for each unit; dot, mermaid or txt (default); or a "
        "file whose ending says it",
    ),
    option("--out", metavar="FILE", type=Path, help="write it to this file"),
    option("--paper", choices=list(PAPERS),
        help="the paper: a3, a4 or letter (default: a3 for svg, a4 for html)",
    ),
    add_day_option,
    add_studio_options,
)
def run_map(args: argparse.Namespace) -> Exit:
    """Print the picture, or write it."""
    studio, course = open_studio(args, args.student)
    unit = None if args.unit is None else unit_typed(course, args.unit)
    answer = None
    if args.student is not None:
        record = pick_student(studio, args.student)
        answer = judge(course, record, day_for(args, studio), studio.calendar(record.id))
        if notice := hold_notice(record, answer.on):
            aside(notice)
    kind, out = _kind(args.to, args.out)
    text = _draw(shown(course, answer, unit), kind, args.paper)
    if kind == "svg" and unit is None:
        aside("All names on one sheet are small. `readiness map --to FILE.html` has a page for each unit.")
    if out is not None:
        write_file(out, text, is_page=kind == "html")
    elif kind == "txt":
        print(text, end="", flush=True)
    else:
        print_file(text, f"map.{kind}")
    return Exit.READY


def _draw(content: Shown, kind: str, paper: str | None) -> str:
    if kind == "html":
        from readiness.pages.map import map_page

        if paper not in (None, *PAGE_PAPERS):
            raise CommandError("a page for each unit is for a4 or letter paper; --to svg is one sheet of a3.")
        return map_page(content, paper or "a4")
    if kind == "svg":
        return map_as_svg(content, paper or "a3")
    return {"dot": map_as_dot, "mermaid": map_as_mermaid, "txt": map_as_text}[kind](content)


def _kind(typed: str | None, out: Path | None) -> tuple[str, Path | None]:
    """Return what to draw and where to: what was typed, else what the file's ending says, else text."""
    if typed is not None and typed in _KINDS.values():
        return typed, out
    if typed is not None and out is None:
        out = Path(typed)
    if out is None:
        return "txt", None
    if out.suffix.lower() in _KINDS and (typed is None or out == Path(typed)):
        return _KINDS[out.suffix.lower()], out
    kinds = "--to svg, dot, mermaid or txt, or html for pages"
    raise CommandError(f"what is {typed or out} to be? Please add {kinds}.")


@command(
    "exchange",
    option("what", metavar="WHAT", choices=["export", "import"], help="export a course, or import one"),
    option("source", metavar="FROM", type=Path, help="the course's folder, or the file to import"),
    option("target", metavar="TO", type=Path, help="the file to make, or the new course's folder"),
    option(
        "--as", dest="form", choices=list(exchange.FORMS),
        help="the form to export: graphml for graph tools, case for JSON of items and associations "
        "(default: by the ending of TO)",
    ),
    option(
        "--fill", metavar="KEY=VALUE", action="append", default=[],
        help="import: what to put where this key is missing, as in `fade=medium` "
        "(may be given several times)",
    ),
    add_day_option,
)
def run_exchange(args: argparse.Namespace) -> Exit:
    """Carry out one of the two; neither writes over anything."""
    if args.what == "export":
        return _export(args)
    if args.form is not None:
        raise CommandError("--as is for export; an import finds out for itself.")
    return _import(args.source, args.target, dict(_filled(args.fill)))


def _export(args: argparse.Namespace) -> Exit:
    folder, file = args.source, args.target
    form = args.form or exchange.form_by_ending(file)
    if form is None:
        told = "--as graphml or --as case, or name a file .graphml or .json"
        raise CommandError(f"please say in which form: {told}.")
    course_without_errors(folder)
    day = exchange.last_changed(folder) if args.on is None else date.fromordinal(day_asked(args.on, None))
    try:
        text = exchange.export_course(folder, form, day)
    except exchange.PlainError as error:
        raise CommandError(f"{error}.") from None
    put_file(file, text)
    print(f"Written: {file}. It holds the course and its pacing, and nothing about any student.")
    if lost := [*exchange.lost(folder)]:
        say([f"Not in it: {listed(lost)}, which this form cannot hold."])
    return Exit.READY


def _filled(typed: Sequence[str]) -> Iterator[tuple[str, str]]:
    for one in typed:
        key, equals, value = (part.strip() for part in one.partition("="))
        if key not in exchange.QUESTIONS or not equals or not value:
            raise CommandError(f'--fill takes {" or ".join(exchange.QUESTIONS)} with its value, not "{one}".')
        yield key, value


def _import(file: Path, folder: Path, answers: dict[str, str]) -> Exit:
    """Take a course in: ask once for each missing key, and end in what was taken, left out and made up."""
    if not file.is_file():
        raise CommandError(f"there is no file {file}.")
    found = _answered(file, answers)
    texts, problems = taken(exchange.checked(found, folder))
    if found.missing or errors(problems):
        sources = dict(texts)
        for problem in () if found.missing else errors(problems):
            print(render(problem, sources, width=text_width(sys.stderr)), file=sys.stderr)
        say(incoming_words(found))
        raise CommandError("nothing was written: " + unanswered_words(found))
    refuse(exchange.import_course(file, folder, answers))
    print(f"Written: {folder / 'graph.toml'} and {folder / 'pacing.toml'}.")
    say(incoming_words(found))
    print_problems(problems)
    print(check_words(load_course(folder).course, problems), end="")
    return Exit.READY


def _answered(file: Path, answers: dict[str, str]) -> exchange.Incoming:
    """Return the course on its way in, with an answer for each missing key where somebody can be asked."""
    for key in taken(exchange.incoming(file, answers)).missing if is_terminal() else ():
        if answer := (Keys().line(f"  {exchange.QUESTIONS[key][1]}? ") or "").strip():
            answers[key] = answer
    return taken(exchange.incoming(file, answers))
