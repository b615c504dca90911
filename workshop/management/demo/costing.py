"""What things cost in the invented year: rates, prices of deliveries, and meters that were read.

All figures are invented. Its ids and its chance are its own, so that the rest of the story stays what it is.
"""

import random
from datetime import timedelta
from decimal import Decimal
from uuid import UUID

from inventory.actions.acts import Act
from inventory.actions.prices import set_currency, set_price
from inventory.models import Delivery
from workshop.actions.meterings import note_meter
from workshop.actions.rates import set_rate
from workshop.management.demo.floor import Floor
from workshop.models import Machine, Run, Tooling

SEED = 20_260_417
CURRENCY = "EUR"
WORKSHOP = {"labour": "17.50", "electricity": "0.31"}
DEARER = {"labour": "18.40", "electricity": "0.34"}  # from the middle of the year on
POWER_W = {
    "Granulator": 4000,
    "Tumble blender": 750,
    "Sheet press": 9000,
    "Hand injection machine": 1200,
    "Motor injection machine": 3500,
    "Extruder": 5500,
    "Panel saw": 3000,
    "Router": 1600,
    "Bending bench": 1800,
}
PER_HOUR = {"Sheet press": "4.20", "Motor injection machine": "6.00"}
LOADS = {"Sheet press": 45}
TOOLS = {
    "Hook mould, four cavities": ("1450", 20_000),
    "Clip mould, eight cavities": ("2100", 20_000),
    "Dish mould": ("980", 15_000),
    "Frame 600 x 600 x 10": ("320", 800),
    "Frame 600 x 600 x 20": ("340", 800),
}
PER_KG = ("0", "0.18", "0.25", "0.25", "0.40", "0.62")
UNPRICED_EVERY = 9
# Minutes of a run beside each kilogram loaded, and kWh for each good kilogram; both invented.
MINUTES = {
    "granulate": (8, 2),
    "blend": (15, 1),
    "press": (20, 11),
    "inject": (18, 14),
    "extrude": (25, 5),
    "cut": (8, 3),
    "form": (12, 9),
}
KWH_PER_KG = {"press": 1.9, "inject": 1.3, "extrude": 0.8, "granulate": 0.12}
METERED_SHARE = 0.6
KG = 1_000_000


def acts_of(floor: Floor, seed: int):
    """Return a maker of acts of the lead with ids of its own, and the chance behind it."""
    rng = random.Random(seed)  # noqa: S311

    def act(who: str = "lead", reason: str = "invented") -> Act:
        key = UUID(int=rng.getrandbits(128), version=4)
        return Act(key=key, by=floor.people[who], happened_at=floor.now, reason=reason)

    return act, rng


def set_demo_rates(floor: Floor) -> None:
    """Set the currency, and what hours, energy, machines and tooling cost."""
    act, _rng = acts_of(floor, SEED)
    since = floor.now.date() - timedelta(days=30)
    set_currency(code=CURRENCY, holds_from=since, act=act())
    later = since + timedelta(days=210)
    for day, rates in ((since, WORKSHOP), (later, DEARER)):
        for name, amount in rates.items():
            set_rate(name=name, amount=Decimal(amount), holds_from=day, act=act())
    of_machines = {"power": POWER_W, "load": LOADS, "machine-hour": PER_HOUR}
    for name, amounts in of_machines.items():
        for machine, amount in amounts.items():
            thing = Machine.objects.get(name=machine)
            set_rate(name=name, amount=Decimal(amount), holds_from=since, act=act(), thing=thing)
    for tool, (price, cycles) in TOOLS.items():
        thing = Tooling.objects.get(name=tool)
        for name, amount in (("tooling-price", price), ("tooling-cycles", cycles)):
            set_rate(name=name, amount=Decimal(amount), holds_from=since, act=act(), thing=thing)


def price_deliveries(floor: Floor) -> None:
    """Let the lead write down what most deliveries cost; of some nobody knows it."""
    act, rng = acts_of(floor, SEED + 1)
    for number, delivery in enumerate(Delivery.objects.filter(refusal="").order_by("pk")):
        if number % UNPRICED_EVERY != UNPRICED_EVERY - 1:
            per_kg = Decimal(rng.choice(PER_KG))
            set_price(delivery=delivery, per_kg=per_kg, act=act(reason="invented invoice"))


def minutes_for(run: Run, loaded_mg: int) -> timedelta:
    """Return how long a run took that loaded so much."""
    rng = random.Random(SEED + run.pk)  # noqa: S311
    fixed, each = MINUTES[run.operation]
    minutes = (fixed + each * loaded_mg / KG) * rng.uniform(0.85, 1.25)
    return timedelta(minutes=round(min(minutes, 400)))


def read_meter(floor: Floor, run: Run, good_mg: int) -> None:
    """Note what the meter of a heated machine or granulator says that a run used, in most runs."""
    act, rng = acts_of(floor, SEED * 1000 + run.pk)  # far from the seed of the story
    if run.operation not in KWH_PER_KG or not good_mg or rng.random() > METERED_SHARE:
        return
    kwh = KWH_PER_KG[run.operation] * good_mg / KG * rng.uniform(0.85, 1.2)
    start = Decimal(1000 + 7 * run.pk)
    used = Decimal(round(kwh, 2)).quantize(Decimal("0.01"))
    who = run.operator.username
    note_meter(run=run, what="start", kwh=start, act=act(who, ""))
    note_meter(run=run, what="end", kwh=start + used, act=act(who, ""))
