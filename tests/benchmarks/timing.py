"""How long something took: on the server, by the clock, and in the middle of many tries."""

import os
from dataclasses import dataclass
from statistics import median, quantiles
from time import perf_counter, process_time


def server_timing(get_response):
    """Say in a header how many milliseconds the server worked on an answer."""

    def middleware(request):
        began = perf_counter()
        response = get_response(request)
        response["Server-Timing"] = f"app;dur={(perf_counter() - began) * 1000:.2f}"
        return response

    return middleware


@dataclass(frozen=True)
class Times:
    """Milliseconds of many tries: by the clock, and of this process's own processor time."""

    clock: tuple[float, ...]
    own: tuple[float, ...] = ()

    @property
    def median(self) -> float:
        return median(self.clock)

    @property
    def best(self) -> float:
        return min(self.clock)

    @property
    def own_median(self) -> float:
        return median(self.own)

    @property
    def p95(self) -> float:
        return p95(self.clock)


def p95(values) -> float:
    """Return the 95th percentile."""
    return quantiles(values, n=20, method="inclusive")[-1] if len(values) > 1 else values[0]


def timed(call, times: int = 15, before=lambda: None) -> Times:
    """Return how long a call took, so many times, each after `before`."""
    clock, own = [], []
    for _ in range(times):
        before()
        began, worked = perf_counter(), process_time()
        call()
        own.append((process_time() - worked) * 1000)
        clock.append((perf_counter() - began) * 1000)
    return Times(tuple(clock), tuple(own))


def load() -> str:
    """Return how busy the machine is, to stand beside a figure."""
    return f"{os.getloadavg()[0]:.1f}"


def yardstick() -> str:
    """Return what a fixed loop takes now, so that figures of a busy machine can be told."""
    times = timed(lambda: sum(range(5_000_000)), times=5)
    return f"a fixed loop takes {times.median:.0f} ms now"
