"""Laws of the sun and the panel that hold in every place and season."""

import math

from hypothesis import assume, given
from hypothesis import strategies as st

from daybank.energy import clear_sky, panel, plane, sun

instants = st.floats(min_value=1.6e9, max_value=2.2e9)  # 2020 to 2039
latitudes = st.floats(min_value=-66.0, max_value=66.0)
longitudes = st.floats(min_value=-180.0, max_value=180.0)
angles = st.floats(min_value=0.0, max_value=360.0)


@given(t_s=instants, lat=st.floats(min_value=-90.0, max_value=90.0), lon=longitudes)
def test_the_sun_has_a_place_and_it_moves_by_at_most_a_quarter_degree_a_minute(t_s, lat, lon):
    before, after = sun.position(t_s, lat, lon), sun.position(t_s + 60.0, lat, lon)
    assert -90.0 <= before.elevation_deg <= 90.0
    assert 0.0 <= before.azimuth_deg <= 360.0
    assert abs(after.elevation_deg - before.elevation_deg) <= 0.2516


@given(t_s=instants, lat=latitudes, lon=longitudes)
def test_the_day_runs_from_sunrise_over_transit_to_sunset(t_s, lat, lon):
    times = sun.rise_set(t_s, lat, lon)
    if times.state == "normal":
        assert times.rise_s < times.transit_s < times.set_s
        assert 0.0 < times.day_length_h < 24.0
        middle = sun.position(times.transit_s, lat, lon).elevation_deg
        for event in (times.rise_s, times.set_s):
            assert sun.position(event, lat, lon).elevation_deg <= middle


@given(t_s=instants, lat=st.floats(min_value=-60.0, max_value=60.0), lon=longitudes)
def test_opposite_latitudes_share_a_day_between_them(t_s, lat, lon):
    there = sun.rise_set(t_s, lat, lon, horizon_deg=0.0).day_length_h
    opposite = sun.rise_set(t_s, -lat, lon, horizon_deg=0.0).day_length_h
    assert abs(there + opposite - 24.0) < 0.03  # declination moves a little between the four events


@given(elevation=st.floats(min_value=0.01, max_value=90.0), altitude=st.floats(min_value=-100.0, max_value=4500.0),
       linke=st.floats(min_value=1.5, max_value=7.0))
def test_no_clear_sky_gives_more_than_arrives_outside_the_air(elevation, altitude, linke):
    light = clear_sky.irradiance(apparent_elevation_deg=elevation, altitude_m=altitude, linke=linke, extra_w_m2=1361.0)
    assert 0.0 <= light.dhi_w_m2 <= light.ghi_w_m2
    assert 0.0 <= light.dni_w_m2 <= 1361.0
    assert light.ghi_w_m2 <= 1361.0 * math.sin(math.radians(elevation)) * 1.1  # the model's own fit passes 1 on peaks


@given(tilt=st.floats(min_value=0.0, max_value=60.0), azimuth=angles, slope=st.floats(min_value=0.0, max_value=15.0),
       toward=angles)
def test_a_slope_turns_a_panel_by_no_more_than_itself_and_back_again(tilt, azimuth, slope, toward):
    leaning = plane.on_slope(tilt_deg=tilt, azimuth_deg=azimuth, slope_deg=slope, slope_toward_deg=toward)
    turned = math.dist(plane.normal(*leaning), plane.normal(tilt, azimuth))
    assert turned <= 2.0 * math.sin(math.radians(slope) / 2.0) + 1e-9
    back = plane.on_slope(tilt_deg=leaning.tilt_deg, azimuth_deg=leaning.azimuth_deg, slope_deg=slope,
                          slope_toward_deg=toward + 180.0)
    assert math.dist(plane.normal(*back), plane.normal(tilt, azimuth)) < 1e-6


def harvest(starts, lat, lon, **changed):
    rig = {"altitude_m": 100.0, "tilt_deg": 10.0, "azimuth_deg": 135.0, "panel_w": 120.0, "controller": "mppt",
           "max_a": None, "nominal_v": 12.0, "air_c": [18.0] * 24}
    return panel.harvest_hours(starts_at_s=starts, hours=24, lat_deg=lat, lon_deg=lon, **(rig | changed))


@given(t_s=instants, lat=latitudes, lon=longitudes, controller=st.sampled_from(["mppt", "pwm"]),
       less=st.floats(min_value=0.0, max_value=1.0), more=st.floats(min_value=0.0, max_value=1.0))
def test_more_shade_never_brings_more_amps(t_s, lat, lon, controller, less, more):
    assume(less <= more)
    for open_row, shaded_row in zip(harvest(t_s, lat, lon, shade=less, controller=controller),
                                    harvest(t_s, lat, lon, shade=more, controller=controller)):
        assert all(shaded <= open_sky for shaded, open_sky in zip(shaded_row, open_row))


@given(t_s=instants, lat=latitudes, lon=longitudes, limit=st.floats(min_value=0.1, max_value=20.0))
def test_no_hour_passes_the_controllers_limit(t_s, lat, lon, limit):
    assert max(max(row) for row in harvest(t_s, lat, lon, max_a=limit)) <= limit


@given(t_s=instants, lat=latitudes, lon=longitudes)
def test_twice_the_panel_brings_twice_the_amps(t_s, lat, lon):
    for one, two in zip(harvest(t_s, lat, lon), harvest(t_s, lat, lon, panel_w=240.0)):
        assert all(math.isclose(b, 2.0 * a, rel_tol=1e-9) for a, b in zip(one, two))


@given(t_s=instants, lat=latitudes, lon=longitudes, controller=st.sampled_from(["mppt", "pwm"]))
def test_a_flat_panel_harvests_more_from_more_light(t_s, lat, lon, controller):
    for row in harvest(t_s, lat, lon, tilt_deg=0.0, controller=controller, levels=(0.0, 0.2, 0.5, 0.8, 1.0)):
        assert list(row) == sorted(row)
        assert row[0] == 0.0


@given(t_s=instants, lat=st.floats(min_value=-50.0, max_value=50.0), lon=longitudes)
def test_a_slightly_leaning_panel_harvests_more_from_a_sunnier_day_outside_low_sun(t_s, lat, lon):
    where = sun.position(sun.rise_set(t_s, lat, lon).transit_s, lat, lon)
    assume(where.elevation_deg > 25.0)
    rows = harvest(t_s, lat, lon, tilt_deg=8.0)
    day = [sum(row[level] for row in rows) for level in range(4)]
    assert day == sorted(day)
