"""Recomputes the committed reference tables with libraries that are no part of this project.

    tests/.venv/bin/python tests/references/recompute.py --check

The tables are the `const` arrays of the .rs files beside this one, which the tests of the crate read. Reflections and
losses are recomputed by simulating the line as a two-port (scikit-rf), dipoles by the method of moments (NEC2), the
rest in plain numpy from the published formula. A row that differs by more than its rounding is named, and the exit
code is 1. Tables that are transcribed from print (cable catalogues) have nothing to be recomputed from and are listed
as such, so that no table is passed over unseen.
"""

import ast
import re
import sys
from functools import lru_cache
from pathlib import Path

import numpy as np
import skrf
from geographiclib.geodesic import Geodesic
from PyNEC import nec_context
from scipy import constants, optimize

HERE = Path(__file__).resolve().parent
Z0 = 50.0

# Transcribed from print: file and table.
TRANSCRIBED = {("line", "CATALOGUE")}

# Computed once with the libraries named above each table, or printed beside it; not recomputed here.
COMPUTED_ELSEWHERE = {
    ("fall_of_potential", "TAGG"),
    ("ground_plane", "DROOP"),
    ("grounding", "ROD"),
    ("stacking", "STACKS"),
    ("trend", "SERIES"),
    ("uncertainty", "MISMATCH"),
}


def tables() -> dict:
    """Every table of numbers: (file, name) -> rows."""
    found = {}
    for file in sorted(HERE.glob("*.rs")):
        text = file.read_text()
        for name, body in re.findall(r"(?ms)^const (\w+): &\[.*?\] = &?(\[\n.*?^\]);", text):
            body = re.sub(r"(?<=\d)_(?=\d)", "", re.sub(r"//[^\n]*", "", body)).replace("&[", "[")
            body = body.replace("f64::INFINITY", "1e999")
            found[file.stem, name] = ast.literal_eval(body)
    return found


# --- reflections and lines, as networks ---------------------------------------------------------------


def magnitude(swr):
    return (swr - 1) / (swr + 1) if np.isfinite(swr) else 1.0


def swr_of(gamma):
    return (1 + gamma) / (1 - gamma)


FREQUENCY = skrf.Frequency(98, 98, 1, unit="MHz")


@lru_cache(maxsize=None)
def line_of(loss_db: float):
    """A matched lossy line of 50 ohm, many wavelengths long, as a two-port."""
    length = 20.0
    alpha = loss_db * np.log(10) / 20 / length
    beta = 2 * np.pi * 98e6 / constants.c / 0.88
    media = skrf.media.DefinedGammaZ0(FREQUENCY, gamma=alpha + 1j * beta, z0=Z0)
    return media.line(length, "m")


def load_of(gamma: float):
    return skrf.Network(frequency=FREQUENCY, s=np.array([[[complex(gamma)]]]), z0=Z0)


def at_input(gamma: float, loss_db: float) -> float:
    """|reflection| at the near end of a line that ends in `gamma`, by cascading the networks."""
    return float(abs((line_of(loss_db) ** load_of(gamma)).s[0, 0, 0]))


def at_load(gamma: float, loss_db: float) -> float:
    """|reflection| at the far end, by taking the line off the measured network."""
    return float(abs((line_of(loss_db).inv ** load_of(gamma)).s[0, 0, 0]))


def whole_loss_db(matched_db: float, gamma: float) -> float:
    """Power into the line over power into its load."""
    line = line_of(matched_db)
    s = line.s[0]
    into_line = 1 - abs(at_input(gamma, matched_db)) ** 2
    wave = s[1, 0] / (1 - s[1, 1] * gamma)
    into_load = abs(wave) ** 2 * (1 - gamma**2)
    return float(10 * np.log10(into_line / into_load))


def peak_volts(watts: float, swr: float) -> float:
    """Forward power: the greatest of the standing wave, sampled along half a wavelength."""
    along = np.linspace(0, np.pi, 20001)
    forward = np.sqrt(2 * watts * Z0)
    return float(np.max(np.abs(forward * (np.exp(1j * along) + magnitude(swr) * np.exp(-1j * along)))))


# --- dipoles, by the method of moments ----------------------------------------------------------------


@lru_cache(maxsize=None)
def impedance(length_mm: float, diameter_mm: float, mhz: float) -> complex:
    """A straight rod in free space fed in its middle: NEC2, extended kernel, 21 segments."""
    context = nec_context()
    half = length_mm / 2000
    context.get_geometry().wire(1, 21, 0, 0, -half, 0, 0, half, diameter_mm / 2000, 1.0, 1.0)
    context.geometry_complete(0)
    context.set_extended_thin_wire_kernel(True)
    context.ex_card(0, 1, 11, 0, 1.0, 0, 0, 0, 0, 0)
    context.fr_card(0, 1, mhz, 0)
    context.xq_card(0)
    return complex(np.ravel(context.get_input_parameters(0).get_impedance())[0])


@lru_cache(maxsize=None)
def resonant_mm(diameter_mm: float, mhz: float) -> float:
    half_wave = constants.c / mhz / 2e3
    return optimize.brentq(lambda mm: impedance(mm, diameter_mm, mhz).imag, 0.85 * half_wave, half_wave, xtol=1e-3)


def bandwidth_mhz(diameter_mm: float, swr: float) -> float:
    """Between the frequencies at which a rod resonant at 98 MHz reaches an SWR on its own resistance."""
    length = resonant_mm(diameter_mm, 98.0)
    own = impedance(length, diameter_mm, 98.0).real

    def excess(mhz: float) -> float:
        z = impedance(length, diameter_mm, mhz)
        return swr_of(abs((z - own) / (z + own))) - swr

    return optimize.brentq(excess, 98.0, 115.0, xtol=1e-4) - optimize.brentq(excess, 80.0, 98.0, xtol=1e-4)


# --- the tables ---------------------------------------------------------------------------------------


def meter_corners(forward, forward_scale, reflected, reflected_scale):
    """Least and greatest SWR over a grid of errors within 5 % of full scale on both readings."""
    errors = np.linspace(-0.05, 0.05, 101)
    pf = float(forward) + errors[:, None] * forward_scale
    pr = np.maximum(float(reflected) + errors[None, :] * reflected_scale, 0.0)
    swr = swr_of(np.sqrt(pr / pf))
    return float(swr.min()), float(swr.max())


def directivity_corners(directivity_db, indicated):
    """Least and greatest SWR over all phases in which the leakage may stand to the reflection."""
    phases = np.exp(1j * np.linspace(0, 2 * np.pi, 3601))
    leak, shown = 10 ** (-directivity_db / 20), magnitude(indicated)
    # What was shown is |true + leak|; all true values with that sum lie on a circle.
    true = np.abs(shown * phases - leak)
    low = 0.0 if leak >= shown else float(true.min())
    return swr_of(low), swr_of(float(true.max()))


def public_distance(erp, limit, field_factor):
    """Where the power density of OET Bulletin 65 falls to the limit; EIRP is that of an exact half-wave dipole."""
    return float(np.sqrt(field_factor * erp * dipole_gain() / (4 * np.pi * limit)))


@lru_cache(maxsize=None)
def dipole_gain() -> float:
    """Directivity of a thin half-wave dipole by integrating its pattern."""
    theta = np.linspace(1e-9, np.pi - 1e-9, 200001)
    pattern = (np.cos(np.pi / 2 * np.cos(theta)) / np.sin(theta)) ** 2
    return float(2 / np.trapezoid(pattern * np.sin(theta), theta))


def standing_wave(swr: float) -> np.ndarray:
    """Voltage along half a wavelength, relative to the forward wave's, step by step."""
    turns = np.linspace(0, 2 * np.pi, 200_001)[:-1]
    return 1 + magnitude(swr) * np.exp(1j * turns)


def rows_of(key: tuple, rows: list):
    """(what, committed, recomputed, tolerance) of every figure of a table; None for a table nobody knows."""
    match key:
        case "reflection", "SWR_TABLE":
            for swr, mag, rl, ml, share in rows:
                network = load_of(magnitude(swr))
                s = float(abs(network.s[0, 0, 0]))
                yield f"|reflection| of {swr}", mag, s, 1e-6
                yield f"return loss of {swr}", rl, -float(network.s_db[0, 0, 0]), 6e-4
                yield f"mismatch loss of {swr}", ml, float(-10 * np.log10(1 - s**2)), 6e-5
                yield f"share of {swr}", share, 100 * s**2, 6e-5
        case "reflection", "RETURN_LOSS_TABLE":
            for rl, swr in rows:
                yield f"SWR of {rl} dB", swr, float(load_of(10 ** (-rl / 20)).s_vswr[0, 0, 0]), 6e-6
        case "reflection", "POWERS_TABLE":
            for pf, pr, swr in rows:
                yield f"{pr} of {pf} W", swr, float(load_of(np.sqrt(pr / pf)).s_vswr[0, 0, 0]), 6e-6
        case "rating", "PEAKS":
            for powers, swr, volts in rows:
                peak = sum(np.abs(standing_wave(swr)).max() * np.sqrt(2 * pf * 50) for pf in powers)
                yield f"peaks of {powers} W at {swr}", volts, float(peak), 0.011
        case "rating", "DERATING":
            for swr, hard, mild in rows:
                # The wave of one net watt, along half a wavelength: its hottest place, and its mean.
                heat = np.abs(standing_wave(swr)) ** 2 / (1 - magnitude(swr) ** 2)
                yield f"hottest place at {swr}", hard, float(1 / heat.max()), 1e-6
                yield f"mean along the line at {swr}", mild, float(1 / heat.mean()), 1e-6
        case "line", "UP":
            for swr, db, mag, there in rows:
                s = at_load(magnitude(swr), db)
                yield f"|reflection| behind {db} dB, read {swr}", mag, s, 6e-6
                yield f"SWR behind {db} dB, read {swr}", there, swr_of(s), 6e-5 * there
        case "line", "DOWN":
            for there, db, mag, swr, rl in rows:
                s = at_input(magnitude(there), db)
                yield f"|reflection| before {db} dB of {there}", mag, s, 6e-6
                yield f"SWR before {db} dB of {there}", swr, swr_of(s), 6e-5 * swr
                yield f"return loss before {db} dB of {there}", rl, float(-20 * np.log10(s)), 6e-4
        case "line", "TOTAL":
            for matched, swr, whole, tolerance in rows:
                yield f"{matched} dB into {swr}", whole, whole_loss_db(matched, magnitude(swr)), tolerance
        case "line", "PEAKS":
            for watts, swr, of_forward, of_net in rows:
                # Net power is the forward power less its reflection.
                forward = watts / (1 - magnitude(swr) ** 2)
                yield f"{watts} W forward at {swr}", of_forward, peak_volts(watts, swr), 6e-5 * of_forward
                yield f"{watts} W net at {swr}", of_net, peak_volts(forward, swr), 6e-5 * of_net
        case "arrester", "AT_SWR_1_5":
            for watts, peak, with_rule, at_20, at_15 in rows:
                volts = peak_volts(watts, 1.5)
                yield f"peak of {watts} W", peak, volts, 0.051
                yield f"1.5 times peak of {watts} W", with_rule, 1.5 * volts, 0.051
                yield f"tube -20 % for {watts} W", at_20, 1.5 * volts / 0.8, 0.051
                # The greatest figures are committed to whole volts.
                yield f"tube -15 % for {watts} W", at_15, 1.5 * volts / 0.85, 0.51 if at_15 > 1000 else 0.051
        case "arrester", "GREATEST_POWER":
            for volts, *powers in rows:
                for swr, watts in zip((1.0, 1.5, 2.0), powers):
                    found = optimize.brentq(lambda w: 1.5 * peak_volts(w, swr) - 0.8 * volts, 0.01, 1e6)
                    yield f"{volts} V at {swr}", watts, found, 4e-3 * watts
        case "meter", "FULL_SCALE":
            for pf, pf_scale, pr, pr_scale, point, low, high in rows:
                yield f"{pr} of {pf} W", point, swr_of(np.sqrt(float(pr) / float(pf))), 6e-4
                least, greatest = meter_corners(pf, pf_scale, pr, pr_scale)
                yield f"{pr} of {pf} W, least", low, least, 6e-4
                yield f"{pr} of {pf} W, greatest", high, greatest, 6e-4
        case "meter", "DIRECTIVITY":
            for directivity, indicated, low, high in rows:
                least, greatest = directivity_corners(directivity, indicated)
                yield f"{directivity} dB, {indicated}, least", low, least, 6e-4
                yield f"{directivity} dB, {indicated}, greatest", high, greatest, 6e-4
        case "power", "ERP":
            for watts, loss, gain, erp in rows:
                yield f"{watts} W", erp, float(watts * skrf.mathFunctions.db10_2_mag(gain - loss)), 6e-4
        case "exposure", "DISTANCES":
            for erp, public, occupational in rows:
                for limit, metres in ((2.0, public), (10.0, occupational)):
                    for factor, distance in zip((1.0, 2.56, 4.0), metres):
                        found = public_distance(erp, limit, factor)
                        yield f"{erp} W to {limit} W/m2, x {factor}", distance, found, 6e-4 + 1e-4 * distance
        case "element", "WAVES":
            for mhz, *lengths in rows:
                for part, metres in zip((1, 2, 4), lengths):
                    yield f"{mhz} MHz / {part}", metres, constants.c / mhz / 1e6 / part, 6e-7
        case "geodesy", "INVERSE":
            for latitude, longitude, other_latitude, other_longitude, metres, bearing in rows:
                found = Geodesic.WGS84.Inverse(latitude, longitude, other_latitude, other_longitude)
                name = f"{latitude} {longitude} to {other_latitude} {other_longitude}"
                yield f"{name}, m", metres, found["s12"], 1e-6
                yield f"{name}, bearing", bearing, found["azi1"] % 360, 1e-9
        case "element", "RESONANT":
            # The second column is another moment method's, of which NEC differs by the end caps.
            for diameter, nec, _ in rows:
                yield f"{diameter} mm", nec, resonant_mm(diameter, 98.0), 0.2
        case "element", "CUT_TABLE":
            for diameter, lengths in rows:
                for mhz, length in zip((87.5, 90.0, 95.0, 100.0, 105.0, 108.0), lengths):
                    yield f"{diameter} mm at {mhz}", length, resonant_mm(diameter, mhz), 0.2
        case "element", "BANDWIDTH":
            for diameter, at_1_5, at_2 in rows:
                yield f"{diameter} mm, 1.5", at_1_5, bandwidth_mhz(diameter, 1.5), 0.005 * at_1_5
                yield f"{diameter} mm, 2", at_2, bandwidth_mhz(diameter, 2.0), 0.005 * at_2
        case _:
            yield "this table", float("nan"), float("nan"), 0.0


def breaches(found: dict) -> tuple:
    """Figures checked, and a line for each that differs."""
    checked, different = 0, []
    for key, rows in found.items():
        if key in TRANSCRIBED | COMPUTED_ELSEWHERE:
            continue
        for what, committed, recomputed, tolerance in rows_of(key, rows):
            checked += 1
            # Written so that a figure that is no number is a breach.
            if not abs(committed - recomputed) <= tolerance:
                name = "::".join(key)
                different.append(f"{name}: {what}: committed {committed}, recomputed {recomputed:.6g}")
    return checked, different


def main() -> int:
    if sys.argv[1:] != ["--check"]:
        print("usage: recompute.py --check", file=sys.stderr)
        return 2
    found = tables()
    missing = (TRANSCRIBED | COMPUTED_ELSEWHERE) - set(found)
    if missing or len(found) < 10:
        print(f"tables not found: {sorted(missing)}; found {sorted(found)}", file=sys.stderr)
        return 1
    checked, different = breaches(found)
    for line in different:
        print(line, file=sys.stderr)
    # A comparison that never fails would be none: one spoilt figure and one unknown table must be noticed.
    (swr, *others), *_ = found["reflection", "SWR_TABLE"]
    spoilt = {("reflection", "SWR_TABLE"): [(swr, others[0] * 1.001, *others[1:])], ("line", "UNKNOWN"): [(1.0,)]}
    if len(breaches(spoilt)[1]) != 2:
        print("a spoilt figure was not noticed", file=sys.stderr)
        return 1
    print(f"{checked} figures of {len(found) - len(TRANSCRIBED | COMPUTED_ELSEWHERE)} tables recomputed, {len(different)} differ;")
    print(f"transcribed from print: {', '.join('::'.join(key) for key in sorted(TRANSCRIBED))}")
    print(f"not recomputed here: {', '.join('::'.join(key) for key in sorted(COMPUTED_ELSEWHERE))}")
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(main())
