"""A grey wedge through a whole way of working, against the composition of its curves written out here in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from firstsheet.foresee import picture, route, tone
from firstsheet.refusal import Refusal

STOP = np.log10(2.0)


def logistic(x, base, dmax, k, x0):
    """The closed-form test curve of a paper (no published table with official figures was found)."""
    return base + (dmax - base) / (1 + np.exp(-k * (x - x0)))


def tones(sense, base=0.06, dmax=2.10, k=5.5538614388767, x0=0.45866243698):
    x = np.linspace(-3.5, 4.5, 1601)
    return tone.measured(x.tolist(), logistic(sense * (x - x0), base, dmax, k, 0.0).tolist(), "paper_negative" if sense > 0 else "direct_positive", "a test curve")


def wedge():
    """Exposures over the mid-tone's in steps of a third of a stop, each forty pixels wide."""
    steps = 2.0 ** np.arange(-6, 6.01, 1 / 3)
    return steps, np.repeat(steps, 40)[None, :].repeat(24, axis=0).astype(np.float32)


def reflectance(codes):
    c = codes.astype(float) / 255
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)  # [IEC-61966-2-1]


def shown(chain):
    """Reflectance of each step as drawn, and as the table has it."""
    steps, light = wedge()
    t = route.table(chain)
    got = picture.drawn(light, chain)
    return steps, reflectance(got.codes[12, 20::40, 1]), np.interp(np.log10(steps), t.log_h, t.rgb[:, 1])


def test_a_wedge_on_direct_positive_paper_is_its_falling_curve():
    """Mid-tone at the middle of the falling curve, D 1.08; reflectance 10^−D. Eight bits are 0.4 %."""
    steps, drawn, exact = shown(route.Chain("direct_positive", tones(-1)))
    expected = 10.0 ** -logistic(-np.log10(steps), 0.06, 2.10, 5.5538614388767, 0.0)
    np.testing.assert_allclose(exact, expected, atol=0.0015)
    np.testing.assert_allclose(drawn, expected, atol=0.005)


def test_a_wedge_on_a_paper_negative_has_density_0_60_over_base_at_the_mid_tone():
    """ISO P 500 of this curve is 2.00 lx·s at D 0.60 over base, log 0.301 [ISO-6846]."""
    steps, drawn, _ = shown(route.Chain("paper_negative", tones(+1)))
    expected = 10.0 ** -logistic(0.30103 + np.log10(steps), 0.06, 2.10, 5.5538614388767, 0.45866243698)
    np.testing.assert_allclose(drawn, expected, atol=0.005)
    assert route.mid_log_h(tones(+1)) == pytest.approx(0.30103, abs=0.002)


def printed(through):
    return route.Chain("paper_negative", tones(+1), shows="print", through=through, print_tones=tones(+1))


def test_the_contact_print_of_a_wedge_is_the_composition_through_density_by_transmission():
    """A negative of which half of D_R passes as D_T: print log H = mid + ½(0.60 − D_R over base)."""
    x = np.linspace(0, 2.5, 26)
    steps, drawn, _ = shown(printed(route.Through(x, 0.5 * x, True)))
    over_base = logistic(0.30103 + np.log10(steps), 0.06, 2.10, 5.5538614388767, 0.45866243698) - 0.06
    expected = logistic(0.30103 + 0.5 * (0.60 - over_base), 0.06, 2.10, 5.5538614388767, 0.45866243698)
    np.testing.assert_allclose(drawn, 10.0**-expected, atol=0.005)


def test_composing_a_print_through_density_by_reflection_is_wrong_by_stops():
    """What the sheet looks like is not what prints: the darkest place would be made almost half a density denser than it comes."""
    x = np.linspace(0, 2.5, 26)
    right, wrong = (route.table(printed(route.Through(x, y, True))) for y in (0.5 * x, x))
    assert np.abs(right.density - wrong.density).max() > 0.4


def test_exposures_add_with_preflash():
    """Preflash of a whole threshold exposure doubles the light where the picture gives the threshold: one stop; a light a hundred
    times as bright is moved by 1 %."""
    with_flash = route.Chain("paper_negative", tones(+1), preflash=1.0)
    without = route.Chain("paper_negative", tones(+1))
    mid = route.mid_log_h(tones(+1))
    low = route.threshold_log_h(tones(+1)) - mid
    at_threshold = route.sheet_density(with_flash, np.array([low, low + 2]))
    moved = route.sheet_density(without, np.array([low + STOP, low + 2 + np.log10(1.01)]))
    np.testing.assert_allclose(at_threshold, moved, atol=0.002)


@pytest.mark.parametrize(("way", "sense"), [("paper_negative", 1), ("direct_positive", -1), ("reversal_ra4", -1)])
def test_more_light_goes_one_way_only(way, sense):
    """Law: monotone, in the way's own sense; a print of a negative turns it round."""
    t = route.table(route.Chain(way, tone.stand_in(way)))
    assert np.all(sense * np.diff(t.density) >= -1e-9)
    if way == "paper_negative":
        t = route.table(route.Chain(way, tone.stand_in(way), shows="print", print_tones=tone.stand_in("contact_print")))
        assert np.all(np.diff(t.density) <= 1e-9)


def test_a_wet_print_is_lighter_than_it_will_be_and_its_ends_stay():
    dry = route.Chain("direct_positive", tones(-1))
    wet = route.Chain("direct_positive", tones(-1), wet=True)
    a, b = route.table(dry).rgb[:, 1], route.table(wet).rgb[:, 1]
    assert np.all(b >= a - 1e-9)
    assert b[len(b) // 2] > 1.05 * a[len(a) // 2]
    assert b[0] == pytest.approx(a[0])
    assert b[-1] == pytest.approx(a[-1])


def test_stain_takes_more_from_blue():
    tint = route.Tint((0.0, 0.02, 0.10), (0.0, 0.05, 0.15))
    t = route.table(route.Chain("direct_positive", tones(-1), tint=tint))
    assert np.all(t.rgb[:, 2] <= t.rgb[:, 0])
    white = t.rgb[-1]
    assert -np.log10(white[2] / white[0]) == pytest.approx(0.10, abs=0.005)


def test_only_a_paper_negative_has_a_contact_print():
    with pytest.raises(Refusal):
        route.table(route.Chain("direct_positive", tones(-1), shows="print", print_tones=tones(+1)))
