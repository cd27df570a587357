"""A course to and from open forms: one table of the forms, and writing an imported course.

An import never writes over a course that is there. What was imported is then a course like any
other: what it lacks is said by its check.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Final

import tomli_w

from readiness.course.layers import GRAPH, PACING, read_files
from readiness.files.read import LARGEST
from readiness.files.writing import Refusal, create
from readiness.workbench.case import export_case, import_case
from readiness.workbench.graphml import export_graphml, import_graphml
from readiness.workbench.plain import Plain, PlainError

__all__ = ["FORMS", "export_course", "form_of", "import_course"]

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


def form_of(text: str) -> str:
    """Return which form a text is in: XML is GraphML, anything else the JSON."""
    return "graphml" if text.lstrip("\ufeff \t\r\n").startswith("<") else "case"


def import_course(file: Path, folder: Path) -> Refusal | None:
    """Write the course in a file into a new folder, or say why not.

    Args:
        file: a file in one of the forms.
        folder: where the course goes; it is made, and a course there is never written over.
    """
    try:
        if file.stat().st_size > LARGEST:
            return Refusal(
                "too-large", f"nothing was written: {file} is larger than {LARGEST // 1_000_000} MB."
            )
        text = file.read_bytes().decode()
        plain = FORMS[form_of(text)][1](text)
        texts = {GRAPH: tomli_w.dumps(plain.graph), PACING: tomli_w.dumps(plain.pacing)}
    except UnicodeDecodeError:
        return Refusal("not-utf8", f"nothing was written: {file} is not saved as UTF-8.")
    except PlainError as error:
        return Refusal("no-course", f"nothing was written: {error}.")
    except (TypeError, ValueError):
        return Refusal("no-course", f"nothing was written: {file} holds values that a course cannot have.")
    there = next((name for name in (GRAPH, PACING) if (folder / name).exists()), None)
    if there is not None:
        return Refusal("exists", f"nothing was written: there already is a {there} in {folder}.")
    folder.mkdir(parents=True, exist_ok=True)
    done = (create(folder / name, folder, text.encode()) for name, text in texts.items())
    return next((refusal for refusal in done if refusal is not None), None)
