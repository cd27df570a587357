"""A course in words: sizes of units with their sums, long links, the skills most others build on."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import partial
from typing import Final

from readiness.course.checks.units import Leap
from readiness.course.model import Course, Skill, bits
from readiness.editing.dry_run import Mention, Retiring
from readiness.editing.exchange import Incoming
from readiness.editing.facts import FAR, Colleague, CourseFacts, UnitFacts, Variant
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.school.counts import FEW, Past
from readiness.words.changes import difference_section, skill_words
from readiness.words.english import STATE_LETTERS, stay_words
from readiness.words.grammar import (
    capital,
    counted,
    date_words,
    few_of,
    listed,
    quoted,
    tidy,
    unit_words,
    written,
)
from readiness.words.layout import Heading, Page, Paragraph, Section, bullets, columns, item, plain
from readiness.words.phrases import Phrases

__all__ = [
    "LISTS", "advice_sections", "fact_sections", "incoming_words", "retiring_sections", "skill_lines",
    "unanswered_words", "unit_sections", "variant_sections",
]  # fmt: skip


def fact_sections(course: Course, facts: CourseFacts, lists: tuple[str, ...]) -> Page:
    """Yield some of the lists of facts, by their names in :data:`LISTS`."""
    for name in lists:
        yield from LISTS[name](course, facts)


def unit_sections(course: Course, facts: CourseFacts, past: Sequence[Past]) -> Page:
    """Yield one page about a unit: too big or too small, its leap and chain, its reach back, past times.

    ``facts`` are those of this unit alone.
    """
    (one,) = facts.units
    weeks = counted(course.unit[one.unit].lesson_weeks, "lesson week")
    yield f"{capital(unit_words(course, one.unit))} - {weeks}"
    sized = [(leap.size, course.years(leap.band)) for leap in facts.leaps]
    big, small = ([age for size, age in sized if size == which] for which in ("big", "small"))
    yield f"A big step (age {listed(big)}): more to teach than there is time for." if big else ""
    yield f"Little that is new (age {listed(small)})." if small else ""
    yield f"Perhaps too small: {listed(list(_signs(course, one)))}." if one.is_small else ""
    yield _of_ages(course, "Teaching minutes for the minutes there are", facts.leaps)
    yield Heading("")
    yield item(f"Longest chain inside, {counted(len(one.chain), 'skill')}: {' > '.join(one.chain)}.")
    far = "; ".join(
        f"{tidy(course.skill[one.before].name)} ({one.units} units, for {tidy(course.skill[one.skill].name)})"
        for one in facts.reach_back
    )
    what = f"skills more than {FAR} units back: {far}" if far else f"nothing more than {FAR} units back"
    yield item(f"Builds on {what}.")
    for was in past:
        stay, few = was.stay, " Too few to conclude." if was.stay.cases < FEW else ""
        yield item(
            f"Age {course.years(stay.band)}: {stay_words(stay)}. "
            f"{was.over} of {counted(stay.cases, 'student')} took more than {was.limit}.{few}"
        )


def _plain(number: Fraction) -> str:
    return f"{float(number):.10g}"


def _units(course: Course, _: CourseFacts) -> Iterator[Section]:
    rows = [(str(unit.number), tidy(unit.name), unit.id, counted(unit.lesson_weeks, "week"))
            for unit in course.units]  # fmt: skip
    yield Section("The units: number, name, id and usual lesson weeks", columns(rows, 0))


def _leaps(course: Course, facts: CourseFacts) -> Iterator[Section]:
    yield Section("How big each unit is", (Paragraph(
        "Leap ratio = teaching minutes of the skills asked for / (lesson minutes x (1 - review share) x "
        "lesson weeks). Above 1.25 there is more to learn than time; below 0.30 hardly anything."
    ),))  # fmt: skip
    for unit in facts.units:
        mine = [leap for leap in facts.leaps if leap.unit == unit.unit]
        yield _of_ages(course, capital(unit_words(course, unit.unit)), mine)


def _of_ages(course: Course, title: str, leaps: Sequence[Leap]) -> Section:
    rows = []
    for one in leaps:
        room = f"{one.lesson_minutes} x (1 - {_plain(one.review_share)}) x {one.lesson_weeks}"
        told = f"{one.minutes} / ({room} = {_plain(one.room)}); {counted(one.skills, 'new skill')}"
        ratio = "none" if one.ratio is None else f"{float(one.ratio):.3f}"
        rows.append((f"age {course.years(one.band)}", f"{ratio} {one.size}".rstrip(), told))
    return Section(title, columns(rows, 0))


def _filled(leap: Leap) -> str:
    return f"{leap.minutes} minutes, with {float(leap.room):.0f} for what is new"


def _small(course: Course, facts: CourseFacts) -> Iterator[Section]:
    small = [f"{capital(unit_words(course, one.unit))}: {listed(list(_signs(course, one)))}."
             for one in facts.units if one.is_small]  # fmt: skip
    yield _listed("Units that may be too small", small, "None.")


def _signs(course: Course, unit: UnitFacts) -> Iterator[str]:
    if unit.skills < 4:
        yield f"{counted(unit.skills, 'skill')}, fewer than 4"
    if unit.small_leap is not None and unit.small_leap.ratio is not None:
        ratio = f"{float(unit.small_leap.ratio):.3f}"
        yield f"leap ratio {ratio} at age {course.years(unit.small_leap.band)}, the youngest here"
    if not unit.leads_on:
        yield "nothing later builds on it"


def _reach_back(course: Course, facts: CourseFacts) -> Iterator[Section]:
    far = [
        f"{skill_words(course, one.skill)} in {unit_words(course, course.skill[one.skill].unit)}: "
        f"{skill_words(course, one.before)}, {one.units} units back{written(one.place)}."
        for one in facts.reach_back
    ]
    yield _listed(f"Prerequisites more than {FAR} units back", far, "None.")


def _chains(course: Course, facts: CourseFacts) -> Page:
    yield Heading("Longest chain inside each unit")
    for one in (one for one in facts.units if len(one.chain) > 1):
        yield item(f"{capital(unit_words(course, one.unit))}: {len(one.chain)} skills in a row.")
        yield Paragraph(" > ".join(one.chain), 4)


def _rests_on(course: Course, facts: CourseFacts) -> Iterator[Section]:
    if len(facts.chain) > 1:
        skills = (course.skill[skill] for skill in facts.chain)
        steps = (f"{tidy(skill.name)} ({course.unit[skill.unit].number})" for skill in skills)
        yield Section("One chain from the first lesson on, with the units", (Paragraph(" > ".join(steps)),))
    rows = [(str(one.descendants), f"{tidy(course.skill[one.skill].name)} ({one.skill})")
            for one in facts.rests_on]  # fmt: skip
    yield Section("So many skills build on", columns(rows, 0) or (Paragraph("Nothing."),))


def _optional(course: Course, facts: CourseFacts) -> Page:
    for band in course.bands:
        yield Heading(f"Optional at age {course.years(band.name)}")
        for one in (one for one in facts.optional if one.band == band.name):
            back = f"needed at age {course.years(one.back_in)}" if one.back_in else "not needed later"
            yield item(f"{skill_words(course, one.skill)}: {back}{written(one.place)}.")
            yield Paragraph(tidy(one.note) or "The course does not say why (age_note).", 4)
    yield plain("" if facts.optional else "Every skill is needed at every age.")


def _loose_ends(course: Course, facts: CourseFacts) -> Iterator[Section]:
    head = "Nothing later builds on these. Often that is right; sometimes a link was forgotten."
    yield _listed(head, [
        f"unit {course.unit[one.unit].number}: {tidy(one.name)}, {one.id}{written(one.place)}"
        for one in facts.loose_ends
    ], "None.")  # fmt: skip


LISTS: Final[Mapping[str, Callable[[Course, CourseFacts], Page]]] = {
    "units": _units, "leaps": _leaps, "small-units": _small, "chains": _chains, "reach-back": _reach_back,
    "rests-on": _rests_on, "optional": _optional, "loose-ends": _loose_ends,
}  # fmt: skip
"""Every list by the name it is asked for with."""


# A course based on another: what differs, with the line of each thing.


def variant_sections(found: Variant, course: Course) -> Iterator[Section]:
    """Yield whose the rules and links are, and what is different."""
    if found.base is None:
        yield plain("This course is based on no other.")
        return
    yield plain(f"Based on {found.base}")
    if found.course is not None and found.different:
        yield difference_section(found.different, found.course, course)
    if found.repeated:
        names = listed([f"{rule} at age {course.years(band)}" for band, rule in found.repeated])
        words = f"{names}. Taken out, they would follow when the other course changes."
        yield Section("Written again with the same value", (Paragraph(words),))


# May this skill be deleted? What builds on it, who has notes on it, what to write.


def retiring_sections(found: Retiring, course: Course) -> Page:
    """Yield the question, the answer and the lines to write; who changes is said elsewhere."""
    skill, day = partial(skill_words, course), date_words(found.day)
    names, heirs = listed([*map(skill, found.skills)]), listed([*map(skill, found.into)])
    unused = "No record names it, so it could be deleted; better"
    kept = "Please do not delete it" if found.mentions else unused
    keep = f"Can {names} go? {kept}: retire it from {day} on, and old decisions stay explainable."
    keep = f"From {day} on: {heirs} in place of {names}." if found.into else keep
    yield keep if found.lines else f"Can {names} go? Not like this: what is in the way stands below."
    yield Heading("Builds on it")
    yield "" if found.uses else "Nothing."
    for user, named, place in found.uses:
        about = f" names {skill(named)}" if len(found.skills) > 1 else ""
        yield item(f"{skill(user)}{about}{written(place)}.")
    then = f"mean {heirs}" if found.into else "are read without it"
    yield f"Leave their lists as they are; from that day on they {then}." if found.uses else ""
    students = [f"{tidy(one.name)}: {listed(list(_kinds(one)))}." for one in found.mentions]
    yield _listed("Students with notes on it", students, "Nobody.")
    yield Heading("Their notes")
    if found.into:
        yield f"They stay where they are and count for {heirs} from that day on."
        both = f"{counted(found.both, 'student has', 'students have')} notes on more than one of them"
        yield f"{both}: of two on one day the one with more help counts." if found.both else ""
    else:
        yield "They stay in the files and count for every day before."
    yield Heading("For you to write into the skill graph")
    new = f"a new table, copied from {skill(found.skills[0])}, with its own name and criterion, beginning:"
    for (text, place), name in zip(found.lines, (*found.skills, *found.new), strict=bool(found.lines)):
        yield item(new if place is None else f"below [skill.{name}] ({place.file.name}:{place.line}):")
        yield from (Paragraph(line, 4) for line in text.splitlines())



def _kinds(mention: Mention) -> Iterator[str]:
    if mention.notes and mention.first is not None and mention.last is not None:
        span = f"{date_words(mention.first)} to {date_words(mention.last)}"
        span = f"on {date_words(mention.first)}" if mention.notes == 1 else span
        yield f"{counted(mention.notes, 'lesson day')}, {span}"
    if mention.aside:
        yield "set aside by agreement"
    if mention.tasks:
        yield counted(mention.tasks, "home task")
    if mention.other_way:
        yield "another way by agreement"


# One skill of the course in a few lines: what it is, when it is shown, what it builds on.
# For the card beside the map. With a student's answer, also where the student stands in it.

NAMES_AT_MOST = 3


def skill_lines(course: Course, skill: str, answer: Answer | None, record: Record | None) -> Iterator[str]:
    """Yield the lines about a skill, the name first."""
    one, strands = course.skill[skill], {strand.id: strand.name for strand in course.strands}
    unit = course.unit[one.unit]
    yield f"{tidy(one.name)} ({skill})"
    yield f"Unit {unit.number}, {tidy(unit.name)} · {tidy(strands[one.strand])}"
    if answer is not None and record is not None:
        p = Phrases(answer, course, record)
        letter, note = STATE_LETTERS[p.standing(skill).state], p.last_note(skill)
        yield f"{letter}  {capital(p.state(skill))}{f' ({note})' if note else ''}."
    yield f"Shown when: {tidy(one.shown_when)}"
    below = [quoted(course.skill[other].name) for other in one.stands_on]
    for group in one.stands_on_some:
        members = listed([quoted(course.skill[member].name) for member in group.of])
        below.append(f"at least {group.at_least} of {members}")
    yield f"Builds on: {'; '.join(below) or 'nothing'}."
    yield f"Needed for: {_above(course, one)}."
    if one.remedies:
        yield "To try:"
        yield from (f"  - {tidy(remedy)}" for remedy in one.remedies)
    if one.age_note:
        yield f"Age: {tidy(one.age_note)}"
    if one.alternative:
        yield f"Another way, where agreed: {tidy(one.alternative)}"
    if one.advice:
        yield tidy(one.advice)
    if one.place is not None:
        yield f"{one.place.file.name}:{one.place.line}"


def _above(course: Course, skill: Skill) -> str:
    plan = course.plan
    mine = plan.index[skill.id]
    direct = [i for i in bits(plan.descendants[mine]) if plan.needs[i] >> mine & 1]
    if not direct:
        return "nothing later"
    return few_of([quoted(course.skills[i].name) for i in direct], NAMES_AT_MOST)


def advice_sections(course: Course, said: Colleague) -> Page:
    """Yield what a colleague would say of a course, unit by unit and then as a whole."""
    skill, unit = partial(skill_words, course), partial(unit_words, course)
    yield Heading("What must be secure before the next unit")
    for gate in said.gates:  # what holds a student in a unit, and that it is nothing or one thing
        named = [*map(skill, gate.skills), *(f"some of a group with {skill(one)}" for one in gate.groups)]
        yield item(f"{capital(unit(gate.unit))}: {'; '.join(named) or 'nothing'}.")
    yield Heading("How full the units are")
    for band in course.bands:
        mine = [one for one in said.leaps if one.band == band.name and one.ratio is not None]
        if mine:
            mine.sort(key=lambda one: one.ratio or 0)
            full, empty = mine[-1], mine[0]
            yield item(
                f"Age {course.years(band.name)}: {sum(one.minutes for one in mine)} minutes in all; fullest "
                f"{unit(full.unit)} ({_filled(full)}), emptiest {unit(empty.unit)} ({_filled(empty)})."
            )
    names = {strand.id: tidy(strand.name) for strand in course.strands}
    yield bullets("Longer than their unit", (
        f"{skill(one.skill)}: {counted(one.weeks, 'lesson')} at the least, and its unit has "
        f"{one.unit_weeks} (age {listed([*map(course.years, one.bands)])})."
        for one in said.long
    ))  # fmt: skip
    yield bullets("What most builds on", (
        f"{skill(one.skill)}: {one.descendants} build{'s' * (one.descendants == 1)} on it."
        for one in said.bottlenecks
    ))  # fmt: skip
    yield Section(
        f"The longest chain, {counted(len(said.chain), 'skill')}", (Paragraph(" > ".join(said.chain)),)
    )
    stops = (f"{names[one]}: last in {unit(last)}." for one, last in said.strands_that_stop)
    yield bullets("Strands that stop", stops)
    yield bullets("Nothing later builds on", (f"{skill(one)}." for one in said.never_needed))
    notes = (f"{skill(one)} (age {listed([*map(course.years, bands)])})." for one, bands in said.on_one_note)
    yield bullets("Safety that one note decides", notes)
    is_marked = any(one.safety for one in course.skills)
    yield plain("" if is_marked else "Nothing is safety = true: think of the seat.")
    yield bullets("No other way of showing of their own", (f"{skill(one)}." for one in said.no_other_way))
    yield bullets("What the notes say of the links", (
        f"{skill(one.skill)} builds on {skill(one.before)}, and {one.other_way} of "
        f"{counted(one.students, 'student')} showed it first."
        for one in said.against
    ))  # fmt: skip


def _listed(title: str, lines: Sequence[str], nothing: str) -> Section:
    return Section(title, tuple(map(item, lines)) or (Paragraph(nothing),))


def incoming_words(found: Incoming) -> Iterator[str]:
    """Yield what was taken of a course from elsewhere, what was left out and what was made up."""
    taken = listed([counted(count, what) for what, count in found.taken.items() if count])
    left = [f"{what} ({count})" for what, count in sorted(found.plain.left_out.items())]
    yield f"Taken: {taken or 'nothing'}."
    yield f"Left out: {listed(left) or 'nothing'}."
    yield f"Made up: {'; '.join(found.made_up) or 'nothing'}."


def unanswered_words(found: Incoming) -> str:
    """Return what must be said before a course can be written; or that its mistakes stand above."""
    if not found.missing:
        return "what it holds is no course yet, as said above."
    keys = [f"{key} ({len(ids)})" for key, ids in found.missing.items()]
    told = " ".join(f"--fill {key}=..." for key in found.missing)
    return f"missing are {listed(keys)}. Say them for all: {told}"
