"""Preflash: the threshold as this box was measured, the seconds to give, and the sheet that got it.

Read on the way of a plan, so nothing heavy is loaded here: a curve's threshold is among its kept figures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables, wording
from firstsheet.acts import calibrate_kept, own
from firstsheet.acts.door import Door, Form, short_name, times_s, whole
from firstsheet.acts.sheet import mark, sheet
from firstsheet.answer import Z90
from firstsheet.exposure import preflash
from firstsheet.exposure.chain import MIDTONE_LX_S, Link, Optics
from firstsheet.paper import response
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.answers import SheetState
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

COUNTED = "flash_threshold"
LUX_SD_STOPS = 0.25  # of a reading so dim; ours, no source
USUAL_LESS, USUAL_LESS_SD = -0.15, 0.12  # stops that a flash spares the picture, nothing measured: reports run from none to a fifth
NO_FLASH = ("no", "none", "off", "0")
CAUTIONS = {
    "sheet": "White sheet on the outside of the lens, out of the sun. Cap on while you change it: never look at the sun through the lens.",
    "lamp": "Lamp and leads dry and away from the trays, dry hands; nothing else uncovered while it burns.",
}
ONCE = "Flash it once. Pencil on its back that it was flashed; it goes back into the dark or onto the board at once."
TOO_LONG = 1.5  # of the threshold, given as a flash: no flash any more [1]; ours


@dataclass(frozen=True, slots=True)
class Threshold:
    """The least exposure that shows on this box in this developer.

    lx_s     [lx·s], from a curve; None where it was counted
    seconds  [s] under the light `under`, counted on a strip of flashes; None from a curve
    low, high  ends of the 90 % range, in the unit of the one that stands
    sd_stops its doubt [stop]; mid_share: threshold over the mid-tone's exposure [1], None where not known
    """

    box: str
    developer: str
    way: str
    lx_s: float | None
    seconds: float | None
    low: float
    high: float
    sd_stops: float
    mid_share: float | None
    under: str
    words: str


@dataclass(frozen=True, slots=True)
class Dose:
    """The seconds of a flash.

    share   of the threshold [1]; flash_lx_s [lx·s], None where it goes by a count
    time_s  to give [s], between low_s and high_s in 9 of 10 cases
    lx      light on the paper [lx], None where it goes by a count; ev: what the white sheet over the lens must read for it, else None
    """

    box: str
    developer: str
    way: str
    share: float
    flash_lx_s: float | None
    time_s: float
    low_s: float
    high_s: float
    lx: float | None
    ev: float | None
    how: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    threshold: Threshold


@dataclass(frozen=True, slots=True)
class Standing:
    """What is known of the thresholds of a box; where none is, `scrap` says how one is found."""

    box: str
    developer: str
    way: str
    thresholds: tuple[Threshold, ...]
    scrap: str


def share_of(text: str) -> float:
    """“0.7”, “70 %”, “yes” (the usual share), “no” (0)."""
    word = text.strip().lower()
    if word in NO_FLASH:
        return 0.0
    if word in ("yes", "on", "usual"):
        return preflash.SHARE
    number = q.plain_number(word.removesuffix("%").strip(), 0.0, 200.0)
    return preflash.checked_share(number / 100.0 if word.endswith("%") else number)


def known(reader: Reader, box: str, developer: str, way: str) -> tuple[Threshold, ...]:
    """Thresholds of this box in this developer, going this way: from its curve first, then counted ones, the newest first.

    What just darkens a negative is what the reversal of the same paper just loses from its black: where nothing was measured on the
    reversal, the negative's stands in. Black hides so little more than white shows, so that such a flash is rather too weak.
    """
    own_ = _measured(reader, box, developer, way)
    if own_ or way != "reversal_bw":
        return own_
    return tuple(replace(t, way=way, mid_share=None, words=f"{t.words}, as a negative") for t in _measured(reader, box, developer, "paper_negative"))


def _measured(reader: Reader, box: str, developer: str, way: str) -> tuple[Threshold, ...]:
    out = []
    for row in calibrate_kept.of(reader, box, developer, way=way):
        found = _of_curve(row["body"], way)
        if found:
            out.append(found)
            break
    rows = [t for t in reader.things(COUNTED) if (t["body"]["box"], t["body"]["developer"]) == (box, developer)]
    rows = [t for t in rows if response.sense(str(t["body"]["way"])) == response.sense(way)]
    return (*out, *(_counted(t["body"]) for t in sorted(rows, key=lambda t: -int(t["id"]))))


def _of_curve(body: dict[str, Any], way: str) -> Threshold | None:
    figures = {f["key"]: f for f in body.get("figures", ())}
    f = figures.get("threshold")
    if not f or f["value"] is None or f["low"] is None or f["high"] is None:
        return None
    ei = figures.get("ei_mid") or figures.get("ei_falling")
    share = f["value"] * ei["value"] / MIDTONE_LX_S if ei and ei["value"] else None
    sd = math.log2(f["high"] / f["low"]) / (2.0 * Z90)
    return Threshold(body["box"], body["developer"], way, f["value"], None, f["low"], f["high"], sd, share, "",
                     f"from the curve of {calibrate_kept.words_of(body)}")  # fmt: skip


def _counted(b: dict[str, Any]) -> Threshold:
    spread = 2.0 ** (Z90 * b["sd"])
    words = f"counted on a scrap under {b['under']}, {b['day']}: between {wording.seconds(b['dark_s'])} and {wording.seconds(b['shows_s'])}"
    return Threshold(b["box"], b["developer"], b["way"], None, b["seconds"], b["seconds"] / spread, b["seconds"] * spread, b["sd"], None, b["under"], words)  # fmt: skip


def scrap_words(way: str) -> str:
    """The scrap that finds a threshold."""
    shows = "grey beside its white border" if response.sense(way) > 0 else "less than black beside its black border"
    return (
        "A scrap of this box under the light that will flash, made very dim: a border covered all the time, then steps of 1, 2, 4, 8, 16 s side "
        f"by side, developed and fixed as a sheet. The first step that is {shows} is the threshold. Say the times and that step "
        "on the page of contrast, or by firstsheet flash found. A strip read into a curve tells it too."
    )


def refuse_unmeasured(box: str, way: str) -> Refusal:
    name = box if "box" in box.lower() else f"Box {box}"
    return Refusal.one("flash", "threshold not measured", f"{name[0].upper()}{name[1:]} must have its threshold measured first: a flash guessed too strong greys every sheet.", scrap_words(way))  # fmt: skip


def todays(reader: Reader, d: Door) -> tuple[Owned | None, Owned | None, str]:
    """Box, developer and way said, or today's, or the only ones; problems go to the door."""
    today = reader.get_setting("today") or {}
    things: dict[str, Owned] = {}
    for kind in ("box", "developer"):
        name = d.name(kind)
        with d.problems.at(kind):
            things[kind] = own.one(reader, kind, name or today.get(kind))
    way = d.pick("way", [k for k, v in tables.load("ways").items() if isinstance(v, dict)])
    box = things.get("box")
    ways = list(tables.load("papers")[box.body["paper"]]["ways"]) if box else []
    if box and way and way not in ways:
        d.problems.add("way", way, f"Box {box.name} goes: {', '.join(ways)}.", "Choose another box or way.")
    usual = today.get("way") if today.get("way") in ways else ways[0] if ways else ""
    return box, things.get("developer"), way or str(usual)


def standing(reader: Reader, form: Form | None = None) -> Standing:
    """What is known of this box's threshold. Fields: box, developer, way."""
    d = Door(form)
    box, developer, way = todays(reader, d)
    d.close()
    assert box is not None
    assert developer is not None
    found = known(reader, box.name, developer.name, way)
    return Standing(box.name, developer.name, way, found, "" if found else scrap_words(way))


def found(book: Book, form: Form | None = None) -> Standing:
    """Keep a threshold counted on a scrap. Fields: times (“1 2 4 8 s”, each step's whole flash), shows (the first step that shows, from 1),
    under (the light, in a few words), box, developer, way."""
    d = Door(form)
    box, developer, way = todays(book, d)
    times = d.must("times", times_s, "The whole flash of each step, rising.", "Try “1 2 4 8 s”.")
    shows = d.must("shows", lambda t: whole(t, 1, 40), "The first step that shows, counted from 1.", "Try “3”.")
    under = d.must("under", short_name, "The light they were made under, in a few words.", "Try “lamp at 2 m”.")
    at = (0.0, 0.0)
    if times is not None and shows is not None:
        with d.problems.at(""):
            at = preflash.counted_threshold(times, shows)
    d.close()
    assert box is not None
    assert developer is not None
    assert times is not None
    assert shows is not None
    body = {
        "box": box.name, "developer": developer.name, "way": way, "under": under, "times_s": times, "shows": shows, "seconds": at[0], "sd": at[1],
        "dark_s": times[shows - 2], "shows_s": times[shows - 1], "day": book.now().date().isoformat(),
    }  # fmt: skip
    book.add_thing(COUNTED, f"threshold of {box.name} in {developer.name}, {way}, under {under}", body)
    return standing(book, {"box": box.name, "developer": developer.name, "way": way})


def dose(reader: Reader, form: Form | None = None) -> Dose:
    """The seconds of a flash. Fields: share (0.7 of the threshold unless said), and how it is given, one of: lux (at the paper: under the
    lamp, or on the board behind a white sheet over the lens); ev (of the lit white sheet over the lens) with aperture and board (lens to
    board); under (the light of the scrap). Also box, developer, way.

    Refused on a box whose threshold was never measured.
    """
    d = Door(form)
    box, developer, way = todays(reader, d)
    share = d.read("share", share_of)
    lux = d.read("lux", lambda t: q.plain_number(t.lower().removesuffix("lx").removesuffix("lux").strip(), 1e-5, 1e5))
    ev = d.read("ev", lambda t: q.plain_number(t.upper().removeprefix("EV").strip(), -8.0, 20.0))
    aperture = d.read("aperture", q.f_number)
    board = d.read("board", q.length_mm)
    under = d.said("under")
    if sum(x is not None for x in (lux, ev, under)) > 1:
        d.problems.add("lux", lux or "", "One way to give it: lux, EV of the sheet, or the light of the scrap.", "Leave the others out.")
    if ev is not None and aperture is None and d.said("aperture") is None:
        d.problems.add("aperture", "", "The aperture that will stand, with the EV of the sheet.", "Try “f/16”.")
    if share == 0.0:
        d.problems.add("share", "0", "From 0.1 to 1.5 of the threshold.", "0.7 is usual.")
    d.close()
    assert box is not None
    assert developer is not None
    have = known(reader, box.name, developer.name, way)
    if not have:
        raise refuse_unmeasured(box.name, way)
    part = preflash.SHARE if share is None else share
    focal = _focal(reader) if ev is not None else None
    if lux is None and ev is None:
        return _by_count(have, under, part)
    return _by_light(have, part, lux, (ev, aperture, board, focal))


def _focal(reader: Reader) -> float | None:
    cameras = own.owned(reader, "camera")
    name = (reader.get_setting("today") or {}).get("camera")
    mine = [c for c in cameras if c.name == name] or cameras
    return float(mine[0].body["focal_mm"]) if len(mine) == 1 else None


def _by_count(have: tuple[Threshold, ...], under: str | None, share: float) -> Dose:
    counted = [t for t in have if t.seconds is not None and (under is None or t.under == under)]
    if not counted:
        lights = ", ".join(t.under for t in have if t.seconds is not None)
        allowed = f"One of: {lights}." if lights else "Lux at the paper, or the EV of a white sheet over the lens."
        raise Refusal.one("under" if under else "lux", under or "", allowed, "A threshold from a curve is in lux-seconds, so it wants the light in lux: “0.2 lx”.")  # fmt: skip
    t = counted[0]
    assert t.seconds is not None
    g = preflash.by_count(t.seconds, t.sd_stops, share)
    return _dose(t, share, None, g, None, f"under {t.under}, as the scrap was", "lamp")


def _by_light(have: tuple[Threshold, ...], share: float, lux: float | None, sheet_: tuple[float | None, float | None, float | None, float | None]) -> Dose:  # fmt: skip
    curves = [t for t in have if t.lx_s is not None]
    if not curves:
        raise Refusal.one("lux", lux or "", "A threshold in lux-seconds, from a curve.", f"This one was counted in seconds under {have[0].under}: say that light, and give no lux.")  # fmt: skip
    t = curves[0]
    assert t.lx_s is not None
    flash = share * t.lx_s
    sd = math.hypot(t.sd_stops, preflash.share_sd_stops())
    ev, aperture, board, focal = sheet_
    if lux is not None:
        return _dose(t, share, flash, preflash.by_lux(flash, sd, lux, LUX_SD_STOPS), None, f"in {wording.lux(lux)} at the paper", "lamp")
    assert aperture is not None
    assert ev is not None
    stops = 2.0 * math.log2(board / focal) if board and focal and board > focal else 0.0
    optics = Optics(aperture, extension_stops=stops)
    lx = preflash.board_lx(ev, optics)
    g = preflash.by_lux(flash, sd, lx, LUX_SD_STOPS)
    wanted = preflash.ev_for(flash / 4.0, optics)  # four seconds: easily counted
    return _dose(t, share, flash, g, wanted, f"through a white sheet of EV {ev:g} over the lens at {wording.f_number(aperture)}", "sheet")  # fmt: skip


def _dose(t: Threshold, share: float, flash: float | None, g: preflash.Given, ev: float | None, how: str, by: str) -> Dose:  # fmt: skip
    notes = []
    if g.time_s < preflash.LEAST_S:
        more = f" About EV {ev:.0f} on the sheet would make it 4 s." if ev is not None else ""
        notes.append(f"Less than a second by hand is a gamble: dim the light, stop down, or go further off.{more}")
    if by == "sheet":
        notes.append("The sheet must lie flat on the lens and be lit evenly all over; its corners get less, as the picture's do.")
    border = response.way_of(t.way)["border"]
    if share < 1.0:
        notes.append(f"Flash one scrap so first: its border must still come {border}, or all but.")
    else:
        notes.append(f"At the threshold and above the border no longer comes {border}, and nor does the picture’s own end: flash one scrap so first, and less unless that is meant.")
    return Dose(t.box, t.developer, t.way, share, flash, g.time_s, g.low_s, g.high_s, g.lx, ev, how, tuple(notes), (CAUTIONS[by], ONCE), t)  # fmt: skip


# ── in a plan, and on a sheet ──


def usual_less(share: float) -> float:
    """What a flash spares the picture where no curve tells [stop]: exposures add, so it goes by the share; USUAL_LESS at the usual one."""
    return math.log2(1.0 - (1.0 - 2.0**USUAL_LESS) * share / preflash.SHARE)


def link(reader: Reader, box: str, developer: str, way: str, share: float, before_s: float) -> Link:
    """What a flash spares the picture: a link of the chain. Refusal where the threshold was never measured."""
    have = known(reader, box, developer, way)
    if not have:
        raise refuse_unmeasured(box, way)
    part = next((t.mid_share for t in have if t.mid_share is not None), None)
    words = f"flashed before, {share:.0%} of the threshold".replace("%", " %")
    if part is None:
        less = usual_less(share)
        return Link("flash", words, less, before_s * 2.0**less, "s", "up to a fifth less light, one account; common practice, no source", USUAL_LESS_SD * share / preflash.SHARE)  # fmt: skip
    stops = preflash.picture_stops(share * part, 1.0)
    return Link("flash", words, stops, before_s * 2.0**stops, "s", "exposures add, on this paper's own curve")


def given(book: Book, code: str, form: Form | None = None) -> SheetState:
    """Mark a sheet as flashed. Fields: share (as planned, or 0.7), seconds, how (a few words). Refused twice over, and once it is in the trays."""
    d = Door(form)
    share = d.read("share", share_of)
    seconds = d.read("seconds", lambda t: q.duration_s(t, bare="s"))
    how = d.said("how") or ""
    d.close()
    row = book.get_sheet(code)
    now = sheet(book, code)
    if now.state not in ("planned", "flashed", "exposed"):
        raise Refusal.one("sheet", now.code, "A sheet that is not in the trays yet.", "After the developer a flash does nothing but spoil.")
    if now.flashed:
        raise Refusal.one("sheet", now.code, "A sheet that was not flashed yet.", "Twice the flash is over the threshold: it greys the sheet.")
    if seconds is not None and not how:  # under the light its threshold was measured with
        by = next((t for t in known(book, now.plan["box"], now.plan["developer"], now.plan["way"]) if t.seconds), None)
        if by and by.seconds and seconds > TOO_LONG * by.seconds:
            raise Refusal.one("seconds", wording.seconds(seconds), f"Below the threshold, {wording.seconds(by.seconds)} under {by.under}: this is {seconds / by.seconds:.0f} times it, and greys the sheet.",
                              "Was it a tenth? If it was another light, say which with how.")  # fmt: skip
    planned = now.plan.get("flash_share") or 0.0
    part = share if share is not None else planned or preflash.SHARE
    mark(book, row, "flashed", {"share": part, "seconds": seconds, "how": how})
    return sheet(book, code)


# ── in words ──


def before_it(reader: Reader, now: SheetState) -> str:
    """That a sheet planned with a flash has not had it, and its seconds where they were counted; nothing where all is well."""
    share = float(now.plan.get("flash_share") or 0.0)
    if not share or now.flashed:
        return ""
    counted = next((t for t in known(reader, now.plan["box"], now.plan["developer"], now.plan["way"]) if t.seconds), None)
    how = f"{wording.seconds(preflash.by_count(counted.seconds or 0.0, counted.sd_stops, share).time_s)} under {counted.under}" if counted else "its seconds by the light that gives it"
    return f"To be flashed, {share:.0%} of the threshold: {how}; then note it.".replace("%", " %")


def unflashed(plan: dict[str, Any]) -> dict[str, Any]:
    """The plan of a sheet that was to be flashed and was not: what the flash would have spared is not taken off what it needs."""
    spared = sum(x["stops"] or 0.0 for x in plan["chain"] if x["key"] == "flash")
    return plan | {"nominal_log2_s": plan["nominal_log2_s"] - spared}


def threshold_words(t: Threshold) -> str:
    if t.lx_s is not None:
        return f"{t.lx_s:.2g} lx·s ({t.low:.2g} to {t.high:.2g}), {t.words}."
    return f"{wording.seconds(t.seconds or 0.0)} under {t.under} ({wording.seconds(t.low)} to {wording.seconds(t.high)}), {t.words}."


def dose_words(d: Dose) -> tuple[str, ...]:
    """The answer, then what it rests on."""
    light = f", which is {wording.lux(d.lx)} at the paper" if d.ev is not None and d.lx is not None else ""
    dose_ = f" of {d.flash_lx_s:.2g} lx·s" if d.flash_lx_s is not None else ""
    return (
        f"Flash {wording.seconds(d.time_s)} {d.how}{light}; 9 in 10 between {wording.seconds(d.low_s)} and {wording.seconds(d.high_s)}.",
        f"{d.share:.0%} of the threshold{dose_}. Threshold {threshold_words(d.threshold)}".replace("%", " %", 1),
    )
