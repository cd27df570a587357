"""Small faults put into a module of the engine one by one: which of them does no test notice?

Run by hand, never with the tests (it takes minutes), so many faults, always the same ones::

    PYTHONPATH=.:tests python tests/laws/mutants.py 40 readiness/judging/history.py readiness/judging/dates.py

Each fault is tried in a process of its own, into which the faulty module is put in place of the file; no
file is changed. First the examples of the main law are asked again, which the second reading has answered
once; what survives that meets the tests. A fault is a comparison turned round or off by one, a number
one more or less, and for or, a condition turned round, a statement left out, nothing returned. Printed
are the survivors with their lines, and how many there are. A survivor is killed by a test, or changes
nothing that can be seen: the note beside the main law says which.

A module outside ``judging`` is not asked the main law; it meets the test file that is named after it, or
those named with it::

    PYTHONPATH=.:tests python tests/laws/mutants.py 20 readiness/advice/fading.py \\
        tests/advice/test_after_break.py
"""

from __future__ import annotations

import ast
import copy
import importlib.abc
import importlib.util
import os
import random
import signal
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, settings

LONGEST = 120
"""Seconds after which a fault that does not end is killed."""
TESTS = (
    "readiness/judging", "tests/key/test_reasons.py", "tests/key/test_edition_2.py",
    "-k", "not (cohort or SQL or logic or second)",
)  # fmt: skip
"""For a module of ``judging``, examples in its docstrings too."""
COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
OTHERWISE = {
    ast.And: ast.Or, ast.Or: ast.And, ast.Add: ast.Sub, ast.Sub: ast.Add, ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd, ast.Mult: ast.Add,
}  # fmt: skip


def faults(node: ast.AST) -> Iterator[ast.AST]:
    """Yield what a node could be by mistake."""
    match node:
        case ast.Compare(ops=[op]) if type(op) in COMPARED:
            yield ast.Compare(node.left, [COMPARED[type(op)]()], node.comparators)
        case ast.Constant(value=bool() | int() as value):
            others = [not value] if isinstance(value, bool) else [value + 1, value - 1]
            yield from map(ast.Constant, others)
        case ast.BoolOp(op=op) | ast.BinOp(op=op) if type(op) in OTHERWISE:
            yield _with(node, op=OTHERWISE[type(op)]())
        case ast.UnaryOp(op=ast.Not() | ast.Invert() | ast.USub()):
            yield node.operand
        case ast.If() | ast.IfExp() | ast.While():
            yield _with(node, test=ast.UnaryOp(ast.Not(), node.test))
        case ast.Return(value=ast.expr()):
            yield ast.Return(ast.Constant(None))
        case ast.Assign() | ast.AugAssign() | ast.Raise() | ast.Expr(value=ast.Call() | ast.Yield()):
            yield ast.Pass()


def _with(node: ast.AST, **fields: ast.AST) -> ast.AST:
    other = copy.copy(node)
    vars(other).update(fields)
    return other


def mutants(source: str) -> Iterator[tuple[int, str]]:
    """Yield the line of each fault with the source that has it."""
    tree = ast.parse(source)
    plain = ast.unparse(tree)
    silent = {id(one) for top in _silent(tree) for one in ast.walk(top)}
    for parent in ast.walk(tree):
        for name, value in ast.iter_fields(parent):
            places = list(enumerate(value)) if isinstance(value, list) else [(None, value)]
            for at, node in places:
                seen = isinstance(node, ast.AST) and id(node) not in silent
                for fault in faults(node) if seen else ():
                    _put(parent, name, at, ast.copy_location(fault, node))
                    faulty = ast.unparse(ast.fix_missing_locations(tree))
                    _put(parent, name, at, node)
                    if faulty != plain:
                        yield getattr(node, "lineno", 0), faulty


def _silent(tree: ast.AST) -> Iterator[ast.AST]:
    """Yield what says nothing when the program runs: types, decorators and what a module offers."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            yield node
        for name in ("returns", "annotation", "decorator_list"):
            value = getattr(node, name, None) or []
            yield from value if isinstance(value, list) else [value]


def _put(parent: ast.AST, name: str, at: int | None, node: ast.AST) -> None:
    if at is None:
        setattr(parent, name, node)
    else:
        getattr(parent, name)[at] = node


class Finder(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Puts a source in place of one module."""

    def __init__(self, module: str, source: str) -> None:
        self.module, self.source = module, source

    def find_spec(self, name, path=None, target=None):
        return importlib.util.spec_from_loader(name, self) if name == self.module else None

    def exec_module(self, module):
        exec(compile(self.source, self.module, "exec"), module.__dict__)


def examples() -> list[tuple[Any, dict[str, Any]]]:
    """Return the examples of the main law, with what the second reading says of each."""
    from laws.asking import for_each_leaning
    from second_reading.reading import why

    from readiness.testing import situations

    found: list[Any] = []

    def keep(situation: Any) -> None:
        found.append(situation)

    for_each_leaning(keep, lambda lean: situations(lean=lean))
    return [(s, why(s.graph, s.pacing, "somebody", s.student, s.on, s.studio)) for s in found]


def is_killed(
    module: str, source: str, asked: list[tuple[Any, dict[str, Any]]], tests: Sequence[str] = TESTS
) -> bool:
    """Return whether the tests fail, or do not end, with a source in place of a module."""
    child = os.fork()
    if not child:
        signal.alarm(LONGEST)
        status = 1
        try:
            status = int(not _passes(module, source, asked, tests))
        finally:
            os._exit(status)
    return os.waitpid(child, 0)[1] != 0


def _passes(module: str, source: str, asked: list[tuple[Any, dict[str, Any]]], tests: Sequence[str]) -> bool:
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 1), os.dup2(null, 2)
    for name in [one for one in sys.modules if one.split(".")[0] in ("readiness", "laws")]:
        del sys.modules[name]
    sys.meta_path.insert(0, Finder(module, source))
    import pytest

    from readiness.testing import ask

    for situation, expected in asked:
        said = ask(situation).json
        if any(said[key] != value for key, value in expected.items()):
            return False
    quick = ["-x", "-q", "-n", "0", "-p", "no:cacheprovider", "-W", "ignore", "--hypothesis-profile=once"]
    return pytest.main([*quick, *tests]) == 0


def _tests_of(path: str, named: Sequence[str]) -> Sequence[str]:
    """Return what a module meets: the tests named with it, else those named after it."""
    _, folder, name = Path(path).with_suffix("").parts[:3]
    return TESTS if folder == "judging" else named or (f"tests/{folder}/test_{name}.py",)


def main(most: int, *paths: str) -> None:
    """Print the faults of some modules that no test notices, so many drawn of them together."""
    settings.register_profile(
        "once", max_examples=60, derandomize=True, database=None, deadline=None,
        suppress_health_check=list(HealthCheck), phases=(Phase.explicit, Phase.generate),
    )  # fmt: skip
    settings.load_profile("once")
    named = [path for path in paths if path.startswith("tests")]
    tests = {path: _tests_of(path, named) for path in paths if path not in named}
    asked = examples() if TESTS in tests.values() else []
    for some in {*map(tuple, tests.values())}:
        assert not is_killed("no module", "", asked, some), "the tests fail without a fault"
    every = [(path, *fault) for path in tests for fault in mutants(Path(path).read_text(encoding="utf-8"))]
    drawn = random.Random(0).sample(every, min(most, len(every)))
    survivors = 0
    for path, line, faulty in sorted(drawn, key=lambda one: one[:2]):
        if not is_killed(".".join(Path(path).with_suffix("").parts), faulty, asked, tests[path]):
            survivors += 1
            plain = ast.unparse(ast.parse(Path(path).read_text(encoding="utf-8"))).splitlines()
            changed = [new for old, new in zip(plain, faulty.splitlines(), strict=False) if old != new][:1]
            print(f"{path}:{line}: {' '.join(changed).strip()}", flush=True)
    print(f"{len(drawn) - survivors} of {len(drawn)} killed ({len(every)} in all)")


if __name__ == "__main__":
    main(int(sys.argv[1]), *sys.argv[2:])
