"""The planning and reference antennas, worked from their formulas.

Each function returns the text of one file in the program's own format (core/antenna/antenna.h).
Gains are those of the planning factors in ISED BPR-10 appendix 8 (the same in OET-69): 4, 6 and
10 dBd for low VHF, high VHF and UHF; a half-wave dipole has 2.15 dBi.
"""

import math

DIPOLE_DBI = 2.15
PLANNING_DBD = {"low-vhf": 4.0, "high-vhf": 6.0, "uhf": 10.0}
FLOOR_DB = -40.0


def number(value, decimals=4):
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def numbers(values):
    return " ".join(number(value) for value in values)


def half_circle_file(antenna_id, name, source, feed_ohm, azimuths, rows):
    lines = ["downlead-antenna 1", f"id {antenna_id}", f"name {name}", f"source {source}"]
    if feed_ohm:
        lines += [f"feed-ohm {feed_ohm}"]
    lines += ["symmetry left-right", "azimuth-deg " + numbers(azimuths)]
    for mhz, gains in rows:
        lines += ["", f"mhz {mhz}", "gain-dbi " + numbers(gains)]
    return "\n".join(lines) + "\n"


def dipole():
    """Kraus, Antennas, ch. 5: E(theta) = cos(pi/2 cos theta) / sin theta, theta from the wire."""
    def relative_db(azimuth):
        along = math.sin(math.radians(azimuth))
        across = math.cos(math.radians(azimuth))
        field = abs(math.cos(math.pi / 2 * along) / across) if abs(across) > 1e-9 else 0.0
        return max(20 * math.log10(max(field, 1e-9)), FLOOR_DB)

    azimuths = range(0, 181)
    gains = [DIPOLE_DBI + relative_db(azimuth) for azimuth in azimuths]
    return half_circle_file(
        "dipole", "Half-wave dipole, cut for each channel",
        "cos(90° cos θ) / sin θ, 2.15 dBi; nulls kept at −40 dB", None, azimuths,
        [(30, gains), (1000, gains)])


def bt419():
    """ITU-R BT.419-3 figure 1: level, then a straight line, then level again."""
    shapes = [  # MHz, from degrees, to degrees, dB
        ((30, 110), 50, 70, -6.0, "low-vhf"),
        ((110.001, 300), 27, 60, -12.0, "high-vhf"),
        ((300.001, 1000), 20, 60, -16.0, "uhf")]
    azimuths = sorted({0, 180} | {edge for shape in shapes for edge in shape[1:3]})
    rows = []
    for mhz, start, end, deepest, band in shapes:
        top = DIPOLE_DBI + PLANNING_DBD[band]
        gains = [top + deepest * min(max((a - start) / (end - start), 0), 1) for a in azimuths]
        rows += [(f, gains) for f in mhz]
    return half_circle_file(
        "bt419", "Planning antenna of ITU-R BT.419",
        "discrimination of ITU-R BT.419-3 (Bands I and III from memory), "
        "gains 4, 6, 10 dBd of ISED BPR-10 app. 8", None, azimuths, rows)


def oet69():
    """OET-69 table of receive antennas: cos^4 in volts down to the front-to-back ratio."""
    shapes = [((30, 110), 10.0, "low-vhf"), ((110.001, 300), 12.0, "high-vhf"),
              ((300.001, 1000), 14.0, "uhf")]
    azimuths = list(range(0, 51)) + [180]
    rows = []
    for mhz, front_to_back, band in shapes:
        top = DIPOLE_DBI + PLANNING_DBD[band]
        gains = [top + (max(80 * math.log10(math.cos(math.radians(a))), -front_to_back)
                        if a < 90 else -front_to_back) for a in azimuths]
        rows += [(f, gains) for f in mhz]
    return half_circle_file(
        "oet69", "Planning antenna of OET-69",
        "cos⁴ in volts down to front-to-back 10, 12, 14 dB, OET-69 (from memory), "
        "gains 4, 6, 10 dBd of ISED BPR-10 app. 8", None, azimuths, rows)


FILES = {"dipole.antenna": dipole, "bt419.antenna": bt419, "oet69.antenna": oet69}
