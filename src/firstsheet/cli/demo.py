"""The demonstration: three sheets of an invented sitting through the same acts that a person uses."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from firstsheet import scenario, tables, wording
from firstsheet.cli import demo_pictures, timer
from firstsheet.cli.face import wrapped
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.answers import Plan
    from firstsheet.book.store import Book

SPEED = 900.0
Tell = Callable[[str], None]

ABOUT = (
    "A demonstration. Everything in it is invented: a rowing club’s boathouse turned camera, its crew the sitters.",
    "What paper, light, meters and lens really do was drawn by a seeded generator ({seed}) and is hidden: the tool sees only "
    "readings and what is said of each sheet.",
)


@dataclass(slots=True)
class Told:
    """The demonstration under way."""

    book: Book
    hidden: scenario.Hidden
    folder: Path
    tell: Tell
    sheets: list[dict[str, Any]] = field(default_factory=list)
    files: list[str] = field(default_factory=list)

    def say(self, *sentences: str) -> None:
        for sentence in sentences:
            for line in wrapped(sentence, "   "):
                self.tell(line)


def play(into: str, seed: int, tell: Tell) -> dict[str, Any]:
    """Three sheets, a book and pictures in a new dated folder; returns where they are and how the sheets went."""
    from firstsheet.acts import known
    from firstsheet.book.store import Book

    folder = _new_folder(into)
    path = folder / "book.sqlite"
    with Book.open(path) as book:
        told = Told(book, scenario.Hidden(seed), folder, tell)
        for sentence in ABOUT:
            for line in wrapped(sentence.format(seed=f"seed {seed}")):
                tell(line)
        _own(told)
        for number, turn in enumerate(tables.load("scenario")["turns"], 1):
            _turn(told, number, turn)
        learned = known.known(book)
        _pictures(told)
        _end(told, path)
    return {
        "folder": str(folder),
        "book": str(path),
        "seed": seed,
        "invented": True,
        "sheets": told.sheets,
        "known": learned,
        "files": told.files,
    }


def _new_folder(into: str) -> Path:
    folder = Path(into).expanduser() / datetime.now().strftime("%Y-%m-%d-%H%M%S-%f")[:-4]
    try:
        folder.mkdir(parents=True)
    except OSError as error:
        raise Refusal.one(
            "into", into, f"A folder that can be made ({error.strerror}).", "Choose another place."
        ) from error
    return folder


def _own(told: Told) -> None:
    from firstsheet.acts import own, wish

    data = tables.load("scenario")
    for kind in own.KINDS:
        own.ADD[kind](told.book, data[kind])
    wish.say(told.book, {kind: data[kind]["name"] for kind in own.KINDS})


def _turn(told: Told, number: int, turn: dict[str, Any]) -> None:
    from firstsheet.acts import expose, judge, plan, wish

    light = tables.load("lights")[turn["light"]]["phrase"]
    told.tell("")
    told.tell(
        f"{number}. The {turn['sitter']}, {turn['subject']} from the lens. {light} the {tables.load('scenario')['meter']['name']} says {turn['reading']}."
    )
    said = {k: turn[k] for k in ("light", "subject", "sitter", "reading")}
    if turn.get("photo"):
        _photo(told, number, turn)
        del said["reading"]
    wish.say(told.book, said)
    p = plan.plan(told.book)
    told.say(*_plan_words(p))
    code = expose.keep(told.book).code
    sheet = expose.expose(told.book, code)
    run = timer.Run.of(told.book, code)
    timer.play(run, Quiet(), SPEED)
    minutes = wording.seconds(run.process.total_s)
    told.say(f"Exposed, code {code}. Run: {len(run.process.steps)} steps in {minutes}, here {SPEED:.0f} times as fast.")
    shutter = str(tables.load("scenario")["camera"]["shutter"])
    came = told.hidden.outcome(sheet.plan, float(sheet.given_s or 0.0), shutter, number)
    form = {"border": came.border, "seen": came.seen, "wet": "no", "kept": "yes" if came.kept else "no"}
    change = judge.judge(told.book, code, form)
    verdict = "a keeper" if came.kept else "not a keeper"
    told.say(
        f"On the sheet: the border is {came.border}, the picture {tables.load('seen')[came.seen]['words']}: {verdict}.",
        *change.words,
    )
    told.sheets.append(
        {"code": code, "sitter": turn["sitter"], "time_s": p.time_s, "aperture": p.aperture, "keeper_chance": p.keeper_chance,
         "sd_stops": p.sd_stops, "seen": came.seen, "kept": came.kept, "hidden_error_stops": came.error_stops}
    )  # fmt: skip


def _plan_words(p: Plan) -> list[str]:
    low, high = (wording.seconds(s) for s in p.range90_s)
    least = p.doubts[0]
    return [
        f"Plan: {p.headline()}. The right time lies between {low} and {high}, 9 in 10; a keeper: {wording.chance(p.keeper_chance)}.",
        f"Least sure: {least.words}, {wording.stops_pm(least.sd_stops)}.",
    ]


def _photo(told: Told, number: int, turn: dict[str, Any]) -> None:
    """A photo of a grey card, the phone compared once with the meter; from then on the photo is the reading."""
    from firstsheet.acts import photo

    data = scenario.photographed(_card_in_photo(told, number, str(turn["reading"])))
    (told.folder / "scene.jpg").write_bytes(data)
    told.files.append("scene.jpg")
    x, y = scenario.CARD_AT
    got = photo.take_in(told.book, data)
    spot = photo.spot(told.book, got.picture, {"x": str(x), "y": str(y), "tone": "grey_card"})
    told.say(f"This time the phone reads: the grey card in its photo has {wording.luminance(spot.luminance_cdm2)}.")
    compared = photo.compare(told.book, {"reading": str(spot.reading), "own": str(turn["reading"])})
    told.say(compared.words)


def _card_in_photo(told: Told, number: int, reading: str) -> float:
    """The luminance [cd/m²] a phone with its hidden error sees where the meter, with its own, says `reading`."""
    from firstsheet.acts import reading as readings
    from firstsheet.belief import prior
    from firstsheet.light.reading import midtone_of

    meter = tables.load("scenario")["meter"]
    own = readings.parse(reading, None, None, (meter["name"], meter["kind"]), told.book.now())[0]
    return told.hidden.seen_by(
        midtone_of(own.reading).luminance_cdm2,
        prior.meter_effect(meter["name"], meter["kind"]),
        prior.meter_effect("phone", "phone"),
        number,
    )


def _pictures(told: Told) -> None:
    for name, drawing in demo_pictures.all_of(told.book):
        (told.folder / name).write_text(drawing, encoding="utf-8")
        told.files.append(name)


def _end(told: Told, path: Path) -> None:
    first, last = told.sheets[0], told.sheets[-1]
    kept = sum(s["kept"] for s in told.sheets)
    errors = ", ".join(wording.stops(s["hidden_error_stops"]) for s in told.sheets)
    told.tell("")
    told.tell("What three sheets were worth")
    told.say(
        f"Doubt of the right exposure: {wording.stops_pm(first['sd_stops'])} before the first sheet, {wording.stops_pm(last['sd_stops'])} before the last.",
        f"A keeper was {wording.chance(first['keeper_chance'])} at first, {wording.chance(last['keeper_chance'])} at last; {kept} of {len(told.sheets)} were kept.",
        f"The hidden truth: the sheets got {errors} against the right exposure.",
    )
    told.tell("")
    told.say(f"In {told.folder}: {', '.join([path.name, *told.files])}. Look into it:")
    # On a line of its own however long it is, so that it can be copied.
    told.tell(f"   {os.environ.get('FIRSTSHEET_SAID_AS', 'firstsheet')} --book '{path}' known")


class Quiet:
    """A run that nobody watches."""

    def listen(self) -> None:
        return

    def wait(self, for_s: float) -> str | None:
        import queue
        import time

        time.sleep(for_s)
        raise queue.Empty

    def bell(self) -> None:
        return

    def show(self, step: str, left: str) -> None:
        return

    def blank(self) -> None:
        return
