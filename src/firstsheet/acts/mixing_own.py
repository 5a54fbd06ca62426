"""Recipes: those that come along, and the person's own, kept as versions; the newest counts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

from firstsheet import measures
from firstsheet import quantities as q
from firstsheet.acts.door import Door, Form, short_name
from firstsheet.chemistry import hazard, recipe, shelf, substance
from firstsheet.chemistry.recipe import KINDS, Line, Recipe
from firstsheet.measures import SaidAmount
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Row
    from firstsheet.book.store import Book


class Shelf(Protocol):
    """Where recipes of your own are: a book, or nothing where there is none yet."""

    def things(self, kind: str) -> list[Row]: ...


class NoBook:
    """No book yet: only the recipes that come along."""

    def things(self, kind: str) -> list[Row]:
        return []


KIND = "recipe"
LIMIT_G_PER_L = 2000.0
HEAPED = "A heaped spoon holds anything from one and a half to two level ones."


def recipes(reader: Shelf) -> list[Recipe]:
    """Every recipe: your own first, then those that come along."""
    return [made(t["name"], t["body"]) for t in reader.things(KIND)] + list(recipe.all_of_them().values())


def recipe_named(reader: Shelf, name: str) -> Recipe:
    """The recipe of that name or key. Refusal with the names there are."""
    asked = " ".join(name.split()).lower().replace("_", " ").replace("-", " ")
    have = recipes(reader)
    for r in have:
        if asked in (r.key.lower().replace("_", " ").replace("-", " "), r.words.lower().replace("-", " ")):
            return r
    names = ", ".join(r.key for r in have)
    raise Refusal.one("recipe", name, f"One of: {names}.", "Or keep your own first.", "missing")


def add_recipe(book: Book, form: Form) -> Recipe:
    """Keep a recipe of your own.

    Fields: name, lines (“54 g soda ash; 16 g vitamin C; 8 tsp instant coffee; 100 ml part A”), makes (“500 ml”; a litre unless said),
    kind (developer, stop, fixer, clearing, bleach, set, other), dilution (“1+2” where it is a stock), temperature, time, source, note.
    Refusal with every problem.
    """
    d = Door(form)
    name = d.must("name", short_name, "A name.", "Try “my coffee”.")
    makes = d.read("makes", measures.volume_ml) or 1000.0
    said = d.must(
        "lines",
        str,
        "What goes in, in the order of mixing.",
        "Try “54 g soda ash; 16 g vitamin C; 40 g instant coffee”.",
    )
    kind = d.pick("kind", KINDS) or "developer"
    dilution = d.read("dilution", measures.dilution)
    temperature = d.read("temperature", tray_c)
    time = d.read("time", q.duration_s)
    source, note = d.said("source"), d.said("note")
    if name and name.lower().replace(" ", "_").replace("-", "_") in recipe.all_of_them():
        d.problems.add("name", name, "A name that no recipe here has yet.", "Put “my” before it.")
    lines: list[dict[str, Any]] = []
    if said:
        with d.problems.at("lines"):
            lines = lines_of(said, makes)
    d.close()
    body = {
        "kind": kind, "lines": lines, "said": said, "makes_ml": makes, "dilution": d.said("dilution") if dilution else None,
        "temperature_c": temperature, "time_s": time, "source": source or "", "note": note or "",
    }  # fmt: skip
    book.add_thing(KIND, str(name), body)
    return made(str(name), body)


def lines_of(said: str, makes_ml: float) -> list[dict[str, Any]]:
    """Lines per litre as kept, from a list as said. Refusal with every line that is no amount of something known."""
    problems, out = Problems(), []
    for i, item in enumerate(measures.lines_of(said), 1):
        with problems.at(f"line {i}"):
            out.append(_line(item, makes_ml))
    problems.raise_if_any()
    return out


def _line(item: SaidAmount, makes_ml: float) -> dict[str, Any]:
    hazard.never_bleach(item.name)
    if item.number is None:
        raise Refusal.one("", item.name, "An amount with a unit before it.", f"Write it like “10 g {item.name}”.")
    per_l = 1000 / makes_ml
    if item.kind == "ml" and not substance.candidates(item.name):
        return {"part": item.name, "ml": item.number * per_l}
    s = substance.named(item.name)
    if item.heaped:
        raise Refusal.one("", item.name, "Level spoons.", HEAPED + " Say it level, or weigh it.")
    row: dict[str, Any] = {"of": s.key}
    if item.kind == "spoon":
        if s.spoon_g is None:
            raise Refusal.one(
                "", item.name, "A liquid is measured in ml.", f"A level teaspoon holds {item.spoon_ml:.0f} ml."
            )
        row |= {"spoons": item.number * per_l, "spoon_ml": item.spoon_ml}
        grams = item.number * item.spoon_ml / substance.SPOON_ML * s.spoon_g[0]
    elif item.kind == "tablet":
        row |= {"tablet_mg": item.tablet_mg}
        grams = item.number * (item.tablet_mg or 0.0) / 1000
    elif item.kind == "ml":
        if s.density is None:
            raise Refusal.one("", item.name, "A solid is weighed.", "Say its grams, or its level spoons.")
        grams = item.number * s.density
    else:
        grams = item.number
    if grams * per_l > LIMIT_G_PER_L:
        raise Refusal.one(
            "", item.name, f"At most {LIMIT_G_PER_L:.0f} g in a litre.", "Check what it makes, and the unit."
        )
    return row | {"g": grams * per_l}


def made(name: str, body: dict[str, Any]) -> Recipe:
    """A recipe of your own out of what is kept of it."""
    lines = []
    for row in body["lines"]:
        if "part" in row:
            lines.append(Line(None, row["part"], 0.0, part_ml_per_l=row["ml"]))
            continue
        s = substance.of(row["of"])
        lines.append(Line(s, s.words, row["g"], row.get("spoons"), row.get("spoon_ml", substance.SPOON_ML), tablet_mg=row.get("tablet_mg"),
                          apart=s.family == "ascorbate"))  # fmt: skip
    agents = [x.substance.family for x in lines if x.substance and x.substance.agent]
    agents += ["coffee" for x in lines if x.substance and x.substance.key == "instant_coffee"]
    t, time = body.get("temperature_c"), body.get("time_s")
    return Recipe(
        key=name, words=name, kind=body["kind"], lines=tuple(lines), source=body["source"] or "your own", stock=bool(body["dilution"]),
        dilution=body["dilution"], agents=tuple(agents), use_c=(t, t, t) if t is not None else None,
        time_s=(time, time) if time else None, time_source="your own", keeps_words="As long as you have found it to keep.",
        notes=(body["note"],) if body["note"] else (), own=True,
    )  # fmt: skip


def tray_c(text: str) -> float:
    """A bath's temperature [°C], 0 to 60: what a tray may have, and where pH can be reckoned."""
    found = q.temperature_c(text)
    if not 0 <= found <= 60:
        raise Refusal.one("", text, "A bath from 0 to 60 °C.", "Check the number and its unit.")
    return found


def jar_of(item: SaidAmount) -> shelf.Jar:
    """A jar on the shelf from what was said of it; what it holds where that is a weight."""
    hazard.never_bleach(item.name)
    s = substance.named(item.name)
    if item.kind == "tablet":
        grams = item.number * (item.tablet_mg or 0.0) / 1000 if item.number else None
        return shelf.Jar(s, grams, tablet_mg=item.tablet_mg)
    if item.kind == "ml":
        return shelf.Jar(s, (item.number or 0.0) * (s.density or 0.0) or None)
    if item.kind == "spoon":
        raise Refusal.one(
            "", item.name, "What is in the jar, by weight.", "To measure it by spoons, name it under “spoons”."
        )
    return shelf.Jar(s, item.number)
