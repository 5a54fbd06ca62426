"""Large pictures are read one at a time: what one takes bounds what many take."""

from __future__ import annotations

import threading

import pytest

from firstsheet.light import photo
from tests.light import pictures


def test_one_picture_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    data = pictures.as_file(pictures.flat(0.18))
    inside, most, real = 0, 0, photo._opened
    counting = threading.Lock()

    def opened(*args: object) -> object:
        nonlocal inside, most
        with counting:
            inside += 1
            most = max(most, inside)
        try:
            threading.Event().wait(0.02)
            return real(*args)  # type: ignore[arg-type]
        finally:
            with counting:
                inside -= 1

    monkeypatch.setattr(photo, "_opened", opened)
    threads = [threading.Thread(target=photo.receive, args=(data,)) for _ in range(6)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert most == 1
