"""Bags of the same things give some of their pieces as a part of its own, with a code and a lot."""

from math import ceil

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.lots import pass_holds_on
from inventory.actions.postings import Line, post
from inventory.actions.refusals import refusal
from inventory.calculations.masses import split_mass
from inventory.models import Basis, Lot, Mass, Posting, Transfer
from inventory.queries.lots import book_mass
from products.actions.loose_parts import ask_about_claims, guard_loose, lock_parts
from products.calculations.sheet_sizes import size_fields
from products.models import Part
from products.queries.spoken_sheets import DIVIDED, claims_short


@transaction.atomic
def divide_bag(*, bag: Part, pieces: int, act: Act, is_confirmed: bool = False) -> Part:
    """Give some pieces of a bag a code of their own; the rest stays in the bag, as it is.

    Refuses `used-up`, `on-hold`, `in-use`, `fixed`, and `pieces` unless some are taken and some stay;
    `surprising` where too few sheets would stay for the runs that are open to cut them, until it is
    confirmed. A repeated UUID changes nothing; the confirmation is no part of its content.
    """
    request = act.request("divide", part=bag, pieces=pieces)
    if done := earlier(act, request):
        return part_given_by(done)
    (bag,) = lock_parts(bag)
    guard_loose(bag)
    if not is_confirmed and pieces < bag.pieces_left:
        ask_about_claims(claims_short(bag, pieces), DIVIDED)
    return divided(bag, pieces, act, request)


def part_given_by(posting: Posting) -> Part:
    """Return the part that a bag gave by a posting, as it is now."""
    return Part.objects.select_related("design", "lot").get(lot__taken__posting=posting)


def divided(bag: Part, pieces: int, act: Act, request: dict | None = None) -> Part:
    """Post some pieces of a locked bag into a lot of their own and write the part that they are.

    Their mass is their share of what is left, in whole mg; its uncertainty is that share of the bag's.
    A bag on hold gives pieces that are on hold too: they may come out of a product with it.
    """
    left = bag.pieces_left
    if not 0 < pieces < left:
        raise refusal(
            "pieces",
            _("%(left)s pieces are in it: take at least one out and leave at least one."),
            left=left,
        )
    lot = lot_of_pieces(bag.lot, act)
    mass_mg = split_mass(bag.lot.held_mg, [pieces, left - pieces])[0]
    uncertainty_ug = ceil(book_mass(bag.lot).uncertainty_ug * pieces / left)
    mass = Mass(mass_mg, Basis.BOOK, None, uncertainty_ug)
    request = request or act.request("divide", part=bag, pieces=pieces)
    lines = [Line(bag.lot, lot, mass, Transfer.Role.PIECES)]
    post(
        act=act,
        kind=Posting.Kind.DIVIDE,
        lines=lines,
        request=request,
        reference=f"bag {bag.code}",
    )
    pass_holds_on(lines, act)
    part = Part.objects.create(
        code=lot.code,
        design=bag.design,
        lot=lot,
        made_in=bag.made_in,
        made_at=bag.made_at,
        pieces=pieces,
        bag=bag,
        **size_fields(bag.own_size),
    )
    bag.lot.out_mg += mass_mg  # as the book has it now
    return part


def lot_of_pieces(lot: Lot, act: Act) -> Lot:
    """Return an unsaved lot of the same material as a bag's."""
    return Lot(
        kind=Lot.Kind.PART,
        polymer=lot.polymer,
        colour=lot.colour,
        form=lot.form,
        opened_at=act.at,
    )
