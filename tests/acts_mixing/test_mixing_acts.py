"""What to weigh out of a shelf, the fatal mixes, a mix as made, what is kept; each figure against one from outside."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.acts import mixing, mixing_check, mixing_kept, mixing_known, mixing_own
from firstsheet.acts.mixing_own import NoBook
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal

NOW = datetime(2026, 5, 3, 12, 0, tzinfo=UTC)


@pytest.fixture
def book() -> Book:
    return Book.open(memory=True, now=lambda: NOW)


def mix(**said: str) -> mixing.Mix:
    return mixing.mix(NoBook(), said)


def by_key(m: mixing.Mix) -> dict[str, mixing.Item]:
    return {i.key: i for i in m.items}


def test_crystals_and_tablets_for_a_tray() -> None:
    """30 × 40 cm at 10 mm are 1.2 l; 54 g/l anhydrous are 2.70 times as much of crystals [Langford-9]; 19.2 g of vitamin C are 38.4 tablets."""
    m = mix(recipe="coffee", tray="300x400 mm", depth="10 mm", have="soda crystals; vitamin C tablets 500 mg")
    assert m.volume_ml == pytest.approx(1200)
    found = by_key(m)
    assert found["carbonate_crystals"].grams == pytest.approx(1.2 * 54 * 2.7, rel=0.001)
    assert found["carbonate_crystals"].figure == "175"
    assert (found["ascorbic_acid"].figure, found["ascorbic_acid"].unit) == ("38½", "tablets of 500 mg")
    assert "no zinc" in found["ascorbic_acid"].note
    assert found["instant_coffee"].grams == pytest.approx(48)
    assert "175 g" in m.warnings[0]
    assert "64.8 g" in m.warnings[0]


def test_the_practitioner_s_half_litre() -> None:
    """Common practice, no source: 4 and 8 level teaspoons in 500 ml; crystals 16 to 20 g; the tool says how near the edge it is."""
    m = mix(recipe="coffee_spoons", volume="500 ml")
    crystals = by_key(m)["carbonate_crystals"]
    assert (crystals.figure, crystals.unit, crystals.low_g, crystals.high_g) == ("4", "level teaspoons", 16, 20)
    assert crystals.doubt.startswith("16 to 20 g")
    assert by_key(m)["instant_coffee"].figure == "8"
    assert 0.11 <= m.carbonate_mol_l <= 0.14
    assert m.outlook == "edge"
    assert any("vitamin C" in w for w in m.warnings)
    assert "6 to 7 min" in m.use
    assert "warm stain" in " ".join(m.notes)


def test_the_largest_batch_of_what_is_left() -> None:
    """120 g of hydroquinone at 12 g/l of stock are 10 l of stock, at 1+2 30 l."""
    m = mix(recipe="metol hydroquinone", have="120 g hydroquinone")
    assert m.volume_ml == pytest.approx(30_000)
    assert m.stock_ml == pytest.approx(10_000)
    assert "hydroquinone runs out first" in m.largest_words


def test_a_jar_that_runs_short_says_so() -> None:
    m = mix(recipe="coffee", volume="2 l", have="50 g soda ash")
    assert by_key(m)["carbonate_anhydrous"].short == "the jar lacks 58 g"
    assert m.largest_ml == pytest.approx(1000 * 50 / 54)


def test_stock_is_thinned_as_the_arithmetic_of_parts() -> None:
    m = mix(recipe="metol_hydroquinone", volume="900 ml")
    assert (m.stock_ml, m.water_ml) == (pytest.approx(300), pytest.approx(600))
    assert by_key(m)["hydroquinone"].grams == pytest.approx(12 * 0.3)
    assert [s.unit for s in m.steps].count("ml") == 4
    neat = mix(recipe="metol_hydroquinone", volume="900 ml", dilution="stock")
    assert neat.stock_ml == pytest.approx(900)


def test_what_the_scales_cannot_show_is_taken_from_a_solution() -> None:
    m = mix(recipe="coffee_bromide", volume="300 ml", scale="1 g")
    assert (
        "dissolve 50 g in water to make 100 ml, and take 0.6 ml" in by_key(m)["bromide_potassium"].fine
        or "take" in by_key(m)["bromide_potassium"].fine
    )


def test_ounces_beside_grams() -> None:
    """[SP811]: 1 oz is 28.3495 g."""
    assert (
        by_key(mix(recipe="coffee", volume="1 US gal", units="us"))["carbonate_anhydrous"].unit == "g (7.2 oz)"
    )  # 204.4 g


def test_money_is_the_weight_times_the_price() -> None:
    m = mix(
        recipe="coffee",
        volume="1 l",
        have="soda crystals",
        prices="soda crystals 2.40 EUR per kg; vitamin C 9 EUR per 250 g",
    )
    assert m.cost == pytest.approx(54 * 2.6997 * 0.0024 + 16 * 9 / 250, rel=1e-3)
    assert m.currency == "EUR"
    assert "without instant coffee" in m.cost_words


def test_a_spoon_weighed_by_the_person_beats_the_table() -> None:
    m = mix(recipe="coffee", volume="1 l", spoons="2.5 g coffee")
    coffee = by_key(m)["instant_coffee"]
    assert (coffee.figure, coffee.grams) == ("16", pytest.approx(40))
    assert coffee.low_g == pytest.approx(38)


# ── the fatal mixes ──


def test_baking_soda_for_washing_soda_is_refused() -> None:
    with pytest.raises(Refusal, match="nothing develops"):
        mix(recipe="coffee", volume="1 l", have="baking soda")
    made = mixing_check.check({"lines": "54 g baking soda; 16 g vitamin C; 40 g coffee", "makes": "1 l"})
    assert made.outlook == "dead"
    assert "not washing soda" in made.warnings[0]


def test_crystals_weighed_as_anhydrous_are_named() -> None:
    """54 g of crystals are 20 g of anhydrous, and 146 g would be wanted (2.70)."""
    made = mixing_check.check({"lines": "54 g soda crystals; 16 g vitamin C; 40 g coffee", "makes": "1 l"})
    assert made.outlook == "edge"
    assert "20 g of anhydrous" in made.notes[0]
    assert "146 g" in made.notes[0]


def test_more_acid_than_carbonate_is_dead() -> None:
    made = mixing_check.check({"lines": "5 g soda ash; 10 g vitamin C", "makes": "1 l"})
    assert made.outlook == "dead"
    assert made.acid_mol_l > made.carbonate_mol_l
    assert "More acid than soda" in made.warnings[0]


def test_what_is_told_to_add_does_revive_it() -> None:
    made = mixing_check.check({"lines": "5 g soda ash; 10 g vitamin C; 16.1 g soda ash", "makes": "1 l"})
    assert made.outlook == "works"


def test_hydroquinone_in_the_cold_is_warned_of() -> None:
    """Below 13 °C its action practically ceases [TM-11-2323]."""
    assert any("13 °C" in w for w in mix(recipe="metol_hydroquinone", volume="1 l", temperature="12 °C").warnings)
    assert not mix(recipe="metol_hydroquinone", volume="1 l", temperature="20 °C").warnings
    assert not mix(recipe="metol_soft", volume="1 l", temperature="12 °C").warnings


@pytest.mark.parametrize(
    "lines",
    [
        "10 g citric acid; 20 g sodium sulfite anhydrous",
        "50 ml acetic acid 28 %; 250 g hypo",
        "160 ml ammonium thiosulfate 60 %; 20 g lye",
    ],
)
def test_what_gives_off_gas_is_not_to_be_made(lines: str) -> None:
    made = mixing_check.check({"lines": lines, "makes": "1 l"})
    assert made.outlook == "danger"
    assert made.verdict == "Do not make it."


def test_household_bleach_is_refused_everywhere() -> None:
    with pytest.raises(Refusal, match="chlorine"):
        mixing_check.check({"lines": "10 ml bleach", "makes": "1 l"})
    with pytest.raises(Refusal, match="chlorine"):
        mix(recipe="coffee", volume="1 l", have="household bleach")


def test_every_recipe_says_what_can_hurt_and_defers() -> None:
    for r in mixing_own.recipes(NoBook()):
        if r.lines:
            m = mixing.mix(NoBook(), {"recipe": r.key, "volume": "1 l"})
            assert "safety data sheet" in m.cautions[-1]
            assert "food" in " ".join(m.cautions)
            assert m.outlook in ("", "works", "slow", "edge"), r.key
            assert m.wear


def test_all_problems_are_told_at_once() -> None:
    with pytest.raises(Refusal) as told:
        mix(recipe="coffe", volume="1 gal", have="washing soda; gravel", temperature="20", nonsense="x")
    assert {p.where.partition(".")[0] for p in told.value.problems} == {
        "recipe",
        "volume",
        "have",
        "temperature",
        "nonsense",
    }


def test_a_set_by_its_sheet_is_not_guessed() -> None:
    with pytest.raises(Refusal, match="supplier"):
        mix(recipe="ra4_set", volume="1 l")


# ── thinning ──


def test_nine_to_one_both_ways() -> None:
    t = mixing_known.thin({"dilution": "1:9", "volume": "2 l"})
    assert [(r.dilution, round(r.stock_ml), round(r.water_ml)) for r in t.readings] == [
        ("1+9", 200, 1800),
        ("1 in 9", 222, 1778),
    ]
    (one,) = mixing_known.thin({"dilution": "1+9", "stock": "300 ml"}).readings
    assert one.stock_ml + one.water_ml == pytest.approx(3000)


# ── one's own, and what is kept ──


def test_a_recipe_of_ones_own_is_kept_per_litre_and_mixed(book: Book) -> None:
    mixing_own.add_recipe(
        book,
        {
            "name": "my spoons",
            "lines": "4 tsp soda crystals; 8 tsp instant coffee; 4 tablets of 500 mg vitamin C",
            "makes": "500 ml",
        },
    )
    m = mixing.mix(book, {"recipe": "my spoons", "volume": "1 l"})
    assert [(i.figure, i.unit) for i in m.items] == [
        ("8", "level teaspoons"),
        ("16", "level teaspoons"),
        ("8", "tablets of 500 mg"),
    ]


def test_a_set_s_parts_are_scaled(book: Book) -> None:
    mixing_own.add_recipe(
        book, {"name": "set dev", "kind": "set", "lines": "100 ml part A; 50 ml part B", "makes": "1 l"}
    )
    m = mixing.mix(book, {"recipe": "set dev", "volume": "3 l"})
    assert [i.figure for i in m.items] == ["300", "150"]
    assert m.ph is None
    assert any("sensitises" in c for c in m.cautions)


@pytest.mark.parametrize("bad", [
    {"name": "x", "lines": "54 g"}, {"name": "x", "lines": "soda ash"}, {"name": "coffee", "lines": "54 g soda ash"}, {"name": "x", "lines": "1 heaped tsp coffee"},
    {"name": "x", "lines": "9 kg soda ash", "makes": "1 l"}, {"name": "", "lines": "1 g metol"}, {"name": "x"}, {"name": "x", "lines": "5 ml hydroquinone"},
])  # fmt: skip
def test_what_is_no_recipe(book: Book, bad: dict[str, str]) -> None:
    with pytest.raises(Refusal):
        mixing_own.add_recipe(book, bad)


def test_a_bottle_has_its_card_its_label_and_its_end(book: Book) -> None:
    b = mixing_kept.keep(book, {"recipe": "coffee", "volume": "2 l"})
    assert b.made == "2026-05-03T12:00:00+00:00"
    assert b.use_by == "2026-05-03T13:00:00+00:00"  # within the hour; common practice, no source
    assert b.mix["steps"][1]["figure"] == "108"  # 2 l at 54 g/l
    label = mixing_kept.label(book, b.number)
    assert "Not a drink" in " ".join(label.words)
    assert any("H319" in h for h in label.hazards)
    again = mixing_kept.keep(book, {"recipe": "coffee", "volume": "1 l"})
    assert again.name != b.name
    spent = mixing_kept.spend(book, b.number)
    assert spent.spent
    assert {x.name: x.spent for x in mixing_kept.bottles(book)} == {b.name: True, again.name: False}
    assert not mixing_kept.spend(book, spent.number, False).spent


def test_no_such_bottle(book: Book) -> None:
    with pytest.raises(Refusal) as told:
        mixing_kept.of(book, 7)
    assert told.value.kind == "missing"


# ── whatever is typed ──

WORDS = st.one_of(
    st.text(max_size=40), st.sampled_from(["1 l", "soda crystals", "vitamin C tablets 500 mg", "1+9", "1:9", "all", "20 °C", "300x400 mm", "10 mm", "coffee", "metol_hydroquinone", "0", "-1 l", "1e9 l", "½ l", "120 g hydroquinone", "1 g", "nan", "soda ash 1 EUR per kg", "soda ash 1 EUR per", "us"])
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(
            [
                "recipe",
                "volume",
                "tray",
                "depth",
                "have",
                "spoons",
                "scale",
                "dilution",
                "temperature",
                "prices",
                "units",
            ]
        ),
        WORDS,
        max_size=6,
    )
)
def test_any_form_is_answered_or_refused(form: dict[str, str]) -> None:
    try:
        m = mixing.mix(NoBook(), {"recipe": "coffee"} | form)
    except Refusal:
        return
    assert all((i.grams or i.ml or 0) > 0 for i in m.items)
    assert m.ph is None or 0 < m.ph < 15


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["1", "54", "½", "0.5", "1000", "0", "-3", "1/0"]), st.sampled_from(["g", "tsp", "ml", "tablets of 500 mg", "kg", ""]),
                          st.sampled_from(["soda ash", "soda crystals", "vitamin C", "coffee", "lye", "hypo", "vinegar", "borax", "metol", "x"])), min_size=1, max_size=4))  # fmt: skip
def test_any_mix_as_made_is_judged_or_refused(lines: list[tuple[str, str, str]]) -> None:
    said = "; ".join(" ".join(p for p in line if p) for line in lines)
    try:
        c = mixing_check.check({"lines": said, "makes": "1 l"})
    except Refusal:
        return
    assert c.outlook in ("works", "slow", "edge", "dead", "danger", "")


# ── spoons of one's own packet ──


def test_ten_spoons_weighed_beat_the_table(book: Book) -> None:
    from firstsheet.acts import mixing_spoons

    s = mixing_spoons.weigh_spoon(book, {"substance": "instant coffee", "weight": "25 g"})
    assert (s.spoon_g, s.count) == (2.5, 10)
    m = mixing.mix(book, {"recipe": "coffee", "volume": "1 l", "spoons": "coffee"})
    coffee = by_key(m)["instant_coffee"]
    assert (coffee.figure, coffee.grams, coffee.low_g) == ("16", pytest.approx(40), pytest.approx(38))
    spoons = by_key(mixing.mix(book, {"recipe": "coffee_spoons", "volume": "500 ml"}))["instant_coffee"]
    assert (spoons.figure, spoons.grams) == ("8", pytest.approx(20))  # the recipe's spoons, this packet's grams


@pytest.mark.parametrize(
    "bad",
    [
        {"weight": "250 g"},
        {"weight": "1 g"},
        {"weight": "x"},
        {},
        {"weight": "23 g", "spoon": "1 l"},
        {"weight": "23 g", "substance": "vinegar"},
    ],
)
def test_what_no_spoon_weighs(book: Book, bad: dict[str, str]) -> None:
    from firstsheet.acts import mixing_spoons

    with pytest.raises(Refusal):
        mixing_spoons.weigh_spoon(book, {"substance": "coffee"} | bad)


def test_a_bath_thinned_from_stock_keeps_a_day(book: Book) -> None:
    """Common practice, no source: the stock months, the working bath a day."""
    assert mixing.mix(book, {"recipe": "metol_hydroquinone", "volume": "1 l"}).keeps_h == 24
    stock = mixing.mix(book, {"recipe": "metol_hydroquinone", "volume": "1 l", "dilution": "stock"}).keeps_h
    assert stock is not None
    assert stock > 1000


def test_what_matters_at_a_step_is_said_at_that_step() -> None:
    step = {s.words: s.aside for s in mix(recipe="fixer_acid", volume="1 l").steps}
    assert "below 25 °C" in step["potassium metabisulphite"]
    assert "acid into the water" in " ".join(
        s.aside for s in mix(recipe="stop_acetic", volume="1 l", have="vinegar").steps
    )


@pytest.mark.parametrize("temperature", ["-5 °C", "100 °C", "61 °C"])
def test_a_bath_is_between_ice_and_scalding(temperature: str) -> None:
    with pytest.raises(Refusal, match="0 to 60"):
        mix(recipe="coffee", volume="1 l", temperature=temperature)


# ── a strip that tells the coffee's acid ──


def test_a_strip_tells_the_coffee_s_acid_and_it_counts(book: Book) -> None:
    """Worked by hand: at the pH of equal carbonate and bicarbonate half the soda is taken: 0.0236 mol by 40 g is 0.59 mmol/g."""
    from firstsheet.acts import mixing_coffee

    before = mixing.mix(book, {"recipe": "coffee", "volume": "1 l"})
    found = mixing_coffee.measure(
        book,
        {
            "lines": "5 g soda ash; 40 g instant coffee",
            "makes": "1 l",
            "ph": "9.98",
            "give": "0.1",
            "temperature": "25 C",
        },
    )
    assert found.likely == pytest.approx(0.59, abs=0.06)
    assert found.low < found.likely < found.high
    after = mixing.mix(book, {"recipe": "coffee", "volume": "1 l"})
    assert after.ph_low is not None
    assert before.ph_low is not None
    assert after.ph_high is not None
    assert before.ph_high is not None
    assert after.ph_high - after.ph_low < before.ph_high - before.ph_low
    assert "not known" not in after.ph_words
    checked = mixing_check.check({"lines": "54 g soda ash; 16 g vitamin C; 40 g coffee", "makes": "1 l"}, book)
    assert checked.ph == pytest.approx(after.ph)


@pytest.mark.parametrize("bad", [
    {"lines": "54 g soda ash", "ph": "10"}, {"lines": "5 g soda ash; 40 g coffee", "ph": "12.5"}, {"lines": "54 g soda ash; 16 g vitamin C; 40 g coffee", "ph": "10"},
    {"lines": "5 g soda ash; 40 g coffee"}, {"lines": "5 g soda ash; 40 g coffee", "ph": "x"}, {"lines": "soda; coffee", "ph": "9"},
])  # fmt: skip
def test_what_a_strip_cannot_tell(book: Book, bad: dict[str, str]) -> None:
    from firstsheet.acts import mixing_coffee

    with pytest.raises(Refusal):
        mixing_coffee.measure(book, {"makes": "1 l"} | bad)


@given(st.floats(0.05, 2.4))
@settings(max_examples=15, deadline=None)
def test_the_acid_that_made_a_ph_is_found_from_it(acid: float) -> None:
    from firstsheet.chemistry import substance
    from firstsheet.chemistry.ph import equilibrium
    from firstsheet.chemistry.solution import Part, coffee_acid, totals

    parts = [Part(substance.of("carbonate_anhydrous"), 20), Part(substance.of("instant_coffee"), 60)]
    ph = equilibrium(totals([(p.substance, p.g_per_l) for p in parts], acid), 20).ph
    found = coffee_acid(parts, ph, 0.1, 20)
    assert found is not None
    assert found[1] == pytest.approx(acid, abs=0.01)
    assert found[0] <= found[1] <= found[2]


def test_us_teaspoons_where_us_measures_are_asked_for() -> None:
    """[SP811]: a US teaspoon is 4.93 ml, so a little more of them."""
    us = by_key(mix(recipe="coffee", volume="10 l", spoons="coffee", units="us"))["instant_coffee"]
    metric = by_key(mix(recipe="coffee", volume="10 l", spoons="coffee"))["instant_coffee"]
    assert us.unit.startswith("level US teaspoons")
    assert us.spoons == pytest.approx(metric.spoons * 5 / 4.92892, abs=0.25)  # type: ignore[operator]
