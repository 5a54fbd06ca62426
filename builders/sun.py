"""Makes authorities/light/sun.csv and sky.csv: where the sun stands through a day at twelve places, and the clear sky beneath it,
as the open library pvlib computes them (its `spa_python`, after NREL/TP-560-34302, and its `ineichen`). Run from the top of the
checkout by a Python that has pvlib, which the project itself does not need: python builders/sun.py
"""

from __future__ import annotations

import csv
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pandas as pd
import pvlib

HERE = Path(__file__).parents[1] / "authorities" / "light"
PLACES = (  # latitude, longitude, first moment (UTC); poles, equator, south, date line, days on which clocks change
    (90.0, 0.0, "2026-06-21"), (-90.0, 0.0, "2026-12-21"), (0.0, 0.0, "2026-03-20"), (0.0, -78.0, "2024-02-29"),
    (52.0, 0.0, "2026-03-29"), (52.0, 13.0, "2026-10-25"), (-34.0, 18.5, "2026-11-28"), (-45.0, 170.0, "2026-04-05"),
    (10.0, 179.99, "2026-07-01"), (-17.0, -179.99, "2026-07-01"), (69.0, 18.0, "2026-11-20"), (39.742476, -105.1786, "2003-10-17"),
)  # fmt: skip
HEIGHTS = (60.0, 45.0, 30.0, 20.0, 15.0, 12.0, 10.0, 8.0, 5.0, 4.0)


def main() -> None:
    with (HERE / "sun.csv").open("w", newline="", encoding="utf-8") as f:
        print(
            f"# pvlib {pvlib.__version__}, get_solarposition(method='nrel_numpy'), 1010 mbar, 10 °C; kind: reference; bare figures [PVLIB-2018]",
            file=f,
        )
        out = csv.writer(f, lineterminator="\n")
        out.writerow(("latitude_deg", "longitude_deg", "utc", "height_deg", "apparent_deg", "bearing_deg"))
        for lat, lon, day in PLACES:
            first = datetime.fromisoformat(day).replace(tzinfo=UTC)
            times = [first + timedelta(minutes=61 * i) for i in range(24)]
            index = pd.DatetimeIndex(times).as_unit("ns")
            found = pvlib.solarposition.get_solarposition(
                index, lat, lon, 0, 101000, method="nrel_numpy", temperature=10, delta_t=69.0
            )
            for t, row in zip(times, found.itertuples(), strict=True):
                out.writerow(
                    (
                        lat,
                        lon,
                        t.isoformat(),
                        f"{row.elevation:.5f}",
                        f"{row.apparent_elevation:.5f}",
                        f"{row.azimuth:.5f}",
                    )
                )
    with (HERE / "sky.csv").open("w", newline="", encoding="utf-8") as f:
        print(
            f"# pvlib {pvlib.__version__}, clearsky.ineichen, Kasten-Young air mass, extraterrestrial 1361 W/m2; kind: reference; bare figures [PVLIB-2018]",
            file=f,
        )
        out = csv.writer(f, lineterminator="\n")
        out.writerow(("height_deg", "above_sea_m", "turbidity", "ghi_w_m2", "dni_w_m2", "dhi_w_m2"))
        for above in (0.0, 1500.0):
            for turbidity in (2.5, 3.0, 4.5):
                for h in HEIGHTS:
                    mass = pvlib.atmosphere.get_relative_airmass(90 - h)
                    mass = pvlib.atmosphere.get_absolute_airmass(mass, pvlib.atmosphere.alt2pres(above))
                    sky = pvlib.clearsky.ineichen(90 - h, mass, turbidity, above, 1361.0)
                    out.writerow((h, above, turbidity, *(f"{float(sky[k]):.3f}" for k in ("ghi", "dni", "dhi"))))


if __name__ == "__main__":
    main()
