"""Tokens for programs."""

from workshop.actions.tokens import issue_token


def test_a_person_keeps_one_token(operator):
    assert issue_token(user=operator).key == issue_token(user=operator).key
