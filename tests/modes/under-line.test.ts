import { describe, expect, it } from "vitest";
import { randomStream } from "../../simulator/random.js";
import { scan } from "../../src/modes/candidates.js";
import { fitSeed } from "../../src/modes/fit-seed.js";
import { maskedAverage } from "../../src/modes/masked-average.js";
import type { ResolutionBank } from "../../src/modes/resolution-bank.js";
import { mayBeUnmaskedLine } from "../../src/modes/under-line.js";
import { noRotor } from "../../src/rotor/none.js";
import type { RotorEstimate } from "../../src/rotor/rotor.js";

const RATE = 400;
const FRAMES = 80;
const BINS = 201;
const PEAK_HZ = 100;
const grid = {
  sampleRate: RATE,
  segmentLength: RATE,
  hop: RATE / 2,
  starts: Int32Array.from({ length: FRAMES }, (_, k) => (k * RATE) / 2),
  bins: BINS,
};

/** Whether the folded line lies on the peak in a frame: in the first half of the flight. */
const passes = (k: number): boolean => k < FRAMES / 2 - 2;

/** A rotor whose order 4 shows at 100 Hz (300 Hz, folded) in the first half, at 40 Hz (360 Hz) in the second. */
function rotor(levelDb: number, away = 90): RotorEstimate {
  const length = grid.starts.at(-1)! + RATE;
  const hz = Float32Array.from({ length }, (_, i) => (i < length / 2 ? 75 : away));
  const order = { order: 4, levelDb, foldedShare: 1, medianHz: 330, halfWidth: 0 };
  return {
    ...noRotor([]),
    source: "telemetry",
    bandHz: [75, 90],
    orders: [order],
    tracks: [{ motor: 1, hz }],
  };
}

/** A peak of 12 dB at 100 Hz in the frames told, exponential noise everywhere, fitted. */
function peakIn(shown: (k: number) => boolean) {
  const random = randomStream(3, "under line");
  const power = new Float32Array(FRAMES * BINS);
  for (let k = 0; k < FRAMES; k++) {
    for (let b = 0; b < BINS; b++) {
      const x = (b / PEAK_HZ - PEAK_HZ / Math.max(b, 1)) / (2 * 0.02);
      const gain = shown(k) ? 15 / (1 + x * x) : 0;
      power[k * BINS + b] = -Math.log(1 - random.uniform()) * (1 + gain);
    }
  }
  const plane = { grid, axes: [{ axis: "roll" as const, power }], mask: new Uint8Array(FRAMES * BINS) };
  const levelling = { excitation: new Float64Array(FRAMES), follow: [new Float64Array(BINS)] };
  const average = maskedAverage(plane, { axis: 0, levelling, classOf: null });
  const base = { plane, levelling, classes: null };
  const bank: ResolutionBank = {
    axes: ["roll"],
    base,
    averages: [average],
    level: (step) => (step === 0 ? base : null),
    zoom: () => null,
  };
  const data = { bank, axis: 0, scan: scan(average), lineFreeHz: 0 };
  const mode = fitSeed(data, { frequencyHz: PEAK_HZ, dampingRatio: 0.02, gain: 10, searchP: 0 }, [])!;
  return { seen: [mode], bank };
}

describe("mayBeUnmaskedLine(seen, rotor, bank)", () => {
  it("tells a peak that is there only while a folded line too faint for the mask passes", () => {
    const { seen, bank } = peakIn(passes);
    expect(mayBeUnmaskedLine(seen, rotor(2), bank)).toBe(true);
  });

  it("lets a structure stand that shows while the line lies elsewhere", () => {
    const { seen, bank } = peakIn(() => true);
    expect(mayBeUnmaskedLine(seen, rotor(2), bank)).toBe(false);
  });

  it("leaves open what is never seen without the line", () => {
    const { seen, bank } = peakIn(() => true);
    expect(mayBeUnmaskedLine(seen, rotor(2, 75), bank)).toBe(true);
  });

  it("asks nothing of an inferred speed, whose wide lines lie nearly everywhere", () => {
    const { seen, bank } = peakIn(passes);
    expect(mayBeUnmaskedLine(seen, { ...rotor(2), source: "inferred" }, bank)).toBe(false);
  });

  it("asks nothing where the line is strong enough to be masked always, or no order stands out", () => {
    const { seen, bank } = peakIn(passes);
    expect(mayBeUnmaskedLine(seen, rotor(8), bank)).toBe(false);
    expect(mayBeUnmaskedLine(seen, { ...rotor(2), orders: [] }, bank)).toBe(false);
  });
});
