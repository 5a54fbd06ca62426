"""Yellow against magenta: where the pack is, and the ellipse it lies in nine times out of ten."""

from __future__ import annotations

import math

WIDE, HIGH, LEFT, FOOT = 360, 250, 44, 40
NINE_IN_TEN = math.sqrt(-2.0 * math.log(0.1))  # radius of a plane Gaussian that holds 90 %, in sd: closed form
STEP = 50


def pack_doubt(pack: tuple[float, float], cov: tuple[float, float, float]) -> str:
    """An SVG, 360 wide. pack (yellow, magenta) [CC]; cov (yellow², both, magenta²) [CC²]. Both axes have one scale."""
    most_y = STEP * math.ceil((pack[0] + NINE_IN_TEN * math.sqrt(cov[0])) / STEP)
    most_m = STEP * math.ceil((pack[1] + NINE_IN_TEN * math.sqrt(cov[2])) / STEP)
    scale = min((WIDE - LEFT - 12) / most_y, (HIGH - FOOT - 12) / most_m)

    def at(y: float, m: float) -> tuple[float, float]:
        return LEFT + scale * max(y, 0.0), HIGH - FOOT - scale * max(m, 0.0)

    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" role="img" font-family="sans-serif" font-size="12" fill="currentColor">'
           f"<title>The pack {pack[0]:.0f}Y + {pack[1]:.0f}M and its doubt, nine times out of ten</title>"]  # fmt: skip
    (x0, y0), (x1, _), (_, y1) = at(0, 0), at(most_y, 0), at(0, most_m)
    out.append(f'<path d="M{x0:.1f} {y1:.1f}V{y0:.1f}H{x1:.1f}" fill="none" stroke="currentColor" stroke-width="0.8"/>')
    for v in range(0, most_y + 1, STEP):
        out.append(f'<text x="{at(v, 0)[0]:.1f}" y="{y0 + 15:.1f}" text-anchor="middle">{v}</text>')
    for v in range(STEP, most_m + 1, STEP):
        out.append(f'<text x="{x0 - 6:.1f}" y="{at(0, v)[1] + 4:.1f}" text-anchor="end">{v}</text>')
    out.append(f'<text x="{x1:.1f}" y="{y0 + 31:.1f}" text-anchor="end">yellow, CC</text><text x="{x0 + 6:.1f}" y="{y1 + 10:.1f}">magenta, CC</text>')
    # the root of the covariance turns a circle into the ellipse
    a = math.sqrt(cov[0])
    b = cov[1] / a if a else 0.0
    c = math.sqrt(max(cov[2] - b * b, 0.0))
    ring = []
    for k in range(60):
        along, across = NINE_IN_TEN * math.cos(k * math.pi / 30), NINE_IN_TEN * math.sin(k * math.pi / 30)
        ring.append("{:.1f},{:.1f}".format(*at(pack[0] + a * along, pack[1] + b * along + c * across)))
    out.append(f'<polygon points="{" ".join(ring)}" fill="none" stroke="currentColor" stroke-width="1.2" stroke-dasharray="5 3"/>')
    x, y = at(*pack)
    out.append(f'<path d="M{x - 6:.1f} {y:.1f}h12M{x:.1f} {y - 6:.1f}v12" stroke="currentColor" stroke-width="1.5"/></svg>')
    return "".join(out)
