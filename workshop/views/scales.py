"""How a person weighed last: scale, unit and way, remembered for the session so that none is chosen twice."""

from inventory.queries.masses import mass_units

SESSION_KEY = "usual_scale"
UNIT_KEY = "usual_unit"
WAYS_KEY = "usual_ways"


def usual_scale(request):
    """Return the key of the scale used last, or None."""
    return request.session.get(SESSION_KEY)


def unit_last(request) -> str:
    """Return the unit chosen last; the large one where that is none of the workshop's."""
    units = dict(mass_units())
    last = request.session.get(UNIT_KEY)
    return last if last in units else next(iter(units))


def usual_weighing(request, form_class) -> dict:
    """Return the first values of a form's scale, unit and way: those used last, else the large unit and net."""
    ways = request.session.get(WAYS_KEY, {})
    return {
        "scale": usual_scale(request),
        "unit": unit_last(request),
        "way": ways.get(form_class.way_name, "net"),
    }


def remember_scale(request, form) -> None:
    """Remember the scale of a weighing that was recorded, its unit, and the way for such weighings."""
    sent = form.cleaned_data
    if not sent.get("mass"):
        return
    scale = sent.get("scale")
    request.session[SESSION_KEY] = scale.pk if scale else None
    if sent.get("unit"):
        request.session[UNIT_KEY] = sent["unit"]
    if sent.get("way"):
        ways = request.session.get(WAYS_KEY, {})
        request.session[WAYS_KEY] = ways | {form.way_name: sent["way"]}
