import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { projectionsBeside, shiftBy } from "../../src/rotor/beside.js";
import { blockPhasors, projections, separate, separator, weightedBlock } from "../../src/rotor/demodulate.js";
import { hann } from "../../src/spectra/window.js";
import { recorded } from "../real/recorded.js";

/** Amplitudes of lines by joint least squares over one block of the whole series. */
function amplitudes(
  y: Float32Array,
  speeds: readonly Float32Array[],
  order: number,
  sampleRate: number,
): number[] {
  const phasors = blockPhasors(speeds, order, { start: 0, length: y.length, sampleRate });
  const window = hann(y.length);
  const [projected] = projections(weightedBlock([y], 0, window), phasors);
  const { re, im } = separate(separator(phasors, window)!, projected!);
  return Array.from(re, (r, m) => Math.hypot(r, im[m]!));
}

/**
 * Ramp of 3000 to 9000 rpm in 4 s, once per turn 1, twice 0.5, a fixed 70 Hz 0.2: amplitudes exact by angular sampling
 * (SciPy 1.10.1 vector, from the definition); linear interpolation from 2 kHz loses 0.7 % and 2.9 %.
 */
test("demodulation against integrated phase reads a ramp's orders within a thousandth", () => {
  const fs = 2000;
  const hz = Float32Array.from({ length: 8000 }, (_, i) => (3000 + 1500 * (i / fs)) / 60);
  const y = Float32Array.from({ length: 8000 }, (_, i) => {
    const t = i / fs;
    const turns = (3000 * t + 750 * t * t) / 60;
    return (
      Math.sin(2 * Math.PI * turns) +
      0.5 * Math.sin(4 * Math.PI * turns + 0.3) +
      0.2 * Math.sin(2 * Math.PI * 70 * t)
    );
  });
  expect(amplitudes(y, [hz], 1, fs)[0]).toBeCloseTo(1, 2);
  expect(amplitudes(y, [hz], 2, fs)[0]).toBeCloseTo(0.5, 2);
  expect(amplitudes(y, [hz], 3, fs)[0]).toBeLessThan(0.01);
});

test("four motors a few hertz apart are told apart, folded lines too", () => {
  const fs = 1000;
  const length = 2000;
  for (const base of [80, 640]) {
    const speeds = [0, 2.1, 4.4, 7].map((d) =>
      Float32Array.from({ length }, (_, i) => base + d + 3 * Math.sin(i / 900)),
    );
    const truth = [1, 0.4, 2, 0.7];
    const y = new Float32Array(length);
    speeds.forEach((hz, m) => {
      let phase = m;
      for (let i = 0; i < length; i++) {
        if (i > 0) phase += (Math.PI * (hz[i]! + hz[i - 1]!)) / fs;
        y[i] = y[i]! + truth[m]! * Math.cos(phase);
      }
    });
    for (const [m, a] of amplitudes(y, speeds, 1, fs).entries())
      expect(Math.abs(a / truth[m]! - 1)).toBeLessThan(0.03);
  }
});

test("projectionsBeside sees on the lines, below and above what lines moved there themselves would", () => {
  const [fs, length, beside] = [500, 700, 3.5];
  const speeds = [60, 63].map((f) => Float64Array.from({ length }, (_, i) => f + 4 * Math.sin(i / 200)));
  const y = Float32Array.from({ length }, (_, i) => Math.cos(0.77 * i) + 0.4 * Math.sin(0.71 * i) + 0.3);
  const window = hann(length);
  const at = (shift: number) =>
    blockPhasors(
      speeds.map((hz) => Float32Array.from(hz, (f) => f + shift)),
      1,
      { start: 0, length, sampleRate: fs },
    );
  const seen = projectionsBeside(y, at(0), window, shiftBy(beside / fs, length));
  for (const [place, shift] of [
    ["on", 0],
    ["below", -beside],
    ["above", beside],
  ] as const) {
    const [moved] = projections(weightedBlock([y], 0, window), at(shift));
    for (const m of [0, 1]) {
      expect(seen[place].re[m]).toBeCloseTo(moved!.re[m]!, 5);
      expect(seen[place].im[m]).toBeCloseTo(moved!.im[m]!, 5);
    }
  }
});

/**
 * hstarmans, rotorbalancer, measurements at 952 Hz: two runs of 5.25 s at 125.3 Hz and 142.3 Hz, joined at 5.252 s
 * (GPL-3.0 repository data, read in place). Rotor speed from the once-per-turn mark.
 */
const tacho = recorded("rotor_constant_speed_tacho.csv");
test.skipIf(tacho.absent)(
  `a recorded rotor's line is at order 1.00 of its mark's speed, run by run${tacho.note}`,
  () => {
    const rows = readFileSync(tacho.path, "utf8")
      .trim()
      .split("\n")
      .slice(1)
      .map((line) => line.split(","));
    for (const [run, truth] of [
      ["0", 125.3],
      ["1", 142.3],
    ] as const) {
      const part = rows.filter((row) => row[1] === run);
      const y = Float32Array.from(part, (row) => Number(row[3]));
      const best = strongest(y, 952, truth);
      expect(Math.abs(best - truth)).toBeLessThan(0.15);
      const mean = marksPerSecond(part);
      expect(Math.abs(best / mean - 1)).toBeLessThan(0.01);
    }
  },
);

/** Turns a second from the rising edges of the mark's signal, first to last. */
function marksPerSecond(rows: readonly (readonly string[])[]): number {
  const edges = rows.flatMap((row, i) =>
    i > 0 && Number(row[4]) > Number(rows[i - 1]![4]) ? [Number(row[0])] : [],
  );
  return (edges.length - 1) / (edges.at(-1)! - edges[0]!);
}

/** Frequency near `about` at which a steady line explains most. */
function strongest(y: Float32Array, sampleRate: number, about: number): number {
  let best = { hz: 0, amplitude: -1 };
  for (let hz = about - 5; hz <= about + 5; hz += 0.05) {
    const [amplitude] = amplitudes(y, [new Float32Array(y.length).fill(hz)], 1, sampleRate);
    if (amplitude! > best.amplitude) best = { hz, amplitude: amplitude! };
  }
  return best.hz;
}
