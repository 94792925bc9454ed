"""The hands above the table and the table below the elbow, against the sine of the shaft's elevation."""

import numpy as np
import pytest

from ergokit import elbow_of_survey, elevation_angle, handle_height, handle_position, table_height


@pytest.mark.parametrize("target", [(0, 10, 0), (3, 12, 2.5)])
def test_hands_are_as_high_as_shaft_and_handle_times_the_sine_of_the_elevation(target):
    port = (-9, 0, 12)
    rise = 46 * np.sin(np.radians(elevation_angle(port, target)))
    assert handle_height(port, target, 36, 10) == pytest.approx(target[2] + rise)


def test_handle_height_broadcasts_and_has_no_value_where_the_shaft_cannot_reach():
    ports = np.array([(-9, 0, 12), (9, 0, 12), (0, 0, 50)])
    heights = handle_height(ports, (0, 10, 0), 36)
    assert heights.shape == (3,) and heights[:2] == pytest.approx(handle_position(ports[:2], (0, 10, 0), 36)[:, 2])
    assert np.isnan(heights[2])


def test_the_table_brings_the_handles_to_the_elbow():
    elbow, above = 113.0, np.array([25.0, 31.0])
    assert table_height(elbow, above) + above == pytest.approx(elbow)
    assert table_height(elbow, above, handles_above_elbow=-10) == pytest.approx(table_height(elbow, above) - 10)
    assert table_height(70, 75) == -5  # no table is low enough


def test_the_elbow_of_the_survey_is_its_shoulder_less_its_upper_arm_and_sits_as_much_lower_as_the_man_does():
    assert elbow_of_survey() == pytest.approx(146.7 - 33.7)  # acromial height, acromion to radiale (Gordon et al. 2012)
    assert elbow_of_survey() - elbow_of_survey(seat=45) == pytest.approx(177.6 - 92.8 - 45)  # stature, sitting height
    with pytest.raises(ValueError, match="seat"):
        elbow_of_survey(seat=-3)
