"""A course in words: sizes of units with their sums, long links, the skills most others build on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Final

from readiness.course.checks.units import Leap
from readiness.course.model import Course, Skill, bits
from readiness.editing.colleague import Colleague, Gate
from readiness.editing.dry_run import Mention
from readiness.editing.facts import FAR, CourseFacts, UnitFacts, Variant
from readiness.editing.incoming import Incoming
from readiness.editing.retire import Retiring
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.school.counts import FEW, Past
from readiness.words.brief import STATE_LETTERS
from readiness.words.editing import difference_section, skill_words
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy, unit_words, written
from readiness.words.layout import Paragraph, Section, bullets, columns, item, lines, plain, under
from readiness.words.phrases import Phrases

__all__ = [
    "LISTS", "advice_sections", "fact_sections", "incoming_words", "retiring_sections", "skill_lines",
    "unanswered_words", "unit_sections", "variant_sections",
]  # fmt: skip


def fact_sections(course: Course, facts: CourseFacts, lists: tuple[str, ...]) -> Iterator[Section]:
    """Yield some of the lists of facts, by their names in :data:`LISTS`."""
    for name in lists:
        yield from LISTS[name](course, facts)


def unit_sections(course: Course, facts: CourseFacts, past: Sequence[Past]) -> Iterator[Section]:
    """Yield one page about a unit: too big or too small, its leap and chain, its reach back, past times.

    ``facts`` are those of this unit alone.
    """
    (one,) = facts.units
    unit = course.unit[one.unit]
    head = f"{capital(unit_words(course, one.unit))} - {counted(unit.lesson_weeks, 'lesson week')}"
    yield Section("", (Paragraph(head), *map(Paragraph, _size_of(one, facts.leaps))))
    rows = [(f"age {leap.band}", _ratio(leap), _sum(leap)) for leap in facts.leaps]
    yield Section("Teaching minutes for the minutes there are", columns(rows, 0))
    chain = f"Longest chain inside, {counted(len(one.chain), 'skill')}: {' > '.join(one.chain)}."
    yield bullets("", (chain, _reaching(course, facts), *_past(past)))


def _size_of(unit_facts: UnitFacts, leaps: Sequence[Leap]) -> Iterator[str]:
    """Yield whether a unit is too big or too small, and why."""
    big, small = ([leap.band for leap in leaps if leap.size == size] for size in ("big", "small"))
    if big:
        yield f"A big step (age {listed(big)}): more to teach than there is time for."
    if small:
        yield f"Little that is new (age {listed(small)})."
    if unit_facts.is_small:
        yield f"Perhaps too small: {listed(list(_signs(unit_facts)))}."
    if not (big or small or unit_facts.is_small):
        yield "A good size."


def _reaching(course: Course, facts: CourseFacts) -> str:
    far = "; ".join(
        f"{tidy(course.skill[one.before].name)} ({one.units} units, for {tidy(course.skill[one.skill].name)})"
        for one in facts.reach_back
    )
    what = f"skills more than {FAR} units back: {far}" if far else f"nothing more than {FAR} units back"
    return f"Builds on {what}."


def _past(past: Sequence[Past]) -> Iterator[str]:
    if not past:
        yield "Nobody here has finished this unit yet."
    for one in past:
        stay = one.stay
        few = " Too few to conclude." if stay.cases < FEW else ""
        yield (
            f"Age {stay.band}: {stay.middle:g} lessons in the middle, half {stay.low:g} to {stay.high:g}. "
            f"{one.over} of {counted(stay.cases, 'student')} took more than {one.limit}.{few}"
        )


def _plain(number: Fraction) -> str:
    return f"{float(number):.10g}"


def _units(course: Course, facts: CourseFacts) -> Iterator[Section]:
    """The units with their numbers, ids and usual lengths."""
    del facts
    rows = [(str(unit.number), tidy(unit.name), unit.id, counted(unit.lesson_weeks, "week"))
            for unit in course.units]  # fmt: skip
    yield Section("The units: number, name, id and usual lesson weeks", columns(rows, 0))


def _leaps(course: Course, facts: CourseFacts) -> Iterator[Section]:
    """The size of every unit at each age, with its numbers."""
    yield Section("How big each unit is", (Paragraph(
        "Leap ratio = teaching minutes of the skills asked for / (lesson minutes x (1 - review share) x "
        "lesson weeks). Above 1.25 there is more to learn than time; below 0.30 hardly anything."
    ),))  # fmt: skip
    for unit in facts.units:
        mine = [leap for leap in facts.leaps if leap.unit == unit.unit]
        if mine:
            rows = [(f"age {leap.band}", _ratio(leap), _sum(leap)) for leap in mine]
            yield Section(capital(unit_words(course, unit.unit)), columns(rows, 0))


def _ratio(leap: Leap) -> str:
    ratio = "none" if leap.ratio is None else f"{float(leap.ratio):.3f}"
    return f"{ratio}{f' {leap.size}' if leap.size else ''}"


def _sum(leap: Leap) -> str:
    return (
        f"{leap.minutes} / ({leap.lesson_minutes} x (1 - {_plain(leap.review_share)}) x {leap.lesson_weeks} "
        f"= {_plain(leap.room)}); {counted(leap.skills, 'new skill')}"
    )


def _small(course: Course, facts: CourseFacts) -> Iterator[Section]:
    """Units that may be too small, each with the signs of it."""
    small = [f"{capital(unit_words(course, one.unit))}: {listed(list(_signs(one)))}."
             for one in facts.units if one.is_small]  # fmt: skip
    yield _listed("Units that may be too small", small, "None.")


def _signs(unit: UnitFacts) -> Iterator[str]:
    if unit.skills < 4:
        yield f"{counted(unit.skills, 'skill')}, fewer than 4"
    if unit.small_leap is not None and unit.small_leap.ratio is not None:
        ratio = f"{float(unit.small_leap.ratio):.3f}"
        yield f"leap ratio {ratio} at age {unit.small_leap.band}, the youngest here"
    if not unit.leads_on:
        yield "nothing later builds on it"


def _reach_back(course: Course, facts: CourseFacts) -> Iterator[Section]:
    """Prerequisites many units back: not seen lately by then, perhaps."""
    far = [
        f"{skill_words(course, one.skill)} in {unit_words(course, course.skill[one.skill].unit)}: "
        f"{skill_words(course, one.before)}, {one.units} units back{written(one.place)}."
        for one in facts.reach_back
    ]
    yield _listed(f"Prerequisites more than {FAR} units back", far, "None.")


def _chains(course: Course, facts: CourseFacts) -> Iterator[Section]:
    """The longest chain inside each unit: what must be learnt one after the other."""
    lines = []
    for one in facts.units:
        if len(one.chain) > 1:
            lines.append(item(f"{capital(unit_words(course, one.unit))}: {len(one.chain)} skills in a row."))
            lines.append(under(" > ".join(one.chain)))
    yield Section("Longest chain inside each unit", tuple(lines) or (Paragraph("No unit has one."),))


def _rests_on(course: Course, facts: CourseFacts) -> Iterator[Section]:
    """One chain from the first lesson on, and how many skills build on which."""
    if len(facts.chain) > 1:
        skills = (course.skill[skill] for skill in facts.chain)
        steps = (f"{tidy(skill.name)} ({course.unit[skill.unit].number})" for skill in skills)
        yield Section("One chain from the first lesson on, with the units", (Paragraph(" > ".join(steps)),))
    rows = [(str(one.descendants), f"{tidy(course.skill[one.skill].name)} ({one.skill})")
            for one in facts.rests_on]  # fmt: skip
    yield Section("So many skills build on", columns(rows, 0) or (Paragraph("Nothing."),))


def _optional(course: Course, facts: CourseFacts) -> Iterator[Section]:
    """Skills that are optional at an age, why, and when they come back."""
    for band in course.bands:
        mine = [one for one in facts.optional if one.band == band.name]
        lines: list[Paragraph] = []
        for one in mine:
            back = f"needed from age {one.back_in} on" if one.back_in else "not needed later"
            lines.append(item(f"{skill_words(course, one.skill)}: {back}{written(one.place)}."))
            lines.append(under(tidy(one.note) or "The course does not say why (age_note)."))
        yield Section(f"Optional at age {band.name}", tuple(lines))
    if not facts.optional:
        yield plain("Every skill is needed at every age.")


def _loose_ends(course: Course, facts: CourseFacts) -> Iterator[Section]:
    """Skills that nothing later builds on."""
    if not facts.loose_ends:
        yield plain("A later skill builds on every skill before the last unit.")
    head = "Nothing later builds on these. Often that is right; sometimes a link was forgotten."
    yield bullets(head, (
        f"unit {course.unit[one.unit].number}: {tidy(one.name)}, {one.id}{written(one.place)}"
        for one in facts.loose_ends
    ))  # fmt: skip


LISTS: Final[Mapping[str, Callable[[Course, CourseFacts], Iterator[Section]]]] = {
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
    (numbers, links), (their_numbers, their_links) = found.own, found.inherited
    yield bullets(f"Based on {found.base}", (
        f"{counted(numbers, 'rule')} and {counted(links, 'link')} of its own.",
        f"{counted(their_numbers, 'rule')} and {counted(their_links, 'link')} inherited.",
    ))  # fmt: skip
    if found.course is not None and found.different:
        yield difference_section(found.different, found.course, course)
    if found.repeated:
        names = listed([f"{rule} at age {band}" for band, rule in found.repeated])
        words = f"{names}. Taken out, they would follow when the other course changes."
        yield Section("Written again with the same value", (Paragraph(words),))


# May this skill be deleted? What builds on it, who has notes on it, what to write.


def retiring_sections(found: Retiring, course: Course) -> Iterator[Section]:
    """Yield the question, the answer and the lines to write; who changes is said elsewhere."""
    yield plain(_question(found, course))
    yield Section("Builds on it", tuple(_uses(found, course)))
    students = [f"{tidy(one.name)}: {listed(list(_kinds(one)))}." for one in found.mentions]
    yield _listed("Students with notes on it", students, "Nobody.")
    yield Section("Their notes", (Paragraph(_notes(found, course)),))
    yield Section("For you to write into the skill graph", tuple(_lines(found, course)))


def _question(found: Retiring, course: Course) -> str:
    names, heirs, day = _skills(found.skills, course), _skills(found.into, course), date_words(found.day)
    if not found.into:
        unused = "No record names it, so it could be deleted; better"
        kept = "Please do not delete it" if found.mentions else unused
        return f"Can {names} go? {kept}: retire it from {day} on, and old decisions stay explainable."
    if len(found.skills) > 1:
        return f"{names} become {heirs}, from {day} on."
    return f"{heirs} {'takes' if len(found.into) == 1 else 'take'} the place of {names}, from {day} on."


def _skills(skills: Iterable[str], course: Course) -> str:
    return listed([skill_words(course, skill) for skill in skills])


def _uses(found: Retiring, course: Course) -> Iterator[Paragraph]:
    if not found.uses:
        yield Paragraph("Nothing.")
    for user, named, place in found.uses:
        about = f" names {skill_words(course, named)}" if len(found.skills) > 1 else ""
        yield item(f"{skill_words(course, user)}{about}{written(place)}.")
    if found.uses and found.into:
        heirs = _skills(found.into, course)
        yield Paragraph(f"Leave these lists as they are; from that day on they mean {heirs}.")
    elif found.uses:
        yield Paragraph("Leave their lists as they are; from that day on they are read without it.")


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


def _notes(found: Retiring, course: Course) -> str:
    if not found.into:
        return "They stay in the files and count for every day before."
    each = "each of " if len(found.into) > 1 else ""
    words = f"They stay where they are and count for {each}{_skills(found.into, course)} from that day on"
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


# One skill of the course in a few lines: what it is, when it is shown, what it builds on.
#
# For the card beside the map. With a student's answer, also where the student stands in it.

NAMES_AT_MOST = 3


def skill_lines(course: Course, skill: str, answer: Answer | None, record: Record | None) -> tuple[str, ...]:
    """Return the lines about a skill, the name first."""
    one = course.skill[skill]
    return (f"{tidy(one.name)} ({skill})", *_skill_lines(course, one, answer, record))


def _skill_lines(course: Course, skill: Skill, answer: Answer | None, record: Record | None) -> Iterator[str]:
    unit, strands = course.unit[skill.unit], {strand.id: strand.name for strand in course.strands}
    yield f"Unit {unit.number}, {tidy(unit.name)} · {tidy(strands[skill.strand])}"
    if answer is not None and record is not None:
        p = Phrases(answer, course, record)
        letter, note = STATE_LETTERS[p.standing(skill.id).state], p.last_note(skill.id)
        yield f"{letter}  {capital(p.state(skill.id))}{f' ({note})' if note else ''}."
    yield f"Shown when: {tidy(skill.shown_when)}"
    yield f"Builds on: {_footings(course, skill)}."
    yield f"Needed for: {_above(course, skill)}."
    if skill.remedies:
        yield "To try:"
        yield from (f"  - {tidy(remedy)}" for remedy in skill.remedies)
    if skill.age_note:
        yield f"Age: {tidy(skill.age_note)}"
    if skill.alternative:
        yield f"Another way, where agreed: {tidy(skill.alternative)}"
    if skill.advice:
        yield tidy(skill.advice)
    if skill.place is not None:
        yield f"{skill.place.file.name}:{skill.place.line}"


def _footings(course: Course, skill: Skill) -> str:
    parts = [quoted(course.skill[other].name) for other in skill.stands_on]
    parts += [
        f"at least {group.at_least} of {listed([quoted(course.skill[member].name) for member in group.of])}"
        for group in skill.stands_on_some
    ]
    return "; ".join(parts) or "nothing"


def _above(course: Course, skill: Skill) -> str:
    """Return which skills build on a skill directly, and how many do in all."""
    plan = course.plan
    mine = plan.index[skill.id]
    direct = [i for i in bits(plan.descendants[mine]) if plan.needs[i] >> mine & 1]
    if not direct:
        return "nothing later"
    names = [quoted(course.skills[i].name) for i in direct[:NAMES_AT_MOST]]
    if len(direct) > NAMES_AT_MOST:
        names.append(f"{len(direct) - NAMES_AT_MOST} more")
    further = plan.descendants[mine].bit_count() - len(direct)
    return listed(names) + (f"; through them {counted(further, 'skill')} more" if further else "")


def advice_sections(course: Course, said: Colleague) -> Iterator[Section]:
    """Yield what a colleague would say of a course, unit by unit and then as a whole."""
    yield Section("What must be secure before the next unit", tuple(_gate(course, one) for one in said.gates))
    yield Section("How full the units are", tuple(_loads(course, said)))
    long = [
        f"{skill_words(course, one.skill)}: {counted(one.weeks, 'lesson')} at the least, and its unit has "
        f"{one.unit_weeks} (age {listed(one.bands)})."
        for one in said.long
    ]
    yield _listed("Longer than their unit", long, "No criterion takes more lessons than its unit has.")
    rests = [
        f"{skill_words(course, one.skill)}: {one.descendants} build{'s' * (one.descendants == 1)} on it."
        for one in said.bottlenecks
    ]
    yield _listed("What most builds on", rests, "Nothing builds on anything.")
    steps = " > ".join(said.chain)
    yield Section(f"The longest chain, {counted(len(said.chain), 'skill')}", (Paragraph(steps),))
    names = {strand.id: tidy(strand.name) for strand in course.strands}
    stops = [f"{names[one]}: last in {unit_words(course, unit)}." for one, unit in said.strands_that_stop]
    yield _listed("Strands that stop", stops, "Every strand goes on to the end.")
    unused = [f"{skill_words(course, skill)}." for skill in said.never_needed]
    yield _listed(f"Nothing later builds on ({len(unused)})", unused, "None.")
    notes = [f"{skill_words(course, skill)} (age {listed(bands)})." for skill, bands in said.on_one_note]
    marked = any(skill.safety for skill in course.skills)
    none = "No safety rests on one note alone." if marked else "Nothing is safety = true: think of the seat."
    yield _listed("Safety that one note decides", notes, none)
    one_way = [f"{skill_words(course, skill)}." for skill in said.no_other_way]
    yield _listed(f"No other way of showing of their own ({len(one_way)})", one_way, "None.")
    against = [
        f"{skill_words(course, one.skill)} builds on {skill_words(course, one.before)}, and "
        f"{one.other_way} of {counted(one.students, 'student')} showed it first."
        for one in said.against
    ]
    few = "No link is spoken against by most students, five at the least."
    yield _listed("What the notes say of the links", against, few)


def _gate(course: Course, gate: Gate) -> Paragraph:
    """Return what holds a student in a unit, and that it is nothing or one thing."""
    named = [skill_words(course, skill) for skill in gate.skills]
    named += [f"some of a group with {skill_words(course, skill)}" for skill in gate.groups]
    many = {0: "nothing of it does", 1: "one thing does: "}.get(len(named), f"{len(named)} things do: ")
    return item(f"{capital(unit_words(course, gate.unit))}: {many}{'; '.join(named)}.")


def _loads(course: Course, said: Colleague) -> Iterator[Paragraph]:
    """Yield, by age, the fullest unit and the emptiest."""
    for band in course.bands:
        mine = [(one.ratio, one) for one in said.leaps if one.band == band.name and one.ratio is not None]
        if not mine:
            continue
        by_size = sorted(mine, key=lambda pair: pair[0])
        full, empty = by_size[-1][1], by_size[0][1]
        minutes = sum(one.minutes for _, one in mine)
        yield item(
            f"Age {band.name}: {minutes} minutes in all; fullest {unit_words(course, full.unit)} "
            f"({_ratio(full)} of its time), emptiest {unit_words(course, empty.unit)} ({_ratio(empty)})."
        )


def _listed(title: str, lines: Sequence[str], nothing: str) -> Section:
    return Section(title, tuple(map(item, lines)) or (Paragraph(nothing),))


def incoming_words(found: Incoming) -> str:
    """Return what was taken of a course from elsewhere, what was left out and what was made up."""
    taken = listed([counted(count, what) for what, count in found.taken.items() if count])
    left = [f"{what} ({count})" for what, count in sorted(found.plain.left_out.items())]
    return lines((
        f"Taken: {taken or 'nothing'}.",
        f"Left out: {listed(left) or 'nothing'}.",
        f"Made up: {'; '.join(found.made_up) or 'nothing'}.",
    ), 80)  # fmt: skip


def unanswered_words(found: Incoming) -> str:
    """Return what must be said before a course can be written; or that its mistakes stand above."""
    if not found.missing:
        return "what it holds is no course yet, as said above."
    keys = [f"{key} ({len(ids)})" for key, ids in found.missing.items()]
    told = " ".join(f"--fill {key}=..." for key in found.missing)
    return f"missing are {listed(keys)}. Say them for all: {told}"
