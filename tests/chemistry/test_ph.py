"""pH against published buffers, a reference engine, twelve reckoned mixes; and a widely copied table that cannot be."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.chemistry.ph import carbonic_pk, equilibrium

MOLAR_SODA, MOLAR_C = 105.988, 176.124


def soda(carbonate: float, ascorbic: float = 0.0, temperature_c: float = 25.0, ideal: bool = False) -> float:
    total = {"Na": 2 * carbonate, "carbonate": carbonate, "ascorbate": ascorbic}
    return equilibrium(total, temperature_c, ideal=ideal).ph


# [NBS-BUFFER-1969]: 0.025 mol/kg NaHCO3 + 0.025 mol/kg Na2CO3, the published pH(S).
@pytest.mark.parametrize(("temperature_c", "published"), [(25, 10.012), (20, 10.06), (15, 10.12), (30, 9.97)])
def test_the_carbonate_buffer_is_the_published_one(temperature_c: float, published: float) -> None:
    assert equilibrium({"Na": 0.075, "carbonate": 0.05}, temperature_c).ph == pytest.approx(published, abs=0.05)


@pytest.mark.parametrize("carbonate", [0.001, 0.003, 0.01, 0.03, 0.1])
def test_carbonate_alone_agrees_with_a_reference_engine(carbonate: float) -> None:
    engine = pytest.importorskip("phreeqpython").PhreeqPython(database="phreeqc.dat")
    solution = engine.add_solution_simple({"Na2CO3": 1000 * carbonate}, temperature=25, units="mmol")
    assert soda(carbonate) == pytest.approx(solution.pH, abs=0.12)


@pytest.mark.parametrize("carbonate", [0.01, 0.1, 0.5])
def test_and_closer_with_the_one_made_for_strong_solutions(carbonate: float) -> None:
    engine = pytest.importorskip("phreeqpython").PhreeqPython(database="pitzer.dat")
    solution = engine.add_solution_simple({"Na2CO3": 1000 * carbonate}, temperature=25, units="mmol")
    assert soda(carbonate) == pytest.approx(solution.pH, abs=0.05)


# g/l of ascorbic acid, g/l of anhydrous carbonate, pH at 25 °C by the engine's Pitzer model (phreeqpython 1.6.2, pitzer.dat)
# with ascorbate added to its database, pK 4.17 and 11.57; no coffee in it.
TWELVE = [
    (16, 54, 10.14), (16, 46.2, 10.09), (16, 40, 10.04), (16, 27, 9.87), (16, 20, 9.70), (20, 50, 10.00),
    (10, 16, 9.92), (5, 20, 10.38), (8, 27, 10.26), (10, 10, 9.59), (10, 5, 6.88), (0, 54, 11.58),
]  # fmt: skip


@pytest.mark.parametrize(("ascorbic", "carbonate", "engine"), TWELVE)
def test_the_twelve_mixes(ascorbic: float, carbonate: float, engine: float) -> None:
    assert soda(carbonate / MOLAR_SODA, ascorbic / MOLAR_C) == pytest.approx(engine, abs=0.15)


def test_the_twelve_stand_in_their_order() -> None:
    ours = sorted(TWELVE, key=lambda r: soda(r[1] / MOLAR_SODA, r[0] / MOLAR_C))
    theirs = sorted(TWELVE, key=lambda r: r[2])
    assert ours == theirs


def test_it_collapses_where_acid_takes_all_the_carbonate() -> None:
    """Around n(acid) = n(carbonate) pH falls by more than two; ideal and engines agree on about 6.9 below."""
    assert soda(0.0472, 0.0568) == pytest.approx(6.9, abs=0.15)
    assert soda(0.060, 0.0568) - soda(0.055, 0.0568) > 0.7
    assert soda(0.0944, 0.0568) > 9.4


# “1 g/l 11.37, 5 g/l 11.58, 10 g/l 11.70” stands copied in many places; above even an ideal solution at 25 °C, it cannot be.
@pytest.mark.parametrize(("grams", "copied"), [(1, 11.37), (5, 11.58), (10, 11.70)])
def test_the_widely_copied_table_cannot_be(grams: float, copied: float) -> None:
    most = soda(grams / MOLAR_SODA, ideal=True)
    assert soda(grams / MOLAR_SODA) < most < copied


@pytest.mark.parametrize(
    ("carbonate", "ideal"), [(0.001, 10.56), (0.01, 11.13), (0.1, 11.65), (0.5, 12.01), (1.0, 12.16)]
)
def test_without_activities_it_is_the_schoolbook(carbonate: float, ideal: float) -> None:
    """x²/(c − x) = Kw/Ka2 solved for hydroxide, pK 14.0 and 10.33."""
    assert soda(carbonate, ideal=True) == pytest.approx(ideal, abs=0.01)
    k = 10 ** (10.329 - 13.995)
    x = (-k + math.sqrt(k * k + 4 * k * carbonate)) / 2
    assert soda(carbonate, ideal=True) == pytest.approx(13.995 + math.log10(x), abs=0.01)


def test_a_textbook_acid() -> None:
    """0.63 mol/l ascorbic acid, Ka 7.9e-5, pH 2.154 as a solved problem prints it; our pK of 4.17 is 0.07 weaker."""
    assert equilibrium({"ascorbate": 0.63}, ideal=True).ph == pytest.approx(2.154 + 0.035, abs=0.01)


def test_vinegar_strength_acetic_acid() -> None:
    """0.1 mol/l: ½(4.756 + 1) = 2.88, a closed form."""
    assert equilibrium({"acetate": 0.1}).ph == pytest.approx(2.88, abs=0.02)


def test_water_is_neutral_and_neutral_moves_with_warmth() -> None:
    assert equilibrium({}, 25).ph == pytest.approx(13.995 / 2, abs=1e-6)
    assert equilibrium({}, 20).ph == pytest.approx(14.167 / 2, abs=1e-6)


def test_carbonic_constants_are_the_tabled_ones() -> None:
    """[CRC-HANDBOOK], from memory: 6.35 and 10.33 at 25 °C; 6.381 and 10.377 at 20 °C."""
    assert carbonic_pk(25) == pytest.approx((6.35, 10.33), abs=0.005)
    assert carbonic_pk(20) == pytest.approx((6.381, 10.377), abs=0.002)


@pytest.mark.parametrize(("total", "ph", "within"), [
    ({"Na": 0.02, "borate": 0.04}, 9.18, 0.05),      # 0.01 m borax, the NBS standard buffer at 25 °C: 9.180, from memory
    ({"Na": 0.2, "acetate": 0.1, "chloride": 0.1}, 8.8, 0.15),  # sodium acetate 0.1 mol/l: ½(14 + 4.76 − 1) = 8.88 less activity
    ({"K": 0.05, "citrate": 0.05}, 3.776, 0.1),  # 0.05 m potassium dihydrogen citrate, a primary standard at 25 °C, from memory
    ({"Na": 0.05, "acetate": 0.1}, 4.65, 0.06),  # 0.05 m acetic acid and acetate: 4.756 less one Debye–Hückel term at I 0.05
])  # fmt: skip
def test_other_buffers(total: dict[str, float], ph: float, within: float) -> None:
    assert equilibrium(total).ph == pytest.approx(ph, abs=within)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.01, 0.6), st.floats(0, 0.3), st.floats(0.001, 0.1), st.floats(5, 35))
def test_more_acid_is_never_more_alkaline_and_more_soda_never_less(c: float, a: float, more: float, t: float) -> None:
    at = soda(c, a, t)
    assert soda(c, a + more, t) < at + 1e-6
    assert soda(c + more, a, t) > at - 1e-2 or at > 11  # alone, soda's own salt holds it back a little


@settings(max_examples=40, deadline=None)
@given(st.dictionaries(st.sampled_from(["carbonate", "ascorbate", "acetate", "citrate", "sulphite", "borate", "hydroquinone", "metol", "coffee"]),
                       st.floats(1e-4, 0.4), max_size=4), st.floats(0, 1.0), st.floats(0, 50))  # fmt: skip
def test_charges_cancel_and_nothing_is_lost(weak: dict[str, float], sodium: float, t: float) -> None:
    from firstsheet.chemistry.ph import _acids, _charge

    found = equilibrium(weak | {"Na": sodium}, t)
    assert _charge(found.share) == pytest.approx(0, abs=1e-7)
    for name, amount in weak.items():
        assert sum(found.share[s] for s in _acids()[name].species) == pytest.approx(amount, rel=1e-9)
    assert -1 <= found.ph <= 15


@pytest.mark.parametrize("bad", [{"unobtainium": 1.0}, {"Na": -1.0}, {"Na": math.nan}, {"carbonate": math.inf}])
def test_what_cannot_be_is_a_mistake(bad: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"not known|cannot be"):
        equilibrium(bad)


# The same twelve at 20 °C by the same engine.
AT_20 = [
    (16, 54, 10.18), (16, 46.2, 10.13), (16, 40, 10.08), (16, 27, 9.91), (16, 20, 9.74), (20, 50, 10.04),
    (10, 16, 9.96), (5, 20, 10.42), (8, 27, 10.30), (10, 10, 9.63), (10, 5, 6.91), (0, 54, 11.69),
]  # fmt: skip


@pytest.mark.parametrize(("ascorbic", "carbonate", "engine"), AT_20)
def test_what_a_figure_is_said_to_be_worth_holds_the_engine(ascorbic: float, carbonate: float, engine: float) -> None:
    from firstsheet.chemistry import substance
    from firstsheet.chemistry.solution import Part, alkalinity

    found = alkalinity(
        [Part(substance.of("ascorbic_acid"), ascorbic), Part(substance.of("carbonate_anhydrous"), carbonate)], 20
    )
    assert found.ph == pytest.approx(engine, abs=0.15)
    assert found.low is not None
    assert found.high is not None
    assert found.low <= engine <= found.high
