"""The printed reference card: what it is (a table), what the person knows of it, and where it lies in a picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import tables
from firstsheet.light import pixels
from firstsheet.refusal import Problems
from firstsheet.strips import plane

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

PX_PER_MM = 3  # of the straightened card
MATCH = 0.75  # correlation with the card's drawing; below it a quadrilateral is something else


@dataclass(frozen=True, slots=True)
class Known:
    """A density and how sure it is [density, reflection]."""

    density: float
    sd: float = 0.02


@dataclass(frozen=True, slots=True)
class CardSaid:
    """What the person says of their card; None = not measured.

    white, black   the bare paper and the black patch; the table's wide defaults stand in
    greys          the four greys from light to dark; an unmeasured grey is no reference
    """

    white: Known | None = None
    black: Known | None = None
    greys: tuple[Known | None, Known | None, Known | None, Known | None] = (None, None, None, None)

    def patches(self) -> tuple[Known | None, ...]:
        """The six patches as they can be used, white first. Refuses densities that cannot be."""
        table = tables.load("card")["patch"]
        found, said = Problems(), [self.white, *self.greys, self.black]
        for entry, known in zip(table, said, strict=True):
            if known is not None and not (0 <= known.density <= 3.5 and 0 <= known.sd <= 1):
                found.add(
                    f"card.{entry['name']}", known.density, "A density from 0 to 3.5.", "Read it on a densitometer."
                )
        if self.black is not None and self.black.density < table[-1]["smallest"]:
            found.add(
                "card.black",
                self.black.density,
                f"At least {table[-1]['smallest']:g}.",
                "Glue a piece of fully blackened glossy paper over the patch and measure that.",
            )
        found.raise_if_any()
        for k in (0, 5):
            said[k] = said[k] or Known(table[k]["density"], table[k]["sd"])
        return tuple(said)


def patch_boxes_mm() -> list[tuple[float, float, float, float]]:
    """Left, top, width, height of the six patches on the card [mm]."""
    card = tables.load("card")["card"]
    wide, step = card["patch_width_mm"], card["patch_width_mm"] + card["gap_mm"]
    return [
        (card["first_patch_left_mm"] + k * step, card["patch_top_mm"], wide, card["patch_height_mm"]) for k in range(6)
    ]


def drawing() -> tuple[Floats, Floats]:
    """The card in pixels: 1 where it is dark, 0 where white; and where it is either for certain (bool)."""
    import numpy as np

    card = tables.load("card")["card"]
    s = PX_PER_MM
    y, x = (np.mgrid[0 : int(card["height_mm"] * s), 0 : int(card["width_mm"] * s)] + 0.5) / s
    dark = np.zeros(x.shape)
    for mx, my in card["marks_mm"]:
        dark[(x - mx) ** 2 + (y - my) ** 2 < (card["mark_diameter_mm"] / 2) ** 2] = 1
    bx, by, bw, bh = card["first_mm"]
    dark[(x >= bx) & (x < bx + bw) & (y >= by) & (y < by + bh)] = 1
    edge = np.minimum(np.minimum(x, card["width_mm"] - x), np.minimum(y, card["height_mm"] - y))
    sure = edge > 2 * card["frame_mm"]
    for left, top, wide, tall in patch_boxes_mm():
        sure &= ~((x > left - 1) & (x < left + wide + 1) & (y > top - 1) & (y < top + tall + 1))
    return dark, sure


def card_corners() -> Floats:
    import numpy as np

    card = tables.load("card")["card"]
    w, h = card["width_mm"], card["height_mm"]
    return np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]])


def straightened(image: Floats, to_picture: Floats) -> Floats:
    """The card from above, PX_PER_MM pixels to a mm; NaN outside the picture."""
    import numpy as np

    card = tables.load("card")["card"]
    y, x = (np.mgrid[0 : int(card["height_mm"] * PX_PER_MM), 0 : int(card["width_mm"] * PX_PER_MM)] + 0.5) / PX_PER_MM
    return plane.sampled(image, plane.mapped(to_picture, np.stack([x, y], axis=-1)))


def recognised(log_light: Floats, quad: Floats) -> tuple[float, Floats]:
    """How well a quadrilateral is the card (correlation), and the homography card mm → picture px of the best way round."""
    import numpy as np

    dark, sure = drawing()
    best, matrix = -1.0, np.eye(3)
    for turn in range(4):
        tried = pixels.homography(card_corners(), np.roll(quad, turn, axis=0))
        seen = straightened(log_light, tried)
        if np.isnan(seen[sure]).mean() > 0.02:
            continue
        score = float(np.corrcoef(dark[sure], -np.nan_to_num(seen[sure], nan=0.0))[0, 1])
        if score > best:
            best, matrix = score, tried
    if best >= 0.35:
        better = _by_marks(log_light, matrix)
        seen = straightened(log_light, better)
        again = float(np.corrcoef(dark[sure], -np.nan_to_num(seen[sure], nan=0.0))[0, 1])
        if again > best:
            best, matrix = again, better
    return best, matrix


def _by_marks(log_light: Floats, matrix: Floats) -> Floats:
    """Move the homography so that the four marks lie where they are seen."""
    import numpy as np

    seen = straightened(log_light, matrix)
    marks = np.array(tables.load("card")["card"]["marks_mm"])
    reach = int(5.0 * PX_PER_MM)
    found = []
    for mx, my in marks * PX_PER_MM:
        i, j = int(my), int(mx)
        top, left = max(0, i - reach), max(0, j - reach)
        part = np.nan_to_num(seen[top : i + reach + 1, left : j + reach + 1], nan=0.0)
        y, x = np.mgrid[0 : part.shape[0], 0 : part.shape[1]]
        weight = np.clip(np.quantile(part, 0.75) - part - 0.15, 0, None)
        weight[(x - (mx - left)) ** 2 + (y - (my - top)) ** 2 > (1.4 * reach / 2) ** 2 * 1.6] = 0
        total = weight.sum()
        if total < 1:
            return matrix
        found.append(
            [
                (left + (weight * x).sum() / total + 0.5) / PX_PER_MM,
                (top + (weight * y).sum() / total + 0.5) / PX_PER_MM,
            ]
        )
    shifted = pixels.homography(marks, np.array(found))
    return matrix @ shifted
