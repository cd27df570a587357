"""A frozen value some of whose fields are worked out when they are first asked for.

Of a whole school most things are never looked at: nobody reads the reasons of 1,500 answers.
What is left for later is a pure function of what is there already, so an equal value comes of it
whenever it is asked; and equality, copies and changes ask for all of it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import TYPE_CHECKING, Any, Self

__all__ = ["LazyFields"]


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
        every = fields(self)  # type: ignore[arg-type]  # whatever inherits this is a dataclass
        return type(self), tuple(getattr(self, field.name) for field in every)
