"""From a mid-tone out there (or on the board) to seconds: every factor once, each with its size in stops and its source.

H = q·L·t/N_eff², q = (π/4)·T·v·cos⁴θ = 0.65, which already holds T 0.90, v 0.98 and cos⁴ 10° [ISO-2721]; so neither the lens's
transmission nor its on-axis vignetting is charged again. A mid-tone wants H = 8.125/EI (K = 12.5) [ISO-2720].
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

Q = 0.65
MIDTONE_LX_S = Q * 12.5  # 8.125 lx·s at EI 1


@dataclass(frozen=True, slots=True)
class Link:
    """One step from reading to seconds.

    stops   what it adds to the exposure time [stop]; None for a step that only changes the quantity
    value   the quantity after this step, in `unit` (cd/m², lx, lx·s, s)
    sd      doubt of this step [stop]; None where the step is exact
    learned how far sheets of yours have moved it from where it started [stop]; None where nothing was learned
    """

    key: str
    words: str
    stops: float | None
    value: float
    unit: str
    source: str
    sd: float | None = None
    learned: float | None = None


@dataclass(frozen=True, slots=True)
class Optics:
    """What stands between a mid-tone and the paper.

    f_number           as set [1], > 0
    extension_stops    2·log2(1 + m/p) [stop], ≥ 0
    filter_stops       [stop], ≥ 0
    off_axis_stops     fall-off where the chosen tone lies, beyond the 10° that q already holds [stop], ≥ 0
    """

    f_number: float
    extension_stops: float = 0.0
    filter_stops: float = 0.0
    off_axis_stops: float = 0.0


def paper_lx_from_scene(luminance_cdm2: float, optics: Optics) -> tuple[float, list[Link]]:
    """Illuminance on the paper [lx] of a mid-tone of the given luminance [cd/m²], and the links that led there."""
    lx = Q * luminance_cdm2 / optics.f_number**2
    links = [
        Link("lens", f"f/{optics.f_number:g} lens, far subject", None, lx, "lx", "H = 0.65·L·t/N² [ISO-2721]"),
    ]
    for key, words, stops, source in (
        ("extension", "extension for a near sitter", optics.extension_stops, "(1 + m/p)² [SS0512]"),
        ("off_axis", "off the middle of the board", optics.off_axis_stops, "cos⁴ law"),
        ("filter", "filter", optics.filter_stops, "factor = 10^density"),
    ):
        if key == "extension" or stops:
            lx /= 2.0**stops
            links.append(Link(key, words, stops, lx, "lx", source))
    return lx, links


def paper_lx_since_board(
    board_lx: float, f_number: float | None, read_at: float | None, filter_density: float, read_through: float
) -> tuple[float, list[Link]]:
    """What a mid-tone read on the board [lx] has become since: for another stop E ∝ 1/N², for another filter 10^−density.

    f_number, filter_density  as set now (None where there is no lens); read_at, read_through  when the board was read
    """
    lx = board_lx
    links = []
    stopped = 2.0 * math.log2(f_number / read_at) if f_number and read_at else 0.0
    for key, words, stops, source in (
        ("stop", f"board read at f/{read_at or 0:g}, now f/{f_number or 0:g}", stopped, "E ∝ 1/N² [ISO-2721]"),
        ("filter", "filter, since it was read", filter_stops(filter_density - read_through), "factor = 10^density"),
    ):
        if stops:
            lx /= 2.0**stops
            links.append(Link(key, words, stops, lx, "lx", source))
    return lx, links


def needed_lx_s(ei: float) -> float:
    """Exposure a mid-tone wants on paper rated EI [lx·s]. Domain: ei > 0."""
    return MIDTONE_LX_S / ei


def ei_from_iso_p(p: float) -> float:
    """Camera exposure index at the mid-tone (D 0.60 above base-plus-fog) of paper with ISO speed P: 8.125·P/1000 [ISO-6846]."""
    return MIDTONE_LX_S * p / 1000.0


def running_links(
    start_s: float, steps: Sequence[tuple[str, str, float, str, float | None, float | None]]
) -> list[Link]:
    """Links that each multiply the time by 2^stops: (key, words, stops, source, sd, learned), the time carried along [s]."""
    out: list[Link] = []
    t = start_s
    for key, words, stops, source, sd, learned in steps:
        t *= 2.0**stops
        out.append(Link(key, words, stops, t, "s", source, sd, learned))
    return out


def filter_stops(density: float) -> float:
    """Stops of a filter of the given density: log2(10^D) [stop]; of one taken off where D < 0."""
    return density / math.log10(2.0)
