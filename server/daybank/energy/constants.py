"""Physical and trade constants: value, unit and source on the line.

Knows numbers only; the formulas that use them stand in the module of their subject.
Tables of conductors and of allowed currents are long and live in wire_tables.py.

Marks: "from memory" = the figure was not re-read in its source; "common practice, no source"
= the trade does it so; "our assumption, no source" = a working figure that a log should replace.
"""

# --- Copper -----------------------------------------------------------------------------------

COPPER_OHM_MM2_PER_M = 0.0172414  # ohm mm2/m at 20 C, standard annealed copper, IEC 60028
COPPER_ALPHA_20_PER_C = 0.00393  # 1/C, rise of resistance on its 20 C value, IEC 60028
COPPER_ALPHA_75_PER_C = 0.00323  # 1/C on its 75 C value, NEC chapter 9 table 8 note 2, from memory
COPPER_ZERO_C = 234.5  # C, copper's inferred zero-resistance temperature is -234.5 C, FAA AC 43.13-1B par. 11-66
M_PER_IN = 0.0254  # m/in, exact, international inch (1959)
M_PER_FT = 0.3048  # m/ft, exact, international foot (1959)
N_PER_LBF = 0.45359237 * 9.80665  # N/lbf, exact: international pound (1959), standard gravity (3rd CGPM, 1901)
ABYC_CIRCULAR_MIL_OHM_PER_FT = 10.75  # ohm circ.mil/ft, K of ABYC E-11 11.14.2.6 (second-hand)

# --- Banks: what a chemistry is ---------------------------------------------------------------

CHEMISTRIES = ("flooded", "agm", "gel", "lifepo4")
NOMINAL_12_V = 12.0  # V, all per-bank voltages below are for six lead-acid cells or four LiFePO4 cells
LEAD_ACID_CELLS_12_V = 6  # cells in a 12 V lead-acid battery
REFERENCE_C = 25.0  # C, temperature of the voltage curves and ratings, IEEE Std 485 basis
RATED_H = 20.0  # h, the hour rate of camping batteries' labels, common practice, no source

# Rested volts of a 12 V bank by state of charge, ascending, at CURVE_C.
# V, public 12 V lead-acid set lead_acid_12v/ds.csv (repository age-series/ElectricalAge2), 26.7 C row
FLOODED_CURVE = (
    (0.0, 11.89), (0.25, 12.06), (0.5, 12.24), (0.75, 12.45), (1.0, 12.65),
)  # fmt: skip
GEL_CURVE = (  # V, same set, gel columns; its 50 % point is irregular against its neighbours
    (0.0, 11.80), (0.25, 12.00), (0.5, 12.40), (0.75, 12.60), (1.0, 12.80),
)  # fmt: skip
AGM_CURVE = (  # V, band centres, off-road vehicle owner's manual 0000836273; 0, 10 and 90 % our assumption, no source
    (0.0, 11.70), (0.1, 11.82), (0.25, 12.00), (0.5, 12.30), (0.75, 12.60), (0.9, 12.75), (1.0, 12.85),
)  # fmt: skip
LIFEPO4_CURVE = (  # V, typical measured plateau of four cells, from memory, about 0.05 V either way; 0 % is 10-12 V
    (0.0, 11.0), (0.1, 12.80), (0.25, 13.00), (0.5, 13.20), (0.75, 13.30), (0.9, 13.34), (1.0, 13.50),
)  # fmt: skip
CURVES = {"flooded": FLOODED_CURVE, "gel": GEL_CURVE, "agm": AGM_CURVE, "lifepo4": LIFEPO4_CURVE}
CURVE_C = {"flooded": 26.7, "gel": 26.7, "agm": 25.0, "lifepo4": 25.0}  # C, temperature of each curve, same sources

# Published charts disagree by 18-24 points at one voltage; sd of the curve itself, in state of charge.
CURVE_SD_SOC = {"flooded": 0.06, "agm": 0.07, "gel": 0.08, "lifepo4": 0.20}  # our reading of that spread, no source
LIFEPO4_CURVE_SD_V = 0.05  # V, hysteresis and plateau spread of four cells, from memory

# Lead-acid rest voltage rises with temperature (charging set-points fall with it: another thing).
# V/C per 12 V, 0.2-0.5 mV/C and cell; same public set: 12.650 V at 26.7 C, 12.606 V at 4.4 C
OCV_TEMP_V_PER_C_AT_25 = 0.0013
OCV_TEMP_V_PER_C_AT_0 = 0.0030  # V/C per 12 V near freezing, same set

# Lead-acid acid and electrode potentials
# V, powers of log10(molality), Bode (1977) after Sulzer et al. 2019
BODE_LEAD_DIOXIDE_V = (1.628, 0.074, 0.033, 0.043, 0.022)
BODE_LEAD_V = (-0.294, -0.074, -0.030, -0.031, -0.012)  # V, same
# m3/mol, partial molar volume of water, Sulzer et al., J. Electrochem. Soc. 166 (2019)
WATER_PARTIAL_M3_PER_MOL = 17.5e-6
ACID_PARTIAL_M3_PER_MOL = 45.0e-6  # m3/mol, partial molar volume of the acid, same
WATER_KG_PER_MOL = 0.01801  # kg/mol, molar mass of water as used there
SPECIFIC_GRAVITY_OFFSET_V = 0.845  # V, cell volts = specific gravity + this; handbook approximation, from memory

# --- Reading a bank after charge, after discharge, under load ----------------------------------

REST_AFTER_ABSORPTION_V = 0.50  # V per 12 V above rest when absorption charging stops, our assumption, no source
REST_AFTER_FLOAT_V = 0.25  # V per 12 V, when a float charge stops, our assumption, no source
REST_AFTER_CHARGE_TAU_H = 3.0  # h, its decay; manuals ask 8 h of rest, better 24 h; our assumption, no source
REST_AFTER_DISCHARGE_V = 0.03  # V per 12 V below rest when a load stops, our assumption, no source
# ohm per 100 Ah at 12 V, the part that grows with the last current, our assumption, no source
REST_AFTER_DISCHARGE_OHM_100AH = 0.012
REST_AFTER_DISCHARGE_TAU_H = 0.7  # h, its decay, our assumption, no source
REST_LIFEPO4_CHARGE_V = 0.15  # V per 12 V, lithium settles less and sooner, our assumption, no source
REST_LIFEPO4_TAU_H = 1.0  # h, our assumption, no source
REST_SD_SHARE = 0.6  # of the bias, its sd; our assumption, no source
REST_SD_FLOOR_V = 0.01  # V, our assumption, no source

# (ohmic ohm, polarisation ohm, polarisation hours) of a 100 Ah 12 V battery
RESISTANCE_100AH = {
    "agm": (0.005, 0.008, 10.0 / 60.0),  # 3-6 and 6-10 mohm, from memory / our assumption, no source
    "flooded": (0.0075, 0.0125, 15.0 / 60.0),  # 5-10 and 10-15 mohm, our assumption, no source
    "gel": (0.007, 0.010, 15.0 / 60.0),  # 5-9 and 10 mohm, our assumption, no source
    "lifepo4": (0.010, 0.005, 5.0 / 60.0),  # 5-15 mohm with protection circuit, our assumption, no source
}
RESISTANCE_RISE_PER_C = 0.015  # 1/C below 25 C, +1 to +1.5 % per C, about x1.4 at 0 C, from memory
RESISTANCE_LOW_SOC_FACTOR = 1.75  # at and below 20 %, x1.5-2, from memory
RESISTANCE_LOW_SOC = (0.2, 0.5)  # rises from 1 at the second to that factor at the first, from memory

# --- Capacity ----------------------------------------------------------------------------------

# Two-well kinetic constants (c, k per hour); k stands in the exponent exp(-k t), not the valve constant k c (1-c).
KINETIC = {
    "agm": (0.462, 0.877),  # fit to 93/85/60 % of the 20 h capacity at 10/5/1 h, from memory; our fit
    "flooded": (0.37, 0.5874),  # battery object of the EnergyPlus example input files
    "gel": (0.42, 0.73),  # between the two, our assumption, no source
    "lifepo4": (1.0, 1.0),  # one well: rate hardly matters, count amp-hours
}
# inside open published ranges 1.05-1.15, 1.1-1.25, 1.2-1.6, about 1.05
PEUKERT = {"agm": 1.12, "gel": 1.15, "flooded": 1.25, "lifepo4": 1.02}
# never credit more than this x the rated capacity at low current, our assumption, no source
PEUKERT_CREDIT_MAX = 1.10

IEEE485_FACTORS = (  # (C, cell-size factor), IEEE Std 485 table 1, 25 C basis, from memory
    (-3.9, 1.52), (1.7, 1.35), (4.4, 1.30), (10.0, 1.19), (15.6, 1.11), (20.0, 1.056),
    (25.0, 1.00), (32.2, 0.94), (37.8, 0.91), (43.3, 0.88),
)  # fmt: skip
# powers of C/100, technical note "Battery Sizing Temperature Correction Factor" (2010)
SIZING_CUBIC = (1.405, -2.4941, 4.1916, -2.8117)
# 1/C below 25 C at camp rates (0.85 at 0 C); sealed sheets are milder than IEEE 485; our assumption, no source
CAMP_CAPACITY_PER_C = 0.006
CAMP_CAPACITY_MAX = 1.03  # above 25 C, sealed sheets 1.02-1.03 at 40 C, from memory

SELF_DISCHARGE_PER_MONTH_20C = {  # share a month at 20 C, doubling per 10 C
    "agm": 0.03, "gel": 0.02, "flooded": 0.06,  # application handbook sec. 2.5.10: calcium, gel, antimony 1.6 %
    "lifepo4": 0.02,  # 1-3 %, from memory; the protection circuit's own draw comes on top
}  # fmt: skip
H_PER_MONTH = 730.5  # h, a twelfth of 365.25 days

# --- Charging ----------------------------------------------------------------------------------

# A per Ah, makers' sheets vary, from memory
CHARGE_LIMIT_PER_H = {"agm": 0.25, "gel": 0.20, "flooded": 0.15, "lifepo4": 0.50}
# A per Ah of missing charge, our assumption, no source
ACCEPTANCE_PER_H = {"agm": 0.7, "gel": 0.6, "flooded": 0.6, "lifepo4": 5.0}
LITHIUM_CHARGE_MIN_C = 0.0  # C, no charging below freezing: cell data sheets, charge 0-60 C
# V at 25 C: 14.4-14.7, 14.1-14.2, 14.4-14.8, 14.2-14.6, from memory
ABSORPTION_V = {"agm": 14.4, "gel": 14.15, "flooded": 14.6, "lifepo4": 14.4}
# V at 25 C: 13.5-13.8, 13.5-13.8, 13.2-13.5, 13.4-13.6, from memory
FLOAT_V = {"agm": 13.6, "gel": 13.6, "flooded": 13.4, "lifepo4": 13.5}
SET_POINT_MV_PER_C_CELL = -4.0  # mV/C and cell, lead-acid, -3 to -5, common practice, from memory; none for lithium
# (upper state of charge, coulombic efficiency up to it)
CHARGE_STAGES = {
    "agm": ((0.80, 0.985), (0.90, 0.97), (1.0, 0.92)),  # our assumption, no source, sd 0.05 near full
    "gel": ((0.80, 0.985), (0.90, 0.97), (1.0, 0.92)),  # as agm, our assumption, no source
    # between the antimony test below and agm, our assumption, sd 0.15
    "flooded": ((0.80, 0.96), (0.90, 0.90), (1.0, 0.80)),
    "lifepo4": ((0.90, 0.995), (1.0, 0.99)),  # our assumption, no source
}
# simplified from Stevens & Corey, IEEE PVSC 1996, from memory
ANTIMONY_TEST_STAGES = ((0.84, 0.91), (0.90, 0.55), (1.0, 0.45))

# --- What a voltage can be ---------------------------------------------------------------------

# V per 12 V; agm: owner's manual 0000836273 gives 12.8-13.2 full; others our assumption
RESTED_CEILING_V = {"flooded": 12.95, "agm": 13.2, "gel": 13.1, "lifepo4": 13.65}
# V per 12 V, at and above: absorption or the end of bulk (14.1-14.8), common practice, no source
ABSORPTION_FROM_V = 14.1
FLOAT_FROM_V = 13.4  # V per 12 V, at and above: float or early bulk (13.4-13.8), common practice, no source
USABLE_FLOOR_SOC = 0.5  # planning floor of lead-acid, common practice, no source

# --- Meters ------------------------------------------------------------------------------------

PANEL_METER_SD_V = 0.05  # V, cheap panel gauge, our assumption, no source
HAND_METER_SD_V = 0.02  # V, handheld meter, our assumption, no source
