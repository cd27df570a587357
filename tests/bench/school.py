"""A made-up school on disk: student files as the program writes them, for measuring at school size.

Every student has a chance of their own, so the first hundred of a large school are the hundred of
a small one; the same seed gives the same bytes. Nobody in it is real.

Run it with ``python tests/bench/school.py FOLDER [STUDENTS] [SEED]``; FOLDER gets a ``studio.toml``
and ``students/``, and must be empty or not there.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import date
from hashlib import sha256
from itertools import zip_longest
from pathlib import Path
from random import Random

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(ROOT), str(HERE.parent)]

from bench.growing import Child, made_up_child  # noqa: E402

from readiness.course.load import load_course  # noqa: E402
from readiness.course.model import Course  # noqa: E402
from readiness.record.append import line, quoted  # noqa: E402

__all__ = ["COURSE", "NOTES", "STUDENTS", "TODAY", "school_course", "student_texts", "write_school"]

COURSE = ROOT / "skill_graphs" / "first-two-years"
TODAY = date(2025, 12, 2)
STUDENTS = 1_500
NOTES = 200
SEED = 2025
HEAD = "# Keep little: what the lessons need, in words the family may read.\n\nformat = 1\n"


def school_course() -> Course:
    """Return the course that the school teaches."""
    found = load_course(COURSE)
    assert found.course is not None, found.problems
    return found.course


def student_texts(
    course: Course, many: int = STUDENTS, seed: int = SEED, notes: int = NOTES
) -> Iterator[tuple[str, str]]:
    """Yield the id and the text of one student file after the other.

    Args:
        course: what is taught; many: how many students.
        seed: the same seed gives the same texts; notes: about so many a student.
    """
    for number in range(many):
        child = made_up_child(course, Random(f"{seed}/{number}"), TODAY, notes)
        yield f"{child.name}-{number:04d}", text_of(child)


def text_of(child: Child) -> str:
    """Return the file of a student: the header, then the entries as they were added."""
    header = "".join(f"{line(name, value)}\n" for name, value in child.header.items() if value)
    return HEAD + header + "".join(map(entry, child.entries))


def entry(words: str) -> str:
    """Return blocks as one entry of the program: its mark on every fourth line, above a block and at the end.

    Written down here a second time; ``test_school.py`` holds it beside what the program writes.
    """
    mark = sha256(words.encode()).hexdigest()[:8]
    lines, marked, since = words.splitlines(), [], 4
    for one, below in zip_longest(lines, lines[1:], fillvalue=""):
        since = 1 if since == 4 or below.startswith("[[") else since + 1
        marked.append(f"{one}{' ' * bool(one)}# {mark}" if since == 1 else one)
    return "\n" + "".join(f"{one}\n" for one in (*marked, f"# noted {mark}"))


def write_school(folder: Path, many: int = STUDENTS, seed: int = SEED, notes: int = NOTES) -> Path:
    """Write a school and return its ``studio.toml``.

    Args:
        folder: is made where it is not there; the rest as in :func:`student_texts`.
    """
    students = folder / "students"
    students.mkdir(parents=True)
    for id_, text in student_texts(school_course(), many, seed, notes):
        (students / f"{id_}.toml").write_text(text, encoding="utf-8", newline="\n")
    studio = folder / "studio.toml"
    studio.write_text(
        "# A made-up school; nobody in it is real.\n\nformat = 1\n"
        'name = "Made-up school"\n'
        f"course = {quoted(str(COURSE))}\n"
        'students = "students"\n'
        f"today = {TODAY.isoformat()}\n",
        encoding="utf-8",
    )
    return studio


def main() -> None:
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    studio = write_school(Path(sys.argv[1]), *map(int, sys.argv[2:4]))
    print(studio)


if __name__ == "__main__":
    main()
