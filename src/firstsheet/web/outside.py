"""Outside and the board: the phrase, the answer, one page for each value, the photo as a meter, what is owned."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response

from firstsheet.acts import own, photo, plan, room, sharp, wish
from firstsheet.acts.answers import Plan
from firstsheet.acts.reading import from_row
from firstsheet.refusal import Problem, Refusal
from firstsheet.web import boardwords, bodies, desk, lensroomwords, owning, pages, saying, sheetwords
from firstsheet.web.bodies import Sent

router = APIRouter(include_in_schema=False)
Form = Annotated[Sent, Depends(bodies.form)]
TONE_MISSING = Problem(
    "tone", "", "The tone that is touched.", "A face taken for a grey card is wrong by up to a stop."
)
OTHER_WORDS = "something else, for the range alone"


@router.get("/")
def outside(request: Request) -> Response:
    book = desk.book_of(request)
    with book.looking():
        things = desk.things_of(book)
        missing = owning.first_missing(things)
        if missing:
            first = not things["camera"]
            return desk.page(
                request,
                "own_form.html",
                "Outside",
                form=owning.forms()[missing],
                first=True,
                welcome=first,
                elsewhere=[],
                by_field={},
            )
        return _outside(request, things)


def _outside(request: Request, things: dict[str, list[own.Owned]]) -> Response:
    book = desk.book_of(request)
    today, phrase = book.get_setting("today") or {}, book.get_setting("phrase") or {}
    kept = desk.said_readings(book, phrase)
    found: Plan | None = None
    refused: Refusal | None = None
    try:
        found = plan.plan(book)
    except Refusal as refusal:
        refused = refusal
    chosen = desk.chosen(things, today)
    way = found.way if found else _way(today, chosen)
    told = pages.problems(refused.problems) if refused else []
    return desk.page(
        request, "outside.html", "Outside", plan=pages.answer(found) if found else None,
        rows=pages.phrase_rows(phrase, kept, way, found, book.now()), today=pages.today_words(today, chosen),
        today_rows=pages.today_rows(today, chosen, phrase, way), number=desk.next_number(book),
        problems=[p for p in told if p["asked"] or p["where"] in ("camera", "box", "developer", "way")], say_keys=saying.KEYS,
        colour=way == "reversal_ra4",
    )  # fmt: skip


def _way(today: dict[str, Any], chosen: dict[str, own.Owned | None]) -> str | None:
    from firstsheet import tables

    box = chosen.get("box")
    ways = tables.load("papers")[box.body["paper"]]["ways"] if box else []
    return today.get("way") if today.get("way") in ways else (ways[0] if ways else None)


@router.get("/say/{key}")
def say_page(request: Request, key: str) -> Response:
    return desk.page(request, "say.html", "Outside", **_saying(request, key), elsewhere=[], by_field={})


def _saying(request: Request, key: str) -> dict[str, Any]:
    if key not in saying.KEYS:
        raise Refusal.one("page", key, "One of: " + ", ".join(saying.KEYS) + ".", "", "missing")
    book = desk.book_of(request)
    with book.looking():
        phrase = book.get_setting("phrase") or {}
        made = saying.say_page(
            key, phrase, book.get_setting("today") or {}, desk.things_of(book), [r["body"]["plan"] for r in book.sheets(30)],
            desk.said_readings(book, phrase),
        )  # fmt: skip
    return {"say": made}


@router.post("/say/{key}")
def say(request: Request, key: str, sent: Form) -> Response:
    """Keep one value. A button of an option carries it as `pick`, which then counts instead of what was typed."""
    words = _saying(request, key)
    form = dict(sent.fields)
    picked = form.pop("pick", None)
    if picked is not None:
        form = {words["say"].field: picked}
    if not form:
        form = {words["say"].field: ""}
    try:
        if not any(v.strip() for v in form.values()):
            raise Refusal.one(words["say"].field, "", "A value.", f"Write it like “{words['say'].placeholder}”.")
        wish.say(desk.book_of(request), form)
    except Refusal as refusal:
        told = desk.beside(refusal, {words["say"].field, "how", "tone"})
        return desk.page(request, "say.html", "Outside", desk.status_of(refusal), **words, **told, typed=form)
    return desk.onward("/")


# ── a photo as a meter ──


@router.post("/photos")
def take_in(request: Request, sent: Form) -> Response:
    if not sent.picture:
        hint = "Choose a photo first, or take one."
        raise Refusal.one("photo", "", "A photo.", hint)
    taken = photo.take_in(desk.book_of(request), sent.picture)
    return desk.onward(f"/photos/{taken.picture}")


@router.get("/photos/{number}")
def photo_page(request: Request, number: str) -> Response:
    return desk.page(request, "photo.html", "Outside", **_photo(request, number), elsewhere=[], by_field={})


def _photo(request: Request, number: str) -> dict[str, Any]:
    from firstsheet.light.words import tones

    taken = photo.look_again(desk.book_of(request), bodies.whole_number(number, "picture"))
    ask = [
        ("f_number", "f-number", "f/1.8", taken.f_number), ("time", "Exposure time", "1/125 s", taken.time_s),
        ("iso", "ISO", "100", taken.iso),
    ]  # fmt: skip
    return {
        "photo": taken, "tones": [*((t.key, t.words) for t in tones().values()), (photo.OTHER, OTHER_WORDS)],
        "ask": [row[:3] for row in ask if row[3] is None],
    }  # fmt: skip


@router.post("/photos/{number}")
def touch(request: Request, number: str, sent: Form) -> Response:
    """A touch on the picture in pixels as shown, or a place given in hundredths."""
    words = _photo(request, number)
    form = dict(sent.fields)
    try:
        place = pages.place_said(form, words["photo"].width, words["photo"].height)
        rest = {k: v for k, v in form.items() if k in ("tone", "name", "really", "f_number", "time", "iso")}
        if not form.get("tone"):
            raise Refusal(TONE_MISSING)
        spot = photo.spot(desk.book_of(request), words["photo"].picture, rest | place | {"join": "yes"})
    except Refusal as refusal:
        if not form.get("tone") and TONE_MISSING not in refusal.problems:
            refusal = Refusal(TONE_MISSING, *refusal.problems, kind=refusal.kind)
        told = desk.beside(refusal, {"tone", "name", "f_number", "time", "iso", "across", "down", *(["really"] if words["photo"].maybe_screen else [])})
        return desk.page(request, "photo.html", "Outside", desk.status_of(refusal), **words, **told, typed=form)
    return desk.onward(f"/readings/{spot.reading}")


@router.get("/readings/{number}")
def reading_page(request: Request, number: str) -> Response:
    return desk.page(
        request, "reading.html", "Outside", **_reading(request, number), elsewhere=[], by_field={}, compared=None
    )


def _reading(request: Request, number: str) -> dict[str, Any]:
    book = desk.book_of(request)
    row = book.get_reading(bodies.whole_number(number, "reading"))
    return {
        "reading": pages.reading_words(
            from_row(row), row["picture_id"], row["body"].get("spot"), desk.light_of(request)
        )
        | {"named": row["body"].get("named", ""), "only_range": row["body"].get("only_range", False)},
        "offsets": [(o.name, photo.offset_words(o)) for o in photo.offsets(book) if o.counts],
        "meters": own.owned(book, "meter"),
    }


@router.post("/readings/{number}")
def compare(request: Request, number: str, sent: Form) -> Response:
    words = _reading(request, number)
    try:
        done = photo.compare(desk.book_of(request), {"reading": number, "own": sent.fields.get("own", "")})
    except Refusal as refusal:
        told = desk.beside(refusal, {"own"})
        return desk.page(
            request,
            "reading.html",
            "Outside",
            desk.status_of(refusal),
            **words,
            **told,
            compared=None,
            typed=sent.fields,
        )
    return desk.page(request, "reading.html", "Outside", **words, elsewhere=[], by_field={}, compared=done.words)


@router.post("/meters/take-back")
def take_back(request: Request, sent: Form) -> Response:
    """A comparison of two meters counts no longer."""
    photo.take_back(desk.book_of(request), sent.fields.get("name", ""))
    if sent.fields.get("then") == "meters":
        return desk.onward("/meters")
    number = sent.fields.get("reading", "")
    return desk.onward(f"/readings/{int(number)}" if number.isdecimal() and len(number) < 10 else "/")


@router.get("/pictures/{number}")
def picture(request: Request, number: str) -> Response:
    row = desk.book_of(request).get_picture(bodies.whole_number(number, "picture"))
    kind = row["media"] if row["media"] in ("image/jpeg", "image/png") else "application/octet-stream"
    return Response(
        bytes(row["data"]), media_type=kind, headers={"Cache-Control": "private, max-age=31536000, immutable"}
    )


# ── the board ──


@router.get("/board")
def board(request: Request) -> Response:
    """The room to scale; a query tries another distance, head or board without keeping it."""
    book = desk.book_of(request)
    asked = {k: v for k, v in bodies.query(request).items() if k in ("subject", "head", "board", "aperture")}
    words: dict[str, Any] = {
        "asked": asked,
        "answer": None,
        "drawing": "",
        "elsewhere": [],
        "by_field": {},
        "typed": asked,
        "room_links": lensroomwords.from_board(),
    }
    status = 200
    with book.looking():
        words["caution"] = _caution(book)
        try:
            words["answer"] = boardwords.board(room.room(book, asked))
            words["drawing"] = room.drawing(book, asked)
            sway = sharp.sway_line(book, asked)
            words["answer"]["figures"][1:1] = [sway] if sway else []
        except Refusal as refusal:
            told = desk.beside(refusal, {"subject", "head", "board"})
            words |= told
            status = desk.status_of(refusal) if asked else 200
    return desk.page(request, "board.html", "Board", status, **words)


def _caution(book: Any) -> tuple[str, str] | None:
    from firstsheet.camera.sunburn import sun_caution

    camera = desk.chosen({"camera": own.owned(book, "camera")}, book.get_setting("today") or {})["camera"]
    return sheetwords.caution(sun_caution(own.lens_of(camera.body))) if camera else None


@router.post("/board")
def use_distance(request: Request, sent: Form) -> Response:
    wish.say(desk.book_of(request), {"subject": sent.fields.get("subject", "")})
    return desk.onward("/board")


# ── what is owned ──


@router.get("/own")
def owned(request: Request) -> Response:
    return desk.page(request, "own.html", "Outside", kinds=owning.listed(desk.things_of(desk.book_of(request))))


@router.get("/own/{kind}")
def own_form(request: Request, kind: str) -> Response:
    return desk.page(
        request, "own_form.html", "Outside", form=_form(kind), first=False, welcome=False, elsewhere=[], by_field={}
    )


def _form(kind: str) -> owning.OwnForm:
    found = owning.forms().get(kind)
    if found is None:
        raise Refusal.one("page", kind, "One of: " + ", ".join(own.KINDS) + ".", "", "missing")
    return found


@router.post("/own/{kind}")
def add(request: Request, kind: str, sent: Form) -> Response:
    book = desk.book_of(request)
    form = _form(kind)
    had = desk.things_of(book)
    try:
        added = own.ADD[kind](book, sent.fields)
    except Refusal as refusal:
        told = desk.beside(refusal, {f.key for f in form.fields})
        return desk.page(
            request,
            "own_form.html",
            "Outside",
            desk.status_of(refusal),
            form=form,
            first=not had[kind],
            welcome=False,
            **told,
            typed=sent.fields,
        )
    began = owning.first_missing(had) is not None
    if began and kind == "developer" and not had["meter"]:
        return desk.onward("/own/meter")
    if had[kind] and added.name not in {t.name for t in had[kind]}:
        return desk.onward(f"/say/{kind}")  # there are several now: which of them is today's is not guessed
    return desk.onward("/" if began or (kind == "meter" and not had["meter"]) else "/own")
