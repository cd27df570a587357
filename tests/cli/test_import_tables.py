"""Tables as people keep them: what is understood, asked, and kept to finish, and nothing twice."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import signal
import subprocess
import sys
import time
import zipfile
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from readiness.days import day_number
from readiness.record.load import load_record
from readiness.record.model import HELPS
from readiness.record.table_file import ORDERS, as_csv, day_of, orders_of, read_table

ROOT = Path(__file__).parents[2]
LIFT = ("temwa", "2025-12-02", "wrist-lift")
SEAT = ("temwa", "2025-12-02", "feet-supported")


@pytest.fixture
def here(studio, monkeypatch, say):
    """Return the studio as the current folder."""
    monkeypatch.chdir(studio)
    return studio


def book(*rows, merged=(), title="Sheet"):
    """Return an XLSX file with these rows, written by another library than the one that reads it."""
    workbook = openpyxl.Workbook()
    workbook.active.title = title
    for row in rows:
        workbook.active.append(row)
    for cells in merged:
        workbook.active.merge_cells(cells)
    data = io.BytesIO()
    workbook.save(data)
    return data.getvalue()


def ods(*rows):
    """Return an ODS file as OpenDocument 1.3 (OASIS), part 3, has it: a day is a cell of the type date."""

    def cell(value):
        if isinstance(value, date):
            return f'<table:table-cell office:value-type="date" office:date-value="{value.isoformat()}"/>'
        return f'<table:table-cell office:value-type="string"><text:p>{value}</text:p></table:table-cell>'

    oasis = "urn:oasis:names:tc:opendocument:xmlns"
    names = " ".join(f'xmlns:{name}="{oasis}:{name}:1.0"' for name in ("office", "table", "text"))
    body = "".join(f"<table:table-row>{''.join(map(cell, row))}</table:table-row>" for row in rows)
    content = (
        f'<?xml version="1.0"?><office:document-content {names}><office:body><office:spreadsheet>'
        f'<table:table table:name="Notes">{body}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as packed:
        packed.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        packed.writestr("content.xml", content)
        packed.writestr("META-INF/manifest.xml", "<x/>")
    return data.getvalue()


ALONE, CUE, NOT = "alone", "cue", "not-shown"
PLAIN = "Student,Day,Skill,How\nTemwa,2025-12-02,wrist-lift,alone\n"
TABLES = {
    "plain": ("a.csv", PLAIN, (), {(*LIFT, ALONE)}),
    "semicolons": ("a.csv", PLAIN.replace(",", ";"), (), {(*LIFT, ALONE)}),
    "tabs": ("a.txt", PLAIN.replace(",", "\t"), (), {(*LIFT, ALONE)}),
    "a first line that names the separator": (
        "a.csv", "sep=;\n" + PLAIN.replace(",", ";"), (), {(*LIFT, ALONE)}
    ),
    "a mark of order": ("a.csv", "\ufeff" + PLAIN, (), {(*LIFT, ALONE)}),
    "two bytes a letter": ("a.csv", PLAIN.encode("utf-16"), (), {(*LIFT, ALONE)}),
    "an older encoding": ("a.csv", PLAIN.replace("\n", ",Remark\n", 1).replace("alone", "alone,caf\xe9")
                          .encode("cp1252"), (), {(*LIFT, ALONE)}),
    "no line end, old line ends": ("a.csv", PLAIN.strip().replace("\n", "\r\n"), (), {(*LIFT, ALONE)}),
    "day first, by the whole column": (
        "a.csv", PLAIN.replace("2025-12-02", "02/12/2025") + "Temwa,25/11/2025,wrist-lift,cue\n", (),
        {(*LIFT, ALONE), ("temwa", "2025-11-25", "wrist-lift", CUE)},
    ),
    "month first, by the whole column": (
        "a.csv", PLAIN.replace("2025-12-02", "12/02/2025") + "Temwa,11/25/2025,wrist-lift,cue\n", (),
        {(*LIFT, ALONE), ("temwa", "2025-11-25", "wrist-lift", CUE)},
    ),
    "year first with strokes": ("a.csv", PLAIN.replace("2025-12-02", "2025/12/02"), (), {(*LIFT, ALONE)}),
    "dots": ("a.csv", PLAIN.replace("2025-12-02", "2.12.25"), (), {(*LIFT, ALONE)}),
    "months in words": ("a.csv", PLAIN.replace("2025-12-02", '"Tue, 2 Dec 2025"'), (), {(*LIFT, ALONE)}),
    "an order that was said": (
        "a.csv", PLAIN.replace("2025-12-02", "02/12/2025"), ("--dates", "dmy"), {(*LIFT, ALONE)}
    ),
    "an order in the head": (
        "a.csv", PLAIN.replace("2025-12-02", "02/12/2025").replace("Day", "Date (dd/mm/yyyy)"), (),
        {(*LIFT, ALONE)},
    ),
    "heads in another language": (
        "a.csv", "Kind;Datum;Was;Wie\nTemwa;2.12.2025;wrist-lift;alone\n",
        ("--column", "student=Kind", "--column", "day=Datum", "--column", "skill=C", "--column", "how=Wie"),
        {(*LIFT, ALONE)},
    ),
    "a title above, empty lines between": (
        "a.csv",
        f"Lessons in autumn,,,\n,,,\n{PLAIN}\n,,,\nTemwa,2025-12-02,feet-supported,with a reminder\n", (),
        {(*LIFT, ALONE), (*SEAT, CUE)},
    ),
    "ticks and crosses": (
        "a.csv",
        "Student,Day,Lifts the wrist,Feet supported\nTemwa,2025-12-02,✓,x\nNoemi,2025-12-02,,✓\n", (),
        {(*LIFT, ALONE), (*SEAT, NOT), ("noemi", "2025-12-02", "feet-supported", ALONE)},
    ),
    "one is the best of five": (
        "a.csv", PLAIN.replace("alone", "1") + "Temwa,2025-12-02,feet-supported,5\n", ("--scale", "1"),
        {(*LIFT, ALONE), (*SEAT, NOT)},
    ),
    "five is the best of five": (
        "a.csv", PLAIN.replace("alone", "1") + "Temwa,2025-12-02,feet-supported,4\n", ("--scale", "5"),
        {(*LIFT, NOT), (*SEAT, CUE)},
    ),
    "a child's table with days as heads": (
        "a.csv",
        "Student: Temwa,,\nSkill,2 Dec 2025,9 Dec 2025\nwrist-lift,cue,alone\nfeet-supported,alone,-\n", (),
        {(*LIFT, CUE), (*SEAT, ALONE), ("temwa", "2025-12-09", "wrist-lift", ALONE)},
    ),
    "students as heads": (
        "a.csv", "Skill,Temwa,Noemi\nwrist-lift,cue,alone\n", ("--on", "2025-12-02"),
        {(*LIFT, CUE), ("noemi", "2025-12-02", "wrist-lift", ALONE)},
    ),
    "another sheet's student by its name": (
        "a.xlsx",
        book(["Day", "Skill", "How"], [date(2025, 12, 2), "wrist-lift", "alone"], title="Temwa"), (),
        {(*LIFT, ALONE)},
    ),
    "merged heads": (
        "a.xlsx",
        book(
            ["Student", date(2025, 12, 2), None, date(2025, 12, 9), None],
            ["Name", "wrist-lift", "feet-supported", "wrist-lift", "feet-supported"],
            ["Temwa", "alone", "cue", "cue", None],
            merged=("B1:C1", "D1:E1"),
        ),
        (), {(*LIFT, ALONE), (*SEAT, CUE), ("temwa", "2025-12-09", "wrist-lift", CUE)},
    ),
    "heads with two columns under each": (
        "a.csv",
        "Day,Name,wrist-lift,,feet-supported,\n,,How,Remark,How,Remark\n2025-12-02,Temwa,alone,sinks,cue,\n",
        ("--column", "day=A", "--column", "student=B"),
        {(*LIFT, ALONE), (*SEAT, CUE)},
    ),
    "an OpenDocument sheet": (
        "a.ods",
        ods(["Student", "Day", "Skill", "How"], ["Temwa", date(2025, 12, 2), "wrist-lift", "alone"]), (),
        {(*LIFT, ALONE)},
    ),
    "words of one's own": (
        "a.csv", PLAIN.replace("alone", "super").replace("wrist-lift", "WL"),
        ("--word", "super=alone", "--word", "WL=wrist-lift"), {(*LIFT, ALONE)},
    ),
    "two ways on one day": ("a.csv", PLAIN + "Temwa,2025-12-02,wrist-lift,cue\n", (), {(*LIFT, CUE)}),
}  # fmt: skip


def put(name, data):
    path = Path(name)
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return path


def noted(told):
    """Return what an answer in JSON would note."""
    fields = {name.replace("-", "_"): name for name in HELPS}
    return {
        (one["student"], one["on"], skill, fields[name])
        for one in json.loads(told.out)["notes"] for name in fields for skill in one[name]
    }  # fmt: skip


def kept(folder, course):
    """Return what the student files say of the skills and days that are tried here."""
    return {
        (path.stem, date.fromordinal(lesson.on).isoformat(), one.skill, str(HELPS[one.help]))
        for path in (folder / "students").glob("*.toml")
        for lesson in load_record(path, course).record.lessons
        for one in lesson.showings
    }


@pytest.mark.parametrize("name", TABLES)
def test_a_table_is_understood_written_once_and_not_before_it_is_said(here, say, course, name):
    file, data, options, expected = TABLES[name]
    put(file, data)
    before = kept(here, course)
    files = {path: path.read_bytes() for path in here.rglob("*") if path.is_file()}
    shown = say("import", file, *options, "--json")
    assert shown.code == 0, shown.err
    assert noted(shown) == expected - before
    assert {path: path.read_bytes() for path in here.rglob("*") if path.is_file()} == files
    assert say("import", file, *options, "--write").code == 0
    assert kept(here, course) == before | expected
    files = {path: path.read_bytes() for path in (here / "students").iterdir()}
    again = say("import", file, *options, "--write")
    assert again.code == 0
    assert "Nothing new to write." in again.out
    assert {path: path.read_bytes() for path in (here / "students").iterdir()} == files


UNCLEAR = {
    "which column": ("Kind,Datum,Skill,How\nTemwa,2.12.2025,wrist-lift,alone\n", "--column day=Datum"),
    "which order": (PLAIN.replace("2025-12-02", "02/11/2025"), "--dates dmy or mdy"),
    "which end": (PLAIN.replace("alone", "2"), "--scale 1 or 5"),
    "two columns": (PLAIN.replace("Day", "Name"), "Several columns could be the student"),
    "no order reads both": (
        PLAIN.replace("2025-12-02", "25/12/2024") + "Temwa,12/25/2024,wrist-lift,cue\n",
        "No one order reads all",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", UNCLEAR)
def test_what_only_the_teacher_knows_is_asked_and_nothing_is_written(here, say, name):
    text, told = UNCLEAR[name]
    put("a.csv", text)
    before = (here / "students" / "temwa.toml").read_bytes()
    said = say("import", "a.csv", "--write")
    assert said.code == 2
    assert told in said.told
    assert (here / "students" / "temwa.toml").read_bytes() == before


def test_what_cannot_be_placed_is_listed_with_its_row_and_finished_later(here, say, course):
    put("a.csv", PLAIN + "Nemo,2025-12-02,wrist-lift,alone\nTemwa,2025-12-02,feet-suported,alone\n"
        "Temwa,2025-12-02,loose-shoulders,=1+1\nTemwa,2052-12-02,loose-shoulders,cue\n"
        "Temwa,2019-12-02,loose-shoulders,cue\nTemwa,,loose-shoulders,x\n")  # fmt: skip
    said = say("import", "a.csv", "--write", "--full")
    told = " ".join(said.out.split())
    assert said.code == 0
    for sentence in (
        'row 3: there is no student "Nemo"', 'row 4: there is no skill "feet-suported"',
        'row 5: "=1+1" is a formula or its mistake; formulas are never run',
        "row 6: 2052-12-02 has not come yet",
        "row 7: 2019-12-02 is before Temwa was born", "row 8: it does not say which day",
    ):  # fmt: skip
        assert sentence in told
    with Path("a-unfinished.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["Row"] for row in rows] == ["3", "4", "5", "6", "7", "8"]
    assert rows[2]["How"] == "'=1+1"  # no program takes it for a formula
    text = Path("a-unfinished.csv").read_text(encoding="utf-8-sig")
    put("a-unfinished.csv", text.replace("feet-suported", "feet-supported").replace("Nemo", "Noemi"))
    assert say("import", "a-unfinished.csv", "--write").code == 0
    assert {(*SEAT, ALONE), ("noemi", "2025-12-02", "wrist-lift", ALONE)} <= kept(here, course)
    assert len(Path("a-unfinished-2.csv").read_text(encoding="utf-8-sig").splitlines()) == 5


def test_rows_to_finish_are_written_over_only_as_long_as_nobody_changed_them(here, say):
    first, second = Path("a-unfinished.csv"), Path("a-unfinished-2.csv")
    for skill in ("feet-suported", "feet-suppported"):
        put("a.csv", PLAIN + f"Temwa,2025-12-02,{skill},alone\n")
        assert say("import", "a.csv", "--write").code == 0
        assert skill in first.read_text(encoding="utf-8-sig")
        assert not second.exists()
    edited = first.read_bytes().replace(b"suppported", b"supported")
    for changed in (edited, edited.replace(b"\r\n", b"\n"), b"mine"):
        first.write_bytes(changed)
        said = say("import", "a.csv", "--write")
        assert said.code == 0
        assert second.name in said.out
        assert first.read_bytes() == changed
        assert "feet-suppported" in second.read_text(encoding="utf-8-sig")
    first.write_bytes(edited)
    assert say("import", first.name, "--write").code == 0
    assert not Path("a-unfinished-3.csv").exists()


def test_what_was_corrected_since_does_not_come_back(here, say):
    table = "student,day,skill,how\nchikondi,2025-12-03,wrist-lift,alone\n"
    Path("mine.csv").write_text(table, encoding="utf-8")
    assert say("import", "mine.csv", "--write").code == 0
    assert "wrist-lift" in say("shown", "chikondi", "--on", "2025-12-03", "--full").out
    corrected = say("correct", "chikondi", "--on", "2025-12-03", "wrist-lift")
    assert corrected.code in (0, 1), corrected
    path = here / "students" / "chikondi.toml"
    before = path.read_bytes()
    assert say("import", "mine.csv", "--write").code == 0
    assert path.read_bytes() == before


def test_of_a_gradebook_it_is_said_that_percents_are_not_kept_and_why(here, say):
    put("a.csv", "Student,Day,Skill,How,Grade\nTemwa,2025-12-02,wrist-lift,alone,85%\n")
    said = say("import", "a.csv")
    told = 'Not read: "Grade". Percentages and points are not kept: they do not say with how much help'
    assert told in " ".join(said.out.split())
    put("b.csv", "Student,Day,Skill,Score (%)\nTemwa,2025-12-02,wrist-lift,85\n")
    assert say("import", "b.csv").code == 2
    assert "85" not in say("import", "a.csv", "--write", "--json").out.replace("a.csv", "")


def test_a_cross_alone_and_a_number_out_of_the_scale_are_not_guessed_at(here, say):
    put("a.csv", PLAIN.replace("alone", "x"))
    said = say("import", "a.csv")
    assert said.code == 2
    assert 'say it with --word "x=MEANING"' in " ".join(said.out.split())
    put("a.csv", PLAIN.replace("alone", "7"))
    said = say("import", "a.csv", "--scale", "1")
    assert '"7" does not say with how much help' in " ".join(said.out.split())


def test_two_children_of_one_name_are_told_apart_or_asked_about(here, say, course):
    for name, family, born in (("kim-a", "asante", "2019-03"), ("kim-b", "banda", "2018-07")):
        say("enrol", name, "--name", "Kim", "--family", family, "--born", born, "--on", "2025-09-02")
    put("a.csv", PLAIN.replace("Temwa", "Kim"))
    said = say("import", "a.csv")
    assert said.code == 2
    assert '"Kim" could be kim-a or kim-b' in " ".join(said.out.split())
    assert noted(say("import", "a.csv", "--word", "Kim=kim-b", "--json")) == {("kim-b", *LIFT[1:], ALONE)}
    put("b.csv", "Student,Family,Day,Skill,How\nKim,Asante,2025-12-02,wrist-lift,alone\n"
        "Kim Banda,,2025-12-02,wrist-lift,cue\n")  # fmt: skip
    assert noted(say("import", "b.csv", "--json")) == {
        ("kim-a", *LIFT[1:], ALONE), ("kim-b", *LIFT[1:], CUE)
    }  # fmt: skip
    table = "Student,Born,Day,Skill,How\nKim,{},2025-12-02,wrist-lift,alone\n"
    for born in ("2018-07", "2018-07-14"):
        put("c.csv", table.format(born))
        assert noted(say("import", "c.csv", "--json")) == {("kim-b", *LIFT[1:], ALONE)}
    put("d.csv", table.replace("Kim", "kim-b").format("2018-06"))
    told = " ".join(say("import", "d.csv").out.split())
    assert "born 2018-07, and here it is 2018-06" in told


def test_students_births_and_units_come_too(here, say, course):
    put("a.csv", "Name,Born,Unit,Date\nIda,2018-07,2,02.09.2025\nKim,14.05.2019,3,02.09.2025\n"
        "Kim,2018-07,1,02.09.2025\nTemwa,2020-05-14,3,02.09.2025\nBogdan,2001-01,3,02.09.2025\n")  # fmt: skip
    said = say("import", "a.csv", "--write")
    assert said.code == 0, said.err
    files = {one: here / "students" / f"{one}.toml" for one in ("ida", "kim", "kim-2")}
    new = {one: load_record(path, course).record for one, path in files.items()}
    assert [(one.name, one.unit_starts[-1].unit) for one in new.values()] == [
        ("Ida", course.units[1].id), ("Kim", course.units[2].id), ("Kim", course.units[0].id),
    ]  # fmt: skip
    assert new["kim"].born == day_number("2019-05-31")
    assert "only the year and the month are kept; the day is left out." in " ".join(said.out.split())
    written = [one for one in here.rglob("*") if one.is_file() and one.name != "a.csv"]
    assert not [one for one in written if re.search(rb"2019-05-14|14.05.2019", one.read_bytes())]
    assert "Bogdan is in the studio as bogdan, born" in " ".join(said.out.split())
    assert "Nothing new to write." in say("import", "a.csv", "--write").out
    assert "Ready" in say("why", "ida").out or say("why", "ida").code in (0, 1)


def test_lessons_before_the_unit_of_somebody_enrolled_today_are_pointed_out(here, say):
    said = ("--name", "Ida", "--born", "2019-05", "--unit", "3", "--on", "2025-12-02")
    assert say("enrol", "ida", *said).code == 0
    rows = "".join(f"Ida,2025-11-{day},wrist-lift,alone\n" for day in ("18", "25"))
    put("a.csv", f"Student,Day,Skill,How\n{rows}")
    for command in (("import", "a.csv", "--write"), ("doctor",)):
        told = " ".join(say(*command).out.split())
        assert "so 2 lessons with its skills before that are not counted as its own" in told
        assert "did it begin with the first of them? Then write here: on = 2025-11-18" in told
    file = here / "students" / "ida.toml"
    text = file.read_text("utf-8")
    file.write_text(re.sub(r'(unit = "hand-shape-wrist"\non = )[\d-]+', r"\g<1>2025-11-18", text), "utf-8")
    assert "before-the-unit" not in say("doctor").out


def test_two_new_children_of_one_name_and_month_stay_two(here, say):
    """By the day of birth, which is in no file."""
    put("a.csv", "Name,Born,Date\nKim,2019-05-14,2025-09-02\nKim,2019-05-03,2025-09-02\n")
    assert say("import", "a.csv", "--write").code == 0
    births = [(here / "students" / f"{one}.toml").read_text("utf-8") for one in ("kim", "kim-2")]
    assert all('born = "2019-05"\n' in one for one in births)


def test_new_students_begin_every_unit_of_a_table_and_what_is_said_to_take_them_out_does(here, say, course):
    """Each row is counted once, a birth may be a month, and no sentence promises more than is there."""
    put("new.csv", "Name,Birth,Day,Unit,Skill,How\nIda,03/2018,01.09.2025,2,,\nIda,2018-03,01.11.2025,3,,\n"
        "Ida,03.2018,02.11.2025,,wrist-lift,alone\nJon,2017-05,,,,\n")  # fmt: skip
    said = " ".join(say("import", "new.csv", "--dates", "dmy", "--write").out.split())
    assert '"Ida" new: ida, 3 times "Jon" new: jon, 1 time' in said
    assert '"2" unit 2, black-key-groups, 1 time' in said
    file = here / "students" / "ida.toml"
    record = load_record(file, course).record
    assert [(one.unit, one.on) for one in record.unit_starts] == [
        ("black-key-groups", day_number("2025-09-01")), ("hand-shape-wrist", day_number("2025-11-01")),
    ]  # fmt: skip
    assert 'born = "2018-03"' in file.read_text(encoding="utf-8")
    for command in re.findall(r"`readiness ([^`]+)`", said[said.index("Written for") :]):
        assert say(*command.split(), *["--yes"][: "forget" in command]).code == 0, command
    assert not file.exists()
    put("new.csv", "Name,Birth\nKai,2019-05\n")
    assert "undo --import" not in say("import", "new.csv", "--write").told


def test_ids_of_another_list_give_way_to_names_and_name_new_students(here, say, course):
    put("a.csv", "Student ID,First name,Last name,Date of birth,Day,Skill,How\n"
        "10023,Temwa,Banda,2020-05-14,2025-12-02,wrist-lift,alone\n"
        "10024,Ida,Okoro,2018-07-01,2025-12-02,wrist-lift,cue\n"
        "10025,Temwa,Okoro,2017-07-01,2025-12-02,wrist-lift,cue\n")  # fmt: skip
    assert say("import", "a.csv", "--write").code == 0
    new = {(code, *LIFT[1:], CUE) for code in ("10024", "10025")}
    assert {(*LIFT, ALONE), *new} <= kept(here, course)
    assert load_record(here / "students" / "10024.toml", course).record.family == "Okoro"
    assert "Nothing new to write." in say("import", "a.csv", "--write").out


@pytest.mark.parametrize("kind", ["class", "sheet"])
def test_an_empty_table_is_filled_and_read_back(here, say, kind):
    assert say("import", "--template", kind, "t.csv", "--student", "temwa", "--on", "2025-12-09").code == 0
    with Path("t.csv").open(encoding="utf-8-sig", newline="") as file:
        heads, *rows = list(csv.reader(file))
    assert say("import", "t.csv").code == 0
    first = next(row for row in rows if row[0].casefold() == "temwa")
    first[heads.index("How") if kind == "sheet" else 2] = "with a reminder"
    put("t.csv", as_csv([heads, *rows]))
    found = noted(say("import", "t.csv", "--json"))
    assert [(one[:2], one[3]) for one in found] == [(("temwa", "2025-12-09"), CUE)]


def test_a_broken_or_huge_file_is_one_sentence(here, say, monkeypatch):
    broken = {"a.xlsx": b"PK\x03\x04 nothing", "b.csv": b"a\0b", "c.csv": b"", "d.ods": b"x"}
    for name, data in broken.items():
        put(name, data)
        said = say("import", name)
        assert said.code == 2
        assert len(said.told) < 200
    assert say("import", "none.csv").code == 2
    monkeypatch.setitem(sys.modules, "python_calamine", None)
    assert "`pip install '.[tables]'`" in say("import", "a.xlsx").told


class Typing:
    """A terminal at which answers are typed in their order."""

    def __init__(self, monkeypatch, *answers):
        self.said, self.answers = [], list(answers)
        monkeypatch.setattr("readiness.cli.import_table.is_terminal", lambda: True)
        monkeypatch.setattr("readiness.cli.import_table.Keys", lambda: self)

    def say(self, text, end="\n"):
        self.said.append(text)

    def line(self, prompt):
        self.said.append(prompt)
        return self.answers.pop(0)


def test_at_a_terminal_what_is_unclear_is_asked_and_answered(here, say, course, monkeypatch):
    put("a.csv", "Kind,Datum,Was,Wie\nTemwa,02/11/2025,WL,2\nTemwa,02/11/2025,feet-supported,super\n")
    typed = Typing(monkeypatch, "1", "1", "Was", "1", "1", "1", "wrist-lift", "alone")
    said = say("import", "a.csv", "--write")
    assert said.code == 0, said.err
    assert typed.answers == []
    assert 'What does "WL" mean here?' in " ".join(typed.said)
    day = ("temwa", "2025-11-02")
    assert {(*day, "wrist-lift", CUE), (*day, "feet-supported", ALONE)} <= kept(here, course)


def test_what_is_left_unanswered_is_kept_to_finish(here, say, monkeypatch):
    put("a.csv", PLAIN + "Temwa,2025-12-02,WL,alone\n")
    Typing(monkeypatch, "")
    assert say("import", "a.csv", "--write").code == 0
    assert "WL" in Path("a-unfinished.csv").read_text(encoding="utf-8-sig")
    put("b.csv", PLAIN.replace("alone", "3"))
    Typing(monkeypatch, "")
    assert say("import", "b.csv", "--write").code == 2


def test_playing_during_a_pause_is_kept_and_said(here, say, course):
    rows = ["Linnea,2025-12-02,wrist-lift,alone", "Linnea,2025-12-02,high-low-sound,alone"]
    put("a.csv", "\n".join([PLAIN.splitlines()[0], *rows, ""]))
    skills = [{"student": "linnea", "on": "2025-12-02", "skills": ["wrist-lift"]}]
    assert json.loads(say("import", "a.csv", "--json").out)["held"] == skills
    said = " ".join(say("import", "a.csv", "--write").out.split())
    assert "1 note is of playing during a pause: kept, and never counted." in said
    assert "- Linnea (linnea), 2 December 2025: Lifts the wrist." in said
    assert ("linnea", "2025-12-02", "wrist-lift", ALONE) in kept(here, course)


def test_what_is_said_of_a_pause_is_what_is_told_of_the_answer(here, say, course):
    """Also before the day on which it was said, where it hurt before; not on the day it was opened."""
    file = here / "students" / "temwa.toml"
    hold = "\n[[hold]]\nsince = 2025-12-03\nopened = 2025-12-10\nwords = 'it hurts'\n"
    file.write_text(file.read_text(encoding="utf-8") + hold, encoding="utf-8")
    head, days = PLAIN.splitlines()[0], ("2025-12-01", "2025-12-05", "2025-12-10", "2025-12-12")
    put("a.csv", "\n".join([head, *(f"Temwa,{day},wrist-lift,alone" for day in days), ""]))
    found = json.loads(say("import", "a.csv", "--write", "--json").out)["held"]
    assert [one["on"] for one in found] == [*days[1:]]
    answer = json.loads(say("why", "temwa", "--on", "2025-12-12", "--json").out)
    assert "under-a-hold" in json.dumps(answer)


def test_nothing_is_lost_when_it_is_ended_half_way_and_a_second_run_completes_it(here, course, start):
    """Ended at once after a random student, by a signal nobody can catch (SIGKILL)."""
    skills = [one.id for one in course.skills][:40]
    people = [path.stem for path in sorted((here / "students").glob("*.toml"))]
    days = [f"2024-{month:02}-11" for month in (1, 2, 3)]
    rows = [(who, day, skill, "cue") for who in people for day in days for skill in skills]
    lost = ("Nemo", days[0], skills[0], "cue")
    put("a.csv", as_csv([("Student", "Day", "Skill", "How"), *rows, lost]))
    before = kept(here, course)
    program = (sys.executable, "-m", "readiness", "import", "a.csv", "--write")
    env = {**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{os.environ.get('PYTHONPATH', '')}"}
    running = subprocess.Popen(program, cwd=here, env=env, stdout=subprocess.DEVNULL)
    first = here / "students" / f"{people[0]}.toml"
    size = first.stat().st_size
    while first.stat().st_size == size and running.poll() is None:
        time.sleep(0.001)
    running.send_signal(signal.SIGKILL)
    running.wait()
    assert before < kept(here, course)
    assert (here / "a-unfinished.csv").exists()
    assert subprocess.run(program, cwd=here, env=env, capture_output=True, check=False).returncode == 0
    assert kept(here, course) - before == {
        (who, day, skill, "cue") for who, day, skill, _ in rows
    }  # fmt: skip


ORDERED = {"dmy": "{0:%d/%m/%Y}", "mdy": "{0:%m/%d/%Y}", "ymd": "{0:%Y/%m/%d}", "ydm": "{0:%Y/%d/%m}"}


@given(st.lists(st.dates(date(2015, 1, 1), date(2025, 12, 2)), min_size=1), st.sampled_from(sorted(ORDERED)))
@settings(max_examples=200)
def test_the_order_that_was_meant_is_never_excluded(days, order):
    """What is written by the standard library's strftime is read back, or asked about, or means the same."""
    texts = [ORDERED[order].format(day) for day in days]
    latest = date(2025, 12, 2).toordinal()
    found = orders_of(texts, latest)
    meant = [day.toordinal() for day in days]
    read = [[day_of(text, one) for text in texts] for one in found]
    assert meant in read or (order == "ydm" and [day_of(text, "ymd") for text in texts] in read)
    assert set(found) <= ORDERS.keys()


@given(st.lists(st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\r")),
                         min_size=2, max_size=2), min_size=1, max_size=5))  # fmt: skip
def test_any_cells_are_read_back_from_what_was_written(tmp_path_factory, rows):
    rows = [[cell.strip(" \t\n\ufeff\xa0") for cell in row] for row in rows]
    path = tmp_path_factory.mktemp("cells") / "a.csv"
    path.write_text(as_csv([("a", "b"), *rows]), encoding="utf-8", newline="")
    table = read_table(path)
    while rows and not any(rows[-1]):
        rows.pop()
    assert [list(row) for row in table.rows[1:]] == rows


THREE = "Student,Day,Skill,How\n" + "".join(
    f"{name},2025-12-03,wrist-lift,cue\n" for name in ("Temwa", "Noemi", "Rafiq")
)


def test_a_whole_import_is_one_undo_in_every_file_whatever_was_noted_since(here, say, left):
    files = {name: here / "students" / f"{name}.toml" for name in ("temwa", "noemi", "rafiq")}
    before = {name: path.read_bytes() for name, path in files.items()}
    put("a.csv", THREE + "Temwa,2025-12-09,wrist-lift,cue\n")
    said = say("import", "a.csv", "--write")
    (mark,) = re.findall(r"readiness undo --import ([0-9a-f]{8})", " ".join(said.out.split()))
    assert say("note", "noemi", "1", "feet-supported", "--on", "2025-12-16").code == 0
    said = say("undo", "temwa")
    assert said.code == 0
    assert "the whole import: 1 of noemi, 1 of rafiq and 2 of temwa." in " ".join(said.out.split())
    for name in ("temwa", "rafiq"):
        assert left(files[name]) == before[name].rstrip()
    assert b'"wrist-lift"' not in left(files["noemi"]).removeprefix(before["noemi"].rstrip())
    assert b"2025-12-16" in left(files["noemi"])
    assert say("undo", "--import", mark).code == 2
    assert say("import", "a.csv", "--write").code == 0  # and once more, taken back once more
    assert say("undo", "--import", mark).code == 0
    assert left(files["rafiq"]) == before["rafiq"].rstrip()


def test_what_an_import_brought_and_was_corrected_is_taken_back_and_the_correction_stays(here, say, course):
    """And it takes out nothing that is noted later; a file with a mistake is left as it is."""
    temwa, on = here / "students" / "temwa.toml", ("--on", "2025-12-03")
    put("a.csv", THREE)
    (mark,) = re.findall(r"--import ([0-9a-f]{8})", " ".join(say("import", "a.csv", "--write").out.split()))
    assert say("correct", "temwa", "3", "wrist-lift", *on).code == 0
    good = temwa.read_bytes()
    temwa.write_bytes(good + b"\nnonsense\n")
    assert say("undo", "--import", mark).code == 2
    assert temwa.read_bytes() == good + b"\nnonsense\n"
    temwa.write_bytes(good)
    said = " ".join(say("undo", "--import", mark).out.split())
    assert "the whole import: 1 of temwa. 1 lesson stays as corrected since: `readiness undo temwa`" in said

    def shown():
        loaded = load_record(temwa, course)
        assert "corrects-nothing" not in {one.id for one in loaded.problems}
        days = (one for one in loaded.record.lessons if one.on == day_number(on[1]))
        return [(one.skill, one.help) for lesson in days for one in lesson.showings]

    assert shown() == [("wrist-lift", 2)]
    told = " ".join(say("undo", "temwa").out.split())
    assert "It no longer counts; nothing else has changed" in told
    assert shown() == []
    assert say("note", "temwa", "2", "wrist-lift", *on).code == 0
    assert shown() == [("wrist-lift", 1)]


def test_of_an_import_what_was_changed_by_hand_stays_and_is_said(here, say, left):
    put("a.csv", "Student,Born,Day,Skill,How\nNoemi,,2025-12-03,wrist-lift,cue\n"
        "Kim,2018-07,2025-12-03,wrist-lift,cue\n")  # fmt: skip
    (mark,) = re.findall(r"--import ([0-9a-f]{8})", " ".join(say("import", "a.csv", "--write").out.split()))
    noemi = here / "students" / "noemi.toml"
    noemi.write_bytes(noemi.read_bytes().replace(b"on = 2025-12-03", b"on = 2025-12-04"))
    said = say("undo", "--import", mark)
    assert said.code == 2
    assert "noemi: what was changed by hand since the import stays." in said.told
    assert "1 of kim" in said.out
    assert "kim has a file and no note now; `readiness forget kim`" in " ".join(said.out.split())
    assert b"2025-12-04" in left(noemi)
    assert say("undo").code == 2


@pytest.mark.parametrize("after", [0, 1, 2])
def test_an_import_or_its_undo_that_stops_half_way_is_finished_by_the_same_again(
    here, say, left, monkeypatch, after
):
    """It ends after so many files; nothing is lost, nothing is twice, and one undo takes all of it back."""
    from readiness.toml import write as writing

    files = {name: here / "students" / f"{name}.toml" for name in ("temwa", "noemi", "rafiq")}
    before = {name: path.read_bytes() for name, path in files.items()}
    put("a.csv", THREE)
    append, done = writing.append, []

    def killed(path, folder, edit, *mark):
        if len(done) == after:
            raise KeyboardInterrupt
        refusal = append(path, folder, edit, *mark)
        done.extend([path] * (refusal is None))
        return refusal

    for words in (("import", "a.csv", "--write"), ("undo", "temwa")):
        done.clear()
        monkeypatch.setattr(writing, "append", killed)
        assert say(*words).code == 130
        monkeypatch.setattr(writing, "append", append)
        assert say(*words).code == 0
    assert {name: left(path) for name, path in files.items()} == {
        name: data.rstrip() for name, data in before.items()
    }


AFTER = {
    "moved": [("move-note", "temwa", "noemi", "--on", "2025-12-09")],
    "moved and back": [("move-note", "temwa", "noemi", "--on", "2025-12-09"), ("undo", "temwa")],
    "the last one moved": [("note", "temwa", "2", "wrist-lift", "--on", "2025-12-10"),
                           ("move-note", "temwa", "noemi")],
    "a day corrected": [("correct", "temwa", "--yes", "--on", "2025-12-09")],
    "a skill corrected": [("correct", "temwa", "2", "wrist-lift", "--on", "2025-12-09")],
    "corrected and back": [("correct", "temwa", "--yes", "--on", "2025-12-09"), ("undo", "temwa")],
    "undone": [("note", "temwa", "2", "wrist-lift", "--on", "2025-12-10"), ("undo", "temwa")],
}  # fmt: skip


@pytest.mark.parametrize("who", ["temwa", "noemi"])
@pytest.mark.parametrize("before", AFTER)
def test_a_table_is_taken_after_whatever_was_taken_out(here, say, before, who):
    for words in AFTER[before]:
        assert say(*words).code == 0
    table = f"student;day;skill;how\n{who};2025-12-11;wrist-lift;hands-on\n"
    Path("c.csv").write_text(table, encoding="utf-8")
    assert say("import", "c.csv", "--write").code == 0
    assert "2025-12-11" in (here / "students" / f"{who}.toml").read_text(encoding="utf-8")
    assert say("undo", who).code == 0
    assert say("import", "c.csv", "--write").code == 0


def test_words_about_something_that_hurts_are_said_with_what_to_do(here, say):
    head = f"{PLAIN.splitlines()[0]},Remark"
    rows = ["Temwa,2025-12-02,wrist-lift,alone,wrist sore", "Noemi,2025-12-02,wrist-lift,alone,well done"]
    put("a.csv", "\n".join([head, *rows, ""]))
    said = " ".join(say("import", "a.csv").out.split())
    assert "Temwa (temwa), 2 December 2025, words about something that hurts. If something hurts" in said
    assert said.count("that hurts") == 1
