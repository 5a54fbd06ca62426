"""Synthetic photos of negatives whose base scatters by a known amount, over sizes of lump, amounts and noises: how many lie within what is said.

Run: python -m tests.printing.grain_photos (half a minute). The picture, its tones and its base are invented.
"""

from __future__ import annotations

from firstsheet.acts import contact_photo
from firstsheet.book.store import Book
from tests.printing.backlight import Scene, photo
from tests.printing.test_mottle import SIZE, WHERE, negative

LUMPS_MM, AMOUNTS_D, NOISES = (0.3, 0.6, 1.0), (0.0, 0.005, 0.01, 0.02, 0.04), (0.002, 0.008)


def main() -> None:
    held, off = 0, []
    with Book.open(memory=True) as book:
        for k, (lump, sd, noise) in enumerate((a, b, c) for a in LUMPS_MM for b in AMOUNTS_D for c in NOISES):
            n = contact_photo.take_in(book, photo(negative(sd, lump, seed=100 + k), Scene(noise=noise), size=SIZE))
            found = contact_photo.look(book, n, WHERE).grain
            assert found is not None
            held += found.low <= sd <= found.high
            off += [found.sd / sd] if sd else []
            print(f"blur {lump} mm, {sd:.3f} D, noise {noise}: {found.sd:.4f} ({found.low:.4f} to {found.high:.4f})")
    print(f"{held} of {k + 1} within what is said; the figure over the truth from {min(off):.2f} to {max(off):.2f}")


if __name__ == "__main__":
    main()
