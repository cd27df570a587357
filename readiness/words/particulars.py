"""What whoever teaches a student has to know: listed, and what is another now."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict

from readiness.record.model import Alternative, Record, Told
from readiness.words.cautions import caution
from readiness.words.grammar import capital, date_words, quoted, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.wording import seat

__all__ = ["particular_titles", "particulars_words", "told_lines"]

def particular_titles() -> Mapping[str, str]:
    """Return what each of the particulars is called."""
    return {
        "stop": "Stop sign or word",
        "bench": capital(seat()),
        "footrest": "Footrest",
        "distance": "Distance",
        "words": "Own words for things",
        "upsets": "What upsets",
        "collects": "Who collects",
    }


def particulars_words(record: Record, before: Record | None, width: int = 80) -> str:
    """Return a student's particulars, the ways agreed and who was told.

    Args:
        record: as the file is now; before: as it was, where something was changed just now.
        width: the widest line.
    """
    known = tuple(map(item, _known(record, before)))
    nothing = (Paragraph("Nothing is noted yet; `readiness particulars --help` says what can be."),)
    sections = (
        Section("", (Paragraph(f"{tidy(record.name)}: what whoever teaches has to know"),)),
        Section("Particulars", known or nothing),
        Section("Another way, by agreement", tuple(map(item, _ways(record)))),
        Section("Who was told", tuple(map(item, told_lines(record)))),
        Section("", (Paragraph(_last(record, before)),)),
    )
    return lay_out(sections, width)


def _known(record: Record, before: Record | None) -> Iterator[str]:
    """Yield what is noted, with the words before where it is another now."""
    now = asdict(record.particulars)
    then = now if before is None else asdict(before.particulars)
    for name, title in particular_titles().items():
        was = f" (before: {quoted(tidy(then[name]))})" if then[name] and then[name] != now[name] else ""
        if now[name] or was:
            yield f"{title}: {tidy(now[name]) or 'taken out'}{was}"


def _ways(record: Record) -> Iterator[str]:
    for one in sorted(record.alternatives, key=_day):
        yield f"{one.skill}, since {date_words(one.on)}, with {tidy(one.agreed_with)}: {tidy(one.text)}"


def _day(entry: Alternative | Told) -> int:
    return entry.on


def told_lines(record: Record) -> Iterator[str]:
    """Yield who was told what, and when."""
    for one in sorted(record.told, key=_day):
        yield f"{date_words(one.on)}, to {tidy(one.to)}: {tidy(one.what)}"


def _last(record: Record, before: Record | None) -> str:
    who = f"The page for a substitute has them: `readiness handover {record.id}`"
    return who if before is None else f"{who}. {caution('C9')}"
