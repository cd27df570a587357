"""Laziness, decided once for the whole house: classes and fields that are made when they are first needed.

A command uses some of the values there are, and of a whole school most things are never looked at: nobody
reads the reasons of 1,500 answers. So :func:`dataclass` writes the methods of a class when its first value
is made, and :class:`LazyFields` works a field out when it is first asked for. What is left for later is a
pure function of what is there already: an equal value comes of it whenever it is asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from threading import RLock
from typing import TYPE_CHECKING, Any, Final, Self

__all__ = ["LazyFields", "dataclass"]

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

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
                delattr(self._cls, name)
            if mine:
                dataclasses.dataclass(self._cls, **self._options)


class _Asked:
    """Something of a class that is there once it is made."""

    def __init__(self, pending: _Pending, name: str) -> None:
        self._pending, self._name = pending, name

    def __get__(self, value: object, owner: type) -> Any:  # noqa: ANN401 - whatever is there then
        self._pending.make()
        return getattr(owner, self._name, None)


class LazyFields:
    """What frozen dataclasses inherit that may leave fields for later.

    A field that is left for later has no default value in the class; one made by a
    ``default_factory`` has none.
    """

    @classmethod
    def later(cls, now: Mapping[str, object], rest: Callable[[str], object]) -> Self:
        """Return a value of this class.

        Args:
            now: the fields that are known already.
            rest: gives any other field by its name.
        """
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
        import dataclasses

        every = dataclasses.fields(self)  # type: ignore[arg-type]  # whatever inherits this is a dataclass
        return type(self), tuple(getattr(self, field.name) for field in every)
