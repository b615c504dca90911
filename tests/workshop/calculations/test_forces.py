"""Forces against published figures and a library of units."""

import pint
import pytest

from workshop.calculations.forces import FORCE, Press, force

ureg = pint.get_application_registry()
US_TON = 2000 * ureg.force_pound


def test_a_published_clamp_force():
    """Text on clamp tonnage: 6 x 6 in at 5 US tons/in2 is 180 tons; 1601.4 kN."""
    area = (36 * ureg.inch**2).to("cm**2").magnitude
    pressure = (5 * US_TON / ureg.inch**2).to("MPa").magnitude
    found = force(area_cm2=area, pressure_mpa=pressure, press=Press())
    assert found.force_kn == pytest.approx(1601.4, abs=0.1)
    assert (found.force_kn * ureg.kN / US_TON).to("").magnitude == pytest.approx(180)


@pytest.mark.parametrize(("tons", "mpa"), [(4, 55), (8, 110)])
def test_published_pressures_in_two_units(tons, mpa):
    """A compounder's guidelines: 4 to 8 tons/in2 are 55 to 110 N/mm2."""
    assert (tons * US_TON / ureg.inch**2).to("MPa").magnitude == pytest.approx(mpa, abs=0.5)


def test_a_square_metre_at_one_megapascal():
    """By definition of the units: 1000 kN, 102.0 tonnes-force."""
    found = force(area_cm2=10_000, pressure_mpa=1, press=Press(shuts_mould=False))
    assert found.force_kn == pytest.approx(1000)
    assert found.tonnes == pytest.approx((1000 * ureg.kN).to("metric_ton * g_0").magnitude)


def test_centimetres_squared_times_bar():
    assert force(area_cm2=200, pressure_mpa=30, press=Press()).force_kn == pytest.approx(
        200 * 300 / 100
    )


@pytest.mark.parametrize(
    ("pressure", "press", "codes"),
    [
        (1, Press(None, shuts_mould=False), []),
        (0.1, Press(None, shuts_mould=False), ["unusual"]),
        (1, Press(), ["unusual"]),
        (50, Press(most_kn=400), ["too-weak"]),
        (50, Press(most_kn=600), []),
    ],
)
def test_what_is_unusual_or_too_weak_is_noted(pressure, press, codes):
    found = force(area_cm2=100, pressure_mpa=pressure, press=press)
    assert [note.code for note in found.notes] == codes


def test_the_oil_pressure_of_a_ram():
    given = {"work": "sheet", "area_cm2": 10_000, "pressure_mpa": 1, "cavities": 1}
    values = FORCE.answer(given | {"most_kn": None, "ram_mm": 200}).values
    expected = (1000 * ureg.kN / (3.14159265 * (100 * ureg.mm) ** 2)).to("bar").magnitude
    assert values["oil_bar"] == pytest.approx(expected)


@pytest.mark.parametrize(
    ("area", "pressure", "most"), [(300, 0.1, 3), (10_000, 1, 1000), (7, 1.1, 0.77)]
)
def test_a_press_that_gives_just_what_is_asked_is_not_too_weak(area, pressure, most):
    """By hand: kN = cm2 x MPa / 10; the products are off by the last bit in floats."""
    found = force(area_cm2=area, pressure_mpa=pressure, press=Press(most, shuts_mould=False))
    assert found.spare_percent == 0
    assert "too-weak" not in [note.code for note in found.notes]
