"""Makes the pictures of docs/design-ahead.md: photos drawn as every way of working would make them.

    python builders/ahead_pictures.py FOLDER [NAME.jpg ...]

FOLDER holds the photos, as the open packages named in the page carry them; they are not part of the project. Each becomes one strip:
the photo, the paper negative, its contact print, a direct positive, colour reversal.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from PIL import Image

from firstsheet.foresee import picture, redraw, route, tone
from firstsheet.light import pixels
from firstsheet.light import spectrum as sp
from firstsheet.paper import emulsion, subjects

OUT = Path(__file__).resolve().parents[1] / "docs" / "pictures"
HIGH = 300
SHEET_MM = 400.0


def small(path: Path) -> np.ndarray:
    photo = Image.open(path).convert("RGB")
    scale = HIGH / photo.height
    return np.asarray(photo.resize((round(photo.width * scale), HIGH), Image.Resampling.LANCZOS))


def strip(path: Path, light: str = "sun") -> Image.Image:
    codes = small(path)
    rgb = pixels.decoded()[codes]
    clipped = np.zeros(rgb.shape[:2], dtype=bool)
    middle = float(np.exp(np.log(np.maximum(rgb @ redraw.REC709, 1e-3)).mean()))
    kind, glass = sp.kinds()[light].spectrum, (sp.lens_glass(),)
    paper = subjects.rgb_weights(kind, "blue_green", glass)
    layers = tuple(subjects.rgb_weights(kind, k, glass) for k in emulsion.LAYERS)
    pictures = [codes]
    for way, weights, more in (
        ("paper_negative", paper, {}),
        ("paper_negative", paper, {"shows": "print", "print_tones": tone.stand_in("contact_print"), "print_stops": 0.7}),
        ("direct_positive", paper, {}),
        ("reversal_ra4", layers, {}),
    ):
        got = picture.receive(rgb, weights, middle, SHEET_MM, clipped)
        light_on = picture.laid(got, picture.Laid(across_mm=0.6, flare=0.01))
        made = picture.drawn(light_on, route.Chain(way, tone.stand_in(way), **more))
        mirrored = more.get("shows") != "print"
        pictures.append(picture.turned(made.codes, False, mirrored))
    gap = np.full((HIGH, 6, 3), 255, dtype=np.uint8)
    return Image.fromarray(np.concatenate([p for one in pictures for p in (gap, one)][1:], axis=1))


def main() -> None:
    folder = Path(sys.argv[1])
    names = sys.argv[2:] or [p.name for p in sorted(folder.iterdir()) if p.suffix in (".jpg", ".png")]
    OUT.mkdir(parents=True, exist_ok=True)
    for name in names:
        to = OUT / f"ahead-{Path(name).stem}.jpg"
        strip(folder / name).save(to, "JPEG", quality=82)
        print(to)


if __name__ == "__main__":
    main()
