"""The scale that a person used last, remembered for the session so that it need not be chosen again."""

SESSION_KEY = "usual_scale"


def usual_scale(request):
    """Return the key of the scale used last, or None."""
    return request.session.get(SESSION_KEY)


def remember_scale(request, form) -> None:
    """Remember the scale of a weighing that was recorded."""
    scale = form.cleaned_data.get("scale")
    if form.cleaned_data.get("mass"):
        request.session[SESSION_KEY] = scale.pk if scale else None
