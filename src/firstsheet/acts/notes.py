"""The sentences that go with a plan: what changed, what to mind, what can hurt."""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING, Any

from firstsheet import tables, wording
from firstsheet.acts import scraps_in_plans
from firstsheet.acts.pack_known import HOPELESS_CC, SHORT_CC
from firstsheet.belief import prior
from firstsheet.belief.effects import Effect
from firstsheet.belief.posterior import Posterior
from firstsheet.camera.lens import Lens
from firstsheet.exposure.hand import HAND_LEAST_S, SHUTTER_SD_STOPS, Giving
from firstsheet.paper.response import sense

if TYPE_CHECKING:
    from firstsheet.acts.own import Owned
    from firstsheet.acts.reader import Reader
    from firstsheet.acts.setting import Setting
    from firstsheet.acts.wish import Wish

OLD_READING_S = 600.0
LONGEST_KNOWN_S = 900.0  # reports of paper in a camera end at some minutes; common practice, no source
LOOK_BACK = 40  # sheets, for the last one judged
AGAINST = {"label": "its label", "own": "your own figure", "kind": "paper of its kind"}


def sheets_left(reader: Reader, box: Owned) -> float:
    """Sheets still in the box: what it held less what left it [sheet]; a test strip takes a quarter."""
    return float(box.body["sheets"]) - sheets_made(reader, box)


def sheets_made(reader: Reader, box: Owned) -> float:
    """Sheets that left the box so far [sheet]; a test strip is a quarter."""
    used = {m["sheet_id"]: m["body"]["sheets"] for m in reader.all_marks("exposed") if m["body"]["box"] == box.name}
    return float(sum(used.values()))


def _changed_lamp(reader: Reader, name: str, known: Posterior) -> tuple[str, ...]:
    from firstsheet.acts.contact_kept import LAMP

    key = next((f"lamp:{name}#{t['id']}" for t in reader.things(LAMP) if t["name"] == name), "")
    if key not in known.keys:
        return ()
    mean, variance = known.predict([Effect(key, 1.0, 0.0, 0.0)])
    return (f"Your prints ask {wording.stops_apart(mean)} {'more' if mean > 0 else 'less'} under {name} than its strip told, {wording.stops_pm(math.sqrt(variance))}.",)


def speed_words(w: Wish, known: Posterior) -> str | None:
    """“Box D now looks 0.6 stop slower than its label, ±0.3”, or None where no sheet of its kind was judged."""
    effects = prior.speed_effects(w.way, w.box.name, w.box.body)
    if not any(e.key in known.keys for e in effects):
        return None
    mean, variance = known.predict(effects)
    basis = AGAINST[prior.starting_speed(w.way, w.box.body).basis]
    return f"Box {w.box.name} now looks {off_words(mean)} {basis}, {wording.stops_pm(math.sqrt(variance))}."


def off_words(need_stops: float) -> str:
    """“0.6 stop slower than”, from the extra exposure needed [stop]."""
    if round(abs(need_stops), 1) < 0.1:
        return "as fast as"
    return f"{wording.stops_apart(need_stops)} {'slower' if need_stops > 0 else 'faster'} than"


def more_words(need_stops: float) -> str:
    """“0.1 stop less light than”, from the extra exposure needed [stop]."""
    if round(abs(need_stops), 1) < 0.1:
        return "as much light as"
    return f"{wording.stops_apart(need_stops)} {'more' if need_stops > 0 else 'less'} light than"


def changed(reader: Reader, w: Wish, known: Posterior) -> tuple[str, ...]:
    """What the judged sheets have changed in this plan; under a lamp that is kept its strip stands for paper and developer, and nothing of theirs."""
    if w.lit:
        return _changed_lamp(reader, str(w.lit["lamp"]), known)
    words = speed_words(w, known)
    out = [words] if words else []
    for effects, name in (
        (
            prior.light_effects(w.way, w.light, prior.starting_speed(w.way, w.box.body).light),
            tables.load("lights")[w.light]["words"],
        ),
        (prior.developer_effects(w.developer.name, w.developer.body["kind"], w.box.name), w.developer.name),
    ):
        if effects and any(e.key in known.keys for e in effects):
            mean, _ = known.predict(effects)
            moved = mean - sum(e.coefficient * e.mean for e in effects)
            if abs(moved) >= 0.15:
                more = "more" if moved > 0 else "less"
                out.append(f"Your sheets ask {abs(moved):.1f} stop {more} in {name} than we began with.")
    return tuple(out)


def of_plan(reader: Reader, w: Wish, s: Setting, given: Giving, left: float) -> tuple[str, ...]:
    """Plain sentences, most urgent first."""
    out: list[str] = []
    if left < 1:
        out.append(f"Box {w.box.name} should be empty by the book: {left:g} sheets left.")
    out += scraps_in_plans.fogged(reader, w.box.name)
    if s.pack and s.pack.left_cc > SHORT_CC:
        spend = " Borrow gels before a sheet is spent." if s.pack.left_cc > HOPELESS_CC else ""
        out.append(f"Your gels leave a cast of {s.pack.left_cc:.0f} CC here, and the chance above is of the exposure alone: the filter pack’s own page, or firstsheet pack, says which you lack.{spend}")
    for k in w.readings:
        taken = k.reading.taken_wall
        if taken and (reader.now() - taken).total_seconds() > OLD_READING_S:
            out.append(
                f"The reading is from {wording.age((reader.now() - taken).total_seconds())}: read the light again."
            )
            break
    if s.wanted_s < HAND_LEAST_S and given.sd_stops > SHUTTER_SD_STOPS:
        less = "hang the lamp higher or dim it" if s.aperture is None else "stop down, or go where there is less light"
        out.append(f"Less than a second by hand is a gamble: {less}.")
    if s.wanted_s > LONGEST_KNOWN_S:
        out.append(_too_long(s))
    if s.aperture is not None:
        out += _own_timing(w.camera.body, given)
    out += _filter(w)
    if w.flash_share:
        out.append(f"To be flashed, {w.flash_share:.0%} of the threshold, before the picture or after it: the page of contrast, or firstsheet flash dose, tells the seconds.".replace("%", " %"))
    if s.room:
        out += s.room.notes
    out += _placement(w)
    out += _positive(reader, w)
    two = _two_changed(reader, w)
    if two:
        out.append(two)
    return tuple(out)


def _positive(reader: Reader, w: Wish) -> list[str]:
    """What a positive that is its own original asks: it stays mirrored, and old paper comes up slowly. Common practice, no source."""
    if sense(w.way) > 0:
        return []
    out = [str(tables.load("ways")[w.way]["mirrored"])]
    opened = w.box.body.get("opened")
    if w.way == "direct_positive" and opened:
        years = (reader.now().date() - date.fromisoformat(opened)).days / 365.25
        if years >= float(tables.load("bad_day")["evidence"]["old_years"]):
            out.append("Old direct positive paper comes up slowly: leave it in the developer until its border is black, up to twice the time.")
    return out


def _own_timing(body: dict[str, Any], given: Giving) -> list[str]:
    """What the measured shutter or the tapped hand does, where it matters to this time."""
    for mark, time_s in body.get("marks", ()):
        if given.how == "by the shutter" and abs(math.log2(time_s / given.time_s)) < 0.01:
            return [f"Set the shutter to {mark}: it was measured at {wording.seconds(time_s)}."]
    late = float((body.get("hand") or {}).get("late_s", 0.0))
    if given.sd_stops <= SHUTTER_SD_STOPS or abs(late) < max(0.1, 0.03 * given.time_s):
        return []
    if late > 0:
        return [f"Counting, you leave the lens open {late:.1f} s too long: shut it that much sooner."]
    return [f"Counting, you shut the lens {-late:.1f} s too soon: leave it open that much longer."]


def _too_long(s: Setting) -> str:
    """Past what anybody has measured of paper: the law is only carried on."""
    more = "bring the lamp nearer" if s.aperture is None else "open the stop, or wait for more light"
    return (
        f"{wording.seconds(s.wanted_s)} is far beyond what is known: papers were tried for seconds to some minutes, and the law of long "
        f"times is only carried on from there. Two scraps of unlike times tell this paper’s own loss; better, {more}."
    )


def _placement(w: Wish) -> list[str]:
    from firstsheet.light.words import tone

    if w.lit:
        from firstsheet.acts.contact_lit import SIDES

        return [SIDES[w.lit["facing"]]]
    if w.way == "contact_print":
        return [
            "Emulsion to emulsion, the negative on top, under clean glass; is anything printed on the negative’s back?"
        ]
    r = w.readings[0].reading
    if r.how == "reflected" or r.kind == "board":
        t = tone(r.tone)
        short = "pale" if sense(w.way) > 0 else "dark"  # what too little light does to it
        if r.tone == "grey_card" and r.kind != "photo":
            return [
                f"Placed as a mid-tone. If it was read on a light face, say so: the sheet would come out a stop {short}."
            ]
        return [f"Read on {t.words}, placed {wording.stops(t.stops)} from mid-tone."]
    return []


def of_print(w: Wish) -> tuple[str, ...]:
    """A print under a kept lamp in one line, so that its sheet remembers: negative, lamp, height, paper, which way the sheets lie, glass."""
    if not w.lit:
        return ()
    said = {k: str(v) for k, v in w.lit.items() if v}
    paper = f"grade {said['grade']}" if "grade" in said else said.get("range", "the paper’s own curve")
    parts = [
        f"{said.get('negative', 'the negative')} under {said.get('lamp', 'the lamp')}", f"at {said['height']}" if "height" in said else "at its strip’s height", paper,
        f"{said.get('first', 'shadows')} first", "emulsion to emulsion" if said.get("facing") == "together" else "the negative’s back to the paper",
        "under glass" if said.get("glass") in ("yes", "True") else "no glass",
    ]  # fmt: skip
    return (", ".join(parts),)


def _filter(w: Wish) -> list[str]:
    """What a density does not say: how a coloured filter looks to the paper. Common practice, no source."""
    if w.lit:
        return []
    if w.way == "reversal_ra4" and (w.filter_density or w.board_filter):
        return [
            "The starting speed of colour reversal holds with its orange pack on the lens, and yellow and magenta hardly "
            "cost the layer that sets it: say as filter only what is grey."
        ]
    if w.readings[0].reading.kind == "board" and w.board_filter and w.filter_density == w.board_filter:
        return [f"Read through the filter of density {w.filter_density:g}: it is not charged again."]
    if w.readings[0].reading.kind == "board" and w.filter_density > w.board_filter:
        return ["The filter was said after the reading and is charged. If it was there already, say the reading again."]
    if w.filter_density:
        return [
            "The filter’s density is charged as if it were grey. A yellow or red one costs this paper more than it "
            "costs the eye: a strip tells how much."
        ]
    return []


def _two_changed(reader: Reader, w: Wish) -> str | None:
    found = _last_judged(reader, w.box.name)
    if found is None:
        return None
    before: dict[str, Any] = found["body"]["plan"]
    now = {"box": w.box.name, "developer": w.developer.name, "light": w.light, "way": w.way, "camera": w.camera.name}
    names = {"box": "the box", "developer": "the developer", "light": "the kind of light", "way": "the way of working",
             "camera": "the camera"}  # fmt: skip
    differ = [names[k] for k, v in now.items() if before.get(k) != v]
    if len(differ) < 2:
        return None
    since = "the last judged sheet" if "the box" in differ else f"the last judged sheet of box {w.box.name}"
    changed = " and ".join([", ".join(differ[:-1]), differ[-1]])
    return f"Since {since}, {found['code']}, {changed} changed: one at a time teaches more."


def _last_judged(reader: Reader, box: str) -> dict[str, Any] | None:
    """The last sheet of this box that stands judged, among the last of the book; else the last of any box."""
    other: dict[str, Any] | None = None
    rows = reader.sheets(limit=LOOK_BACK)
    marks = reader.marks_of([row["id"] for row in rows])
    for row in rows:
        mine = row["body"]["plan"].get("box") == box
        if not mine and other is not None:
            continue
        words = [m["kind"] for m in marks[row["id"]] if m["kind"] in ("judged", "unjudged")]
        if words and words[-1] == "judged":
            if mine:
                return row
            other = row
    return other


def cautions(w: Wish, lens: Lens) -> tuple[str, ...]:
    """What can hurt, first the lens."""
    from firstsheet.camera.sunburn import sun_caution

    developer = str(tables.load("developers")[w.developer.body["kind"]]["caution"])
    if w.lit:
        from firstsheet.acts.contact_kept import CAUTION

        return CAUTION, developer
    way = str(tables.load("ways")[w.way].get("caution", ""))
    return (developer,) if w.way == "contact_print" else (sun_caution(lens), developer, *([way] if way else []))
