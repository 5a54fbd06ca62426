"""The filter pack over the web: from what is seen to the next pack, taken back, refused; the same as JSON."""

from __future__ import annotations

import html

import pytest

from firstsheet.acts import expose, own, wish


@pytest.fixture
def colour(book):
    own.add_box(book, {"name": "C", "paper": "ra4", "size": "12x16 in", "sheets": "20"})
    book.set_setting("today", {**(book.get_setting("today") or {}), "box": "C"})
    return book


def text(answer):
    return html.unescape(answer.text)


def test_what_is_seen_changes_the_pack_and_can_be_taken_back(client, colour):
    first = client.get("/api/pack?light=sun").json()
    page = client.get("/pack?light=sun&seconds=20 s")
    assert page.status_code == 200
    assert first["first"].split(",")[0] in text(page)
    assert "total darkness" in text(page)
    after = client.post("/pack/told", data={"colour": "blue", "much": "slightly", "light": "sun", "seconds": "20 s"})
    assert "slightly blue, right brightness" in text(after)
    # too blue: a reversal gets more yellow; common practice, no source
    assert client.get("/api/pack?light=sun").json()["figures"]["yellow_cc"]["value"] > first["figures"]["yellow_cc"]["value"]
    client.post("/pack/back", data={"light": "sun"})
    assert client.get("/api/pack?light=sun").json() == first


def test_six_patches_and_gels(client, colour):
    assert "Six patches on one sheet" in client.get("/pack?light=sun").text
    asked = client.post("/pack/ring", data={"light": "sun", "patches": "6"})
    assert "<td>" in asked.text
    rows = client.get("/api/pack/ring?light=sun").json()["rows"]
    assert len(rows) == 6
    kept = client.post("/pack/gels", data={"gels": "20Y 10M", "light": "overcast", "seconds": "20 s"})
    assert "For overcast" in text(kept)
    assert "Kept: 20Y 10M" in text(kept)
    # a masked sheet that waits keeps its patches, whatever gels come or go
    assert client.get("/api/pack/ring?light=sun").json()["rows"] == rows
    few = client.post("/pack/ring", data={"light": "sun", "patches": "6", "again": "yes"})
    assert few.status_code == 422  # of so few gels no six that tell anything
    assert "more gels" in text(few), text(few)
    client.post("/pack/gels", data={"gels": "20Y 20Y 40Y 10M 20M", "light": "overcast", "seconds": "20 s"})
    client.post("/pack/ring", data={"light": "sun", "patches": "6", "again": "yes"})
    assert client.get("/api/pack/ring?light=sun").json()["rows"] != rows
    assert "your gels cannot make" in text(client.get("/pack?light=sun"))


def test_patches_are_kept_as_a_sheet(client, colour):
    own.add_camera(colour, {"name": "other", "focal": "600 mm", "f_number": "f/16", "coverage": "60°", "board_min": "610 mm", "board_max": "1200 mm",
                            "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
    wish.say(colour, {"camera": "other", "reading": "EV 11", "light": "sun", "subject": "3 m", "way": "reversal_ra4"})
    client.post("/pack/ring", data={"light": "sun", "patches": "6"})
    assert "Keep it as a sheet" in client.get("/pack?light=sun").text
    page = client.post("/pack/sheet", data={"light": "sun", "sun": "seen"})
    assert page.status_code == 200
    words = text(page)
    assert "All patches given as planned" in words
    assert "Each patch its own pack" in words
    assert "By ear instead" not in words
    code = client.get("/api/sheets").json()[0]["code"]
    assert len(client.get(f"/api/sheets/{code}").json()["patches"]) == 6
    assert f"Sheet {code}" in text(client.get("/pack?light=sun"))
    client.post(f"/book/{code}/expose")
    bench = text(client.get(f"/bench/{code}"))
    assert "Read its patches" in bench
    assert "First the border" not in bench
    assert "6 patches" in text(client.get("/book"))
    assert client.post(f"/bench/{code}", data={"border": "black", "seen": "too_dark"}).status_code == 422


def test_what_cannot_be_is_said_beside_its_field(client, colour, book):
    bad = client.post("/pack/told", data={"light": "sun"})
    assert bad.status_code == 422
    assert "What you see" in text(bad) or "Choose one" in text(bad)
    lone = client.post("/pack/told", data={"colour": "blue", "given": "9 s", "light": "overcast"})
    assert "beside the seconds given" in text(lone)
    assert client.post("/pack/gels", data={"gels": "20Q"}).status_code == 422
    book.set_setting("today", {**book.get_setting("today"), "box": "D"})
    assert "colour paper" in text(client.get("/pack"))


def test_a_photo_is_touched_on_its_white_and_its_grey(client, colour):
    from io import BytesIO

    from PIL import Image

    # drawn, invented: a grey that is too blue, on the left; white card on the right
    picture = Image.new("RGB", (400, 200), (112, 112, 132))
    picture.paste((236, 236, 236), (200, 0, 400, 200))
    out = BytesIO()
    picture.save(out, "JPEG", quality=95, subsampling=0)
    first = client.get("/api/pack?light=sun").json()
    page = client.post("/pack/photo", data={"light": "sun"}, files={"photo": ("a.jpg", out.getvalue(), "image/jpeg")})
    assert "Touch the white" in text(page)
    where = page.url.path
    grey = client.post(where, data={"light": "sun", "across": "75", "down": "50", "by": "place"})
    assert "Now touch the grey" in text(grey)
    done = client.post(where, data={"light": "sun", "places": "0.75,0.5", "spot.x": "87", "spot.y": "87"})
    assert "grey patch by photo" in text(done)
    # too blue: a reversal gets more yellow; common practice, no source
    assert client.get("/api/pack?light=sun").json()["figures"]["yellow_cc"]["value"] > first["figures"]["yellow_cc"]["value"]
    wrong = client.post(where, data={"light": "sun", "places": "0.25,0.5", "across": "75", "down": "50", "by": "place"})
    assert wrong.status_code == 422
    assert "Touch the white" in text(wrong)
    assert client.post("/pack/photo", data={"light": "sun"}).status_code == 422
    client.post("/pack/ring", data={"light": "sun", "patches": "4"})
    # corners that do not make a sheet are refused, and all begins again
    bad = client.post(where, data={"light": "sun", "patches": "4", "places": "0.75,0.5 0.1,0.1 0.9,0.9 0.9,0.1", "across": "10", "down": "90", "by": "place"})
    assert bad.status_code == 422


def test_no_picture_in_red_and_the_mask_to_print(client, colour):
    client.cookies.set("light", "red")
    assert 'type="file"' not in client.get("/pack?light=sun").text
    client.cookies.set("light", "sun")
    assert 'type="file"' in client.get("/pack?light=sun").text
    mask = client.get("/pack/mask.svg?patches=6&light=sun")
    assert mask.headers["content-type"].startswith("image/svg")
    assert 'class="window"' in mask.text
    client.post("/pack/ring", data={"light": "sun", "patches": "6"})
    assert "/pack/mask.svg?" in client.get("/pack?light=sun").text
    # read without its patches having been asked for: said so, in the light it was told for
    none = client.get("/pack/mask.svg?light=overcast")
    assert none.status_code == 200


@pytest.mark.parametrize("code", ["ZZZZ", "not a code", "<b>", "K7QD" * 40])
def test_a_sheet_that_is_not_there_is_said_and_the_page_stays(client, colour, code):
    for answer in (client.get("/pack", params={"sheet": code}), client.post("/pack/told", data={"sheet": code, "colour": "blue"})):
        assert answer.status_code in (404, 422)
        assert "Filter pack" in answer.text or "The filter pack" in answer.text
        assert "<b>" not in answer.text


def test_a_told_sheet_leads_to_the_pack_of_its_own_light(client, colour, book):
    own.add_camera(book, {"name": "shed", "focal": "600 mm", "f_number": "f/8", "stops": "8 11 16 22", "coverage": "60°", "board_min": "610 mm",
                          "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
    own.add_developer(book, {"name": "bought", "kind": "paper"})
    own.add_meter(book, {"name": "a meter", "kind": "hand"})
    wish.say(book, {"camera": "shed", "developer": "bought", "meter": "a meter", "reading": "EV 13", "light": "open_shade", "subject": "3 m", "aperture": "f/8", "box": "C", "way": "reversal_ra4"})
    code = expose.keep(book, {"sun": "seen"}).code
    expose.expose(book, code)
    wish.say(book, {"light": "sun"})  # and the day goes on elsewhere
    assert f"Sheet {code}, through" in text(client.get(f"/pack?sheet={code}"))
    told = client.post("/pack/told", data={"sheet": code, "colour": "blue", "bright": "right"})
    assert "For open shade" in text(told)
    # a photo of such a sheet belongs to it as well
    page = client.get(f"/pack?sheet={code}").text
    form = page[page.index('action="/pack/photo"') :]
    assert f'name="sheet" value="{code}"' in form[: form.index("</form>")]
