"""What is left of one sheet's stretches from each of them on, at least: time, hands, light."""

from __future__ import annotations

from collections.abc import Sequence

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


def covered_in(tasks: tuple[Task, ...]) -> list[int]:
    """While a sheet waits for a stretch uncovered: least time from its start until it is covered or bears white [s]."""
    out = [0] * (len(tasks) + 1)
    for k in range(len(tasks)):
        total = 0
        for j in range(k, len(tasks)):
            total += tasks[j].for_s + (tasks[j].wait_s[0] if j > k else 0)
            if tasks[j].bears_after == COVERED:
                break
        out[k] = total
    return out


def after_light(tasks: tuple[Task, ...]) -> int:
    """From the end of the sheet's last light block to its end, at least [s]."""
    last = max(k for k, t in enumerate(tasks) if t.wants_light)
    k = last
    while tasks[k].bears_after < COVERED and k + 1 < len(tasks):
        k += 1
    return sum(t.wait_s[0] + t.for_s for t in tasks[k + 1 :])
