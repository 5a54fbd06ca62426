"""What people write about amounts: to the published factors, or refused; whatever is typed ends as one or the other."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet import measures as m
from firstsheet.refusal import Refusal


# Factors: [SP811], Appendix B.
@pytest.mark.parametrize(("said", "ml"), [
    ("2 l", 2000), ("500 ml", 500), ("1.5 litres", 1500), ("1 US gal", 3785.411784), ("1 imp gal", 4546.09), ("64 US fl oz", 1892.705892),
    ("1 us qt", 946.352946), ("20 imp fl oz", 568.26125), ("½ l", 500), ("2,5 l", 2500), ("1 imperial pint", 568.26125),
])  # fmt: skip
def test_volumes(said: str, ml: float) -> None:
    assert m.volume_ml(said) == pytest.approx(ml, rel=1e-9)


@pytest.mark.parametrize(
    ("said", "g"),
    [
        ("54 g", 54),
        ("1 kg", 1000),
        ("500 mg", 0.5),
        ("1 lb", 453.59237),
        ("2 oz", 56.69904625),
        ("1 lb 4 oz", 566.9904625),
        ("100 grains", 6.479891),
    ],
)
def test_weights(said: str, g: float) -> None:
    assert m.mass_g(said) == pytest.approx(g, rel=1e-9)


@pytest.mark.parametrize(
    "said", ["1 gal", "1 gallon", "16 fl oz", "2 pints", "1 qt", "5", "", "-1 l", "0 ml", "1 l 5", "2 m"]
)
def test_what_is_no_volume_or_could_be_two(said: str) -> None:
    with pytest.raises(Refusal):
        m.volume_ml(said)


@pytest.mark.parametrize(
    ("said", "stock", "water"),
    [("1+9", 1, 9), ("1 + 2", 1, 2), ("1 in 10", 1, 9), ("1+1.5", 1, 1.5), ("stock", 1, 0), ("2+3", 2, 3)],
)
def test_dilutions(said: str, stock: float, water: float) -> None:
    assert m.dilution(said) == m.Dilution(stock, water)


def test_one_to_nine_is_asked_back_with_both_readings() -> None:
    with pytest.raises(Refusal, match=r"1\+9.*1 in 9"):
        m.dilution("1:9")
    assert m.dilution("1+9").share == pytest.approx(0.1)
    assert m.dilution("1 in 9").share == pytest.approx(1 / 9)


@pytest.mark.parametrize(("said", "name", "kind", "number"), [
    ("54 g soda ash", "soda ash", "g", 54), ("4 level teaspoons of soda crystals", "soda crystals", "spoon", 4),
    ("½ tsp metol", "metol", "spoon", 0.5), ("4 tablets of 500 mg vitamin C", "vitamin c", "tablet", 4),
    ("vitamin C tablets 500 mg", "vitamin c", "tablet", None), ("vitamin c", "vitamin c", "", None), ("100 ml part A", "part a", "ml", 100),
    ("1 lb hypo", "hypo", "g", 453.59237), ("2 US tsp borax", "borax", "spoon", 2), ("28 % acetic acid", "28 % acetic acid", "", None),
])  # fmt: skip
def test_lines(said: str, name: str, kind: str, number: float | None) -> None:
    found = m.amount_of(said)
    assert (found.name, found.kind, found.number) == (name, kind, number)


def test_a_spoon_is_five_millilitres_and_a_us_one_a_little_less() -> None:
    assert m.amount_of("1 tsp borax").spoon_ml == 5
    assert m.amount_of("1 US tsp borax").spoon_ml == pytest.approx(4.929, abs=0.001)
    assert m.amount_of("1 tbsp borax").spoon_ml == 15
    assert m.amount_of("1 heaped tsp coffee").heaped


def test_a_list_is_parted_at_semicolons_commas_and_lines() -> None:
    assert [x.name for x in m.lines_of("54 g soda ash; 16 g vitamin C, 40,5 g instant coffee\n1 g potassium bromide")] == [
        "soda ash", "vitamin c", "instant coffee", "potassium bromide",
    ]  # fmt: skip
    assert m.lines_of("2,5 g metol")[0].number == 2.5


@given(
    st.one_of(
        st.text(max_size=120),
        st.from_regex(r"[0-9½.,/+:-]{1,6} ?(g|ml|tsp|tablets?|l|gal|mg)? ?(of)? ?[a-z %]{0,20}", fullmatch=True),
    )
)
@pytest.mark.parametrize("parse", [m.volume_ml, m.mass_g, m.dilution, m.amount_of, m.lines_of])
def test_whatever_is_typed_is_read_or_refused(parse: object, said: str) -> None:
    try:
        found = parse(said)  # type: ignore[operator]
    except Refusal:
        return
    if isinstance(found, float):
        assert 0 < found < 1e12
