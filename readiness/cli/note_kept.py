"""What was typed for ``readiness note`` where it cannot be noted: kept half entered, never lost.

A mistake in a file is mended at the desk; what was seen in a lesson is gone by then. No course
is read here, so the skills are kept as they were typed and understood later.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from readiness.cli.care import find_care
from readiness.cli.commands import CommandError
from readiness.cli.entering import Entry
from readiness.cli.saying import aside
from readiness.record import half_done
from readiness.record.noting import FIELDS, NewLesson
from readiness.words.kept_lesson import not_kept_words, unnoted_words

__all__ = ["drop_kept_lesson", "kept_after_all", "kept_as_typed"]


def kept_as_typed(args: argparse.Namespace, why: CommandError) -> CommandError:
    """Keep what was typed, and return why it was not noted, with where it is now."""
    try:
        care = find_care(args)
    except CommandError:
        return why
    lesson = _as_typed(args, care.on)
    return why if lesson.is_empty else kept_after_all(care.record.id, care.path, lesson, str(why))


def kept_after_all(student: str, path: Path, lesson: NewLesson, why: str) -> CommandError:
    """Keep a lesson that could not be written, and return why, with where it is now."""
    refusal = half_done.keep_beside(path, lesson)
    if refusal is not None:
        return CommandError(not_kept_words(why, refusal.message, student, lesson))
    return CommandError(unnoted_words(why, student, lesson, half_done.half_done_path(path)))


def drop_kept_lesson(entry: Entry) -> None:
    """Forget what was half entered, and say so where it cannot be deleted: it is offered again then."""
    if refusal := half_done.drop(entry.path):
        aside(refusal.message)


def _as_typed(args: argparse.Namespace, on: int) -> NewLesson:
    """Return the lesson with each list of skills as one word, since nobody can tell them apart here."""
    helps = {typed: given for given, name in enumerate(FIELDS) for typed in getattr(args, name)}
    pairs = [text.partition("=") for text in args.remark]
    return NewLesson(
        on,
        helps,
        tuple(args.not_tried),
        args.by,
        args.text,
        {skill.strip(): words.strip() for skill, _, words in pairs},
        tuple(args.disliked),
        tuple(args.liked_again),
        {skill.strip(): how.strip() for skill, _, how in (text.partition("=") for text in args.tried_again)},
    )
