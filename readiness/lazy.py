"""Laziness, decided once for the whole house: classes and fields that are made when they are first needed.

A command uses some of the values there are, and of a whole school most things are never looked at: nobody
reads the reasons of 1,500 answers. So :func:`dataclass` writes the methods of a class when its first value
is made, and :class:`LazyFields` works a field out when it is first asked for. What is left for later is a
pure function of what is there already: an equal value comes of it whenever it is asked for.
"""

from __future__ import annotations

from _thread import RLock
from collections.abc import Callable, Iterator, Mapping
from operator import attrgetter
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any, Final, Self

__all__ = ["LazyFields", "dataclass", "differing", "fields_of", "fields_from", "methods_of", "regex"]

if TYPE_CHECKING:
    from dataclasses import dataclass
    from re import compile as regex
else:

    class regex:  # noqa: N801 - stands for a function
        """A regular expression as ``re.compile`` makes it, made at first use: most commands need a few."""

        def __init__(self, *asked: Any) -> None:  # noqa: ANN401 - what ``re.compile`` takes
            self._asked = asked

        def __getattr__(self, name: str) -> Any:  # noqa: ANN401 - any method of a regular expression
            from re import compile as made

            found = self.__dict__[name] = getattr(made(*self._asked), name)
            return found

    def dataclass(cls: type | None = None, /, **options: bool) -> Any:  # noqa: ANN401 - a class or what makes one
        """Return a class as ``dataclasses.dataclass`` makes it, with its methods written at first use.

        Writing them takes longer than all else that a start does with a class, and there are some
        hundreds. Options other than ``frozen`` change the class itself and cannot wait.
        """
        if cls is None:
            return lambda given: dataclass(given, **options)
        if options.keys() - {"frozen"}:
            import dataclasses

            return dataclasses.dataclass(cls, **options)
        _Pending(cls, options)
        return cls


_LOCK: Final = RLock()
_METHODS: Final = ("__init__", "__repr__", "__eq__", "__hash__")
_FROZEN: Final = ("__setattr__", "__delattr__")
_ASKED: Final = ("__dataclass_fields__", "__match_args__", "__signature__")
"""What is asked of a class before there is a value of it."""


class _Pending:
    """A class that is not made yet: each of its methods makes it, and so does who asks for its fields."""

    def __init__(self, cls: type, options: Mapping[str, bool]) -> None:
        self._cls, self._options = cls, options
        names = (*_METHODS, *(_FROZEN if options.get("frozen") else ()))
        self._mine = (*(name for name in names if name not in cls.__dict__), *_ASKED)
        for name in self._mine:
            setattr(cls, name, _Asked(self, name) if name in _ASKED else self._method(name))

    def _method(self, name: str) -> Callable[..., Any]:
        def method(*args: Any, **named: Any) -> Any:  # noqa: ANN401 - whatever the method takes
            self.make()
            return getattr(self._cls, name)(*args, **named)

        return method

    def make(self) -> None:
        """Write the methods of the class, once."""
        import dataclasses  # here, since a start has no need of it

        with _LOCK:
            mine, self._mine = self._mine, ()
            for name in mine:
                if name in _ASKED:  # a method stays until it is replaced: somebody else may call it meanwhile
                    delattr(self._cls, name)
            if mine:
                dataclasses.dataclass(self._cls, init=False, repr=False, eq=False)
                for method in _methods(self._cls, dataclasses.fields(self._cls), **self._options):
                    if method.__name__ in mine:
                        method.__qualname__ = f"{self._cls.__qualname__}.{method.__name__}"
                        method.__module__ = self._cls.__module__
                        setattr(self._cls, method.__name__, method)


def _methods(cls: Any, fields: tuple[Any, ...], frozen: bool = False) -> Iterator[Callable[..., Any]]:  # noqa: ANN401 - as dataclasses have it
    """Yield the methods that ``dataclasses`` would write, one of them as text, which takes its time."""
    yield _init(cls, fields)
    yield from _comparing(fields)
    if frozen:
        yield from _refusing(cls, {one.name for one in fields})
    else:
        cls.__hash__ = None  # what may change has none


def _init(cls: type, fields: tuple[Any, ...]) -> Callable[..., None]:
    from dataclasses import MISSING

    known: dict[str, Any] = {"_set": object.__setattr__, "_made": _MADE}
    asked, body = [], ["pass"]
    for one in fields:
        name, default = one.name, "" if one.default is MISSING else f"=_d_{one.name}"
        known[f"_d_{name}"], value = one.default, name
        if one.default_factory is not MISSING:
            known[f"_d_{name}"], default = one.default_factory, "=_made"
            value = f"_d_{name}() if {name} is _made else {name}"
        if one.init:
            asked.append(f"{name}{default}")
        elif default == "=_made":
            value = f"_d_{name}()"
        else:
            continue
        body.append(f"_set(self,{name!r},{value})")
    body += ["self.__post_init__()"] * hasattr(cls, "__post_init__")
    exec(f"def __init__(self,{','.join(asked)}):\n {';'.join(body)}", known)  # noqa: S102 - names of fields
    made: Callable[..., None] = known["__init__"]
    made.__annotations__ = {one.name: one.type for one in fields if one.init} | {"return": None}
    return made


def _comparing(fields: tuple[Any, ...]) -> Iterator[Callable[..., Any]]:
    get = attrgetter("__class__", "__class__", *(one.name for one in fields if one.compare))

    @recursive_repr()
    def __repr__(self: object) -> str:  # noqa: N807 - here and below: the methods of a class
        shown = (f"{one.name}={getattr(self, one.name)!r}" for one in fields if one.repr)
        return f"{type(self).__qualname__}({', '.join(shown)})"

    def __eq__(self: object, other: object) -> bool:  # noqa: N807
        return get(self) == get(other) if type(self) is type(other) else NotImplemented

    def __hash__(self: object) -> int:  # noqa: N807
        return hash(get(self))

    yield from (__repr__, __eq__, __hash__)


def _refusing(cls: Any, names: set[str]) -> Iterator[Callable[..., None]]:  # noqa: ANN401 - a class
    from dataclasses import FrozenInstanceError

    def __setattr__(self: object, name: str, value: object) -> None:  # noqa: N807
        if type(self) is cls or name in names:
            raise FrozenInstanceError(f"cannot assign to field {name!r}")
        super(cls, self).__setattr__(name, value)

    def __delattr__(self: object, name: str) -> None:  # noqa: N807
        if type(self) is cls or name in names:
            raise FrozenInstanceError(f"cannot delete field {name!r}")
        super(cls, self).__delattr__(name)

    yield from (__setattr__, __delattr__)


class _Made:
    """What stands for a value that is made when it is not given."""

    def __repr__(self) -> str:
        return "<factory>"


_MADE: Final = _Made()


class _Asked:
    """Something of a class that is there once it is made."""

    def __init__(self, pending: _Pending, name: str) -> None:
        self._pending, self._name = pending, name

    def __get__(self, value: object, owner: type) -> Any:  # noqa: ANN401 - whatever is there then
        self._pending.make()
        return getattr(owner, self._name, None)


def fields_of(value: object) -> list[tuple[str, Any]]:
    """Return the fields of a dataclass's value, each with its name."""
    from dataclasses import fields

    return [(one.name, getattr(value, one.name)) for one in fields(value)]  # type: ignore[arg-type]


def differing(before: object, after: object) -> Iterator[tuple[str, Any, Any]]:
    """Return the fields in which two values of one dataclass differ: the name, then what each has there."""
    pairs = zip(fields_of(before), fields_of(after), strict=True)
    return ((name, was, now) for (name, was), (_, now) in pairs if was != now)


def methods_of(value: object) -> Callable[[str], object]:
    """Return what gives a field by calling the method of a value that has its name."""
    return lambda name: getattr(value, name)()


def fields_from(source: Callable[[str], object]) -> Callable[[str], object]:
    """Return what gives a field of another value, which ``source`` gives by the name of the field."""
    return lambda name: getattr(source(name), name)


class LazyFields:
    """What frozen dataclasses inherit that may leave fields for later.

    A field that is left for later has no default value in the class; one made by a
    ``default_factory`` has none.
    """

    @classmethod
    def later(cls, now: Mapping[str, object], rest: Callable[[str], object]) -> Self:
        """Return a value with the fields known ``now``; ``rest`` gives any other by its name."""
        made = object.__new__(cls)
        hasattr(cls, "__dataclass_fields__")  # makes the class, which has defaults as attributes until then
        made.__dict__.update(now, _rest=rest)
        return made

    if not TYPE_CHECKING:  # a name that is no field is a mistake in the program, and is to be found as one

        def __getattr__(self, name: str) -> Any:  # noqa: ANN401 - any field
            """Work out a field that was left for later."""
            rest = self.__dict__.get("_rest")
            if rest is None or name not in type(self).__dataclass_fields__:
                raise AttributeError(name, name=name, obj=self)
            value = self.__dict__[name] = rest(name)
            return value

    def __reduce__(self) -> tuple[type[Self], tuple[object, ...]]:
        """Return how to make it again elsewhere, with all its fields."""
        return type(self), tuple(value for _, value in fields_of(self))
