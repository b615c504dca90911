"""Every calculator of the desk, in the order in which the desk lists them."""

from products.calculations.calculators import STEPS, Calculator
from products.calculations.hollow import HOLLOW
from products.calculations.profiles import PROFILE, WINDING
from products.calculations.shrinkages import SHRINKAGE
from workshop.calculations.bends import BEND
from workshop.calculations.blends import BLEND
from workshop.calculations.buoyancy import DENSITY, FLOAT_SINK
from workshop.calculations.colours import COLOUR
from workshop.calculations.cooling import COOLING
from workshop.calculations.diffusivities import CALIBRATION
from workshop.calculations.forces import FORCE
from workshop.calculations.heating import CHARGE_HEATING, PRESS_HEAT
from workshop.calculations.kerfs import KERF
from workshop.calculations.melt_passes import MELT_PASSES
from workshop.calculations.residences import RESIDENCE
from workshop.calculations.sheet_charges import SHEET_CHARGE
from workshop.calculations.shots import SHOT_CAPACITY
from workshop.calculations.tolerances import TOLERANCE

CALCULATORS: tuple[Calculator, ...] = (
    SHEET_CHARGE,
    SHOT_CAPACITY,
    RESIDENCE,
    COOLING,
    CALIBRATION,
    CHARGE_HEATING,
    PRESS_HEAT,
    FORCE,
    SHRINKAGE,
    PROFILE,
    WINDING,
    KERF,
    BEND,
    HOLLOW,
    DENSITY,
    FLOAT_SINK,
    BLEND,
    COLOUR,
    MELT_PASSES,
    TOLERANCE,
)
BY_NAME = {each.name: each for each in CALCULATORS}


def by_step() -> list[tuple[str, list[Calculator]]]:
    """Return the steps of the work, each with its calculators; one may stand in several.

    >>> by_step()[0][0]
    'Before pressing'
    """
    rows = [
        (title, [each for each in CALCULATORS if step in each.steps])
        for step, title in STEPS.items()
    ]
    return [(title, found) for title, found in rows if found]
