"""What is left of one sheet's stretches from each of them on, at least: time, hands, light."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from firstsheet.trays.several_chain import COVERED, Task


def least_from(tasks: tuple[Task, ...]) -> list[int]:
    """From the start of each stretch to the end of the sheet, at least [s]."""
    out = [0] * (len(tasks) + 1)
    for k in range(len(tasks) - 1, -1, -1):
        out[k] = tasks[k].for_s + (tasks[k + 1].wait_s[0] if k + 1 < len(tasks) else 0) + out[k + 1]
    return out


def sums(values: Sequence[int]) -> list[int]:
    out = [0] * (len(values) + 1)
    for k in range(len(values) - 1, -1, -1):
        out[k] = out[k + 1] + values[k]
    return out


def light_blocks(tasks: tuple[Task, ...]) -> list[int]:
    """Of each stretch that wants light: how long it keeps every other sheet's such stretches away, at least [s].

    An exposure keeps them away until the stretch is over in which its sheet comes to bear white light, or to lie covered: nothing
    opens the lens before, and then the hands are free. Where a picture is composed first the board is taken until the exposure
    is over, and mounting keeps them away as well.
    """
    out = [0] * len(tasks)
    composed = any(t.key == "compose" for t in tasks)
    k = 0
    while k < len(tasks):
        if not tasks[k].wants_light:
            if tasks[k].key == "mount" and composed:
                out[k] = tasks[k].for_s
            k += 1
            continue
        first = k
        out[first] = tasks[k].for_s
        while tasks[k].bears_after < COVERED and k + 1 < len(tasks):
            k += 1
            out[first] += tasks[k].wait_s[0] + tasks[k].for_s
        k += 1
    return out


def still_lit(tasks: tuple[Task, ...], block: Sequence[int]) -> list[int]:
    """From each stretch on, how long the sheet still keeps others' light away [s]; a mount that comes next may fall where another lies bare."""
    whole = sums(block)
    return [x - (block[k] if k < len(tasks) and tasks[k].key == "mount" else 0) for k, x in enumerate(whole)]


def covered_in(tasks: tuple[Task, ...], block: Sequence[int]) -> list[tuple[int, int]]:
    """While a sheet waits for a stretch uncovered: least time from its start until it is covered or bears white, less what its own light
    takes of that; and all of it [s]."""
    out = [(0, 0)] * (len(tasks) + 1)
    for k in range(len(tasks)):
        total = own = 0
        for j in range(k, len(tasks)):
            total += tasks[j].for_s + (tasks[j].wait_s[0] if j > k else 0)
            own += block[j]
            if tasks[j].bears_after == COVERED:
                break
        out[k] = max(0, total - own), total
    return out


def after_light(tasks: tuple[Task, ...]) -> int:
    """From the end of the sheet's last light block to its end, at least [s]."""
    last = max(k for k, t in enumerate(tasks) if t.wants_light)
    k = last
    while tasks[k].bears_after < COVERED and k + 1 < len(tasks):
        k += 1
    return sum(t.wait_s[0] + t.for_s for t in tasks[k + 1 :])


def stays_in(tasks: tuple[Task, ...], tray: str) -> list[int]:
    """From each stretch on, how long the sheet is still to lie in this tray, at least; for the one that leaves it, its own stay's wait [s]."""
    out = [0] * (len(tasks) + 1)
    for k in range(len(tasks) - 1, -1, -1):
        out[k] = out[k + 1] + (tasks[k].wait_s[0] if tasks[k].leaves == tray else 0)
    return out


def until_tray(tasks: tuple[Task, ...], tray: str) -> list[int]:
    """From the start of each stretch until the sheet's next stay in this tray begins to count, at least [s]; -1 where it lies there, or never will."""
    out = [-1] * (len(tasks) + 1)
    for k in range(len(tasks) - 1, -1, -1):
        if tasks[k].enters == tray:
            out[k] = tasks[k].for_s
        elif tasks[k].leaves != tray and out[k + 1] >= 0:
            out[k] = tasks[k].for_s + tasks[k + 1].wait_s[0] + out[k + 1]
        elif tasks[k].leaves == tray:
            out[k] = -1
    return out


def after_tray(tasks: tuple[Task, ...], tray: str) -> int:
    """From when the sheet is lifted from this tray for the last time to its end, at least [s]."""
    last = max((k for k, t in enumerate(tasks) if t.leaves == tray), default=len(tasks))
    return sum(t.for_s + (t.wait_s[0] if k > last else 0) for k, t in enumerate(tasks) if k >= last)


Load = tuple[int, list[list[int]], list[int], list[list[int]]]


def loads(chains: Sequence[tuple[Task, ...]], places: Mapping[str, int]) -> list[Load]:
    """Of the two trays that are taken longest by their places: places; of each sheet, `stays_in`, `after_tray` and `until_tray`."""
    out: list[Load] = []
    for tray in sorted({t.enters for c in chains for t in c if t.enters}):
        stays = [stays_in(c, tray) for c in chains]
        out.append(
            (places.get(tray, 1), stays, [after_tray(c, tray) for c in chains], [until_tray(c, tray) for c in chains])
        )
    return sorted(out, key=lambda x: -sum(one[0] for one in x[1]) / x[0])[:2]
