"""A colour row of an old notebook: its pack was not written down, so none is put on it, and nothing learned of packs since moves what it teaches."""

from notebook_boathouse import Boathouse, text

from firstsheet.acts import own, pack
from firstsheet.acts.sheet import sheet

ROW = "2026-05-03;14:00;C;3;EV 13;sun;16;4;black;as wanted;yes;stroke"


def test_a_colour_row_has_no_pack_and_goes_by_none_learned_since(boathouse: Boathouse) -> None:
    kept = []
    for learned in (False, True):
        b = Boathouse(boathouse.now)
        own.add_box(b.book, {"name": "C", "paper": "ra4", "size": "8x10 in", "sheets": "10"})
        for _ in range(2 if learned else 0):
            told = {"light": "sun", "box": "C", "seconds": "20 s", "given": "20 s", "pack": "175Y 105M", "colour": "neutral", "bright": "too_dark"}
            last = next(f.value for f in pack.told(b.book, told).figures if f.key == "time_stops")
        codes = b.bring_in(text(ROW), way="reversal_ra4", developer="tray one").codes
        kept.append(sheet(b.book, codes[0]).plan)
    assert last > 0.3  # the pack has learned that more light is wanted
    assert kept[0]["pack"] is None
    assert kept[1]["pack"] is None
    assert kept[1]["nominal_log2_s"] == kept[0]["nominal_log2_s"]
