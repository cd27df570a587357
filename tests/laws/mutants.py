"""Small faults put into modules one by one, as many into each: which of them does no test notice?

Run by hand, never with the tests (it takes minutes), so many faults, always the same ones::

    PYTHONPATH=.:tests python tests/laws/mutants.py 40 readiness/judging/cover.py readiness/judging/states.py
    PYTHONPATH=.:tests python tests/laws/mutants.py 20 readiness/advice/way.py tests/advice/test_way.py

All is loaded once; each fault is tried in a process of its own, in which the function that has it gets its
code, or where it is in no function the faulty module stands in place of the file; no file is changed. A
module of ``judging`` is asked the examples of the main law again, which the second reading has answered
once; what survives meets the answer key and the tests named with the modules. Any other module meets those
tests, else the one that is named after it. A fault is a comparison turned round or off by one, a number
one more or less, and for or, a condition turned round, a statement left out, nothing returned. Printed
are the survivors with their lines, and how many there are. A survivor is killed by a test, or changes
nothing that can be seen: the note beside the main law says which. Lines are those of ``ast.unparse``.
"""

from __future__ import annotations

import ast
import copy
import gc
import importlib.abc
import importlib.util
import io
import os
import random
import resource
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import redirect_stdout
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings

Asked = list[tuple[Any, dict[str, Any]]]
"""Questions, with what is expected of each answer."""

TESTS = ("readiness/judging", "tests/key/test_reasons.py", "tests/key/test_edition_2.py")
"""For a module of ``judging``, examples in its docstrings too."""
LONGEST = 200
"""Seconds of work after which a fault that does not end is killed."""
QUICK = (
    "-x", "-q", "-n", "0", "-p", "no:cacheprovider", "-W", "ignore", "--hypothesis-profile=once",
    "-k", "not (cohort or sql or (logic and program) or (second and reading))",
)  # fmt: skip
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
    """Yield what says nothing when it runs: types, decorators, what is offered, sides that are as long."""
    for node in ast.walk(tree):
        is_offer = isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"
        if is_offer or (isinstance(node, ast.keyword) and node.arg == "strict"):
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
        module.__file__ = str(Path(*self.module.split(".")).with_suffix(".py"))
        exec(compile(self.source, self.module, "exec"), module.__dict__)


def examples() -> Asked:
    """Return the examples of the main law, with what the second reading says of each."""
    from laws.asking import for_each_leaning
    from second_reading.reading import why

    from readiness.testing import situations

    found: list[Any] = []

    def keep(situation: Any) -> None:
        found.append(situation)

    for_each_leaning(keep, lambda lean: situations(lean=lean))
    return [(s, why(s.graph, s.pacing, "somebody", s.student, s.on, s.studio)) for s in found]


class Tried:
    """One module, and all that asks it."""

    def __init__(self, path: str, asked: Asked, tests: Sequence[str]) -> None:
        self.module, self.asked, self.tests = ".".join(Path(path).with_suffix("").parts), asked, tests
        self.source = ast.unparse(ast.parse(Path(path).read_text(encoding="utf-8")))
        self.codes = dict(_codes(compile(self.source, path, "exec")))
        loaded = [one for one in gc.get_objects() if isinstance(one, FunctionType)]
        self.functions = [one for one in loaded if one.__module__ == self.module]

    def is_killed(self, source: str) -> bool:
        """Return whether the tests fail, or do not end, with a source in place of the module."""
        child = os.fork()
        if not child:
            status = 1
            try:
                resource.setrlimit(resource.RLIMIT_CPU, (LONGEST, LONGEST))
                status = int(not self._passes(source))
            finally:
                os._exit(status)
        return os.waitpid(child, 0)[1] != 0

    def _passes(self, source: str) -> bool:
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1), os.dup2(null, 2)
        if not self._grafted(source):
            for name, one in [*sys.modules.items()]:
                if name != "__main__" and (getattr(one, "__file__", None) or "").startswith(str(Path.cwd())):
                    del sys.modules[name]
            sys.meta_path.insert(0, Finder(self.module, source))
        from readiness.testing import ask

        for situation, expected in self.asked:
            said = ask(situation).json
            if any(said[key] != value for key, value in expected.items()):
                return False
        return pytest.main([*QUICK, *self.tests]) == 0

    def _grafted(self, source: str) -> bool:
        """Give the functions that differ the code of a source, and return whether there are any."""
        codes = dict(_codes(compile(source, self.module, "exec")))
        differ = [one for one in self.functions if self._differs(codes, one.__code__.co_qualname)]
        for one in differ:
            one.__code__ = codes[one.__code__.co_qualname]
        return bool(differ) or source == self.source

    def _differs(self, codes: Mapping[str, CodeType], name: str) -> bool:
        return name in codes and codes[name] != self.codes[name]


def _codes(code: CodeType) -> Iterator[tuple[str, CodeType]]:
    for inner in (one for one in code.co_consts if isinstance(one, CodeType)):
        yield inner.co_qualname, inner
        yield from _codes(inner)


def main(most: int, *paths: str) -> None:
    """Print the faults of some modules that no test notices, as many drawn of each."""
    settings.register_profile(
        "once", max_examples=60, derandomize=True, database=None, deadline=None,
        suppress_health_check=list(HealthCheck), phases=(Phase.explicit, Phase.generate),
    )  # fmt: skip
    settings.load_profile("once")
    named = [path for path in paths if path.startswith("tests")]
    modules = [path for path in paths if path not in named]
    survivors = drawn = 0
    asked: Asked = []
    known: list[list[str]] = []
    for number, path in enumerate(modules):
        _, folder, name = Path(path).with_suffix("").parts[:3]
        judging = folder == "judging"
        asked = asked or (examples() if judging else [])
        tests = [*TESTS, *named] if judging else named or [f"tests/{folder}/test_{name}.py"]
        if tests not in known:
            with redirect_stdout(io.StringIO()):
                pytest.main([*QUICK, "--collect-only", *tests])
        one = Tried(path, asked if judging else [], tests)
        assert tests in known or not one.is_killed(one.source), f"{tests} fail without a fault"
        known.append(tests)
        every = list(mutants(one.source))
        share = most // len(modules) + (number < most % len(modules))
        for line, faulty in sorted(random.Random(0).sample(every, min(share, len(every)))):
            drawn += 1
            print(end=".", file=sys.stderr, flush=True)
            if not one.is_killed(faulty):
                survivors += 1
                was, is_ = (text.splitlines()[line - 1].strip() for text in (one.source, faulty))
                print(f"{path}: {was}\n    -> {is_}", flush=True)
    print(f"{drawn - survivors} of {drawn} killed")


if __name__ == "__main__":
    main(int(sys.argv[1]), *sys.argv[2:])
