"""Each attack of the table gets the answer that the table says."""

import pytest
from dash import Dash

from tests.dashboard.access.attacks import ATTACKS, Attack, Scene


@pytest.fixture(scope="module")
def scene(home: object, app: Dash) -> Scene:
    return Scene(home, app)  # type: ignore[arg-type]


LONG = [pytest.param(attack, marks=pytest.mark.slow) for attack in ATTACKS if "10,000" in attack.name]
SHORT = [attack for attack in ATTACKS if "10,000" not in attack.name]


@pytest.mark.parametrize("attack", [*SHORT, *LONG], ids=lambda attack: attack.name)
def test_attack_gets_a_clear_answer(attack: Attack, scene: Scene) -> None:
    answer = attack.act(scene)
    assert answer.status_code == attack.status
    assert attack.says in answer.text
