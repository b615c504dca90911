"""Pages of people's PINs: one's own, and for the lead everybody's."""

from django.contrib import messages
from django.contrib.auth.models import User
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters

from inventory.forms.fields import ReasonForm
from inventory.views.access import allows, attempt, page
from workshop.actions.people import clear_pin, lift_lock_out, set_pin
from workshop.forms.people import PinForm
from workshop.queries.people import name_of, people_with_role, person_rows


@allows("pin.set")
def index(request):
    return page(request, "workshop/people/index.html", {"place": "none", "people": person_rows()})


@sensitive_post_parameters("pin", "again")
@allows("pin.set")
def set_one(request, pk):
    person = get_object_or_404(people_with_role(), pk=pk)
    return new_pin(request, person, "workshop:person-list")


@sensitive_post_parameters("pin", "again")
@allows("pin.own")
def set_own(request):
    return new_pin(request, request.user, "home")


set_one.is_secret = set_own.is_secret = True


def new_pin(request, person: User, where: str):
    """Show the form of a new PIN, and set it when it was sent."""
    form = PinForm(request.POST or None)
    if form.is_valid():
        pin, act = form.cleaned_data["pin"], form.act(request.user)
        if attempt(form, set_pin, person=person, pin=pin, act=act):
            facts = {"name": name_of(person)}
            messages.success(request, _("%(name)s has a new PIN for the bench.") % facts)
            return redirect(where)
    context = {"place": "none", "name": name_of(person), "is_own": person == request.user}
    return page(request, "workshop/people/pin.html", context, form)


@allows("pin.set")
def clear(request, pk):
    person = get_object_or_404(people_with_role(), pk=pk, badge__isnull=False)
    form = ReasonForm(request.POST or None)
    if form.is_valid() and attempt(form, clear_pin, person=person, act=form.act(request.user)):
        facts = {"name": name_of(person)}
        messages.success(request, _("%(name)s has no PIN now and works at no bench.") % facts)
        return redirect("workshop:person-list")
    return page(request, "workshop/people/clear.html", {"place": "none", "person": person}, form)


@allows("pin.set")
def lift(request, pk):
    login = get_object_or_404(User, pk=pk, guesses__isnull=False)
    form = ReasonForm(request.POST or None)
    if form.is_valid() and attempt(form, lift_lock_out, login=login, act=form.act(request.user)):
        sentence = _("The wrong PINs of %(name)s are forgotten.")
        messages.success(request, sentence % {"name": name_of(login)})
        return redirect("workshop:person-list")
    return page(request, "workshop/people/lift.html", {"place": "none", "person": login}, form)
