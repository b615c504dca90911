"""What a scan means where it happens."""

from functools import partial

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.calculations.codes import group_code
from inventory.queries.access import may
from products.actions.fixings import put_in
from products.models import Label
from tests.factories.fixings import clip_design, made, stool_design
from tests.factories.inventory import KG, BinFactory, make_act, make_delivery, make_full_bin
from tests.factories.passports import make_mixed_part
from tests.factories.workshop import load, make_run
from workshop.queries.scans import Spot, answer_to, answers_to, scan_address, spot_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def bin(operator):
    return make_full_bin(operator, bin_fields={"name": "B-07"})[0]


@pytest.fixture
def run(operator):
    return make_run(operator)


@pytest.fixture
def ask(operator):
    """Ask what a text means, for an operator."""

    def asked(text, **spot):
        return answer_to(text, Spot(**spot), partial(may, operator))

    return asked


@pytest.fixture
def loaded_run(operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, 2 * KG)
    return run


def kind_asked(found):
    return found.url.split("kind=")[1].split("&")[0]


@pytest.mark.parametrize("text", ["B-07", "b07", " b 07 ", "B\u201107", "]Q1B-07"])
def test_a_bin_is_found_as_its_name_is_typed(text, bin, ask):
    assert ask(text).code == bin.code


def test_a_code_with_look_alikes_in_groups_is_found(bin, ask):
    typed = bin.code.replace("0", "O").replace("1", "l").lower()
    assert ask(f"{typed[:4]} {typed[4:8]}-{typed[8:]}").code == bin.code


def test_an_older_printed_address_is_found(bin, ask):
    assert ask(f"http://old-shop.example:8080/record/q/{bin.code}").code == bin.code


def test_what_the_scanners_add_is_dropped(bin, ask, settings):
    settings.SCANNER_PREFIX, settings.SCANNER_SUFFIX = "~", "#"
    assert ask("~B-07#").code == bin.code


def test_a_run_is_found_by_its_number(run, ask):
    found = ask(run.number.lower())
    assert (found.kind, found.name, found.url) == ("run", run.number, run.get_absolute_url())


def test_a_bin_anywhere_opens(bin, ask):
    found = ask("B-07")
    assert (found.url, found.fits) == (bin.get_absolute_url(), True)
    assert found.sentence == "B-07 is a bin."


def test_a_bin_at_a_run_that_loads_is_loaded_from(bin, run, ask):
    assert ask("B-07", run=run).url == f"/runs/{run.code}/load/?from={bin.code}"


def test_a_delivery_at_a_run_that_loads_is_loaded(operator, run, ask):
    delivery = make_delivery(operator)
    assert f"/runs/{run.code}/load/" in ask(delivery.code, run=run).url


def test_the_page_says_that_a_run_goes_on_loading(bin, loaded_run, ask):
    assert "/load/" in ask("B-07", run=loaded_run, stage="load").url


def test_a_bin_at_a_run_that_is_loaded_is_yielded_into(loaded_run, ask):
    bin = BinFactory(name="T-91")
    found = ask("T-91", run=loaded_run)
    assert found.url == f"/runs/{loaded_run.code}/yield/?kind=offcut&bin={bin.code}"


def test_the_kind_that_is_weighed_out_stays(loaded_run, ask):
    BinFactory(name="T-91")
    assert kind_asked(ask("T-91", run=loaded_run, stage="weigh", kind="dust")) == "dust"


def test_parts_go_into_no_bin(loaded_run, ask):
    BinFactory(name="T-91")
    assert kind_asked(ask("T-91", run=loaded_run, stage="weigh", kind="part")) == "offcut"


@pytest.mark.parametrize("form", ["dust", "offcut"])
def test_what_a_bin_holds_says_what_goes_into_it(form, operator, loaded_run, ask):
    make_full_bin(operator, bin_fields={"name": "T-91"}, form=form)
    assert kind_asked(ask("T-91", run=loaded_run, stage="weigh")) == form


def test_flake_of_a_press_run_goes_back_as_leftover(bin, loaded_run, ask):
    assert kind_asked(ask("B-07", run=loaded_run, stage="weigh")) == "leftover"


def test_flake_of_a_granulate_run_is_its_material(bin, operator, ask):
    run = make_run(operator, "granulate")
    load(run, make_full_bin(operator, form="items")[1], operator, 2 * KG)
    assert kind_asked(ask("B-07", run=run, stage="weigh")) == "material"


def test_an_empty_bin_cannot_be_loaded_from(run, ask):
    BinFactory(name="T-91")
    found = ask("T-91", run=run)
    assert not found.fits
    assert found.sentence == f"T-91 is empty; load {run.number} from another bin."


def test_a_part_cannot_be_loaded_where_only_bins_are(operator, ask):
    part, run = make_mixed_part(operator), make_run(operator, "inject")
    found = ask(part.code, run=run)
    assert not found.fits
    assert "is a part" in found.sentence


def test_a_bin_cannot_be_cut(bin, operator, ask):
    found = ask("B-07", run=make_run(operator, "cut"))
    assert (found.fits, found.url) == (False, bin.get_absolute_url())


def test_a_part_takes_nothing_that_is_weighed_out(operator, loaded_run, ask):
    found = ask(make_mixed_part(operator).code, run=loaded_run, stage="weigh")
    assert not found.fits
    assert "goes into a bin" in found.sentence


def test_a_retired_bin_takes_nothing(loaded_run, ask):
    BinFactory(name="T-91", retired_at=timezone.now())
    found = ask("T-91", run=loaded_run, stage="weigh")
    assert not found.fits
    assert "retired" in found.sentence


def test_another_run_opens_from_a_run(run, loaded_run, ask):
    assert ask(run.number, run=loaded_run).url == run.get_absolute_url()


def test_at_a_closed_run_a_bin_opens(bin, run, ask):
    run.closed_at = timezone.now()
    assert ask("B-07", run=run).url == bin.get_absolute_url()


def test_who_only_reads_is_led_to_the_thing(bin, run, auditor):
    found = answer_to("B-07", Spot(run=run), partial(may, auditor))
    assert found.url == bin.get_absolute_url()


def test_a_bin_on_a_page_of_counts_is_counted(bin, ask):
    assert ask("B-07", task="count").url == reverse("inventory:bin-count", args=[bin.code])


def test_a_bin_on_a_round_is_counted_there(bin, ask):
    assert ask("B-07", round="3").url == f"/rounds/3/?bin={bin.code}"


@pytest.mark.parametrize("round", ["x", "../admin", "\u0663"])
def test_a_round_that_is_no_number_is_none(round, bin, ask):
    assert ask("B-07", round=round).url == reverse("inventory:bin-count", args=[bin.code])


def test_a_part_is_not_counted(operator, ask):
    found = ask(make_mixed_part(operator).code, task="count")
    assert not found.fits
    assert "a count is of bins" in found.sentence


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("https://elsewhere.example/x", "leads to elsewhere.example, not into this workshop"),
        ("WIFI:S:shed;P:secret;;", "signs a telephone in to a Wi-Fi"),
        ("4006381333931", "bar code of a shop's article"),
        ("ABCDEFGHJKMN", "nothing in this book has it"),
        ("gate", "Nothing answers to “gate”; a code has 12 characters."),
        ("", "Nothing was scanned."),
    ],
)
def test_what_is_not_ours_is_told(text, says, ask):
    found = ask(text)
    assert (found.kind, found.url, found.fits) == ("", "", False)
    assert says in found.sentence


def test_the_password_in_a_code_is_not_shown(ask):
    assert "secret" not in ask("WIFI:S:shed;P:secret;;").sentence


def test_a_void_label_is_told(bin, operator, ask):
    void = {"voided_at": timezone.now(), "voided_by": operator, "void_reason": "scratched"}
    Label.objects.create(
        code=bin.code, thing="bin", thing_code=bin.code, made_at=timezone.now(), **void
    )
    found = ask(bin.code)
    assert (found.kind, found.url) == ("", reverse("scan-code", args=[bin.code]))
    assert "is void" in found.sentence


def test_of_several_codes_ours_come_first_and_once(bin, operator):
    texts = ["https://elsewhere.example", bin.code, f"https://shop.example/q/{bin.code}"]
    found = answers_to(texts, Spot(), partial(may, operator))
    assert [each.kind for each in found] == ["bin", ""]


@pytest.mark.parametrize("text", ["R-9999", "B-07", "x", "\x00", ""])
def test_a_page_that_names_no_run_is_at_none(text, bin):
    assert spot_of({"run": text}).run is None


def test_a_page_is_at_its_run(run):
    assert spot_of({"run": run.code, "stage": "weigh"}) == Spot(run=run, stage="weigh")


def test_the_address_of_a_scan_keeps_where_it_is_made():
    asked = {"run": "R-0001", "stage": "load", "kind": "", "next": "https://elsewhere.example"}
    assert scan_address("B 07", asked) == "/q/?code=B+07&run=R-0001&stage=load"


def test_a_part_in_a_product_is_said_to_be_in_it(ask, operator, lead):
    clip = clip_design()
    stool = made(operator, stool_design(lead, clip))
    part = made(operator, clip)
    put_in(holder=stool, part=part, act=make_act(operator))
    assert ask(part.code).sentence.endswith(f"a part, and it is in Stool {group_code(stool.code)}.")
