"""From a strip to the next plan. The curve is a closed form: D = b + R/(1 + exp(−k(log H − m))), so that the exposure at
0.60 above base is known by hand: log H = m − ln(R/0.6 − 1)/k. EI = 8.125·P/1000 and P = 1000/H [ISO-6846] [PH3.49]."""

from __future__ import annotations

import dataclasses
import io
import math

import numpy as np
import pytest
from PIL import Image

from firstsheet.acts import calibrate, calibrate_curve, calibrate_kept, calibrate_words, learn, own, plan, wish
from firstsheet.acts.calibrate_curve import Named
from firstsheet.acts.calibrate_outline import slipped
from firstsheet.acts.calibrate_parts import corners, exposures
from firstsheet.belief.posterior import Posterior
from firstsheet.book.store import Book
from firstsheet.quantities import plain_number, written
from firstsheet.refusal import Refusal
from tests.strips import judged, synth

BASE, RISE, K = 0.08, 1.80, 4.6
SPEED_H = 2.0  # lx·s at 0.60 above base: P 500
M = math.log10(SPEED_H) + math.log(RISE / 0.6 - 1) / K


def density(log_h):
    return BASE + RISE / (1 + np.exp(-K * (np.asarray(log_h) - M)))


LOG_H = np.log10(0.25) + 0.15 * np.arange(16)
TYPED = " ".join(f"{d:.3f}" for d in density(LOG_H))
EXPOSED = " ".join(f"{10**x:.4f}" for x in LOG_H) + " lx·s"
EXPOSED_HALF = " ".join(f"{10**x / 2:.5f}" for x in LOG_H) + " lx·s"  # the same densities from half of it: P 1000
SAID = {
    "box": "D",
    "developer": "bought",
    "light": "tungsten",
    "densities": TYPED,
    "exposures": EXPOSED,
    "density_sd": "0.01",
}


@pytest.fixture
def book():
    with Book.open(memory=True) as opened:
        own.add_camera(opened, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "board_min": "620 mm",
                                "board_max": "1100 mm", "length": "2.4 m", "width": "2 m", "height": "2.1 m"})  # fmt: skip
        own.add_box(opened, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
        own.add_developer(opened, {"name": "bought", "kind": "paper"})
        yield opened


def figure(answer, key):
    return next(f for f in answer.figures if f.key == key)


def picture(monkeypatch, seed=5, steps=16):
    """A photograph of a strip with this curve and the card beside it, and its truth."""
    middle = M - math.log10(0.25) + synth.FIRST_LOG_H  # the picture's own log H begins there
    monkeypatch.setattr(
        synth, "paper", lambda rng, log_h, sense: synth.Paper(0, BASE, BASE + RISE, middle, K * RISE / 4, sense)
    )
    for s in range(seed, seed + 40):
        data, truth = synth.picture(np.random.default_rng(s), "flare", 1000, steps=steps)
        if truth.sense > 0 and truth.extras["glare"] == 0:
            return data, truth
    raise AssertionError("no such picture")


def read(book, data, truth, **more):
    card = judged.said_card(truth)
    form = {"steps": str(truth.steps), "sense": "negative", "card": "yes", "card_white": f"{card.white.density:.3f}",
            "card_black": f"{card.black.density:.3f}", "card_greys": " ".join(f"{g.density:.3f}" for g in card.greys)}  # fmt: skip
    return calibrate.look(book, data, form | more)


def test_typed_densities_of_a_closed_form_give_its_speed(book):
    found = calibrate_curve.curve(book, None, SAID)
    p, ei = figure(found, "iso_p"), figure(found, "ei_mid")
    assert p.value == pytest.approx(500, rel=0.05)
    assert p.rounded == 500
    assert ei.value == pytest.approx(4.0625, rel=0.05)  # 8.125 · 500 / 1000
    assert p.low < 500 < p.high
    assert figure(found, "slope").value == pytest.approx(
        K * 0.6 * (1 - 0.6 / RISE), rel=0.1
    )  # the logistic's own derivative
    # points S and T of the closed form: D 0.04 above base and 90 % of the net range
    span = (math.log(0.9 / 0.1) - math.log(0.04 / (RISE - 0.04))) / K
    assert figure(found, "iso_r").value == pytest.approx(100 * span, abs=12)


def on_board(book, light="sun"):
    wish.say(book, {"light": light, "reading": "2 lx on the board", "aperture": "f/8"})
    return plan.plan(book, {})


def test_the_next_plan_moves_by_what_was_measured(book):
    """A paper held to be EI 4 at first that measures P 1000 (H 1 lx·s) in the same light is EI 8.125: half the exposure.

    What is left between is the share that doubt of the strip leaves to what was held before, by hand:
    gain = prior variance / (prior variance + strip variance)."""
    before = on_board(book)
    found = calibrate_curve.curve(book, None, SAID | {"light": "sun", "exposures": EXPOSED_HALF})
    assert figure(found, "ei_mid").value == pytest.approx(8.125, rel=0.05)
    after = plan.plan(book, {})
    measured = math.log2(1.0 / (8.125 / 4.0))  # needed: 8.125/EI 4
    variance = (
        1.15**2 + 0.10**2 + 0.20**2 + 0.25**2
    )  # of the tables: kind and box, developer, developer with box, meter
    gain = variance / (variance + found.sd_stops**2)
    r = 0.10  # long exposures, in proportion to what stands above 1 s
    moved = math.log2(after.wanted_s / before.wanted_s)
    first = math.log2(8.125 / 4 / 2)
    expected = gain * measured
    # one second at the first plan and less at the next: the metered time alone moves
    assert first * (1 + r) == pytest.approx(math.log2(before.wanted_s), abs=0.02)
    assert moved == pytest.approx(first + expected - first * (1 + r), abs=0.06)
    assert after.sd_stops < 0.5 * before.sd_stops
    assert found.next_plan.before_s == pytest.approx(before.time_s)
    assert found.next_plan.after_s == pytest.approx(after.time_s)


def test_drawn_again_it_counts_once(book):
    on_board(book)
    calibrate_curve.curve(book, None, SAID)
    once = plan.plan(book, {})
    calibrate_curve.curve(book, None, SAID)
    assert plan.plan(book, {}).wanted_s == once.wanted_s
    assert len(learn.observations(book)) == 1


def test_looked_at_first_it_teaches_nothing_until_it_is_let(book):
    before = on_board(book)
    found = calibrate_curve.curve(book, None, SAID, teach=False)
    assert found.teaches
    assert not found.taught
    assert plan.plan(book, {}).wanted_s == before.wanted_s
    counted = calibrate_curve.count_it(book, found.curve)
    assert counted.taught
    assert plan.plan(book, {}).time_s == pytest.approx(found.next_plan.after_s)


def test_long_exposures_of_a_strip_are_not_taken_for_a_slow_paper(book):
    """A paper with Schwarzschild's 1/p = 1.10 whose steps ran 8 … 1024 s needs more lux-seconds there; the part beyond a
    second belongs to long exposures, and the box stays where it was."""
    on_board(book)
    times = [8.0 * 10 ** (0.15 * k) for k in range(16)]
    true_h = [t ** (1 / 1.1) * 0.05 for t in times]  # metered seconds at 0.05 lx
    ds = " ".join(f"{d:.3f}" for d in density(np.log10(true_h)))
    form = SAID | {
        "light": "sun",
        "densities": ds,
        "exposures": " ".join(f"{t:.3f}" for t in times) + " s at 0.05 lx",
        "timing": "timer",
    }
    found = calibrate_curve.curve(book, None, form)
    assert figure(found, "iso_p").value < 350  # as it measured, long
    assert found.faster_stops == pytest.approx(math.log2(4.0625 / 4.0), abs=0.12)  # P 500 against EI 4


def test_a_photograph_gives_its_curve(book, monkeypatch):
    data, truth = picture(monkeypatch)
    strip = read(book, data, truth)
    seen = [
        (p.density, truth.densities[k]) for k, p in enumerate(strip.patches) if p.density is not None and not p.censored
    ]
    assert len(seen) >= 10
    assert max(abs(a - b) for a, b in seen if b < 1.6) < 0.08
    form = {k: v for k, v in SAID.items() if k not in ("densities", "density_sd")}
    found = calibrate_curve.curve(book, strip.strip, form)
    assert figure(found, "iso_p").value == pytest.approx(500, rel=0.10)
    assert calibrate_curve.of_strip(book, strip.strip) == found.curve


def test_read_again_with_dragged_corners_and_another_count(book, monkeypatch):
    data, truth = picture(monkeypatch)
    strip = read(book, data, truth)
    quad = " ".join(f"{x:.4f},{y:.4f}" for x, y in strip.corners)
    again = calibrate.again(book, strip.strip, {"corners": quad})
    pairs = [
        (a.density, b.density) for a, b in zip(strip.patches, again.patches, strict=True) if a.density and b.density
    ]
    assert len(pairs) >= 10
    assert max(abs(a - b) for a, b in pairs if a < 1.5) < 0.03
    fewer = calibrate.again(book, strip.strip, {"steps": "15"})
    assert len(fewer.patches) == 15
    assert calibrate.strip(book, strip.strip) == fewer


def test_what_is_kept_holds_no_position_and_is_bounded(book, monkeypatch):
    data, truth = picture(monkeypatch)
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter for looking at
    exif.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)
    stored = Image.open(io.BytesIO(data)).rotate(90, expand=True)
    out = io.BytesIO()
    stored.save(out, "JPEG", quality=97, exif=exif.tobytes())
    plain, turned = read(book, data, truth), read(book, out.getvalue(), truth)
    for number in (turned.strip, turned.strip - 1):
        kept = Image.open(io.BytesIO(book.get_picture(number)["data"]))
        assert not kept.getexif()
        assert max(kept.size) <= 2400
        assert kept.size == Image.open(io.BytesIO(data)).size
    # the outlines lie on the picture as it is shown
    assert np.allclose(np.array(plain.corners), np.array(turned.corners), atol=0.01) or np.allclose(
        np.array(plain.corners), np.roll(turned.corners, 2, axis=0), atol=0.01
    )


def test_a_strip_without_lux_tells_slope_and_range_and_no_speed(book):
    found = calibrate_curve.curve(book, None, SAID | {"exposures": "steps of √2", "densities": TYPED})
    assert {"iso_p", "ei_mid", "preflash"}.isdisjoint(f.key for f in found.figures)
    assert not found.teaches
    assert "lux" in found.why_not


def test_by_transmission_it_sets_no_speed(book):
    before = on_board(book)
    found = calibrate_curve.curve(book, None, SAID | {"kind": "transmission"})
    assert not found.taught
    assert plan.plan(book, {}).wanted_s == before.wanted_s


def test_what_was_not_reached_is_not_told(book):
    pale = [d for d in density(LOG_H) if d < BASE + 0.5]
    form = SAID | {
        "densities": " ".join(f"{d:.3f}" for d in pale),
        "exposures": " ".join(f"{10**x:.4f}" for x in LOG_H[: len(pale)]) + " lx·s",
    }
    found = calibrate_curve.curve(book, None, form)
    assert figure(found, "iso_p").value is None
    assert figure(found, "iso_p").missing
    assert not found.teaches


def test_everything_wrong_is_said_at_once(book):
    with pytest.raises(Refusal) as refused:
        calibrate_curve.curve(
            book, None, {"box": "X", "light": "moon", "exposures": "1 2", "densities": "0.1 0.2 soon", "kind": "both"}
        )
    assert {p.where for p in refused.value.problems} >= {"box", "light", "densities", "kind", "exposures"}
    with pytest.raises(Refusal) as refused:
        calibrate.look(book, b"", {"steps": "99", "sense": "maybe", "corners": "1,2"})
    assert {p.where for p in refused.value.problems} >= {"steps", "sense", "corners", "picture"}
    with pytest.raises(Refusal) as refused:
        calibrate.strip(book, 7)
    assert refused.value.kind == "missing"


def test_a_wrong_count_of_exposures_is_refused(book):
    with pytest.raises(Refusal, match="16, one for each step"):
        calibrate_curve.curve(book, None, SAID | {"exposures": "1 2 4 8 s at 12 lx"})


@pytest.mark.parametrize(
    ("said", "steps", "lxs"),
    [
        ("1 s 2 s 4 s 8 s at 12 lx on the board", 4, (12, 24, 48, 96)),
        ("1 2 4 8 s at 12 lx", 4, (12, 24, 48, 96)),
        ("first 0.5 lx·s, steps of 2", 3, (0.5, 1, 2)),
        ("first 1 s at 12 lx, steps of √2", 3, (12, 12 * 2**0.5, 24)),
        ("1/2 1 2 s at 4 lx", 3, (2, 4, 8)),
        ("8 4 2 1 s at 12 lx", 4, (12, 24, 48, 96)),
        ("tablet 10 s at 10 lx", 3, tuple(100 * 10**-d for d in (0.35, 0.20, 0.05))),  # 0.15 a step [SS0514]
        ("1 1 min at 1 lx", 1, None),
        ("1 2 4 s at 12", 3, None),
        ("1 2 4", 3, None),
        ("1 1 1 s at 12 lx", 3, None),
    ],
)
def test_exposures_as_people_say_them(said, steps, lxs):
    """H = E·t by hand."""
    if lxs is None:
        with pytest.raises(Refusal):
            exposures(said, steps, None, True)
    else:
        assert exposures(said, steps, None, True).lxs == pytest.approx(lxs)


def test_instructions_say_what_to_do_and_what_to_say_of_it(book):
    made = calibrate.instructions(book, {"way": "opal", "steps": "7", "factor": "2", "first": "1 s", "lux": "12"})
    assert [round(s.exposure_lxs) for s in made.steps] == [12 * 2**k for k in range(7)]
    assert [s.time_s for s in made.steps] == [1, 1, 2, 4, 8, 16, 32]  # each adds what its step still lacks
    assert exposures(made.exposures, 7, None, True).lxs == pytest.approx([12 * 2**k for k in range(7)])
    assert len(calibrate.instructions(book, {"way": "tablet"}).steps) == 21
    with pytest.raises(Refusal):
        calibrate.instructions(book, {"way": "tablet", "steps": "99", "lux": "x"})


def test_a_tablet_has_one_lux(book):
    for lux in ("12 11 10", "12 11"):
        with pytest.raises(Refusal) as refused:
            calibrate.instructions(book, {"way": "tablet", "lux": lux})
        assert [p.where for p in refused.value.problems] == ["lux"]
        assert "One lux for the whole tablet" in refused.value.problems[0].allowed
    assert calibrate.instructions(book, {"way": "tablet", "lux": "12"}).absolute


def test_withdrawn_it_is_as_if_it_had_never_counted(book):
    before = on_board(book)
    found = calibrate_curve.curve(book, None, SAID)
    assert plan.plan(book, {}).wanted_s != before.wanted_s
    out = calibrate_curve.withdraw(book, found.curve)
    assert not out.taught
    assert plan.plan(book, {}).wanted_s == before.wanted_s
    assert plan.known_now(book) == Posterior()
    assert calibrate_curve.count_it(book, out.curve).taught


@pytest.mark.parametrize(
    ("said", "where"),
    [({"first": "0"}, "first"), ({"lux": "1000000 1 12", "steps": "4"}, "lux"), ({"lux": "12 11"}, "lux")],
)
def test_a_strip_that_cannot_be_meant_is_refused(book, said, where):
    with pytest.raises(Refusal) as refused:
        calibrate.instructions(book, {"way": "lamp", **said})
    assert [p.where for p in refused.value.problems] == [where]


def test_taken_back_nothing_goes_by_it_and_an_old_number_still_finds_it(book):
    on_board(book)
    first = calibrate_curve.curve(book, None, SAID, teach=False)
    (looked,) = calibrate_kept.of(book, first.box, first.developer)
    assert calibrate_kept.words_of(looked["body"]).endswith("(counts in no plan)")
    counted = calibrate_curve.count_it(book, first.curve)
    assert counted.curve != first.curve
    assert calibrate_curve.kept(book, first.curve).curve == counted.curve
    dropped = calibrate_curve.withdraw(book, first.curve)
    assert dropped.dropped
    assert not calibrate_kept.of(book, first.box, first.developer)
    again = calibrate_curve.count_it(book, first.curve)
    assert again.taught
    assert not again.dropped


def test_the_next_plan_is_told_at_its_own_stop(book):
    own.add_camera(
        book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "f/8 f/16 f/32", "board_min": "620 mm",
               "board_max": "1100 mm", "length": "2.4 m", "width": "2 m", "height": "2.1 m"})  # fmt: skip
    on_board(book)
    found = calibrate_curve.curve(book, None, SAID)
    now = plan.plan(book, {})
    assert (found.next_plan.after_s, found.next_plan.after_aperture) == (now.time_s, now.aperture)


@pytest.mark.parametrize(
    "said", ["0,0 0,0 0,0 0,0", "0.1,0.1 0.9,0.9 0.9,0.1 0.1,0.9", "0.1,0.1 0.12,0.1 0.12,0.12 0.1,0.12"]
)
def test_corners_that_are_no_outline_are_refused(said):
    with pytest.raises(Refusal, match="Four corners"):
        corners(said)


def test_every_density_that_is_none_is_named_and_steps_are_not_miscounted(book):
    with pytest.raises(Refusal) as refused:
        calibrate_curve.curve(book, None, SAID | {"densities": "-5 1e9 abc ☃", "exposures": "1 2 4 8 s at 12 lx"})
    asked = [(p.where, p.asked) for p in refused.value.problems]
    assert asked == [
        ("densities", "-5"),
        ("densities", "1e9"),
        ("densities", "abc"),
        ("densities", "☃"),
        ("densities", "4 densities"),
    ]
    for said in (
        "1 2 4 8 s at 12 lx",
        "first 1 s at 12 lx, steps of 2",
        "tablet 8 s at 12 lx",
        "steps of √2",
        "1 2 s at 10 11 12 lx",
    ):
        with pytest.raises(Refusal) as refused:
            calibrate_curve.curve(book, None, SAID | {"densities": "0.1 x", "exposures": said})
        assert not any(p.where.startswith("exposures") for p in refused.value.problems), said
    with pytest.raises(Refusal) as refused:
        calibrate_curve.curve(book, None, SAID | {"densities": "0.1", "exposures": "1"})
    assert "1 density" in [p.asked for p in refused.value.problems]


def test_figures_are_told_without_powers_of_ten_or_a_minus_before_nothing():
    assert calibrate_words.density(-0.001) == "0.00"
    assert calibrate_words.density(-0.02) == "−0.02"
    assert written(1_000_000.0) == "1000000"
    assert written(0.00001) == "0.00001"
    assert written(999_999_999) == "999999999"
    with pytest.raises(Refusal) as refused:
        plain_number("x", 1e-6, 1e7)
    assert refused.value.problems[0].allowed == "A number from 0.000001 to 10000000."
    assert calibrate_words.figures(1540.0, 3) == "1540"


@pytest.mark.parametrize(
    ("low", "high", "told"), [(101.0, 119.0, "9 in 10: 100 to 120"), (110.0, 120.0, "9 in 10: 110 to 120")]
)
def test_the_range_of_iso_r_is_told_in_tens_as_the_standard_does_and_never_drawn_in(low, high, told):
    """R is stated to the nearest ten [ISO-6846]."""
    row = calibrate_words.figure_row(Named("iso_r", "ISO R", "", 110.0, low, high, 110.0, "", ""))
    assert (row["value"], row["range"]) == ("110", told)
    bound = calibrate_words.figure_row(Named("iso_r", "ISO R", "", None, low, None, None, "Not reached.", ""))
    assert bound["value"] == f"not reached, at least {10 * int(low // 10)}"


def test_a_speed_that_is_the_same_is_called_so(book):
    found = calibrate_curve.curve(book, None, SAID, teach=False)
    same = dataclasses.replace(found, faster_stops=-0.01, sd_stops=0.1)
    assert "measured as fast as box D" in calibrate_words.speed_words(same)
    assert "slower" not in calibrate_words.speed_words(same)


def _across(quad, ends):
    """The outline with its corners moved along the strip by so much of its length, outward [1]; by hand: a + t·(b − a)."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = quad
    move = lambda p, q, t: (p[0] - t * (q[0] - p[0]), p[1] - t * (q[1] - p[1]))  # noqa: E731
    return [
        move((ax, ay), (bx, by), ends[0]), move((bx, by), (ax, ay), ends[1]),
        move((cx, cy), (dx, dy), ends[2]), move((dx, dy), (cx, cy), ends[3]),
    ]  # fmt: skip


def _said(quad):
    return " ".join(f"{x:.4f},{y:.4f}" for x, y in quad)


def test_a_corner_a_step_off_is_asked_about_and_the_first_outline_comes_back(book, monkeypatch):
    data, truth = picture(monkeypatch)
    seen = read(book, data, truth)
    n, step = seen.strip, 1 / truth.steps
    for ends, named in (
        ((step, 0, 0, 0), "corner 1"),
        ((0, -step, -step, 0), "corners 2, 3"),
        ((step, -step, -step, step), "corners 1, 2, 3, 4"),
    ):
        with pytest.raises(Refusal) as refused:
            calibrate.again(book, n, {"corners": _said(_across(seen.corners, ends))})
        assert [(p.where, p.asked) for p in refused.value.problems] == [("corners", named)]
    shorter = _across(seen.corners, (0, -step, -step, 0))
    assert (
        len(calibrate.again(book, n, {"corners": _said(shorter), "steps": str(truth.steps - 1)}).patches)
        == truth.steps - 1
    )
    moved = calibrate.again(
        book, n, {"corners": _said(_across(seen.corners, (step, 0, 0, 0))), "meant": "yes", "steps": str(truth.steps)}
    )
    assert moved.moved
    back = calibrate.again(book, n, {"corners": "found"})
    assert not back.moved
    assert np.allclose(back.corners, seen.corners, atol=1e-3)
    assert [p.density for p in back.patches] == pytest.approx([p.density for p in seen.patches], abs=0.02)


def test_an_outline_elsewhere_or_a_little_off_is_not_asked_about():
    found, size = ((0.1, 0.4), (0.9, 0.4), (0.9, 0.6), (0.1, 0.6)), (1000, 800)
    assert slipped(found, 8, ((0.13, 0.4), (0.9, 0.4), (0.9, 0.6), (0.1, 0.6)), 8, size) == ""  # a third of a step
    assert slipped(found, 8, ((0.2, 0.4), (0.9, 0.4), (0.9, 0.6), (0.1, 0.6)), 8, size) == "corner 1"
    assert slipped(found, 8, ((0.9, 0.6), (0.1, 0.6), (0.2, 0.4), (0.9, 0.4)), 8, size) == "corner 1"  # begun elsewhere
    assert slipped(found, 8, ((0.2, 0.7), (1.0, 0.7), (1.0, 0.9), (0.2, 0.9)), 8, size) == ""  # another strip
    assert slipped(found, 8, ((0.1, 0.4), (1.0, 0.4), (1.0, 0.6), (0.1, 0.6)), 9, size) == ""  # one step more, said so


def test_a_bound_beyond_what_a_picture_shows_is_told_as_its_limit(book, monkeypatch):
    """Eight bits of a photograph end near D 2.0 (common practice, no source): “4.39 at least” is not credible."""
    data, truth = picture(monkeypatch)
    n = read(book, data, truth).strip
    body = next(t["body"] for t in book.things("strip"))
    assert body["bits"] == 8
    body["patches"][-1] |= {"density": 4.39, "sd": 1.2, "censored": "at_least", "rejected": ""}
    body["patches"][-2] |= {"density": 1.62, "sd": 0.1, "censored": "at_least", "rejected": ""}
    book.add_thing("strip", str(n), body)
    *_, before, last = calibrate.strip(book, n).patches
    assert (last.density, last.censored, last.beyond) == (2.0, "at_least", True)
    assert (before.density, before.beyond) == (1.62, False)
