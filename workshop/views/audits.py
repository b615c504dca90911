"""Audit files: asking, the list, and each file as its paper and its data; the script is for everybody."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.cache import cache
from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from inventory.views.access import allows, attempt, granted, page, reads
from inventory.views.listings import Column, paged
from workshop.actions.audits import make_audit_file
from workshop.forms.audits import AuditForm
from workshop.models import AuditFile
from workshop.queries.audits import (
    SCRIPT,
    audit_list,
    audit_paper,
    audit_zip,
    commands_of,
    paper_line,
)


@reads
def index(request):
    columns = [Column(_("Audit file")), Column(_("Question")), Column(_("Checkpoint"))]
    shown = paged(request, audit_list())
    context = {"place": "trace", "columns": columns, "page": shown, "can": granted(request.user)}
    return page(request, "workshop/audits/index.html", context)


@allows("audit.make")
def create(request):
    """Ask; a link from a page that is about something brings it along."""
    asked = {name: request.GET.get(name, "") for name in ("about", "kind")}
    form = AuditForm(request.POST or None, initial=asked)
    if form.is_valid():
        question, act = form.cleaned_data["question"], form.act(request.user)
        if made := attempt(form, make_audit_file, question=question, act=act):
            messages.success(request, _("%(number)s is made.") % {"number": made.number})
            return redirect(made)
    return page(request, "workshop/audits/create.html", {"place": "trace"}, form)


def audit_at(uuid) -> AuditFile:
    """Return an audit file, or answer 404."""
    return get_object_or_404(audit_list().defer(None), uuid=uuid)


@reads
def detail(request, uuid):
    made = audit_at(uuid)
    # It never changes, and a file may name a million entries.
    line = cache.get_or_set(f"audit-line-{made.uuid}", lambda: paper_line(made), None)
    context = {
        "place": "trace",
        "made": made,
        "cover": made.content["cover"],
        "line": line,
        "commands": commands_of(address_now(request), made.number, line),
    }
    return page(request, "workshop/audits/detail.html", context)


@reads
def paper(request, uuid):
    made = audit_at(uuid)
    return file_named(audit_paper(made), "application/pdf", f"{made.number}.pdf")


@reads
def data(request, uuid):
    """Send the ZIP while it is written, for it may be of any size."""
    made = audit_at(uuid)
    response = StreamingHttpResponse(audit_zip(made), content_type="application/zip")
    response["Content-Disposition"] = f'attachment; filename="{made.number}.zip"'
    return response


def file_named(content: bytes, kind: str, name: str) -> HttpResponse:
    """Answer with a file to keep."""
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(content, content_type=kind, headers=headers)


def address_now(request) -> str:
    """Return the address under which whoever asks has reached us."""
    return request.build_absolute_uri("/").rstrip("/")


@login_not_required
@require_safe
def verify(request):
    """Tell a stranger how to check an audit file, without a login."""
    context = {"commands": commands_of(address_now(request), "A-0001")}
    return render(request, "workshop/audits/verify.html", context)


@login_not_required
@require_safe
def script(request):
    """Serve the script that checks an audit file, without a login."""
    return file_named(SCRIPT.read_bytes(), "text/x-python; charset=utf-8", "verify_audit.py")
