from datetime import UTC, datetime

import pytest
from notebook_boathouse import Boathouse


@pytest.fixture
def boathouse() -> Boathouse:
    return Boathouse(datetime(2026, 9, 1, 9, 0, tzinfo=UTC))
