"""`why` and `misses` on the command line."""

from __future__ import annotations

from tests.cli.conftest import Command


def test_why_and_misses(begun: Command) -> None:
    assert begun("misses").out.startswith("Two judged sheets at least")
    assert begun("say", "--light", "overcast", "--subject", "3 m", "--reading", "EV 11").code == 0
    assert "No sheet has moved it yet" in begun("why").out
    codes = []
    for seen in ("too_dark", "a_little_dark", "too_dark"):
        codes.append(begun("expose", "--json").data["code"])
        assert begun("judge", codes[-1], "--border", "white", "--seen", seen).code == 0
    told = begun("why")
    assert told.code == 0
    # A negative that is too dark had too much light (common practice, no source): the last one, the third in a row, takes time away.
    assert f"sheet {codes[-1]}: −" in told.out
    assert begun("why", "--json").data["mean_stops"] < 0
    assert "faster" in begun("why", codes[0]).out
    assert begun("why", codes[0], "--box", "D").code == 2
    assert begun("why", "--way", "paper_negative").code == 2
    assert begun("why", "--box", "nobody").code == 3
    assert "9 in 10 between" in begun("misses").out
