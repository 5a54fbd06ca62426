"""Contrast and flash, and the routes, over the web: what a person fills in, what is refused, and the same answers as JSON."""

from __future__ import annotations

import html

import pytest

from firstsheet.acts import expose
from tests.acts_contrast.conftest import drawn


def text(answer):
    return html.unescape(answer.text)


COUNTED = {"times": "1 2 4 8 s", "shows": "3", "under": "lamp at 2 m"}


def test_from_the_question_to_a_flashed_sheet(client, book):
    """Not measured, so no flash; a scrap is told; then the seconds, the plan with it, and the sheet that got it."""
    first = client.get("/contrast?range=6")
    assert first.status_code == 200
    assert "its threshold was never measured" in text(first)
    assert client.post("/contrast/plan", data={"do": "yes"}, follow_redirects=False).status_code == 303  # kept, and then the plan says what lacks
    assert "threshold measured first" in text(client.get("/"))
    client.post("/contrast/found", data=COUNTED)
    page = text(client.get("/contrast?under=lamp at 2 m"))
    assert "2.0 s under lamp at 2 m" in page.replace("Flash ", "")
    assert "To be flashed, 70 %" in text(client.get("/"))
    code = expose.keep(book).code
    kept = text(client.post("/contrast/given", data={"code": code, "seconds": "2 s"}))
    assert "Flashed, not exposed" in kept
    assert "flashed, 70 % of the threshold, 2.0 s" in kept
    again = client.post("/contrast/given", data={"code": code})
    assert again.status_code == 422
    assert "not flashed yet" in text(again)
    client.post("/contrast/plan", data={"do": "no"})
    assert "To be flashed" not in text(client.get("/"))


@pytest.mark.parametrize(("query", "words"), [("range=wide", "wide"), ("range=900", "half a stop"), ("range=6&light=moon", "moon"), ("lux=dim", "dim")])
def test_what_is_not_understood_is_said_beside_the_field(client, book, query, words):
    client.post("/contrast/found", data=COUNTED)
    answer = client.get(f"/contrast?{query}")
    assert answer.status_code == 422
    assert words in text(answer)


def test_the_same_as_json(client, book):
    asked = client.get("/api/contrast?range=6")
    assert asked.json()["take"]
    refused = client.get("/api/flash/dose?lux=0.2")
    assert refused.status_code == 422
    assert refused.json()["refused"][0]["where"] == "flash"


@pytest.mark.parametrize("way", ["paper_negative", "contact_print", "direct_positive", "reversal_ra4", "reversal_bw"])
def test_the_page_of_every_route_has_its_line_and_its_cautions_first(client, book, way):
    page = client.get(f"/ways/way?name={way}")
    assert page.status_code == 200
    body = text(page)
    assert body.index('class="caution"') < body.index('class="way-line"')
    assert "in white light" in body
    assert client.get(f"/ways/line.svg?name={way}").headers["content-type"].startswith("image/svg")
    if way == "reversal_bw":
        assert "chlorine" in body[: body.index('class="way-line"')]


def test_the_price_of_a_litre(client, book):
    wrong = client.post("/ways/litre", data={"name": "direct_positive", "litre": "much"})
    assert wrong.status_code == 422
    done = client.post("/ways/litre", data={"name": "direct_positive", "litre": "2 EUR"})
    assert "in baths" in text(done)


def test_a_curve_is_drawn_with_its_flash(client, book):
    drawn(book, "D", "direct_positive", "coffee")
    page = text(client.get("/contrast?range=6"))
    assert "flashed" in page
    assert 'class="curve-plot"' in page


def test_a_way_of_ones_own_has_its_line_too(client, book):
    """A rinse of its own between stop and fixer: one more stretch than the shipped way, under the same lamp."""
    shipped = text(client.get("/ways/way?name=direct_positive"))
    client.post("/ways/copy", data={"name": "rinsed", "of": "direct_positive"})
    client.post("/ways/add", data={"name": "rinsed", "liquid": "rinse", "after": "stop", "time": "1:00"})
    mine = text(client.get("/ways/way?name=rinsed"))
    lit = [page.split('class="way-line"')[1].split("</svg>")[0].count('class="light-red"') for page in (shipped, mine)]
    assert lit[1] == lit[0] + 1
    assert "1:10" in mine  # a minute and ten seconds of drain
