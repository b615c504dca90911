"""People, their roles, and their PINs for a bench; a PIN is sent and never answered."""

from django.contrib.auth.models import User
from rest_framework import serializers

from inventory.api.acts import ActBody, ActView, ChangeSerializer, ReasonBody, change_of
from inventory.api.fields import TextField
from inventory.api.names import found
from inventory.api.reads import ListView
from inventory.queries.access import own_role
from workshop.actions.people import clear_pin, lift_lock_out, set_pin
from workshop.calculations.pins import FEWEST_DIGITS, MOST_DIGITS
from workshop.queries.people import people_with_role


class PersonSerializer(serializers.Serializer):
    """A person with a role."""

    id = serializers.IntegerField()
    username = serializers.CharField()
    role = serializers.SerializerMethodField()
    has_pin = serializers.SerializerMethodField()

    def get_role(self, person) -> str:
        return own_role(person)

    def get_has_pin(self, person) -> bool:
        return hasattr(person, "badge")


class People(ListView):
    """Everybody who has a role."""

    queryset = User.objects.none()
    serializer_class = PersonSerializer
    search_fields = ("username", "first_name", "last_name")
    ordering_fields = ("username",)

    def get_queryset(self):
        return people_with_role().select_related("badge").prefetch_related("groups")


class PinBody(ActBody):
    """A new PIN of 4 to 6 digits."""

    pin = TextField(min_length=FEWEST_DIGITS, max_length=MOST_DIGITS, write_only=True)


class PinAnswer(serializers.Serializer):
    """Whose PIN it was, and what was written down."""

    person = serializers.CharField()
    change = ChangeSerializer()


class PinView(ActView):
    """An act on somebody's PIN."""

    act = "pin.set"
    queryset = User.objects.none()
    lookup_field = "id"
    answer_class = PinAnswer

    def person(self) -> User:
        """Return whose PIN it is."""
        return found(people_with_role().filter(pk=self.kwargs["id"]).first())

    def answered(self, person: User, act) -> dict:
        """Return what the answer tells."""
        return {"person": person.get_username(), "change": change_of(act)}


class SetPin(PinView):
    """Give somebody a PIN instead of the one before; open turns end."""

    body_class = PinBody

    def perform(self, sent, act):
        person = self.person()
        set_pin(person=person, pin=sent["pin"], act=act)
        return self.answered(person, act)


class SetOwnPin(SetPin):
    """Set one's own PIN; not open to somebody who came by a PIN."""

    act = "pin.own"

    def person(self):
        return self.request.user


class ClearPin(PinView):
    """Take somebody's PIN away."""

    body_class = ReasonBody

    def perform(self, sent, act):
        return self.answered(clear_pin(person=self.person(), act=act), act)


class LiftLockOut(PinView):
    """Forget the wrong PINs of a person, or those typed at a bench."""

    body_class = ReasonBody

    def perform(self, sent, act):
        login = found(User.objects.filter(pk=self.kwargs["id"], guesses__isnull=False).first())
        return self.answered(lift_lock_out(login=login, act=act), act)
