"""The rules as a logic program (clingo) and as SQL (DuckDB), run over the rows of some students.

``rules.lp`` and ``rules.sql`` were written from the rules alone and share no line with the engine;
both take all students at once. Each peer loads and judges in two steps, so that the two can be
measured apart. Nothing is tuned by an expert of either.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

import clingo
import duckdb
from bench.peers.rows import COLUMNS, Rows

__all__ = ["Clingo", "DuckDB", "Judged", "Peer"]

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Judged:
    """What a peer says: by the number of a student the verdict, by number and skill the state."""

    verdicts: Mapping[int, str]
    states: Mapping[tuple[int, str], str]


class Peer(Protocol):
    """A program that judges students from rows; made from the rows, which it loads."""

    def judged(self) -> Judged: ...


class Clingo:
    """The rules as a logic program; loading is parsing the facts and the program."""

    def __init__(self, rows: Rows) -> None:
        self.control = clingo.Control(["--warn=none"])
        self.control.load(str(HERE / "rules.lp"))
        self.control.add("base", [], "\n".join(_facts(rows)))

    def judged(self) -> Judged:
        """Ground and solve; there is one answer set, or the program is wrong."""
        self.control.ground([("base", [])])
        verdicts: dict[int, str] = {}
        states: dict[tuple[int, str], str] = {}
        with self.control.solve(yield_=True) as found:
            for symbol in found.model().symbols(shown=True):
                student, *skill, said = symbol.arguments
                if skill:
                    states[student.number, skill[0].string] = said.string
                else:
                    verdicts[student.number] = said.string
        return Judged(verdicts, states)


def _facts(rows: Rows) -> list[str]:
    return [f"{kind}({','.join(map(_term, row))})." for kind, some in rows.items() for row in some]


def _term(value: str | int) -> str:
    return str(value) if isinstance(value, int) else str(clingo.String(value))


class DuckDB:
    """The rules as SQL; loading is making the tables and filling them."""

    def __init__(self, rows: Rows, threads: int = 1) -> None:
        self.base = duckdb.connect(config={"threads": threads})
        self.script = (HERE / "rules.sql").read_text(encoding="utf-8")
        for kind, columns in COLUMNS.items():
            self.base.execute(f"CREATE TABLE {kind} ({columns})")
            if rows.get(kind):
                self.base.execute(f"INSERT INTO {kind} {_values(columns)}", _by_column(rows[kind]))

    def judged(self) -> Judged:
        """Run the steps and take the two tables."""
        self.base.execute(self.script)
        verdicts = self.base.execute("SELECT student, verdict FROM verdict").fetchall()
        states = self.base.execute("SELECT student, skill, state FROM state").fetchall()
        return Judged(dict(verdicts), {(student, skill): state for student, skill, state in states})


def _values(columns: str) -> str:
    """Return a query that takes a list a column, which is far quicker than a row at a time."""
    return f"SELECT {', '.join('unnest(?)' for _ in columns.split(','))}"


def _by_column(rows: list[tuple[Any, ...]]) -> list[list[Any]]:
    return [list(column) for column in zip(*rows, strict=True)]
