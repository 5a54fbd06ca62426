"""Curves as the book keeps them: under which name, the steps they are drawn through again, the table others look up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import tables
from firstsheet.acts import learn
from firstsheet.acts.learn import NO_WEIGHT_SD
from firstsheet.paper import response
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.calibrate_teach import Said
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book
    from firstsheet.paper.curve import Curve

KEYED = ("box", "developer", "light", "kind")  # what one curve is of; another strip of the same takes its place
TABLE_POINTS = 97
TABLE_BEYOND = 1.0  # past the steps on either side, where the fit still says how it goes on [log10]
# What a kept curve does, in words; one that can never count gives its shape alone.
STATES = {
    "counts": "counts in plans",
    "waits": "looked at, counts in no plan",
    "shape": "only its shape is gone by",
    "taken back": "taken back",
}


@dataclass(frozen=True, slots=True)
class KeptCurve:
    """One curve in a list.

    number  its number now; strip: that of its strip, None where densities were typed
    words   of what it is, in words; day it was drawn or last changed (ISO 8601, UTC)
    state   one of STATES
    """

    number: int
    strip: int | None
    words: str
    box: str
    developer: str
    light: str
    kind: str
    day: str
    state: str


def listed(reader: Reader, box: str | None = None) -> list[KeptCurve]:
    """Every curve kept, of one box or of all, the newest first; those taken back too, so that they can be had again."""
    rows = [t for t in reader.things("curve") if box is None or t["body"]["box"] == box]
    return [_listed(t) for t in sorted(rows, key=lambda t: -int(t["id"]))]


def _listed(t: dict[str, Any]) -> KeptCurve:
    b = t["body"]
    return KeptCurve(
        int(t["id"]), b["strip"], of_what(b), b["box"], b["developer"], b["light"], b["kind"], t["wall"].date().isoformat(), state(b),
    )  # fmt: skip


def state(body: dict[str, Any]) -> str:
    """What a kept curve does: one of STATES."""
    if body.get("dropped"):
        return "taken back"
    return "shape" if body["evidence"] is None else "counts" if body["taught"] else "waits"


def name_for(reader: Reader, said: Said, teach: bool) -> str:
    """The name of the curve of this box, developer, light and kind of density: the one it bears already, else a new one.

    Where one counts and this one is only looked at, it gets a name beside it, until it is let count in its place.
    """
    wanted = (said.box.name, said.developer.name, said.light, said.kind)
    found = [t for t in reader.things("curve") if tuple(t["body"].get(k) for k in KEYED) == wanted]
    free = [str(t["name"]) for t in found if teach == t["body"]["taught"]] or [
        str(t["name"]) for t in found if not t["body"]["taught"]
    ]
    if free:
        return free[0]
    light = str(tables.load("lights")[said.light]["words"])
    through = ", by transmission" if said.kind == "transmission" else ""
    again = f", drawn again ({len(found) + 1})" if found else ""
    return f"curve of {said.box.name} in {said.developer.name}, {light}{through}{again}"


def body_of(c: Curve, said: Said) -> dict[str, Any]:
    """The curve itself: its steps, from which it can be drawn again, and a table of log H [log10] and density [D].

    end_sd        doubt of the table's two ends, base and Dmax [D]
    counted_from  "typed" and "card": true densities; "border" and "lightest step": above bare paper
    """
    import numpy as np

    low, high = c.span
    log_h = np.linspace(low - TABLE_BEYOND, high + TABLE_BEYOND, TABLE_POINTS)
    density = c.density(log_h)[0]
    ends = [c.known_level(end)[1] / 1.645 for end in ("base", "dmax")]
    times = said.exposures.times_s
    return {
        "sense": c.sense, "absolute": c.absolute, "common_log_h_sd": c.common_log_h_sd,
        "steps": [[s.log_h if math.isfinite(s.log_h) else None, s.density, s.density_sd, s.log_h_sd, s.censored, list(s.shared)] for s in c.steps],
        "counted_from": said.counted_from, "times_s": list(times) if times else None, "lxs": list(said.exposures.lxs),
        "log_h": [round(float(x), 4) for x in log_h], "density": [round(float(x), 4) for x in density],
        "end_sd": [round(max(e, 0.005), 4) for e in ends],
    }  # fmt: skip


def curve_from(body: dict[str, Any]) -> Curve:
    """The curve drawn again through its kept steps: the same one, for the fit's draws are fixed. Refusal for one kept before steps were."""
    from firstsheet.paper.curve import StepSeen, fit

    if not body.get("steps"):
        raise Refusal.one("curve", body["name"], "A curve kept with its steps.",
                          "Draw it again from its strip, or from its densities.")  # fmt: skip
    # Curves kept before steps shared a doubt have no sixth figure.
    steps = [StepSeen(-math.inf if h is None else h, *rest[:4], *map(tuple, rest[4:])) for h, *rest in body["steps"]]
    return fit(
        steps, body["sense"], kind=body["kind"], absolute=body["absolute"], common_log_h_sd=body["common_log_h_sd"]
    )


def row(reader: Reader, number: int) -> dict[str, Any]:
    """The newest version of a curve by its number, or by one that it had before."""
    for t in reader.things("curve"):
        if t["id"] == number or number in t["body"].get("was", ()):
            return t
    raise Refusal.one("curve", number, "A curve that is in the book.", "It may have been drawn again since.", "missing")


def again(book: Book, name: str, body: dict[str, Any]) -> int:
    """Keep a curve under its name and remember the numbers it had; its number now."""
    before = book.current("curve", name)
    was = [*before["body"].get("was", ()), before["id"]] if before else []
    return book.add_thing("curve", name, body | {"was": was})


def of(reader: Reader, box: str, developer: str, kind: str = "reflection", way: str = "") -> list[dict[str, Any]]:
    """Kept curves of this box in this developer, those that count first, then the newest; with `way`, those that run as it does.

    One that was taken back is not among them; one that was only looked at still has its shape, and is called so.
    """
    sense = response.sense(way) if way else 0
    found = [
        t
        for t in reader.things("curve")
        if (t["body"]["box"], t["body"]["developer"], t["body"]["kind"]) == (box, developer, kind)
        and not t["body"].get("dropped")
    ]
    found = [t for t in found if not sense or response.sense(str(t["body"]["way"])) == sense]
    return sorted(found, key=lambda t: (not t["body"].get("taught"), -int(t["id"])))


def words_of(body: dict[str, Any]) -> str:
    """“box D in bought, open shade”, and whether it counts in no plan."""
    idle = " (counts in no plan)" if body.get("evidence") and not body.get("taught") else ""
    return of_what(body) + idle


def of_what(body: dict[str, Any]) -> str:
    """“box D in bought, open shade”."""
    box = str(body["box"])
    light = f", {tables.load('lights')[body['light']]['words']}" if body.get("light") else ""
    through = ", by transmission" if body["kind"] == "transmission" else ""
    return f"{box if 'box' in box.lower() else 'box ' + box} in {body['developer']}{light}{through}"


def teach(book: Book, name: str, evidence: dict[str, Any]) -> None:
    """Let this evidence of a curve count under its name, in place of what did; comparisons with the curve are weighed anew."""
    from firstsheet.acts.scraps_developers import reweigh

    changed = [name]
    book.add_thing("comparison", name, evidence)
    if evidence["sd"] < NO_WEIGHT_SD:
        changed += _take_place(book, name)
    for each in changed:
        reweigh(book, each)
    learn.refit(book)


def _take_place(book: Book, name: str) -> list[str]:
    """Curves of the same box, developer, light and kind count no longer; their names."""
    rows = {str(t["name"]): t["body"] for t in book.things("curve")}
    mine = tuple(rows[name].get(k) for k in KEYED)
    out = [n for n, b in rows.items() if n != name and b["taught"] and tuple(b.get(k) for k in KEYED) == mine]
    for n in out:
        again(book, n, rows[n] | {"taught": False})
        book.add_thing("comparison", n, rows[n]["evidence"] | {"sd": NO_WEIGHT_SD})
    return out
