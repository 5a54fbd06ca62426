"""One reflection of a lamp on a strip: an oval bell of light added to whatever lies under it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

CELLS = 2600  # the fit sees block medians, about this many
WORTH = 0.55  # the weighted misfit near the spot must fall below this share of what it was
LIT = 1  # the region whose light is the lamp's: table, or the card's white. A shadow there looks like a spot of light
SURE, SEEN_IN, IN_ONE = (
    5.0,
    2,
    2.5,
)  # standard deviations of the height in all other regions; in how many of them, by how many
LEAST, MOST = (
    0.004,
    1.2,
)  # height in the table's light: below it no spot is looked for, above it a step under it is lost


def spot(straight: Floats, region: Floats) -> tuple[Floats, float]:
    """The added light over the whole of `straight`, and its height; zeros where there is none worth the name.

    straight   light seen from above, undone of the table's light, in linear units
    region     whole numbers, same shape: pixels of one number share one reflectance; −1 = leave out
    """
    import numpy as np

    none = np.zeros(straight.shape, dtype=np.float32)
    size = max(2, int((straight.size / CELLS) ** 0.5))
    rows, columns = straight.shape[0] // size, straight.shape[1] // size
    if rows < 6 or columns < 6:
        return none, 0.0

    def cut(a: Floats) -> Floats:
        return (
            a[: rows * size, : columns * size]
            .reshape(rows, size, columns, size)
            .transpose(0, 2, 1, 3)
            .reshape(rows, columns, -1)
        )

    labels, values = cut(region), np.median(cut(straight), axis=2)
    pure = (labels.min(axis=2) == labels.max(axis=2)) & (labels[..., 0] >= 0) & np.isfinite(values)
    if pure.sum() < 60:
        return none, 0.0
    y, x = np.nonzero(pure)
    fit = _Fit((x + 0.5) / columns - 0.5, (y + 0.5) / rows - 0.5, values[pure], labels[..., 0][pure], columns / rows)
    best = fit.run()
    if best is None:
        return none, 0.0
    yy, xx = np.mgrid[0 : straight.shape[0], 0 : straight.shape[1]]
    bell = fit.bell(best, (xx + 0.5) / (columns * size) - 0.5, (yy + 0.5) / (rows * size) - 0.5)
    height = fit.height(best)
    return np.asarray(height * bell, dtype=np.float32), height


class _Fit:
    """Five numbers of shape by damped least squares; height and levels follow from them by weighted least squares."""

    def __init__(self, x: Floats, y: Floats, z: Floats, label: Floats, aspect: float) -> None:
        import numpy as np

        self.x, self.y, self.z, self.aspect = x, y, z.astype(float), aspect
        _, self.label = np.unique(label, return_inverse=True)
        self.lit = label == LIT
        self.many = int(self.label.max()) + 1
        first = np.array([np.quantile(self.z[self.label == k], 0.3) for k in range(self.many)])
        self.most = MOST * max(1.0, float(first.max()))  # on a dark table the paper is the lighter of the two
        self.weight = 1 / (0.0015 + 0.012 * np.maximum(first[self.label], 0)) ** 2
        self.base = self.z - first[self.label]

    def bell(self, p: Floats, x: Floats, y: Floats) -> Floats:
        import numpy as np

        u, v = (x - p[0]) * self.aspect, y - p[1]
        c, s = np.cos(p[4]), np.sin(p[4])
        a, b = (u * c + v * s) / np.exp(p[2]), (v * c - u * s) / np.exp(p[3])
        return np.asarray(np.exp(-0.5 * (a * a + b * b)))

    def parts(self, p: Floats, robust: Floats) -> tuple[float, Floats]:
        """Height and weighted residuals for a shape; each region's level is projected out."""
        import numpy as np

        w = self.weight * robust
        g = self.bell(p, self.x, self.y)
        total = np.maximum(np.bincount(self.label, w, self.many), 1e-12)
        g0 = g - (np.bincount(self.label, w * g, self.many) / total)[self.label]
        z0 = self.z - (np.bincount(self.label, w * self.z, self.many) / total)[self.label]
        height = max(0.0, float((w * g0 * z0).sum() / ((w * g0 * g0).sum() + 1e-9)))
        return height, (z0 - height * g0) * np.sqrt(w)

    def run(self) -> Floats | None:
        """The best of several starts; None where no spot worth the name is there."""
        import numpy as np

        score = self.base * np.sqrt(self.weight)
        tops = np.argsort(score)[-max(6, len(score) // 60) :]
        x, y = np.median(self.x[tops]), np.median(self.y[tops])
        fits = [
            self._settled(np.array([x, at, np.log(a), np.log(b), 0.1]))
            for at, a, b in ((y, 0.12, 0.12), (y, 0.25, 0.25), (y / 2, 0.15, 0.5))
        ]
        good = [f for f in fits if f is not None]
        if not good:
            return None
        _, p, self.robust = min(good, key=lambda f: f[0])
        return p if self.shared(p) else None

    def shared(self, p: Floats) -> bool:
        """Whether regions other than the lit one see the same light added: a reflection adds to dark and light alike."""
        import numpy as np

        w = self.weight * self.robust * ~self.lit
        total = np.maximum(np.bincount(self.label, w, self.many), 1e-12)
        g = self.bell(p, self.x, self.y)
        g = g - (np.bincount(self.label, w * g, self.many) / total)[self.label]
        z = self.z - (np.bincount(self.label, w * self.z, self.many) / total)[self.label]
        power, seen = np.bincount(self.label, w * g * g, self.many), np.bincount(self.label, w * g * z, self.many)
        if power.sum() <= 0:
            return False
        rest = (w * (z - (seen.sum() / power.sum()) * g) ** 2).sum() / max(float((w > 0).sum()), 1.0)
        noise = max(1.0, float(rest)) ** 0.5
        sure = seen / np.sqrt(np.maximum(power, 1e-12)) / noise
        return bool(seen.sum() / power.sum() ** 0.5 / noise > SURE and (sure > IN_ONE).sum() >= SEEN_IN)

    def _settled(self, p: Floats) -> tuple[float, Floats, Floats] | None:
        import numpy as np

        robust = np.ones(len(self.z))
        for _ in range(3):
            p = self._descended(p, robust)
            _, rest = self.parts(p, np.ones(len(self.z)))
            scale = 1.4826 * float(np.median(np.abs(rest))) + 0.3
            robust = 1 / (1 + (rest / (3 * scale)) ** 2)
        height, after = self.parts(p, robust)
        before = self.parts(np.array([9.0, 9.0, 0, 0, 0]), robust)[1]
        near = self.bell(p, self.x, self.y) > 0.3
        sound = abs(p[0]) < 0.6 and abs(p[1]) < 0.6 and min(p[2], p[3]) > -4 and max(p[2], p[3]) < -0.2
        if near.sum() < 8 or not LEAST < height < self.most or not sound:
            return None
        if float((after[near] ** 2).sum()) > WORTH * float((before[near] ** 2).sum()):
            return None
        return float(np.log1p((rest / (3 * scale)) ** 2).sum()), p, robust

    def height(self, p: Floats) -> float:
        return self.parts(p, self.robust)[0]

    def _descended(self, p: Floats, robust: Floats) -> Floats:
        import numpy as np

        _, rest = self.parts(p, robust)
        cost, damp = float((rest**2).sum()), 1e-2
        for _ in range(14):
            slopes = np.stack([(self.parts(p + h, robust)[1] - rest) / 1e-4 for h in np.eye(5) * 1e-4], axis=1)
            normal = slopes.T @ slopes
            step = -np.linalg.solve(normal + damp * np.diag(np.diag(normal) + 1e-9), slopes.T @ rest)
            tried = p + np.clip(step, -0.3, 0.3)
            _, new = self.parts(tried, robust)
            if float((new**2).sum()) < cost:
                gain = cost - float((new**2).sum())
                p, rest, cost, damp = tried, new, cost - gain, damp / 4
                if gain < 1e-4 * cost:
                    break
            else:
                damp *= 6
        return p
