"""Which form a mixture has: it is as coarse as its coarsest part."""

COARSEST_FIRST = (
    "whole", "part", "sheet", "profile", "purging", "offcut", "flake", "pellet", "dust",
)  # fmt: skip


def coarsest(forms) -> str:
    """Return the coarsest of the given forms of plastic (common practice: grind by the largest piece).

    >>> coarsest(["dust", "flake"])
    'flake'
    """
    return min(forms, key=COARSEST_FIRST.index)
