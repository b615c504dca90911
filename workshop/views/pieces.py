"""Pieces of a visit: started and ended by a tap each, and their labels."""

from django.http import Http404
from django.shortcuts import redirect

from inventory.views.access import allows, attempt, page, reads
from products.calculations.qr_codes import AddressError
from products.views.drawings import drawing
from workshop.actions.visits import end_piece, start_piece, undo_start
from workshop.forms.moments import TapForm
from workshop.forms.visits import LabelForm, PieceForm
from workshop.models import Piece
from workshop.queries.piece_labels import piece_pdf, piece_png
from workshop.queries.visits import piece_coded
from workshop.views.visits import answered, visit_at


@allows("visit.make")
def start(request, pk):
    visit = visit_at(pk)
    if request.method != "POST":
        return redirect(visit)
    form = PieceForm(request.POST)
    done = form.is_valid() and attempt(
        form, start_piece, visit=visit, lot=form.cleaned_data["lot"], act=form.act(request.user)
    )
    return answered(request, visit, form, done)


@allows("visit.make")
def end(request, pk):
    return tapped(request, pk, end_piece)


@allows("visit.make")
def undo(request, pk):
    return tapped(request, pk, undo_start)


def tapped(request, pk: int, action):
    """Do an act that asks nothing, and answer with the page."""
    visit = visit_at(pk)
    if request.method != "POST":
        return redirect(visit)
    form = TapForm(request.POST)
    done = form.is_valid() and attempt(form, action, visit=visit, act=form.act(request.user))
    return answered(request, visit, form, done)


def piece_at(pk: int, code: str) -> Piece:
    """Return a piece that was made in a visit, or answer 404."""
    piece = piece_coded(code)
    if piece is None or piece.visit_id != pk:
        raise Http404
    return piece


@reads
def detail(request, pk, code):
    piece = piece_at(pk, code)
    if piece.part_id:
        return redirect(piece.part)
    context = {"place": "runs", "piece": piece, "label_form": LabelForm()}
    return page(request, "workshop/visits/piece.html", context)


@allows("visit.make")
def label(request, pk, code):
    piece = piece_at(pk, code)
    if request.method != "POST":
        return redirect(piece)
    form = LabelForm(request.POST)
    if not form.is_valid():
        context = {"place": "runs", "piece": piece, "label_form": form}
        return page(request, "workshop/visits/piece.html", context, form)
    is_png = request.POST.get("as") == "png"
    draw, kind = (piece_png, "image/png") if is_png else (piece_pdf, "application/pdf")
    try:
        content = draw(piece, form.cleaned_data["name"])
    except AddressError:
        raise Http404 from None
    response = drawing(content, kind, name=f"{piece.code}.{'png' if is_png else 'pdf'}")
    response["Cache-Control"] = "no-store"
    return response


# What is typed here must not be kept with a bench that has locked meanwhile.
label.is_secret = True
