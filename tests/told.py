"""Pages as the texts that are printed."""

from __future__ import annotations

from inspect import signature

from readiness.words.layout import lay_out

__all__ = ["text_of"]


def text_of(page, *args, width=80, full=False, **named):
    """Return what a function of ``readiness.words`` tells, laid out: in short, or all of it."""
    if "full" in signature(page).parameters:
        named["full"] = full
    return lay_out(page(*args, **named), width, full=full)
