"""What pack and seconds a sheet had whose colour is told: its own where it was kept, else as said, else as planned, if that can be known."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from firstsheet import tables
from firstsheet.acts import pack_known
from firstsheet.acts.sheet import sheet
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.pack_known import Other
    from firstsheet.book.store import Book
    from firstsheet.colour.cast import Seen
    from firstsheet.colour.learned import Belief
    from firstsheet.colour.pack import Pack

Three = tuple[float, float, float]
OUTING = timedelta(hours=24)  # a sheet is told within a day of its exposure, or nearly always; ours
MOVED_CC, MOVED_LOG = 2.5, 0.05  # a pack or time that moved by so much is another [CC; log10]
QUARREL_CHI2, CLASH_CHI2 = 11.3, 21.1  # of three: one in a hundred; one in ten thousand


@dataclass(frozen=True, slots=True)
class Made:
    """How a told sheet was made: pack [CC], log_time log10 of its seconds over the plan's without a pack; plan what those seconds went by;
    code the sheet's, where it was kept."""

    light: str
    box: str
    real: Three
    log_time: float
    plan: dict[str, Any] | None
    code: str = ""


def of_sheet(book: Book, code: str, light: str | None, box: str | None, put_on: Three | None, given: float | None) -> Made:
    """A kept sheet's own pack and seconds, unless others are said."""
    now = sheet(book, code)
    plan = now.plan
    if not plan.get("pack"):
        raise Refusal.one("sheet", code, "A sheet planned with a filter pack.", "Leave the sheet out, and say pack and seconds.")
    if now.strip:
        raise Refusal.one("sheet", code, "A whole sheet: a strip got several times.", "Leave the sheet out, and say the pack and the seconds of the step you look at.")
    if now.patches:
        raise Refusal.one("sheet", code, "A sheet of one picture: this one’s patches are read from one photo.", "firstsheet pack ring --photo, or “The patches asked for” on the page.")
    for where, said, own in (("light", light, plan["light"]), ("box", box, plan["box"])):
        if said and said != own:
            raise Refusal.one(where, said, f"The sheet’s own: {own}.", "Leave it out.")
    seconds = given or now.given_s
    if seconds is None:
        raise Refusal.one("sheet", code, "A sheet that was exposed.", f"Say what it got first: firstsheet expose {code}.")
    stop = 2.0 * math.log10(plan["aperture"] / now.given_aperture) if now.given_aperture and plan["aperture"] else 0.0
    log_time = plan["pack"]["log_time"] + math.log10(seconds / plan["wanted_s"]) + stop
    real = really(book, put_on) if put_on is not None else _three(plan["pack"]["real"])
    return Made(plan["light"], plan["box"], real, log_time, pack_known.told_by(plan), now.code)


def words(made: Made) -> str:
    """“through 175Y + 105M, 0.3 stop less than the plan’s seconds without a pack”."""
    from firstsheet.acts.pack import time_words
    from firstsheet.colour.pack import in_words

    return f"through {in_words(made.real)}, {time_words(made.log_time, None)} without a pack"


def of_words(book: Book, light: str, box: str, put_on: Three | None, given: float | None, seconds: float | None) -> Made:
    """As said, and as planned where nothing is. Refusal where sheets told of other lights have moved the plan since this one may have been exposed."""
    from firstsheet.acts.plan import as_body

    plan = None if seconds else pack_known.plan_of(book, light, box)
    base = seconds or pack_known.unfiltered_s(plan)
    if given is not None and base is None:
        raise Refusal.one("seconds", "", "The plan’s seconds without a pack, beside the seconds given.", "Leave both out where you gave what was planned.")
    by = pack_known.told_by(as_body(plan)) if plan else None
    real = really(book, put_on) if put_on is not None else None
    if real is not None and given is not None:
        return Made(light, box, real, math.log10(given / float(base or given)), by)
    now = _unmoved(book, light, box, asked=real is None)
    log_time = now.log_time if given is None else math.log10(given / float(base or given))
    return Made(light, box, now.real if real is None else real, log_time, by)


def far_off(belief: Belief, matrix: Any, real: Three, log_time: float, seen: Seen) -> float:
    """How far a sheet lies from what was believed before it, by both doubts: chi squared of three [1]."""
    import numpy as np

    from firstsheet.colour import learned
    from firstsheet.colour.layers import SEEN

    filtered = matrix @ np.array(real)
    off = SEEN @ (np.array(seen.state) + filtered - log_time - belief.mean)
    cov = SEEN @ belief.cov @ SEEN.T + learned.noise_of(seen, filtered, belief, log_time)
    return float(off @ np.linalg.solve(cov, off))


def really(book: Book, said: Three) -> Three:
    """What a pack said by what is written on its gels is, by what the gels of each colour measured on the whole."""
    have = pack_known.owned_gels(book) or []
    out = []
    for value, dye in zip(said, "YMC", strict=True):
        of = [g for g in have if g.dye == dye]
        out.append(value * sum(g.real for g in of) / sum(g.written for g in of) if of else value)
    return out[0], out[1], out[2]


def _unmoved(book: Book, light: str, box: str, asked: bool) -> Pack:
    """The pack as planned, which is the same since the last sheet told here or for a day."""
    from firstsheet.colour.pack import in_words

    key = f"{box} in {light}"
    kept = pack_known.kept_sheets(book, key)
    now = pack_known.solved(book, light, box, kept)[2]
    own = book.versions(pack_known.THING, key)
    since = max([book.now() - OUTING, *([own[0]["wall"]] if own else [])])
    near, moved_by = _before(book, light, box, since)
    if not moved_by:
        return now
    then = pack_known.solved(book, light, box, kept, near=near)[2]
    apart = max(abs(a - b) for a, b in zip(now.real, then.real, strict=True))
    if apart < MOVED_CC and abs(now.log_time - then.log_time) < MOVED_LOG:
        return now
    both = f"{in_words(then.written)} before, {in_words(now.written)} now"
    where, say = ("pack", f"Say which was on: --pack \"{in_words(then.written).replace(' + ', ' ')}\", and --given the seconds.") if asked else ("given", "Say the seconds it got.")
    raise Refusal.one(where, "", f"What was planned has moved since {moved_by} was told: {both}.", f"{say} For a kept sheet its code says both: --sheet.")


def _before(book: Book, light: str, box: str, since: Any) -> tuple[list[Other], str]:
    """The neighbours as they were told then; in words, those told since."""
    out, told = [], []
    for n in pack_known.others(book, light, box):
        versions = book.versions(pack_known.THING, f"{n.box} in {n.light}")
        older: list[dict[str, Any]] = next((v["body"]["sheets"] for v in versions if v["wall"] <= since), [])
        if versions[0]["wall"] > since:
            told.append(str(tables.load("lights")[n.light]["words"]))
        if older:
            out.append(pack_known.Other(n.box, n.light, older, pack_known.count_of(older)))
    return out, " and ".join(told)


def _three(v: Any) -> Three:
    return float(v[0]), float(v[1]), float(v[2])
