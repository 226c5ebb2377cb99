"""Cases about sun, sky and panel, in the model's names and units."""

from daybank.energy import clear_sky, draws, plane, sky, solar_geometry, sun
from published.compare import epoch_s


def sun_position(i):
    t_s = epoch_s(i["time_utc"])
    where = sun.position(t_s, i["lat_deg"], i["lon_deg"])
    apparent = sun.apparent_elevation(
        t_s, i["lat_deg"], i["lon_deg"], pressure_hpa=i.get("pressure_hpa", 1013.25), air_c=i.get("air_temp_c", 12.0)
    )
    return {
        "elevation_true_deg": where.elevation_deg,
        "elevation_apparent_deg": apparent,
        "zenith_apparent_deg": 90.0 - apparent,
        "azimuth_deg": where.azimuth_deg,
        "equation_of_time_min": where.equation_of_time_min,
        "declination_deg": sun.declination_deg(t_s),
        **_events_of_utc_date(t_s, i["lat_deg"], i["lon_deg"]),
    }


def _events_of_utc_date(t_s, lat_deg, lon_deg):
    """Sunrise and sunset that fall on the instant's UTC date, whichever solar days they belong to."""
    midnight = t_s - t_s % 86400.0
    found = {}
    for day in (-1, 0, 1):
        times = sun.rise_set(midnight + 43200.0 - lon_deg * 240.0 + day * 86400.0, lat_deg, lon_deg)
        for key, at in (("sunrise_utc", times.rise_s), ("sunset_utc", times.set_s)):
            if at is not None and midnight <= at < midnight + 86400.0:
                found[key] = at
    return found


def sunrise_sunset(i):
    day = sun.rise_set(
        epoch_s(i["nominal_noon_utc"]),
        i["lat_deg"],
        i["lon_deg"],
        horizon_deg=i.get("horizon_centre_elevation_deg", -0.8333),
    )
    return {
        "state": day.state,
        "sunrise_utc": day.rise_s,
        "sunset_utc": day.set_s,
        "transit_utc": day.transit_s,
        "day_length_h": day.day_length_h,
    }


def _stretch(i):
    start = epoch_s(i["start_utc"])
    return {
        "starts_at_s": start, "hours": (epoch_s(i["end_utc"]) - start) / 3600.0, "lat_deg": i["lat_deg"],
        "lon_deg": i["lon_deg"], "altitude_m": i["altitude_m"], "linke": i["linke_turbidity"],
    }  # fmt: skip


def clear_day(i):
    day = clear_sky.clear_day(**_stretch(i))
    return {
        "ghi_kwh_m2": day.ghi_kwh_m2,
        "dni_kwh_m2": day.dni_kwh_m2,
        "dhi_kwh_m2": day.dhi_kwh_m2,
        "extraterrestrial_horizontal_kwh_m2": day.extraterrestrial_kwh_m2,
    }


def tilted_clear_day(i):
    day = plane.tilted_clear_day(
        tilt_deg=i["tilt_deg"], azimuth_deg=i["panel_azimuth_deg"], albedo=i.get("albedo", 0.2), **_stretch(i)
    )
    return {
        "poa_isotropic_kwh_m2": day.poa_isotropic_kwh_m2,
        "poa_haydavies_kwh_m2": day.poa_haydavies_kwh_m2,
        "flat_ghi_kwh_m2": day.flat_ghi_kwh_m2,
    }


def incidence(i):
    found = sun_position(i)
    angle = plane.incidence_deg(
        elevation_deg=found["elevation_apparent_deg"], sun_azimuth_deg=found["azimuth_deg"], tilt_deg=i["tilt_deg"],
        panel_azimuth_deg=i["panel_azimuth_deg"],
    )  # fmt: skip
    return {"incidence_deg": angle}


def declination(i):
    return {"declination_deg": solar_geometry.declination_deg(i["day_of_year"])}


def incidence_geometry(i):
    found = solar_geometry.incidence_geometry(
        lat_deg=i["lat_deg"], declination_deg=i["declination_deg"], hour_angle_deg=i["hour_angle_deg"],
        tilt_deg=i["tilt_deg"], panel_azimuth_deg=i["panel_azimuth_deg"],
    )  # fmt: skip
    return {"cos_incidence": found.cos_incidence, "incidence_deg": found.incidence_deg}


def sun_geometry(i):
    found = solar_geometry.sun_geometry(
        lat_deg=i["lat_deg"], declination_deg=i["declination_deg"], hour_angle_deg=i["hour_angle_deg"]
    )
    return {"zenith_deg": found.zenith_deg, "azimuth_deg": found.azimuth_deg}


def sunset_hour_angle(i):
    found = solar_geometry.sunset_hour_angle_deg(lat_deg=i["lat_deg"], declination_deg=i["declination_deg"])
    return {"sunset_hour_angle_deg": found}


def extraterrestrial_daily(i):
    found = solar_geometry.extraterrestrial_daily_mj_m2(
        day_of_year=i["day_of_year"], lat_deg=i["lat_deg"], declination_deg=i["declination_deg"]
    )
    return {"h0_mj_m2_day": found, **sunset_hour_angle(i)}


def extraterrestrial_hourly(i):
    found = solar_geometry.extraterrestrial_hourly_mj_m2(
        day_of_year=i["day_of_year"], lat_deg=i["lat_deg"], declination_deg=i["declination_deg"],
        hour_angle_start_deg=i["hour_angle_start_deg"], hour_angle_end_deg=i["hour_angle_end_deg"],
    )  # fmt: skip
    return {"i0_mj_m2": found}


def solar_time(i):
    return {"solar_time_hhmm": 60.0 * sun.solar_time_h(epoch_s(i["time_utc"]), i["lon_deg"])}


def equation_of_time(i):
    return {"equation_of_time_min": sun.equation_of_time_min(epoch_s(i["time_utc"]))}


def cloud_cover_ratio(i):
    if isinstance(i["oktas"], list):
        return {"ratio": [sky.cloud_cover_ratio(oktas) for oktas in i["oktas"]]}
    return {"ratio": sky.cloud_cover_ratio(i["oktas"])}


def clearness_quantiles(i):
    return sky.clearness_quantiles(i["monthly_mean_kt"])


def prior_daily_yield(i):
    """The model's prior for daily yield of a flat panel, knowing place, month and panel only.

    Seasons and days are drawn as the forecast draws them, on an even grid of normal scores instead of at
    random; the season's scores and the day's are independent, so the product grid is the ensemble.
    """
    if i["tilt_deg"] != 0:
        raise ValueError(f"The comparison is for flat panels; the case tilts it by {i['tilt_deg']} degrees.")
    # Local midnight, by the sun, of the 15th of the month of a plain year; the year hardly matters.
    midnight = epoch_s(f"2025-{i['month']:02d}-15T00:00:00Z") - i["lon_deg"] * 240.0
    place = {"lat_deg": i["lat_deg"], "lon_deg": i["lon_deg"], "altitude_m": i["altitude_m"]}
    clear_kt = sky.clear_day_kt(day_start_s=midnight, month=i["month"], **place)
    clear = clear_sky.clear_day(
        starts_at_s=midnight, linke=clear_sky.linke_turbidity(i["lat_deg"], i["month"]), **place
    )
    scores = [draws.normal_quantile((n + 0.5) / 40) for n in range(40)]
    wh = []
    for season in scores:
        mean_kt = sky.season_mean_kt(i["lat_deg"], i["month"], None, season)
        for day in scores:
            index = sky.clear_index_from_score(day, mean_kt, clear_kt)
            wh.append(i["panel_w"] * i["system_factor"] * index * clear.ghi_kwh_m2)
    wh.sort()
    return {f"daily_wh_p{p}": wh[len(wh) * p // 100] for p in (10, 50, 90)}
