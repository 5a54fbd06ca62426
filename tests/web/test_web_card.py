"""The card's pages: reached from the strips, printed, measured once and typed from then on."""

from tests.web.conftest import client_of


def test_the_card_is_reached_printed_and_measured_once(said):
    c = client_of(said)
    assert 'href="/strips/card"' in c.get("/strips").text
    page = c.get("/strips/card")
    assert "not known" in page.text
    assert 'href="/strips/card/print"' in page.text
    assert "<svg" in c.get("/strips/card/print").text
    drawing = c.get("/strips/card/drawing.svg")
    assert drawing.headers["content-type"] == "image/svg+xml"
    assert "attachment" in drawing.headers["content-disposition"]
    c.post("/strips/card", data={"white": "0.07", "black": "1.85", "greys": "0.35 0.65 0.95 1.25"})
    strips = c.get("/strips").text
    for value in ('value="0.07"', 'value="1.85"', 'value="0.35 0.65 0.95 1.25"'):
        assert value in strips
    c.post("/strips/card", data={"forget": "yes"})
    assert 'value="1.85"' not in c.get("/strips").text


def test_told_by_a_spot_meter_it_is_filled_in_with_its_doubt(said):
    c = client_of(said)
    c.post("/strips/card", data={"readings": "12 11 10 9 8 6"})
    strips = c.get("/strips").text
    for value in ('value="0.08"', 'value="1.89"', 'value="0.05"'):
        assert value in strips


def test_a_black_that_is_too_pale_is_refused_beside_its_field(said):
    wrong = client_of(said).post("/strips/card", data={"black": "1.40"})
    assert wrong.status_code == 422
    assert "Glue a piece of fully blackened" in wrong.text


def test_nothing_white_in_red_light(said):
    c = client_of(said)
    c.cookies.set("light", "red")
    assert "<rect" not in c.get("/strips/card").text
    assert c.get("/strips/card/print").status_code == 422
