"""The table from the kind of a published case to what is under test.

KINDS: inputs to answers, compared key by key. COVERS: prior ensembles, judged over all their cases.
SHAPES: another model or measured years, of which only the shape is asked.
"""

from published import bank_adapters as banks
from published import shapes
from published import sun_adapters as suns
from published import wiring_adapters as wires

KINDS = {
    # the bank
    "peukert_runtime": banks.peukert_runtime,
    "peukert_runtime_list": banks.peukert_runtime_list,
    "peukert_exponent": banks.peukert_exponent,
    "kibam_step": banks.kibam_step,
    "kibam_recovery": banks.kibam_recovery,
    "kibam_fraction": banks.kibam_fraction,
    "kibam_intermittent": banks.kibam_intermittent,
    "kibam_ratios": banks.kibam_ratios,
    "ocv_from_acid": banks.ocv_from_acid,
    "ocv_from_specific_gravity": banks.ocv_from_specific_gravity,
    "open_circuit_voltage": banks.open_circuit_voltage,
    "ocv_band": banks.ocv_band,
    "ocv_interval_width": banks.ocv_interval_width,
    "temperature_factor": banks.temperature_factor,
    "self_discharge": banks.self_discharge,
    "load_sag": banks.load_sag,
    "absorption_temperature": banks.absorption_temperature,
    "staged_charge_efficiency": banks.staged_charge_efficiency,
    "gaussian_update": banks.gaussian_update,
    "coulomb_count_drift": banks.coulomb_count_drift,
    "days_left_quantiles": banks.days_left_quantiles,
    "crps_gaussian": banks.crps_gaussian,
    "autonomy_sizing": banks.autonomy_sizing,
    "usable_charge": banks.usable_charge,
    # wire
    "gauge_correction": banks.gauge_correction,
    "awg_conductor": wires.awg_conductor,
    "awg_table8_resistance": wires.awg_table8_resistance,
    "metric_conductor_resistance": wires.metric_conductor_resistance,
    "resistance_at_temperature_nec": wires.resistance_at_temperature_nec,
    "resistance_temperature_factor_iec": wires.resistance_temperature_factor_iec,
    "resistance_at_temperature_iec": wires.resistance_at_temperature_iec,
    "resistance_at_temperature_alpha20": wires.resistance_at_temperature_alpha20,
    "run_length_at_temperature": wires.run_length_at_temperature,
    "voltage_drop": wires.voltage_drop,
    "voltage_drop_per_foot": wires.voltage_drop_per_foot,
    "wire_size_for_drop": wires.wire_size_for_drop,
    "gauge_error": wires.gauge_error,
    "appliance_cutout": wires.appliance_cutout,
    "unit_conversion": wires.unit_conversion,
    # fuses
    "ampacity": wires.ampacity,
    "ampacity_bundled": wires.ampacity_bundled,
    "ampacity_metric": wires.ampacity_metric,
    "fuse_for_circuit": wires.fuse_for_circuit,
    "fuse_ceiling": wires.fuse_ceiling,
    "fuse_small_conductor": wires.fuse_small_conductor,
    "fuse_for_inverter": wires.fuse_for_inverter,
    "fuse_distance": wires.fuse_distance,
    "short_circuit": wires.short_circuit,
    # appliances
    "charge_to_energy": wires.charge_to_energy,
    "charge_used": wires.charge_used,
    "strip_load": wires.strip_load,
    "inverter_dc_current": wires.inverter_dc_current,
    "inverter_fixed_plus_proportional": wires.inverter_fixed_plus_proportional,
    # condition
    "connection_heat": wires.connection_heat,
    "connection_trend": wires.connection_trend,
    "connection_drop_test": wires.connection_drop_test,
    "standing_draw": wires.standing_draw,
    "capacity_test": wires.capacity_test,
    "paired_resistance": wires.paired_resistance,
    "capacity_regression": wires.capacity_regression,
    "overnight_draw": wires.overnight_draw,
    "parallel_split": wires.parallel_split,
    "parallel_circulating": wires.parallel_circulating,
    "hydrogen_vent": wires.hydrogen_vent,
    # practice
    "reading_meaning": wires.reading_meaning,
    "live_circuits": wires.live_circuits,
    "drains_bank_at_night": wires.drains_bank_at_night,
    # sun and sky
    "sun_position": suns.sun_position,
    "sunrise_sunset": suns.sunrise_sunset,
    "clear_day": suns.clear_day,
    "tilted_clear_day": suns.tilted_clear_day,
    "incidence": suns.incidence,
    "declination": suns.declination,
    "incidence_geometry": suns.incidence_geometry,
    "sun_geometry": suns.sun_geometry,
    "sunset_hour_angle": suns.sunset_hour_angle,
    "extraterrestrial_daily": suns.extraterrestrial_daily,
    "extraterrestrial_hourly": suns.extraterrestrial_hourly,
    "solar_time": suns.solar_time,
    "equation_of_time": suns.equation_of_time,
    "cloud_cover_ratio": suns.cloud_cover_ratio,
    "clearness_quantiles": suns.clearness_quantiles,
}

COVERS = {"measured_daily_yield": suns.prior_daily_yield}

SHAPES = {
    "pybamm_capacity_ratio": shapes.capacity_ratio,
    "pybamm_apparent_exponent": shapes.apparent_exponent,
    "pybamm_cutoff_cost": shapes.cutoff_cost,
    "pybamm_recovered": shapes.recovered,
    "pybamm_relaxation": shapes.relaxation,
    "pybamm_relaxed_path_independent": shapes.relaxed_path_independent,
    "pybamm_ocv_shape": shapes.ocv_shape,
    "pybamm_ocv_slope": shapes.ocv_slope,
    "measured_clearness_persistence": shapes.clearness_persistence,
}
