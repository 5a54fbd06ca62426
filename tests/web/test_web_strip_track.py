"""The sound of a strip over the web: on its page, as a file, for a strip that was kept; refused as the page itself is."""

import io
import wave

import pytest

from firstsheet.acts import expose
from tests.web.conftest import client_of


def lasts_s(answer):
    assert answer.headers["content-type"] == "audio/wav"
    with wave.open(io.BytesIO(answer.content)) as file:
        return file.getnframes() / file.getframerate()


def test_the_page_offers_the_sound_of_what_was_asked(said):
    c = client_of(said)
    page = c.get("/strips?way=lamp&first=2.5 s&factor=2&count=4").text
    url = "/strips/track.wav?way=lamp&amp;first=2.5+s&amp;factor=2&amp;count=4"
    assert page.count(url) == 2
    assert "5 steps open" not in page
    for words in ("4 steps open: 2.5 s", "1 step open: 10 s more", "20 s, ", "Move the card one step"):
        assert words in page
    assert "gamble" not in page
    assert "gamble" in c.get("/strips?way=lamp&first=1 s").text
    short, long = (lasts_s(c.get(f"/strips/track.wav?way=lamp&count=4&factor=2&first={f}")) for f in ("2.5 s", "5 s"))
    # Twice the first step is twice all the light and not a second more of anything else: 8·first in all.
    assert long - short == pytest.approx(8 * 2.5, abs=0.001)


def test_the_sound_of_a_strip_that_was_kept(said):
    code, sheet = expose.keep(said, strip=True).code, expose.keep(said).code
    c = client_of(said)
    page = c.get(f"/book/{code}/expose").text
    assert f'data-track="/book/{code}/strip.wav"' in page
    assert lasts_s(c.get(f"/book/{code}/strip.wav")) > 60
    assert "strip.wav" not in c.get(f"/book/{sheet}/expose").text
    assert c.get(f"/book/{sheet}/strip.wav").status_code == 422
    assert c.get("/book/ZZZZ/strip.wav").status_code == 404


@pytest.mark.parametrize("query", ["first=-1", "count=2", "factor=9", "way=moon", "first=9999"])
def test_what_cannot_be_made_has_no_sound(said, query):
    c = client_of(said)
    assert c.get(f"/strips/track.wav?{query}").status_code == 422
    assert c.get(f"/strips?{query}").status_code == 422


def test_a_sheet_has_a_sound_from_the_box_to_white_light_or_of_its_exposure_alone(said):
    code = expose.keep(said).code
    c = client_of(said)
    page = c.get(f"/book/{code}/expose").text
    for words in ("from the box to white light", "you may switch on the light", f'data-track="/book/{code}/sheet.wav"', "/volume.wav?how=cap"):
        assert words in page
    assert page.index("data-volume") < page.index("data-track")  # tried before it begins
    alone = c.get(f"/book/{code}/expose?part=exposure").text
    assert "The exposure by ear" in alone
    assert f'data-track="/book/{code}/sheet.wav?part=exposure"' in alone
    short, long = (lasts_s(c.get(f"/book/{code}/sheet.wav{q}")) for q in ("?part=exposure", ""))
    assert expose_plan(said, code)["time_s"] < short < long - 300
    strip = expose.keep(said, strip=True).code
    assert c.get(f"/book/{strip}/sheet.wav").status_code == 422
    assert c.get(f"/api/sheets/{code}/sound").json()["total_s"] == pytest.approx(long, abs=0.001)


def test_a_bath_too_cold_to_be_timed_leaves_the_exposure_and_says_why(said):
    from firstsheet.acts import mixing_baths

    code = expose.keep(said).code
    mixing_baths.open_bath(said, {"name": "tray", "kind": "developer_coffee", "volume": "2 l", "temperature": "6 C"})
    page = client_of(said).get(f"/book/{code}/expose").text
    assert "The exposure by ear" in page
    assert "at 6 °C" in page
    assert "from the box to white light" not in page


def test_a_sound_goes_packed_to_what_can_unpack_it(said):
    """Ten times smaller at least; the same to the last sample."""
    code = expose.keep(said).code
    c = client_of(said)
    url = f"/book/{code}/sheet.wav"
    packed, plain = (c.get(url, headers={"Accept-Encoding": e}) for e in ("gzip", "identity"))
    assert packed.content == plain.content
    assert (packed.headers["content-encoding"], plain.headers.get("content-encoding")) == ("gzip", None)
    assert int(packed.headers["content-length"]) < int(plain.headers["content-length"]) / 10


def test_the_volume_is_tried_by_a_sound_of_its_own(said):
    c = client_of(said)
    assert lasts_s(c.get("/volume.wav?how=lamp")) < lasts_s(c.get("/volume.wav"))
    assert c.get("/volume.wav?how=shout").status_code == 422


def test_marks_of_the_sound_come_once_and_say_what_was_given(said):
    code = expose.keep(said).code
    c = client_of(said)
    sent = [{"id": f"m{i}", "kind": k, "step": "", "elapsed_s": s, "wall_ms": 1.78e12} for i, (k, s) in enumerate([("opened", 150.0), ("capped", 159.3)])]
    head = {"X-Firstsheet": "1"}
    for _ in range(2):
        assert c.post(f"/api/sheets/{code}/sound", json={"marks": sent}, headers=head).json()["kept"] == ["m0", "m1"]
    life = c.get(f"/api/sheets/{code}").json()
    assert (life["state"], life["given_s"]) == ("exposed", 9.3)
    assert [m["kind"] for m in life["marks"]] == ["opened", "capped", "exposed"]
    assert "Lens opened" in c.get(f"/book/{code}").text
    assert c.post(f"/api/sheets/{code}/sound", json={"marks": [{"kind": "sneezed"}]}, headers=head).status_code == 422


def test_where_no_light_is_borne_it_goes_on_to_white_light(empty):
    from firstsheet.acts import own, wish
    from tests.web.conftest import CAMERA

    own.add_camera(empty, CAMERA)
    own.add_box(empty, {"name": "C", "paper": "ra4", "size": "12x16 in", "sheets": "10"})
    own.add_developer(empty, {"name": "colour one", "kind": "ra4"})
    own.add_meter(empty, {"name": "m", "kind": "hand"})
    wish.say(empty, {"light": "overcast", "subject": "3 m", "reading": "EV 11", "way": "reversal_ra4"})
    code = expose.keep(empty).code
    c = client_of(empty)
    page = c.get(f"/book/{code}/expose").text
    assert "from the box to white light" in page
    assert "you may switch on the light" in page
    run = lasts_s(c.get(f"/trays/{code}/track.wav"))
    # The same run after another lead: longer by the exposure and the way to it, less the minute's lead.
    assert lasts_s(c.get(f"/book/{code}/sheet.wav")) > run + 60


def expose_plan(book, code):
    return book.get_sheet(code)["body"]["plan"]
