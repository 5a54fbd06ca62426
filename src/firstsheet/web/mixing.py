"""The bench's chemistry: recipes, substances, what to weigh, a mix as made, a bottle with its card and its label."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import (
    mixing,
    mixing_asked,
    mixing_check,
    mixing_coffee,
    mixing_kept,
    mixing_known,
    mixing_own,
    mixing_pour,
    mixing_spoons,
)
from firstsheet.chemistry.recipe import KINDS
from firstsheet.refusal import Refusal
from firstsheet.web import bodies, desk, mixing_baths, mixwords
from firstsheet.web.bodies import Sent

router = APIRouter(prefix="/mix", include_in_schema=False)
router.include_router(mixing_baths.router)
Form = Annotated[Sent, Depends(bodies.form)]
PLACE = "Bench"
CHECK = ("lines", "makes", "temperature")
STRIP = (*CHECK, "ph", "give")
OWN = ("name", "lines", "makes", "kind", "dilution", "temperature", "time", "source", "note")
THIN = ("dilution", "volume", "stock")
SPOON = ("weight", "count", "spoon")
POUR = ("name", "kind", "volume", "temperature", "developer")


def _asked(
    request: Request, template: str, names: tuple[str, ...], refusal: Refusal | None = None, **words: Any
) -> Response:
    """A page with a form; with what is wrong beside its fields."""
    base: dict[str, Any] = {"elsewhere": [], "by_field": {}, "typed": {}, "told": None}
    if refusal is None:
        return desk.page(request, template, PLACE, **(base | words))
    beside = desk.beside(mixwords.by_field(refusal), set(names))
    return desk.page(request, template, PLACE, desk.status_of(refusal), **(base | words | beside))


@router.get("")
def index(request: Request) -> Response:
    """Recipes by kind, and the bottles that are kept."""
    book = desk.book_of(request)
    with book.looking():
        kinds = mixwords.by_kind(mixing_known.recipes(book))
        bottles = [mixwords.bottle_line(b, book.now()) for b in mixing_kept.bottles(book)[:30]]
    return desk.page(request, "mix.html", PLACE, kinds=kinds, bottles=bottles)


# ── what is known ──


@router.get("/substances")
def substances(request: Request) -> Response:
    return desk.page(
        request,
        "mix_substances.html",
        PLACE,
        substances=[mixwords.substance_line(s) for s in mixing_known.substances()],
    )


@router.get("/substances/{key}")
def substance(request: Request, key: str) -> Response:
    return _substance(request, key)


def _substance(
    request: Request, key: str, refusal: Refusal | None = None, typed: dict[str, str] | None = None
) -> Response:
    book = desk.book_of(request)
    s = mixing_known.told(key[:60])
    with book.looking():
        mine = mixing_spoons.spoons(book).get(s.key)
    return _asked(request, "mix_substance.html", SPOON, refusal, s=mixwords.substance(s, mine), typed=typed or {})


@router.post("/substances/{key}")
def spoon(request: Request, key: str, sent: Form) -> Response:
    """What level spoons of it weighed."""
    said = {k: v for k, v in sent.fields.items() if k in SPOON}
    try:
        s = mixing_spoons.weigh_spoon(desk.book_of(request), said | {"substance": key[:60]})
    except Refusal as refusal:
        return _substance(request, key, refusal, said)
    return desk.onward(f"/mix/substances/{s.key}")


# ── what to weigh ──


@router.get("/recipe/{key:path}")
def make(request: Request, key: str) -> Response:
    """A recipe and what to say of your trays and shelf; with that said, what to weigh. Nothing is kept by looking."""
    book = desk.book_of(request)
    said = {k: v for k, v in bodies.query(request).items() if k in mixing_asked.FIELDS and k != "recipe"}
    with book.looking():
        r = mixing_known.recipe_told(book, key[:60])
        words: dict[str, Any] = {"r": mixwords.recipe(r), "typed": said}
        if not said or "again" in request.query_params:
            return _asked(request, "mix_make.html", mixing_asked.FIELDS, **words)
        try:
            told = mixwords.mix(mixing.mix(book, said | {"recipe": r.key}))
        except Refusal as refusal:
            return _asked(request, "mix_make.html", mixing_asked.FIELDS, refusal, **words)
    return _asked(
        request,
        "mix_made.html",
        mixing_asked.FIELDS,
        **(words | {"m": told, "kept": None, "again": mixwords.again(said)}),
    )


@router.post("/keep")
def keep(request: Request, sent: Form) -> Response:
    fields = {k: v for k, v in sent.fields.items() if k in (*mixing_asked.FIELDS, "name")}
    return desk.onward(f"/mix/{mixing_kept.keep(desk.book_of(request), fields).number}")


# ── a mix as made, a recipe of your own, stock and water ──


@router.get("/check")
def check(request: Request) -> Response:
    said = {k: v for k, v in bodies.query(request).items() if k in CHECK}
    if not said:
        return _asked(request, "mix_check.html", CHECK)
    try:
        book = desk.book_of(request)
        with book.looking():
            told = mixwords.checked(mixing_check.check(said, book))
    except Refusal as refusal:
        return _asked(request, "mix_check.html", CHECK, refusal, typed=said)
    return _asked(request, "mix_check.html", CHECK, typed=said, told=told, coffee="coffee" in said["lines"].lower())


@router.post("/check")
def strip(request: Request, sent: Form) -> Response:
    """A pH strip read in the mix: what acid its coffee has."""
    said = {k: v for k, v in sent.fields.items() if k in STRIP}
    book = desk.book_of(request)
    try:
        found = mixing_coffee.measure(book, said)
    except Refusal as refusal:
        return _asked(request, "mix_check.html", STRIP, refusal, typed=said, coffee=True)
    told = mixwords.checked(mixing_check.check({k: v for k, v in said.items() if k in CHECK}, book))
    return _asked(request, "mix_check.html", STRIP, typed=said, told=told, coffee=True, strip=found.sentence)


@router.get("/thin")
def thin(request: Request) -> Response:
    said = {k: v for k, v in bodies.query(request).items() if k in THIN}
    if not said:
        return _asked(request, "mix_thin.html", THIN)
    try:
        told = mixwords.thinned(mixing_known.thin(said))
    except Refusal as refusal:
        return _asked(request, "mix_thin.html", THIN, refusal, typed=said)
    return _asked(request, "mix_thin.html", THIN, typed=said, told=told)


@router.get("/own")
def own(request: Request) -> Response:
    return _asked(request, "mix_own.html", OWN, kinds=list(KINDS.items()))


@router.post("/own")
def own_told(request: Request, sent: Form) -> Response:
    try:
        kept = mixing_own.add_recipe(desk.book_of(request), {k: v for k, v in sent.fields.items() if k in OWN})
    except Refusal as refusal:
        return _asked(request, "mix_own.html", OWN, refusal, typed=sent.fields, kinds=list(KINDS.items()))
    return desk.onward(f"/mix/recipe/{mixwords.in_address(kept.key)}")


# ── a bottle ──


@router.get("/{number}")
def bottle(request: Request, number: str) -> Response:
    return _bottle(request, number)


def _bottle(
    request: Request, number: str, refusal: Refusal | None = None, typed: dict[str, str] | None = None
) -> Response:
    book = desk.book_of(request)
    with book.looking():
        b = mixing_kept.of(book, bodies.whole_number(number, "mix"))
        words = mixwords.bottle_line(b, book.now())
        kinds = mixing_pour.may_become(book, b.number)
    told: dict[str, Any] = {
        "m": mixwords.kept(b.mix),
        "kept": words,
        "r": {"key": b.mix["recipe"], "words": b.mix["words"]},
    }
    told |= {"pour": mixing_pour.kinds_words(kinds), "developer": b.mix["kind"] == "developer", "typed": typed or {}}
    return _asked(request, "mix_made.html", POUR, refusal, **told)


@router.post("/{number}/pour")
def poured(request: Request, number: str, sent: Form) -> Response:
    """Into a tray, or, by the button touched, only a developer of the book."""
    book, n = desk.book_of(request), bodies.whole_number(number, "mix")
    said = {k: v for k, v in sent.fields.items() if k in POUR}
    try:
        if sent.fields.get("do") == "developer":
            name = said.get("developer")
            mixing_pour.developer(book, n, {"name": name} if name else {})
            return desk.onward("/own")
        found = mixing_pour.pour(book, n, said)
    except Refusal as refusal:
        if refusal.kind == "missing":
            raise
        return _bottle(request, number, refusal, said)
    return desk.onward(f"/mix/bath/{mixwords.in_address(found.bath.name)}")


@router.post("/{number}")
def spent_or_not(request: Request, number: str, sent: Form) -> Response:
    spent = sent.fields.get("do") != "back"
    return desk.onward(
        f"/mix/{mixing_kept.spend(desk.book_of(request), bodies.whole_number(number, 'mix'), spent).number}"
    )


@router.get("/{number}/card")
def card(request: Request, number: str) -> Response:
    """One number at a time."""
    book = desk.book_of(request)
    with book.looking():
        b = mixing_kept.of(book, bodies.whole_number(number, "mix"))
    return desk.page(request, "mix_card.html", PLACE, card=mixwords.card(b, bodies.query(request).get("step", "")))


@router.get("/{number}/print")
def printed(request: Request, number: str) -> Response:
    """The card and the label on one sheet of paper."""
    book = desk.book_of(request)
    n = bodies.whole_number(number, "mix")
    with book.looking():
        b, label = mixing_kept.of(book, n), mixing_kept.label(book, n)
    return desk.page(request, "mix_print.html", PLACE, b=b, m=b.mix, label=label)
