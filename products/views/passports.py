"""The public page of a part, as page or as linked data, and issuing its passport."""

from functools import partial

from django.contrib import messages
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.templatetags.static import static
from django.utils.cache import get_conditional_response, patch_cache_control, patch_vary_headers
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from inventory.calculations.fingerprints import fingerprint
from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import numbered
from products.actions.passports import issue_passport
from products.calculations.passports import linked_data
from products.calculations.qr_codes import label_address
from products.forms.passports import IssueForm, changed_words
from products.models import Part, Passport
from products.queries.addresses import printed_address
from products.queries.fixings import fixing_of
from products.queries.parts import part_list
from products.queries.passports import LabelState, label_state, passport_of
from products.queries.stale_passports import stale_passports
from products.views.passport_pages import bare_page, has_photo, public_page

FRESH_SECONDS = 300
HTML, LINKED = "text/html", "application/ld+json"
OFFERED = [HTML, LINKED, "application/json"]
PHOTO = "photo"
FORMATS = {"jsonld": LINKED, "html": HTML, PHOTO: PHOTO}
MOST_DIGITS = 4


def passport_answer(request, part: Part) -> HttpResponse:
    """Answer anyone with the passport of a part, the version asked for, in the format asked for."""
    version = asked_version(request)
    passport = passport_of(part, version)
    if passport is None and version is None:
        context = bare_page(part, label_state(part), holder_now(part))
        return uncached(render(request, "products/passports/bare.html", context))
    if passport is None:
        raise Http404
    wanted = asked_format(request)
    if wanted == PHOTO:
        return photo_of(passport)
    newest = passport if version is None else passport_of(part)
    state, holder = label_state(part), holder_now(part)
    etag = etag_of(passport, newest, state, holder, wanted)
    answer = get_conditional_response(request, etag=etag)
    if answer is None:
        write = linked_answer if wanted == LINKED else partial(page_answer, newest=newest)
        answer = write(request, passport, state, holder)
    return kept_a_while(answer, etag)


def holder_now(part: Part) -> Part | None:
    """Return the product that a part is in, or None."""
    fixing = fixing_of(part)
    return fixing.holder if fixing else None


def asked_version(request) -> int | None:
    """Return the number of the version asked for, None for the newest; what is no number is not found."""
    text = request.GET.get("version")
    if text is None:
        return None
    if not (text.isascii() and text.isdecimal() and len(text) <= MOST_DIGITS):
        raise Http404
    return int(text)


def asked_format(request) -> str:
    """Return the format that the query names, or else the one that the client prefers."""
    named = FORMATS.get(request.GET.get("format", ""))
    if named:
        return named
    preferred = request.get_preferred_type(OFFERED) or HTML
    return HTML if preferred == HTML else LINKED


def etag_of(
    passport: Passport, newest: Passport, state: LabelState, holder: Part | None, wanted: str
) -> str:
    """Return what changes whenever the answer does: content, newer versions, label, holder, language, look."""
    look = [static("css/passport.css"), get_language(), wanted]
    content = [passport.digest, newest.version, state.code, state.sentence, printed_address()]
    content += [holder.code, holder.design.name] if holder else []
    return f'"{fingerprint([*content, *look])[:32]}"'


def kept_a_while(answer: HttpResponse, etag: str) -> HttpResponse:
    """Let anybody keep an answer for some minutes; then ask whether it still holds."""
    answer["ETag"] = etag
    patch_cache_control(answer, public=True, max_age=FRESH_SECONDS, must_revalidate=True)
    patch_vary_headers(answer, ["Accept", "Accept-Language", "Cookie"])
    return answer


def uncached(answer: HttpResponse) -> HttpResponse:
    """Let nobody keep an answer."""
    answer["Cache-Control"] = "no-store"
    patch_vary_headers(answer, ["Accept", "Cookie"])
    return answer


def page_answer(
    request, passport: Passport, state: LabelState, holder: Part | None, newest: Passport
) -> HttpResponse:
    """Write a passport as a page."""
    context = public_page(passport, newest, state, holder)
    return render(request, "products/passports/public.html", context)


def linked_answer(
    request, passport: Passport, state: LabelState, holder: Part | None
) -> HttpResponse:
    """Write a passport as JSON-LD under the address that labels carry."""
    content, site = passport.content, printed_address()
    version = f"?version={passport.version}"
    image = f"{label_address(site, state.code)}/{version}&format={PHOTO}"
    where = {"In": f"{holder.design.name}, {holder.code}"} if holder else {}
    document = linked_data(
        content,
        address=label_address(site, state.code),
        image=image if has_photo(passport) else "",
        live={"Label": state.sentence, "Issued": passport.issued_at.date().isoformat()} | where,
    )
    options = {"ensure_ascii": False, "indent": 1}
    return JsonResponse(document, content_type=LINKED, json_dumps_params=options)


def photo_of(passport: Passport) -> HttpResponse:
    """Answer with the photo that a passport was issued with."""
    if not has_photo(passport):
        raise Http404
    file = default_storage.open(passport.content["photo"])
    return kept_a_while(FileResponse(file, content_type="image/jpeg"), f'"{passport.digest[:32]}"')


@allows("passport.issue")
def issue(request, code):
    part = get_object_or_404(part_list(), code=code)
    newest = passport_of(part)
    form = IssueForm(request.POST or None, is_first=newest is None)
    if form.is_valid():
        issued = attempt(form, issue_passport, part=part, act=form.act(request.user))
        if issued:
            sentence = _("Version %(version)s of the passport is issued.")
            messages.success(request, sentence % {"version": issued.version})
            return redirect(part)
    context = {"place": "products", "part": part, "newest": newest}
    return page(request, "products/passports/issue.html", context, form)


@reads
def stale(request):
    shown = numbered(request, stale_passports())
    context = {
        "place": "products",
        "page": shown,
        "rows": [{"row": each, "changed": changed_words(each.changed)} for each in shown],
        "can": granted(request.user),
    }
    return page(request, "products/passports/stale.html", context)
