"""The timed run with a clock of our own: marks as they happen, every end, a run taken up again."""

from __future__ import annotations

import io
import queue

import pytest

from firstsheet import Book
from firstsheet.cli import running, timer
from tests.cli.conftest import Command


class Hands:
    """A face whose hands type at given times and whose clock goes by itself."""

    def __init__(self, clock: list[float], typed: list[tuple[float, str | None]]) -> None:
        self.clock, self.typed, self.bells, self.shown = clock, typed, 0, []

    def listen(self) -> None:
        return

    def wait(self, for_s: float) -> str:
        if self.typed and self.typed[0][0] <= self.clock[0]:
            _, line = self.typed.pop(0)
            if line is None:
                raise EOFError
            return line
        self.clock[0] += for_s
        raise queue.Empty

    def bell(self) -> None:
        self.bells += 1

    def show(self, step: str, left: str) -> None:
        self.shown.append((step, left))

    def blank(self) -> None:
        self.shown.append(("", ""))


@pytest.fixture
def code(said: Command) -> str:
    return said("expose", "--json").data["code"]


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    now = [1000.0]
    monkeypatch.setattr(timer, "tick_s", lambda: now[0])
    return now


def play(book: Book, code: str, clock: list[float], *typed: tuple[float, str | None]) -> tuple[str, Hands, timer.Run]:
    hands = Hands(clock, [(1000.0 + at, line) for at, line in typed])
    run = timer.Run.of(book, code)
    return timer.play(run, hands), hands, run


def test_every_lift_is_marked_when_it_happens(code: str, clock: list[float]) -> None:
    """Coffee: 390 s and 10 to drain, stop 30, fixer 120, wash 240, each 10 to drain. Lifted a little late each time."""
    with Book.open() as book:
        ended, hands, run = play(book, code, clock, (0, ""), (395, ""), (440, ""), (575, ""), (830, ""))
    assert ended == "finished"
    lifts = {m.step: m.at_s for m in run.marks if m.kind == "lifted"}
    assert list(lifts) == ["developer", "stop", "fix", "wash"]
    for got, due in zip(lifts.values(), (395, 440, 575, 830), strict=True):
        assert got == pytest.approx(due, abs=0.5)
    assert hands.bells >= 3 * 4 - 1  # start, ready and lift of each step; a short step has no ready
    assert any("over: lift" in left for _, left in hands.shown)


def test_take_back_lights_stop(code: str, clock: list[float]) -> None:
    with Book.open() as book:
        ended, _, run = play(book, code, clock, (0, ""), (50, ""), (52, "b"), (60, "l"), (70, "s"))
        assert ended == "stopped"
        assert [m.kind for m in run.marks] == ["begun", "lifted", "taken_back", "lights_on", "stopped"]
        assert timer.Run.of(book, code).over == "stopped"


def test_given_up(code: str, clock: list[float], said: Command) -> None:
    with Book.open() as book:
        assert play(book, code, clock, (0, ""), (5, "g"))[0] == "abandoned"
    assert said("sheet", code, "--json").data["state"] == "given up"
    again = said("run", code)
    assert again.code == 2
    assert "over" in again.err


def test_left_and_taken_up_again(code: str, clock: list[float]) -> None:
    """The terminal is closed after 60 s; when the run is taken up again the liquid has not waited."""
    with Book.open() as book:
        assert play(book, code, clock, (0, ""), (60, None))[0] == "left"
        run = timer.Run.of(book, code)
        assert run.over == ""
        run.began_wall_s = book.now().timestamp() - 500.0
        hands = Hands(clock, [(clock[0] + 1, ""), (clock[0] + 2, "s")])
        assert timer.play(run, hands) == "stopped"
        lifted = next(m for m in run.marks if m.kind == "lifted")
        assert lifted.at_s == pytest.approx(501, abs=1.5)


def test_nobody_there_to_begin(code: str, clock: list[float], said: Command) -> None:
    with Book.open() as book:
        assert play(book, code, clock, (0, None))[0] == "left"
    assert said("sheet", code, "--json").data["state"] == "exposed"


def test_from_a_pipe(code: str, said: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a terminal one line is printed for each step; when no more keys can come the run stays open."""
    monkeypatch.setattr("sys.stdin", io.StringIO("\n\n"))
    monkeypatch.setattr(timer, "LOOK_EVERY_S", 0.01)
    done = said("run", code)
    assert done.code == 2
    assert "stays open" in done.out
    assert "1/4 developer" in done.out
    assert "eye" in done.out  # what is said before every run
    assert said("sheet", code, "--json").data["state"] == "in the trays"


def test_a_lit_terminal_is_refused_where_no_light_is_allowed(begun: Command) -> None:
    begun("own", "box", "C", "--paper", "ra4", "--size", "12x16 in", "--sheets", "10")
    begun("own", "developer", "set", "--kind", "ra4")
    begun("say", "--box", "C", "--developer", "set", "--light", "sun", "--subject", "3 m", "--reading", "EV 12")
    code = begun("expose", "--json").data["code"]
    done = begun("run", code)
    assert done.code == 2
    assert "--covered" in done.err
    assert begun("run", code, "--steps").code == 0


def test_the_darkroom_cautions_come_first(code: str, said: Command) -> None:
    out = said("run", code, "--steps").out
    for words in ("White light", "fifteen minutes", "safety data sheet", "hypochlorite", "silver"):
        assert words.lower() in out.lower()


def test_keys_are_told(code: str, clock: list[float]) -> None:
    with Book.open() as book:
        _, hands, _ = play(book, code, clock, (0, ""), (5, "s"))
    assert (timer.KEYS, "") in hands.shown
    assert running.SCREEN


def test_a_pause_a_wrong_tray_and_the_lamp(code: str, clock: list[float]) -> None:
    """Coffee developer 390 s, 10 to drain, stop from 405: paused there; then the developer again instead of the fixer; then given up."""
    typed = [
        (0, ""),
        (100, "p"),
        (120, "l"),
        (125, "o"),
        (395, ""),
        (410, "p"),
        (500, ""),
        (505, ""),
        (520, "w1"),
        (525, ""),
        (530, "w"),
        (531, "s"),
    ]
    with Book.open() as book:
        ended, hands, run = play(book, code, clock, *typed)
    assert ended == "stopped"
    said = " ".join(words for words, _ in hands.shown)
    assert "A developer does not wait" in said
    assert "is fogged" in said
    assert "It develops again" in said
    assert "Which tray does it lie in? w1 developer" in said
    assert "not fixed" in said
    assert any("to wait; Enter goes on" in left for _, left in hands.shown)
    kinds = [m.kind for m in run.marks]
    assert kinds == [
        "begun",
        "paused",
        "lights_on",
        "lights_off",
        "lifted",
        "paused",
        "resumed",
        "lifted",
        "wrong_tray",
        "resumed",
        "stopped",
    ]
    assert run.marks[-2].step == "stop"


def test_a_sheet_that_is_lost_is_given_up_with_enter(code: str, clock: list[float]) -> None:
    with Book.open() as book:
        ended, hands, _ = play(book, code, clock, (0, ""), (5, "w3"), (9, ""))
    assert ended == "abandoned"
    assert any("Nothing brings it back" in words for words, _ in hands.shown)


def test_the_image_shows(code: str, clock: list[float]) -> None:
    with Book.open() as book:
        _, hands, run = play(book, code, clock, (0, ""), (30, "i"), (32, "b"), (40, "i"), (60, "s"))
    assert [m.kind for m in run.marks] == ["begun", "appeared", "taken_back", "appeared", "stopped"]
    assert any("planned time stands" in words or "in all, by that" in words for words, _ in hands.shown)
