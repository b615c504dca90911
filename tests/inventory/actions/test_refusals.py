"""A refusal has a code for programs and a sentence for people."""

from inventory.actions.refusals import refusal
from tests.factories.book import sentence


class Caught:
    value = refusal("short", "Only %(kg)s kg are left.", kg="2.5")


def test_names_its_code_and_fills_its_sentence():
    assert (Caught.value.code, sentence(Caught)) == ("short", "Only 2.5 kg are left.")


def test_a_sentence_without_facts_may_hold_a_per_cent_sign():
    assert refusal("blend", "Below 100 %.").messages == ["Below 100 %."]
