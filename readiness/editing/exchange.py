"""A course to and from open forms: one table of the forms, and writing an imported course.

An import never writes over a course that is there. What was imported is then a course like any
other: what it lacks is said by its check.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Final

from readiness.course.layers import read_files
from readiness.course.load import course_of, written_down
from readiness.editing.case import export_case, import_case
from readiness.editing.graphml import export_graphml, import_graphml
from readiness.editing.incoming import Incoming, made_whole
from readiness.editing.plain import Plain, PlainError
from readiness.toml.problems import Problem, errors
from readiness.toml.read import LARGEST
from readiness.toml.statements import pieces
from readiness.toml.write import Refusal, create

__all__ = [
    "FORMS", "checked", "export_course", "form_by_ending", "import_course", "incoming", "last_changed",
    "remarks_lost",
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
