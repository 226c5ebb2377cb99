"""Tables of wire: copper areas, resistances, allowed currents and fuse ratings, each with its source.

Knows rows only; wiring.py and fuses.py do the sums. Boat tables serve as the best open ones for small
low-voltage systems and bind no trailer: local codes and licensed practice come first.
"""

# thin to thick, the sizes that every table below has
AWG_SIZES = ("18", "16", "14", "12", "10", "8", "6", "4", "2", "1/0", "2/0", "4/0")

# circular mils of marine wire sold by SAE gauge names: less copper than AWG; wire catalogue, AWG against SAE areas
SAE_CIRCULAR_MILS = {
    "18": 1537, "16": 2336, "14": 3702, "12": 5833, "10": 9343, "8": 14810, "6": 24538, "4": 37360, "2": 62450,
    "1/0": 98980, "2/0": 125100, "4/0": 205500,
}  # fmt: skip

# ohm per 1000 ft at 75 C, stranded uncoated copper: NEC (NFPA 70) chapter 9 table 8
TABLE8_OHM_PER_KFT_75C = {
    "18": 7.95, "16": 4.99, "14": 3.14, "12": 1.98, "10": 1.24, "8": 0.778, "6": 0.491, "4": 0.308, "2": 0.194,
    "1/0": 0.122, "2/0": 0.0967, "4/0": 0.0608,
}  # fmt: skip

# (mm2, mohm/m plain, mohm/m tinned): highest a flexible cable may have at 20 C, IEC 60228 class 5
CLASS5_MAX_MOHM_PER_M = (
    (0.5, 39.0, 40.1), (0.75, 26.0, 26.7), (1.0, 19.5, 20.0), (1.5, 13.3, 13.7), (2.5, 7.98, 8.21), (4.0, 4.95, 5.09),
    (6.0, 3.30, 3.39), (10.0, 1.91, 1.95), (16.0, 1.21, 1.24), (25.0, 0.780, 0.795), (35.0, 0.554, 0.565),
    (50.0, 0.386, 0.393), (70.0, 0.272, 0.277), (95.0, 0.206, 0.210),
)  # fmt: skip

# A at 30 C by insulation temperature, open runs outside engine spaces: 33 CFR 183.425 table 5
INSULATION_C = (60, 75, 80, 90, 105, 125)
CFR_AMPACITY_A = {
    "18": (10, 10, 15, 20, 20, 25), "16": (15, 15, 20, 25, 25, 30), "14": (20, 20, 25, 30, 35, 40),
    "12": (25, 25, 35, 40, 45, 50), "10": (40, 40, 50, 55, 60, 70), "8": (55, 65, 70, 70, 80, 90),
    "6": (80, 95, 100, 100, 120, 125), "4": (105, 125, 130, 135, 160, 170), "2": (140, 170, 175, 180, 210, 225),
    "1/0": (195, 230, 245, 245, 285, 305), "2/0": (225, 265, 285, 285, 330, 355), "4/0": (300, 360, 385, 385, 445, 475),
}  # fmt: skip
TABLE_AMBIENT_C = 30  # C, air around the wires in all these tables

# share that remains in a 50 C space: boat-wire practice; 105 C read second-hand, the others from memory
AMBIENT_50C_FACTOR = {60: 0.58, 75: 0.75, 105: 0.85}

# (up to so many loaded conductors in a bundle, share that remains): ratios of the printed UL 1426 bundle table
BUNDLE_FACTORS = ((2, 1.0), (3, 0.70), (6, 0.60), (24, 0.50))

# (insulation C, method) -> rows of (mm2, A at 30 C, A at 50 C or None)
# 70: IEC 60364-5-52 PVC, three loaded (C clipped, B2 multicore in conduit); 90: BS 7671 table 4E1A, two d.c. cables
# (C clipped, B in conduit); 60: BS 7671 table 4F1A, two-core flexible in free air. All second-hand transcriptions.
METRIC_AMPACITY_A = {
    (70, "C"): (
        (1.5, 17, 12), (2.5, 24, 17), (4.0, 32, 23), (6.0, 41, 29), (10.0, 57, 40), (16.0, 76, 54), (25.0, 96, 68),
        (35.0, 119, 84),
    ),
    (70, "B2"): (
        (1.5, 15, 11), (2.5, 20, 14), (4.0, 27, 19), (6.0, 34, 24), (10.0, 46, 33), (16.0, 62, 44), (25.0, 80, 57),
        (35.0, 99, 70),
    ),
    (90, "C"): (
        (1.0, 19, None), (1.5, 25, None), (2.5, 34, None), (4.0, 46, None), (6.0, 59, None), (10.0, 81, None),
        (16.0, 109, None), (25.0, 143, None), (35.0, 176, None),
    ),
    (90, "B"): (
        (1.0, 17, None), (1.5, 23, None), (2.5, 31, None), (4.0, 42, None), (6.0, 54, None), (10.0, 75, None),
        (16.0, 100, None), (25.0, 133, None), (35.0, 164, None),
    ),
    (60, "air"): ((4.0, 30, None), (6.0, 39, None), (10.0, 51, None), (16.0, 73, None), (25.0, 97, None)),
}  # fmt: skip

BLADE_RATINGS_A = (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40)  # A, blade fuses, ISO 8820-3, from memory
BOLT_DOWN_RATINGS_A = (100, 125, 150, 175, 200)  # A, bolt-down strip fuses, common practice, no source
SMALL_CONDUCTOR_MAX_A = {"14": 15, "12": 20, "10": 30}  # A, largest overcurrent device, NEC 240.4(D), copper
RV_CONDUCTOR_MAX_A = {"18": 6, "16": 8, "14": 15, "12": 20, "10": 30}  # A, NEC 551.10(E)/552.10(E), from memory
CFR_FUSE_SHARE_12V = 1.5  # of table 5, legal ceiling for boats, 33 CFR 183.455; not a target
CONTINUOUS_LOAD_FACTOR = 1.25  # fuse over continuous current (3 h or more), NEC 210.19/210.20
# m from the battery along the lead (7 in, 40 in), 33 CFR 183.455(b)
FUSE_DISTANCE_M = {"bare": 0.1778, "enclosed": 1.016}
FUSE_DISTANCE_RV_M = 0.4572  # m (18 in), NEC RV articles, from memory
BLADE_INTERRUPT_A = 1000  # A at 32 V, blade fuses, second-hand; class T 20 kA at 125 V DC, second-hand
