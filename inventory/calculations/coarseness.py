"""Which form a mixture has: it is as coarse as its coarsest part."""

COARSEST_FIRST = (
    "whole", "part", "sheet", "profile", "purging", "offcut", "flake", "pellet", "dust",
)  # fmt: skip


READY = frozenset({"flake", "pellet"})


def purpose(form: str) -> str:
    """Return what a form of plastic waits for, so that bins of one purpose are told from others.

    Flake and pellet are ready to be worked, dust stays apart, the rest is still to be ground
    (common practice).

    >>> purpose("offcut"), purpose("pellet"), purpose("dust")
    ('grind', 'ready', 'dust')
    """
    if form in READY:
        return "ready"
    return "dust" if form == "dust" else "grind"


def coarsest(forms) -> str:
    """Return the coarsest of the given forms of plastic (common practice: grind by the largest piece).

    >>> coarsest(["dust", "flake"])
    'flake'
    """
    return min(forms, key=COARSEST_FIRST.index)
