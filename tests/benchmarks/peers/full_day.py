#!/usr/bin/python3
"""The job of the benchmark full-day as a straightforward NumPy and sqlite3 script: what a scientist would write in a week.

Usage: full_day.py PROFILE_FOLDER PACKETS

Reads the CCSDS packets with their checksums, puts every telemetry sample and channel statistics by orbit, phases of all rows (dark, flat, spikes at 5 sigma, weighted least squares, uncertainty,
the satellite's motion taken out sample by sample) and winds (lamp drift, image shift by the bench law, onion peeling on complex amplitudes) into an SQLite file. Much simpler than the program beside it: no
quarantine, no order of arrival, no error budget, no prior, no wind vectors, no trackers, no flags, no fingerprints. Prints its wall and processor time and its peak memory.
"""
import json
import os
import resource
import sqlite3
import sys
import tempfile
import time
import xml.etree.ElementTree as ET

import numpy as np

C = 299_792_458.0
OMEGA = 7.292115e-5
NS = {"x": "http://www.omg.org/spec/XTCE/20180204"}


def crc16(packets):
    """CRC-16-CCITT of packets of one length, (n, length) uint8; 0 where a packet is whole."""
    table = np.arange(256, dtype=np.uint16) << 8
    for _ in range(8):
        table = np.where(table & 0x8000, (table << 1) ^ 0x1021, table << 1).astype(np.uint16)
    crc = np.full(len(packets), 0xFFFF, np.uint16)
    for column in np.ascontiguousarray(packets.T):
        crc = (crc << 8) ^ table[(crc >> 8) ^ column]
    return crc


def read_packets(path):
    """Packets by APID, (n, length) uint8, without those of a bad checksum; every APID of this mission has one length."""
    data = np.fromfile(path, np.uint8)
    raw = data.tobytes()
    starts, at = {}, 0
    while at < len(raw):
        apid = (raw[at] & 7) << 8 | raw[at + 1]
        length = (raw[at + 4] << 8 | raw[at + 5]) + 7
        starts.setdefault(apid, []).append((at, length))
        at += length
    result = {}
    for apid, found in starts.items():
        length = found[0][1]
        packets = np.lib.stride_tricks.sliding_window_view(data, length)[[s for s, n in found if n == length]]
        result[apid] = packets[crc16(packets) == 0]
    return result


def times_of(packets):
    """Seconds since 1958 (UTC) of the CDS time code."""
    p = packets.astype(np.int64)
    day = p[:, 6] << 8 | p[:, 7]
    ms = p[:, 8] << 24 | p[:, 9] << 16 | p[:, 10] << 8 | p[:, 11]
    return day * 86400.0 + ms * 1e-3 + (p[:, 12] << 8 | p[:, 13]) * 1e-6


def read_definition(path):
    """Per APID: container name and channels (name, bits, signed, calibrator)."""
    root = ET.parse(path).getroot()
    types = {}
    for t in root.iter():
        encoding = t.find("x:IntegerDataEncoding", NS)
        if encoding is None:
            continue
        terms = [(int(e.get("exponent")), float(e.get("coefficient"))) for e in t.iterfind(".//x:Term", NS)]
        points = [(float(e.get("raw")), float(e.get("calibrated"))) for e in t.iterfind(".//x:SplinePoint", NS)]
        types[t.get("name")] = (int(encoding.get("sizeInBits")), encoding.get("encoding") == "twosComplement", terms, points)
    parameters = {p.get("name"): p.get("parameterTypeRef") for p in root.iter("{%s}Parameter" % NS["x"])}
    containers = {}
    for c in root.iter("{%s}SequenceContainer" % NS["x"]):
        comparison = c.find(".//x:Comparison", NS)
        if comparison is None or c.get("name") == "FringeRow":
            continue
        names = [e.get("parameterRef") for e in c.iterfind(".//x:ParameterRefEntry", NS)]
        containers[int(comparison.get("value"))] = (c.get("name"), [(n, *types[parameters[n]]) for n in names if n != "CRC"])
    return containers


def channels_of(packets, channels):
    """Calibrated values by channel."""
    at, values = 14, {}
    for name, bits, signed, terms, points in channels:
        raw = np.zeros(len(packets), np.int64)
        for byte in range(bits // 8):
            raw = raw << 8 | packets[:, at + byte]
        at += bits // 8
        if signed:
            raw = np.where(raw >= 1 << (bits - 1), raw - (1 << bits), raw)
        if points:
            raw = np.interp(raw, *zip(*points))
        elif terms:
            raw = sum(c * raw.astype(float) ** e for e, c in terms)
        values[name] = raw.astype(float)
    return values


class Orbit:
    """Cubic Hermite interpolation of the orbit file, m and m/s, TEME."""

    def __init__(self, path):
        rows = [line.split() for line in open(path) if line[:2] == "20"]
        epoch = np.datetime64("1958-01-01T00:00:00")
        self.t = np.array([(np.datetime64(r[0]) - epoch) / np.timedelta64(1, "s") for r in rows])
        states = np.array([[float(v) for v in r[1:7]] for r in rows]) * 1e3
        self.r, self.v = states[:, :3], states[:, 3:]

    def at(self, t):
        k = np.clip(np.searchsorted(self.t, t) - 1, 0, len(self.t) - 2)
        h = (self.t[k + 1] - self.t[k])[:, None]
        s = ((t - self.t[k])[:, None]) / h
        p0, p1, m0, m1 = self.r[k], self.r[k + 1], h * self.v[k], h * self.v[k + 1]
        r = (2 * s**3 - 3 * s**2 + 1) * p0 + (s**3 - 2 * s**2 + s) * m0 + (-2 * s**3 + 3 * s**2) * p1 + (s**3 - s**2) * m1
        v = ((6 * s**2 - 6 * s) * p0 + (3 * s**2 - 4 * s + 1) * m0 + (-6 * s**2 + 6 * s) * p1 + (3 * s**2 - 2 * s) * m1) / h
        return r, v

    def nodes(self, first, last):
        """Times of ascending nodes."""
        t = np.arange(first, last, 1.0)
        z = self.at(t)[0][:, 2]
        return t[1:][(z[:-1] < 0) & (z[1:] >= 0)]


def looks(orbit, t, view, depressions):
    """Motion w0 (m/s) and tangent height (km) by exposure and row."""
    r, v = orbit.at(t)
    z = -r / np.linalg.norm(r, axis=1)[:, None]
    y = -np.cross(r, v)
    y /= np.linalg.norm(y, axis=1)[:, None]
    x = np.cross(y, z)
    azimuth, down = np.radians(view["azimuthDeg"]), np.radians(depressions)[None, :, None]
    u = np.cos(down) * (np.cos(azimuth) * x - np.sin(azimuth) * y)[:, None] + np.sin(down) * z[:, None]
    w0 = OMEGA * np.cross(r[:, None], u)[..., 2] - (v[:, None] * u).sum(-1)
    tangent = r[:, None] - (r[:, None] * u).sum(-1)[..., None] * u
    distance = np.linalg.norm(tangent, axis=-1)
    sin_latitude = tangent[..., 2] / distance
    surface = 6378137.0 * (1 - sin_latitude**2 / 298.257223563)
    return w0, (distance - surface) * 1e-3


def fit_rows(counts, integration, detector, pattern_phase, optics, profile, coefficients, cycles, shift):
    """Phase, its sigma, visibility, signal, chi-square and masked samples of rows; counts (n, samples), pattern_phase the known phase of every sample."""
    instrument, dark = profile["instrument"], coefficients["dark"]
    n = counts.shape[1]
    i = np.arange(n)
    x = 2 * i / (n - 1) - 1
    envelope = 1 + optics["envelope"][0] * x + optics["envelope"][1] * x**2
    rate = dark["rateElectronsPerS"] * 2 ** ((detector - dark["referenceC"]) / dark["doublingK"])
    flat = optics["flatField"]
    electrons = (counts - dark["biasCounts"]) * instrument["electronsPerCount"] - (rate * integration)[:, None]
    signal = electrons / flat
    variance = (np.maximum(electrons, 0) + (rate * integration)[:, None] + instrument["readNoiseElectrons"] ** 2) / flat**2
    good = counts < instrument["saturationCounts"]
    good &= ~optics["bad"]
    for f in instrument["fiducials"]:
        good &= np.abs(i[None, :] - f["sample"] - shift[:, None]) > 5 * f["widthSamples"]
    basis = np.stack([np.ones_like(pattern_phase), envelope * np.cos(pattern_phase), -envelope * np.sin(pattern_phase)], axis=1)
    for last in (False, True):
        weight = good / variance
        weighted = basis * weight[:, None]
        covariance = np.linalg.inv(weighted @ basis.transpose(0, 2, 1))
        solution = (covariance @ (weighted @ signal[..., None]))[..., 0]
        residual = signal - np.einsum("rk,rki->ri", solution, basis)
        if not last:
            good &= np.abs(residual) < 5 * np.sqrt(variance)
    a, c, s = solution.T
    amplitude2 = c**2 + s**2
    sigma = np.sqrt((s**2 * covariance[:, 1, 1] + c**2 * covariance[:, 2, 2] - 2 * s * c * covariance[:, 1, 2])) / amplitude2
    chi = (residual**2 * weight).sum(1) / (good.sum(1) - 3)
    return np.arctan2(s, c), sigma, np.sqrt(amplitude2) / a, a, chi, n - good.sum(1)


def path_lengths(height):
    """Path of every row through the shells between tangent heights, km: (exposures, rows, layers); the top shell is an exponential of 45 km."""
    radius = 6371.0 + height
    edges = np.concatenate([radius, radius[:, -1:] + 45.0], axis=1)
    half = np.sqrt(np.maximum(edges[:, None, :] ** 2 - radius[:, :, None] ** 2, 0))
    return 2 * (half[:, :, 1:] - half[:, :, :-1])


def main(folder, packet_file):
    profile = json.load(open(os.path.join(folder, "profile.json")))
    coefficients = json.load(open(os.path.join(folder, "coefficients.json")))
    instrument = profile["instrument"]
    n, rows = instrument["samples"], instrument["rows"]
    orbit = Orbit(os.path.join(folder, "orbit.oem"))
    packets = read_packets(packet_file)

    target = tempfile.mkdtemp() + "/day.sqlite"
    store = sqlite3.connect(target)
    store.executescript("""
        CREATE TABLE statistics (channel TEXT, orbit INTEGER, count INTEGER, min REAL, mean REAL, max REAL);
        CREATE TABLE phase (time REAL, exposure INTEGER, kind INTEGER, view TEXT, line TEXT, row INTEGER, phase REAL, sigma REAL, visibility REAL, signal REAL, chi REAL, masked INTEGER);
        CREATE TABLE wind (time REAL, exposure INTEGER, view TEXT, line TEXT, row INTEGER, altitude REAL, wind REAL, sigma REAL, apparent REAL);
    """)

    # Telemetry: one row a packet, one column a channel.
    series = {}
    nodes = None
    for apid, (name, channels) in read_definition(os.path.join(folder, "packets.xtce.xml")).items():
        t, values = times_of(packets[apid]), channels_of(packets[apid], channels)
        if nodes is None:
            nodes = orbit.nodes(t[0], t[-1])
        store.execute("CREATE TABLE %s (time REAL PRIMARY KEY, %s)" % (name, ", ".join("%s REAL" % c for c in values)))
        table = np.column_stack([t, *values.values()])
        store.executemany("INSERT INTO %s VALUES (%s)" % (name, ", ".join("?" * table.shape[1])), table.tolist())
        edges = np.searchsorted(t, nodes)
        for channel, v in values.items():
            series[channel] = (t, v)
            store.executemany("INSERT INTO statistics VALUES (?, ?, ?, ?, ?, ?)",
                              [(channel, k, len(p), p.min(), p.mean(), p.max()) for k, p in enumerate(np.split(v, edges)) if len(p)])

    # Rows of the detector.
    fringe = packets[210]
    head = fringe[:, :26].astype(np.int64)
    time_s = times_of(fringe)
    exposure = head[:, 14] << 24 | head[:, 15] << 16 | head[:, 16] << 8 | head[:, 17]
    integration = (head[:, 22] << 24 | head[:, 23] << 16 | head[:, 24] << 8 | head[:, 25]) * 1e-3
    kind, view, line, row = head[:, 18], head[:, 19], head[:, 20], head[:, 21]
    i = np.arange(n)
    centre = (n - 1) / 2
    x, y = 2 * i / (n - 1) - 1, 2 * np.arange(rows) / (rows - 1) - 1
    bench = lambda t: np.interp(t, *series[profile["roles"]["benchTemperature"]])
    detector = lambda t: np.interp(t, *series[profile["roles"]["detectorTemperature"]])

    for optics in coefficients["optics"]:
        v = next(k for k, f in enumerate(instrument["views"]) if f["id"] == optics["view"])
        k = next(k for k, f in enumerate(instrument["lines"]) if f["id"] == optics["line"])
        model, law = instrument["lines"][k], next(s for s in coefficients["imageShift"] if s["view"] == optics["view"])
        flat_field = np.loadtxt(os.path.join(folder, optics["flat"]), delimiter=",")
        distortion = sum(a * x[None, :] ** p * y[:, None] ** q for p, terms in enumerate(optics["distortionRad"]) for q, a in enumerate(terms))
        bad = np.zeros((rows, n), bool)
        for b in coefficients["badSamples"]:
            if b["view"] == optics["view"] and b["line"] == optics["line"]:
                bad[b["row"], b["sample"]] = True
        wavenumber = 1 / (model["wavelengthVacuumNm"] * 1e-9)
        kappa = 2 * np.pi * wavenumber * model["opdMm"] * 1e-3 / C
        kappas = kappa + (i - centre) * 2 * np.pi * wavenumber * model["opdStepUm"] * 1e-6 / C
        drift = None
        for which, cycles in ((1, model["lampCycles"]), (0, model["cycles"])):
            chosen = np.flatnonzero((kind == which) & (view == v) & (line == k))
            chosen = chosen[np.lexsort((row[chosen], exposure[chosen]))].reshape(-1, rows)
            t = time_s[chosen[:, 0]]
            shift = law["offsetSamples"] + law["samplesPerK"] * (bench(t) - law["referenceC"])
            known = 2 * np.pi * cycles * (i - centre) / n + distortion
            if which == 0:
                w0, height = looks(orbit, t, instrument["views"][v], instrument["rowDepressionDeg"])
                known = known + np.array(optics["zeroWindRad"])[:, None]
            fits = []
            for first in range(0, len(chosen), 50):  # in pieces that fit the memory
                part = slice(first, first + 50)
                index = chosen[part].ravel()
                counts = fringe[index, 26 : 26 + 2 * n].copy().view(">u2").astype(float)
                m = len(chosen[part])
                pattern = np.broadcast_to(known, (m, rows, n))
                if which == 0:
                    pattern = pattern - kappas * w0[part][..., None]
                here = {**optics, "flatField": np.tile(flat_field, (m, 1)), "bad": np.tile(bad, (m, 1))}
                fits.append(np.stack(fit_rows(counts, integration[index], detector(time_s[index]), pattern.reshape(-1, n), here, profile, coefficients, cycles, np.repeat(shift[part], rows)), axis=1))
            fit = np.concatenate(fits)
            index = chosen.ravel()
            store.executemany("INSERT INTO phase VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                              zip(time_s[index].tolist(), exposure[index].tolist(), [which] * len(index), [optics["view"]] * len(index), [optics["line"]] * len(index), row[index].tolist(), *fit.T.tolist()))
            phase, sigma = fit[:, 0].reshape(-1, rows), fit[:, 1].reshape(-1, rows)
            if which == 1:
                of_rows = np.angle(np.exp(1j * (phase - optics["lampPhaseRad"] + (2 * np.pi * cycles * shift / n)[:, None])).mean(1))
                drift = (t, optics["lampRatio"] * np.unwrap(of_rows))
                continue
            corrected = phase - (np.interp(t, *drift) - 2 * np.pi * cycles * shift / n)[:, None]
            amplitude = (fit[:, 2] * fit[:, 3]).reshape(-1, rows)
            inverse = np.linalg.inv(path_lengths(height))
            layers = (inverse @ (amplitude * np.exp(1j * corrected))[..., None])[..., 0]
            wind = -np.angle(layers) / kappa
            wind_sigma = np.sqrt((inverse**2 @ ((amplitude * sigma) ** 2)[..., None])[..., 0]) / np.abs(layers) / kappa
            apparent = -np.angle(np.exp(1j * corrected)) / kappa
            store.executemany("INSERT INTO wind VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                              zip(time_s[index].tolist(), exposure[index].tolist(), [optics["view"]] * len(index), [optics["line"]] * len(index), row[index].tolist(),
                                  height.ravel().tolist(), wind.ravel().tolist(), wind_sigma.ravel().tolist(), apparent.ravel().tolist()))
    store.commit()
    counts = [store.execute("SELECT count(*) FROM " + table).fetchone()[0] for table in ("phase", "wind", "statistics")]
    spread = store.execute("SELECT avg(abs(apparent)) FROM wind WHERE sigma < 50").fetchone()[0]
    store.close()
    return target, counts, spread


if __name__ == "__main__":
    start = time.perf_counter()
    target, (phases, winds, statistics), spread = main(sys.argv[1], sys.argv[2])
    wall = time.perf_counter() - start
    used = resource.getrusage(resource.RUSAGE_SELF)
    print(f"NumPy and sqlite3: {wall:.2f} s, {86400 / wall:,.0f} x real time; {used.ru_utime + used.ru_stime:.2f} s of processor time")
    print(f"  memory: peak {used.ru_maxrss * 1024 / 1e6:.0f} MB resident")
    print(f"  stored: {phases:,} rows of phases, {winds:,} winds, {statistics:,} channel statistics; {os.path.getsize(target) / 1e6:.1f} MB on disk; mean apparent speed {spread:.0f} m/s")
    os.remove(target)
    os.rmdir(os.path.dirname(target))
