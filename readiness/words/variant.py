"""What a course based on another has otherwise, in words, with the line of each thing."""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.model import Course
from readiness.words.grammar import counted, listed
from readiness.words.page import Paragraph, Section, item
from readiness.words.workbench import difference_section
from readiness.workbench.variant import Variant

__all__ = ["variant_sections"]


def variant_sections(found: Variant, course: Course) -> Iterator[Section]:
    """Yield whose the numbers and links are, and what is different."""
    if found.base is None:
        yield Section("", (Paragraph("This course stands on its own: nothing is inherited."),))
        return
    (numbers, links), (their_numbers, their_links) = found.own, found.inherited
    yield Section(
        f"Based on {found.base}",
        (
            item(f"{counted(numbers, 'number')} and {counted(links, 'link')} of its own."),
            item(f"{counted(their_numbers, 'number')} and {counted(their_links, 'link')} inherited."),
        ),
    )
    if found.course is not None and found.different:
        yield difference_section(found.different, found.course, course)
    if found.repeated:
        names = listed([f"{rule} for band {band}" for band, rule in found.repeated])
        words = f"{names}. Taken out, they would follow when the other course changes."
        yield Section("Written again with the same value", (Paragraph(words),))
