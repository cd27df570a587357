"""The kinds of text in the models of the files: each refuses what a terminal would not show as written."""

from __future__ import annotations

from typing import Annotated, LiteralString

from pydantic import AfterValidator, BeforeValidator, Field
from pydantic_core import PydanticCustomError

from readiness.toml.texts import composed, unseen

__all__ = ["Called", "Line", "Name", "Text", "refused"]


def refused(problem: LiteralString, message: str, hint: str) -> PydanticCustomError:
    """Return a problem in our own words, for pydantic to place."""
    return PydanticCustomError(problem, "{message}", {"message": message, "hint": hint})


def _shown(value: object, also: str = "") -> object:
    """Refuse characters that do something instead of being seen."""
    if isinstance(value, str) and (ch := unseen(value, also)):
        message = f"this text holds an unseen character, U+{ord(ch):04X}"
        raise refused("unseen-character", message, "write it without")
    return value


Line = Annotated[str, BeforeValidator(_shown)]
Called = Annotated[Line, AfterValidator(composed)]
Name = Annotated[Called, Field(min_length=1, pattern=r"\S")]
Text = Annotated[str, BeforeValidator(lambda value: _shown(value, "\n\t"))]
