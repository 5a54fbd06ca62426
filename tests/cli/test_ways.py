"""`ways`, `warmth` and `mix pour` as typed."""

from __future__ import annotations

from tests.cli.conftest import Command


def test_from_copy_to_use(command: Command) -> None:
    assert command("ways", "copy", "large", "--of", "paper_negative").code == 0
    done = command("ways", "change", "large", "developer", "--time", "2:30", "--json")
    assert done.data["steps"][0]["seconds"] == 150
    assert "second_fix: 1:00" in command("ways", "add", "large", "second_fix", "--after", "fix").out
    assert "goes by “large”" in command("ways", "use", "large").out
    assert "sheets go by it" in command("ways").out
    refused = command("ways", "remove", "large", "stop")
    assert refused.code == 2
    assert "A stop or a rinse between" in refused.err.replace("\n", " ")
    assert command("ways", "show", "tea").code == 3
    assert "put away" in command("ways", "remove", "large").out


def test_a_look_needs_no_book(command: Command) -> None:
    done = command("warmth", "10 C", "--json")
    assert done.code == 2  # paper developer stalls [TM-11-2323]
    cold = command("warmth", "developer 20 C, wash 10 C", "--json")
    assert next(s["seconds"] for s in cold.data["steps"] if s["key"] == "wash") == 480  # twice at 10 °C [TM-11-2323]


def test_a_mix_is_poured(command: Command) -> None:
    number = command("mix", "keep", "coffee", "--volume", "2 l", "--json").data["number"]
    done = command("mix", "pour", str(number), "--temperature", "20 C", "--developer", "brown")
    assert done.code == 0
    assert "It is the developer brown." in done.out
    assert command("own", "developer", "--json").data[0]["name"] == "brown"
    assert command("mix", "developer", "999").code == 3
