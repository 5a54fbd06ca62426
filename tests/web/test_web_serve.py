"""Serving: this machine alone unless asked; a taken port is said; a phone's code is printed once."""

import socket

import pytest

from firstsheet.refusal import Refusal
from firstsheet.web import serve as serving


def test_another_address_is_not_given_by_accident():
    with pytest.raises(Refusal, match="--lan"):
        serving.serve(None, host="0.0.0.0")


def test_a_taken_port_is_said(tmp_path):
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        s.listen()
        with pytest.raises(Refusal, match="--port"):
            serving.serve(tmp_path / "b.sqlite", port=s.getsockname()[1])


def test_the_greeting():
    alone = serving._greeting(8765, "", None)
    assert "http://127.0.0.1:8765" in alone
    assert "code" not in alone
    lan = serving._greeting(8765, "http://192.0.2.7:8765", "abc")
    assert "http://192.0.2.7:8765/in?code=abc" in lan
    assert "works once" in lan
    assert len(lan.splitlines()) > 12  # the QR picture
