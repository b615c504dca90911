"""Which steps a cycle of each operation usually has, in their order: common practice."""

STEPS = {
    "granulate": ("feed", "grind", "empty"),
    "blend": ("fill", "tumble", "empty"),
    "press": ("fill", "heat", "press", "cool", "eject", "trim"),
    "inject": ("heat", "inject", "pack", "cool", "eject", "trim"),
    "extrude": ("heat", "draw", "cool", "cut", "trim"),
    "cut": ("clamp", "cut", "eject", "trim"),
    "form": ("heat", "bend", "cool", "eject", "trim"),
}


def pieces_per_cycle(cavities: int | None, pieces_of_design: int | None) -> int:
    """Return how many pieces one cycle gives: the cavities of the tooling if it has several, else the design's.

    >>> pieces_per_cycle(4, 1), pieces_per_cycle(1, 6), pieces_per_cycle(None, None)
    (4, 6, 1)
    """
    if cavities and cavities > 1:
        return cavities
    return pieces_of_design or 1
