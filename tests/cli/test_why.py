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


def test_two_changes_at_once_and_what_a_strip_narrows_are_told(begun: Command) -> None:
    begun("say", "--light", "overcast", "--subject", "3 m", "--reading", "EV 11")
    code = begun("expose", "--json").data["code"]
    begun("judge", code, "--border", "white", "--seen", "too_dark")
    first = begun("plan")
    assert "A strip now: ±" in first.out
    assert "one at a time" not in first.out
    begun("own", "developer", "second", "--kind", "paper")
    told = " ".join(begun("plan", "--developer", "second", "--light", "sun").out.split())
    assert (
        f"Since the last judged sheet of box D, {code}, the developer and the kind of light changed: one at a time teaches more."
        in told
    )
    begun("worth", "--minute", "0.50 EUR", "--more", "9")
    told = " ".join(begun("plan", "--developer", "second").out.split())
    assert "9 more sheets from box D, this one counted" in told
