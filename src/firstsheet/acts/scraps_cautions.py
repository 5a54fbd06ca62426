"""What can hurt where scraps are made, said at that moment: a sentence, and what goes with it. From docs/safety.md."""

from __future__ import annotations

FIRST = "The supplier’s safety data sheet, local law, fire and waste codes and licensed practice take precedence."
LENS = (
    "Keep the sun out of the lens.",
    f"Behind it, it sets fire and burns skin; cap it outside whenever you leave it. Nobody sits locked in a dark room: it opens at one push, and somebody knows you are in it. {FIRST}",
)
TRAYS = (
    "Gloves on; lights on first if anything splashes.",
    f"In the eye: white light, out, rinse fifteen minutes; the scrap is worth nothing. No eating or drinking there. Used fixer holds silver: collect it. The dark room opens at one push. {FIRST}",
)
COFFEE = (
    "Coffee developer looks like a drink and is alkaline.",
    f"Never in a cup, bottle or jug used for drink; label it; gloves and eyes; children away. The fixer after it holds silver: collect it. {FIRST}",
)
TABLE = (
    "A lamp and wet hands do not meet.",
    f"Dry the strip first: a light table or lamp stays out of the splash zone, on a battery or behind a residual-current device. Do not stare into a bare lamp. {FIRST}",
)
