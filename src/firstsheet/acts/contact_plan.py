"""A contact print as the sheet that is planned next: by lamp and negative, so that it is kept, exposed and judged as every sheet is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from firstsheet.acts import contact, contact_lit
from firstsheet.acts import plan as planning

if TYPE_CHECKING:
    from firstsheet.acts.answers import Plan
    from firstsheet.acts.door import Form
    from firstsheet.book.store import Book

# What belongs to the evening's paper is said once, by the plan's own box and developer.
OF_TODAY = ("box", "developer")


def say(book: Book, form: Form | None = None) -> Plan:
    """Make it the plan, until a board is read or another way chosen. Fields as of `contact.contact`; it needs a camera, box and developer as every plan."""
    with book.begin():
        contact.contact(book, form)
        said = contact_lit.read(book, form)
        phrase = {
            k: str(v).strip() for k, v in (form or {}).items() if str(v).strip() and k not in OF_TODAY
        } | {"lamp": said.lamp["name"], "negative": said.negative["name"]}
        today = {"way": contact_lit.WAY, "box": said.box.name, "developer": said.developer.name}
        book.set_setting("today", dict(book.get_setting("today") or {}) | today)
        book.set_setting("phrase", dict(book.get_setting("phrase") or {}) | {"lit": phrase})
        return planning.plan(book)
