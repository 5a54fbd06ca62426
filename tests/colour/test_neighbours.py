"""A light or box never tried begins from its neighbours: against dense normal algebra, against drawn worlds, and through the acts."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.acts import own, pack, pack_known
from firstsheet.book.store import Book
from firstsheet.colour import learned, neighbours
from firstsheet.colour.learned import Belief
from firstsheet.refusal import Refusal

PLACES = [pack_known.place_of(b, k) for b, k in (("C", "open_shade"), ("C", "sun"), ("C", "tungsten"), ("D", "open_shade"))]


def looked(place, rng, n=1, noise=0.05):
    """A belief after n looks at all three layers, each with noise [D], by the textbook's conjugate formula; what was seen, on the mean, with it."""
    start = neighbours.alone(place)
    seen = rng.multivariate_normal(start.mean, start.cov)
    inside = np.linalg.inv(start.cov)
    cov = np.linalg.inv(inside + n * np.eye(3) / noise**2)
    return seen, Belief(cov @ (inside @ start.mean + n * seen / noise**2), cov)


def joint(places):
    """Mean and covariance of all places at once, written apart from the code under test."""
    k = 3 * len(places)
    cov = np.zeros((k, k))
    for i, a in enumerate(places):
        for j, b in enumerate(places):
            part = (1.0 if a.box == b.box else 0.6) * learned.PAPER + 0.25**2 * np.outer(a.beyond, b.beyond)
            if i == j:
                part = part + np.outer(a.hour, a.hour) + 0.04**2 * np.eye(3) + a.metered_sd**2 * np.ones((3, 3))
            cov[3 * i : 3 * i + 3, 3 * j : 3 * j + 3] = part
    return np.concatenate([p.excess for p in places]), cov


@pytest.mark.parametrize("seed", range(12))
def test_neighbours_are_drawn_together_as_dense_normal_algebra_does(seed):
    # all looks at once: mean + C Hᵀ (H C Hᵀ + R)⁻¹ (y − H mean); the normal's own formula, from memory
    rng = np.random.default_rng(seed)
    n = 1 + seed % 3
    places = PLACES[: n + 1]
    seen, known = zip(*(looked(p, rng) for p in places[1:]), strict=True)
    mean, cov = joint(places)
    h = np.eye(len(mean))[3:]
    gain = cov @ h.T @ np.linalg.inv(h @ cov @ h.T + 0.05**2 * np.eye(3 * n))
    found = neighbours.begin(places[0], list(zip(places[1:], known, strict=True)))
    assert found.mean == pytest.approx((mean + gain @ (np.concatenate(seen) - h @ mean))[:3], abs=1e-9)
    assert found.cov == pytest.approx((cov - gain @ h @ cov)[:3, :3], abs=1e-9)


def test_against_drawn_worlds():
    # half a million worlds drawn, those kept whose sun looks as it was seen: what shade is in them
    rng = np.random.default_rng(5)
    places = PLACES[:2]
    mean, cov = joint(places)
    seen, known = looked(places[1], rng, noise=0.08)
    worlds = rng.multivariate_normal(mean, cov, 500_000)
    w = np.exp(-0.5 * (((worlds[:, 3:] - seen) / 0.08) ** 2).sum(1))
    found = neighbours.begin(places[0], [(places[1], known)])
    there = w @ worlds[:, :3] / w.sum()
    assert found.mean == pytest.approx(there, abs=0.01)
    assert found.sd() == pytest.approx(np.sqrt(w @ (worlds[:, :3] - there) ** 2 / w.sum()), rel=0.05)


@given(st.permutations(range(3)))
@settings(max_examples=6, deadline=None)
def test_the_order_of_the_neighbours_does_not_matter(order):
    rng = np.random.default_rng(3)
    known = [(p, looked(p, rng)[1]) for p in PLACES[1:]]
    one, other = (neighbours.begin(PLACES[0], [known[i] for i in o]) for o in (range(3), order))
    assert one.mean == pytest.approx(other.mean, abs=1e-9)
    assert one.cov == pytest.approx(other.cov, abs=1e-9)


def test_what_was_never_tried_tells_nothing_and_the_nearer_neighbour_tells_more():
    start = neighbours.alone(PLACES[0])
    silent = neighbours.begin(PLACES[0], [(p, neighbours.alone(p)) for p in PLACES[1:]])
    assert silent.mean == pytest.approx(start.mean)
    assert silent.cov == pytest.approx(start.cov)
    rng = np.random.default_rng(1)
    same_box, other_box = (neighbours.begin(PLACES[0], [(p, looked(p, rng)[1])]) for p in (PLACES[1], PLACES[3]))
    assert (same_box.sd() < other_box.sd()).all()
    assert (other_box.sd() < start.sd()).all()


@pytest.fixture
def book(tmp_path):
    clock = [datetime(2026, 6, 21, 15, 0, tzinfo=UTC)]
    with Book.open(tmp_path / "pack.sqlite", now=lambda: clock[0]) as b:
        b.clock = clock
        for name in ("C", "D"):
            own.add_box(b, {"name": name, "paper": "ra4", "size": "12x16 in", "sheets": "25"})
        b.set_setting("today", {"box": "C"})
        yield b


def yellow(found):
    f = next(f for f in found.figures if f.key == "yellow_cc")
    return f.value, f.high - f.low, f.source


def test_shade_begins_from_sun_and_says_so_and_forgets_what_is_taken_back(book):
    never = yellow(pack.plan(book, {"light": "open_shade"}))
    for seen in ({"colour": "blue", "much": "strongly"}, {"colour": "neutral"}):
        pack.told(book, {**seen, "light": "sun"})
    sun, shade = (yellow(pack.plan(book, {"light": k})) for k in ("sun", "open_shade"))
    # sun was too blue and asked for more yellow: shade of the same box does too, and its doubt is less than half
    assert shade[0] >= never[0] + 20
    assert shade[1] < never[1] / 2
    assert shade[1] > sun[1]
    assert shade[2] == "spectra, begun from direct sun (2 sheets)"
    book.clock[0] += timedelta(days=2)
    other = yellow(pack.plan(book, {"light": "open_shade", "box": "D"}))
    assert shade[1] < other[1] < never[1]
    assert other[2] == "spectra, begun from direct sun from box C (2 sheets)"
    pack.told(book, {"colour": "yellow", "much": "faintly", "light": "open_shade"})
    own_too = yellow(pack.plan(book, {"light": "open_shade"}))
    assert own_too[1] < shade[1]
    assert own_too[2] == "1 of your sheets in open shade; begun from direct sun (2 sheets)"
    for light in ("sun", "sun", "open_shade"):
        pack.take_back(book, {"light": light})
    assert yellow(pack.plan(book, {"light": "open_shade"})) == never


def test_a_neutral_in_one_light_is_hardly_moved_by_another(book):
    for seen in ({"colour": "blue", "much": "clearly"}, {"colour": "neutral"}, {"colour": "neutral"}):
        pack.told(book, {**seen, "light": "sun"})
    before = yellow(pack.plan(book, {"light": "sun"}))[0]
    book.clock[0] += timedelta(days=2)
    pack.told(book, {"colour": "yellow", "much": "clearly", "light": "open_shade"})
    assert abs(yellow(pack.plan(book, {"light": "sun"}))[0] - before) <= 5


def test_very_blue_light_gets_its_pack_whole(book):
    # more than 250 yellow: made up of 5-unit steps to the most there is, and not stopped short
    for _ in range(2):
        found = pack.told(book, {"colour": "blue", "much": "strongly", "light": "open_shade"})
    assert yellow(found)[0] > 250
    assert "gels" not in found.first


def say(book, light, seconds, put_on, given, colour="neutral", **more):
    return pack.told(book, {"light": light, "seconds": seconds, "pack": put_on, "given": given, "colour": colour, **more})


def test_a_sheet_told_plainly_is_not_overruled_by_its_neighbours_and_the_clash_is_said(book):
    for _ in range(3):
        say(book, "sun", "20 s", "175Y 105M", "20 s")
    found = say(book, "open_shade", "20 s", "270Y 135M", "80 s")
    assert abs(yellow(found)[0] - 270) <= 15
    assert abs(next(f.value for f in found.figures if f.key == "time_stops") - 2.0) < 0.35  # four times the seconds
    assert pack.CLASH in say(book, "open_shade", "20 s", "100Y 20M", "20 s").notes


def test_sheets_that_tell_nothing_tell_nothing_to_their_neighbours(book):
    never = yellow(pack.plan(book, {"light": "overcast"}))
    for light in ("sun", "open_shade", "low_sun", "window", "tungsten", "led"):
        say(book, light, "20 s", "400Y 400M", "20 s", "blue", much="very_strongly", bright="far_too_dark")
    after = yellow(pack.plan(book, {"light": "overcast"}))
    assert after[1] > 0.85 * never[1]


def test_what_may_have_been_on_the_lens_is_asked_where_another_light_has_moved_the_plan_since(book):
    before = pack.plan(book, {"light": "open_shade", "seconds": "20 s"}).first
    pack.told(book, {"light": "sun", "seconds": "20 s", "colour": "blue", "much": "strongly"})
    with pytest.raises(Refusal, match="moved since direct sun was told") as e:
        pack.told(book, {"light": "open_shade", "seconds": "20 s", "colour": "neutral"})
    was = e.value.problems[0].allowed.split(": ")[1].split(" before")[0]
    assert was in before
    say(book, "open_shade", "20 s", was.replace(" + ", " "), "20 s")
    assert book.current(pack_known.THING, "C in open_shade")["body"]["sheets"][0]["pack"][0] == float(was.split("Y")[0])


def test_seconds_of_nothing_are_refused(book):
    with pytest.raises(Refusal) as e:
        say(book, "sun", "0 s", "175Y", "0 s")
    assert {p.where for p in e.value.problems} == {"given", "seconds"}
