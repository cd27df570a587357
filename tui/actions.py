"""The one table of everything a person can do on a screen.

A row feeds the key bindings, the footer, the command palette and the help page, so that none
of them can know an action the others do not. A row names no code: the screen (or the
program) has a method ``action_<id>``, and that is all the tie there is.
"""

from __future__ import annotations

from collections.abc import Iterator
from re import Match
from typing import Final

from textual.binding import Binding, BindingType

from readiness.lazy import dataclass, regex

__all__ = [
    "ACTIONS", "EVERYWHERE", "Action", "actions_of", "bindings_of", "help_keys", "key_words", "with_keys",
]  # fmt: skip

EVERYWHERE: Final = "everywhere"


@dataclass(frozen=True)
class Action:
    """One row.

    Attributes:
        id: the method is ``action_<id>``.
        keys: the keys, parted by commas.
        title: a word or two, for the footer.
        help: what it does, for the help page and the palette.
        on: the screens that have it.
        in_footer: whether the footer shows it; the help page always does.
    """

    id: str
    keys: str
    title: str
    help: str
    on: tuple[str, ...]
    in_footer: bool = True

    @property
    def all_keys(self) -> str:
        """The keys as they stand on a keyboard, parted by a space."""
        return " ".join(key_words(key) for key in self.keys.split(","))


NOT_THERE: Final = False
"""For rows that the footer has no room for; help and palette show them all."""

_NOTING: Final = ("lesson", "placing")
_HURTS: Final = ("studio", "why", "lesson", "placing", "course", "answers", "tellings", "decide")
_OF_A_STUDENT: Final = ("studio", "why")
_WRITTEN: Final = (*_OF_A_STUDENT, "course")
_EDITED: Final = ("studio", "why", "course", "problems")
_READ: Final = ("why", "answers", "tellings", "decide")
_ONE_BY_ONE: Final = ("why", "course")
_ANSWERS: Final = ("answers",)
_ASKED: Final = "Plan, break, way, hand-over, review, season, changes"
_COPIED: Final = ("why", "problems", "tellings", "answers")

ACTIONS: Final = (
    # the studio, and what several screens share
    Action("open('pause')", "exclamation_mark", "Hurts", "Something hurts: stop, then pause", _HURTS),
    Action("open_why", "enter", "Why", "Why this student moves up, or not yet", ("studio",)),
    Action("fold", "enter", "Open", "Open or close what is marked", ("why", "decide", "problems")),
    Action("open('lesson')", "l", "Lesson", "Note what plan and sheet have", ("studio", "why", "course")),
    Action("open('answers')", "a", "Ask", _ASKED, _OF_A_STUDENT),
    Action("open('decision')", "d", "Decide", "Decide: move on, or stay", _OF_A_STUDENT),
    Action("open('course')", "m", "Map", "The course as a map, with this student on it", _OF_A_STUDENT),
    Action("open('placing')", "s", "Start?", "Find where a new student starts", _OF_A_STUDENT, NOT_THERE),
    Action("work", "w", "Write", "Promise, task, consent, end of a pause, new student, print", _OF_A_STUDENT),
    Action("take_last_back", "u", "Undo", "Take back what was written last", _WRITTEN, NOT_THERE),
    Action("edit", "e", "Edit", "Open the line of the file in your editor", _EDITED, NOT_THERE),
    Action("find", "slash", "Find", "Find students by typing part of a name", ("studio",)),
    Action("find", "slash", "Find", "Find another student by typing part of a name", _READ, NOT_THERE),
    Action("ask('today')", "1", "Today", "Show the day, and everyone", ("studio",), NOT_THERE),
    Action("ask('paused')", "2", "May not play", "Who may not play at present?", ("studio",), NOT_THERE),
    Action("ask('ready')", "3", "Ready", "Who is ready?", ("studio",), NOT_THERE),
    Action("ask('look')", "4", "A look", "Who needs only another look?", ("studio",), NOT_THERE),
    Action("ask('stuck')", "5", "Stuck", "Who is stuck?", ("studio",), NOT_THERE),
    Action("ask('due')", "6", "Check due", "Who has a check due?", ("studio",), NOT_THERE),
    Action("open('problems')", "p", "Problems", "What is wrong in the files", _WRITTEN, NOT_THERE),
    Action("leave", "q", "Leave", "Leave the program; it asks where something would be lost", ("studio",)),
    # why
    Action("suppose('cue')", "1", "Reminder", "What if a reminder counted?", ("why",), NOT_THERE),
    Action("suppose('day')", "2", "A day less", "What if one day less were enough?", ("why",), NOT_THERE),
    Action("suppose('carry')", "3", "One more", "What if one thing more came along?", ("why",), NOT_THERE),
    Action("suppose('show')", "4", "Shown next", "What if the next lesson shows it?", ("why",), NOT_THERE),
    Action("suppose('nothing')", "0", "As it is", "Back to how things are", ("why",), NOT_THERE),
    Action("tellings", "t", "Tell", "What to say to the student, the family, the school", ("why",)),
    Action("copy", "c", "Copy", "Copy what stands here as plain text", _COPIED),
    Action("save_text", "f", "Save as text", "Save the answer as a text file", ("why",), NOT_THERE),
    Action("go(1)", "right_square_bracket", "Next", "The next student", _ONE_BY_ONE, NOT_THERE),
    Action("go(-1)", "left_square_bracket", "Before", "The student before", _ONE_BY_ONE, NOT_THERE),
    Action("choose('child')", "1", "the student", "What to say to the student", ("tellings",), NOT_THERE),
    Action("choose('family')", "2", "the family", "What to say to the family", ("tellings",), NOT_THERE),
    Action("choose('school')", "3", "the school", "What to say to the school", ("tellings",), NOT_THERE),
    # answers
    Action("choose('plan')", "p", "plan", "The next lesson in minutes", _ANSWERS, NOT_THERE),
    Action("choose('back')", "b", "back", "After a break: what to look at first", _ANSWERS, NOT_THERE),
    Action("choose('way')", "w", "way", "What to secure on the way", _ANSWERS, NOT_THERE),
    Action("choose('handover')", "h", "hand-over", "The one page for a substitute", _ANSWERS, NOT_THERE),
    Action("choose('review')", "r", "review", "What to look at again soon", _ANSWERS, NOT_THERE),
    Action("choose('season')", "s", "season", "A big day or a long break ahead", _ANSWERS, NOT_THERE),
    Action("choose('changed')", "v", "changed", "Why the answer is not what it was", _ANSWERS, NOT_THERE),
    Action("unfold", "f", "All", "All of it, or the short answer", _ANSWERS),
    Action("other", "o", "Another", "Ask about another day, skill or unit", _ANSWERS),
    # lesson and placing
    Action("press('1')", "1", "Alone", "Shown without help", _NOTING, NOT_THERE),
    Action("press('2')", "2", "Reminder", "Shown with a reminder (a cue)", _NOTING, NOT_THERE),
    Action("press('3')", "3", "After showing", "Shown after being shown (a model)", _NOTING, NOT_THERE),
    Action("press('4')", "4", "By hand", "Guided by hand (hands-on)", _NOTING, NOT_THERE),
    Action("press('5')", "5", "Not shown", "Asked for, not shown", _NOTING, NOT_THERE),
    Action(r"press('\n')", "enter", "Skip", "Not asked today; an answer stays", _NOTING, NOT_THERE),
    Action("press('-')", "minus", "Not asked", "Not asked today after all", _NOTING, NOT_THERE),
    Action("press('*')", "asterisk", "Fine", "The small things of every check were fine", _NOTING),
    Action("press('s')", "s", "In parts", "Take a glance apart, one line each", _NOTING, NOT_THERE),
    Action("press('\"')", "quotation_mark", "Remark", "A remark; Enter keeps it, Escape does not", _NOTING),
    Action('press("\'")', "apostrophe", "Whole lesson", "A word about all of it", _NOTING, NOT_THERE),
    Action("press('(')", "left_parenthesis", "Not liked", "Not liked, or liked again", _NOTING, NOT_THERE),
    Action("press('&')", "ampersand", "Tried again", "Tried again, way by way", _NOTING, NOT_THERE),
    Action("press('u')", "u", "Undo", "Take the last answer back; after noting, the lesson", _NOTING),
    Action("press('+')", "plus", "Add", "Find another skill by a few letters", ("lesson",)),
    Action("press('q')", "q", "Stop here", "Note what was seen; the rest was not asked", _NOTING),
    Action("press('.')", "full_stop", "Note it", "Note it at once, without a question", _NOTING, NOT_THERE),
    Action("afresh", "x", "Start again", "Forget what is half entered and start again", _NOTING, NOT_THERE),
    # deciding
    Action("decide('move')", "m", "Move on", "Decide that this student moves on", ("decide",)),
    Action("decide('stay')", "s", "Stay", "Decide that this student stays", ("decide",)),
    Action("take_back", "u", "Undo", "Take this decision back", ("decide",)),
    Action("other", "o", "Another unit", "Choose the unit to begin in", ("decide",)),
    # pausing
    Action("rest('hand')", "1", "Hand", "The hand and the arm rest", ("pause",)),
    Action("rest('voice')", "2", "Voice", "The voice rests", ("pause",)),
    Action("rest('all')", "3", "All", "Everything rests", ("pause",)),
    # course
    Action("find_skill", "slash", "Find", "Find a skill by typing part of its name", ("course",)),
    Action("change", "c", "Change", "Change the marked skill, and see for whom first", ("course",)),
    Action("plain_map", "n", "No student", "The map without a student", ("course",), NOT_THERE),
    Action("changes", "v", "Changes", "Whose answer the last saved file changed", ("course",)),
    # everywhere
    Action("said", "f2", "Messages", "The messages so far", (EVERYWHERE,), NOT_THERE),
    Action("help", "f1,question_mark", "Help", "What can be done here, and with which key", (EVERYWHERE,)),
    Action("back", "escape", "Back", "Back to where you came from", (EVERYWHERE,)),
)  # fmt: skip


def actions_of(screen: str) -> Iterator[Action]:
    """Yield the rows of a screen, then those of every screen."""
    yield from (row for row in ACTIONS if screen in row.on)
    yield from (row for row in ACTIONS if EVERYWHERE in row.on)


def bindings_of(screen: str) -> list[BindingType]:
    """Return the key bindings of a screen."""
    return [
        Binding(
            row.keys,
            row.id,
            row.title,
            show=row.in_footer,
            tooltip=row.help,
            key_display=key_words(row.keys.split(",")[0]),
        )
        for row in actions_of(screen)
    ]


def help_keys() -> str:
    """Return the keys of the ladder in one line."""
    rows = (row for row in ACTIONS if row.on == _NOTING and row.keys in (*"12345", "enter"))
    return "  ".join(f"{row.all_keys} {row.title.lower()}" for row in rows)


_KEY_WORDS: Final = {
    "slash": "/", "question_mark": "?", "escape": "Esc", "enter": "Enter", "f1": "F1", "f2": "F2",
    "minus": "-",    "left_square_bracket": "[", "right_square_bracket": "]", "plus": "+", "space": "Space",
    "exclamation_mark": "!", "asterisk": "*", "quotation_mark": '"', "apostrophe": "'", "full_stop": ".",
    "left_parenthesis": "(", "ampersand": "&",
}  # fmt: skip


def key_words(key: str) -> str:
    """Return a key as it stands on a keyboard.

    >>> key_words("slash"), key_words("f1"), key_words("l")
    ('/', 'F1', 'l')
    """
    return _KEY_WORDS.get(key, key)


_COMMAND: Final = regex(r"(?P<first>(?:^|[.?!]\s+))?`readiness\s(?P<name>[a-z-]+)(?P<rest>[^`]*)`")
_DOES: Final[dict[str, tuple[str, ...]]] = {
    "pause": ("open('pause')",), "note": ("open('lesson')",),
    "decide": ("decide('move')", "open('decision')"),
    "tell": ("tellings",), "place": ("open('placing')",), "why": ("open_why",),
    "undo": ("take_back", "press('u')", "take_last_back"),
    **dict.fromkeys(("roster", "check"), ("open('problems')",)),
    **dict.fromkeys(("resume", "promise", "task", "consent", "move-note", "sheet"), ("work",)),
    **{row.id[8:-2]: (row.id, "open('answers')") for row in ACTIONS if row.on == _ANSWERS and "'" in row.id},
}  # fmt: skip
"""What does on a screen what a command does: the first that the screen has, else the last."""


def with_keys(text: str, screen: str) -> str:
    """Return a text with the key that does it in place of each command that a key stands for.

    >>> with_keys("A slip? `readiness undo temwa` takes this back.", "why")
    'A slip? Key u takes this back.'
    >>> with_keys("To begin: `readiness decide alma move`.", "placing")
    'To begin: Escape, then key d.'
    >>> with_keys("More: --full", "answers")
    'More: key f'
    >>> with_keys("`readiness decide rafiq move` begins unit 8; with --unit another one.", "why")
    'Key d begins unit 8; with key o there another one.'
    """
    text = text.replace("; with --unit ", "; with key o there ")
    if any(row.id == "unfold" for row in actions_of(screen)):
        text = text.replace("--full", "key f")

    def key(found: Match[str]) -> str:
        does, here = _DOES.get(found["name"], ()), {row.id for row in actions_of(screen)}
        if not does or any(one in found["rest"] for one in ("--unit", "--why")):  # only a command says that
            return found[0]
        keys = {row.id: row.all_keys for row in ACTIONS}
        last = next((one for one in does if one in here), does[-1])
        then = f", then {keys[does[0]]}" if last == "open('answers')" else ""
        words = f"{'' if last in here else 'Escape, then '}key {keys[last]}{then}"
        return words if found["first"] is None else found["first"] + words[0].upper() + words[1:]

    return _COMMAND.sub(key, text)
