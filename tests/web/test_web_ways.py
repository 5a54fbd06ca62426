"""The pages of ways at the trays and of warmth: in three lights, without script, each refusal beside its field."""

from __future__ import annotations

import pytest
from fastapi.testclient import TestClient

from firstsheet.acts import at_trays, expose, mixing_baths, run
from firstsheet.book.store import Book
from tests.web.conftest import client_of


@pytest.fixture
def client(said: Book) -> TestClient:
    return client_of(said)


@pytest.fixture
def code(said: Book) -> str:
    made = expose.keep(said).code
    expose.expose(said, made)
    return made


def copied(client: TestClient) -> None:
    answer = client.post("/ways/copy", data={"name": "large sheets", "of": "direct_positive"})
    assert answer.status_code == 200
    assert "Your own direct positive" in answer.text


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_every_page_answers_in_every_light(client: TestClient, code: str, light: str) -> None:
    copied(client)
    client.cookies.set("light", light)
    for page in ("/ways", "/ways/way?name=reversal_ra4", "/ways/way?name=large+sheets", "/ways/step?name=large+sheets&step=fix",
                 "/warmth", "/warmth?temperature=20+C&way=reversal_ra4&base=fibre", f"/warmth/{code}"):  # fmt: skip
        answer = client.get(page)
        assert answer.status_code == 200, page
        assert "<script" not in answer.text


def test_the_trays_lead_there(client: TestClient, code: str) -> None:
    trays = client.get("/trays").text
    assert 'href="/ways"' in trays
    assert 'href="/warmth"' in trays
    assert f'href="/warmth/{code}"' in client.get(f"/book/{code}").text


def test_a_way_from_copy_to_run(client: TestClient, code: str, said: Book) -> None:
    copied(client)
    client.post("/ways/add", data={"name": "large sheets", "liquid": "soak", "after": "start"})
    page = client.post("/ways/change", data={"name": "large sheets", "step": "developer", "time": "8:00", "window": "7:00 to 9:00"})  # fmt: skip
    assert "lift between 7:00 and 9:00" in page.text
    client.post("/ways/change", data={"name": "large sheets", "step": "soak", "time": "1:00"})
    assert "Back to what came along" in client.post("/ways/use", data={"name": "large sheets"}).text
    steps = run.process_of(said, code).steps
    assert [(s.key, s.seconds) for s in steps[:2]] == [("soak", 60), ("developer", 480)]
    client.post("/ways/change", data={"name": "large sheets", "step": "soak", "do": "remove"})
    assert run.process_of(said, code).steps[0].key == "developer"
    client.post(f"/warmth/{code}", data={"way": "direct_positive"})
    assert run.process_of(said, code).steps[0].seconds == 390
    assert client.post("/ways/use", data={"name": "large sheets", "do": "remove"}).url.path == "/ways"
    assert client.get("/ways/way?name=large+sheets").status_code == 404


@pytest.mark.parametrize(
    ("path", "data", "words"),
    [
        ("/ways/copy", {"name": "contact print"}, "no way has yet"),
        ("/ways/change", {"name": "large sheets", "step": "developer", "time": "soon"}, "soon"),
        ("/ways/change", {"name": "large sheets", "step": "fix", "do": "remove"}, "goes on darkening"),
        ("/ways/change", {"name": "large sheets", "step": "wash", "after": "start"}, "begins with"),
        ("/ways/add", {"name": "large sheets", "liquid": "second_fix", "after": "developer"}, "second fixer after the first"),
        ("/ways/add", {"name": "large sheets"}, "Choose one"),
    ],
)  # fmt: skip
def test_what_is_wrong_stands_on_the_page(client: TestClient, path: str, data: dict[str, str], words: str) -> None:
    copied(client)
    answer = client.post(path, data=data)
    assert answer.status_code == 422
    assert words in answer.text
    assert "<form" in answer.text


@pytest.mark.parametrize("path", ["/ways/way?name=tea", "/ways/way", "/ways/step?name=paper_negative&step=fix", "/ways/step", "/warmth/QQQQ"])  # fmt: skip
def test_what_is_not_there(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_a_cold_bath_is_told_where_it_is_mended(client: TestClient, code: str, said: Book) -> None:
    mixing_baths.open_bath(said, {"name": "dev", "kind": "developer_coffee", "volume": "2 l", "temperature": "10 C"})
    assert "Warm the bath" in client.get(f"/trays/{code}").text
    page = client.get(f"/warmth/{code}")
    assert page.status_code == 422
    assert "Warm the bath" in page.text
    assert 'name="temperature"' in page.text
    warm = client.post(f"/warmth/{code}", data={"temperature": "18 C"})
    # 390 s × 2^0.2 = 448 s = 7:28
    assert "7:28" in warm.text
    assert client.get(f"/trays/{code}").status_code == 200
    assert client.post(f"/warmth/{code}", data={"temperature": "hot"}).status_code == 422
    assert client.post(f"/warmth/{code}", data={"do": "baths"}).status_code == 422
    assert at_trays.of(said, code) == {"temperature": {"": 18.0}}


def test_first_appearance_is_drawn(client: TestClient, said: Book) -> None:
    client.post("/mix/bath", data={"name": "dev", "kind": "developer_coffee", "volume": "2 l", "temperature": "20 C", "developer": "coffee"})  # fmt: skip
    for shown in ("40 s", "52 s"):
        page = client.post("/mix/bath/dev", data={"appeared": shown})
    assert "developer coffee" in page.text
    assert "First appearance of the image, 2 readings: 1 times after 0.0 h, 1.3 times" in page.text


def test_a_kept_mix_is_poured(client: TestClient, said: Book) -> None:
    bottle = str(client.post("/mix/keep", data={"recipe": "metol_hydroquinone", "volume": "2 l"}).url).rsplit("/", 1)[1]
    wrong = client.post(f"/mix/{bottle}/pour", data={"temperature": "warm", "developer": "coffee"})
    assert wrong.status_code == 422
    assert 'value="warm"' in wrong.text
    assert client.post(f"/mix/{bottle}/pour", data={"do": "developer", "developer": "bought"}).url.path == "/own"
    page = client.post(f"/mix/{bottle}/pour", data={"temperature": "19 C", "developer": "bought"})
    assert page.url.path == "/mix/bath/bought"
    assert "developer bought" in page.text
