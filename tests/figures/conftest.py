import pytest
from figure_cases import CASES, Case


@pytest.fixture(params=CASES.values(), ids=CASES.keys())
def case(request: pytest.FixtureRequest) -> Case:
    return request.param
