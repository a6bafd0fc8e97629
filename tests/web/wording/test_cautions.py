"""What the cautions say.

Sources: 15 U.S.C. 1278 (choking), NIOSH 97-135 (allergy), California Penal Code 653.1 (power lines, ribbon), 29 CFR
1910.101(b) and CGA P-1 (gas).
"""

import pytest

from app.quoting.settings.all_settings import CAUTION
from tests.places.payloads import take, words

OF_BALLOONS = ("allergy", "weight", "never release", "power lines", "inhale helium", "codes and licensed practice")
OF_GAS = ("upright", "chained", "capped", "52 °C", "displaces air", "never inhale", "codes and licensed practice")


@pytest.mark.parametrize(
    "address",
    [
        *("/counter/", "/counter/quick-sale", "/counter/orders/{0}", "/counter/orders/{0}/confirmation"),
        *("/pickups/", "/office/balloon-types", "/office/designs"),
    ],
)
def test_the_caution_about_balloons_is_whole_and_said_once(client, address):
    said = words(client.get(address.format(take(client))).text)
    assert said.count(CAUTION) == 1
    assert all(part in said for part in OF_BALLOONS)


@pytest.mark.parametrize("address", ["/bench/gas", "/office/gas", "/office/gas/new"])
def test_the_caution_about_gas_is_whole(client, address):
    said = words(client.get(address).text)
    assert all(part in said for part in OF_GAS)


def test_heat_is_named_where_balloons_leave(client):
    assert "hot car" in words(client.get("/pickups/").text)
    assert "parked car" in words(client.get(f"/counter/orders/{take(client)}/confirmation").text)
