"""The triangle of a resin code as a drawing."""

from django.http import Http404

from inventory.views.access import reads
from products.calculations.triangles import LEAST_SIZE_MM, triangle_svg
from products.forms.stamps import TriangleForm
from products.views.drawings import svg


@reads
def triangle(request):
    form = TriangleForm(request.GET)
    if not form.is_valid():
        raise Http404
    asked = form.cleaned_data
    try:
        drawn = triangle_svg(asked["number"], asked["text"], asked["size"] or LEAST_SIZE_MM)
    except ValueError:
        raise Http404 from None
    return svg(drawn)
