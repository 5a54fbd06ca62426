"""A run goes by today's baths, says so, and stays as it began; ways of one's own; a mix that is poured. All things invented."""

from __future__ import annotations

import pytest

from firstsheet.acts import at_trays, mixing_baths, mixing_kept, mixing_pour, own, run, warming, ways
from firstsheet.refusal import Refusal
from firstsheet.trays.process import process_for
from tests.acts.evening import Evening, begun


@pytest.fixture
def evening() -> Evening:
    return begun(ei="4")


def poured(e: Evening, name: str = "tray", kind: str = "developer", **more: str) -> mixing_baths.Bath:
    return mixing_baths.open_bath(e.book, {"name": name, "kind": kind, "volume": "2 l", **more})


def step(e: Evening, code: str, key: str = "developer"):
    return next(s for s in run.process_of(e.book, code).steps if s.key == key)


def begin(e: Evening, code: str, at: float = 0.0, kind: str = "begun", name: str = "") -> None:
    ms = round(e.now.timestamp() * 1000)
    run.mark(e.book, code, [{"id": f"{code}{kind}{at}", "kind": kind, "step": name, "elapsed_s": at, "wall_ms": ms}])


def test_without_baths_nothing_is_changed(evening: Evening) -> None:
    assert run.process_of(evening.book, evening.keep()) == process_for("paper_negative", "paper", "ortho")


def test_a_cold_bath_takes_longer_and_says_so(evening: Evening) -> None:
    """At 16 °C: 120 s × 1.9^0.4 = 120 × 1.2927 = 155 s = 2:35; fixer at 15 °C √2 times [TM-11-2323]: 170 s = 2:50."""
    code = evening.keep()
    poured(evening, temperature="16 C")
    poured(evening, "fixer", "fixer_single", temperature="15 C")
    found = step(evening, code)
    assert found.seconds == pytest.approx(155.1, abs=0.1)
    assert found.changed.startswith("20 °C: 2:00; at 16 °C: 2:35")
    assert found.low_s < found.seconds < found.high_s
    assert step(evening, code, "fix").changed.startswith("20 °C: 2:00; at 15 °C: 2:50")
    assert step(evening, code, "stop").changed == ""
    assert step(evening, code, "wash").seconds == 240


def test_times_said_for_this_once_are_stretched_the_same(evening: Evening) -> None:
    code = evening.keep()
    poured(evening, temperature="16 C")
    assert at_trays.process(evening.book, code, {"developer": 200.0}).steps[0].seconds == pytest.approx(
        200 * 1.2927, abs=0.1
    )


def test_age_and_warmth_once_each(evening: Evening) -> None:
    """Fresh at 20 °C 15 s, now at 16 °C 23.27 s: 1.551 times as long altogether, so 186 s = 3:06."""
    code = evening.keep()
    poured(evening, temperature="20 C")
    mixing_baths.through(evening.book, {"bath": "tray", "appeared": "15 s"})
    evening.later(90)
    mixing_baths.through(evening.book, {"bath": "tray", "appeared": "23.27 s", "temperature": "16 C"})
    found = step(evening, code)
    assert found.seconds == pytest.approx(120 * 23.27 / 15, abs=0.1)
    assert "at 16 °C and this bath’s age: 3:06" in found.changed
    b = mixing_baths.named(evening.book, "tray")
    assert [round(a.later, 2) for a in b.appearances] == [1.0, 1.2]
    assert b.appearances[1].hours_open == pytest.approx(1.5)
    # 120 s over 15 s is 8, and rows for the page follow the learned factor: 20 s make 160 s
    assert found.appearance_factor[1] == pytest.approx(8.0)
    assert next(total for at, total, _, _ in found.appears if at == 20) == pytest.approx(160.0)
    assert b.factor == pytest.approx(8.0)


def test_said_for_the_run_goes_before_the_bath(evening: Evening) -> None:
    code = evening.keep()
    poured(evening, temperature="16 C")
    told = warming.say(evening.book, code, {"temperature": "developer 20 °C, wash 10 °C"})
    assert step(evening, code).seconds == 120
    assert step(evening, code, "wash").seconds == pytest.approx(480)  # [TM-11-2323]: twice at 10 °C
    assert told.temperature == "developer 20 °C, wash 10 °C"
    warming.say(evening.book, code, {"temperature": "unknown"})
    assert step(evening, code).changed == ""
    warming.say(evening.book, code, {"temperature": "as the baths"})
    assert step(evening, code).seconds > 150


def test_a_bath_that_stalls_is_refused_with_what_to_do(evening: Evening) -> None:
    code = evening.keep()
    poured(evening, temperature="11 C")
    with pytest.raises(Refusal, match="Warm the bath"):
        run.process_of(evening.book, code)
    with pytest.raises(Refusal, match="Warm the bath"):
        warming.say(evening.book, code, {"temperature": "12 C"})
    assert at_trays.of(evening.book, code) == {}  # what was refused was not kept
    warming.say(evening.book, code, {"temperature": "developer 18 C"})
    assert step(evening, code).seconds > 120


def test_a_run_stays_as_it_began(evening: Evening) -> None:
    code = evening.keep()
    evening.expose(code)
    poured(evening, temperature="16 C")
    before = run.process_of(evening.book, code)
    begin(evening, code)
    evening.later(30)
    mixing_baths.through(evening.book, {"bath": "tray", "temperature": "9 C"})
    assert run.process_of(evening.book, code) == before
    mixing_baths.end(evening.book, "tray")
    own.add_developer(evening.book, {"name": "tray one", "kind": "coffee"})
    assert run.process_of(evening.book, code) == before
    with pytest.raises(Refusal, match="has not begun"):
        warming.say(evening.book, code, {"temperature": "16 C"})


def test_a_run_begun_in_a_stalled_bath_keeps_its_mark(evening: Evening) -> None:
    code = evening.keep()
    evening.expose(code)
    poured(evening, temperature="9 C")
    begin(evening, code)
    assert "for 9 °C no time is known" in step(evening, code).changed


def test_the_mark_that_the_image_shows_is_a_reading_of_its_bath(evening: Evening) -> None:
    poured(evening, temperature="20 C")
    code = evening.keep()
    evening.expose(code)
    begin(evening, code)
    row = evening.book.get_sheet(code)
    evening.book.add_marks(row["id"], [{"client_id": "shows", "kind": "appeared", "elapsed_s": 16.0, "wall": evening.now, "body": {"step": "developer"}}])  # fmt: skip
    b = mixing_baths.named(evening.book, "tray")
    assert [(a.appeared_s, a.temperature_c) for a in b.appearances] == [(16.0, 20.0)]
    assert b.factor == pytest.approx(7.5)


def test_first_appearance_counts_from_the_developer_not_from_the_soak(evening: Evening) -> None:
    """Soak lifted at 30 s, 10 s to drain, the image at 56 s: 16 s in the developer."""
    poured(evening, temperature="20 C")
    ways.copy(evening.book, {"name": "soaked", "of": "paper_negative"})
    ways.add(evening.book, {"name": "soaked", "liquid": "soak", "after": "start"})
    ways.use(evening.book, {"name": "soaked"})
    code = evening.keep()
    evening.expose(code)
    begin(evening, code)
    begin(evening, code, 30.0, "lifted", "soak")
    begin(evening, code, 56.0, "appeared", "developer")
    assert [a.appeared_s for a in mixing_baths.named(evening.book, "tray").appearances] == [16.0]


def test_a_mark_taken_back_is_no_reading_and_the_last_one_counts(evening: Evening) -> None:
    poured(evening, temperature="20 C")
    code = evening.keep()
    evening.expose(code)
    begin(evening, code)
    begin(evening, code, 6.0, "appeared", "developer")
    begin(evening, code, 7.0, "taken_back", "developer")
    assert mixing_baths.named(evening.book, "tray").appearances == ()
    begin(evening, code, 15.0, "appeared", "developer")
    begin(evening, code, 120.0, "lifted", "developer")
    begin(evening, code, 700.0, "finished")
    assert [a.appeared_s for a in mixing_baths.named(evening.book, "tray").appearances] == [15.0]


def test_the_warmth_said_for_a_run_goes_with_its_reading(evening: Evening) -> None:
    poured(evening, temperature="20 C")
    code = evening.keep()
    evening.expose(code)
    warming.say(evening.book, code, {"temperature": "developer 17 C"})
    begin(evening, code)
    begin(evening, code, 18.0, "appeared", "developer")
    assert [(a.appeared_s, a.temperature_c) for a in mixing_baths.named(evening.book, "tray").appearances] == [
        (18.0, 17.0)
    ]


def test_what_fresh_baths_taught_outlives_them(evening: Evening) -> None:
    """15 s and 19.2 s fresh: geometric mean 16.97 s, 120/16.97 = 7.07."""
    for shows in ("15 s", "19.2 s"):
        poured(evening, temperature="20 C")
        mixing_baths.through(evening.book, {"bath": "tray", "appeared": shows})
        mixing_baths.end(evening.book, "tray")
        evening.later(600)
    poured(evening, temperature="20 C")
    assert step(evening, evening.keep()).appearance_factor[1] == pytest.approx(7.07, abs=0.01)


def test_a_bath_of_another_developer_is_not_this_ones(evening: Evening) -> None:
    evening.developer("other", "paper")
    evening.say(developer="tray one")
    poured(evening, "its", developer="other", temperature="14 C")
    code = evening.keep()
    assert step(evening, code).changed == ""
    poured(evening, "mine", developer="tray one", temperature="16 C")
    assert "at 16 °C" in step(evening, code).changed


def test_an_old_reading_of_warmth_says_its_age(evening: Evening) -> None:
    poured(evening, temperature="16 C")
    evening.later(180)
    assert "read 3 hours ago" in step(evening, evening.keep()).changed


# ── a look ──


def test_a_look_at_a_temperature() -> None:
    """Fibre in the wash at 10 °C: twice an hour [TM-11-2323]."""
    told = warming.look({"temperature": "developer 20 C, wash 10 C", "base": "fibre"})
    assert next(s for s in told.steps if s.key == "wash").seconds == pytest.approx(7200)
    assert next(s for s in told.steps if s.key == "wash").at_20_s == 3600
    with pytest.raises(Refusal) as found:
        warming.look({"temperature": "5 C", "way": "reversal_ra4"})
    assert [p.asked for p in found.value.problems] == [
        "paper developer at 5 °C",
        "colour developer at 5 °C",
        "bleach-fix at 5 °C",
    ]


@pytest.mark.parametrize("text", ["warm", "16", "tea 16 C", "", "developer", "16 C, , 9 C"])
def test_temperatures_that_are_none(text: str) -> None:
    with pytest.raises(Refusal):
        warming.look({"temperature": text})


# ── ways of one's own ──


def test_a_way_of_ones_own_from_copy_to_run(evening: Evening) -> None:
    ways.copy(evening.book, {"name": "large", "of": "paper_negative"})
    ways.change(
        evening.book, {"name": "large", "step": "developer", "time": "2:30", "window": "2:00 to 3:20", "drain": "20 s"}
    )
    ways.add(evening.book, {"name": "large", "liquid": "second_fix", "after": "fix"})
    ways.add(evening.book, {"name": "large", "liquid": "soak", "after": "start"})
    way = ways.add(evening.book, {"name": "large", "liquid": "washing aid"})
    assert [s.key for s in way.steps] == ["soak", "developer", "stop", "fix", "second_fix", "washing_aid", "wash"]
    assert [s.light for s in way.steps] == ["red"] * 4 + ["white"] * 3
    code = evening.keep()
    assert len(run.process_of(evening.book, code).steps) == 4
    ways.use(evening.book, {"name": "large"})
    poured(evening, temperature="16 C")
    found = step(evening, code)
    assert found.seconds == pytest.approx(150 * 1.2927, abs=0.1)  # one's own time is stretched the same
    assert found.low_s == pytest.approx(120 * 1.2927, abs=0.1)
    assert run.process_of(evening.book, code).words == "paper negative, large"
    ways.use(evening.book, {"name": "paper_negative", "sheet": code})
    assert len(run.process_of(evening.book, code).steps) == 4
    ways.use(evening.book, {"name": "large", "sheet": code})
    assert ways.remove(evening.book, {"name": "large"}) is None
    assert len(run.process_of(evening.book, code).steps) == 4
    assert [w.name for w in ways.ways(evening.book)] == [
        "paper_negative",
        "contact_print",
        "direct_positive",
        "reversal_ra4",
        "reversal_bw",
    ]


def test_a_run_that_began_keeps_the_way_it_had(evening: Evening) -> None:
    ways.copy(evening.book, {"name": "slow", "of": "paper negative"})
    ways.change(evening.book, {"name": "slow", "step": "developer", "time": "200 s"})
    ways.use(evening.book, {"name": "slow"})
    code = evening.keep()
    evening.expose(code)
    begin(evening, code)
    ways.change(evening.book, {"name": "slow", "step": "developer", "time": "shipped"})
    assert step(evening, code).seconds == 200


@pytest.mark.parametrize(
    ("act", "form", "words"),
    [
        (ways.copy, {"name": "paper negative", "of": "paper_negative"}, "no way has yet"),
        (ways.copy, {"name": "x", "of": "tea"}, "Your own ways"),
        (ways.copy, {}, "A name of your own"),
        (ways.change, {"name": "paper_negative", "step": "developer", "time": "3:00"}, "Copy it first"),
        (ways.change, {"name": "mine", "step": "tea", "time": "3:00"}, "One of: developer"),
        (ways.change, {"name": "mine", "step": "developer"}, "What is to change"),
        (ways.change, {"name": "mine", "step": "developer", "time": "2 s"}, "From 5 s to 4 h"),
        (
            ways.change,
            {"name": "mine", "step": "developer", "time": "2:00", "window": "3:00 to 4:00"},
            "holds the time",
        ),
        (ways.change, {"name": "mine", "step": "fix", "after": "start"}, "begins with"),
        (ways.change, {"name": "mine", "step": "developer", "light": "white"}, "No such field"),
        (ways.remove, {"name": "mine", "step": "fix"}, "not fixed"),
        (ways.remove, {"name": "mine", "step": "stop"}, "A stop or a rinse"),
        (ways.add, {"name": "mine", "liquid": "tea"}, "One of"),
        (ways.add, {"name": "mine"}, "what is in the tray"),
        (ways.use, {"name": "nobody"}, "Your own ways"),
    ],
)
def test_what_is_refused(evening: Evening, act, form, words: str) -> None:
    ways.copy(evening.book, {"name": "mine", "of": "paper_negative"})
    before = ways.way(evening.book, "mine")
    with pytest.raises(Refusal) as found:
        act(evening.book, form)
    assert words in " ".join(p.sentence() for p in found.value.problems)
    assert ways.way(evening.book, "mine") == before


def test_a_sheet_of_another_way_is_refused(evening: Evening) -> None:
    ways.copy(evening.book, {"name": "mine", "of": "direct_positive"})
    with pytest.raises(Refusal, match="planned as"):
        ways.use(evening.book, {"name": "mine", "sheet": evening.keep()})


# ── a mix that is poured ──


def test_a_kept_mix_becomes_a_developer_and_a_bath(evening: Evening) -> None:
    n = mixing_kept.keep(evening.book, {"recipe": "coffee", "volume": "2 l", "have": "soda crystals"}).number
    poured_mix = mixing_pour.pour(evening.book, n, {"temperature": "18 C", "developer": "brown"})
    assert poured_mix.developer.body == {"kind": "coffee"}
    assert (poured_mix.bath.kind, poured_mix.bath.volume_ml, poured_mix.bath.developer) == (
        "developer_coffee",
        2000,
        "brown",
    )
    assert own.one(evening.book, "developer", "brown")
    evening.say(developer="brown")
    # coffee at 18 °C: 390 s × 2^0.2 = 390 × 1.1487 = 448 s
    assert step(evening, evening.keep()).seconds == pytest.approx(448, abs=0.2)
    again = mixing_pour.pour(evening.book, n, {"developer": "brown"})
    assert again.bath.name == "brown 2"


def test_a_fixer_is_poured_and_is_no_developer(evening: Evening) -> None:
    n = mixing_kept.keep(evening.book, {"recipe": "fixer_plain", "volume": "1 l"}).number
    assert mixing_pour.pour(evening.book, n, {"kind": "fixer_first"}).bath.kind == "fixer_first"
    with pytest.raises(Refusal, match="a developer"):
        mixing_pour.developer(evening.book, n)
    with pytest.raises(Refusal, match="only for a developer"):
        mixing_pour.pour(evening.book, n, {"developer": "x"})
    n = mixing_kept.spend(evening.book, n).number
    with pytest.raises(Refusal, match="thrown away"):
        mixing_pour.pour(evening.book, n)


def test_a_name_of_another_kind_is_not_overwritten(evening: Evening) -> None:
    n = mixing_kept.keep(evening.book, {"recipe": "coffee", "volume": "1 l"}).number
    with pytest.raises(Refusal, match="another kind"):
        mixing_pour.developer(evening.book, n, {"name": "tray one"})
    assert mixing_pour.developer(evening.book, n).name
