"""The reversal's permanganate and its clearing bath: masses as published, and what must never meet."""

from __future__ import annotations

import pytest

from firstsheet.chemistry import hazard, recipe, substance
from firstsheet.chemistry.formula import molar_mass


@pytest.mark.parametrize(("formula", "grams"), [("KMnO4", 158.034), ("NaHSO4", 120.06)])
def test_molar_masses(formula, grams):
    """As handbooks print them [CRC-HANDBOOK], from memory."""
    assert molar_mass(formula) == pytest.approx(grams, abs=0.01)


def test_the_acid_of_the_bleach_is_about_that_of_ten_millilitres_of_sulphuric_acid():
    """10 ml of 96 % acid, 1.84 g/ml, 98.08 g/mol: 0.180 mol in a litre, its first proton all given and its second as bisulphate's; 30 g of
    bisulphate give 0.250 mol of the second. Both within a factor of two: the old books run from 5 to 20 ml (from memory)."""
    lines = {line.substance.key: line.g_per_l for line in recipe.all_of_them()["bleach_permanganate"].lines if line.substance}
    protons = lines["bisulphate_sodium"] / molar_mass("NaHSO4")
    assert 0.5 < protons / (10 * 1.84 * 0.96 / 98.08 * 2) < 2.0
    assert lines["permanganate_potassium"] == 2.0


@pytest.mark.parametrize(
    ("other", "word"), [("salt", "chlorine"), ("metol", "fire"), ("sulphite_anhydrous", "fire"), ("ascorbic_acid", "fire"), ("instant_coffee", "fire")]
)
def test_permanganate_never_meets_these(other, word):
    """Chloride and acid give chlorine; what can be oxidised is (any handbook of chemistry)."""
    found = " ".join(hazard.dangers([substance.of("permanganate_potassium"), substance.of(other)]))
    assert word in found


def test_bisulphate_is_an_acid_to_sulphite():
    assert hazard.dangers([substance.of("bisulphate_sodium"), substance.of("metabisulphite_sodium")])
    assert not hazard.dangers([substance.of("bisulphate_sodium"), substance.of("permanganate_potassium")])


def test_the_worst_is_said_first():
    first = hazard.cautions([substance.of("permanganate_potassium"), substance.of("bisulphate_sodium")], "bleach")
    assert "burns skin and eyes" in first[0]
    assert "explodes" in first[1]
