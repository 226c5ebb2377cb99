"""Light on a tilted surface, and a trailer that does not stand level."""

import math

import pytest

from daybank.energy import plane

NOON = {"dni_w_m2": 800.0, "dhi_w_m2": 100.0, "ghi_w_m2": 800.0 * 0.5 + 100.0}  # sun 30 deg high


def test_a_flat_panel_gets_the_light_of_the_level():
    flat = plane.isotropic(cos_incidence=0.5, cos_tilt=1.0, **NOON)
    circum = plane.hay_davies(cos_incidence=0.5, cos_zenith=0.5, cos_tilt=1.0, extra_w_m2=1361.0, **NOON)
    assert flat == pytest.approx(NOON["ghi_w_m2"])
    assert circum == pytest.approx(NOON["ghi_w_m2"])


def test_light_around_the_sun_favours_a_panel_that_faces_it():
    where = {"cos_incidence": 1.0, "cos_tilt": 0.5}
    assert plane.hay_davies(cos_zenith=0.5, extra_w_m2=1361.0, **where, **NOON) > plane.isotropic(**where, **NOON)


def test_a_sun_behind_the_panel_leaves_diffuse_and_ground_light_only():
    behind = plane.isotropic(cos_incidence=-0.3, cos_tilt=0.0, albedo=0.2, **NOON)
    assert behind == pytest.approx(100.0 / 2 + 500.0 * 0.2 / 2)


def test_a_panel_that_faces_the_sun_has_no_incidence():
    assert plane.incidence_deg(elevation_deg=35.0, sun_azimuth_deg=200.0, tilt_deg=55.0,
                               panel_azimuth_deg=200.0) == pytest.approx(0.0, abs=1e-5)


@pytest.mark.parametrize("kt, share", [(0.0, 1.0), (0.22, 0.9802), (0.5, 0.6593), (0.80, 0.1654), (0.9, 0.165)])
def test_diffuse_share_follows_erbs(kt, share):
    # Values worked by hand from the published polynomial.
    assert plane.diffuse_share(kt) == pytest.approx(share, abs=0.0006)


def test_diffuse_share_has_no_step_at_its_seams():
    for seam in (0.22, 0.80):
        assert plane.diffuse_share(seam) == pytest.approx(plane.diffuse_share(seam + 1e-9), abs=0.003)


def test_glass_takes_nothing_straight_on_a_twentieth_at_sixty_degrees_and_all_at_a_graze():
    assert plane.glass_loss_factor(1.0) == 1.0
    assert plane.glass_loss_factor(0.5) == pytest.approx(0.95)
    assert plane.glass_loss_factor(0.01) == 0.0
    assert plane.glass_loss_factor(0.05) == pytest.approx(0.05)


def test_a_level_stand_changes_nothing():
    assert plane.on_slope(tilt_deg=12.0, azimuth_deg=100.0, slope_deg=0.0, slope_toward_deg=50.0) == (12.0, 100.0)


def test_a_flat_roof_takes_the_slope_of_the_ground():
    assert plane.on_slope(tilt_deg=0.0, azimuth_deg=0.0, slope_deg=6.0, slope_toward_deg=250.0) == (6.0, 250.0)


def test_slope_adds_to_a_tilt_the_same_way_and_takes_from_the_other():
    same = plane.on_slope(tilt_deg=20.0, azimuth_deg=180.0, slope_deg=5.0, slope_toward_deg=180.0)
    other = plane.on_slope(tilt_deg=20.0, azimuth_deg=180.0, slope_deg=5.0, slope_toward_deg=0.0)
    assert same.tilt_deg == pytest.approx(25.0) and same.azimuth_deg == pytest.approx(180.0)
    assert other.tilt_deg == pytest.approx(15.0) and other.azimuth_deg == pytest.approx(180.0)


def test_slope_across_a_tilt_turns_it_towards_the_fall():
    across = plane.on_slope(tilt_deg=20.0, azimuth_deg=180.0, slope_deg=5.0, slope_toward_deg=90.0)
    assert math.cos(math.radians(across.tilt_deg)) == pytest.approx(
        math.cos(math.radians(20.0)) * math.cos(math.radians(5.0)))
    assert 160.0 < across.azimuth_deg < 180.0
