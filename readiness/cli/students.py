"""A student comes and goes: ``enrol``, ``place``, ``particulars``, ``consent``, ``share``, ``forget``.

In a terminal it asks and notes; everywhere else, and with ``--next`` or ``--json``, it says what
to look at next and what all looks so far come to.

The student's own particulars may all be left out. At a terminal each that was not typed is asked for
once, and the large key goes on.

``readiness particulars ID``: what whoever teaches this student has to know, listed or changed.

The same is asked for when a student is enrolled. At a terminal, without anything to change, each is asked
for with the words that stand; the large key leaves them. Only what changes is changed in the file.
"""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import asdict, field, replace
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import Final

from readiness.advice.as_json import claim_to_dict, handover_to_dict, placing_to_dict
from readiness.advice.ground import claim
from readiness.advice.handover import Handover, hand_over
from readiness.advice.placing_round import placing_round
from readiness.cli.commands import CommandError, Exit, Parser, command, option
from readiness.cli.context import (
    add_full_option,
    add_studio_options,
    born_typed,
    day_for,
    day_meant,
    latest_day,
    open_studio,
    pick_student,
    student_options,
    studio_options,
)
from readiness.cli.inputs import (
    Entry,
    add_page_options,
    each,
    never_the_demo,
    open_entry,
    print_json,
    refuse,
    respond,
    show,
    sides,
    skill_typed,
    taken,
    unit_typed,
    whole,
)
from readiness.cli.keys import Keys, Round, ask_first, is_terminal
from readiness.cli.note import INSIST, drop_kept_lesson, pause_at_once
from readiness.cli.output import aside, say, text_width
from readiness.course.find import find_unit
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.lazy import dataclass, fields_of
from readiness.record import draft_entry as half_done
from readiness.record.consents import (
    CONSENT_FOR,
    CONSENTS,
    Sharing,
    kept_on,
    kept_to_dict,
    may_see,
    note_consent,
)
from readiness.record.enrol import (
    NewStudent,
    agreed_text,
    beside,
    change_particulars,
    check_new,
    enrol,
    forget,
    forget_beside,
    odd_birth,
)
from readiness.record.load import load_record
from readiness.record.model import Alternative, Particulars, Record, Told, is_id
from readiness.record.noting import NewLesson, note_lesson, odd_letters
from readiness.studio.cache import drop_kept, has_kept
from readiness.studio.doctor import has_history, leftovers, studio_folders
from readiness.studio.kept_files import cache_folder
from readiness.studio.load import Studio
from readiness.words import share
from readiness.words.cautions import caution
from readiness.words.english import WHY_BRIEF
from readiness.words.grammar import date_words, listed, tidy
from readiness.words.layout import Paragraph, Parts, lay_out
from readiness.words.lists import LEAVING, enrolled_words, forgotten_words
from readiness.words.noting import KEPT, NOTHING_SHOWN
from readiness.words.phrases import Phrases
from readiness.words.placing_round import claim_sections, next_look, room_left_words, round_sections

__all__ = ["MAY_BE_LEFT_OUT", "Asking", "Own", "add_own_options", "ask_now", "own_asked", "own_typed"]


@command(
    "place",
    option("--next", action="store_true", help="only the next look and why; asks nothing"),
    option("--claimed", metavar="UNIT", help="the unit somebody says they have reached"),
    option("--by", metavar="INITIALS", default="", help="who noted it"),
    student_options("the day of the placing lesson"),
    add_full_option,
)
def run_place(args: argparse.Namespace) -> Exit:
    """Ask in a terminal, else say where the round stands."""
    asks = is_terminal() and not args.next and not args.json and not args.claimed
    entry = open_entry(args, writes=False)
    entry.refuse_begun(entry.answer())
    today = entry.today if asks else entry.on
    half = _half_entered(entry) if asks or args.next else None
    if half and half.on != entry.on and args.on is None:
        aside(f"this goes on with what is half entered of {date_words(half.on)}.")
        entry = replace(entry, on=half.on)
    said = half if half and half.on == entry.on and args.next else NewLesson(entry.on)
    now = placing_round(entry.course, entry.record, entry.on, said.helps, said.not_tried, today)
    whose: dict[str, object] = {"student": entry.record.id, "on": iso(entry.on)}
    if args.claimed:
        held = claim(entry.course, entry.record, entry.on, unit_typed(entry.course, args.claimed))
        told = claim_sections((held, now), entry.phrases())
        return respond(args, lambda: whose | claim_to_dict(held), told)
    if asks and now.next is not None:
        never_the_demo(entry.studio.where, args)
        return ask_now(entry, args.by)
    page: Parts = next_look(now, entry.course) if args.next else round_sections(now, entry.phrases())
    return respond(args, lambda: whose | placing_to_dict(now), page)


def ask_now(entry: Entry, by: str = "") -> Exit:
    """Ask one look at a time in this terminal, and note the lesson; ``by`` is who notes it."""
    with Keys() as keys:
        entry.check_day()
        asking = Asking(entry, _begun(entry, by), keys)
        try:
            done = asking.go()
        except KeyboardInterrupt:
            keys.say(f"\n{KEPT.format('place', entry.record.id)}")
            raise
    if done is None or replace(done, not_tried=()).is_empty:
        keys.say(KEPT.format("place", entry.record.id) if done is None else NOTHING_SHOWN)
        return Exit.READY
    if refusal := half_done.keep(entry.path, done, entry.record):
        aside(refusal.message)
    refuse(note_lesson(entry.course, entry.record, done, entry.folder, entry.latest, is_placing=True))
    drop_kept_lesson(entry)
    entry = replace(entry, record=entry.again())
    say(round_sections(placing_round(entry.course, entry.record, entry.on), entry.phrases()))
    return Exit.READY


def _half_entered(entry: Entry) -> NewLesson | None:
    """Return the half-entered lesson, of whatever day, where a round can go on with it."""
    kept = half_done.offered(entry.path)
    if kept is None or kept.is_empty or not {*kept.helps, *kept.not_tried} <= set(entry.course.skill):
        return None
    return half_done.understood(entry.course, kept)


def _begun(entry: Entry, by: str) -> NewLesson:
    """Return the lesson to go on with: what was half entered that day, else an empty one."""
    refuse(half_done.why_unreadable(entry.path))
    kept, half = half_done.offered(entry.path), _half_entered(entry)
    if kept is None or kept.is_empty:
        return NewLesson(entry.on, by=by)
    if half is None or half.on != entry.on:
        student = entry.record.id
        raise CommandError(
            f"a half-entered lesson of {iso(kept.on)} is kept. `readiness {'place' if half else 'note'} "
            f"{student}` goes on with it, `readiness note {student} --drop` forgets it."
        )
    return half


class Asking(Round):
    """A round whose next question follows from the answers so far."""

    def __init__(self, entry: Entry, lesson: NewLesson, typist: Keys) -> None:
        """Begin, or go on where a half-entered round stopped."""
        self.entry = entry
        self.room = 0
        disliked = entry.record.disliked(entry.on)
        super().__init__(entry.course, (), lesson, typist, self._answered, text_width(), disliked)
        self.pause = lambda words: pause_at_once(entry, words)
        self._grow()

    def _which(self) -> tuple[str, str]:
        """Return why a look is asked for, and how many may follow: what comes next, nobody knows yet."""
        return "", f"{WHY_BRIEF[self.answers.asked[0].why]}; {room_left_words(self.room)}"

    def _answered(self, lesson: NewLesson) -> None:
        refusal = half_done.keep(self.entry.path, lesson, self.entry.record)
        if refusal is not None:
            self.typist.say(refusal.message)
        self._grow()

    def _grow(self) -> None:
        answers, entry = self.answers, self.entry
        lesson = answers.lesson
        now = placing_round(self.course, entry.record, entry.on, lesson.helps, lesson.not_tried)
        self.room = now.room
        if now.next is not None:
            answers.at = answers.line_of(now.next.skills, now.next.why)
        else:
            answers.lines = [line for line in answers.lines if answers.given(line) is not None]
            answers.at = len(answers.lines)
            self.typist.say(lay_out(next_look(now, self.course), self.width), end="")


_PARTICULARS: Final[Mapping[str, str]] = MappingProxyType({
    "stop": "the stop sign or word",
    "bench": "how high the bench is",
    "footrest": "how high the footrest is",
    "distance": "how the distance to the keys is found",
    "words": "own words for things",
    "upsets": "what upsets",
    "collects": "who collects (a relation, no name)",
})
"""What can be known of a student, by the names of ``Particulars``, as it is asked for."""
MAY_BE_LEFT_OUT: Final = "All of this may be left out: Enter goes on, Ctrl-D leaves out the rest."


def add_own_options(parser: Parser) -> None:
    """Add what can be known of a student."""
    for name, what in _PARTICULARS.items():
        parser.add_argument(f"--{name}", metavar="WORDS", help=what)
    parser.add_argument(
        "--alternative", metavar="SKILL=WORDS", action="append",
        help="another way of showing a skill (may be given several times)",
    )  # fmt: skip
    parser.add_argument("--agreed-with", metavar="WHO", default="", help="who agreed to --alternative")
    parser.add_argument(
        "--told", metavar="WHO=WORDS", action="append",
        help="who was told what that day (may be given several times)",
    )  # fmt: skip


@dataclass(frozen=True)
class Own:
    """What was typed of a student's own particulars.

    ``changed`` are words by the names of ``Particulars``, those that were typed; empty words take out.
    """

    changed: Mapping[str, str] = field(default_factory=dict)
    alternatives: tuple[Alternative, ...] = ()
    told: tuple[Told, ...] = ()

    @property
    def said(self) -> Iterator[str]:
        """All the words."""
        agreed = (*map(asdict, self.alternatives), *map(asdict, self.told))
        yield from self.changed.values()
        yield from (words for one in agreed for words in one.values() if isinstance(words, str))


@command(
    "particulars",
    student_options("the day from which a way is agreed, or on which somebody was told"),
    add_own_options,
)
def run_particulars(args: argparse.Namespace) -> Exit:
    """List the particulars, or change them."""
    options = (*_PARTICULARS, "alternative", "told")
    typed = any(words is not None for name, words in vars(args).items() if name in options)
    asks = not typed and not args.json and is_terminal()
    entry = open_entry(args, writes=typed or asks)
    own = own_typed(args, entry.course, entry.on)
    if asks:
        print("Enter leaves what stands, - takes it out, Ctrl-D leaves all the rest.")
        own = own_asked(args, own, entry.course, entry.on, entry.studio.date_order, entry.record.particulars)
    if not (own.changed or own.alternatives or own.told):
        return _say(args, entry.record, None)
    entry.check_day()
    refuse(odd_letters(*own.said, also="\n\t"))
    blocks = agreed_text(own.alternatives, own.told)
    refuse(change_particulars(entry.record, entry.folder, own.changed, blocks))
    return _say(args, entry.again(), entry.record)


def _say(args: argparse.Namespace, record: Record, before: Record | None) -> Exit:
    return respond(args, lambda: {
        "student": record.id, "particulars": asdict(record.particulars),
        "alternatives": [{**asdict(one), "on": iso(one.on)} for one in record.alternatives],
        "told": [{"to": one.to, "what": one.what, "on": iso(one.on)} for one in record.told],
    }, share.particulars_words(record, before))  # fmt: skip


def own_typed(args: argparse.Namespace, course: Course, on: int) -> Own:
    """Return what was typed, agreed and told ``on`` a day; a CommandError where it is not written right."""
    typed = {name: words for name, words in vars(args).items() if name in _PARTICULARS}
    return Own(
        {name: words.strip() for name, words in typed.items() if words is not None},
        tuple(_alternatives(args, course, on)),
        tuple(Told(*sides(text, '--told takes WHO="a few words"'), on) for text in args.told or ()),
    )


def own_asked(
    args: argparse.Namespace, own: Own, course: Course, on: int, order: str, before: Particulars | None = None
) -> Own:
    """Ask for what was not typed; nobody has to answer. ``before`` is what stands, to be left or changed."""
    changed, ways, told = dict(own.changed), own.alternatives, own.told
    try:
        for name, stands in fields_of(before or Particulars()):
            what = _PARTICULARS[name]
            if name not in own.changed and (words := _ask(f"{what} ({stands})" if stands else what)):
                changed[name] = "" if stands and words == "-" else words
        if args.alternative is None and (skill := _ask_skill(course)):
            way, who = _needed("in which way"), _needed("agreed with whom")
            ways = (Alternative(skill, way, who, _ask_day("since when", on, order)),)
        if args.told is None and (who := _ask("who was told something about the student (not the name)")):
            told = (Told(who, _needed("told what"), _ask_day("told when", on, order)),)
    except EOFError:
        print()
    return Own(changed, ways, told)


def _alternatives(args: argparse.Namespace, course: Course, on: int) -> Iterator[Alternative]:
    if args.alternative and not args.agreed_with.strip():
        raise CommandError("please say with --agreed-with who agreed to --alternative.")
    for typed in args.alternative or ():
        skill, text = sides(typed, '--alternative takes SKILL="a few words"')
        yield Alternative(skill_typed(course, skill), text, args.agreed_with.strip(), on)


def _ask(what: str) -> str:
    """Return what was answered, without spaces around it; EOFError where nobody answers any more."""
    typed = Keys().line(f"  {what}: ")
    if typed is None:
        raise EOFError
    return typed.strip()


def _needed(what: str) -> str:
    while not (typed := _ask(what)):
        pass
    return typed


def _ask_skill(course: Course) -> str:
    while typed := _ask("a skill that is shown in another way by agreement"):
        try:
            return skill_typed(course, typed)
        except CommandError as error:
            print(f"  {error}")
    return ""


def _ask_day(what: str, on: int, order: str) -> int:
    """Return a day up to ``on``, which it is where nothing was answered."""
    while typed := _ask(f"{what} (Enter: {iso(on)})"):
        try:
            day = day_meant(typed, "this", on, order, -1)
        except CommandError as error:
            print(f"  {error}")
            continue
        if day <= on:
            return day
        print(f"  {iso(day)} has not come yet.")
    return on


@command(
    "enrol",
    option("student", metavar="ID", help="a short id of your own, also the name of the file"),
    option("--name", metavar="NAME", required=True, help="a given name, or a code"),
    option("--born", metavar="YYYY-MM", required=True, help="the month is enough, a day is possible"),
    option("--family", metavar="NAME", default="", help="the same for brothers and sisters"),
    option("--home-keys", metavar="N", help="how many keys the instrument at home has"),
    option("--unit", metavar="UNIT", default="", help="the unit that begins that day, by number, id or name"),
    option(
        "--placing", action="store_true", help="that day is a placing lesson; at a terminal it begins at once"
    ),
    option("--delete-by", metavar="DATE", help="the day on which the file is to be deleted"),
    option("--yes", action="store_true", help="enrol although the age is odd"),
    add_own_options,
    studio_options("the first day"),
)
def run_enrol(args: argparse.Namespace) -> Exit:
    """Make the file."""
    if args.unit and args.placing:
        raise CommandError("a placing lesson finds the unit; please take --unit or --placing, not both.")
    studio, course = open_studio(args)
    on = _first_day(args, studio)
    assert studio.where.students is not None
    own, until, born, keys = each(
        lambda: own_typed(args, course, on),
        lambda: args.delete_by and day_meant(args.delete_by, "--delete-by", on, studio.date_order, 1),
        lambda: born_typed(args.born),
        lambda: args.home_keys and whole(args.home_keys, "--home-keys", 0, 128),
    )
    new = NewStudent(
        args.student,
        args.name.strip(),
        born,
        on,
        family=args.family.strip(),
        home_keys=keys,
        unit=_unit(course, args.unit),
        placing=args.placing,
        delete_by=until,
        particulars=Particulars(**own.changed),
        alternatives=own.alternatives,
        told=own.told,
    )
    wrong, odd = check_new(course, new, studio.where.students), () if args.yes else (*odd_birth(new),)
    refuse((*wrong, *odd, *[INSIST][: bool(odd and not wrong)]))
    if is_terminal() and not args.json:
        print(MAY_BE_LEFT_OUT)
        own = own_asked(args, own, course, on, studio.date_order)
        new = replace(
            new, particulars=Particulars(**own.changed), alternatives=own.alternatives, told=own.told
        )
    refuse(enrol(course, new, studio.where.students))
    record = load_record(studio.where.students / f"{new.id}.toml", course).record
    assert record is not None
    if args.json:
        print_json({"student": record.id, "file": str(record.path), "cautions": ["C9"]})
    else:
        others = [one.id for one in studio.records.values() if one.name.casefold() == record.name.casefold()]
        goes_on = new.placing and is_terminal()
        say(enrolled_words(record, course, others, goes_on=goes_on, day=args.on))
        if goes_on:
            return ask_now(open_entry(args))
    return Exit.READY


def _first_day(args: argparse.Namespace, studio: Studio) -> int:
    """Return the first day, in a studio to which somebody can be added."""
    never_the_demo(studio.where, args)
    if not studio.where.is_listed:
        told = f"studio.toml names no course {args.course}, so no list would show {args.name}"
        raise CommandError(f"nothing was written: {told}. Leave --course out, or name it there first.")
    on = day_for(args, studio)
    if on > latest_day(studio.today):
        raise CommandError(f"{iso(on)} has not come yet; enrol on the first day, or leave out --on.")
    return on


def _unit(course: Course, typed: str) -> str:
    """Return the unit that was typed; one that is none stays, to be refused with all else."""
    unit = find_unit(course, typed) if typed else ""
    return unit if isinstance(unit, str) else typed


@command(
    "forget",
    option("student", metavar="ID", help="the student's id, whole"),
    option("--export", metavar="FILE", type=Path, help="make a copy of the file there first"),
    option("--yes", action="store_true", help="do not ask (needed without a terminal)"),
    option("--json", action="store_true", help="one JSON object, for other programs"),
    add_studio_options,
)
def run_forget(args: argparse.Namespace) -> Exit:
    """Ask, delete, and say where a name still stands."""
    studio, _ = open_studio(args)
    never_the_demo(studio.where, args)
    folder = studio.where.students
    assert folder is not None
    id_, name, path, is_there = _meant(studio, folder, args.student)
    if not is_there and args.export is not None:
        raise CommandError(f"nothing was deleted: there is no file of {id_} to make a copy of.")
    if not args.yes:
        question = f"Type {id_} to delete it, anything else to leave it: "
        told, meant = LEAVING.format(tidy(name), path), f"{id_} is really meant"
        ask_first(told, question, "nothing was deleted", meant, id_)
    gone = taken(forget(path, folder, args.export) if is_there else forget_beside(id_, folder))
    drop_kept(cache_folder(os.environ), path)
    found = leftovers(studio_folders(studio.where), {id_, name}, args.export)
    return respond(args, lambda: {
        "forgotten": id_,
        "exported": None if args.export is None else str(args.export),
        "deleted": [str(one) for one in gone.deleted],
        "link_led_to": None if gone.led_to is None else str(gone.led_to),
        "other_names": gone.other_names,
        "still_named": [{"file": str(one.file), "line": one.line} for one in found.places],
        "looked_at": {
            "folders": [str(one) for one in found.folders], "files": found.read,
            "not_read": [str(one) for one in found.unread], "whole": found.is_whole,
        },
    }, forgotten_words(name, gone, args.export, found, in_git=has_history(folder)))  # fmt: skip


def _meant(studio: Studio, folder: Path, typed: str) -> tuple[str, str, Path, bool]:
    """Return id, name, file, and whether it is there; by the whole id alone, also where it cannot be read.

    An id of which only something kept beside the file is left can be forgotten too.
    """
    if typed in studio.broken:
        return typed, typed, studio.broken[typed].path, True
    if typed in studio.records:
        record = studio.records[typed]
        return record.id, record.name, record.own_path, True
    path = folder / f"{typed}.toml"
    if is_id(typed) and (beside(folder, typed) or has_kept(cache_folder(os.environ), path)):
        return typed, typed, path, False
    record = pick_student(studio, typed)
    raise CommandError(f'please type the whole id of {record.name}: "{record.id}".')


@command(
    "share",
    student_options(),
    option("--for", dest="reader", choices=list(CONSENT_FOR), help="who it is for"),
    partial(add_page_options, alone=True),
)
def run_share(args: argparse.Namespace) -> Exit:
    """Print what one reader may see, or write it; without ``--for`` tell the teacher who may see what."""
    entry = open_entry(args, writes=False)
    record, day, answer = entry.record, entry.on, entry.answer()
    phrases = entry.phrases(answer)
    if args.reader is None:
        if args.json or args.to is not None or args.html is not None:
            raise CommandError(f"please say who it is for: --for {', '.join(CONSENT_FOR)}.")
        say(share.overview_words({reader: may_see(record, reader, day) for reader in CONSENT_FOR}, phrases))
        return Exit.READY
    sharing = may_see(record, args.reader, day)
    page = hand_over(entry.course, record, answer)
    told: Parts = share.share_sections(sharing, phrases, page)
    if args.json:
        found = json.dumps(shared_to_dict(sharing, phrases, page, answer), ensure_ascii=False, indent=2)
        told = [Paragraph(line, whole=True) for line in found.split("\n")]
    if not show(args, told, kind={"substitute": "stand", "school": "letter"}.get(args.reader, "")):
        aside(caution("C8"))
    return Exit.READY


def shared_to_dict(sharing: Sharing, phrases: Phrases, page: Handover, answer: Answer) -> dict[str, object]:
    """Return what a reader may see as plain values."""
    if sharing.reader == "substitute":
        return handover_to_dict(page, answer, sharing)
    found: dict[str, object] = {
        "format": 1,
        "for": sharing.reader,
        "consent_noted": sharing.is_given,
        "student": answer.student if sharing.may("name") else None,
        "on": iso(answer.on),
        "left_out": list(sharing.left_out),
    }
    if sharing.reader == "family" and sharing.sees:
        found["kept"] = kept_to_dict(kept_on(phrases.record.entire, answer.on))
    elif sharing.sees:
        found["sentences"] = share.school_lines(phrases)
    return found


@command(
    "consent",
    student_options("the day it was said"),
    option(
        "loose", metavar="WHAT yes|no", nargs="*", choices=[*CONSENTS, "yes", "no"],
        help=f"{', '.join(CONSENTS)}, then yes or no, as in touch photo yes video no; nothing lists all",
    ),
    option("--by", metavar="NAME", default="", help="who said it"),
)
def run_consent(args: argparse.Namespace) -> Exit:
    """Note the answer; without one, list what is noted."""
    entry = open_entry(args, writes=bool(args.loose))
    if not args.loose:
        consents = dict(entry.record.consents)
        told = share.consent_list_words(entry.record, entry.on)
        return respond(args, lambda: {"student": entry.record.id, "consents": consents}, told)
    answers, waiting = dict[str, bool](), list[str]()
    for word in args.loose:
        if word in CONSENTS:
            waiting.append(word)
        else:
            answers |= dict.fromkeys(waiting, word == "yes")
            waiting = []
    asked = {"yes or no": answers and not waiting, "who said it": args.by.strip()}
    what = next(iter((*waiting, *answers)), "WHAT")
    if missing := [one for one, typed in asked.items() if not typed]:
        form = f"`readiness consent {args.student} {what} yes|no --by NAME`."
        raise CommandError(f"please say {listed(missing)}: {form}")
    entry.check_day()
    refuse(odd_letters(args.by))
    by, keys = args.by.strip(), {CONSENTS[what]: yes for what, yes in answers.items()}
    record = entry.written(note_consent(entry.record, entry.folder, keys, by, entry.on))
    return respond(args, lambda: {
        "student": record.id, "on": iso(entry.on),
        **({"what": what, "given": answers[what]} if len(answers) == 1 else {}),
        "answers": answers, "by": by, "consents": dict(record.consents),
    }, share.consent_words(record, answers, by, entry.on))  # fmt: skip
