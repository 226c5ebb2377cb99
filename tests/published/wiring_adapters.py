"""Cases about wire, fuses, joints, appliances and the selector, in the model's names and units."""

from daybank.energy import (
    appliances,
    condition,
    constants,
    feeds,
    fuses,
    imperial,
    readings,
    ventilation,
    wire_tables,
    wiring,
)


def awg_conductor(i):
    area = wiring.awg_area_mm2(i["awg"])
    return {
        "diameter_mm": wiring.awg_diameter_mm(i["awg"]),
        "area_mm2": area,
        "circular_mils": wiring.awg_circular_mils(i["awg"]),
        "resistance_mohm_per_m": wiring.copper_mohm_per_m(area, i.get("temperature_C", 20)),
    }


def awg_table8_resistance(i):
    per_kft = wiring.table8_ohm_per_kft(i["awg"])
    return {"resistance_ohm_per_kft": per_kft, "resistance_ohm_per_km": wiring.ohm_per_km_from_kft(per_kft)}


def metric_conductor_resistance(i):
    return {"max_resistance_ohm_per_km": wiring.class5_mohm_per_m(i["area_mm2"], i.get("plating", "plain"))}


def resistance_at_temperature_nec(i):
    found = wiring.at_temperature_nec(
        i["resistance_75C_ohm_per_kft"], i["temperature_C"], i.get("alpha75_per_C", constants.COPPER_ALPHA_75_PER_C)
    )
    return {"resistance_ohm_per_kft": found}


def resistance_temperature_factor_iec(i):
    return {"kt": wiring.iec_temperature_factor(i["temperature_C"])}


def resistance_at_temperature_iec(i):
    return {"resistance_ohm_per_km": wiring.at_temperature_iec(i["resistance_20C_ohm_per_km"], i["temperature_C"])}


def resistance_at_temperature_alpha20(i):
    found = wiring.at_temperature_alpha20(
        i["resistance_20C_ohm_per_km"], i["temperature_C"], i.get("alpha20_per_C", constants.COPPER_ALPHA_20_PER_C)
    )
    return {"resistance_ohm_per_km": found}


def run_length_at_temperature(i):
    return {"length_ft": wiring.run_length_at_temperature(i["length_20C_ft"], i["temperature_C"])}


def voltage_drop(i):
    drop = wiring.voltage_drop(
        current_a=i["current_A"], mohm_per_m=i["resistance_mohm_per_m"], wire_m=i["one_way_length_m"],
        nominal_v=i.get("nominal_V", 12.0),
    )  # fmt: skip
    return {
        "loop_resistance_mohm": 1000.0 * drop.loop_ohm,
        "drop_V": drop.drop_v,
        "drop_percent": drop.drop_percent,
        "loss_W": drop.loss_w,
    }


def voltage_drop_per_foot(i):
    # The table's run is the whole conductor; ours is one way, there and back.
    drop = wiring.voltage_drop(
        current_a=i["current_A"], mohm_per_m=imperial.mohm_per_m(i["resistance_ohm_per_ft"]),
        wire_m=i["run_length_ft"] * imperial.M_PER_FT / 2.0,
    )  # fmt: skip
    return {"drop_V": drop.drop_v}


def wire_size_for_drop(i):
    mils = wiring.circular_mils_for_drop(
        current_a=i["current_A"],
        round_trip_ft=i["round_trip_length_ft"],
        allowed_drop_v=i["allowed_drop_V"],
        k=i.get("K", constants.ABYC_CIRCULAR_MIL_OHM_PER_FT),
    )
    return {
        "circular_mils": mils,
        "smallest_awg": wiring.smallest_awg(mils),
        "smallest_sae": wiring.smallest_sae(mils),
    }


def ampacity(i):
    found = fuses.ampacity_a(awg=i["awg"], insulation_c=i["insulation_C"], ambient_c=i.get("ambient_C", 30))
    return {"ampacity_A": found}


def ampacity_bundled(i):
    found = fuses.ampacity_a(
        awg=i["awg"], insulation_c=i["insulation_C"], ambient_c=i.get("ambient_C", 30), bundled=i["bundled"]
    )
    return {"ampacity_A": found}


def ampacity_metric(i):
    def one(ambient_c):
        return fuses.ampacity_metric_a(
            area_mm2=i["area_mm2"], insulation_c=i["insulation_C"], method=i["method"], ambient_c=ambient_c
        )

    ambient = i.get("ambient_C", 30)
    return {"ampacity_A": [one(c) for c in ambient] if isinstance(ambient, list) else one(ambient)}


def fuse_for_circuit(i):
    choice = fuses.fuse_for_circuit(
        continuous_a=i["continuous_current_A"], conductor_ampacity_a=i["conductor_ampacity_A"],
        ratings_a=i.get("standard_ratings_A", wire_tables.BLADE_RATINGS_A),
    )  # fmt: skip
    return {"minimum_rating_A": choice.minimum_a, "fuse_A": choice.fuse_a, "possible": choice.possible}


def fuse_ceiling(i):
    table5_a = fuses.ampacity_a(awg=i["awg"], insulation_c=i["insulation_C"])
    assert table5_a == i.get("table5_A", table5_a), "the case's own table value is not ours"
    return {"max_fuse_A": fuses.cfr_fuse_ceiling_a(table5_a)}


def fuse_small_conductor(i):
    if isinstance(i["awg"], list):
        return {"max_fuse_A": [fuses.small_conductor_max_a(awg) for awg in i["awg"]]}
    return {"max_fuse_A": fuses.small_conductor_max_a(i["awg"])}


def fuse_for_inverter(i):
    choice = fuses.fuse_for_inverter(
        ac_power_w=i["ac_power_W"], efficiency=i["efficiency"], battery_v=i["battery_V"],
        conductor_ampacity_a=i["conductor_ampacity_A"],
        ratings_a=i.get("standard_ratings_A", wire_tables.BOLT_DOWN_RATINGS_A),
    )  # fmt: skip
    return {
        "dc_current_A": choice.dc_current_a,
        "minimum_rating_A": choice.minimum_a,
        "fuse_A": choice.fuse_a,
        "possible": choice.possible,
    }


def short_circuit(i):
    short = fuses.short_circuit(
        open_v=i["open_circuit_V"], battery_mohm=i["battery_mohm"], lead_mohm=i["lead_mohm"],
        interrupt_rating_a=i.get("interrupt_rating_A", wire_tables.BLADE_INTERRUPT_A),
    )  # fmt: skip
    return {"short_circuit_A": short.current_a, "interrupt_ok": short.interrupt_ok}


def fuse_distance(i):
    if i["rule"] != "33 CFR 183.455(b)":
        raise ValueError(f"The model holds no fuse distance of the rule {i['rule']!r}.")
    return {
        "bare_max_mm": 1000.0 * fuses.fuse_distance_max_m(enclosed=False),
        "enclosed_max_mm": 1000.0 * fuses.fuse_distance_max_m(enclosed=True),
    }


# input key -> (answer key, conversion): everything the model can convert
CONVERSIONS = {
    "torque_lb_in": ("torque_Nm", imperial.torque_nm),
    "torque_Nm": ("torque_lb_in", imperial.torque_lb_in),
    "force_lbf": ("force_N", imperial.force_n),
    "area_in2": ("area_mm2", imperial.area_mm2),
    "resistance_ohm_per_ft": ("resistance_mohm_per_m", imperial.mohm_per_m),
    "temperature_F": ("temperature_C", imperial.temp_c),
    "temperature_C": ("temperature_F", imperial.temp_f),
    "length_ft": ("length_m", imperial.length_m),
    "length_m": ("length_ft", imperial.length_ft),
}


def unit_conversion(i):
    return {CONVERSIONS[key][0]: CONVERSIONS[key][1](i[key]) for key in i}


def charge_to_energy(i):
    return {"energy_Wh": appliances.energy_wh(charge_ah=i["charge_Ah"], mean_v=i["mean_V"])}


def charge_used(i):
    return {"charge_Ah": appliances.charge_ah(current_a=i["idle_current_A"], hours=i["hours_h"])}


def strip_load(i):
    draw = appliances.strip_draw(
        length_m=i["length_m"], power_w_per_m=i["power_W_per_m"], supply_v=i.get("supply_V", 12.0)
    )
    return {"power_W": draw.power_w, "current_A": draw.current_a}


def inverter_dc_current(i):
    draw = appliances.inverter_dc_draw(ac_power_w=i["ac_power_W"], efficiency=i["efficiency"], battery_v=i["battery_V"])
    found = {"dc_power_W": draw.power_w, "dc_current_A": draw.current_a}
    if "hours_h" in i:
        found["charge_Ah"] = appliances.charge_ah(current_a=draw.current_a, hours=i["hours_h"])
    return found


def inverter_fixed_plus_proportional(i):
    load = appliances.inverter_small_load(
        ac_power_w=i["ac_power_W"], idle_w=i["idle_power_W"], proportional_efficiency=i["proportional_efficiency"]
    )
    return {"dc_power_W": load.dc_power_w, "effective_efficiency": load.efficiency}


def connection_heat(i):
    joint = condition.joint_heat(drop_mv=i["drop_mV"], current_a=i["current_A"])
    return {"resistance_mohm": joint.mohm, "heat_W": joint.heat_w}


def connection_trend(i):
    trend = condition.joint_trend(
        baseline_mohm=i["baseline_mohm"],
        now_mohm=i["now_mohm"],
        trigger_percent=i.get("trigger_percent", condition.JOINT_RISE_PERCENT),
    )
    return {"rise_percent": trend.rise_percent, "action_due": trend.action_due}


def connection_drop_test(i):
    joint = condition.joint_drop_test(
        drop_mv=i["drop_mV"], test_current_a=i["test_current_A"], rated_current_a=i["rated_current_A"]
    )
    return {
        "resistance_mohm": joint.mohm,
        "drop_at_rated_mV": joint.drop_at_rated_mv,
        "limit_mV": joint.limit_mv,
        "pass": joint.passes,
    }


def gauge_error(i):
    shown = wiring.gauge_v(battery_v=i["battery_V"], shared_a=i["current_A"], shared_ohm=i["shared_loop_mohm"] / 1000.0)
    return {"panel_V": shown, "error_V": shown - i["battery_V"]}


def appliance_cutout(i):
    volts = wiring.battery_v_at_cutout(cutoff_v=i["cutout_V"], current_a=i["current_A"], loop_ohm=i["loop_ohm"])
    return {"battery_V_at_cutout": volts}


def standing_draw(i):
    draw = condition.standing_draw(current_a=i["current_mA"] / 1000.0, days=i["days_d"])
    return {"charge_per_day_Ah": draw.per_day_ah, "charge_Ah": draw.total_ah}


def capacity_test(i):
    test = condition.capacity_test(rated_ah=i["rated_Ah"], current_a=i["current_A"], hours=i["hours_h"])
    return {"capacity_Ah": test.capacity_ah, "capacity_percent": test.percent, "replace": test.replace}


def paired_resistance(i):
    found = condition.paired_resistance(
        first_v=i["V1_V"], first_a=i["I1_A"], second_v=i["V2_V"], second_a=i["I2_A"],
        reading_sd_v=i.get("reading_sd_V"), resolution_v=i.get("resolution_V", 0.0),
    )  # fmt: skip
    return {"resistance_ohm": found.ohm, "sd_ohm": found.sd_ohm}


def capacity_regression(i):
    fit = condition.capacity_regression(
        prior_per_ah=i["prior_a_per_Ah"], prior_sd_per_ah=i["prior_sd"], out_ah=i["Ah"], soc_drop=i["dSoC"],
        soc_drop_sd=i["obs_sd"],
    )  # fmt: skip
    return {"a_per_Ah": fit.per_ah, "sd": fit.sd_per_ah, "capacity_Ah": fit.capacity_ah}


def overnight_draw(i):
    draw = condition.overnight_draw(
        hours=i["hours"], soc_drop=i["dSoC"], soc_drop_sd=i["dSoC_sd"], capacity_ah=i["capacity_Ah"]
    )
    return {"draw_A": draw.current_a, "sd_A": draw.sd_a, "detected_at_2sd": draw.detected}


def parallel_split(i):
    split = condition.parallel_split(current_a=i["current_A"], first_mohm=i["r1_mohm"], second_mohm=i["r2_mohm"])
    return {"i1_A": split.first_a, "i2_A": split.second_a}


def parallel_circulating(i):
    found = condition.parallel_circulating_a(first_v=i["v1_V"], second_v=i["v2_V"], total_mohm=i["total_mohm"])
    return {"circulating_A": found}


def hydrogen_vent(i):
    vent = ventilation.hydrogen_vent(
        cells=i["cells"], capacity_ah=i["capacity_Ah"], gassing_ma_per_ah=i["gassing_mA_per_Ah"]
    )
    return {"air_m3_per_h": vent.air_m3_per_h, "vent_area_cm2": vent.opening_cm2}


def reading_meaning(i):
    meaning = readings.reading_meaning(
        chemistry=i["chemistry"], volts=i["volts"], state=i.get("state", "unknown"), nominal_v=i.get("nominal_v", 12.0)
    )
    return {"taken_as": meaning.taken_as}


def live_circuits(i):
    return {"live": feeds.live_circuits(i["feeds"], i["selector_feeds"])}


def drains_bank_at_night(i):
    return {"drains_bank": feeds.drains_bank(i["feed"], i["selector_feeds"])}
