"""What must hold whatever bytes stand in a file: no exception, nothing that commands a terminal, no markup.

One function a kind of file, called with its bytes and an empty folder to work in. Each reads as
the program does, prints every problem, and where the file is good goes on to what is shown of it:
the answer, the check sheet as text and as a page, the map. Whoever calls them (``fuzz_loaders.py``
with bytes of its own, ``test_found_by_fuzzing.py`` with what that found) only looks for exceptions.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Mapping
from contextlib import redirect_stderr, redirect_stdout
from datetime import date
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from shutil import rmtree
from xml.etree import ElementTree as ET

from faults.good_files import EVERY_VALUE, SMALL, STUDENT, STUDIO, small_course
from faults.read_again import a_kept_file, kept, places
from told import page_of

from readiness.advice.sheet import check_sheet
from readiness.cli.main import main
from readiness.course.load import load_course
from readiness.course.model import Course
from readiness.editing.exchange import export_course
from readiness.judging import answer_to_dict, judge
from readiness.pages.sheets import sheet_page
from readiness.pictures.formats import shown
from readiness.pictures.svg import map_as_svg
from readiness.record.load import load_record
from readiness.record.model import Record
from readiness.studio.find import StudioNotFoundError, find_studio
from readiness.studio.load import load_studio
from readiness.toml.problems import errors, render
from readiness.words.lesson import sheet_sections
from readiness.words.why import tell_answer

__all__ = ["KINDS", "SEEDS"]

ROOT = Path(__file__).parents[2]
ON = date(2025, 12, 2).toordinal()
TURNS = (0x061C, 0x200E, 0x200F, 0xFEFF, *range(0x2028, 0x202F), *range(0x2066, 0x206A))
COMMANDING = frozenset(map(chr, (*range(9), *range(11, 32), *range(127, 160), *TURNS)))
"""What does something on a terminal instead of being seen; a tab and a line end are no harm."""
TAGS = frozenset({
    "html", "head", "meta", "title", "style", "body", "main", "h1", "h2", "div", "span", "p", "b", "em", "ul",
    "li", "i", "footer", "section", "header", "nav", "ol",
    "table", "colgroup", "col", "thead", "tbody", "tr", "th", "td",
    "svg", "g", "path", "rect", "text", "tspan", "defs", "pattern", "line", "circle", "desc", "marker",
})  # fmt: skip
"""The elements that pages and drawings of ours are made of."""


def _record(course: Course, folder: Path) -> Record | None:
    path = folder / "mia.toml"
    if not path.exists():
        path.write_text(STUDENT, encoding="utf-8")
    return load_record(path, course).record


def _told(text: str) -> None:
    assert not COMMANDING.intersection(text), ascii(text)


def _problems(problems) -> None:
    for problem in problems:
        _told(render(problem))


class _Page(HTMLParser):
    """Refuses what no page of ours has: other elements, and handlers of events."""

    def handle_starttag(self, tag, attrs):
        assert tag in TAGS, tag
        assert not [name for name, _ in attrs if name.startswith("on") or name in ("href", "src")], attrs


def _shown(course: Course, record: Record) -> None:
    answer = judge(course, record, ON)
    sheet = check_sheet(course, record, answer)
    _told(tell_answer(answer, course, record))
    _told(page_of(sheet_sections, sheet, answer, course, record))
    _told(json.dumps(answer_to_dict(answer), ensure_ascii=True))
    page = sheet_page(sheet, answer, course, record)
    _told(page)
    _Page().feed(page)
    drawn = map_as_svg(shown(course, answer))
    ET.fromstring(drawn)
    _Page().feed(drawn)


def student(data: bytes, folder: Path) -> None:
    (folder / "mia.toml").write_bytes(data)
    loaded = load_record(folder / "mia.toml", small_course())
    _problems(loaded.problems)
    assert (loaded.record is None) == bool(errors(loaded.problems))
    if loaded.record:
        _shown(small_course(), loaded.record)


def _course_file(name: str, data: bytes, folder: Path) -> None:
    for one in ("graph.toml", "pacing.toml"):
        (folder / one).write_bytes(data if one == name else (SMALL / one).read_bytes())
    loaded = load_course(folder)
    _problems(loaded.problems)
    assert (loaded.course is None) == bool(errors(loaded.problems))
    record = _record(loaded.course, folder) if loaded.course else None
    if loaded.course and record:
        _shown(loaded.course, record)


def graph(data: bytes, folder: Path) -> None:
    _course_file("graph.toml", data, folder)


def pacing(data: bytes, folder: Path) -> None:
    _course_file("pacing.toml", data, folder)


def studio(data: bytes, folder: Path) -> None:
    (folder / "course").mkdir(exist_ok=True)
    for one in ("graph.toml", "pacing.toml"):
        (folder / "course" / one).write_bytes((SMALL / one).read_bytes())
    _record(small_course(), folder)
    (folder / "studio.toml").write_bytes(data)
    _asked(["roster", "--students", str(folder)])
    try:
        found = load_studio(find_studio(None, folder, folder, {}))
    except StudioNotFoundError:
        return
    _problems(found.problems)


def exchange(data: bytes, folder: Path) -> None:
    (folder / "sent").write_bytes(data)
    rmtree(folder / "back", ignore_errors=True)
    _asked(["exchange", "import", str(folder / "sent"), str(folder / "back")])
    loaded = load_course(folder / "back") if (folder / "back").exists() else None
    if loaded and loaded.course:
        map_as_svg(shown(loaded.course))


def _asked(words: list[str]) -> None:
    """Carry out a command; all it prints must be fit to print."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        assert main(words) in (0, 1, 2)
    _told(out.getvalue() + err.getvalue())


KINDS: Mapping[str, Callable[[bytes, Path], None]] = {
    "student": student, "graph": graph, "pacing": pacing, "studio": studio, "exchange": exchange,
    "places": places, "kept": kept,
}  # fmt: skip


def _seeds() -> dict[str, tuple[bytes, ...]]:
    """Return good files to begin with, by kind."""
    sent = [export_course(SMALL, form, date(2025, 12, 2)).encode() for form in ("graphml", "case")]
    demo = [path.read_bytes() for path in sorted((ROOT / "demo_students").glob("*.toml"))]
    return {
        "student": (STUDENT.encode(), *(one for one in demo if b"students =" not in one)),
        "graph": ((SMALL / "graph.toml").read_bytes(),),
        "pacing": ((SMALL / "pacing.toml").read_bytes(),),
        "studio": (STUDIO.encode(), (ROOT / "demo_students" / "studio.toml").read_bytes()),
        "exchange": tuple(sent),
        "kept": (a_kept_file(), b""),
        "places": (EVERY_VALUE.encode(), STUDENT.encode(), (SMALL / "graph.toml").read_bytes()),
    }


SEEDS = cache(_seeds)
