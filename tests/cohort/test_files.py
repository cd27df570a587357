"""What stands in the files, and what is said of files that are not as they must be."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from bench.cohort_made_up import TODAY, made_up

from readiness import cohort
from readiness.cohort import Unreadable, gather, judge_columns, judge_parts, read_part, write_part
from readiness.cohort.gather import EPOCH
from readiness.days import day_number
from readiness.judging import judge
from readiness.studio.find import find_studio
from readiness.studio.load import load_studio

DAY = day_number("2025-12-02")


@pytest.fixture
def demo(course, records):
    """Return the columns of the demo students."""
    return gather("demo", records.values(), course)


@pytest.fixture
def part(tmp_path, demo):
    """Return the folder of a part that is right."""
    assert write_part(tmp_path / "demo", demo) is None
    return tmp_path / "demo"


def notes_file(part):
    (found,) = part.glob("notes-*.parquet")
    return found


def test_what_is_read_is_what_was_written(part, demo):
    found = read_part(part, keep=True)
    assert (found.ids, found.skills, found.units, found.bands) == (
        demo.ids,
        demo.skills,
        demo.units,
        demo.bands,
    )
    for name in ("unit_starts", "settled", "band_choices", "set_aside", "holds", "lessons"):
        mine, other = getattr(found, name), getattr(demo, name)
        assert [c.tolist() for c in (mine.start, mine.what, mine.on)] == [
            c.tolist() for c in (other.start, other.what, other.on)
        ], name
    (mine,), (other,) = found.notes, demo.notes
    assert all(np.array_equal(a, b) and a.dtype == b.dtype for a, b in zip(mine, other, strict=True))


def test_the_demo_students_are_judged_as_ever(part, course, answered, records):
    found = judge_columns(read_part(part), course, DAY)
    assert dict(found.verdicts()) == {name: answered(name, "2025-12-02").verdict for name in records}


def test_who_takes_two_courses_is_judged_in_each(demo_folder):
    here = demo_folder / "two-courses"
    for name in (None, Path("voice")):
        studio = load_studio(find_studio(name, here, here, {}))
        columns = gather("two", studio.records.values(), studio.course)
        assert len(columns.ids) == len(studio.records) > 0
        said = {key: judge(studio.course, one, DAY).verdict for key, one in studio.records.items()}
        assert dict(judge_columns(columns, studio.course, DAY).verdicts()) == said


def test_a_course_of_more_skills_than_a_byte_holds(part, demo, course):
    (notes,) = demo.notes
    names = tuple(f"other-{number}" for number in range(200))
    wide = notes._replace(skill=notes.skill.astype(np.uint16) + 200)
    many = replace(demo, skills=(*names, *demo.skills), notes=(wide,))
    many = replace(many, set_aside=replace(demo.set_aside, what=demo.set_aside.what + 200))
    assert write_part(part, many) is None
    found = read_part(part, keep=True)
    assert found.notes[0].skill.dtype == np.uint16
    assert judge_columns(found, course, DAY).verdicts() == judge_columns(demo, course, DAY).verdicts()


def test_nothing_but_numbers_and_ids_leaves_the_school(course, records, tmp_path):
    """Columns are a closed list; no name, sentence or cause is in the bytes, also uncompressed."""
    telling = [
        replace(
            one,
            name="Verytelling",
            family="Verytelling",
            holds=tuple(replace(h, words="Verytelling", part="hand") for h in one.holds),
            lessons=tuple(replace(each, note="Verytelling", by="Verytelling") for each in one.lessons),
        )
        for one in records.values()
    ]
    assert write_part(tmp_path / "demo", gather("demo", telling, course)) is None
    students = pq.read_table(tmp_path / "demo" / "students.parquet")
    notes = pq.read_table(notes_file(tmp_path / "demo"))
    assert students.column_names == [
        "id", "born", "unit_starts", "settled", "band_choices", "set_aside", "holds", "rhythm_weeks",
        "lessons_without_notes",
    ]  # fmt: skip
    assert students.schema.field("holds").type.value_type.names == ["opened", "closed", "since"]
    assert notes.column_names == ["student", "skill", "day", "help"]
    assert "Verytelling" not in str(students.to_pydict()) + str(students.schema.metadata) + str(notes.schema)


def test_a_part_is_put_in_place_of_the_one_before(part, course):
    old = notes_file(part)
    before = read_part(part)
    assert write_part(part, made_up(course, 30, part="demo")) is None
    assert len(list(part.iterdir())) == 2
    assert not old.exists()
    assert len(judge_columns(read_part(part), course, DAY).verdict) == 30
    late = judge_columns(before, course, DAY)
    assert late == Unreadable("demo", "no-file", "demo: a file of this part is not there.")


def test_whoever_reads_while_a_part_is_written_gets_the_new_one(part, course, monkeypatch):
    """The students were read from the old part and its notes are gone: it is read again."""
    real, writes = cohort.judge.read_part, [lambda: write_part(part, made_up(course, 30, part="demo"))]

    def slow(folder):
        found = real(folder)
        while writes:
            writes.pop()()
        return found

    monkeypatch.setattr(cohort.judge, "read_part", slow)
    (found,) = judge_parts([part], course, DAY)
    assert len(found.verdict) == 30


def test_where_nothing_can_be_written_it_is_said(tmp_path, demo):
    (tmp_path / "file").write_bytes(b"")
    assert write_part(tmp_path / "file" / "demo", demo).id == "cannot-write"


def said(columns, course):
    found = judge_columns(columns, course, DAY)
    assert isinstance(found, Unreadable), found
    return found.id, found.message


@pytest.mark.parametrize(
    "entries, number, sort",
    [
        ("unit_starts", 99, "unit"),
        ("settled", -1, "unit"),
        ("band_choices", -3, "band"),
        ("set_aside", 999, "skill"),
    ],
)
def test_a_number_without_a_name(demo, course, entries, number, sort):
    wrong = replace(demo.unit_starts, what=np.full_like(demo.unit_starts.what, number))
    assert said(replace(demo, **{entries: wrong}), course) == (
        "damaged",
        f"demo: a {sort} has a number without a name.",
    )


def test_names_the_course_lacks(demo, course):
    first = demo.skills[demo.notes[0].skill.min()]
    others = tuple("other" if name == first else name for name in demo.skills)
    assert said(replace(demo, skills=others), course) == (
        "unknown-skill",
        'demo: the course has no skill "other".',
    )
    units = tuple(f"old-{name}" for name in demo.units)
    named = ", ".join(f'"{units[number]}"' for number in np.unique(demo.unit_starts.what))
    assert said(replace(demo, units=units), course) == (
        "unknown-unit",
        f"demo: the course has no unit {named}.",
    )


def test_a_name_that_nothing_uses_is_no_mistake(demo, course):
    more = replace(demo, skills=(*demo.skills, "other"), units=(*demo.units, "other"))
    assert judge_columns(more, course, DAY).verdicts() == judge_columns(demo, course, DAY).verdicts()


def changed(demo, **arrays):
    (notes,) = demo.notes
    return replace(demo, notes=(notes._replace(**arrays),))


def test_notes_out_of_order_or_twice(demo, course):
    (notes,) = demo.notes
    message = "demo: the notes are not sorted by student, skill and day with one note for each."
    for name in ("student", "skill", "day"):
        backwards = changed(demo, **{name: getattr(notes, name)[::-1].copy()})
        assert said(backwards, course) == ("not-sorted", message)
    twice = np.repeat(np.arange(len(notes.day)), [2] + [1] * (len(notes.day) - 1))
    assert (
        said(changed(demo, **{n: getattr(notes, n)[twice] for n in notes._fields}), course)[0] == "not-sorted"
    )


def test_notes_on_nobody_and_other_numbers(demo, course):
    (notes,) = demo.notes
    assert said(changed(demo, student=notes.student + 1), course)[0] == "damaged"
    assert said(changed(demo, help=np.full_like(notes.help, 5)), course)[0] == "damaged"
    assert said(changed(demo, skill=np.arange(len(notes.day)).astype(np.uint16)), course)[0] in (
        "damaged", "not-sorted",
    )  # fmt: skip
    assert said(replace(demo, skills=demo.skills[:2]), course)[0] == "damaged"
    assert said(replace(demo, notes=demo.notes * 2), course)[0] == "damaged"


def rewritten(path, change):
    table = pq.read_table(path)
    pq.write_table(change(table), path)


@pytest.mark.parametrize(
    "change",
    [
        lambda table: table.drop_columns("born"),
        lambda table: table.set_column(1, "born", pa.array(["x"] * len(table))),
        lambda table: table.set_column(1, "born", pa.array([None] * len(table), pa.date32())),
        lambda table: table.replace_schema_metadata({}),
        lambda table: table.replace_schema_metadata({"readiness.cohort": json.dumps({"format": 2})}),
        lambda table: table.replace_schema_metadata({"readiness.cohort": "[]"}),
    ],
    ids=["no column", "words", "nothing", "no metadata", "other format", "other metadata"],
)
def test_students_that_are_not_as_they_must_be(part, course, change):
    rewritten(part / "students.parquet", change)
    found = read_part(part)
    assert isinstance(found, Unreadable)
    assert found.id == "damaged"
    assert "\n" not in found.message


@pytest.mark.parametrize(
    "change",
    [
        lambda table: table.drop_columns("day"),
        lambda table: table.set_column(1, "skill", pa.array(["x"] * len(table))),
        lambda table: table.set_column(3, "help", pa.array([None] * len(table), pa.uint8())),
        lambda table: table.set_column(3, "help", pa.array([-1] * len(table), pa.int32())),
    ],
    ids=["no column", "words", "nothing", "below nothing"],
)
def test_notes_that_are_not_as_they_must_be(part, course, change):
    rewritten(notes_file(part), change)
    assert said(read_part(part), course)[0] == "damaged"
    assert read_part(part, keep=True).id == "damaged"


def test_other_kinds_of_number_are_read_too(part, course, demo):
    """Somebody else's program may write plain whole numbers."""
    wide = lambda table: table.cast(  # noqa: E731
        pa.schema([(n, pa.date32() if n == "day" else pa.int64()) for n in table.column_names])
    )
    rewritten(notes_file(part), wide)
    assert (
        judge_columns(read_part(part), course, DAY).verdicts() == judge_columns(demo, course, DAY).verdicts()
    )


def test_entries_in_any_order_of_days_are_read(part, course, demo):
    def backwards(table):
        turned = [row[::-1] for row in table["unit_starts"].to_pylist()]
        at = table.column_names.index("unit_starts")
        return table.set_column(at, "unit_starts", pa.array(turned, table.schema.field(at).type))

    rewritten(part / "students.parquet", backwards)
    assert (
        judge_columns(read_part(part), course, DAY).verdicts() == judge_columns(demo, course, DAY).verdicts()
    )


def fresh(program: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)


@pytest.mark.parametrize("missing", ["numba", "numpy", "pyarrow"])
def test_without_the_extra_one_sentence_says_what_to_install(missing):
    found = fresh(f"import sys; sys.modules[{missing!r}] = None; import readiness.cohort")
    assert found.returncode == 1
    assert found.stderr.splitlines()[-1] == (
        "ModuleNotFoundError: Judging a network of schools needs more than one school does: "
        "pip install '.[cohort]'."
    )


@pytest.mark.parametrize("words", [["why", "temwa"], ["roster"], ["ask", "all"], ["check"]])
def test_no_command_loads_the_extra(words):
    found = fresh(
        "import contextlib, io, sys\n"
        "from readiness.cli.main import main\n"
        f"with contextlib.redirect_stdout(io.StringIO()): main({words!r})\n"
        "print([name for name in ('numba', 'numpy', 'pyarrow', 'dask') if name in sys.modules])"
    )
    assert found.stdout == "[]\n", found.stderr


def test_the_seed_gives_the_same_columns(course):
    few, again = (made_up(course, 40, seed=5) for _ in range(2))
    for mine, other in zip(few.notes, again.notes, strict=True):
        assert all(np.array_equal(a, b) for a, b in zip(mine, other, strict=True))
    assert not isinstance(judge_columns(few, course, TODAY), Unreadable)


def test_the_order_of_the_rows_undoes_no_code(course, records):
    """Rows in the order of the real ids would give away who is who to anybody with the list of the class."""
    codes = dict(zip(records, ("7f", "03", "c2", "11", "99", "40"), strict=True))
    columns = gather("north", records.values(), course, pseudonym=codes.__getitem__)
    assert columns.ids.to_pylist() == sorted(codes.values())
    found = dict(judge_columns(columns, course, DAY).verdicts())
    assert found == {codes[one]: judge(course, record, DAY).verdict for one, record in records.items()}


def test_the_month_of_birth_may_be_all_that_is_given_away(course, records):
    columns = gather("north", records.values(), course, births_by_month=True)
    days = [date.fromordinal(int(day) + EPOCH) for day in columns.born]
    by_id = sorted(records.values(), key=lambda one: one.id)
    assert [(one.year, one.month) for one in days] == [
        date.fromordinal(one.born).timetuple()[:2] for one in by_id
    ]
    assert all((one + timedelta(days=1)).day == 1 for one in days)
