"""A strip and its curves on their pages: asked about, taken back, had again."""

import numpy as np
import pytest

from firstsheet.acts import calibrate, own
from tests.strips.synth import picture

from .conftest import client_of

TYPED = {
    "densities": "0.09 0.10 0.11 0.14 0.18 0.26 0.39 0.57 0.80 1.05 1.29 1.47 1.60", "light": "tungsten", "developer": "coffee", "box": "N",
}  # fmt: skip


@pytest.fixture
def web(book):
    own.add_box(book, {"name": "N", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
    return client_of(book)


def test_a_curve_of_steps_alone_is_taken_back_and_had_again_by_its_page(web):
    page = web.post("/strips/typed", data=TYPED | {"exposures": "steps of √2"})
    assert "the speed is not" in page.text
    back = web.post(page.url.path, data={"do": "withdraw"})
    assert "taken back" in back.text
    assert "Have its shape again" in back.text
    assert "taken back" in web.get("/strips").text
    again = web.post(back.url.path)
    assert again.status_code == 200
    assert "Have its shape again" not in again.text
    assert "only its shape is gone by" in web.get("/strips").text


def test_a_corner_a_step_off_is_asked_about_on_the_page(web, book):
    data, _ = picture(np.random.default_rng(5), "clean", 800, steps=9)
    at = web.post(
        "/strips", files={"picture": ("s.jpg", data, "image/jpeg")}, data={"steps": "9", "sense": "negative"}
    ).url.path
    (a, b, c, d) = calibrate.strip(book, int(at.rsplit("/")[-1])).corners
    off = (a[0] + (a[0] - b[0]) / 9, a[1] + (a[1] - b[1]) / 9)
    said = " ".join(f"{x:.4f},{y:.4f}" for x, y in (off, b, c, d))
    asked = web.post(at, data={"corners": said, "steps": "9"})
    assert asked.status_code == 422
    assert "corner 1" in asked.text
    assert 'name="meant"' in asked.text
    assert "Back to the first outline" in asked.text
    assert "Back to the first outline" not in web.get(at).text
    web.post(at, data={"corners": said, "steps": "9", "meant": "yes"})
    assert "Back to the first outline" in web.get(at).text
    web.post(at, data={"corners": said, "steps": "9", "do": "found"})
    assert "Back to the first outline" not in web.get(at).text
