"""Every case of ``edition_2.toml``, worked out by hand from the rules, as every reader answers it.

A reader is a function from a case to what it says, in the words of ``expect``; more can be added to
``READERS``. What a reader cannot say (a program that only judges names no next lesson) is not asked
of it.
"""

from __future__ import annotations

import io
import json
import tomllib
from collections.abc import Callable, Iterator, Mapping
from contextlib import redirect_stdout
from datetime import date
from itertools import product
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from bench.peers.programs import Clingo, DuckDB, Peer
from bench.peers.rows import Rows, rows_of_course, rows_of_day, rows_of_students, rows_of_studio
from second_reading.reading import why

from readiness.cli.main import main
from readiness.cohort import VERDICTS, JudgedPart, gather, judge_columns
from readiness.course.schema import shipped_bands
from readiness.studio.find import find_studio
from readiness.studio.load import load_studio

Toml = dict[str, Any]
Said = Mapping[str, Any]
Reader = Callable[[Toml, Path], Said]

KEY = tomllib.loads(Path(__file__).with_name("edition_2.toml").read_text(encoding="utf-8"))
USUAL = KEY["usual"]
CASES = {case["id"]: case for case in KEY["case"]}
ABOUT_THE_CASE = {"id", "on", "because", "choice", "student", "studio", "beside", "expect"}

GRAPH = KEY["graph"] | {
    "unit": {name: USUAL["unit"] | unit for name, unit in KEY["graph"]["unit"].items()},
    "skill": {name: USUAL["skill"] | skill for name, skill in KEY["graph"]["skill"].items()},
}
BAND = {**shipped_bands("")["4-5"], **USUAL["band"]}
PACING = KEY["pacing"] | {"band": {name: BAND | band for name, band in KEY["pacing"]["band"].items()}}
ELSEWHERE = GRAPH | {
    "unit": {"elsewhere": GRAPH["unit"]["one"]},
    "skill": {"stop": GRAPH["skill"]["stop"] | {"unit": "elsewhere"}},
}
"""What another course of the studio teaches: units have names of their own, to say stop is the same skill."""


def student_of(case: Toml) -> Toml:
    """Return the whole student file of a case."""
    student = USUAL["student"] | case["student"]
    for kind in ("set_aside", "band_choice", "decision", "hold"):
        student[kind] = [USUAL[kind] | block for block in student.get(kind, ())]
    student["hold"] = [hold | (USUAL["closing"] if "closed" in hold else {}) for hold in student["hold"]]
    return {key: value for key, value in student.items() if value != []}


# --- the readers ------------------------------------------------------------------------------


def second_reading(case: Toml, _: Path) -> Said:
    beside = frozenset(case.get("beside", ()))
    said = why(GRAPH, PACING, "nia", student_of(case), case["on"], case.get("studio"), other_uses=beside)
    return _of_json(said)


def engine(case: Toml, folder: Path) -> Said:
    """Ask on the command line, which reads everything from files."""
    _write(case, folder)
    words = ["why", "nia", "--on", case["on"].isoformat(), "--json", "--students", str(folder / "students")]
    with redirect_stdout(io.StringIO()) as out:
        main(words)
    return _of_json(json.loads(out.getvalue()))


def cohort(case: Toml, folder: Path) -> Said:
    _write(case, folder)
    studio = load_studio(find_studio(None, folder / "students", folder, {}))
    assert studio.course is not None
    columns = gather("all", studio.records.values(), studio.course, rhythm=studio.rhythm)
    judged = judge_columns(columns, studio.course, case["on"].toordinal(), states=True)
    assert isinstance(judged, JudgedPart)
    return {"verdict": VERDICTS[judged.verdict[0]], "state": judged.states(0)}


def logic_program(case: Toml, _: Path) -> Said:
    return _judged(Clingo, case)


def sql(case: Toml, _: Path) -> Said:
    return _judged(DuckDB, case)


def _judged(peer: Callable[[Rows], Peer], case: Toml) -> Said:
    rows = rows_of_course(GRAPH, PACING) | rows_of_day(case["on"]) | rows_of_students([student_of(case)])
    judged = peer(rows | rows_of_studio(case.get("studio", {}), case.get("beside", ()))).judged()
    states = {skill: state for (_, skill), state in judged.states.items()}
    return {"verdict": judged.verdicts[0], "state": states}


def _of_json(said: Toml) -> Said:
    """Return the object of section 7 of the rules in the words of ``expect``."""
    details, decision = said.get("details", {}), said.get("decision")
    ids = {*_ids(said.get("findings", ())), *(note["id"] for note in said.get("notes", ()))}
    return said | {
        **{key: {skill: one[key] for skill, one in details.items()} for key in ("state", "have", "need")},
        "group": said.get("groups"),
        "says": ids,
        "stays": decision is not None and decision["decided"] == "stay" and decision["in_force"],
    }


def _ids(findings: Any) -> Iterator[str]:
    """Yield the ids of a tree of findings, whatever its branches are called."""
    if isinstance(findings, Mapping):
        yield from ([findings["id"]] if "id" in findings else [])
        findings = findings.values()
    if not isinstance(findings, str):
        for one in findings if hasattr(findings, "__iter__") else ():
            yield from _ids(one)


def _write(case: Toml, folder: Path) -> None:
    """Write the studio of a case: its course, the courses beside it, the student."""
    courses = {"tiny": GRAPH} | {uses: ELSEWHERE | {"uses": uses} for uses in case.get("beside", ())}
    studio = {"format": 1, "name": "Tiny", "course": "../tiny", "students": "."} | case.get("studio", {})
    files = {f"{name}/graph": graph for name, graph in courses.items()}
    files |= {f"{name}/pacing": PACING for name in courses} | {"students/nia": student_of(case)}
    others = {uses: f"../{uses}" for uses in case.get("beside", ())}
    files["students/studio"] = studio | ({"courses": others} if others else {})
    for name, data in files.items():
        path = folder / f"{name}.toml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(tomli_w.dumps(data), encoding="utf-8")


# --- what is expected -------------------------------------------------------------------------


Compare = Callable[[Said, Any], bool]


def _same(key: str) -> Compare:
    return lambda said, wanted: bool(said[key] == _plain(wanted))


def _within(key: str) -> Compare:
    """Return whether a table says all that is wanted of it; it may say more."""
    return lambda said, wanted: _part(said[key], wanted) == _plain(wanted)


def _part(said: Said | None, wanted: Toml) -> Toml:
    return {key: (said or {}).get(key) for key in wanted}


def _plain(value: Any) -> Any:
    """Return a value as JSON has it: days as text."""
    if isinstance(value, Mapping):
        return {key: _plain(one) for key, one in value.items()}
    return value.isoformat() if isinstance(value, date) else value


SAME = (
    "verdict", "band", "next_lesson", "earliest", "holds_until", "holds_because", "one_thing", "look_first",
    "brought_along", "stays",
)  # fmt: skip
EXPECTED: Mapping[str, Compare] = {
    **{key: _same(key) for key in SAME},
    **{key: _within(key) for key in ("state", "have", "need", "decision")},
    "group": lambda said, wanted: [_part(one, wanted) for one in said["group"]] == [wanted],
    "nothing": lambda said, wanted: all(said.get(key) is None for key in wanted),
    "says": lambda said, wanted: said["says"] >= set(wanted),
    "says_not": lambda said, wanted: not said["says"] & set(wanted),
}
"""How each key of ``expect`` is held against what was said."""

JUDGED = {"verdict", "state"}
FINDINGS = {"under-a-hold", "after-a-hold", "on-a-break", "first-lesson-back"}
READERS: Mapping[str, tuple[Reader, set[str]]] = {
    "engine": (engine, set(EXPECTED)),
    "second reading": (second_reading, set(EXPECTED)),
    "cohort": (cohort, JUDGED),
    "SQL": (sql, JUDGED),
    "logic program": (logic_program, JUDGED),
}
"""Every reader with the keys that it says."""


def _asked(case: Toml, reader: str) -> Toml:
    """Return what a reader is asked of a case; the second reading has notes, but no findings."""
    asked = {key: value for key, value in case["expect"].items() if key in READERS[reader][1]}
    if reader == "second reading":
        asked |= {key: sorted({*asked[key]} - FINDINGS) for key in asked.keys() & {"says", "says_not"}}
    return {key: value for key, value in asked.items() if not key.startswith("says") or value}


ASKED = [(name, reader) for name, reader in product(CASES, READERS) if _asked(CASES[name], reader)]


@pytest.mark.parametrize(("name", "reader"), ASKED, ids=lambda one: one.replace(" ", "-"))
def test_as_worked_out_by_hand(name: str, reader: str, tmp_path: Path) -> None:
    case = CASES[name]
    said = READERS[reader][0](case, tmp_path)
    asked = _asked(case, reader)
    wrong = {key: (said.get(key), wanted) for key, wanted in asked.items() if not EXPECTED[key](said, wanted)}
    assert not wrong, case["because"]


def test_nothing_in_the_table_goes_unread() -> None:
    assert len(CASES) == len(KEY["case"])
    for case in CASES.values():
        assert case.keys() <= ABOUT_THE_CASE, case["id"]
        assert case["expect"].keys() <= EXPECTED.keys(), case["id"]
