"""A sheet's sound from the book: its baths, its way, its hand; and what marks made while it runs tell the book. All things invented."""

from __future__ import annotations

import io
import wave
from typing import Any

import pytest

from firstsheet.acts import mixing_baths, own, run, sheet_track, sound_marks
from firstsheet.acts.sheet import sheet
from firstsheet.refusal import Refusal
from tests.acts.evening import Evening

WALL_MS = 1_777_800_000_000


def lasts_s(wav: bytes) -> float:
    with wave.open(io.BytesIO(wav)) as file:
        return file.getnframes() / file.getframerate()


def marks(*told: tuple[str, str, float]) -> list[dict[str, Any]]:
    return [{"id": f"{k}{s}{at}", "kind": k, "step": s, "elapsed_s": at, "wall_ms": WALL_MS} for k, s, at in told]


def test_a_cold_bath_lengthens_the_sound_by_what_the_run_says(negative: Evening) -> None:
    """At 16 °C: 120 s × 1.9^0.4 = 155.1 s, so 35.1 s more (by hand); the sound says why and grows by just that."""
    code = negative.keep()
    before = sheet_track.of(negative.book, code)
    was = lasts_s(sheet_track.wav(negative.book, code))
    mixing_baths.open_bath(
        negative.book, {"name": "tray", "kind": "developer", "volume": "2 l", "temperature": "16 C"}
    )
    after = sheet_track.of(negative.book, code)
    assert after.total_s - before.total_s == pytest.approx(35.1, abs=0.1)
    assert lasts_s(sheet_track.wav(negative.book, code)) - was == pytest.approx(35.1, abs=0.1)
    assert before.notes == ()
    assert any("at 16 °C" in n for n in after.notes)
    by = {s.key: s for s in run.process_of(negative.book, code).steps}
    lift = next(m for m in after.moments if m.step == "developer")
    assert after.first_s is not None
    assert lift.at_s - after.first_s == pytest.approx(by["developer"].seconds)


def test_a_tired_bath_too(negative: Evening) -> None:
    """First appearance after 15 s fresh, after 18 s now: 18/15 = 1.2 times as long, 120 s more by a fifth, 24 s."""
    code = negative.keep()
    mixing_baths.open_bath(negative.book, {"name": "tray", "kind": "developer", "volume": "2 l"})
    mixing_baths.through(negative.book, {"bath": "tray", "appeared": "15 s"})
    was = sheet_track.of(negative.book, code).total_s
    negative.later(60)
    mixing_baths.through(negative.book, {"bath": "tray", "appeared": "18 s"})
    assert sheet_track.of(negative.book, code).total_s - was == pytest.approx(24.0, abs=0.1)


def test_every_way_goes_from_the_box_to_white_light(negative: Evening, positive: Evening, colour: Evening) -> None:
    for e in (negative, positive, colour):
        told = sheet_track.of(e.book, e.keep())
        words = [c.words for c in told.cues]
        assert told.whole
        assert told.white_s is not None
        assert "Open the box, take one sheet, shut the box" in words
        assert "Uncover the lens at the tone" in words
        assert told.bytes == len(sheet_track.wav(e.book, told.code))
        assert told.cautions[0].startswith("If anything happens, white light first")
        assert any("sun" in c for c in told.cautions)


def test_the_exposure_alone(negative: Evening) -> None:
    code = negative.keep()
    told = sheet_track.of(negative.book, code, exposure_only=True)
    assert not told.whole
    assert told.white_s is None
    assert told.total_s < sheet_track.of(negative.book, code).total_s
    assert [m.kind for m in told.moments][-1] == "capped"


def test_the_exposure_alone_of_a_paper_that_bears_no_light(colour: Evening, negative: Evening) -> None:
    """Colour paper is handled in total darkness (common practice, no source)."""
    for e, dark in ((colour, True), (negative, False)):
        told = sheet_track.of(e.book, e.keep(), exposure_only=True)
        assert told.no_light is dark
        assert ("No light at all, not even red" in [c.words for c in told.cues]) is dark


def test_a_shutter_is_released_and_a_flap_lifted(negative: Evening) -> None:
    shapes = {"focal": "600 mm", "f_number": "f/16", "coverage": "60°", "board_min": "610 mm", "board_max": "1200 mm", "length": "2.4 m",
              "width": "2 m", "height": "2.2 m"}  # fmt: skip
    for name, more, how in (("flapped", {"shutter": "flap"}, "flap"), ("shuttered", {"shutter": "shutter", "speeds": "1 1/2 2 4 8"}, "shutter")):
        own.add_camera(negative.book, {"name": name, **shapes, **more})
        assert sheet_track.of(negative.book, negative.keep(camera=name)).how == how


def test_a_strip_has_its_own_and_a_sheet_in_the_trays_is_told_so(negative: Evening) -> None:
    with pytest.raises(Refusal):
        sheet_track.of(negative.book, negative.keep(strip=True))
    code = negative.keep()
    negative.expose(code)  # as planned, said ahead
    assert sheet_track.AGAIN not in sheet_track.of(negative.book, code).cautions
    run.mark(negative.book, code, marks(("begun", "", 0.0)))
    assert sheet_track.AGAIN in sheet_track.of(negative.book, code).cautions


# ── marks ──


def test_lens_opened_and_shut_say_what_was_given(negative: Evening) -> None:
    code = negative.keep()
    planned = negative.book.get_sheet(code)["body"]["plan"]["time_s"]
    sound_marks.mark(negative.book, code, marks(("opened", "", 150.0)))
    assert sheet(negative.book, code).given_s is None
    sound_marks.mark(negative.book, code, marks(("capped", "", 150.0 + planned + 3.0)))
    assert sheet(negative.book, code).given_s == pytest.approx(planned + 3.0, abs=0.051)
    assert sheet(negative.book, code).state == "exposed"


def test_a_foot_tells_no_less_than_half_a_second(negative: Evening) -> None:
    code = negative.keep()
    planned = negative.book.get_sheet(code)["body"]["plan"]["time_s"]
    sound_marks.mark(negative.book, code, marks(("opened", "", 150.0), ("capped", "", 150.3 + planned)))
    assert sheet(negative.book, code).given_s == planned


def test_the_whole_run_by_touch_then_all_of_it_once_more(negative: Evening) -> None:
    code = negative.keep()
    lifts = [("lifted", s.key, 100.0 * n) for n, s in enumerate(run.process_of(negative.book, code).steps, 1)]
    all_of_it = marks(("begun", "", 0.0), ("opened", "", 150.0), *lifts, ("finished", "", 500.0))
    for _ in range(2):
        kept = sound_marks.mark(negative.book, code, all_of_it)
        assert set(kept.client_ids) == {m["id"] for m in all_of_it}
    found = sheet(negative.book, code)
    assert found.state == "processed"
    assert found.given_s == found.plan["time_s"]  # in the developer, so it was given as told
    assert [m["kind"] for m in found.marks].count("exposed") == 1
    assert run.standing(negative.book, code, 600.0).state == "finished"
    negative.judge(code, border="white", seen="too_dark")


def test_what_was_said_to_have_been_given_stays(negative: Evening) -> None:
    code = negative.keep()
    negative.expose(code, given="9 s")
    sound_marks.mark(negative.book, code, marks(("capped", "", 160.0), ("begun", "", 0.0)))
    assert sheet(negative.book, code).given_s == 9.0


def test_as_planned_said_ahead_gives_way_to_what_was_marked(negative: Evening) -> None:
    code = negative.keep()
    planned = negative.expose(code).given_s
    assert planned is not None
    for _ in range(2):
        sound_marks.mark(negative.book, code, marks(("opened", "", 150.0), ("capped", "", 153.0 + planned)))
    found = sheet(negative.book, code)
    assert found.given_s == pytest.approx(planned + 3.0, abs=0.051)
    assert [m["kind"] for m in found.marks].count("exposed") == 2
    run.mark(negative.book, code, marks(("begun", "", 0.0)))
    assert sheet(negative.book, code).state == "in the trays"


@pytest.mark.parametrize("wrong", [{"kind": "sneezed"}, {"kind": "capped", "elapsed_s": -1}, {"kind": "opened", "wall_ms": "now"}])
def test_marks_that_are_none(negative: Evening, wrong: dict[str, Any]) -> None:
    code = negative.keep()
    with pytest.raises(Refusal):
        sound_marks.mark(negative.book, code, [marks(("opened", "", 1.0))[0], {**marks(("capped", "", 2.0))[0], **wrong}])
    assert sheet(negative.book, code).marks == ()
    with pytest.raises(Refusal):
        sound_marks.mark(negative.book, negative.keep(strip=True), marks(("opened", "", 1.0)))


def test_the_volume_test_refuses_what_there_is_not() -> None:
    assert len(sheet_track.volume("lamp")) < len(sheet_track.volume("held"))
    with pytest.raises(Refusal):
        sheet_track.volume_wav("shout")
