"""Whether a wheel goes over a hub: through an adapter, past its pilot, and onto the adapter's own."""

from __future__ import annotations

import numpy as np
import pytest

from wellroom.search.hub import HubSize, hub_margins
from wellroom.search.rims import Rims, own_rim, rims_from

HUB = HubSize(6, 139.7, 105.9, 82.55, 31.75, 12.0, False, centred=True, pilot_pm=0.08, protrusion_pm=0.1)


def on_plate(thick: float = 38.0, own_bore: float = 78.0, plate_pilot: float = 78.0) -> Rims:
    """Return one stocked wheel on an adapter whose own bore is 106 mm."""
    row = own_rim(17.0, 8.0, 120.0, 12.7, 12.7) | {"adapter": "plate", "adapter_mm": thick}
    row |= {"studs": (6,), "circle_low": 139.7, "circle_high": 139.7, "bore_low": 106.0, "bore_high": 106.0}
    return rims_from([row | {"hole": 14.0, "own_bore": own_bore, "plate_pilot": plate_pilot}])


@pytest.mark.parametrize(
    ("rims", "bore", "protrusion"),
    [
        (on_plate(), 0.0, 23.35),
        (on_plate(own_bore=77.9), -0.1, 23.35),  # too small for the adapter's pilot
        (on_plate(thick=31.0), 0.0, -4.65),  # the hub comes through, into the wheel's own bore
        (on_plate(thick=31.0, own_bore=90.0), 0.02, 7.35),
    ],
)
def test_wheel_on_an_adapter_passes_hub_and_adapter(rims: Rims, bore: float, protrusion: float) -> None:
    """By hand: the adapter's bore over the hub's largest, the wheel's over the adapter's pilot, and what
    stands out through both where it is longer than the adapter.
    """
    margins = hub_margins(HUB, rims)
    assert margins["bore"][0] == pytest.approx(bore)
    assert margins["hub_protrusion"][0] == pytest.approx(protrusion)


def test_hub_of_unknown_length_reaches_through_any_adapter() -> None:
    """What stands out by a length that nobody measured must pass the wheel too."""
    hub = HubSize(6, 139.7, 105.9, 82.55, None, 12.0, False)
    assert hub_margins(hub, on_plate(thick=100.0))["hub_protrusion"][0] == pytest.approx(78.0 - 82.55)


def test_least_bore_counts_the_measures_own_error() -> None:
    """The bore passes pilot and hub at their largest; on an adapter only what reaches through it."""
    assert HUB.least_bore(0.0) == pytest.approx(105.98)
    assert HUB.least_bore(25.0) == pytest.approx(82.65)
    assert HUB.least_bore(38.0) is None
    assert HUB.most_bore(13.0) == pytest.approx(139.7 - 13.0 - 12.0)
    assert np.isnan(hub_margins(HUB, rims_from([own_rim(17.0, 8.0, 120.0, 12.7, 12.7)]))["bore"][0])
