"""Molar masses against a chemistry library and handbook ratios; swaps there and back; names that are not enough are refused."""

from __future__ import annotations

import contextlib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.chemistry import substance
from firstsheet.chemistry.formula import molar_mass
from firstsheet.refusal import Refusal
from tests.chemistry import CASES


@pytest.mark.parametrize(("formula", "mass"), [(c["formula"], c["mass"]) for c in CASES["molar"]])
def test_molar_mass_is_the_library_s(formula: str, mass: float) -> None:
    assert molar_mass(formula) == pytest.approx(mass, abs=0.002)


@pytest.mark.parametrize("case", CASES["swap"], ids=lambda c: f"{c['old']}-{c['new']}")
def test_a_swap_is_as_printed(case: dict[str, Any]) -> None:
    found = substance.swap_factor(substance.of(case["old"]), substance.of(case["new"]))
    assert found == pytest.approx(case["factor"], abs=case["within"])


def test_forty_five_grams_anhydrous_are_fifty_two_and_a_hundred_and_twenty_one() -> None:
    """A film laboratory's published reply: 45 g anhydrous = 52.6 g monohydrate = 121 g decahydrate."""
    dry = substance.of("carbonate_anhydrous")
    assert 45 * substance.swap_factor(dry, substance.of("carbonate_monohydrate")) == pytest.approx(52.6, abs=0.06)
    assert 45 * substance.swap_factor(dry, substance.of("carbonate_crystals")) == pytest.approx(121, abs=0.6)


def test_the_widespread_wrong_way_is_not_taken() -> None:
    """0.83 for anhydrous to monohydrate stands in threads as often as 1.17: it is the factor back, misrounded."""
    assert substance.swap_factor(substance.of("carbonate_anhydrous"), substance.of("carbonate_monohydrate")) > 1


KEYS = st.sampled_from([k for k, s in substance.all_of_them().items() if s.molar_g])


@given(KEYS, KEYS, st.floats(0.001, 1e5))
def test_there_and_back_is_nothing(a: str, b: str, grams: float) -> None:
    old, new = substance.of(a), substance.of(b)
    if old.family != new.family:
        with pytest.raises(ValueError, match="does not stand for"):
            substance.swap_factor(old, new)
        return
    there = grams * substance.swap_factor(old, new)
    assert there * substance.swap_factor(new, old) == pytest.approx(grams, rel=1e-12)
    assert there * new.mol_per_g() == pytest.approx(grams * old.mol_per_g(), rel=1e-12)  # the same moles


@pytest.mark.parametrize(("key", "grams"), [(c["substance"], c["grams"]) for c in CASES["spoon"]])
def test_a_level_spoon_holds_what_was_published(key: str, grams: float) -> None:
    spoon = substance.of(key).spoon_g
    assert spoon is not None
    assert spoon[0] == pytest.approx(grams, rel=0.01)


def test_four_level_teaspoons_of_crystals_are_sixteen_to_twenty_grams() -> None:
    """Common practice, no source."""
    spoon = substance.of("carbonate_crystals").spoon_g
    assert spoon is not None
    assert (4 * spoon[1], 4 * spoon[2]) == (16.0, 20.0)


@pytest.mark.parametrize("s", substance.all_of_them().values(), ids=lambda s: s.key)
def test_every_substance_is_whole(s: substance.Substance) -> None:
    assert s.store
    assert s.names
    assert s.liquid or (s.spoon_g and s.spoon_g[1] <= s.spoon_g[0] <= s.spoon_g[2] and s.spoon_source)
    assert not s.liquid or s.density_source
    assert 0 < s.part <= 1
    assert substance.named(s.key) is s
    assert substance.named(s.words) is s
    for name in s.names:
        assert s in substance.candidates(name), name


@pytest.mark.parametrize("said", ["washing soda", "soda", "sodium sulphite", "sulfite", "thiosulfate", "acetic acid"])
def test_a_name_that_is_not_enough_is_asked_back(said: str) -> None:
    with pytest.raises(Refusal, match="may be any of"):
        substance.named(said)


@pytest.mark.parametrize("said", ["gravel", "", "nan", "💧", "Na2CO3)("])
def test_a_name_that_is_none_is_refused(said: str) -> None:
    with pytest.raises(Refusal, match="No such substance"):
        substance.named(said)


@given(st.text(max_size=60))
def test_whatever_is_typed_is_a_substance_or_refused(said: str) -> None:
    with contextlib.suppress(Refusal):
        assert substance.named(said)


@pytest.mark.parametrize("bad", ["", "Xx2", "Na2CO3)", "(Na", "2", "na"])
def test_no_formula_no_mass(bad: str) -> None:
    with pytest.raises(ValueError, match=r"formula|element|bracket"):
        molar_mass(bad)
