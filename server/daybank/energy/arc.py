"""The sun's path over one place on one day, as a person at camp can check it against the trees.

Knows: half-hourly directions from rise to set, and the part of the path that brings most of a level panel's light.
Leaves to others: where the sun stands (sun.py), what the air and the panel make of it (clear_sky, panel), the drawing
(the phone).
"""
import json
import math

from daybank.energy import sun

STEP_S = 1800.0
NOON_S = 43200.0
KEEP_SHARE = 0.8  # of the day's light that the arc to keep clear brings: our assumption, no source
_RAD = math.pi / 180.0


def arc(day_start_s: float, lat_deg: float, lon_deg: float) -> dict:
    """One day's path.

    Parameters
        day_start_s: local midnight that begins the day. [s since 1970-01-01T00:00Z]
        lat_deg, lon_deg: place, north and east positive. [deg]
    Returns
        {"state": 'normal'|'polar_day'|'polar_night', "rise_s", "set_s": None unless normal, "rise_azimuth_deg",
        "set_azimuth_deg", "noon_s", "noon_azimuth_deg", "noon_elevation_deg", "points": [[t_s, azimuth_deg,
        elevation_deg]] every half hour while the sun is up, "keep": {"from_s", "until_s", "from_azimuth_deg",
        "until_azimuth_deg", "from_elevation_deg", "until_elevation_deg"} or None without sun}. Azimuth is clockwise
        from true north; elevations are those seen through the air. [s, deg]
    Raises
        ValueError: a place that is not on earth.
    """
    if not -90.0 <= lat_deg <= 90.0 or not -180.0 <= lon_deg <= 180.0:
        raise ValueError(f"The place {lat_deg}, {lon_deg} was given; accepted are latitudes from -90 to 90 and "
                         "longitudes from -180 to 180 degrees; correct it")
    day = sun.rise_set(day_start_s + NOON_S, lat_deg, lon_deg)

    def at(t_s):
        return [t_s, sun.position(t_s, lat_deg, lon_deg).azimuth_deg, sun.apparent_elevation(t_s, lat_deg, lon_deg)]

    noon = at(day.transit_s)
    points = [at(day_start_s + i * STEP_S) for i in range(48)]
    if day.state == 'normal':
        # The solar day may begin before the local midnight, where a zone lies far off its meridian.
        first = math.ceil((day.rise_s - day_start_s) / STEP_S)
        last = math.floor((day.set_s - day_start_s) / STEP_S)
        points = [at(day_start_s + i * STEP_S) for i in range(first, last + 1)]
    elif day.state == 'polar_night':
        points = []
    rise = at(day.rise_s) if day.state == 'normal' else [None, None, None]
    fall = at(day.set_s) if day.state == 'normal' else [None, None, None]
    return {'state': day.state, 'rise_s': rise[0], 'set_s': fall[0], 'rise_azimuth_deg': rise[1],
            'set_azimuth_deg': fall[1], 'noon_s': noon[0], 'noon_azimuth_deg': noon[1], 'noon_elevation_deg': noon[2],
            'points': points, 'keep': _keep(points)}


def _keep(points):
    """Ends of the shortest run of half hours that brings KEEP_SHARE of the light on a level panel, without air."""
    light = [max(0.0, math.sin(elevation * _RAD)) for _, _, elevation in points]
    total = sum(light)
    if total <= 0.0:
        return None
    first, last = 0, len(points) - 1
    # The lower end goes first, so that what stays is as high as it can be.
    while last > first:
        low_end = first if light[first] <= light[last] else last
        if sum(light[first:last + 1]) - light[low_end] < KEEP_SHARE * total:
            break
        if low_end == first:
            first += 1
        else:
            last -= 1
    start, end = points[first], points[last]
    return {'from_s': start[0], 'until_s': end[0], 'from_azimuth_deg': start[1], 'until_azimuth_deg': end[1],
            'from_elevation_deg': start[2], 'until_elevation_deg': end[2]}


def arc_json(text: str) -> str:
    """`arc` for callers that pass text: {"day_start_s", "lat_deg", "lon_deg"} in, {"arc"} or {"error"} out."""
    try:
        asked = json.loads(text)
        return json.dumps({'arc': arc(asked['day_start_s'], asked['lat_deg'], asked['lon_deg'])})
    except ValueError as error:
        return json.dumps({'error': str(error)})
