"""Pictures of test strips with known truth, made the way light makes them; shares no code with the reader.

density → reflectance → light on the table → lens (vignette, glare, veiling flare, blur) → sensor noise → the phone's tone
curve → sRGB codes → JPEG. Lengths in mm on the table, pixels in the picture.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass, field

import numpy as np
from PIL import Image

CARD_MM = (160.0, 40.0)  # the printed card, drawn here again from its drawing, not from the program's table
FIRST_LOG_H = -1.0  # of every strip [log10 lx·s]
MARKS = ((7.0, 7.0), (153.0, 7.0), (153.0, 33.0), (7.0, 33.0))


@dataclass(frozen=True)
class Paper:
    """A paper's curve in closed form, one of four families, two of them lopsided. log H in log10 lx·s."""

    family: int
    base: float
    top: float
    middle: float
    gamma: float  # density per log exposure at the steepest
    sense: int

    def net(self, t: np.ndarray) -> np.ndarray:
        """Share of the density range, rising with t."""
        steep = self.gamma / (self.top - self.base)
        if self.family == 0:  # logistic
            return 1 / (1 + np.exp(np.clip(-4 * steep * t, -500, 500)))
        if self.family == 1:  # normal distribution function
            return np.array([0.5 * math.erfc(-v) for v in math.sqrt(math.pi) * steep * np.ravel(t)])
        pace = np.exp(np.clip(math.e * steep * t, -500, 500))
        if self.family == 2:  # short toe, long shoulder
            return np.exp(-math.log(2) / pace)
        return -np.expm1(-math.log(2) * pace)  # long toe, hard shoulder

    def density(self, log_h: np.ndarray) -> np.ndarray:
        return self.base + (self.top - self.base) * self.net(self.sense * (np.asarray(log_h) - self.middle))

    def log_h(self, share: float) -> float:
        """Where the net density is this share of its range, by bisection."""
        low, high = -30.0, 30.0
        for _ in range(80):
            mid = 0.5 * (low + high)
            low, high = (mid, high) if self.net(np.array([mid]))[0] < share else (low, mid)
        return self.middle + self.sense * 0.5 * (low + high)

    @property
    def mid(self) -> float:
        """0.60 above base+fog [ISO-6846]; on positive-working paper midway between base and Dmax."""
        return self.log_h(0.60 / (self.top - self.base) if self.sense > 0 else 0.5)

    @property
    def threshold(self) -> float:
        foot = 0.04 / (self.top - self.base)
        return self.log_h(foot if self.sense > 0 else 1 - foot)

    @property
    def ends(self) -> tuple[float, float]:
        """log H of points S and T, the lesser first [ISO-6846]."""
        s, t = self.log_h(0.04 / (self.top - self.base)), self.log_h(0.90)
        return min(s, t), max(s, t)


@dataclass
class Truth:
    """What a picture was made of."""

    kind: str
    steps: int
    densities: np.ndarray  # in order of exposure, least first
    sense: int
    border_density: float | None
    card: tuple[float, ...] | None  # true densities of the six patches, white first
    card_said: tuple[float, ...] | None
    corners: np.ndarray  # of the strip, fractions of the picture, from the least exposed end, clockwise or not
    clipped: np.ndarray  # per step, share of its pixels at the end of the scale
    spoiled: np.ndarray  # per step, bool: too much of it under a reflection to be read
    flare: float
    log_h: np.ndarray  # of the steps, log10 lx·s, as given
    paper: Paper
    extras: dict[str, float] = field(default_factory=dict)


def paper(rng: np.random.Generator, log_h: np.ndarray, sense: int) -> Paper:
    """Any paper, spanned by the steps in part or in full."""
    base, top = rng.uniform(0.05, 0.12), rng.uniform(1.35, 2.25)
    middle = rng.uniform(np.quantile(log_h, 0.35), np.quantile(log_h, 0.65))
    gamma = rng.uniform(1.0, 3.2)
    return Paper(int(rng.integers(4)), base, top, middle, gamma, sense)


def picture(rng: np.random.Generator, kind: str, long_px: int = 1500, **fixed: float) -> tuple[bytes, Truth]:
    """One picture and its truth. `kind`: clean, flare, flare_no_card, phone, local, scan."""
    f = dict(fixed)
    n = int(f.get("steps", rng.integers(7, 32) if rng.random() < 0.6 else rng.integers(7, 14)))
    sense = 1 if rng.random() < 0.7 else -1
    step = 0.15 if n > 12 else rng.choice([0.15, 0.30])
    log_h = np.arange(n) * step + FIRST_LOG_H
    made_on = paper(rng, log_h, sense)
    densities = made_on.density(log_h)
    if rng.random() < 0.3:  # a step wedge by contact: small wrongs of its own
        densities = densities + rng.normal(0, 0.004, n)
    pitch, tall = rng.uniform(5, 8) if n > 16 else rng.uniform(8, 14), rng.uniform(22, 40)
    margin = 0.0 if rng.random() < 0.15 else rng.uniform(2.5, 6)
    border = None
    if margin:  # masked from all light: base+fog, or on positive-working paper all its black
        border = made_on.base if sense > 0 else made_on.top
    strip = (n * pitch + 2 * margin, tall + 2 * margin)
    has_card = kind != "flare_no_card" and (kind != "clean" or rng.random() < 0.7)
    black = rng.uniform(1.68, 2.2)
    card = (0.08, *(np.array([0.35, 0.65, 0.95, 1.25]) + rng.normal(0, 0.08, 4)), black) if has_card else None
    table = rng.uniform(0.28, 0.62) if rng.random() < 0.8 else rng.uniform(0.7, 1.1)
    if margin == 0:  # the far ends must differ from the table
        while min(abs(table - densities[0]), abs(table - densities[-1])) < 0.12:
            table = rng.uniform(0.2, 1.0)
    elif border is not None and abs(table - border) < 0.12:
        table = border + 0.25

    camera, placed = _camera(rng, kind, strip, has_card, long_px)
    wide, high = camera.size
    light = np.zeros((high, wide), dtype=np.float64)
    index = np.full((high, wide), -1, dtype=np.int16)
    for dy in (0.25, 0.75):  # four samples a pixel
        for dx in (0.25, 0.75):
            x, y = camera.table_of(dx, dy)
            density, which = _scene(x, y, densities, pitch, tall, margin, border, strip, placed, card, table)
            light += 10.0**-density / 4
            index = which
    light *= _texture(rng, (high, wide), rng.uniform(0.002, 0.008))
    light *= _lamp(rng, (high, wide), kind)
    if rng.random() < 0.12 and kind != "scan":
        light *= _shadow(rng, (high, wide))
    light = _dust(rng, light, 12 if kind != "scan" else 25)
    glare = np.zeros_like(light)
    if kind != "scan" and rng.random() < 0.25:
        glare = _glare(rng, (high, wide), camera.centre_px(strip))
        light = light + glare
    fraction = f.get("flare", 0.0 if kind in ("clean", "scan", "local") else rng.uniform(0.005, 0.02))
    if kind == "local" and "flare" not in f:
        fraction = rng.uniform(0.005, 0.01)
    light = _lens(rng, light, fraction, f.get("blur", rng.uniform(0.6, 1.8) * long_px / 1500))
    white = np.quantile(light, 0.995) / 10**-0.08 if not has_card else np.quantile(light, 0.98)
    light = light * (f.get("exposure", rng.uniform(0.72, 0.93)) / max(white, 1e-6))
    light = _sensor(rng, light, 0.004 if kind == "scan" else rng.uniform(0.004, 0.015))
    if kind == "phone":
        light = _tone_curve(light, rng.uniform(0.04, 0.12), rng.uniform(0.0, 0.05))
    if kind == "local":
        light = _local(light, rng.uniform(0.04, 0.12), rng.uniform(0.12, 0.2) * max(light.shape))
    codes = _codes(light)
    inner = [(index == i) for i in range(n)]
    clipped = np.array([float((codes[m] >= 254).mean()) if m.any() else 1.0 for m in inner])
    over = np.array([float(np.median(glare[m])) if m.any() else 9.0 for m in inner])
    spoiled = over > 0.3 * 10.0**-densities
    said = None
    if card is not None:
        said = (0.08 + rng.normal(0, 0.005), *(np.array(card[1:]) + rng.normal(0, 0.015, 5)))
    corners = camera.px_of(np.array([[0, 0], [strip[0], 0], [strip[0], strip[1]], [0, strip[1]]])) / [wide, high]
    truth = Truth(
        kind,
        n,
        densities,
        sense,
        border,
        card,
        said,
        corners,
        clipped,
        spoiled,
        fraction,
        log_h,
        made_on,
        {"margin": margin, "pitch": pitch, "table": table, "glare": float(over.max()), "tilt": camera.tilt},
    )
    return _encoded(codes, rng, kind), truth


class _Camera:
    """A pinhole over the table: turned, tilted, placed so that all of it is in the picture."""

    def __init__(self, size: tuple[int, int], turn: float, tilt: float, axis: float, box: np.ndarray, room: float):
        self.size, self.tilt = size, tilt
        a = math.radians(axis)
        away = np.array([[math.cos(a), -math.sin(a)], [math.sin(a), math.cos(a)]])
        t = math.radians(turn)
        turned = np.array([[math.cos(t), -math.sin(t)], [math.sin(t), math.cos(t)]])
        self.middle = box.mean(axis=0)
        span = np.ptp(box, axis=0).max()
        self.rot, self.away, self.far, self.phi = turned, away, 2.2 * span, math.radians(tilt)
        self.scale, self.shift = 1.0, np.zeros(2)
        seen = self.px_of(box)
        low, high = seen.min(axis=0), seen.max(axis=0)
        self.scale = float(((1 - 2 * room) * np.array(size) / (high - low)).min())
        self.shift = np.array(size) / 2 - self.scale * (low + high) / 2

    def px_of(self, points: np.ndarray) -> np.ndarray:
        p = (points - self.middle) @ self.rot.T @ self.away
        depth = self.far + p[:, 1] * math.sin(self.phi)
        q = np.stack([p[:, 0] / depth, p[:, 1] * math.cos(self.phi) / depth], axis=1) @ self.away.T * self.far
        return q * self.scale + self.shift

    def table_of(self, dx: float, dy: float) -> tuple[np.ndarray, np.ndarray]:
        yy, xx = np.mgrid[0 : self.size[1], 0 : self.size[0]]
        q = (np.stack([xx + dx, yy + dy], axis=-1) - self.shift) / self.scale / self.far @ self.away
        v = q[..., 1] * self.far / (math.cos(self.phi) - q[..., 1] * math.sin(self.phi))
        u = q[..., 0] * (self.far + v * math.sin(self.phi))
        p = np.stack([u, v], axis=-1) @ self.away.T @ self.rot + self.middle
        return p[..., 0], p[..., 1]

    def centre_px(self, strip: tuple[float, float]) -> np.ndarray:
        return self.px_of(np.array([[0.0, 0.0], [strip[0], strip[1]]]))


def _camera(rng, kind, strip, has_card, long_px):
    """The camera and where the card lies: (left, top, turn) on the table."""
    gap = rng.uniform(6, 15)
    above = rng.random() < 0.5
    left = strip[0] / 2 - CARD_MM[0] / 2 + rng.uniform(-10, 10)
    top = -gap - CARD_MM[1] if above else strip[1] + gap
    placed = (left, top, math.radians(rng.uniform(-4, 4)) * (strip[0] > 60)) if has_card else None
    box = [[0, 0], [strip[0], 0], [strip[0], strip[1]], [0, strip[1]]]
    if has_card:
        box += _card_corners(placed).tolist()
    size = (long_px, int(long_px * 0.75)) if rng.random() < 0.7 else (int(long_px * 0.75), long_px)
    tilt = 0.0 if kind == "scan" else rng.uniform(0, 30)
    return _Camera(
        size, rng.uniform(0, 360), tilt, rng.uniform(0, 360), np.array(box, dtype=float), rng.uniform(0.06, 0.12)
    ), placed


def _card_corners(placed):
    left, top, turn = placed
    c = np.array([[0, 0], [CARD_MM[0], 0], [CARD_MM[0], CARD_MM[1]], [0, CARD_MM[1]]]) - np.array(CARD_MM) / 2
    r = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    return c @ r.T + np.array(CARD_MM) / 2 + [left, top]


def _scene(x, y, densities, pitch, tall, margin, border, strip, placed, card, table):
    density = np.full(x.shape, table)
    which = np.full(x.shape, -1, dtype=np.int16)
    on = (x >= 0) & (x < strip[0]) & (y >= 0) & (y < strip[1])
    density[on] = border if border is not None else table
    i = np.floor((x - margin) / pitch).astype(int)
    step = (i >= 0) & (i < len(densities)) & (y >= margin) & (y < margin + tall)
    density[step] = densities[i[step]]
    part = (x - margin) / pitch - i
    core = step & (part > 0.25) & (part < 0.75) & (y > margin + 0.25 * tall) & (y < margin + 0.75 * tall)
    which[core] = i[core]
    if card is not None:
        left, top, turn = placed
        mx, my = left + CARD_MM[0] / 2, top + CARD_MM[1] / 2
        cx = (x - mx) * math.cos(turn) + (y - my) * math.sin(turn) + CARD_MM[0] / 2
        cy = -(x - mx) * math.sin(turn) + (y - my) * math.cos(turn) + CARD_MM[1] / 2
        on = (cx >= 0) & (cx < 160) & (cy >= 0) & (cy < 40)
        density[on] = card[0]
        dark = on & ((np.minimum(cx, 160 - cx) < 1.2) | (np.minimum(cy, 40 - cy) < 1.2))
        for ax, ay in MARKS:
            dark |= (cx - ax) ** 2 + (cy - ay) ** 2 < 2.5**2
        dark |= (cx >= 13.5) & (cx < 22.5) & (cy >= 5) & (cy < 9)
        density[dark] = 1.4
        for k in range(6):
            patch = (cx >= 16 + 22 * k) & (cx < 34 + 22 * k) & (cy >= 12) & (cy < 28)
            density[patch] = card[k]
    return density, which


def _smooth(image: np.ndarray, sigma: float) -> np.ndarray:
    """Gaussian blur, edges mirrored: by its taps where small, by the Fourier transform where wide."""
    if sigma <= 3:
        reach = math.ceil(4 * sigma)
        taps = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
        taps = (taps / taps.sum()).astype(np.float32)
        out = image.astype(np.float32)
        for _ in range(2):
            wide = np.pad(out, ((reach, reach), (0, 0)), mode="reflect")
            out = sum(t * wide[k : k + out.shape[0]] for k, t in enumerate(taps)).T
        return out
    pad = int(min(4 * sigma + 2, min(image.shape) - 1))
    big = np.pad(image.astype(np.float32), pad, mode="reflect")
    whole = tuple(-(-n // 64) * 64 for n in big.shape)
    big = np.pad(big, ((0, whole[0] - big.shape[0]), (0, whole[1] - big.shape[1])), mode="edge")
    fy, fx = np.fft.fftfreq(big.shape[0])[:, None], np.fft.rfftfreq(big.shape[1])[None]
    pull = np.exp(-2 * (math.pi * sigma) ** 2 * (fx**2 + fy**2)).astype(np.float32)
    out = np.fft.irfft2(np.fft.rfft2(big) * pull, big.shape)
    return out[pad : pad + image.shape[0], pad : pad + image.shape[1]]


def _texture(rng, shape, amount):
    grain = _smooth(rng.normal(0, 1, shape), rng.uniform(0.8, 2.0))
    return 1 + amount * grain / grain.std()


def _lamp(rng, shape, kind):
    """Light falling off: cos⁴-like from the lens to −1.5 stop in the corner, and a lamp to one side."""
    yy, xx = np.mgrid[-1 : 1 : shape[0] * 1j, -1 : 1 : shape[1] * 1j]
    if kind == "scan":
        return 2.0 ** (rng.uniform(-0.06, 0.06) * xx + rng.uniform(-0.06, 0.06) * yy)
    stops = rng.uniform(0, 1.5)
    k = 2.0 ** (stops / 2) - 1
    cx, cy = rng.uniform(-0.15, 0.15, 2)
    r2 = ((xx - cx) ** 2 + (yy - cy) ** 2) / 2
    side = rng.uniform(0, 0.3)
    angle = rng.uniform(0, 2 * math.pi)
    lamp = 1 / ((xx * math.cos(angle) + yy * math.sin(angle)) * side / 2 + 1) ** 1.5
    return lamp / (1 + k * r2) ** 2


def _shadow(rng, shape):
    yy, xx = np.mgrid[-1 : 1 : shape[0] * 1j, -1 : 1 : shape[1] * 1j]
    angle = rng.uniform(0, 2 * math.pi)
    edge = (xx * math.cos(angle) + yy * math.sin(angle) - rng.uniform(0.3, 0.8)) / rng.uniform(0.08, 0.25)
    return 1 - rng.uniform(0.1, 0.35) / (1 + np.exp(-np.clip(4 * edge, -50, 50)))


def _dust(rng, light, many):
    out = light.copy()
    for _ in range(int(rng.integers(0, many))):
        y, x, r = rng.uniform(0, light.shape[0]), rng.uniform(0, light.shape[1]), rng.uniform(0.8, 4)
        y0, y1, x0, x1 = (int(max(v, 0)) for v in (y - r - 1, y + r + 2, x - r - 1, x + r + 2))
        yy, xx = np.mgrid[y0 : min(y1, light.shape[0]), x0 : min(x1, light.shape[1])]
        inside = (yy - y) ** 2 + (xx - x) ** 2 < r * r
        part = out[y0:y1, x0:x1]
        part[inside] = 0.5 * part[inside] + 0.5 * rng.choice([0.05, 0.6])
    for _ in range(int(rng.integers(0, 3))):  # hairs
        t = np.linspace(0, 1, 400)
        p = rng.uniform(0, 1, (3, 2)) * 0.15 + rng.uniform(0, 0.85, 2)
        path = ((1 - t)[:, None] ** 2 * p[0] + 2 * (t * (1 - t))[:, None] * p[1] + t[:, None] ** 2 * p[2]) * light.shape
        rows, cols = path.astype(int).T
        out[rows, cols] *= 0.5
    return out


def _glare(rng, shape, strip_px):
    """A lamp seen in the paper's gloss: an oval spot, added, not exactly a bell."""
    low, high = strip_px.min(axis=0), strip_px.max(axis=0)
    x, y = rng.uniform(low, high)
    yy, xx = np.mgrid[0 : shape[0], 0 : shape[1]]
    a = rng.uniform(0, math.pi)
    sx, sy = rng.uniform(0.02, 0.07, 2) * max(shape)
    u = ((xx - x) * math.cos(a) + (yy - y) * math.sin(a)) / sx
    v = (-(xx - x) * math.sin(a) + (yy - y) * math.cos(a)) / sy
    return rng.uniform(0.01, 0.12) * np.exp(-(((u * u + v * v) / 2) ** rng.uniform(0.85, 1.2)))


def _lens(rng, light, fraction, blur):
    """Lens blur, and a share of all light spread over the picture: most evenly, some around where it came from."""
    sharp = _smooth(light, blur)
    if fraction == 0:
        return sharp
    small = np.asarray(Image.fromarray(light.astype(np.float32)).resize((64, 64), Image.Resampling.BOX), dtype=float)
    around = np.asarray(
        Image.fromarray(_smooth(small, 10).astype(np.float32)).resize(light.shape[::-1], Image.Resampling.BILINEAR)
    )
    return (1 - fraction) * sharp + fraction * (0.85 * light.mean() + 0.15 * around)


def _sensor(rng, light, noise):
    """Shot noise (`noise` is its share at white) and read noise."""
    return light + rng.normal(0, 1, light.shape) * np.sqrt(noise**2 * np.maximum(light, 0) + 0.0004**2)


def _tone_curve(light, bend, lift):
    """A phone's picture look: an S in the codes, shadows lifted."""
    v = _srgb(np.clip(light, 0, 1))
    return _unsrgb(np.clip(v - bend * np.sin(2 * math.pi * v) / 2 + lift * v * (1 - v) ** 3, 0, 1))


def _local(light, amount, sigma):
    """A phone that brightens the dark parts of a picture: gain from a wide blur of the log."""
    small = np.maximum(light[::8, ::8], 1e-3)
    wide = _smooth(np.log(small), sigma / 8)
    wide = np.asarray(Image.fromarray(wide.astype(np.float32)).resize(light.shape[::-1], Image.Resampling.BILINEAR))
    return light * np.exp(-amount * (wide - wide.max())) * 0.9


def _srgb(v):
    return np.where(v <= 0.0031308, 12.92 * v, 1.055 * np.maximum(v, 1e-9) ** (1 / 2.4) - 0.055)


def _unsrgb(v):
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def _codes(light):
    return np.rint(255 * _srgb(np.clip(light, 0, 1))).astype(np.uint8)


def _encoded(codes, rng, kind):
    out = io.BytesIO()
    rgb = Image.fromarray(codes).convert("RGB")
    if kind == "scan" and rng.random() < 0.5:
        rgb.save(out, "PNG")
    else:
        rgb.save(out, "JPEG", quality=int(rng.choice([70, 85, 95])))
    return out.getvalue()


def impossible(rng: np.random.Generator, why: str, long_px: int = 1200) -> bytes:
    """A picture that cannot be read: none, cut, blurred, over."""
    kind = str(rng.choice(["clean", "flare", "flare_no_card"]))
    if why == "blurred":
        pixels = rng.uniform(16, 40) * long_px / 1200
        return picture(rng, kind, long_px, blur=pixels)[0]
    if why == "over":
        return picture(rng, kind, long_px, exposure=rng.uniform(2.2, 6.0))[0]
    if why == "cut":
        return _cut(rng, kind, long_px)
    return _nothing(rng, long_px)


def _cut(rng, kind, long_px):
    data, truth = picture(rng, kind, long_px)
    image = Image.open(io.BytesIO(data))
    c = truth.corners * image.size
    ends = [(c[0] + c[3]) / 2, (c[1] + c[2]) / 2]
    end = ends[int(rng.integers(2))]
    inside = end + (ends[0] + ends[1] - 2 * end) * rng.uniform(0.12, 0.35)
    w, h = image.size
    way = end - inside
    if abs(way[0]) > abs(way[1]):
        box = (0, 0, int(inside[0]), h) if way[0] > 0 else (int(inside[0]), 0, w, h)
    else:
        box = (0, 0, w, int(inside[1])) if way[1] > 0 else (0, int(inside[1]), w, h)
    out = io.BytesIO()
    image.crop(box).save(out, "JPEG", quality=85)
    return out.getvalue()


def _nothing(rng, long_px):
    """A bare table, a blank sheet, a photograph, scattered things, a ramp without steps, lines of writing, a board of squares."""
    high, wide = int(long_px * 0.75), long_px
    yy, xx = np.mgrid[0:high, 0:wide]
    density = np.full((high, wide), rng.uniform(0.25, 0.6))
    what = rng.choice(["table", "blank", "photo", "things", "ramp", "writing", "squares"])
    x0, x1, y0, y1 = (int(v) for v in (wide * 0.15, wide * 0.85, high * 0.3, high * 0.65))
    if what == "blank":
        density[y0:y1, x0:x1] = 0.08
    elif what == "photo":
        blobs = _smooth(rng.normal(0, 1, (high, wide)), rng.uniform(15, 60))
        density[y0:y1, x0:x1] = 0.08
        part = blobs[y0 + 20 : y1 - 20, x0 + 20 : x1 - 20]
        density[y0 + 20 : y1 - 20, x0 + 20 : x1 - 20] = 0.9 + 0.8 * np.clip(part / (2 * part.std()), -1, 1)
    elif what == "things":
        for _ in range(int(rng.integers(3, 12))):
            y, x, r = rng.uniform(0, high), rng.uniform(0, wide), rng.uniform(20, 120)
            density[(yy - y) ** 2 + (xx - x) ** 2 * rng.uniform(0.3, 3) < r * r] = rng.uniform(0.05, 1.8)
    elif what == "ramp":
        density[y0:y1, x0:x1] = 0.1 + 1.6 * (xx[y0:y1, x0:x1] - x0) / (x1 - x0)
    elif what == "writing":
        density[y0:y1, x0:x1] = 0.08
        for top in range(y0 + 20, y1 - 20, 24):
            left = x0 + 20
            while left < x1 - 60:
                word = int(rng.integers(12, 60))
                density[top : top + int(rng.integers(8, 13)), left : left + word] = rng.uniform(0.6, 1.3)
                left += word + int(rng.integers(6, 14))
    elif what == "squares":
        side = int(rng.integers(25, 70))
        part = ((yy - y0) // side + (xx - x0) // side)[y0:y1, x0:x1] % 2
        density[y0:y1, x0:x1] = np.where(part > 0, rng.uniform(0.9, 1.5), 0.08)
    light = 10.0**-density * _texture(rng, (high, wide), 0.006) * _lamp(rng, (high, wide), "clean")
    light = _lens(rng, light, 0.01, rng.uniform(0.6, 1.5))
    light = _sensor(rng, light * 0.85 / np.quantile(light, 0.98), 0.008)
    return _encoded(_codes(light), rng, "clean")
