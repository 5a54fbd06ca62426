"""The pages about lens and room: a question is a link, keeping is a button, a refusal stands beside its field; and JSON."""

from tests.web.conftest import client_of


def test_the_board_leads_to_the_lens_and_its_measuring(said):
    c = client_of(said)
    assert 'href="/room/lens"' in c.get("/board").text
    page = c.get("/room/lens").text
    assert "Never look into the lens" in page
    for path in ("focal", "pupil", "barrel", "discs", "shutter", "hand", "single", "pinhole"):
        assert f'href="/room/lens/{path}"' in page
        assert c.get(f"/room/lens/{path}").status_code == 200


def test_every_page_of_the_room_is_a_touch_from_the_board_or_from_there(said):
    from firstsheet.web.lensroomwords import NEXT, TITLES

    c = client_of(said)
    page = c.get("/board").text
    assert page.index("Look before you expose") < page.index("Where things go") < page.index("The lens</h2>")
    assert all(f'href="{k}"' in page for k in ("/ahead", "/focus"))
    onward = {k for keys in NEXT.values() for k in keys}
    assert [k for k in TITLES if f'href="/room/{k}"' not in page and k not in onward] == []


def test_measured_kept_and_shown(said):
    c = client_of(said)
    asked = {"thing": "200 mm", "first": "40 mm", "second": "100 mm", "travel": "186 mm"}
    assert "The focal length is 620 mm" in c.get("/room/lens/focal", params=asked).text
    assert "600 mm, f/8" in c.get("/room/lens").text
    assert "Kept with the camera." in c.post("/room/lens/focal", data=asked).text
    assert "620 mm, f/8" in c.get("/room/lens").text


def test_refused_beside_the_field(said):
    c = client_of(said)
    wrong = c.get("/room/lens/focal", params={"card": "much"})
    assert wrong.status_code == 422
    assert "“much”" in wrong.text
    assert c.post("/room/lens/hand", data={"wanted": "2 s"}).status_code == 422
    assert c.get("/room/nothing").status_code == 404
    assert c.get("/room/lens/barrel", params={"length": "12 cm", "front": "80 mm"}).text.count("<tr>") == 4


def test_as_json(said):
    c = client_of(said)
    found = c.get("/api/room/lens/pinhole", params={"board": "1 m"}).json()
    assert found["figures"]["hole_mm"]["unit"] == "mm"
    assert len(found["rows"]) == 8
    assert c.post("/api/room/lens/pupil", json={"front": "80 mm", "keep": "yes"}).json()["kept"]
    assert c.get("/api/room/lens").json()["figures"]["f_number"]["value"] == 7.5
    assert c.get("/api/room/lens/pupil").json()["refused"][0]["where"] == "front"


def test_distances_marks_and_ruler(said):
    c = client_of(said)
    board = c.get("/board").text
    for path in ("distances", "marks", "ruler"):
        assert f'href="/room/{path}"' in board
    assert "Board 900 mm, sitter 1.8" in c.get("/room/distances", params={"magnification": "1/2"}).text
    wrong = c.get("/room/distances", params={"magnification": "1/2", "head": "9 m"})
    assert wrong.status_code == 422
    assert "agree" in wrong.text
    assert c.get("/api/room/distances", params={"head": "115 mm"}).json()["figures"]["board_mm"]["value"] == 900
    assert c.get("/room/ruler/print").text.count("<svg") == 2
    c.cookies.set("light", "red")
    assert "sun light first" in c.get("/room/ruler/print").text


def test_the_map_says_why_at_a_touch(said):
    import html
    import re

    c = client_of(said)
    page = c.get("/room/fits").text
    links = re.findall(r'<a class="cell[^"]*" href="([^"]+)"', page)
    assert len(links) == 48
    told = c.get(html.unescape(links[0]))
    assert "8 × 10 in, sitter at 1.2 m: too close" in told.text
    assert "a lens from" in c.get("/room/lenses", params={"magnification": "1/2"}).text
    assert c.get("/api/room/fits").json()["rows"][0]["fit"] == "too close"


def test_how_sharp(said):
    c = client_of(said)
    assert "mm smear" in c.get("/board").text
    page = c.get("/room/sharp", params={"pose": "standing", "time": "4 s", "aperture": "f/11"}).text
    assert "Standing, 4.0 s at f/11" in page
    assert 'class="true-size"' in page
    assert c.get("/room/sharp").status_code == 200  # as planned
    assert len(c.get("/api/room/sharp", params={"time": "4 s"}).json()["rows"]) == 6


def test_how_evenly(said):
    c = client_of(said)
    page = c.get("/room/even", params={"right": "60 mm"}).text
    assert 'class="even-map"' in page
    assert "Move the sheet 60 mm left" in page
    assert c.get("/room/even", params={"right": "x"}).status_code == 422
    assert len(c.get("/api/room/even").json()["rows"]) == 49


def test_dark_enough(said):
    c = client_of(said)
    assert 'href="/room/dark"' in c.get("/board").text
    assert 'href="/room/dark"' in c.get("/leaktest").text
    page = c.get("/room/dark", params={"walls": "wood", "lux": "0.5"}).text
    assert "This paper is fogged by a leak of" in page
    assert 'href="/leaktest"' in page
    assert page.index("Never look into the lens") < page.index("This paper is fogged")
    assert c.get("/room/dark", params={"walls": "x"}).status_code == 422
    assert "Kept with the camera." in c.post("/room/dark", data={"walls": "black"}).text
    assert len(c.get("/api/room/dark").json()["rows"]) == 3 + 5 + 3


def test_section_and_plan(said):
    c = client_of(said)
    page = c.get("/room/drawing", params={"scale": "1:50"}).text
    assert 'class="room-section"' in page
    assert 'class="room-plan"' in page
    assert 'href="/room/drawing/print?scale=1%3A50"' in page
    assert "1:50. Print at 100 %" in c.get("/room/drawing/print", params={"scale": "1:50"}).text
    assert c.get("/room/drawing", params={"scale": "x"}).status_code == 422
