import pytest

from tests.acts.evening import Evening, begun


@pytest.fixture
def negative() -> Evening:
    return begun(ei="4")


@pytest.fixture
def positive() -> Evening:
    return begun("direct_positive")


@pytest.fixture
def colour() -> Evening:
    return begun("ra4")
