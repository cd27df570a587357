"""A class whose methods are written at first use is the class that ``dataclasses`` makes."""

from __future__ import annotations

import contextlib
import copy
import dataclasses
import importlib
import inspect
import pickle
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from readiness.lazy import LazyFields, dataclass
from readiness.toml.write import Refusal

ROOT = Path(__file__).parents[2]


def pair(make):
    """Return two classes with a default, one under the other, made by ``make``."""

    @make(frozen=True)
    class Base:
        a: int
        b: list[int] = dataclasses.field(default_factory=list, compare=False)

    @make(frozen=True)
    class Child(Base):
        c: str = "x"
        d: int = dataclasses.field(init=False)
        e: list[int] = dataclasses.field(init=False, default_factory=list, compare=False)
        f: int = dataclasses.field(init=False, default=3)

        def __post_init__(self):
            object.__setattr__(self, "d", self.a + 1)

        def __repr__(self):
            return f"child {self.c}"

    return Base, Child


TRIED = {
    "fields": lambda base, child: [one.name for one in dataclasses.fields(child)],
    "is one": lambda base, child: dataclasses.is_dataclass(child),
    "signature": lambda base, child: str(inspect.signature(child)),
    "equal": lambda base, child: (base(1) == base(1), base(1) == base(2), child(1) == base(1)),
    "hash": lambda base, child: hash(child(1, [], "y")) == hash(child(1, [2], "y")),
    "own repr": lambda base, child: repr(child(1)),
    "repr": lambda base, child: repr(base(3)).rpartition(".")[2],
    "replace": lambda base, child: dataclasses.replace(child(1, [4]), c="z").c,
    "as dict": lambda base, child: dataclasses.asdict(child(1, [4])),
    "match": lambda base, child: base.__match_args__,
    "frozen": lambda base, child: refused(lambda: setattr(child(1), "a", 2)),
    "deleted": lambda base, child: refused(lambda: delattr(base(1), "a")),
    "missing": lambda base, child: refused(base),
    "odd": lambda base, child: refused(lambda: child(1, g=2)),
}


def refused(do):
    """Return what is raised."""
    with pytest.raises((AttributeError, TypeError)) as raised:
        do()
    return type(raised.value).__name__, str(raised.value)


@pytest.mark.parametrize("asked_first", TRIED)
def test_whatever_is_asked_first_the_answer_is_the_same(asked_first):
    lazy, plain = pair(dataclass), pair(dataclasses.dataclass)
    for name in (asked_first, *TRIED):
        assert TRIED[name](*lazy) == TRIED[name](*plain), name


@pytest.mark.parametrize("make", [dataclass, dataclasses.dataclass])
def test_the_first_value_may_leave_its_fields_for_later(make):
    """As in a school of which everything was kept: its first record leaves the lessons in the file."""

    @make(frozen=True)
    class Left(LazyFields):
        a: int
        b: tuple[int, ...] = dataclasses.field(default_factory=tuple)

    left = Left.later({"a": 1}, lambda name: (2,))
    assert (left.a, left.b, left == Left(1, (2,))) == (1, (2,), True)


def test_many_may_ask_at_once():
    for _ in range(50):
        base, _ = pair(dataclass)
        with ThreadPoolExecutor(8) as pool:
            assert len({hash(one) for one in pool.map(lambda _, make=base: make(1), range(16))}) == 1


def test_a_value_that_came_from_elsewhere_is_compared_before_any_is_made():
    """Another process makes two values of a class from bytes, and has not made one itself."""
    from readiness.toml.problems import Place

    data = pickle.dumps([Place(Path("a"), 1, 2), Place(Path("a"), 1, 2), Place(Path("a"), 1, 3)])
    read = "import pickle, sys; a, b, c = pickle.load(sys.stdin.buffer)"
    program = f"{read}; print(a == b, a == c, len({{a, b}}))"
    done = subprocess.run(
        [sys.executable, "-c", program], input=data, capture_output=True, cwd=ROOT, check=True
    )
    assert done.stdout.decode().split() == ["True", "False", "1"]


def classes():
    """Yield every class of the house."""
    for path in sorted(path for room in ("readiness", "tui") for path in ROOT.glob(f"{room}/**/*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        if parts[-1] in ("__init__", "__main__"):
            continue
        module = importlib.import_module(".".join(parts))
        mine = (one for one in vars(module).values() if isinstance(one, type))
        yield from (one for one in mine if one.__module__ == module.__name__)


def test_every_class_can_be_made():
    """A mistake in a class would otherwise wait until its first value."""
    assert sum(dataclasses.is_dataclass(one) and bool(dataclasses.fields(one)) for one in classes()) > 200


def test_every_error_passes_through_a_with_and_to_another_process():
    """A ``with`` sets the traceback of what passes through it, and a pool of processes sends it back."""

    @contextlib.contextmanager
    def passing():
        yield

    errors = [one for one in classes() if issubclass(one, BaseException)]
    assert len(errors) > 10
    for error in errors:
        own = vars(error).get("__init__")
        every = inspect.signature(own).parameters.values() if own else ()
        asked = [one.annotation for one in every if one.default is one.empty]
        given = [Refusal("id", "why") if one == "Refusal" else "why" for one in asked[1:]]
        with pytest.raises(error) as raised, passing():
            raise error(*given)
        for again in (copy.deepcopy(raised.value), pickle.loads(pickle.dumps(raised.value))):
            assert (type(again), str(again), vars(again)) == (error, str(raised.value), vars(raised.value))
