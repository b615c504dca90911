"""The page of a cut plan: typed rows in the address, the answer, and the drawings of each sheet."""

import re
from html import escape, unescape
from io import StringIO

import ezdxf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.calculations.codes import group_code
from products.calculations.cut_plans import CutPlan, Part, Question, Saw, Stock, um
from products.queries.cut_plans import missing_said
from tests.factories.cutting import cut_run
from tests.factories.inventory import KG, make_full_bin, polymer
from tests.factories.workshop import DesignFactory, MachineFactory, load, make_part, make_run
from tests.kept import kept
from workshop.models import Run

pytestmark = pytest.mark.django_db
PAGE = "/cut-plans/new/"
TIMES = "\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}"
ASKED = {
    "length": "2000",
    "width": "1000",
    "thickness": "10",
    "count": "3",
    "kerf": "3,2",
    "margin": "10",
    "density": "0.955",
    "least_length": "300",
    "least_width": "100",
    "part-0-name": "side",
    "part-0-length": "600",
    "part-0-width": "300",
    "part-0-count": "4",
    "part-1-name": "shelf",
    "part-1-length": "250",
    "part-1-width": "450",
    "part-1-may_turn": "on",
}


def test_the_page_begins_with_common_figures_and_empty_rows(reader):
    answer = reader.get(PAGE)
    assert answer.status_code == 200
    form = answer.context["form"]
    assert (form["kerf"].value(), form["least_length"].value()) == ("3.2", 300)
    assert "plan" not in answer.context


def test_the_answer_has_each_part_its_masses_and_the_cuts(reader):
    answer = reader.get(PAGE, ASKED)
    sheet = answer.context["sheets"][0]
    assert sheet.parts == [("side", f"600{TIMES}300", 4), ("shelf", f"250{TIMES}450", 1)]
    assert [step.is_trim for step in sheet.steps[:5]] == [True] * 4 + [False]
    text = answer.content.decode()
    assert "19.1\N{NO-BREAK SPACE}kg" in text  # 200 * 100 * 1 cm3 * 0.955 g/cm3
    assert "local codes" in text


def test_every_piece_of_the_cutting_list_was_made_before_it_is_cut(reader):
    steps = reader.get(PAGE, ASKED).context["sheets"][0].steps
    made = {f"the whole sheet, 2000{TIMES}1000"}
    for step in steps:
        assert f"{step.piece}, {step.size}" in made
        made |= {step.low, step.high}


def test_the_polymer_gives_the_density(reader):
    polymer("PE-HD")
    by_name = reader.get(PAGE, ASKED | {"density": "", "polymer": "PE-HD"}).context
    density = by_name["form"].cleaned_data["density"]
    typed = reader.get(PAGE, ASKED | {"density": str(density)}).context
    assert by_name["figures"] == typed["figures"]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"length": ""}, "length"),
        ({"length": "nan"}, "length"),
        ({"width": "10001"}, "width"),
        ({"thickness": "0"}, "thickness"),
        ({"density": ""}, "density"),
        ({"kerf": "-1"}, "kerf"),
        ({"margin": "500"}, "__all__"),
        ({"part-0-length": ""}, "__all__"),
        ({"part-0-count": "201"}, "__all__"),
        ({"part-0-count": "200", "part-1-count": "1"}, "__all__"),
        ({"part-0-name": "x" * 31}, "__all__"),
        ({"piece-0-length": "500"}, "__all__"),
    ],
)
def test_what_cannot_be_planned_is_said_and_kept(reader, change, field):
    answer = reader.get(PAGE, ASKED | change)
    assert answer.status_code == 422
    assert answer.context["form"].has_error(field)
    assert "plan" not in answer.context
    assert 'value="shelf"' in answer.content.decode()


def test_nothing_to_cut_is_refused(reader):
    none = {name: value for name, value in ASKED.items() if not name.startswith("part")}
    answer = reader.get(PAGE, none)
    assert answer.status_code == 422
    assert "Type at least one part" in answer.content.decode()


def test_what_finds_no_place_is_told(reader):
    answer = reader.get(PAGE, ASKED | {"part-0-length": "3000"})
    assert answer.status_code == 200
    assert "No place for side: 4 missing. Every sheet is too small for it; use larger ones." in (
        answer.content.decode()
    )


@pytest.mark.parametrize(
    ("size", "may_turn", "advice"),
    [
        ((500, 300), False, "Add sheets, or let it turn."),
        ((500, 300), True, "Add sheets."),
        ((500, 1200), False, "Let it turn; as it lies every sheet is too small for it."),
        ((1200, 1200), True, "Every sheet is too small for it; use larger ones."),
    ],
)
def test_the_advice_for_what_is_missing_would_help(size, may_turn, advice):
    part = Part("side", um(size[0]), um(size[1]), 1, may_turn)
    asked = Question((Stock(um(2400), um(1000)),), (part,), Saw(um(3.2), um(10)))
    (said,) = missing_said(CutPlan(asked, (), ((part, 1),)))
    assert said == f"No place for side: 1 missing. {advice}"


def test_a_kept_piece_is_used_before_a_sheet(reader):
    piece = {"piece-0-length": "700", "piece-0-width": "300", "piece-0-count": "1"}
    sheets = reader.get(PAGE, ASKED | piece).context["sheets"]
    assert [each.is_piece for each in sheets] == [True, False]


@pytest.mark.parametrize("filled", [0, 7, 40, 9999])
def test_there_are_always_empty_rows_up_to_a_limit(reader, filled):
    row = {f"part-{filled - 1}-name": "x"} if filled else {}
    form = reader.get(PAGE, ASKED | row).context["form"]
    assert len(form.parts) == {0: 6, 7: 9, 40: 40, 9999: 40}[filled]


def test_a_name_with_markup_is_shown_as_typed(reader):
    text = reader.get(PAGE, ASKED | {"part-0-name": "<b>x</b>"}).content.decode()
    assert "<b>x</b>" not in text
    assert "&lt;b&gt;x" in text


def test_the_page_asks_the_book_the_same_few_things_however_many_rows(reader):
    reader.get(PAGE, ASKED)
    found = []
    for rows in (1, 20):
        more = {f"part-{at}-{side}": "90" for at in range(rows) for side in ("length", "width")}
        with CaptureQueriesContext(connection) as asked:
            reader.get(PAGE, ASKED | more)
        found.append(len(asked))
    assert found[0] == found[1]


def test_each_sheet_is_a_picture_and_outlines(reader):
    picture = reader.get(reverse("products:cut-plan-svg", args=[1]), ASKED)
    assert picture["Content-Type"] == "image/svg+xml"
    assert re.search(rb">2000 mm<", picture.content)
    outlines = reader.get(reverse("products:cut-plan-dxf", args=[1]), ASKED)
    document = ezdxf.read(StringIO(outlines.content.decode()))
    assert len(document.modelspace().query('POLYLINE[layer=="PARTS"]')) == 5


@pytest.mark.parametrize("suffix", ["svg", "dxf"])
@pytest.mark.parametrize(("number", "question"), [(0, ASKED), (2, ASKED), (1, {})])
def test_a_sheet_that_is_not_there_is_not_found(reader, suffix, number, question):
    answer = reader.get(f"/cut-plans/sheets/{number}.{suffix}", question)
    assert answer.status_code == 404


@pytest.fixture
@kept
def boards(operator):
    """Two sheets in stock of 2000 x 1000 mm, 10 mm thick."""
    lot = make_full_bin(operator, net_mg=90 * KG, bin_fields={"capacity_mg": 100 * KG})[1]
    design = DesignFactory(thickness_mm=10, length_um=2_000_000, width_um=1_000_000)
    return [make_part(operator, lot, 19 * KG, design) for _number in range(2)]


def from_stock(boards, **changes):
    gone = {"length": "", "width": "", "count": "", "density": ""}
    stock = {"from_stock": "on", "polymer": boards[0].lot.polymer.symbol}
    return ASKED | gone | stock | changes


def test_sheets_in_stock_are_offered_and_fill_in_the_form(reader, boards):
    page = reader.get(PAGE)
    (group,) = page.context["groups"]
    assert f'value="{group.query}"'.replace("&", "&amp;") in page.content.decode()
    form = reader.get(f"{PAGE}?{group.query}").context["form"]
    assert (form["thickness"].value(), form["from_stock"].value()) == ("10", "on")
    assert not form.is_bound


def test_a_plan_names_the_sheets_in_stock_that_it_cuts(floor, boards):
    answer = floor.get(PAGE, from_stock(boards), follow=True)
    assert [sheet.code for sheet in answer.context["sheets"]] == [boards[0].code]
    text = answer.content.decode()
    assert boards[0].get_absolute_url() in text
    assert f"?operation=cut&amp;sheets={boards[0].code}" in text


def test_a_reader_is_offered_no_run(reader, boards):
    answer = reader.get(PAGE, from_stock(boards), follow=True)
    assert answer.context["plan"]
    assert "operation=cut" not in answer.content.decode()


def test_drawings_stay_those_of_the_answer_when_the_sheet_is_gone(floor, boards, operator):
    shown = floor.get(PAGE, from_stock(boards), follow=True)
    place = f"/cut-plans/sheets/1.svg?{shown.context['query']}"
    before = floor.get(place).content
    load(make_run(operator, "granulate"), boards[0].lot, operator)
    assert floor.get(place).content == before
    again = floor.get(PAGE, from_stock(boards), follow=True)
    assert again.context["sheets"][0].code == boards[1].code


@pytest.mark.parametrize(
    ("wrong", "at"),
    [
        ({"polymer": ""}, "polymer"),
        ({"thickness": "11"}, "from_stock"),
        ({"colour": "no such"}, "from_stock"),
        ({"taken": "NOTHING"}, "from_stock"),
        ({"from_stock": ""}, "length"),
        ({"from_stock": "", "length": "2000", "width": "9"}, "count"),
    ],
)
def test_no_such_sheet_is_said_at_its_box(reader, boards, wrong, at):
    answer = reader.get(PAGE, from_stock(boards) | wrong)
    assert answer.status_code == 422
    assert answer.context["form"].errors[at]


def test_a_run_opened_from_a_plan_names_its_sheets_and_they_are_offered_no_more(floor, boards, key):
    machine = MachineFactory(kind="cutter")
    design = DesignFactory(made_by="cut", form="part")
    url = f"{reverse('workshop:run-open')}?operation=cut&sheets={boards[0].code},nonsense,<b>"
    typed = floor.get(url).context["form"]["sheets"].value()
    assert typed == group_code(boards[0].code)
    sent = {"key": key, "machine": machine.pk, "design": design.pk, "sheets": typed}
    page = floor.post(url, sent, follow=True).content.decode()
    run = Run.objects.get(operation="cut")
    assert f"?from={boards[0].code}&amp;chosen=1" in page
    shown = floor.get(run.get_absolute_url()).content.decode()
    assert f"{run.get_absolute_url()}load/?from={boards[0].code}&amp;chosen=1" in shown
    shown = floor.get(boards[0].get_absolute_url()).content.decode()
    assert "An open run is to cut 1 of it:" in shown
    assert run.get_absolute_url() in shown
    again = floor.get(PAGE, from_stock(boards), follow=True)
    assert again.context["taken"] == boards[1].code


@pytest.mark.parametrize(
    ("sheets", "said"),
    [
        ("nonsense", "There is no part called nonsense"),
        ("0" * 12, "There is no part called 000000000000"),
        ("{code},{code}", "is not here any more"),
    ],
)
def test_a_run_for_what_is_no_sheet_here_is_refused_and_kept(floor, boards, key, sheets, said):
    machine, design = MachineFactory(kind="cutter"), DesignFactory(made_by="cut", form="part")
    typed = sheets.format(code=boards[0].code)
    sent = {"key": key, "machine": machine.pk, "design": design.pk, "sheets": typed}
    answer = floor.post(f"{reverse('workshop:run-open')}?operation=cut", sent)
    assert answer.status_code == 422
    assert said in answer.context["form"].errors["sheets"][0]
    assert typed in answer.content.decode()
    assert not Run.objects.filter(operation="cut").exists()


def test_what_another_run_is_to_cut_is_no_choice_but_may_be_scanned(floor, operator, boards):
    first = cut_run(operator, boards[0])
    other = make_run(operator, "cut")
    url = reverse("workshop:run-load", args=[other.code])
    assert [part.code for part in floor.get(url).context["parts"]] == [boards[1].code]
    page = floor.get(f"{url}?from={boards[0].code}").content.decode()
    assert "An open run is to cut 1 of it:" in page
    assert first.get_absolute_url() in page


def test_the_address_of_a_plan_from_stock_names_its_sheets_and_lands_on_the_answer(floor, boards):
    answer = floor.get(PAGE, from_stock(boards))
    assert answer.status_code == 302
    assert answer.url.endswith("#answer")
    assert f"taken={boards[0].code}%2A1" in answer.url
    assert 'id="answer"' in floor.get(answer.url).content.decode()


def test_a_typed_plan_lands_on_its_answer_too(reader):
    page = reader.get(PAGE, ASKED).content.decode()
    assert 'method="get" action="#answer"' in page
    assert 'id="answer"' in page


def test_a_run_keeps_the_way_to_its_cutting_list_which_stays_as_it_was(floor, boards, key):
    plan = floor.get(PAGE, from_stock(boards), follow=True)
    steps = plan.context["sheets"][0].steps
    link = re.search(r'href="(/runs/open/[^"]*cutting_list[^"]*)"', plan.content.decode())[1]
    saw = {"machine": MachineFactory(kind="cutter"), "design": DesignFactory(made_by="cut")}
    form = floor.get(unescape(link)).context["form"]
    sent = {name: form[name].value() for name in ("sheets", "cutting_list")}
    sent |= {"key": key} | {name: each.pk for name, each in saw.items()}
    floor.post(unescape(link), sent)
    run = Run.objects.get(operation="cut")
    for page in (run.get_absolute_url(), reverse("workshop:run-load", args=[run.code])):
        text = floor.get(page).content.decode()
        assert f'href="{escape(run.cutting_list)}">Cutting list<' in text
    again = floor.get(run.cutting_list)
    assert (again.status_code, again.context["sheets"][0].steps) == (200, steps)
    text = again.content.decode()
    assert f"spoken for by {run.number}" in text
    assert "Open a cut run with these" not in text


def test_a_plan_whose_sheet_is_gone_says_so_and_stays(floor, boards, operator):
    place = floor.get(PAGE, from_stock(boards)).url
    load(make_run(operator, "granulate"), boards[0].lot, operator)
    answer = floor.get(place)
    assert answer.context["sheets"][0].code == boards[0].code
    assert "not in stock any more" in answer.content.decode()
    assert "Open a cut run with these" not in answer.content.decode()


def test_where_all_sheets_are_spoken_for_the_runs_are_named(reader, boards, operator):
    run = cut_run(operator, *boards)
    answer = reader.get(PAGE, from_stock(boards))
    assert answer.status_code == 422
    assert run.number in answer.context["form"].errors["from_stock"][0]


def test_typed_parts_stay_when_sheets_in_stock_are_tapped(reader, boards):
    (group,) = reader.get(PAGE).context["groups"]
    typed = {"part-2-name": "side", "part-2-length": "600", "part-2-may_turn": "on"}
    typed |= {"piece-1-length": "90", "kerf": "2,8", "thickness": "", "fill": group.query}
    form = reader.get(PAGE, typed).context["form"]
    assert not form.is_bound
    row = form.parts[0]
    assert (row["name"].value(), row["length"].value()) == ("side", "600")
    assert row["may_turn"].value()
    assert form.pieces[0]["length"].value() == "90"
    assert (form["kerf"].value(), form["thickness"].value()) == ("2,8", "10")
    assert len(form.parts) > 1


def test_handing_over_says_which_run_is_to_cut_it(floor, boards, operator):
    run = cut_run(operator, boards[0])
    page = floor.get(reverse("products:part-hand-over", args=[boards[0].code])).content.decode()
    assert "An open run is to cut 1 of it:" in page
    assert run.get_absolute_url() in page


def test_handing_it_over_is_asked_back_once_and_done_by_one_tap(floor, boards, operator, key):
    run = cut_run(operator, boards[0])
    url = reverse("products:part-hand-over", args=[boards[0].code])
    asked = floor.post(url, {"key": key, "to": "the school"})
    assert asked.status_code == 422
    assert f"{run.number} is open to cut this sheet" in asked.content.decode()
    assert "Yes, hand it over" in asked.content.decode()
    assert asked.form["to"].value() == "the school"
    sent = {"key": key, "to": "the school", "confirmed": asked.form.asked_token}
    assert floor.post(url, sent).status_code == 302
    assert boards[0].handovers.get().to == "the school"


def test_masses_of_a_plan_are_estimates_and_pretend_no_milligrams(reader):
    said = unescape(reader.get(PAGE, ASKED).content.decode()).replace("\xa0", " ")
    masses = re.findall(r">([\d,.]+) (kg|g|mg)<", said)
    assert masses
    assert all(unit == "kg" or len(number.replace(".", "")) <= 3 for number, unit in masses)
