"""Figures that look like slips: a point forgotten, g for kg, the wrong count, too much for the machine.

They may be right, so none is refused: each is asked back once, before it is booked. All limits
are this project's own judgement; they are loose, so that a question is rare enough to be read.
"""

from inventory.calculations.surprises import Surprise, surprise
from products.calculations.pass_limits import PassLimit
from products.calculations.ranges import piece_mass_note

MOST_OF_PLAN = 2
MOST_OF_CYCLE = 8
LEAST_OF_WANTED = 0.005
SIDE_FACTOR = 8


def capacity_surprise(*, total_mg: int, capacity_mg: int | None) -> Surprise | None:
    """Return a surprise when a charge would hold more than its machine takes at once.

    >>> capacity_surprise(total_mg=5_000_000, capacity_mg=4_000_000).expected_mg
    4000000
    """
    if capacity_mg is None or total_mg <= capacity_mg:
        return None
    return Surprise("capacity", total_mg, capacity_mg)


def wanted_surprise(
    *, mass_mg: int, loaded_mg: int, wanted_mg: int | None, is_planned: bool = True
) -> Surprise | None:
    """Return a surprise when a load is hardly anything of what is wanted, or makes it far too much.

    Far too much is more than twice what the plan wants, or eight times what one cycle wants
    where there is no plan; hardly anything is below 0.5 %, so that a pinch of colour passes and
    g for kg does not.

    >>> wanted_surprise(mass_mg=36_000_000, loaded_mg=0, wanted_mg=3_600_000).factor
    10
    >>> wanted_surprise(mass_mg=3_600, loaded_mg=0, wanted_mg=3_600_000).factor
    1000
    >>> wanted_surprise(mass_mg=1_200_000, loaded_mg=0, wanted_mg=3_600_000) is None
    True
    """
    if wanted_mg is None:
        return None
    most = MOST_OF_PLAN if is_planned else MOST_OF_CYCLE
    is_too_much = loaded_mg + mass_mg > most * wanted_mg
    if is_too_much or mass_mg < LEAST_OF_WANTED * wanted_mg:
        return surprise("wanted", mass_mg, wanted_mg)
    return None


def piece_surprise(*, mass_mg: int, pieces: int, expected_mg: int | None) -> Surprise | None:
    """Return a surprise when pieces weigh more than 20 % off what one should weigh.

    >>> piece_surprise(mass_mg=8_200_000, pieces=2, expected_mg=4_000_000) is None
    True
    >>> piece_surprise(mass_mg=8_200, pieces=2, expected_mg=4_000_000).factor
    1000
    """
    if not expected_mg or not pieces:
        return None
    note = piece_mass_note(mass_mg=mass_mg, pieces=pieces, nominal_mg=expected_mg)
    return surprise("piece", note.value, expected_mg) if note else None


def side_surprise(*, mass_mg: int, expected_mg: int | None) -> Surprise | None:
    """Return a surprise when offcuts, dust or purging are eight times off what such runs gave, or more.

    >>> side_surprise(mass_mg=1_400_000, expected_mg=140_000).factor
    10
    >>> side_surprise(mass_mg=300_000, expected_mg=140_000) is None
    True
    """
    if not expected_mg or 1 / SIDE_FACTOR < mass_mg / expected_mg < SIDE_FACTOR:
        return None
    return surprise("side", mass_mg, expected_mg)


def scale_surprise(
    *, mass_mg: int, resolution_mg: int | None, capacity_mg: int | None
) -> Surprise | None:
    """Return a surprise when a scale cannot have shown a mass: below its step, or above what it weighs.

    >>> scale_surprise(mass_mg=2_500, resolution_mg=10_000, capacity_mg=60_000_000).code
    'step'
    >>> scale_surprise(mass_mg=2_500_000, resolution_mg=10_000, capacity_mg=60_000_000) is None
    True
    """
    if resolution_mg and mass_mg < resolution_mg:
        return Surprise("step", mass_mg, resolution_mg)
    if capacity_mg and mass_mg > capacity_mg:
        return Surprise("scale", mass_mg, capacity_mg)
    return None


def is_melted_too_often(limit: PassLimit, *, of_load: float, of_charge: float) -> bool:
    """Return whether a load takes a charge above the limit of its design, or further above it.

    Both are shares (0 to 1) melted as often as the limit says or more: of what is loaded, and of
    the charge with it. A load that is itself within the limit only thins a charge that is not.

    >>> is_melted_too_often(PassLimit(2, 30), of_load=0.5, of_charge=0.4)
    True
    >>> is_melted_too_often(PassLimit(2, 30), of_load=0.1, of_charge=0.4)
    False
    """
    return limit.is_passed_by(of_load) and limit.is_passed_by(of_charge)
