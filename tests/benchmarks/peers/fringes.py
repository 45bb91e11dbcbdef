#!/usr/bin/python3
"""Phases of fringe rows by two usual routes, for comparison: the literature's Fourier route in SciPy, and a vectorised weighted least squares in NumPy.

Usage: fringes.py FOLDER   (written by the benchmark command `fringes`; prints one JSON object)

Both start from the counts as they come and end with one phase a row, the satellite's velocity removed. The Fourier route (concept: Englert, Babcock,
Harlander 2007, Appl. Opt. 46, 7297) has no weights, no check of spikes and no uncertainty. Neither fits the image shift, which it is told.
Double precision, as both are usually written; the batch that is fastest counts.
"""
import json
import os
import sys
import time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
import numpy as np
import scipy.fft

folder = sys.argv[1]
with open(os.path.join(folder, "meta.json")) as f:
    meta = json.load(f)
rows, n, frames = meta["rows"], meta["samples"], meta["frames"]
read = lambda name, kind, shape: np.fromfile(os.path.join(folder, name), kind).reshape(shape)
counts = read("counts.u16", np.uint16, (frames * rows, n))
flat = read("flat.f64", np.float64, (rows, n))
theta = read("theta.f64", np.float64, (rows, n))          # reference phase at rest, rad
envelope = read("envelope.f64", np.float64, (n,))
notch = read("notch.f64", np.float64, (n,))
kappa = read("kappa.f64", np.float64, (n,))               # rad per m/s
motion = read("motion.f64", np.float64, (rows,))          # m/s
truth = read("truth.f64", np.float64, (frames * rows,))
gain, bias, dark, floor = meta["gain"], meta["bias"], meta["dark"], meta["floor"]
inner = slice(n // 10, n - n // 10)

reference = np.exp(-1j * (theta - kappa * motion[:, None]))
cycles = theta.mean(axis=0)
centre = int(round((cycles[-1] - cycles[0]) / (2 * np.pi)))
half = 20
bins = np.arange(n)
window = np.where(np.abs(bins - centre) <= half, 0.5 * (1 + np.cos(np.pi * (bins - centre) / half)), 0)


def fourier(block):
    """Flat field, transform, window around the fringe's peak, back, angle against the reference, mean of the inner samples."""
    many = block.shape[0] // rows
    electrons = (((block - bias) * gain - dark).reshape(many, rows, n)) / (flat * notch)
    electrons -= electrons.mean(axis=2, keepdims=True)
    spectrum = scipy.fft.rfft(electrons, axis=2)
    whole = np.zeros((many, rows, n), complex)
    whole[:, :, : n // 2 + 1] = spectrum * window[: n // 2 + 1]
    fringe = scipy.fft.ifft(whole, axis=2, overwrite_x=True)
    return np.angle(fringe[:, :, inner] * reference[:, inner]).mean(axis=2).ravel()


shape = flat * envelope * notch
turned = theta - kappa * motion[:, None]
offset = np.arange(n) - (n - 1) / 2
base = np.stack([flat * notch, shape * np.cos(turned), -shape * np.sin(turned), np.zeros((rows, n))], axis=1)   # rows × 4 × n


def least_squares(block):
    """Model A·f + C·c + S·s and the slope; weights from the model, twice; samples beyond 5 σ left out once; σ from the normal matrix."""
    many = block.shape[0] // rows
    electrons = ((block - bias) * gain - dark).reshape(many, rows, n)
    weight = np.ones((many, rows, n))
    patterns = np.broadcast_to(base, (many, rows, 4, n)).copy()
    parameters = None
    for turn in range(3):
        if parameters is not None:
            mean = np.matmul(parameters[:, :, None, :3], patterns[:, :, :3])[:, :, 0]
            variance = np.maximum(mean, 0) + floor
            residual = electrons - mean
            weight = (residual * residual <= 25 * variance) / variance
            patterns[:, :, 3] = offset * (parameters[:, :, 1, None] * patterns[:, :, 2] - parameters[:, :, 2, None] * patterns[:, :, 1])
        used = 3 if parameters is None else 4
        weighted = patterns[:, :, :used] * weight[:, :, None]
        normal = np.matmul(weighted, patterns[:, :, :used].swapaxes(2, 3))
        if used == 4:
            normal[:, :, 3, 3] += meta["slope_prior"] ** -2
        right = np.matmul(weighted, electrons[:, :, :, None])[:, :, :, 0]
        parameters = np.linalg.solve(normal, right[..., None])[..., 0]
    covariance = np.linalg.inv(normal)
    c, s = parameters[:, :, 1], parameters[:, :, 2]
    square = c * c + s * s
    sigma = np.sqrt((s * s * covariance[:, :, 1, 1] - 2 * c * s * covariance[:, :, 1, 2] + c * c * covariance[:, :, 2, 2])) / square
    assert np.isfinite(sigma).all()
    return np.arctan2(s, c).ravel()


def best(route):
    """Rows a second and the scatter about the truth, of the batch size that is fastest."""
    fastest, phases = 0, None
    for batch in (1, 4, 16, frames):
        step = batch * rows
        times = []
        while len(times) < 4 or sum(times) < 2:
            start = time.process_time()
            parts = [route(counts[i:i + step]) for i in range(0, frames * rows, step)]
            times.append(time.process_time() - start)
        if frames * rows / min(times) > fastest:
            fastest, phases = frames * rows / min(times), np.concatenate(parts)
    error = np.angle(np.exp(1j * (phases - truth)))
    return {"rows_per_s": fastest, "error_rms_rad": float(np.sqrt(np.mean((error - np.median(error)) ** 2)))}


print(json.dumps({"fourier": best(fourier), "least_squares": best(least_squares), "numpy": np.__version__, "scipy": scipy.__version__}))
