"""What the letters say, in Spanish: usted to the family, tú to the student; a draft that a speaker must read.

Whether somebody is a boy or a girl is said nowhere, so no sentence needs to know. ``{things}`` are
infinitives ("levantar la muñeca"), ``{how}`` is the second person ("levantas la muñeca").
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from readiness.terms import State
from readiness.words.grammar import inside
from readiness.words.letter_english import Letters

__all__ = ["Spanish"]

_MONTHS: Final = (
    "enero", "febrero", "marzo", "abril", "mayo", "junio", "julio", "agosto", "septiembre", "octubre",
    "noviembre", "diciembre",
)  # fmt: skip
_SMALL: Final = (
    "cero", "uno", "dos", "tres", "cuatro", "cinco", "seis", "siete", "ocho", "nueve", "diez",
)  # fmt: skip
_BEFORE_I: Final = re.compile(r"h?[ií](?![aeoáéóuú])", re.IGNORECASE)
"""What turns y into e: the sound of i, but not that of "hielo" (Real Academia Española, Ortografía)."""
_BEFORE_O: Final = re.compile(r"h?[oó]|8|11\b", re.IGNORECASE)
"""What turns o into u."""


class Spanish(Letters):
    """The letters in Spanish."""

    def day(self, day: int, beside: int | None) -> str:
        on = date.fromordinal(day)
        same_year = beside is not None and date.fromordinal(beside).year == on.year
        return f"{on.day} de {_MONTHS[on.month - 1]}{'' if same_year else f' de {on.year}'}"

    def number(self, count: int) -> str:
        return _SMALL[count] if 0 <= count < len(_SMALL) else str(count)

    def listed(self, words: Sequence[str], last: str = "and") -> str:
        if len(words) < 2:
            return "".join(words)
        return f"{', '.join(words[:-1])} {_link(last, words[-1])} {words[-1]}"

    def joined(self, words: Sequence[str]) -> str:
        is_long = len(words) > 1 and any(re.search(r",| [yeou] ", word) for word in words)
        if not is_long:
            return self.listed(words)
        return f"{', '.join(words[:-1])}, {_link('and', words[-1])} {words[-1]}"

    def quoted(self, text: str) -> str:
        return f"«{text}»"

    def for_home(self, text: str, named: str) -> str:  # noqa: ARG002 - no activity in Spanish names the child
        return self.quoted(inside(text))

    def quiet_work(self) -> str:
        return self.listed(["escuchar", "mirar la partitura", "aprender palabras", "hacer planes"])

    def so_far(self, have: int, need: int, *, is_all: bool, well: str) -> str:
        so_far = "Aún no llevamos ninguno"
        if have:
            so_far = f"Llevamos {self.by_count(self.so_many_days, have)}"
            so_far += f" de {self.number(need)}" if have < need else " muy seguidos"
        if not is_all:
            return f"{so_far}."
        more = max(need - have, 1)
        left = "falta un día más" if more == 1 else f"faltan {self.number(more)} días más"
        return f"{so_far}, así que solo {left}{well}."

    so_many_days: Mapping[int, str] = {1: "un día", 0: "{n} días"}
    unit = "la unidad {number}, {name}"
    unnamed: Mapping[int, str] = {1: "esto", 0: "estas {n}"}
    unnamed_more: Mapping[int, str] = {1: "una cosa más", 0: "{n} cosas más"}
    unnamed_you: Mapping[int, str] = {1: "haces esto", 0: "haces estas {n}"}
    unnamed_you_more: Mapping[int, str] = {1: "haces una cosa más", 0: "haces {n} cosas más"}

    # where the body rests

    parts: Mapping[str, str] = {
        "hand": "las manos y los brazos", "voice": "la voz", "all": "la parte que duele",
    }  # fmt: skip
    hurts: Mapping[str, str] = {
        "hand": "le duele una mano o un brazo",
        "voice": "le duele la voz o la garganta",
        "all": "le duele algo o no se encuentra bien",
    }
    doing: Mapping[str, str] = {"play": "tocar", "sing": "cantar", "both": "tocar ni cantar"}
    stop_now: Mapping[str, str] = {
        "play": "Hay que dejar de tocar ahora mismo. No se debe tocar con dolor. En casa tampoco se toca "
        "hasta que {ends}.",
        "sing": "Hay que dejar de cantar ahora mismo. No se debe cantar con dolor. En casa tampoco se canta "
        "hasta que {ends}.",
        "both": "Hay que dejar de tocar y cantar ahora mismo. No se debe tocar ni cantar con dolor. En casa "
        "tampoco se toca ni se canta hasta que {ends}.",
    }
    ends = ("una persona adulta termine la pausa", "me digas que la pausa puede terminar")
    may_hurt = (
        "Lo que me contaron entre las clases habla quizá de algo que duele.",
        "El {day} anoté unas palabras sobre algo que quizá duela.",
    )
    it_hurts = (
        ("{noted} Por favor, pregunten hoy a {named}. Si le duele, por ahora no se debe tocar nada en casa: "
         "consulten a un médico u otro profesional sanitario y cuéntenme lo que les digan."),
        ("{noted} Si te duele, por ahora no toques nada en casa: consulta a un médico u otro profesional "
         "sanitario y cuéntame lo que te diga."),
    )
    ask_first = "Tocar puede esperar hasta que un adulto te haya preguntado cómo estás."
    rest_voice = (
        "La voz debe descansar: sin forzar, sin susurrar y bebiendo agua. Si tras dos semanas sigue la "
        "ronquera, hay que volver a consultar a un profesional sanitario."
    )
    rest_voice_child = f"Para los mayores: {rest_voice}"
    came_back = "Ya hubo una pausa hasta el {}: conviene mencionarlo."
    resting = (
        "Otro curso está en pausa desde el {since}. Conviene consultar {by_when} a un médico u otro "
        "profesional sanitario, si aún no se ha hecho, y contarme lo que diga. Ni en clase ni en casa se "
        "hace nada que canse {rests} hasta que {ends}."
    )
    by_when = "esta semana", "ahora"
    resting_child = "Dejamos descansar {rests} hasta que un adulto diga que ya va bien."
    ended = "Al terminar la pausa me dijeron {}, y eso va primero también en casa."
    gently = (
        "Después de la pausa, en casa conviene hacer poco, con descansos, y un poco más cada semana. "
        "Si algo duele, hay que parar y consultar a un médico u otro profesional sanitario."
    )
    moved_early = (
        "Después de una pausa suele haber dos clases antes de empezar otra unidad; esta vez he decidido "
        "empezarla antes."
    )
    gently_child = "La próxima vez empezamos con muy poco y con descansos. Si algo duele, dímelo enseguida."

    # at home, and when we see each other

    where = "En casa", "En casa, si hay un instrumento"
    habit = "un momento para esto cada vez antes de tocar", "una sola cosa cada vez antes de tocar: {things}"
    habit_then = "{where}, un momento cada vez antes de tocar: {activity}."
    habit_way = " Una manera de hacerlo: {}."
    home = "{where}, con {minutes} {often} basta{what}{activity}"
    minutes: Mapping[int, str] = {1: "un minuto", 0: "{n} minutos"}
    a_week: Mapping[int, str] = {1: "un día a la semana", 0: "{n} días a la semana"}
    a_day = "al día"
    at_what: Mapping[str, str] = {
        "": "", "fun": " para {doing} lo que apetezca", "piece": " con una pieza que ya sale bien",
    }  # fmt: skip
    at_things = " para {}"
    it = "eso"
    with_activity = ": {}."
    after_holidays = ", después de las vacaciones (del {first} al {last})"
    when = "Volveremos a mirarlo el {day}."
    after_season = ", después de las semanas sin clase", ", después de {}"
    look_back = ", y primero repasamos un poco"
    when_later = (
        "Lo más pronto que se puede avanzar es el {earliest}, y puede que tarde más.",
        "Según el plan se puede pasar a la siguiente unidad a partir del {earliest}, y puede que tarde más.",
    )
    when_then = "Volveremos a mirarlo el {day}; si ese día {what} sin ayuda, {who}."
    it_comes: Mapping[int, str] = {1: "sale", 2: "salen las dos cosas", 0: "sale todo lo que miramos"}
    enough_comes = "sale bastante de lo que miramos"
    moves_on = "puedes avanzar", "{named} puede avanzar"
    young = "A esta edad, todo es corto y es un juego."
    start_open = "Todavía no está claro por dónde empezar; antes miramos algunas cosas más."
    will_show = "Las primeras clases mostrarán si es así."
    before = "De {since} nos queda un poco de trabajo: {few}."
    since = "unidades anteriores", "la unidad anterior"
    before_child = (
        "Algunas cosas de antes siguen con nosotros.",
        "Una cosa de antes sigue con nosotros: {how}.",
    )

    # to the family

    looking_forward = "Tengo muchas ganas de la clase con {named}."
    good: Mapping[str, str] = {
        "on-a-break": "Antes del descanso, a {named} le iba bien con esto: {things}.",
        "earlier": "La última vez que lo miramos, a {named} le iba bien con esto: {things}.",
        "away": "Incluso después de estas semanas sin clase, a {named} le va bien con esto: {things}.",
        "with-help": "A {named} le va bien con esto: {things}.",
        "alone": "A {named} le sale esto sin ninguna ayuda: {things}.",
    }
    seen_on = "Lo vimos {}."
    on_day = "el {}"
    first_now = "Ahora hay una cosa que va primero: {things}. {stands}{builds}."
    stands: Mapping[State, str] = {
        State.SLIPPED: "Ya estaba y se ha aflojado, como suele pasar",
        State.WOBBLING: "Ya estaba y un día no salió",
        State.NOT_SHOWN: "Todavía no ha salido",
        State.WITH_HELP: "Por ahora sale con algo de ayuda",
    }
    came_before = "Ya ha salido antes, y la última vez no"
    builds = ", y sobre esto se apoya lo siguiente: {}"
    after_pause = "Después de la pausa vienen dos clases antes de empezar la siguiente unidad."
    under_way = "Seguimos trabajando en esto: {}."
    asks_days = "{at} nos gusta ver {what} en {days} días distintos antes de construir sobre ello{because}."
    at_age = "A los {} años"
    at_this_age = "A esta edad"
    for_now = "Por ahora"
    something_new = "algo nuevo"
    because = ", como hace {}"
    nearly: Mapping[int, str] = {
        1: "Solo falta un día más{well}.",
        0: "Faltan como mucho {n} días más{well}.",
    }
    well = ", y todo va bien"
    not_lately = (
        "Algunas cosas no las hemos visto desde hace tiempo; una mirada breve nos dirá si siguen ahí."
    )
    no_turn_yet = "Esto aún no ha tenido su turno: {}. Llega poco a poco."
    from_the_start = "Empezamos desde el principio."
    off_day = "Un día no salió esto: {}. Un solo día dice poco."
    some_of: Mapping[int, str] = {
        1: "Antes de la siguiente unidad nos gustaría ver una de estas cosas: {things}.",
        0: "Antes de la siguiente unidad nos gustaría ver {n} de estas cosas: {things}.",
    }
    along = "Por el camino terminamos esto: {}."
    coming = "Lo siguiente que miramos es esto: {}."
    start = "Empezamos en {unit}{extra}."
    extra = ", con un poco más de tiempo para {}"

    # to a child

    how: Mapping[str, str] = {"earlier": "cómo ", "placing": "cómo "}
    child_good: Mapping[str, str] = {
        "earlier": "Me acuerdo de cómo {how}.",
        "away": "Incluso después de estas semanas, {how}.",
        "alone": "Ya {how}, sin ninguna ayuda.",
        "other": "Ya {how}.",
    }
    welcome = "Tengo muchas ganas de nuestra clase."
    then: Mapping[str, str] = {
        "staying": "La próxima vez seguimos con lo que estamos tocando, porque aún tiene mucho dentro.",
        "last unit": "La próxima vez eliges tú lo que tocamos.",
        "finished": "La próxima vez eliges tú lo que tocamos.",
        "break": "Miramos unas cosas pequeñas y luego seguimos.",
        "after pause": "Miramos unas cosas pequeñas y luego seguimos.",
        "first lesson": "La próxima vez probamos algunas cosas, y así sabremos por dónde empezamos.",
        "placing": "La próxima vez probamos algunas cosas más, y así sabremos por dónde empezamos.",
        "placed": "Ya sabemos por dónde empezamos, y la próxima vez empezamos.",
        "new": "La próxima vez descubrimos lo que hay dentro.",
        "look": "La próxima vez miramos algunas cosas.",
        "again": "La próxima vez me gustaría verlo una vez más.",
    }
    then_one: Mapping[str, str] = {
        "new": "La próxima vez descubrimos cómo {how}.",
        "start": "La próxima vez empezamos con una sola cosa: {how}.",
        "see": "La próxima vez me gustaría ver cómo {how}.",
    }
    onward: Mapping[int, str] = {
        1: "La próxima vez empezamos algo nuevo, {unit}, y una cosa viene con nosotros: {how}.",
        2: "La próxima vez empezamos algo nuevo, {unit}, y algunas cosas vienen con nosotros.",
        0: "La próxima vez empezamos algo nuevo, {unit}.",
    }
    later_child = "Ya tienes todo lo que pide {unit}. Lo empezamos más adelante{after}."

    # to an adult, or nearly

    well_earlier = "{things} (la última vez, el {day})"
    to_finish = "Por terminar por el camino: {}."
    work_on = "Lo único que hay que trabajar ahora: {things}."
    look_at = (
        "Lo siguiente que me gustaría mirar: {things}.",
        "Lo siguiente que me gustaría volver a ver: {things} ({days} de {need_words} por ahora).",
    )
    start_for_now = "Por ahora empezamos en {unit}."

    # the page of a week at home

    week = "En casa, del {first} al {last}", "{named} en casa, del {first} al {last}"
    week_days = ("lun", "mar", "mié", "jue", "vie", "sáb", "dom")
    week_minutes: Mapping[int, str] = {1: "1 minuto", 0: "{count} minutos"}
    week_often: Mapping[int, str] = {1: "1 día", 0: "{count} días"}
    week_stop = "Si algo duele o cansa, hay que parar enseguida y decírmelo."
    week_last = "Una cruz en la casilla de cada día que se hizo. Si una queda vacía, no pasa nada."


def _link(last: str, word: str) -> str:
    """Return y or o, or e and u before their own sounds."""
    if last == "or":
        return "u" if _BEFORE_O.match(word) else "o"
    return "e" if _BEFORE_I.match(word) else "y"
