"""Who may come in from the network: a code that works once, exchanged for a cookie that this book remembers."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
from typing import TYPE_CHECKING

from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book

COOKIE = "firstsheet"
CODE_BYTES = 12  # 96 bits: not to be guessed while a code is valid
VALID_S = 900.0
MOST_DEVICES = 20
SETTING = "devices"


class Entry:
    """Codes and devices. Codes live in this process; devices are kept in the book, so that a restart in the
    middle of a run does not lock out the phone that keeps its time."""

    def __init__(self, book: Book, code: str | None, address: str = "") -> None:
        self.book = book
        self.open = code is not None
        self.address = address
        self._code = code
        self._made = book.now()
        self._turn = threading.Lock()
        self._known: set[str] = set(book.get_setting(SETTING, {}) or {})

    def code(self) -> str | None:
        """The code that is valid now, or None."""
        stale = (self.book.now() - self._made).total_seconds() > VALID_S
        return None if stale or not self.open else self._code

    def renew(self) -> str:
        """A new code; the one before is worth nothing from now on."""
        with self._turn:
            self._code, self._made = new_code(), self.book.now()
            return self._code

    def exchange(self, said: str) -> str:
        """A token for a device in exchange for the valid code, once. Refusal for anything else."""
        with self._turn:
            valid = self.code()
            if valid is None or not hmac.compare_digest(valid.encode(), said.strip().encode()):
                hint = "Ask for a new code on the computer: its page “Link a phone” shows one."
                raise Refusal.one("code", said[:8], "A code that was not used before.", hint)
            self._code = None
            token = secrets.token_urlsafe(32)
            devices = dict(self.book.get_setting(SETTING, {}) or {})
            devices[_digest(token)] = self.book.now().isoformat()
            newest = dict(sorted(devices.items(), key=lambda kv: str(kv[1]))[-MOST_DEVICES:])
            self.book.set_setting(SETTING, newest)
            self._known = set(newest)
            return token

    def knows(self, token: str | None) -> bool:
        """Whether this token was given to a device."""
        return bool(token) and _digest(str(token)) in self._known

    def forget(self) -> None:
        """Lock out every device that was let in."""
        with self._turn:
            self.book.set_setting(SETTING, {})
            self._known = set()


def new_code() -> str:
    return secrets.token_urlsafe(CODE_BYTES)


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
