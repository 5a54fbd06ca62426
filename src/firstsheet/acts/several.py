"""Several sheets at once: when hands do what, what light the room has, how many an hour, and what stands in the way."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from firstsheet.acts import several_asked
from firstsheet.acts.several_words import caution_lines, clock, deed_words, headline, hindrance, light_words, proof
from firstsheet.trays import several, several_track
from firstsheet.trays.soundtrack import render_spoken

if TYPE_CHECKING:
    from firstsheet.acts.door import Form
    from firstsheet.acts.reader import Reader
    from firstsheet.acts.several_asked import Asked


@dataclass(frozen=True, slots=True)
class SheetOf:
    """One of the sheets: done_s when it is drained after its last tray [s]; next_key the stretch that comes next, "" for none."""

    name: str
    code: str
    words: str
    ready_s: int
    done_s: int
    next_key: str


@dataclass(frozen=True, slots=True)
class Work:
    """What hands do without a break for one sheet, from at_s to until_s [s]. marked: it was begun already."""

    at_s: int
    until_s: int
    at: str
    sheet: str
    key: str
    words: tuple[str, ...]
    marked: bool


@dataclass(frozen=True, slots=True)
class LightOf:
    """The room's light from from_s to to_s [s]: lens, white, red or none."""

    light: str
    from_s: int
    to_s: int
    at: str
    words: str


@dataclass(frozen=True, slots=True)
class StayOf:
    """A sheet in a tray [s]; late_s: longer than it should be, short_s: less."""

    sheet: str
    tray: str
    from_s: int
    to_s: int
    low_s: float
    high_s: float
    late_s: int
    short_s: int


@dataclass(frozen=True, slots=True)
class Hindrance:
    """what ("hands", "light", "sheet" or a tray) lets the last sheet end at least_s [s] at the soonest; busy_s: taken in all [s]."""

    what: str
    words: str
    least_s: int
    busy_s: int


@dataclass(frozen=True, slots=True)
class Relief:
    """What it would bring to have something more: the new end and what is saved [s]."""

    words: str
    end_s: int
    saved_s: int


@dataclass(frozen=True, slots=True)
class PlacesOf:
    """How many sheets lie in a tray at once."""

    tray: str
    sheets: int


@dataclass(frozen=True, slots=True)
class CueOf:
    at_s: float
    words: str


@dataclass(frozen=True, slots=True)
class MarkOf:
    """A stretch that was begun at at_s [s]; `id` is by what the mark is taken back."""

    id: str
    sheet: str
    key: str
    at_s: int


@dataclass(frozen=True, slots=True)
class SeveralPlan:
    """cautions come first. per_hour: of this set; at_most_per_hour: however many come, by what stands in the way.

    longer   how much longer than the shortest this may be [0 … 1]; proven: nothing is shorter
    late     sentences on what was left too long or lifted too soon, as marked
    now_s    nothing more begins before this [s]; begun: when all this began, None where it has not
    number, marks   of an evening that is kept in the book (`several_kept`), and what was marked in it; None and nothing elsewhere
    """

    headline: str
    proof: str
    cautions: tuple[str, ...]
    sheets: tuple[SheetOf, ...]
    work: tuple[Work, ...]
    lights: tuple[LightOf, ...]
    stays: tuple[StayOf, ...]
    end_s: int
    least_s: int
    longer: float
    proven: bool
    per_hour: float
    at_most_per_hour: float
    bottleneck: Hindrance
    hindrances: tuple[Hindrance, ...]
    reliefs: tuple[Relief, ...]
    late: tuple[str, ...]
    places: tuple[PlacesOf, ...]
    now_s: int
    begun: str | None
    number: int | None = None
    marks: tuple[MarkOf, ...] = ()


def plan(reader: Reader, form: Form | None = None) -> SeveralPlan:
    """Plan several sheets. Fields: sheets (“3 paper_negative; direct_positive fibre in 20 min; A7KX”), compose, mount, expose, carry, hold
    (times), box (a shut box for exposed sheets: yes), keep (longest there), places (“wash 6, fixer 2”), hands (“stop some”: what need not be rocked
    all the time), times (own: “developer 150 s”), early (lift at the low end of the windows), done (“1 compose 0:00, 1 mount 2:05”: begun already),
    now (time since the beginning). Nothing is kept. Refusal with every problem."""
    return told(several_asked.read(reader, form))


def track(reader: Reader, form: Form | None = None) -> tuple[CueOf, ...]:
    """What is heard, and when, in the one sound of all these sheets."""
    return cues(several_asked.read(reader, form))


def wav(reader: Reader, form: Form | None = None) -> bytes:
    """The one sound of all these sheets (WAV)."""
    return sound(several_asked.read(reader, form))


def told(a: Asked) -> SeveralPlan:
    """The plan of what was asked, and what was done, in words."""
    return _told(a, several.plan(a.wanted, a.places, a.marks, a.now_s))


def cues(a: Asked) -> tuple[CueOf, ...]:
    return tuple(CueOf(c.at_s, c.words) for c in _track(a).cues if c.words)


def sound(a: Asked) -> bytes:
    made = _track(a)
    return render_spoken(made.cues, made.total_s)


def _track(a: Asked) -> several_track.Track:
    return several_track.track(a.wanted, several.plan(a.wanted, a.places, a.marks, a.now_s), a.now_s)


def _told(a: Asked, p: several.Several) -> SeveralPlan:
    done = dict(p.done_s)
    by = {w.name: w for w in a.wanted}
    work = _work(a, p)
    hindrances = tuple(Hindrance(b.what, hindrance(b.what), b.least_s, b.busy_s) for b in p.bounds)
    count = len(a.wanted)
    nexts = {w.name: next((x.key for x in work if x.sheet == w.name and not x.marked), "") for w in a.wanted}
    per_hour = 3600.0 * count / p.end_s
    return SeveralPlan(
        headline=headline(count, p.end_s, per_hour),
        proof=proof(p.proven, p.longer),
        cautions=caution_lines(a.wanted),
        sheets=tuple(SheetOf(n, a.codes.get(n, ""), a.words[n], by[n].ready_s, done[n], nexts[n]) for n in by),
        work=work,
        lights=tuple(LightOf(x.light, x.from_s, x.to_s, clock(x.from_s), light_words(x.light)) for x in p.lights),
        stays=tuple(StayOf(s.sheet, s.tray, s.from_s, s.to_s, s.low_s, s.high_s, s.late_s, s.short_s) for s in p.stays),
        end_s=p.end_s,
        least_s=p.least_s,
        longer=p.longer,
        proven=p.proven,
        per_hour=per_hour,
        at_most_per_hour=max(per_hour, 3600.0 * count / max(1, p.taken_s)),
        bottleneck=hindrances[0],
        hindrances=hindrances,
        reliefs=_reliefs(a, p),
        late=_late(p),
        places=tuple(PlacesOf(t, n) for t, n in a.places.items()),
        now_s=a.now_s,
        begun=a.begun,
    )


def _work(a: Asked, p: several.Several) -> tuple[Work, ...]:
    """Deeds of one stretch together, in the order in which they are done."""
    by = {w.name: w for w in a.wanted}
    out: list[Work] = []
    for d in p.deeds:
        words = deed_words(by[d.sheet].process, d)
        if out and (out[-1].sheet, out[-1].key) == (d.sheet, d.key):
            out[-1] = replace(out[-1], until_s=d.until_s, words=(*out[-1].words, words))
        else:
            out.append(Work(d.at_s, d.until_s, clock(d.at_s), d.sheet, d.key, (words,), d.marked))
    return tuple(sorted(out, key=lambda w: w.at_s))


def _late(p: several.Several) -> tuple[str, ...]:
    late = [
        f"Sheet {s.sheet} is {clock(s.late_s)} longer in the {s.tray} than it should be." for s in p.stays if s.late_s
    ]
    return (
        *late,
        *(f"Sheet {s.sheet} was lifted {clock(s.short_s)} too soon from the {s.tray}." for s in p.stays if s.short_s),
    )


def _reliefs(a: Asked, p: several.Several) -> tuple[Relief, ...]:
    """The same with a box for exposed sheets, with one place more where a tray holds things up, with washes apart; what brings most first."""
    if a.marks or len(a.wanted) < 2:
        return ()
    tries = []
    if all(w.box_s is None for w in a.wanted):
        boxed = [replace(w, box_s=several_asked.box_usual_s()) for w in a.wanted]
        tries.append(("a shut box in which exposed sheets wait", boxed, a.places))
    tray = next((b.what for b in p.bounds if b.what in a.places), None)
    if tray is not None:
        tries.append((f"one place more in the {tray}", list(a.wanted), {**a.places, tray: a.places[tray] + 1}))
    if any(s.restarts for w in a.wanted for s in w.process.steps):
        own = [
            replace(w, process=replace(w.process, steps=tuple(replace(s, restarts=False) for s in w.process.steps)))
            for w in a.wanted
        ]
        tries.append(("a wash of its own for each, so that none begins another’s anew", own, a.places))
    found = [(words, several.plan(wanted, places).end_s) for words, wanted, places in tries]
    return tuple(sorted((Relief(w, end, p.end_s - end) for w, end in found if end < p.end_s), key=lambda r: r.end_s))
