"""What a practitioner would write: pandas reads the log, SciPy makes Welch spectra of 7 channels and throttle maps of 3.

The bench times this script beside the program on the same file. It does spectra only: no rotor, no modes, no verdict.
Prints the peak resident memory in kB.
"""
import resource
import sys

import numpy as np
import pandas as pd
from scipy.signal import spectrogram, welch

table = pd.read_csv(sys.argv[1])
time = table.iloc[:, 0].to_numpy()
rate = 1e6 / np.median(np.diff(time))
channels = [c for c in table.columns if c.startswith(("gyro", "D-term"))][:7]
for name in channels:
    welch(table[name].to_numpy(), fs=rate, window="hann", nperseg=2048, noverlap=1024)

throttle = table["throttle (%)"].to_numpy()
for name in channels[:3]:
    f, t, power = spectrogram(table[name].to_numpy(), fs=rate, window="hann", nperseg=2048, noverlap=1024)
    middle = (np.arange(power.shape[1]) * 1024 + 1024).clip(max=len(throttle) - 1)
    level = np.digitize(throttle[middle], np.linspace(0, 100, 101)) - 1
    grid = np.full((100, len(f)), np.nan)
    for k in range(100):
        if np.any(level == k):
            grid[k] = power[:, level == k].mean(axis=1)

print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
