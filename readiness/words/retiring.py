"""May this skill be deleted? In words: what stands on it, who has notes on it, what to write."""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.model import Course
from readiness.words.grammar import counted, date_words, listed, tidy
from readiness.words.page import Paragraph, Section, item
from readiness.words.workbench import skill_words
from readiness.workbench.mentions import Mention
from readiness.workbench.retiring import Retiring

__all__ = ["retiring_sections"]


def retiring_sections(found: Retiring, course: Course) -> Iterator[Section]:
    """Yield the question, the answer and the lines to write; who changes is said elsewhere."""
    yield Section("", (Paragraph(_question(found, course)),))
    yield Section("What stands on it", tuple(_uses(found, course)))
    yield Section("Whose records name it", tuple(_mentions(found)))
    yield Section("What becomes of the notes", (Paragraph(_notes(found, course)),))
    yield Section(
        "What to write into the skill graph; nothing is written for you", tuple(_lines(found, course))
    )


def _question(found: Retiring, course: Course) -> str:
    names = listed([skill_words(course, skill) for skill in found.skills])
    heirs = listed([skill_words(course, skill) for skill in found.into])
    day = date_words(found.day)
    if not found.into:
        kept = (
            "Please do not delete it"
            if found.mentions
            else "No record names it, so it could be deleted; better"
        )
        return f"Can {names} go? {kept}: retire it from {day} on, and old decisions stay explainable."
    if len(found.skills) > 1:
        return f"{names} become {heirs}, from {day} on."
    return f"{heirs} {'takes' if len(found.into) == 1 else 'take'} the place of {names}, from {day} on."


def _uses(found: Retiring, course: Course) -> Iterator[Paragraph]:
    if not found.uses:
        yield Paragraph("Nothing.")
    for user, named, place in found.uses:
        where = f" ({place.file.name}:{place.line})" if place else ""
        about = f" names {skill_words(course, named)}" if len(found.skills) > 1 else ""
        yield item(f"{skill_words(course, user)}{about}{where}.")
    if found.uses and found.into:
        heirs = listed([skill_words(course, skill) for skill in found.into])
        yield Paragraph(f"From that day on these lists mean {heirs}; leave them as they are.")
    elif found.uses:
        yield Paragraph("From that day on their lists are read without it; leave them as they are.")


def _mentions(found: Retiring) -> Iterator[Paragraph]:
    if not found.mentions:
        yield Paragraph("Nobody's.")
    for one in found.mentions:
        yield item(f"{tidy(one.name)}: {listed(list(_kinds(one)))}.")


def _kinds(one: Mention) -> Iterator[str]:
    if one.notes and one.first is not None and one.last is not None:
        span = (
            f"on {date_words(one.first)}"
            if one.notes == 1
            else f"{date_words(one.first)} to {date_words(one.last)}"
        )
        yield f"{counted(one.notes, 'lesson day')}, {span}"
    if one.aside:
        yield "set aside by agreement"
    if one.tasks:
        yield counted(one.tasks, "home task")
    if one.other_way:
        yield "shown in another way by agreement"


def _notes(found: Retiring, course: Course) -> str:
    if not found.into:
        return (
            "They stay in the files and count for every day before; from that day on nothing asks for them."
        )
    heirs = listed([skill_words(course, skill) for skill in found.into])
    each = "each of " if len(found.into) > 1 else ""
    words = f"They stay where they are and count for {each}{heirs} from that day on"
    if found.both:
        students = counted(found.both, "student has", "students have")
        words = f"{words}. {students} notes on more than one of them"
    return f"{words}: of two on one day the one with more help counts."


def _lines(found: Retiring, course: Course) -> Iterator[Paragraph]:
    for (text, place), name in zip(found.lines, (*found.skills, *found.new), strict=True):
        if place is not None:
            yield item(f"below [skill.{name}] ({place.file.name}:{place.line}):")
        else:
            copied = skill_words(course, found.skills[0])
            yield item(f"a new table, copied from {copied}, with its own name and criterion, beginning:")
        yield from (Paragraph(line, 4) for line in text.splitlines())
