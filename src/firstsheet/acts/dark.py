"""Is the room dark enough for this paper: which leaks fog it, what the open lens does at the trays, and what bare walls do to the picture."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import dark_paper, own, room_tests
from firstsheet.acts.dark_paper import Fogs
from firstsheet.acts.door import Door, Form
from firstsheet.acts.found import Figure, Found, Table
from firstsheet.acts.room import room
from firstsheet.answer import Z90
from firstsheet.camera import coverage, dark, fits
from firstsheet.camera.sunburn import sun_caution
from firstsheet.drawing.room_section import BOARD_EDGE_MM, lens_height_mm
from firstsheet.refusal import Refusal
from firstsheet.trays import safelight

if TYPE_CHECKING:
    from firstsheet.acts.answers import Plan
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.camera.lens import Lens
    from firstsheet.camera.room import RoomAnswer
    from firstsheet.trays.process import Process

ROOM_FIELDS = ("camera", "size", "subject", "head", "board", "aperture")
SCENE_SD = 0.6  # the mean of a scene against its mid-tone [stop]; as for a whole scene's reading
SPREAD_SD = 0.3  # trays, people and walls that are not as reckoned [stop]; the tray against traced rays within 0.25, the rest ours
DEEP_STOPS = -4.0  # a deep shadow under the mid-tone, two stops below black cloth
METER_LX = 0.1  # the last digit of a common lux meter; common practice, no source
SPHERE = "S·ρ₁/(A·(1 − ρ̄)), first returns counted [Goebel-1967]"
PAPER_IS_THE_TEST = "No meter and no half-adapted eye shows so little: paper is the test. Lay scraps: “Is the room dark enough?” or firstsheet leaktest."
DARK_ROOM = "You are in a closed dark room: somebody knows, the way out opens at one push, fresh air moves. White light first if anything goes wrong."
DEFER = "The supplier’s safety data sheet, local rules and codes come first."


@dataclass(frozen=True, slots=True)
class _Asked:
    """What was asked, read: box and way, the run, walls and where the tray stands, and what is known of the light."""

    box: Owned
    way: str
    process: Process
    walls: float | None
    away_mm: float
    lux_lx: float | None
    exposure_s: float | None


@dataclass(frozen=True, slots=True)
class _Lit:
    """Light on the board: what fogs, a mid-tone at the exposure's stop [lx] or None, how many times brighter it is wide open, the exposure [s]."""

    fog: Fogs
    mid_lx: float | None
    opener: float
    exposure_s: float

    def exposures(self, share: float) -> float:
        """How many of its own exposures a sheet at this share of the picture's light bears."""
        return self.fog.added_lxs / (self.fog.mid_lxs * share)

    def composing_s(self, share: float, opener: float) -> float | None:
        return None if self.mid_lx is None else self.fog.added_lxs / (self.mid_lx * opener * share)


def dark_enough(reader: Reader, form: Form | None = None) -> Found:
    """Leaks, stray light and veil for a box in a room. Fields: box, way, developer, exposure (as planned where nobody says), lux (a mid-tone
    on the board at the exposure's stop), walls (black, wood, white, or the share they send back), trays (how far from the board), and those of the room."""
    d = Door(form)
    d.flag("keep")
    asked = _asked(reader, d)
    said = {k: v for k, v in (form or {}).items() if k in ROOM_FIELDS}
    planned = dark_paper.planned_of(reader, asked.box, asked.way) if asked else None
    if asked and not said.get("size"):
        said["box"] = asked.box.name
    if planned and not said.get("aperture"):
        said["aperture"] = f"f/{planned.aperture:g}"
    a: RoomAnswer | None = None
    with d.problems.at(""):
        a = room(reader, said)
    d.close()
    assert asked is not None
    assert a is not None
    camera = own.todays_camera(reader, str(said["camera"]) if said.get("camera") else None)
    lit = _light(reader, asked, planned, own.lens_of(camera.body), a)
    return _found(asked, camera, a, lit, said)


def keep(book: Book, form: Form | None = None) -> Found:
    """Answer, and keep with the camera what its walls send back."""
    found = dark_enough(book, form)
    if not found.keeps:
        raise Refusal.one("walls", "", "What the walls are: black, wood, white, or the share they send back.", "Try “wood”.")
    name = (form or {}).get("camera")
    own.measured(book, own.todays_camera(book, str(name) if name else None), found.keeps)
    return replace(found, kept=True)


def reflectance(text: str) -> float:
    """“black”, “wood”, “white” or a share from 0.01 to 0.95."""
    named = tables.load("dark")["walls"].get(text.strip().lower())
    return float(named["reflectance"]) if named else q.plain_number(text, 0.01, 0.95)


def _asked(reader: Reader, d: Door) -> _Asked | None:
    for key in ROOM_FIELDS:
        d.said(key)
    box = room_tests.box_of(reader, d)
    exposure = d.read("exposure", lambda t: q.duration_s(t, bare="s"))
    if exposure is not None and not 0.01 <= exposure <= 7200:
        d.problems.add("exposure", d.said("exposure"), "From a hundredth of a second to two hours.", "Try “8 s”.")
    lux = d.read("lux", lambda t: q.plain_number(t.lower().removesuffix("lx").removesuffix("lux").strip(), 0.0001, 100_000.0))
    walls = None
    with d.problems.at("walls"):
        walls = d.read("walls", reflectance)
    away = d.read("trays", q.length_mm)
    if away is not None and not 300 <= away <= 20_000:
        d.problems.add("trays", d.said("trays"), "From 30 cm to 20 m.", "Try “1.2 m”.")
    made = room_tests.process_of(box, d) if box else None
    if box is None or made is None:
        return None
    return _Asked(box, made.way, made, walls, away or dark.AWAY_MM, lux, exposure)


def _light(reader: Reader, asked: _Asked, planned: Plan | None, lens: Lens, a: RoomAnswer) -> _Lit:
    """What a mid-tone throws on the board at the exposure's stop: as said, else from the exposure, else as planned."""
    fog = dark_paper.fogs(reader, asked.box, asked.way, planned)
    mid = asked.lux_lx
    if mid is None and asked.exposure_s is not None:
        mid = fog.mid_lxs / asked.exposure_s
    if mid is None and planned:
        mid = dark_paper.on_board(planned)[0] * (float(planned.aperture or a.aperture) / a.aperture) ** 2
    exposure = asked.exposure_s or (fog.mid_lxs / mid if mid else room_tests.EXPOSURE_S)
    return _Lit(fog, mid, (a.aperture / lens.f_number) ** 2, exposure)


def _found(asked: _Asked, camera: Owned, a: RoomAnswer, lit: _Lit, said: dict[str, Any]) -> Found:
    lens, fog = own.lens_of(camera.body), lit.fog
    shape = dark.shape(_place(camera, lens, a, _sheet(said, asked.box)), asked.away_mm)
    kept = camera.body.get("walls")
    walls = asked.walls if asked.walls is not None else kept if kept is not None else _named("wood")
    board = float(tables.load("dark")["board"]["reflectance"])
    here = dark.stray(shape, walls, board)
    rows = [(words, r, dark.stray(shape, r, board)) for words, r in _kinds(walls)]
    leaks = _leaks(asked.process, lit.exposure_s, fog)
    figures = (*_fog_figures(fog, leaks), *_stray_figures(here, lit, lens, a), *_veil_figures(here, fog, asked.way))
    notes = [PAPER_IS_THE_TEST, *_bought(walls, shape, board, lit)]
    if asked.walls is None:
        notes.append("Nobody said what the walls are: they are taken as bare wood." if kept is None else f"The walls as kept with the camera: they send back {wording.share(walls)}.")
    if coverage.circle_mm(lens, a.magnification) is None:
        notes.append(f"Nobody said what circle this lens covers: taken as {fits.PROCESS_DEG:g}°. One that lights more of the room sends more back.")
    notes.append("Trays behind the board, or under a lid, get less. The lens’s own flare is not in it: clean glass, and a hood outside.")
    return Found("dark", _first(here, lit, leaks), figures, (_leak_table(leaks), _eye_table(leaks), _wall_table(rows, lit)), tuple(notes),
                 (sun_caution(lens), f"{DARK_ROOM} {DEFER}"), keeps={} if asked.walls is None or asked.walls == kept else {"walls": asked.walls})  # fmt: skip


def _place(camera: Owned, lens: Lens, a: RoomAnswer, sheet: tuple[float, float]) -> dark.Place:
    space = own.room_of(camera.body)
    at = min(a.board_mm, space.length_mm)
    circle = coverage.circle_mm(lens, a.magnification) or 2 * a.board_mm * math.tan(math.radians(fits.PROCESS_DEG / 2))
    board = (min(sheet[0] + 2 * BOARD_EDGE_MM, space.width_mm), min(sheet[1] + 2 * BOARD_EDGE_MM, space.height_mm))
    return dark.Place(space, at, board, circle, lens_height_mm(space, sheet[1]))


def _sheet(said: dict[str, Any], box: Owned) -> tuple[float, float]:
    return q.sheet_size_mm(str(said["size"])) if said.get("size") else (box.body["width_mm"], box.body["height_mm"])


def _named(key: str) -> float:
    return float(tables.load("dark")["walls"][key]["reflectance"])


def _kinds(own_walls: float) -> list[tuple[str, float]]:
    """Black, bare wood, white, and the room's own where it is none of these."""
    named = [(str(w["words"]), float(w["reflectance"])) for w in tables.load("dark")["walls"].values()]
    return named if any(abs(r - own_walls) < 1e-9 for _, r in named) else [*named, ("as yours", own_walls)]


# ── leaks ──


@dataclass(frozen=True, slots=True)
class _Leak:
    where: str
    time_s: float
    lx: float
    low: float
    high: float


def _leaks(process: Process, exposure_s: float, fog: Fogs) -> list[_Leak]:
    """What fogs if it leaks everywhere all the time a sheet is out, on the board alone, and at the trays alone."""
    mount, _ = safelight.loading_s()
    whole = safelight.out_of_box_s(process, exposure_s)
    spread = 2.0 ** (Z90 * math.hypot(fog.sd_stops, dark_paper.SPECTRUM_SD))
    out = []
    for where, time_s in (("board and trays alike", whole), ("on the board alone", mount + exposure_s), ("at the trays alone", whole - mount - exposure_s)):
        lx = fog.added_lxs / time_s
        out.append(_Leak(where, time_s, lx, lx / spread, lx * spread))
    return out


def small_lux(lx: float) -> str:
    """Two figures however small, without powers of ten: “0.00026 lx”."""
    lx = float(f"{lx:.2g}")
    places = max(0, 1 - math.floor(math.log10(lx)))
    return wording.lux(lx) if lx >= 1 else f"{lx:.{places}f} lx"


def _fog_figures(fog: Fogs, leaks: list[_Leak]) -> tuple[Figure, ...]:
    spread = 2.0 ** (Z90 * fog.sd_stops)
    deeper = fog.bare_lxs / fog.added_lxs
    return (
        Figure("leak_lx", "A leak fogs from", small_lux(leaks[0].lx), leaks[0].lx, "lx", f"everywhere, for the {wording.seconds(leaks[0].time_s)} a sheet is out of its box; 9 in 10 from {small_lux(leaks[0].low)} to {small_lux(leaks[0].high)}", fog.source, leaks[0].low, leaks[0].high),
        Figure("added_lxs", "All the light a sheet bears besides its own", f"{fog.added_lxs:.2g} lx·s", fog.added_lxs, "lx·s", f"0.04 in density somewhere in the picture; bare paper hides {deeper:.0f} times as much", fog.source, fog.added_lxs / spread, fog.added_lxs * spread),
        Figure("bare_lxs", "The threshold of bare paper", f"{fog.bare_lxs:.2g} lx·s", fog.bare_lxs, "lx·s", "0.04 in density where nothing else fell", fog.source, fog.bare_lxs / spread, fog.bare_lxs * spread),
    )  # fmt: skip


def _leak_table(leaks: list[_Leak]) -> Table:
    rows = tuple((k.where, wording.seconds(k.time_s), small_lux(k.lx), f"{small_lux(k.low)} to {small_lux(k.high)}") for k in leaks)
    return Table("A leak fogs from", ("where", "a sheet is there", "fogs from", "9 in 10"), rows,
                 tuple({"where": k.where, "time_s": k.time_s, "leak_lx": k.lx, "low_lx": k.low, "high_lx": k.high} for k in leaks))  # fmt: skip


def _eye_table(leaks: list[_Leak]) -> Table:
    """What an eye would miss, minute by minute: the light under which a white sheet is just seen against what fogs."""
    rows, data = [], []
    limit = leaks[0].lx
    for key, e in tables.load("dark")["eye"].items():
        seen = _eye_lx(key)
        times = seen / limit
        told = f"misses up to {_times(times)} what fogs" if times > 1 else f"sees {_times(1 / times)} less than fogs"
        rows.append((f"{e['minutes']} min", small_lux(seen), told))
        data.append({"minutes": e["minutes"], "seen_lx": seen, "over_limit": times})
    rows.append(("lux meter", small_lux(METER_LX), f"misses up to {_times(METER_LX / limit)} what fogs"))
    return Table("What an eye sees after minutes in the dark, a white sheet before it; people differ by three times", ("in the dark", "it sees", "against the leak above"), tuple(rows), tuple(data))


def _lift(x: float) -> str:
    return "under 0.05 stop" if x < 0.05 else wording.stops_apart(x)


def eye_sentence(leak_lx: float, minutes: int = 10) -> str:
    """What an eye after so many minutes in the dark, one of the table's, misses of such a leak."""
    times = _eye_lx(str(minutes)) / leak_lx
    seen = f"may miss up to {_times(times)} as much" if times > 1 else f"sees down to a {1 / times:.0f}th of it"
    return f"After {minutes} minutes in the dark an eye {seen}."


def _eye_lx(key: str) -> float:
    """Light under which a white sheet is just seen [lx]."""
    return float(tables.load("dark")["eye"][key]["cdm2"]) / dark.white_cdm2(1.0)


def _times(x: float) -> str:
    return f"{x:.1f} times" if x < 10 else f"{float(f'{x:.2g}'):.0f} times"


# ── the open lens, and the veil ──


def _stray_figures(here: dark.Stray, lit: _Lit, lens: Lens, a: RoomAnswer) -> tuple[Figure, ...]:
    n = lit.exposures(here.tray)
    # how fast the paper is falls out of a count of its own exposures, but not of seconds
    one, spread = (2.0 ** (Z90 * math.hypot(sd, SCENE_SD, SPREAD_SD)) for sd in (lit.fog.shape_sd, lit.fog.sd_stops))
    out = [
        Figure("tray_share", "At the trays, of the picture’s light", f"1/{1 / here.tray:.0f}", here.tray, "1", f"1/{1 / here.average:.0f} on all walls and floor on average", SPHERE),
        Figure("exposures", "A sheet in the developer bears", f"{n:.1f} exposures" if n < 20 else f"{n:.0f} exposures", n, "1", f"of the next one: {_one(n, one)}", SPHERE, n / one, n * one),
    ]  # fmt: skip
    opened = lit.composing_s(here.tray, lit.opener)
    if opened is not None:
        out.append(Figure("composing_open_s", f"and composing at {wording.f_number(lens.f_number)}", wording.seconds(opened), opened, "s", f"9 in 10 from {wording.seconds(opened / spread)} to {wording.seconds(opened * spread)}: go by the shorter, or cover the tray", SPHERE, opened / spread, opened * spread))
    if opened is not None and lit.opener > 1.05:
        down = opened * lit.opener
        out.append(Figure("composing_down_s", f"or at {wording.f_number(a.aperture)}", wording.seconds(down), down, "s", "stopped down as for the exposure", SPHERE, down / spread, down * spread))
    return tuple(out)


def _one(n: float, spread: float) -> str:
    """What one exposure of another sheet does to a sheet that bears `n` of them, known within a factor `spread`."""
    if n >= spread:
        return "a single one stays below what shows"
    return "a single one hardly shows; cover the tray to be sure" if n >= 1 else "cover the tray for each"


def _veil_figures(here: dark.Stray, fog: Fogs, way: str) -> tuple[Figure, ...]:
    black = float(tables.load("tones")["black_cloth"]["stops"])
    lift, deep = dark.lifted_stops(here.veil, black), dark.lifted_stops(here.veil, DEEP_STOPS)
    return (
        Figure("veil_share", "The walls’ veil on the sheet", f"{100 * here.veil:.1f} %", here.veil, "1", f"of the picture’s mean light; it {dark_paper.darkens(way)}", SPHERE),
        Figure("black_lifted_stops", "Black cloth comes up by", _lift(lift), lift, "stop", f"a shadow {-DEEP_STOPS:g} stops under the mid-tone by {_lift(deep)}", "log2(1 + veil ÷ 2^tone)"),
    )  # fmt: skip


def _wall_table(rows: list[tuple[str, float, dark.Stray]], lit: _Lit) -> Table:
    black = float(tables.load("tones")["black_cloth"]["stops"])
    shown, data = [], []
    for words, r, s in rows:
        time_s = lit.composing_s(s.tray, lit.opener)
        bears = wording.seconds(time_s) if time_s is not None else f"{lit.exposures(s.tray):.1f} exposures"
        lift, deep = dark.lifted_stops(s.veil, black), dark.lifted_stops(s.veil, DEEP_STOPS)
        shown.append((words, f"1/{1 / s.tray:.0f}", bears, f"{100 * s.veil:.1f} %", _lift(lift), _lift(deep)))
        data.append({"walls": words, "reflectance": r, "average_share": s.average, "tray_share": s.tray, "composing_open_s": time_s, "exposures": lit.exposures(s.tray),
                     "veil_share": s.veil, "black_lifted_stops": lift, "deep_lifted_stops": deep})  # fmt: skip
    return Table("By walls: light at the trays, composing wide open that a sheet there bears, veil on the sheet", ("walls", "at trays", "bears", "veil", "black cloth", "deep shadow"), tuple(shown), tuple(data))


def _bought(walls: float, shape: dark.Shape, board: float, lit: _Lit) -> list[str]:
    """What black paint brings over the walls as they are."""
    black = _named("black")
    if walls <= black * 1.5:
        return ["The walls are black: what is left comes from the board itself. A black cloth over what of the board the sheet leaves free helps more than paint."]
    now, then = dark.stray(shape, walls, board), dark.stray(shape, black, board)
    tone = float(tables.load("tones")["black_cloth"]["stops"])
    gain = dark.lifted_stops(now.veil, tone) - dark.lifted_stops(then.veil, tone)
    return [f"Painted black, the veil goes from {100 * now.veil:.1f} to {100 * then.veil:.1f} %: black cloth lies {_lift(gain)} deeper, a deep shadow {_lift(dark.lifted_stops(now.veil, DEEP_STOPS) - dark.lifted_stops(then.veil, DEEP_STOPS))}, and a sheet in the developer bears {now.tray / then.tray:.1f} times the composing. Begin with the walls that the board looks at: the lens’s, and those beside it."]


def _first(here: dark.Stray, lit: _Lit, leaks: list[_Leak]) -> str:
    opened = lit.composing_s(here.tray, lit.opener)
    bears = f"{lit.exposures(here.tray):.1f} exposures of another" if opened is None else f"{wording.seconds(opened)} of composing wide open"
    return f"This paper is fogged by a leak of {small_lux(leaks[0].lx)} in {wording.seconds(leaks[0].time_s)}; uncovered in the developer it bears {bears}; the walls veil the picture by {100 * here.veil:.1f} %."
