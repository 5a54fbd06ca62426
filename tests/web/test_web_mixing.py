"""The chemistry pages: every one of them answers, in three lights; a form with all its problems; a bottle from form to label."""

from __future__ import annotations

import pytest
from fastapi.testclient import TestClient

from firstsheet.book.store import Book
from tests.web.conftest import client_of


@pytest.fixture
def client(empty: Book) -> TestClient:
    return client_of(empty)


@pytest.fixture
def bottle(client: TestClient) -> str:
    answer = client.post("/mix/keep", data={"recipe": "coffee", "volume": "2 l", "have": "soda crystals"})
    assert answer.status_code == 200
    return str(answer.url).rsplit("/", 1)[1]


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_every_page_answers_in_every_light(client: TestClient, bottle: str, light: str) -> None:
    client.cookies.set("light", light)
    pages = [
        "/mix",
        "/mix/substances",
        "/mix/substances/hydroquinone",
        "/mix/recipe/coffee",
        "/mix/recipe/ra4_set",
        "/mix/check",
        "/mix/thin",
        "/mix/own",
    ]
    pages += [
        f"/mix/{bottle}",
        f"/mix/{bottle}/card",
        f"/mix/{bottle}/card?step=2",
        f"/mix/{bottle}/print",
        "/mix/recipe/coffee?volume=2+l",
    ]
    for page in pages:
        answer = client.get(page)
        assert answer.status_code == 200, page
        assert "<script" not in answer.text


def test_the_bench_leads_there(client: TestClient) -> None:
    assert 'href="/mix"' in client.get("/bench").text


def test_looking_keeps_nothing(client: TestClient) -> None:
    assert "175 g" in client.get("/mix/recipe/coffee?tray=300x400+mm&have=soda+crystals").text
    assert "Bottles" not in client.get("/mix").text


def test_the_card_shows_one_number(client: TestClient, bottle: str) -> None:
    """2 l at 54 g/l of anhydrous are 291.6 g of crystals, 2.70 times as much [Langford-9]."""
    page = client.get(f"/mix/{bottle}/card?step=2").text
    assert ">292<" in page
    assert "2 of 5" in page
    assert ">1400<" not in page
    assert "Before you begin" in client.get(f"/mix/{bottle}/card?step=999").text


def test_the_label_has_what_when_and_hazard(client: TestClient, bottle: str) -> None:
    page = client.get(f"/mix/{bottle}/print").text
    for words in ("coffee developer", "Use by", "H319", "Not a drink"):
        assert words in page


def test_a_form_shows_every_problem_beside_its_field(client: TestClient) -> None:
    answer = client.get("/mix/recipe/coffee?volume=1+gal&have=washing+soda")
    assert answer.status_code == 422
    assert answer.text.count('aria-invalid="true"') == 2
    assert "imperial" in answer.text
    assert "decahydrate" in answer.text


def test_baking_soda_is_refused_on_the_page(client: TestClient) -> None:
    assert "nothing develops" in client.get("/mix/recipe/coffee?volume=1+l&have=baking+soda").text


def test_what_gives_off_gas_comes_first(client: TestClient) -> None:
    page = client.get("/mix/check?lines=10+g+citric+acid%3B+20+g+sodium+sulfite+anhydrous&makes=1+l").text
    assert page.index("sulphur dioxide") < page.index("Do not make it")


def test_one_s_own_recipe_is_kept_and_offered(client: TestClient) -> None:
    form = {"name": "my coffee", "lines": "54 g soda ash; 16 g vitamin C; 40 g instant coffee", "kind": "developer"}
    assert "My coffee" in client.post("/mix/own", data=form).text
    assert "My coffee" in client.get("/mix").text
    wrong = client.post("/mix/own", data={"name": "x", "lines": "54 g washing soda"})
    assert wrong.status_code == 422
    assert "may be any of" in wrong.text


def test_thrown_away_and_back(client: TestClient, bottle: str) -> None:
    page = client.post(f"/mix/{bottle}", data={"do": "spent"})
    assert "thrown away" in page.text
    assert "It is still in use" in page.text


@pytest.mark.parametrize(
    "path", ["/mix/recipe/nothing", "/mix/99", "/mix/x", "/mix/99/card", "/mix/substances/gravel", "/mix/recipe/%00"]
)
def test_what_is_not_there(client: TestClient, path: str) -> None:
    assert client.get(path).status_code in (404, 422)


def test_what_people_write_cannot_become_markup(client: TestClient) -> None:
    page = client.get("/mix/check?lines=%3Cb%3Ex&makes=%3Ci%3E").text
    assert "<b>x" not in page
    assert "<i>" not in page


def test_a_bath_from_pouring_to_waste(client: TestClient) -> None:
    """Six 12x16 in sheets, 0.743 m², at 0.85 g/m² in 2 l: 0.32 of 0.5 g/l, so about 3 more."""
    assert client.post("/mix/bath", data={"name": "fixer", "kind": "soup", "volume": "1 gal"}).status_code == 422
    poured = client.post("/mix/bath", data={"name": "fixer", "kind": "fixer_single", "volume": "2 l"})
    assert poured.url.path == "/mix/bath/fixer"
    counted = client.post("/mix/bath/fixer", data={"sheets": "6", "size": "12x16 in"})
    assert '<span class="figures">3</span>' in counted.text
    assert client.post("/mix/bath/fixer", data={"silver": "2"}).status_code == 422
    assert "local authority" in client.post("/mix/bath/fixer", data={"do": "end"}).text
    assert "It is still in use" in client.get("/mix/bath/fixer").text
    assert "Thrown away" in client.get("/mix/bath").text
    assert client.get("/mix/bath/none").status_code == 404
    client.cookies.set("light", "red")
    assert client.get("/mix/bath").status_code == 200


def test_a_spoon_weighed_on_its_page(client: TestClient) -> None:
    assert client.post("/mix/substances/instant_coffee", data={"weight": "1 kg"}).status_code == 422
    assert "A spoon of yours" in client.post("/mix/substances/instant_coffee", data={"weight": "23 g"}).text


def test_said_otherwise_with_what_was_said(client: TestClient) -> None:
    page = client.get("/mix/recipe/coffee?volume=3+l&again=1")
    assert page.status_code == 200
    assert 'value="3 l"' in page.text


def test_waste_is_handed_in(client: TestClient) -> None:
    client.post("/mix/bath", data={"name": "fixer", "kind": "fixer_single", "volume": "2 l"})
    client.post("/mix/bath/fixer", data={"do": "end"})
    assert "To hand in: 2 l" in client.get("/mix/bath").text
    assert "To hand in" not in client.post("/mix/bath/waste").text


def test_a_strip_on_the_page(client: TestClient) -> None:
    lines = {"lines": "5 g soda ash; 40 g instant coffee", "makes": "1 l"}
    assert "A strip tells it" in client.get("/mix/recipe/coffee?volume=2+l").text
    assert "It read pH" in client.get("/mix/check", params=lines).text
    wrong = client.post("/mix/check", data=lines | {"ph": "13"})
    assert wrong.status_code == 422
    assert "It read pH" in wrong.text
    assert "Your coffee takes about" in client.post("/mix/check", data=lines | {"ph": "9.5"}).text
    assert "A strip tells it" not in client.get("/mix/recipe/coffee?volume=2+l").text
