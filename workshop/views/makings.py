"""The make page of a run: count, time, read, pause, photograph; and how each tap is answered."""

from urllib.parse import urlencode

from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import ngettext

from inventory.queries.access import may
from inventory.views.access import granted, page, reads
from products.models.windows import window_in_words
from workshop.calculations.cycles import clock_text
from workshop.calculations.steps import STEPS
from workshop.forms.cycles import UndoForm
from workshop.forms.moments import TapForm
from workshop.forms.pauses import PauseForm
from workshop.forms.photos import PhotoForm
from workshop.forms.readings import ReadingForm
from workshop.forms.steps import StepForm
from workshop.models import Run, Step
from workshop.queries.cycles import Making, making_of
from workshop.queries.moments import latest_moments
from workshop.queries.photos import photos_of
from workshop.queries.readings import Gauge, gauges_of
from workshop.views.cautions import caution_for
from workshop.views.making_texts import (
    PLACES,
    entry_of,
    few_note,
    figures_of,
    fume_caution,
    fume_text,
    reading_text,
    step_rows,
)
from workshop.views.runs import named_run
from workshop.views.stages import stage_urls


@reads
def detail(request, code):
    return page(request, "workshop/makings/detail.html", whole_page(request, named_run(code)))


def whole_page(request, run: Run, refused=None) -> dict:
    """Return all that the make page prints; a refused form stands where it was."""
    gauges = gauges_of(run)
    context = {"place": "runs", "photos": photos_of(run), "caution": caution_for(run.machine)}
    context |= {"run": run, "live": live_part(request, run)}
    context |= {
        "pause_form": PauseForm(),
        "photo_form": PhotoForm(),
        "urls": stages_of(request, run),
    }
    context["rows"] = [reading_row(gauge, own_form(refused, gauge)) for gauge in gauges]
    context |= noted(run, gauges)
    context["calibration_url"] = calibration_url(run, context["live"]["making"], gauges)
    names = {PauseForm: "pause_form", PhotoForm: "photo_form"}
    if refused is not None and not isinstance(refused, ReadingForm):
        context[names.get(type(refused), "tap_form")] = refused
    return context


def calibration_url(run: Run, making: Making, gauges: list[Gauge]) -> str:
    """Return the way to the desk's diffusivity of the measured cooling time, once the run is closed.

    Thickness and time go along, and what was read last; what is missing is typed there. Without
    thickness or cooling time there is none.
    """
    times = {step.name: step.times.median_s for step in making.statistics.steps}
    seconds = times.get(Step.Name.COOL)
    if not run.closed_at or not seconds or not run.design or not run.design.thickness_mm:
        return ""
    last = {gauge.quantity: gauge.last.value for gauge in gauges if gauge.last}
    asked = {"seconds": round(seconds, 1), "thickness_mm": run.design.thickness_mm}
    asked |= {"start_c": last.get("melt", last.get("platen")), "face_c": last.get("mould")}
    asked["polymer"] = next((gauge.polymer for gauge in gauges if gauge.polymer), "")
    query = urlencode({name: value for name, value in asked.items() if value is not None})
    return f"{reverse('workshop:calculator-detail', args=['calibration'])}?{query}"


def stages_of(request, run: Run) -> dict[str, str]:
    """Return the addresses of the other stages of a run."""
    is_loaded = run.charges.filter(lot__in_mg__gt=0).exists()
    return stage_urls(run, granted(request.user), is_loaded=is_loaded)


def own_form(refused, gauge: Gauge) -> ReadingForm | None:
    """Return the refused form when it is that of this quantity."""
    is_own = isinstance(refused, ReadingForm) and refused.gauge == gauge
    return refused if is_own else None


def live_part(request, run: Run) -> dict:
    """Return what changes with every tap: count, statistics, the running step, the pause."""
    now = timezone.now()
    making = making_of(run, now)
    return {
        "run": run,
        "now": now,
        "may_make": may(request.user, "run.make") and not run.closed_at,
        "making": making,
        "figures": figures_of(making.statistics),
        "few": few_note(making.statistics.times),
        "steps": step_buttons(run, making),
        "step_times": step_rows(making.statistics),
        "pause_clock": pause_clock(making, now),
        "timer": timer_of(making),
        "forms": {
            "tap": TapForm(auto_id="tap-%s"),
            "undo": UndoForm(
                auto_id="undo-%s", initial={"cycle": making.last.uuid if making.last else None}
            ),
            "step": StepForm(operation=run.operation, auto_id="step-%s"),
            "stop": TapForm(auto_id="stop-%s"),
            "resume": TapForm(auto_id="resume-%s"),
        },
    }


def pause_clock(making: Making, now) -> str:
    """Return how long the pause has lasted, as a clock shows it."""
    return clock_text((now - making.pause.happened_at).total_seconds()) if making.pause else ""


def step_buttons(run: Run, making: Making) -> list[dict]:
    """Return the steps of the run's operation, the running one marked."""
    now = making.running.step.name if making.running else ""
    return [
        {"name": name, "label": capfirst(Step.Name(name).label), "is_running": name == now}
        for name in STEPS[run.operation]
    ]


def timer_of(making: Making) -> dict | None:
    """Return the timer of the running step; in a pause it stands still."""
    if making.running is None:
        return None
    return {
        "label": capfirst(making.running.step.get_name_display()),
        "since": making.running.since,
        "clock": clock_text(making.running.worked_s),
        "started_at": making.running.step.happened_at,
        "is_still": making.pause is not None,
    }


def reading_row(gauge: Gauge, form: ReadingForm | None = None) -> dict:
    """Return the line of one quantity: its window, where that comes from, the last reading, the form."""
    last = gauge.last
    return {
        "gauge": gauge,
        "label": capfirst(gauge.quantity.label),
        "unit": gauge.quantity.unit,
        "window": window_in_words(gauge.low, gauge.high, gauge.quantity.unit),
        "form": form or ReadingForm(gauge=gauge, auto_id=f"{gauge.quantity.value}-%s"),
        "last": reading_text(last) if last else "",
        "last_place": PLACES[last.place] if last else "",
        "last_fume": fume_text(last) if last else "",
        "last_at": last.happened_at if last else None,
    }


def noted(run: Run, gauges: list[Gauge]) -> dict:
    """Return what follows from what was noted: cautions, and the list of what happened."""
    cautions = [fume_caution(gauge) for gauge in gauges]
    entries = [entry_of(row) for row in latest_moments(run)]
    return {"cautions": [each for each in cautions if each], "entries": entries}


def answered(request, run: Run, form, done, *, pauses: bool = False):
    """Answer a tap: by the parts of the page that it changed, or by the page itself without script."""
    if request.htmx:
        context = {"live": live_part(request, run)} | noted(run, gauges_of(run))
        is_own = pauses and not context["live"]["making"].pause  # then the refusal stands there
        context["tap_form"] = None if is_own else form
        if pauses:
            context["pause_form"] = (
                form if isinstance(form, PauseForm) and form.errors else PauseForm()
            )
        return fragment(request, "workshop/makings/_tapped.html", context, form)
    if done:
        return redirect("workshop:run-make", run.code)
    context = whole_page(request, run, form)
    return page(request, "workshop/makings/detail.html", context, form)


def summary_of(run: Run) -> dict | None:
    """Return what the page of the run says of its cycles; nothing before the first tap of a closed run."""
    making = making_of(run, timezone.now())
    found = making.statistics
    if run.closed_at and not found.cycles and not found.steps:
        return None
    pieces = ngettext("%(n)s piece", "%(n)s pieces", found.pieces) % {"n": found.pieces}
    return {
        "url": reverse("workshop:run-make", args=[run.code]),
        "cycles": found.cycles,
        "pieces": pieces,
        "figures": figures_of(found),
        "few": few_note(found.times),
    }


def fragment(request, template: str, context: dict, form):
    """Render a part of the page; a refused form answers 422."""
    response = render(request, template, context, status=422 if form.errors else 200)
    response.headers["Cache-Control"] = "no-store"
    return response
