"""``readiness tell ID student|family|school``: a draft for one reader. Nothing is sent."""

from __future__ import annotations

import argparse

from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import add_full_option, student_options
from readiness.cli.inputs import add_page_options, open_entry, show
from readiness.cli.output import aside
from readiness.days import iso
from readiness.pages.document import sections_page
from readiness.terms import LANGUAGES
from readiness.words.letters import READERS, is_shipped, letter, letter_sections, letter_words, template_text


def _languages() -> str:
    return ", ".join(f"{code} ({name})" for code, name in LANGUAGES.items())


@command(
    "tell",
    student_options(may_leave_out=True),
    add_page_options,
    option("reader", metavar="READER", nargs="?", choices=[*READERS, "child"],
        help="who the draft is for: student (or child), family or school",
    ),
    option(
        "--language", metavar="CODE",
        help=f"the language of the draft: {_languages()} (default: the one in the student's file)",
    ),
    option(
        "--template", metavar="READER", choices=list(READERS),
        help="print the text of a letter, to begin your own from (letters/READER.txt beside studio.toml)",
    ),
    add_full_option,
)
def run_tell(args: argparse.Namespace) -> Exit:
    """Print the draft, or the text that drafts are made from."""
    if args.language is not None and args.language not in LANGUAGES:
        raise CommandError(f'there are no letters in "{args.language}". There are: {_languages()}.')
    if args.template:
        print(_template(args.template, args.language or "en"), end="")
        return Exit.READY
    if not args.student or not args.reader:
        how = f"`readiness tell {args.student or 'ID'} {'|'.join(READERS)}`"
        raise CommandError(f"please say about whom and for whom: {how}.")
    entry = open_entry(args, writes=False)
    letters, language = entry.studio.where.letters, args.language or ""
    draft = letter(args.reader, entry.answer(), entry.course, entry.record, letters, language)
    spoken = "" if draft.language == "en" else draft.language
    found = {
        "student": entry.record.id,
        "on": iso(entry.on),
        "for": draft.reader,
        "language": draft.language,
        "sentences": list(draft.sentences),
        "before_use": list(draft.after),
    }
    if show(
        args,
        letter_words(draft),
        lambda paper: sections_page(letter_sections(draft), paper, kind="letter", language=spoken),
        lambda: found,
    ):
        for words in draft.after:
            aside(words)
    return Exit.READY


def _template(reader: str, language: str) -> str:
    if not is_shipped(reader, language):
        raise CommandError(f"there is no letter to the {reader} in {LANGUAGES[language]} yet.")
    return template_text(reader, language)
