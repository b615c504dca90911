"""The worked examples in the docstrings of the calculations give what they say they give."""

import doctest
from importlib import import_module

import pytest

from tests.architecture.files import ROOT, name_of

MODULES = {
    app: sorted((ROOT / app / "calculations").rglob("*.py"))
    for app in ("inventory", "products", "workshop")
}


def module_at(path):
    return import_module(name_of(path.with_suffix("")).replace("/", "."))


def examples_of(module):
    """Return the examples of a module, by where they stand."""
    return [test for test in doctest.DocTestFinder().find(module) if test.examples]


def faults_of(test):
    """Return what an example gave in the place of what it says, as doctest reports it."""
    report = []
    doctest.DocTestRunner(verbose=False).run(test, out=report.append)
    return "".join(report)


@pytest.mark.parametrize("app", MODULES)
def test_worked_examples_give_what_they_say(app):
    tests = [test for path in MODULES[app] for test in examples_of(module_at(path))]
    assert "".join(map(faults_of, tests)) == ""


@pytest.mark.parametrize("app", MODULES)
def test_no_example_is_missed(app):
    written = {name_of(path): path.read_text().count(">>> ") for path in MODULES[app]}
    tried = {
        name_of(path): sum(len(test.examples) for test in examples_of(module_at(path)))
        for path in MODULES[app]
    }
    assert sum(tried.values()) > 0
    assert tried == written


def test_a_wrong_example_is_told():
    text = ">>> 1 + 1\n3\n"
    test = doctest.DocTestParser().get_doctest(text, {}, "planted", "planted.py", 0)
    assert "Expected:\n    3\nGot:\n    2" in faults_of(test)
