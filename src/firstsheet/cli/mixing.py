"""`mix`: what is in the jars, recipes, what to weigh for these trays, a mix as made, the card, the label."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated, Any

import typer

from firstsheet.cli import mixing_baths, pouring
from firstsheet.cli.face import Here, Shown, act, form, heading, wrapped
from firstsheet.refusal import Refusal

Name = Annotated[str | None, typer.Argument(metavar="NAME", help="Which; without one, all.", show_default=False)]
Number = Annotated[int, typer.Argument(metavar="NUMBER", help="Its number, as the list shows it.", show_default=False)]


def words(text: str) -> Any:
    """An option whose value is said in words."""
    return typer.Option(help=text, show_default=False)


Volume = Annotated[str | None, words("How much: “2 l”, “1 US gal”.")]
Tray = Annotated[str | None, words("Or a tray, inside: “300x400 mm”.")]
Depth = Annotated[str | None, words("How deep in it: “10 mm”.")]
Have = Annotated[str | None, words("What is on the shelf: “500 g soda crystals; vitamin C tablets 500 mg”.")]
Spoons = Annotated[
    str | None,
    words("What to measure by level teaspoons: “all”, or “coffee; 4.6 g soda crystals” with a spoon weighed."),
]
Scale = Annotated[str | None, words("The smallest step of your scales: “0.1 g”.")]
Thin = Annotated[str | None, words("Stock and water: “1+2”, or “stock”.")]
Warm = Annotated[str | None, words("The tray's temperature: “18 °C”.")]
Prices = Annotated[str | None, words("“soda crystals 2.40 EUR per kg; vitamin C 9 EUR per 250 g”.")]
Units = Annotated[str | None, words("us adds ounces.")]


def register(app: typer.Typer) -> None:
    group = typer.Typer(
        rich_markup_mode=None, help="Mix: recipes, what to weigh out of this shelf, would it develop, card and label."
    )
    app.add_typer(group, name="mix")
    act(group, "mix", main=True)(bottles)
    for name, body in (
        ("substances", substances), ("recipes", recipes), ("own", own), ("make", make), ("keep", keep), ("check", check),
        ("dilute", dilute), ("card", card), ("label", label), ("spend", spend), ("spoon", spoon), ("strip", strip),
    ):  # fmt: skip
        act(group, name)(body)
    pouring.register(group)
    mixing_baths.register(app)


@contextmanager
def _shelf(here: Here) -> Iterator[Any]:
    """The book for recipes of your own; where there is none yet, only those that come along."""
    from firstsheet.acts.mixing_own import NoBook

    try:
        reading = here.reading()
        reader = reading.__enter__()
    except Refusal as refusal:
        if refusal.kind != "missing":
            raise
        yield NoBook()
        return
    try:
        yield reader
    finally:
        reading.__exit__(None, None, None)


def bottles(here: Here) -> Shown:
    """The bottles in the book."""
    from firstsheet.acts import mixing_kept

    with here.reading() as reader:
        have = mixing_kept.bottles(reader)
    lines = [f"{b.number:>4}  {b.name}: {b.mix['words']}, {b.mix['volume_words']}" + (", thrown away" if b.spent else f", use by {b.use_by[:16].replace('T', ' ')} UTC" if b.use_by else "") for b in have]  # fmt: skip
    return Shown(have, lines or ["No mix is kept yet. See: firstsheet mix make --help"])


def substances(here: Here, name: Name = None) -> Shown:
    """What is known of a substance: its mass, a spoon of it, what it is sold as, what it must never meet."""
    from firstsheet.acts import mixing_known

    if name is None:
        have = mixing_known.substances()
        return Shown(have, [line for s in have for line in wrapped(f"{s.words}", f"{s.key:<26}")])
    s = mixing_known.told(name)
    lines = [s.words + (f", {s.formula}, {s.molar_g:.2f} g/mol ({s.molar_source})" if s.molar_g else "")]
    if s.spoon_g:
        lines += wrapped(
            f"Level 5 ml teaspoon: {s.spoon_g:g} g, {s.spoon_low_g:g} to {s.spoon_high_g:g} ({s.spoon_source})", "  "
        )
    if s.density_g_ml:
        lines.append(f"  {100 * s.part:g} % by weight, {s.density_g_ml:g} g/ml (from memory)")
    lines += [f"  10 g are {x.for_ten_g:.2f} g of {x.words}" for x in s.stands]
    lines += wrapped("Sold as: " + ", ".join(s.names), "  ")
    for sentence in (
        s.acid_words,
        s.tablets,
        *s.hazards,
        *(f"Never with {n}." for n in s.never),
        f"Keep: {s.store}",
        s.wear,
        s.defers,
    ):
        lines += wrapped(sentence, "  ") if sentence else []
    return Shown(s, lines)


def recipes(here: Here, name: Name = None) -> Shown:
    """Recipes in grams for a litre, in the order of mixing."""
    from firstsheet.acts import mixing_known

    with _shelf(here) as reader:
        if name is None:
            have = mixing_known.recipes(reader)
            return Shown(have, [line for r in have for line in wrapped(r.words, f"{r.key:<20}")])
        r = mixing_known.recipe_told(reader, name)
    lines = [
        r.words + ", for a litre" + (f" of stock, used {r.dilution}" if r.stock else ""),
        *(f"  {x}" for x in r.lines),
    ]
    for sentence in (r.use, r.keeps, *r.notes, f"From: {r.source}"):
        lines += wrapped(sentence, "  ") if sentence else []
    return Shown(r, lines)


def own(
    here: Here,
    name: Annotated[str, typer.Argument(metavar="NAME", help="What you call it.", show_default=False)],
    lines: Annotated[
        str | None, words("“54 g soda ash; 16 g vitamin C; 8 tsp instant coffee; 100 ml part A”, in order.")
    ] = None,
    makes: Annotated[str | None, words("What that makes: “500 ml”; a litre unless said.")] = None,
    kind: Annotated[str | None, words("developer, stop, fixer, clearing, bleach, set or other.")] = None,
    dilution: Annotated[str | None, words("“1+2”, where it is a stock.")] = None,
    temperature: Annotated[str | None, words("“20 °C”.")] = None,
    time: Annotated[str | None, words("“6 min”.")] = None,
    source: Annotated[str | None, words("Where it is from.")] = None,
    note: Annotated[str | None, words("What else there is to say.")] = None,
) -> Shown:
    """Keep a recipe of your own."""
    from firstsheet.acts import mixing_known, mixing_own

    said = form(
        name=name,
        lines=lines,
        makes=makes,
        kind=kind,
        dilution=dilution,
        temperature=temperature,
        time=time,
        source=source,
        note=note,
    )
    with here.writing() as book:
        kept = mixing_own.add_recipe(book, said)
        told = mixing_known.recipe_told(book, kept.key)
    return Shown(told, [f"Kept: {told.words}, for a litre", *(f"  {x}" for x in told.lines)])


def make(
    here: Here,
    recipe: Annotated[str, typer.Argument(metavar="RECIPE", help="Which; the list: firstsheet mix recipes.", show_default=False)],
    volume: Volume = None, tray: Tray = None, depth: Depth = None, have: Have = None, spoons: Spoons = None, scale: Scale = None,
    dilution: Thin = None, temperature: Warm = None, prices: Prices = None, units: Units = None,
) -> Shown:  # fmt: skip
    """What to weigh for these trays out of this shelf. Without a volume, the largest batch that the shelf allows."""
    from firstsheet.acts import mixing

    said = form(
        recipe=recipe,
        volume=volume,
        tray=tray,
        depth=depth,
        have=have,
        spoons=spoons,
        scale=scale,
        dilution=dilution,
        temperature=temperature,
        prices=prices,
        units=units,
    )
    with _shelf(here) as reader:
        m = mixing.mix(reader, said)
    return Shown(m, _mix_lines(m))


def keep(
    here: Here,
    recipe: Annotated[str, typer.Argument(metavar="RECIPE", help="Which.", show_default=False)],
    name: Annotated[str | None, words("What stands on the bottle.")] = None,
    volume: Volume = None, tray: Tray = None, depth: Depth = None, have: Have = None, spoons: Spoons = None, scale: Scale = None,
    dilution: Thin = None, temperature: Warm = None, prices: Prices = None, units: Units = None,
) -> Shown:  # fmt: skip
    """The same, kept in the book with its day: for the card, and for the label."""
    from firstsheet.acts import mixing_kept

    said = form(
        recipe=recipe,
        name=name,
        volume=volume,
        tray=tray,
        depth=depth,
        have=have,
        spoons=spoons,
        scale=scale,
        dilution=dilution,
        temperature=temperature,
        prices=prices,
        units=units,
    )
    with here.writing() as book:
        b = mixing_kept.keep(book, said)
    return Shown(
        b, [*_kept_lines(b.mix), "", f"Kept as number {b.number}, {b.name}. Its label: firstsheet mix label {b.number}"]
    )


def _mix_lines(m: Any) -> list[str]:
    from firstsheet.answer import to_json

    mix: Any = to_json(m)
    return _kept_lines(mix)


def _kept_lines(mix: dict[str, Any]) -> list[str]:
    lines = [
        f"{mix['words'][:1].upper()}{mix['words'][1:]}, {mix['volume_words']}"
        + (f" in the tray, {mix['dilution']}" if mix["dilution"] else "")
    ]
    for warning in mix["warnings"]:
        lines += wrapped(warning, "  ! ")
    lines += [
        *heading("Before you begin"),
        *(line for c in mix["cautions"] for line in wrapped(c, "  ")),
        *wrapped(mix["wear"], "  "),
    ]
    lines += heading("In this order")
    lines += _step_lines(mix["steps"])
    lines.append("")
    for sentence in (mix["ph_words"], mix["largest_words"], f"In the tray: {mix['use']}." if mix["use"] else "", mix["keeps"], *mix["notes"],
                     f"Cost: {mix['cost_words']}." if mix["cost_words"] else "", f"From: {mix['source']}"):  # fmt: skip
        lines += wrapped(sentence) if sentence else []
    return lines


def _step_lines(steps: list[dict[str, str]]) -> list[str]:
    out = []
    for s in steps:
        out += wrapped(f"{s['unit']} {s['words']}" + (f": {s['aside']}" if s["aside"] else ""), f"{s['figure']:>7} ")
    return out


def check(
    here: Here,
    lines: Annotated[
        str,
        typer.Argument(metavar="LINES", help="“54 g soda crystals; 16 g vitamin C; 40 g coffee”.", show_default=False),
    ],
    makes: Annotated[str | None, words("What it was made up to: “1 l”.")] = None,
    temperature: Warm = None,
) -> Shown:
    """A mix as it was made: would it develop, and may it be made at all?"""
    from firstsheet.acts import mixing_check

    with _shelf(here) as reader:
        c = mixing_check.check(form(lines=lines, makes=makes, temperature=temperature), reader)
    out = [line for x in (*c.dangers, c.verdict, c.ph_words, *c.warnings, *c.notes) if x for line in wrapped(x)]
    return Shown(c, [*out, "", *(line for x in (*c.lines, *c.cautions) for line in wrapped(x, "  "))])


def dilute(
    here: Here,
    dilution: Annotated[str, typer.Argument(metavar="DILUTION", help="“1+9”, “1 in 10”.", show_default=False)],
    volume: Annotated[str | None, words("How much bath: “2 l”.")] = None,
    stock: Annotated[str | None, words("Or how much stock is left: “300 ml”.")] = None,
) -> Shown:
    """Stock and water for a bath."""
    from firstsheet.acts import mixing_known, mixing_words
    from firstsheet.chemistry import hazard

    t = mixing_known.thin(form(dilution=dilution, volume=volume, stock=stock))
    lines = [
        f"{r.dilution}: {mixing_words.millilitres(r.stock_ml)} of stock, {mixing_words.millilitres(r.water_ml)} of water"
        for r in t.readings
    ]
    lines += [
        line for x in (t.sentence, "Gloves and goggles; acid into water.", hazard.DEFERS) if x for line in wrapped(x)
    ]
    return Shown(t, lines)


def card(here: Here, number: Number) -> Shown:
    """The card of a kept mix, step by step."""
    from firstsheet.acts import mixing_kept

    with here.reading() as reader:
        b = mixing_kept.of(reader, number)
    return Shown(
        b, [b.name, *(line for c in b.mix["cautions"] for line in wrapped(c, "  ")), "", *_step_lines(b.mix["steps"])]
    )


def label(here: Here, number: Number) -> Shown:
    """What to write on the bottle."""
    from firstsheet.acts import mixing_kept

    with here.reading() as reader:
        x = mixing_kept.label(reader, number)
    lines = [x.name, x.what, f"Made {x.made}", f"Use by {x.use_by}"]
    return Shown(x, [*lines, *(line for w in (*x.hazards, *x.never, *x.words) for line in wrapped(w, "  "))])


def spend(
    here: Here, number: Number, back: Annotated[bool, typer.Option(help="It was not thrown away after all.")] = False
) -> Shown:
    """Say that a mix was thrown away. Where it may go: ask the local authority; what held silver is collected."""
    from firstsheet.acts import mixing_kept

    with here.writing() as book:
        b = mixing_kept.spend(book, number, not back)
    return Shown(b, [f"{b.name}: " + ("thrown away." if b.spent else "in use.")])


def spoon(
    here: Here,
    substance: Annotated[str, typer.Argument(metavar="NAME", help="Of what.", show_default=False)],
    weight: Annotated[str | None, words("What all of them weighed together: “23 g”.")] = None,
    count: Annotated[str | None, words("How many level spoons: ten unless said.")] = None,
    size: Annotated[str | None, words("The spoon: “5 ml”.")] = None,
) -> Shown:
    """What level spoons of your own packet weigh: beats the table from then on."""
    from firstsheet.acts import mixing_spoons

    with here.writing() as book:
        s = mixing_spoons.weigh_spoon(book, form(substance=substance, weight=weight, count=count, spoon=size))
    line = f"{s.words}: {s.spoon_g:.2g} g in a level 5 ml, where the table gives {s.table_g:g} ({s.table_low_g:g} to {s.table_high_g:g})."
    return Shown(s, wrapped(line))


def strip(
    here: Here,
    lines: Annotated[str, typer.Argument(metavar="LINES", help="What went in, coffee too.", show_default=False)],
    ph: Annotated[str | None, words("The pH as read: “9.8”.")] = None,
    makes: Annotated[str | None, words("What it was made up to: “1 l”.")] = None,
    give: Annotated[str | None, words("What the reading is worth: “0.3” unless said.")] = None,
    temperature: Warm = None,
) -> Shown:
    """A pH strip tells the acid of your coffee, best in 5 g soda ash and 40 g coffee in a litre; it counts from then on."""
    from firstsheet.acts import mixing_coffee

    with here.writing() as book:
        c = mixing_coffee.measure(book, form(lines=lines, ph=ph, makes=makes, give=give, temperature=temperature))
    return Shown(c, wrapped(c.sentence))
