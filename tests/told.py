"""Pages as the texts that are printed."""

from __future__ import annotations

from dataclasses import replace
from inspect import signature

from readiness.judging import what_if
from readiness.words.changes import compare_sections
from readiness.words.layout import lay_out
from readiness.words.phrases import Phrases

__all__ = ["page_of", "text_of", "what_if_text", "with_events"]


def with_events(answer, *events):
    """Return an answer in a studio with some events; which lessons are to come stays as it was."""
    return replace(answer, calendar=replace(answer.calendar, events=events))


def text_of(page, *args, width=80, full=None, **named):
    """Return what a function of ``readiness.words`` tells, laid out; ``full``: all of it."""
    own = signature(page).parameters.get("full")
    if own is not None:
        full = named["full"] = own.default if full is None else full
    return lay_out(page(*args, **named), width, full=bool(full))


def page_of(page, found, answer, course, record, *more, **how):
    """Return what a page says of what was found; the answer is of the same day."""
    return text_of(page, found, Phrases(answer, course, record), *more, **how)


def what_if_text(answer, course, record, changes):
    """Return what would be otherwise with other rules or showings on the day of an answer."""
    changed, values = what_if(course, record, answer.on, changes)
    return page_of(compare_sections, Phrases(answer, course, record), changed, course, record, values)
