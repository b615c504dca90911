"""The public page of a part: what it says, to whom, and how long it may be kept."""

import json

import pytest
from django.utils import timezone

from products.actions.passports import issue_passport
from products.calculations.passports import changed_figures
from products.models import Label, Passport
from products.queries.passports import label_state
from products.views.passport_pages import public_page
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.passports import make_mixed_part, make_photo
from tests.factories.workshop import DesignFactory, load, make_run, weigh_out
from tests.kept import kept

pytestmark = pytest.mark.django_db
LINKED = "application/ld+json"


@pytest.fixture
def part(operator, settings):
    settings.WORKSHOP_NAME, settings.WORKSHOP_PLACE = "Mill workshop", "Millbrook"
    settings.WORKSHOP_RETURNS = "Hand it in at the gate."
    return make_stool(operator)


@kept
def make_stool(operator):
    texts = {"care": "Wipe it.", "repair": "Plane it.", "not_for": "Standing on."}
    return make_mixed_part(operator, DesignFactory(name="Stool <small>", **texts))


@pytest.fixture
def address(part):
    return f"/q/{part.code}/"


@pytest.fixture
def unissued(operator):
    run = make_run(operator, design=DesignFactory(name="Bench"))
    load(run, make_full_bin(operator)[1], operator, 4 * KG)
    weigh_out(run, operator, "part", 4 * KG, pieces=1)
    return run.design.parts.get()


# Documents issued before the word was kept stay as they are, and stay readable.
def test_a_passport_without_a_custody_word_says_nothing_of_it(part):
    passport = Passport.objects.get()
    del passport.content["custody"]
    page = public_page(passport, passport, label_state(part))
    assert page["custody"] == ""
    assert changed_figures(passport.content, passport.content | {"custody": "segregated"}) == ()


@pytest.mark.parametrize(
    ("millionths", "permille", "shown"),
    [(699_700, 699, 0.699), (999_700, 999, 0.999), (400, 0, 0.0004), (1_000_000, 1000, 1)],
)
def test_the_strip_says_no_more_recycled_material_than_the_claim(part, millionths, permille, shown):
    """ISO 14021 wants claims accurate and not misleading: 69.97 % is not told as 70.0 beside "at least 69"."""
    passport = Passport.objects.get()
    rest = 1_000_000 - millionths
    passport.content["make_up"]["origin"] = [["post-consumer", millionths], ["unknown", rest]]
    passport.content["claim"]["post_consumer_permille"] = permille
    strip = public_page(passport, passport, label_state(part))["by_origin"]
    assert [each.share for each in strip] == [shown, rest / 1_000_000]


def reissue(part, by):
    part.design.care = "Dust it."
    part.design.save()
    return issue_passport(part=part, act=make_act(by, "care was wrong"))


def label(part):
    now = timezone.now()
    return Label.objects.create(code=part.code, thing="part", thing_code=part.code, made_at=now)


SAYS = [
    "Stool &lt;small&gt;",
    "One piece",
    "&gt;PE-HD&lt;",
    "PE-HD is polyethylene, high density.",
    "HDPE</text>",
    "70 % recycled material (60 % post-consumer and 10 % pre-consumer)",
    "method ISO 14021",
    "Melted once in this workshop.",
    "Chain of custody (ISO 22095): controlled blending. Mixed with other material",
    "Mill workshop, Millbrook",
    "press, run R-",
    "Hand it in at the gate.",
    "Wipe it.",
    "Plane it.",
    "Standing on.",
    "no such use is approved",
    "no label printed yet",
    "Version 1, issued",
]


def test_the_page_says_what_a_stranger_needs(address, client):
    page = client.get(address).content.decode()
    assert [said for said in SAYS if said not in page] == []


# ASTM D7611: the code is for identification; "recyclable" must not stand beside it.
@pytest.mark.parametrize("query", ["", "?format=jsonld"])
def test_nothing_is_called_recyclable(query, address, client):
    assert "recyclable" not in client.get(address + query).content.decode().lower()


def test_a_label_is_said_as_it_is_now(part, address, client):
    label(part)
    assert "labelled since" in client.get(address).content.decode()


def test_the_page_shows_the_code_that_still_opens_it(part, client, operator):
    now = timezone.now()
    void = {"voided_at": now, "voided_by": operator, "void_reason": "scratched"}
    spoken = {"thing": "part", "thing_code": part.code, "made_at": now}
    Label.objects.create(code=part.code, **spoken, **void)
    Label.objects.create(code="ABCD10GHJKMN", **spoken)
    page = client.get("/q/ABCD10GHJKMN/").content.decode()
    assert "ABCD\u00a010GH\u00a0JKMN" in page
    assert "/q/ABCD10GHJKMN/?version=1" in page


def test_a_part_without_a_passport_shows_name_and_mark_only(unissued, client):
    answer = client.get(f"/q/{unissued.code}/")
    page = answer.content.decode()
    assert "Bench" in page
    assert "&gt;PE-HD&lt;" in page
    assert "not issued yet" in page
    assert answer.headers["Cache-Control"] == "no-store"


def test_old_versions_stay_readable_and_lead_to_the_newest(part, address, operator, client):
    reissue(part, operator)
    old = client.get(f"{address}?version=1").content.decode()
    assert "Wipe it." in old
    assert "Read version 2, the newest" in old
    assert "Dust it." in client.get(address).content.decode()


@pytest.mark.parametrize("version", ["2", "0", "-1", "x", "99999999999", "1 ", "²", ""])
def test_a_version_that_there_is_not_is_not_found(version, address, client):
    assert client.get(address, {"version": version}).status_code == 404


def test_anyone_may_keep_the_page_for_some_minutes(address, client):
    answer = client.get(address)
    kept = set(answer.headers["Cache-Control"].split(", "))
    assert kept == {"public", "max-age=300", "must-revalidate"}
    assert {"Accept", "Accept-Language", "Cookie"} <= set(answer.headers["Vary"].split(", "))
    assert not answer.cookies


@pytest.mark.parametrize("query", ["", "?version=1", "?format=jsonld"])
def test_an_unchanged_answer_is_not_sent_again(query, address, client):
    first = client.get(address + query)
    again = client.get(address + query, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["Cache-Control"] == first.headers["Cache-Control"]
    assert again.headers["ETag"] == first.headers["ETag"]


def test_a_zipped_answer_is_not_sent_again_either(address, client):
    zipped = {"Accept-Encoding": "gzip"}
    first = client.get(address, headers=zipped)
    again = client.get(address, headers=zipped | {"If-None-Match": first.headers["ETag"]})
    assert (first.headers["Content-Encoding"], again.status_code) == ("gzip", 304)


def test_page_and_data_have_tags_of_their_own(address, client):
    page, data = client.get(address), client.get(f"{address}?format=jsonld")
    assert page.headers["ETag"] != data.headers["ETag"]


@pytest.mark.parametrize("query", ["", "?version=1"])
def test_a_new_version_changes_the_tags(query, part, address, operator, client):
    tag = client.get(address + query).headers["ETag"]
    reissue(part, operator)
    assert client.get(address + query, headers={"If-None-Match": tag}).status_code == 200


def test_a_printed_label_changes_the_tag(part, address, client):
    tag = client.get(address).headers["ETag"]
    label(part)
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 200


@pytest.mark.parametrize("query", ["", "?format=jsonld"])
def test_head_answers_with_the_same_tag_and_no_body(query, address, client):
    got, head = client.get(address + query), client.head(address + query)
    assert (head.status_code, head.content) == (200, b"")
    assert head.headers["ETag"] == got.headers["ETag"]


# RFC 9110, 12.5.1: quality values; the most preferred of what is offered.
@pytest.mark.parametrize(
    ("accept", "kind"),
    [
        ("*/*", "text/html"),
        ("text/html,application/xhtml+xml,*/*;q=0.8", "text/html"),
        ("application/ld+json", LINKED),
        ("application/json", LINKED),
        ("application/ld+json;q=0.9, text/html;q=0.5", LINKED),
        ("application/ld+json;q=0.2, text/html", "text/html"),
        ("image/png", "text/html"),
    ],
)
def test_the_client_is_answered_in_what_it_prefers(accept, kind, address, client):
    answer = client.get(address, headers={"Accept": accept})
    assert answer.headers["Content-Type"].startswith(kind)


def test_a_client_that_prefers_nothing_gets_the_page(address, client):
    assert client.get(address).headers["Content-Type"].startswith("text/html")


def test_the_data_are_found_under_the_address_of_the_label(part, address, client, settings):
    settings.SITE_URL = "https://shop.example"
    document = json.loads(client.get(f"{address}?format=jsonld").content)
    assert document["@id"] == f"https://shop.example/q/{part.code}"
    assert document["name"] == "Stool <small>"


def test_page_and_data_make_the_same_claim(address, client):
    document = json.loads(client.get(f"{address}?format=jsonld").content)
    claims = [each["value"] for each in document["additionalProperty"] if each["name"] == "Claim"]
    assert claims[0] in client.get(address).content.decode().replace("&#x27;", "'")


def test_the_photo_is_that_of_the_version(part, operator, client):
    part.design.photo = make_photo()
    part.design.save()
    reissue(part, operator)
    answer = client.get(f"/q/{part.code}/?format=photo")
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert b"".join(answer.streaming_content)[:2] == b"\xff\xd8"
    assert client.get(f"/q/{part.code}/?format=photo&version=1").status_code == 404


def test_the_page_shows_the_photo_while_it_is_kept(part, address, operator, client):
    part.design.photo = make_photo()
    part.design.save()
    passport = reissue(part, operator)
    assert "format=photo" in client.get(address).content.decode()
    part.design.photo.storage.delete(passport.content["photo"])
    assert "format=photo" not in client.get(address).content.decode()


STYLES = ["passport.css", "reset.css", "tokens.css", "elements.css", "utilities.css"]
STYLES += ["components/passport.css", "components/make_up_strip.css"]
STYLES += ["components/make_up_strip_figures.css"]


def test_a_page_and_its_styles_are_light(address, client, settings):
    styles = settings.STATICFILES_DIRS[0] / "css"
    weight = sum((styles / name).stat().st_size for name in STYLES)
    assert weight + len(client.get(address).content) < 40_000


def test_a_page_asks_little_of_the_database(address, client, django_assert_max_num_queries):
    with django_assert_max_num_queries(9):
        client.get(address)


def test_the_page_has_no_script(address, client):
    assert "<script" not in client.get(address).content.decode()


def test_the_working_page_lists_the_versions(part, operator, floor):
    reissue(part, operator)
    page = floor.get(part.get_absolute_url()).content.decode()
    assert f"/q/{part.code}/?version=1" in page
    assert f"/q/{part.code}/?version=2" in page
    assert "care was wrong" in page


def test_an_operator_issues_the_first_passport(unissued, floor, key):
    answer = floor.post(f"/parts/{unissued.code}/passport/", {"key": key})
    assert answer.headers["Location"] == unissued.get_absolute_url()
    assert unissued.passports.get().version == 1


def test_an_operator_issues_a_new_version_with_a_reason(part, floor, key):
    floor.post(f"/parts/{part.code}/passport/", {"key": key, "reason": "care was wrong"})
    assert part.passports.first().reason == "care was wrong"


def test_a_new_version_without_a_reason_is_refused_on_the_form(part, floor, key):
    answer = floor.post(f"/parts/{part.code}/passport/", {"key": key})
    assert answer.status_code == 422
    assert Passport.objects.count() == 1


def test_an_auditor_is_not_offered_to_issue_one(part, reader):
    page = reader.get(part.get_absolute_url()).content.decode()
    assert f"/parts/{part.code}/passport/" not in page
