"""What the letters say, in Spanish: usted to the family, tú to the student; a draft that a speaker must read.

Whether somebody is a boy or a girl is said nowhere, so no sentence needs to know. ``things`` are infinitives
("levantar la muñeca"), ``how`` is the second person ("levantas la muñeca").
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from typing import Final

from readiness.record.model import Hold
from readiness.terms import Kind, State
from readiness.words.grammar import capital
from readiness.words.letter_english import SPOKEN_AGE, Letters

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
_KIND: Final = {
    Kind.MOTOR: "un movimiento nuevo", Kind.KNOWLEDGE: "algo así", Kind.EAR: "una habilidad de oído",
    Kind.READING: "algo que se lee", Kind.HABIT: "una costumbre",
}  # fmt: skip
_PARTS: Final = {"hand": "las manos y los brazos", "voice": "la voz", "all": "la parte que duele"}
_HURTS: Final = {"hand": "le duele una mano o un brazo", "voice": "le duele la voz o la garganta"}
_DOING: Final = {"play": "tocar", "sing": "cantar", "both": "tocar ni cantar"}
_QUIET: Final = ("escuchar", "mirar la partitura", "aprender palabras", "hacer planes")


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

    def unit(self, number: int, name: str) -> str:
        return f"la unidad {number}, {name}"

    def unnamed(self, count: int, *, beside: bool) -> str:
        if beside:
            return "una cosa más" if count == 1 else f"{self.number(count)} cosas más"
        return "esto" if count == 1 else f"estas {self.number(count)}"

    def unnamed_you(self, count: int, *, beside: bool) -> str:
        return f"haces {self.unnamed(count, beside=beside)}"

    def for_home(self, text: str, named: str) -> str:  # noqa: ARG002 - no activity in Spanish names the child
        return self.quoted(text.rstrip("."))

    # where the body rests

    def hurts(self, part: str | None) -> str:
        return _HURTS.get(part or "", "le duele algo")

    def doing(self, what: str) -> str:
        return _DOING[what]

    def stop_now(self, what: str) -> str:
        stop = _DOING[what].replace(" ni ", " y ")
        return f"Hay que dejar de {stop} ahora mismo. No se debe {_DOING[what]} con dolor."

    rest_voice = (
        "La voz debe descansar: sin forzar, sin susurrar y bebiendo agua. Si la ronquera dura dos "
        "semanas, hay que consultar a un profesional sanitario."
    )

    def quiet_work(self, holds: Sequence[Hold]) -> str:
        possible = list(_QUIET)
        if not {hold.part for hold in holds} & {"voice", "all"}:
            possible.insert(1, "hacer ritmos con la voz")
        return self.listed(possible)

    def resting(self, parts: Sequence[str], since: str) -> str:
        rests = self.joined([_PARTS[part] for part in parts])
        return (
            f"Otro curso está en pausa desde el {since}. Ni en clase ni en casa se hace nada que canse "
            f"{rests} hasta que una persona adulta termine la pausa."
        )

    def resting_child(self, parts: Sequence[str]) -> str:
        rests = self.joined([_PARTS[part] for part in parts])
        return f"Dejamos descansar {rests} hasta que un adulto diga que ya va bien."

    gently = (
        "Después del descanso, en casa conviene hacer poco, con pausas, y un poco más cada semana. "
        "Si algo duele, hay que parar y consultar otra vez al médico."
    )

    gently_child = "La próxima vez empezamos con muy poco y con pausas. Si algo duele, dímelo enseguida."

    # at home, and when we see each other

    def home_habit(self, things: str, activity: str, *, on_a_break: bool) -> str:
        where = "En casa, si hay un instrumento" if on_a_break else "En casa"
        more = f" Una manera de hacerlo: {activity}." if activity else ""
        one = "una sola cosa cada vez antes de tocar"
        one = f"{one}: {things}" if things else "un momento para esto cada vez antes de tocar"
        return f"{where}, {one}.{more}"

    def home(self, minutes: int, days: int, what: str, activity: str, *, on_a_break: bool) -> str:
        where = "En casa, si hay un instrumento," if on_a_break else "En casa,"
        long = "un minuto" if minutes == 1 else f"{self.number(minutes)} minutos"
        often = f"{_days(self, days)} a la semana" if days else "al día"
        fixed = {"": "", "fun": " para tocar lo que apetezca", "piece": " con una pieza que ya sale bien"}
        end = f": {activity}." if activity else "."
        return f"{where} con {long} {often} basta{fixed.get(what, f' para {what}')}{end}"

    def when(self, day: str) -> str:
        return f"Volveremos a mirarlo el {day}."

    def when_later(self, day: str, earliest: str) -> str:
        return (
            f"Volveremos a mirarlo el {day}. Lo más pronto que se puede avanzar es el {earliest}, y puede "
            "que tarde más."
        )

    def when_then(self, day: str, comes: int, named: str) -> str:
        what = {1: "sale", 2: "salen las dos cosas"}.get(comes, "sale todo lo que miramos")
        who = f"{named} puede avanzar" if named else "puedes avanzar"
        return f"Volveremos a mirarlo el {day}; si ese día {what} sin ayuda, {who}."

    young = "A esta edad, todo es corto y es un juego."

    def perhaps(self, first: int | None, last: int | None) -> str:
        told = [f"quizá ya en la unidad {first}"] if first else []
        told += [f"quizá incluso en la unidad {last}"] if last else []
        return f"{capital(', '.join(told))}." if told else ""

    first_impression = "Es una primera impresión; una segunda clase la confirma o la corrige."

    def before(self, things: str, more: int, *, last_unit: bool, child: bool = False) -> str:
        if child:
            some = "Algunas cosas de antes siguen con nosotros."
            return f"Una cosa de antes sigue con nosotros: {things}." if things else some
        others = "otra cosa" if more == 1 else f"otras {self.number(more)} cosas"
        few = f"{things}, y {others}" if more else things
        since = "la unidad anterior" if last_unit else "unidades anteriores"
        return f"De {since} nos queda un poco de trabajo: {few}."

    # to the family

    def looking_forward(self, named: str) -> str:
        return f"Tengo muchas ganas de la clase con {named}."

    def good(self, how: str, named: str, things: str) -> str:
        match how:
            case "on-a-break":
                return f"Antes del descanso, a {named} le iba bien con esto: {things}."
            case "away":
                return f"Incluso después de estas semanas sin clase, a {named} le va bien con esto: {things}."
            case "with-help":
                return f"A {named} le va bien con esto: {things}."
            case _:
                already = {"placing": "le sale", "also": "ya le sale también"}.get(how, "ya le sale")
                return f"A {named} {already} esto sin ninguna ayuda: {things}."

    def seen_on(self, days: Sequence[str], count: int) -> str:
        what = {1: "Lo vimos", 2: "Vimos las dos"}.get(count, "Las vimos")
        return f"{what} {self.listed([f'el {day}' for day in days])}."

    def first_now(self, things: str, state: State, builds: str) -> str:
        more = f", y sobre esto se apoya lo siguiente: {builds}" if builds else ""
        match state:
            case State.SLIPPED:
                where = f"Ya estaba y se ha aflojado, como suele pasar{more}."
            case State.WOBBLING:
                where = f"Ya estaba y un día no salió{more}; un solo día dice poco."
            case State.NOT_SHOWN:
                where = f"Todavía no ha salido{more}."
            case _:
                where = f"Por ahora sale con algo de ayuda{more}."
        return f"Ahora hay una cosa que va primero: {things}. {where}"

    def asks_days(self, age: int, kind: Kind | None, needs: Sequence[int], unit: str, count: int) -> str:
        at = f"A los {self.number(age)} años" if 1 < age <= SPOKEN_AGE else "A esta edad"
        what = _KIND[kind] if kind else "cosas así"
        often = self.listed([self.number(need) for need in needs], "or")
        days = "en un día" if [*needs] == [1] else f"en {often} días distintos"
        on = {1: "ello", 2: "las dos cosas"}.get(count, "todo ello")
        because = f", y {unit}, se apoya en {on}" if unit else ""
        return f"{at} nos gusta ver {what} {days} antes de construir sobre ello{because}."

    def so_far(self, have: int, need: int) -> str:
        more = max(need - have, 1)
        so_far = f"Llevamos {_days(self, have)} de {self.number(need)}" if have else "Aún no llevamos ninguno"
        left = "falta un día más" if more == 1 else f"faltan {self.number(more)} días más"
        return f"{so_far}, así que solo {left}, y todo va bien."

    def nearly(self, more: int) -> str:
        some = {1: "Solo falta un día más", 2: "Solo faltan uno o dos días más"}
        return f"{some.get(more, f'Faltan como mucho {self.number(more)} días más')}, y todo va bien."

    not_lately = (
        "Algunas cosas no las hemos visto desde hace tiempo; una mirada breve nos dirá si siguen ahí."
    )

    def no_turn_yet(self, things: str, count: int) -> str:  # noqa: ARG002 - nothing here has a number
        some = "Algunas cosas aún no han tenido su turno"
        return f"{f'Esto aún no ha tenido su turno: {things}' if things else some}. Empezamos por ahí."

    def off_day(self, things: str) -> str:
        what = f"Un día no salió esto: {things}" if things else "Un día no salieron algunas cosas"
        return f"{what}. Un solo día dice poco."

    def some_of(self, at_least: int, things: str) -> str:
        many = "una" if at_least == 1 else self.number(at_least)
        return f"Antes de la siguiente unidad nos gustaría ver {many} de estas cosas: {things}."

    def along(self, count: int, things: str, *, among: bool) -> str:
        many = "Una cosa se termina" if count == 1 else f"{capital(self.number(count))} cosas se terminan"
        return f"{many} por el camino{', entre ellas: ' if among else ': '}{things}."

    def coming(self, things: str) -> str:
        if not things:
            return "Lo que viene es nuevo, y lo empezamos poco a poco."
        return f"Lo siguiente que miramos es esto: {things}."

    def start(self, unit: str, count: int, things: str) -> str:
        many = "una cosa más" if count == 1 else f"{self.number(count)} cosas más"
        return f"Empezamos en {unit}{f', con {many}: {things}' if things else ''}."

    # to a child

    def child_good(self, how: str, said: str) -> str:
        match said:
            case "on-a-break":
                return f"Me acuerdo de cómo {how}."
            case "away":
                return f"Incluso después de estas semanas, {how}."
            case "placing":
                return f"Me has enseñado cómo {how}."
            case _:
                return f"Ya {how}{', sin ninguna ayuda' if said == 'alone' else ''}."

    def welcome(self, said: str) -> str:
        return {
            "on-a-break": "Tengo muchas ganas de volver a verte.",
            "away": "Qué bien que estés aquí otra vez.",
        }.get(said, "Tengo muchas ganas de tocar contigo.")

    def then(self, case: str) -> str:
        few = "Miramos unas cosas pequeñas y luego seguimos."
        choose = "La próxima vez eliges tú lo que tocamos."
        return {
            "staying": "La próxima vez seguimos con lo que estamos tocando, porque aún tiene mucho dentro.",
            "last unit": choose, "finished": choose, "break": few, "after pause": few,
            "first lesson": "La próxima vez probamos algunas cosas, y así sabremos por dónde empezamos.",
            "placing": "La próxima vez probamos algunas cosas más, y así sabremos por dónde empezamos.",
            "new": "La próxima vez descubrimos lo que hay dentro.",
            "look": "La próxima vez miramos algunas cosas.",
            "again": "La próxima vez me gustaría verlo una vez más.",
        }.get(case, "")  # fmt: skip

    def then_one(self, how: str, state: str) -> str:
        match state:
            case "new":
                return f"La próxima vez descubrimos cómo {how}."
            case "start":
                return f"La próxima vez empezamos con una sola cosa: {how}."
            case _:
                return f"La próxima vez me gustaría ver cómo {how}."

    def onward(self, unit: str, how: str, count: int) -> str:
        words = f"La próxima vez empezamos algo nuevo, {unit}"
        if count == 1:
            return f"{words}, y una cosa viene con nosotros: {how}."
        return f"{words}, y algunas cosas vienen con nosotros." if count else f"{words}."

    # to an adult, or nearly

    def still_along(self, things: str) -> str:
        return f"Por terminar por el camino: {things}."

    def to_finish(self, told: Sequence[tuple[str, int]]) -> str:
        when = {number: f"antes de la unidad {number}" if number else "sin prisa" for _, number in told}
        parts = [f"{things} ({when[number]})" for things, number in told]
        return f"Por terminar por el camino: {self.joined(parts)}."

    def work_on(self, things: str) -> str:
        return f"Lo único que hay que trabajar ahora: {things}."

    def look_at(self, things: str, have: int, need: int) -> str:
        if need:
            so_far = f"{_days(self, have)} de {self.number(need)} por ahora"
            return f"Lo siguiente que me gustaría volver a ver: {things} ({so_far})."
        return f"Lo siguiente que me gustaría mirar: {things}."

    def start_for_now(self, unit: str) -> str:
        return f"Por ahora empezamos en {unit}."


def _link(last: str, word: str) -> str:
    """Return y or o, or e and u before their own sounds."""
    if last == "or":
        return "u" if _BEFORE_O.match(word) else "o"
    return "e" if _BEFORE_I.match(word) else "y"


def _days(spanish: Spanish, count: int) -> str:
    return "un día" if count == 1 else f"{spanish.number(count)} días"
