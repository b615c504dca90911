"""How a person weighed last: scale, unit and way, remembered for the session so that none is chosen twice."""

SESSION_KEY = "usual_scale"
UNIT_KEY = "usual_unit"
WAYS_KEY = "usual_ways"


def usual_scale(request):
    """Return the key of the scale used last, or None."""
    return request.session.get(SESSION_KEY)


def usual_weighing(request, form_class) -> dict:
    """Return the first values of a form's scale, unit and way: those used last, else kg and net."""
    ways = request.session.get(WAYS_KEY, {})
    return {
        "scale": usual_scale(request),
        "unit": request.session.get(UNIT_KEY, "kg"),
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
