"""Cases about the bank, in the model's names and units. Each function: a case's inputs to its answers."""

from daybank.energy import bank, capacity, constants, gaussians, rested, sizing, wells, wiring


def chemistry(word: str) -> str:
    """A case's word for a chemistry as the model's."""
    lower = word.lower()
    for known in constants.CHEMISTRIES:
        if lower.startswith(known):
            return known
    raise ValueError(f"The case names a chemistry {word!r} that the model does not know.")


def peukert_runtime(i):
    hours = capacity.peukert_runtime_h(
        rated_ah=i["rated_capacity_Ah"], rated_h=i["rated_hours_h"], current_a=i["current_A"], exponent=i["exponent"]
    )
    return {"time_h": hours, "delivered_Ah": i["current_A"] * hours}


def peukert_exponent(i):
    return {
        "exponent": capacity.peukert_exponent(
            first_a=i["I1_A"], first_h=i["t1_h"], second_a=i["I2_A"], second_h=i["t2_h"]
        )
    }


def peukert_runtime_list(i):
    rated = {"rated_ah": i["rated_capacity_Ah"], "rated_h": i["rated_hours_h"]}
    return {
        "formula_Ah": [
            current * capacity.peukert_runtime_h(current_a=current, exponent=i["exponent"], **rated)
            for current in i["currents_A"]
        ],
        "implied_exponents": [
            capacity.peukert_exponent_from_capacity(current_a=current, delivered_ah=given, **rated)
            for current, given in zip(i["currents_A"], i["published_Ah"], strict=True)
        ],
    }


def _rested_wells(i, total_ah):
    return {"available_ah": i["c"] * total_ah, "bound_ah": (1.0 - i["c"]) * total_ah}


def kibam_step(i):
    after = wells.two_well_step(
        current_a=i["current_A_discharge_positive"], dt_h=i["dt_h"], c=i["c"], k_per_h=i["k_per_h"],
        **_rested_wells(i, i["q_start_Ah"]),
    )  # fmt: skip
    return {
        "available_Ah": after.available_ah,
        "bound_Ah": after.bound_ah,
        "total_Ah": after.available_ah + after.bound_ah,
    }


def kibam_recovery(i):
    worked = wells.two_well_step(
        current_a=i["current_A"], dt_h=i["dt_h"], c=i["c"], k_per_h=i["k_per_h"], **_rested_wells(i, i["qmax_Ah"])
    )
    rests = i["rest_h"] if isinstance(i["rest_h"], list) else [i["rest_h"]]
    after = [
        wells.two_well_step(
            available_ah=worked.available_ah, bound_ah=worked.bound_ah, current_a=0.0, dt_h=rest, c=i["c"],
            k_per_h=i["k_per_h"],
        )
        for rest in rests
    ]  # fmt: skip
    return {
        "available_Ah": [now.available_ah for now in after],
        "available_before_Ah": worked.available_ah,
        "available_after_Ah": after[-1].available_ah,
        "total_Ah": after[-1].available_ah + after[-1].bound_ah,
    }


def kibam_fraction(i):
    if isinstance(i["T_h"], list):
        return {"fraction_of_qmax": [wells.deliverable_fraction(t, i["c"], i["k_per_h"]) for t in i["T_h"]]}
    return {"fraction_of_qmax": wells.deliverable_fraction(i["T_h"], i["c"], i["k_per_h"])}


def kibam_intermittent(i):
    common = {"q_max_ah": i["qmax_Ah"], "c": i["c"], "k_per_h": i["k_per_h"], "current_a": i["current_A"]}
    return {
        "continuous_Ah": wells.delivered_in_bursts_ah(on_h=i["on_h"], off_h=0.0, **common),
        "intermittent_Ah": wells.delivered_in_bursts_ah(on_h=i["on_h"], off_h=i["off_h"], **common),
    }


def kibam_ratios(i):
    at_20 = wells.deliverable_fraction(20.0, i["c"], i["k_per_h"])
    return {"ratio_to_20h": [wells.deliverable_fraction(t, i["c"], i["k_per_h"]) / at_20 for t in i["T_h"]]}


def ocv_from_acid(i):
    cell = rested.cell_v_from_acid(i["acid_concentration_mol_per_m3"])
    return {"V_per_cell": cell, "V_6_cells": 6 * cell}


def ocv_from_specific_gravity(i):
    cell = rested.cell_v_from_specific_gravity(i["specific_gravity"])
    return {"V_per_cell": cell, "V_6_cells": 6 * cell}


def open_circuit_voltage(i, what):
    # The case names its chemistry in words: "Rested voltage of a 12 V flooded battery".
    name = i.get("chemistry") or next(word for word in constants.CHEMISTRIES if word in what.lower())
    soc, temp_c = i["soc_percent"] / 100.0, i.get("temperature_C", 25.0)
    volts = bank.open_circuit_v(soc, chemistry(name), temp_c, i.get("nominal_V", 12.0))
    return {
        "voltage_V": volts,
        "shift_from_26.7C_V": volts - bank.open_circuit_v(soc, chemistry(name), 26.7, i.get("nominal_V", 12.0)),
    }


def ocv_band(i):
    found = rested.soc_from_rested_voltage(
        volts=i["voltage_V"],
        chemistry=chemistry(i["chemistry"]),
        rested_h=i.get("rest_h", 24.0),
        temp_c=i.get("temperature_C", 25.0),
    )
    return {"soc_percent": 100.0 * found.soc}


def ocv_interval_width(i):
    found = rested.soc_from_rested_voltage(volts=i["voltage_V"], chemistry=chemistry(i.get("chemistry", "AGM")))
    return {
        "spread_points": abs(i["table_b_soc_percent"] - 100.0 * bank.soc_at_rest(i["voltage_V"], "agm")),
        "interval90_width_points": 100.0 * (found.high_soc - found.low_soc),
    }


def temperature_factor(i):
    factor = capacity.sizing_temperature_factor(i["temperature_C"])
    return {
        "factor": factor,
        "available_fraction": 1.0 / factor,
        "cubic": capacity.sizing_temperature_cubic(i["temperature_C"]),
    }


def self_discharge(i):
    rate = bank.self_discharge_per_month(i["rate20_percent_per_month"] / 100.0, i["temperature_C"])
    return {
        "rate_percent_per_month": 100.0 * rate,
        "remaining_fraction": bank.remaining_after_months(rate, i["months"]),
    }


def gauge_correction(i):
    loop = wiring.loop_ohm(
        mohm_per_m=wiring.copper_mohm_per_m(i["conductor_area_mm2"], i.get("temperature_C", 20.0)),
        wire_m=i["one_way_length_m"],
    )
    return {
        "loop_resistance_ohm": loop,
        "drop_V": i["shared_current_A"] * loop,
        "battery_V": wiring.battery_v_from_gauge(gauge_v=i["gauge_V"], shared_a=i["shared_current_A"], shared_ohm=loop),
    }


def load_sag(i):
    volts = bank.loaded_v(
        open_v=i["ocv_V"], current_a=i["current_A"], ohmic_ohm=i["R0_ohm"], polarisation_ohm=i["Rp_ohm"]
    )
    return {"terminal_V": volts}


def gaussian_update(i):
    joined = gaussians.join(
        prior_mean=i["prior_mean_percent"], prior_sd=i["prior_sd"], measured=i["measured_percent"],
        measured_sd=i["measured_sd"],
    )  # fmt: skip
    return {"mean_percent": joined.mean, "sd": joined.sd}


def coulomb_count_drift(i):
    counted = gaussians.coulomb_count(
        start_soc=i["start_soc"], start_sd=i["start_sd"], logged_ah=i["logged_Ah"], log_rel_sd=i["log_rel_sd"],
        capacity_ah=i["capacity_Ah"], capacity_sd_ah=i["capacity_sd_Ah"],
    )  # fmt: skip
    return {"soc": counted.mean, "sd": counted.sd}


def days_left_quantiles(i):
    days = sizing.days_left_quantiles(
        usable_ah=i["usable_Ah"], usable_sd_ah=i["usable_sd"], daily_ah=i["daily_Ah"], daily_sd_ah=i["daily_sd"]
    )
    return {"P10_days": days.p10, "P50_days": days.p50, "P90_days": days.p90}


def crps_gaussian(i):
    return {"crps": gaussians.crps_gaussian(mean=i["mean"], sd=i["sd"], observed=i["observed"])}


def autonomy_sizing(i):
    size = sizing.autonomy_capacity_ah(
        daily_ah=i["daily_Ah"], days=i["days"], max_depth=i["mdod"], end_of_life=i["eol"], max_daily_depth=i["mddod"],
        temperature_factor=i["temperature_factor"], margin=i["margin"],
    )  # fmt: skip
    return {"candidates_Ah": size.candidates_ah, "required_Ah": size.required_ah}


def absorption_temperature(i):
    volts = bank.set_point_v(
        set_25c_v=i["set25_V"], mv_per_c_cell=i["mV_per_C_per_cell"], cells=i.get("cells", 6),
        temp_c=i["temperature_C"],
    )  # fmt: skip
    return {"voltage_V": volts}


def staged_charge_efficiency(i):
    needed = bank.charge_needed_ah(
        capacity_ah=i["capacity_Ah"], from_soc=i["from"], to_soc=i["to"], stages=constants.ANTIMONY_TEST_STAGES
    )
    return {"charge_in_Ah": needed}


def usable_charge(i):
    usable = sizing.usable_charge_ah(
        rated_ah=i["rated_ah"],
        in_parallel=i.get("in_parallel", 1),
        floor_soc=i.get("floor_soc", 0.5),
        soc=i.get("soc", 1.0),
    )
    return {"usable_ah": usable}
