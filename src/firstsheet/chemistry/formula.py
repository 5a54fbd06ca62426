"""Molar mass from a formula as it is printed on the jar: “Na2CO3·10H2O”, “(NH4)2S2O3”."""

from __future__ import annotations

import re

# Standard atomic weights, abridged [g/mol], [CIAAW-2021].
ATOMIC_WEIGHT = {
    "H": 1.008, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "Al": 26.982, "P": 30.974, "S": 32.06,
    "Cl": 35.45, "K": 39.098, "Mn": 54.938, "Fe": 55.845, "Br": 79.904, "Ag": 107.868, "I": 126.904,
}  # fmt: skip
_PART = re.compile(r"(\()|(\))([0-9]*)|([A-Z][a-z]?)([0-9]*)")


def molar_mass(formula: str) -> float:
    """Molar mass [g/mol]. A point or “·” parts off water of crystals, with its number before it.

    ValueError for what is no formula or holds an element that no bath here does.
    """
    total = 0.0
    for part in re.split(r"[·.*]", formula.replace(" ", "")):
        lead = re.match(r"[0-9]+", part)
        number = int(lead[0]) if lead else 1
        total += number * _group(part[lead.end() :] if lead else part, formula)
    return total


def _group(text: str, whole: str) -> float:
    open_sums, at = [0.0], 0
    while at < len(text):
        found = _PART.match(text, at)
        if found is None:
            raise ValueError(f"no formula: {whole!r}")
        begins, ends, ends_count, element, count = found.groups()
        if begins:
            open_sums.append(0.0)
        elif ends:
            if len(open_sums) == 1:
                raise ValueError(f"a bracket too many: {whole!r}")
            inner = open_sums.pop()
            open_sums[-1] += inner * int(ends_count or 1)
        else:
            if element not in ATOMIC_WEIGHT:
                raise ValueError(f"no such element here: {element!r} in {whole!r}")
            open_sums[-1] += ATOMIC_WEIGHT[element] * int(count or 1)
        at = found.end()
    if len(open_sums) != 1 or not text:
        raise ValueError(f"no formula: {whole!r}")
    return open_sums[0]
