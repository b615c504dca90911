"""The schema of the API, and the answer to addresses that do not exist."""

from functools import lru_cache

from django.http import Http404
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer, OpenApiYamlRenderer
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularAPIView

from inventory.api.access import ApiView, MayAct


@lru_cache(maxsize=4)  # languages
def description_in(language: str) -> dict:
    """Return the description of the API; it takes seconds to make, and is the same for everybody."""
    return SchemaGenerator().get_schema(public=True)


class DescribedOnce(SchemaGenerator):
    """Gives the description that was made before."""

    def get_schema(self, request=None, **_told):
        """Return the description in the language of the request."""
        return description_in(get_language())


class Schema(SpectacularAPIView):
    """The OpenAPI description of everything here."""

    act = ""
    generator_class = DescribedOnce
    renderer_classes = [OpenApiJsonRenderer, OpenApiYamlRenderer]
    permission_classes = [MayAct]
    http_method_names = ["get", "head"]

    def _get_version_parameter(self, request):
        """There is one version; what a client calls it goes into no header."""


@extend_schema(exclude=True)
class Nowhere(ApiView):
    """Any address below the API that is none."""

    def initial(self, request, *args, **kwargs):
        super().initial(request, *args, **kwargs)
        raise Http404(_("Nothing is at this address; every address of the API ends in a slash."))
