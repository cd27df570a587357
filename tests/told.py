"""Pages as the texts that are printed."""

from __future__ import annotations

from inspect import signature

from readiness.words.layout import lay_out
from readiness.words.phrases import Phrases

__all__ = ["page_of", "text_of"]


def text_of(page, *args, width=80, full=None, **named):
    """Return what a function of ``readiness.words`` tells, laid out; ``full``: all of it."""
    own = signature(page).parameters.get("full")
    if own is not None:
        full = named["full"] = own.default if full is None else full
    return lay_out(page(*args, **named), width, full=bool(full))


def page_of(page, found, answer, course, record, *more, **how):
    """Return what a page says of what was found; the answer is of the same day."""
    return text_of(page, found, Phrases(answer, course, record), *more, **how)
