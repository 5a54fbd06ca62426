"""The linear-Gaussian belief against textbook conditioning and against another algorithm.

Source of the algebra: conditioning of a joint normal, [BISHOP-PRML] section 2.3.1, eqs. 2.81 and 2.82 (from memory).
"""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.belief.effects import Effect, group_of
from firstsheet.belief.posterior import Observation, Posterior, condition
from tests.belief.belief_reference import Dense, dense

KEYS = ("kind:p", "box:A", "box:B", "dev:x", "light:shade", "meter:m", "camera:c", "recip:p")


def effect(key: str, sd: float = 1.0, mean: float = 0.0, coefficient: float = 1.0) -> Effect:
    return Effect(key, coefficient, mean, sd)


# ── closed forms ──


def test_one_effect_is_the_conjugate_normal() -> None:
    # Precisions add and means are weighted by them: prior N(0.5, 0.8²), three sheets at 1.0, 1.3, 0.7 with sd 0.4.
    # 1/0.64 + 3/0.16 = 20.3125; mean (0.5/0.64 + 3.0/0.16)/20.3125 = 19.53125/20.3125. [BISHOP-PRML] eqs. 2.141, 2.142.
    e = effect("box:A", 0.8, 0.5)
    found = condition([Observation(y, 0.4, (e,)) for y in (1.0, 1.3, 0.7)])
    assert found.mean[0] == pytest.approx(19.53125 / 20.3125, abs=1e-12)
    assert found.cov[0][0] == pytest.approx(1 / 20.3125, abs=1e-12)
    assert found.observations == 3


def test_a_sheet_of_one_box_tells_of_another_of_its_kind() -> None:
    # kind N(0, 1), each box N(0, 0.4²), one sheet of box A at +1.0 with sd 0.5. For box B: covariance with the sheet 1,
    # variance of the sheet 1 + 0.16 + 0.25 = 1.41, so mean 1/1.41 and variance 1.16 − 1/1.41. [BISHOP-PRML] eqs. 2.81, 2.82.
    known = condition([Observation(1.0, 0.5, (effect("kind:p"), effect("box:A", 0.4)))])
    mean, variance = known.predict((effect("kind:p"), effect("box:B", 0.4)))
    assert mean == pytest.approx(1 / 1.41, abs=1e-12)
    assert variance == pytest.approx(1.16 - 1 / 1.41, abs=1e-12)
    mean, variance = known.predict((effect("kind:p"), effect("box:A", 0.4)))  # the same box: covariance 1.16
    assert mean == pytest.approx(1.16 / 1.41, abs=1e-12)
    assert variance == pytest.approx(1.16 - 1.16**2 / 1.41, abs=1e-12)


def test_two_meters_compared_with_opposite_signs() -> None:
    # y = a − b = 0.8, a ~ N(0, 1), b ~ N(0, 0.25²), sd 0.15: gain of a is 1/(1 + 0.0625 + 0.0225), of b −0.0625/1.085.
    a, b = effect("meter:phone"), effect("meter:mine", 0.25, coefficient=-1.0)
    known = condition([Observation(0.8, 0.15, (a, b))])
    assert known.predict([effect("meter:phone")])[0] == pytest.approx(0.8 / 1.085, abs=1e-12)
    assert known.predict([effect("meter:mine", 0.25)])[0] == pytest.approx(-0.8 * 0.0625 / 1.085, abs=1e-12)


def test_what_is_certain_is_folded_into_the_sheet() -> None:
    # An effect without doubt only shifts what was seen: 1.7 with a sure 0.7·2 in it is 0.3 of the rest.
    sure = Effect("light:sun", 2.0, 0.7, 0.0)
    with_it = condition([Observation(1.7, 0.4, (effect("box:A", 0.8), sure))])
    without = condition([Observation(0.3, 0.4, (effect("box:A", 0.8),))])
    assert with_it.keys == ("box:A",)
    assert with_it.mean == pytest.approx(without.mean, abs=1e-12)
    assert with_it.cov[0] == pytest.approx(without.cov[0], abs=1e-12)
    assert with_it.predict((sure,)) == (1.4, 0.0)


def test_before_the_first_sheet_there_is_only_the_prior() -> None:
    nothing = condition([])
    assert nothing == Posterior()
    mean, variance = nothing.predict((effect("box:A", 0.4, 0.2, 2.0), effect("kind:p", 1.0, -0.5)))
    assert mean == pytest.approx(-0.1)  # 2 × 0.2 − 0.5
    assert variance == pytest.approx(1.64)  # 4 × 0.16 + 1


def test_a_box_never_met_stands_at_its_prior() -> None:
    known = condition([Observation(1.0, 0.3, (effect("box:A", 0.4),))])
    assert known.predict((effect("box:B", 0.4, 0.25),)) == (0.25, pytest.approx(0.16))


def test_doubt_shares_of_independent_effects_are_their_variances() -> None:
    # 3-4-5: sd 0.3 and 0.4 share 0.25 as 9 : 16.
    shares = Posterior().shares((effect("light:shade", 0.3), effect("meter:m", 0.4)))
    assert shares == {group_of("meter:m"): pytest.approx(0.64), group_of("light:shade"): pytest.approx(0.36)}
    assert next(iter(shares)) == group_of("meter:m")


# ── laws, on random designs, with a second algorithm as referee ──

numbers = st.floats(-2.0, 2.0).map(lambda x: round(x, 3))
doubts = st.floats(0.1, 1.5).map(lambda x: round(x, 3))
priors = st.fixed_dictionaries({k: st.tuples(numbers, doubts) for k in KEYS})


@st.composite
def designs(draw: st.DrawFn, least: int = 1) -> tuple[dict[str, tuple[float, float]], list[Observation]]:
    told = draw(priors)
    rows = []
    for i in range(draw(st.integers(least, 7))):
        keys = draw(st.lists(st.sampled_from(KEYS), min_size=1, max_size=5, unique=True))
        effects = [Effect(k, draw(numbers.filter(lambda c: abs(c) > 0.05)), *told[k]) for k in keys]
        effects.append(Effect(f"reading:{i // 2}", 1.0, 0.0, 0.15))
        rows.append(Observation(draw(numbers), draw(doubts), tuple(effects), str(i)))
    return told, rows


def close(found: Posterior, referee: Dense) -> None:
    for a, key in enumerate(found.keys):
        assert found.mean[a] == pytest.approx(referee.mean[key], abs=1e-9)
        for b, other in enumerate(found.keys):
            assert found.cov[a][b] == pytest.approx(referee.cov[key, other], abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(designs())
def test_agrees_with_the_joint_covariance_conditioned_whole(design: tuple[object, list[Observation]]) -> None:
    # The referee builds the covariance of effects and sheets together and takes its Schur complement, in plain Python.
    # It holds readings too: leaving their rows away afterwards must change nothing for the rest.
    _, rows = design
    found = condition(rows)
    close(found, dense(rows))
    last = {e.key for e in rows[-1].effects}
    assert all(k in last for k in found.keys if k.startswith("reading:"))


@settings(max_examples=30, deadline=None)
@given(designs(least=2), st.randoms(use_true_random=False))
def test_the_order_of_the_sheets_changes_nothing(design: tuple[object, list[Observation]], rng: object) -> None:
    _, rows = design
    shuffled = list(rows)
    rng.shuffle(shuffled)  # type: ignore[attr-defined]
    one, other = condition(rows, passing=()), condition(shuffled, passing=())
    at = {k: i for i, k in enumerate(other.keys)}
    assert set(one.keys) == set(other.keys)
    for a, key in enumerate(one.keys):
        assert one.mean[a] == pytest.approx(other.mean[at[key]], abs=1e-9)
        for b, second in enumerate(one.keys):
            assert one.cov[a][b] == pytest.approx(other.cov[at[key]][at[second]], abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(designs(least=2))
def test_what_one_more_sheet_would_narrow_is_what_it_narrows(design: tuple[object, list[Observation]]) -> None:
    _, rows = design
    before, after = condition(rows[:-1], passing=()), condition(rows, passing=())
    wanted = [e for e in rows[0].effects if not e.key.startswith("reading:")]
    seen = rows[-1]
    told = before.variance_after(wanted, seen.effects, seen.sd)
    assert told == pytest.approx(after.predict(wanted)[1], abs=1e-9)
    assert told <= before.predict(wanted)[1] + 1e-12


@settings(max_examples=40, deadline=None)
@given(designs())
def test_prediction_equals_the_referee_and_shares_are_whole(design: tuple[object, list[Observation]]) -> None:
    told, rows = design
    found, referee = condition(rows), dense(rows)
    wanted = [Effect(k, 1.0, *told[k]) for k in KEYS]  # type: ignore[index]
    mean, variance = found.predict(wanted)
    expected = sum(referee.mean.get(e.key, e.mean) for e in wanted)
    spread = sum(referee.cov.get((a.key, b.key), a.sd**2 if a.key == b.key else 0.0) for a in wanted for b in wanted)
    assert mean == pytest.approx(expected, abs=1e-9)
    assert variance == pytest.approx(spread, abs=1e-9)
    shares = found.shares(wanted)
    assert math.fsum(shares.values()) == pytest.approx(1.0, abs=1e-12)
    assert all(v > 0 for v in shares.values())
    assert list(shares.values()) == sorted(shares.values(), reverse=True)


@settings(max_examples=30, deadline=None)
@given(designs())
def test_kept_and_read_again_it_is_the_same_to_the_last_bit(design: tuple[object, list[Observation]]) -> None:
    _, rows = design
    found = condition(rows)
    again = Posterior.from_json(json.loads(json.dumps(found.to_json())))
    assert again.keys == found.keys
    assert again.mean == found.mean
    assert again.observations == found.observations
    n = range(len(found.keys))
    assert all(again.cov[i][j] == found.cov[max(i, j)][min(i, j)] for i in n for j in n)


@settings(max_examples=20, deadline=None)
@given(designs(least=2))
def test_fitted_again_it_is_bit_equal(design: tuple[object, list[Observation]]) -> None:
    _, rows = design
    assert condition(rows[:-1]) == condition(list(rows)[: len(rows) - 1])
    copied = [
        Observation(o.stops, o.sd, tuple(Effect.from_json(json.loads(json.dumps(e.to_json()))) for e in o.effects))
        for o in rows
    ]
    assert condition(copied) == condition(rows)
