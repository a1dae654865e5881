import { expect, test } from "vitest";
import { rotorPopulation } from "../../accuracy/populations.js";
import { simulateFlight } from "../../simulator/simulate.js";
import { findActivity } from "../../src/decode/airborne.js";
import { decodeLog } from "../../src/decode/decode.js";
import { InputError } from "../../src/errors.js";
import { airborneSeconds, type Timeline } from "../../src/timeline/timeline.js";
import { toTimeline } from "../../src/timeline/to-timeline.js";

async function through(csv: string): Promise<Timeline> {
  return toTimeline(await decodeLog(Buffer.from(csv), { file: "f.csv" }));
}

const scenarios = rotorPopulation(10, 4711).map((s) => ({ ...s, durationS: 12 }));
const styles = [
  {},
  { wording: "bracketed", delimiter: ";", decimalComma: true, timeUnit: "s", lineEnd: "\r\n" },
  { wording: "underscored", timeUnit: "ms", throttle: "0..1" },
  { wording: "camel", delimiter: "\t", throttle: "1000..2000" },
] as const;

test.each(scenarios.map((s, i) => [i, s] as const))(
  "flight %d: a log written and read is the flight that was simulated",
  async (i, scenario) => {
    const flight = simulateFlight(scenario);
    const read = await through(flight.csv(styles[i % styles.length]));
    const { timeline } = flight;
    expect(read.sampleRate / timeline.sampleRate).toBeCloseTo(1, 4);
    // Rows lost before the first or after the last kept one cannot be known.
    const shift = timeline.valid.indexOf(1);
    expect(Math.abs(read.length - (timeline.valid.lastIndexOf(1) + 1 - shift))).toBeLessThanOrEqual(1);
    let differing = 0;
    for (let k = 0; k < read.length; k++) if (read.valid[k] !== timeline.valid[k + shift]) differing++;
    expect(differing / read.length).toBeLessThan(0.002);
    for (const axis of ["roll", "pitch", "yaw"] as const) {
      const [a, b] = [read.gyroRaw[axis], timeline.gyroRaw[axis]];
      expect(a === null).toBe(b === null);
      if (a === null || b === null) continue;
      // Lone lost rows are filled: they may differ, and are fewer than one in a thousand.
      const tolerance = 0.01 + 0.002 * Math.max(...b.map(Math.abs));
      let apart = 0;
      for (let k = 0; k < read.length; k++) {
        if (
          read.valid[k] === 1 &&
          timeline.valid[k + shift] === 1 &&
          Math.abs(a[k]! - b[k + shift]!) > tolerance
        )
          apart++;
      }
      expect(apart / read.length).toBeLessThan(0.001);
    }
    expect(read.rotorSpeed.length).toBe(timeline.rotorSpeed.length);
  },
);

test("take-off and landing are found, and half a second near the ground is left out", async () => {
  const flight = simulateFlight({
    seed: 5,
    durationS: 20,
    logRateHz: 500,
    flight: { profile: "cruise", restBeforeS: 4, restAfterS: 3 },
  });
  const read = await through(flight.csv());
  expect(read.airborne.length).toBe(1);
  const { from, to } = read.airborne[0]!;
  expect(from / read.sampleRate).toBeGreaterThan(3.5);
  expect(from / read.sampleRate).toBeLessThan(7);
  expect(to / read.sampleRate).toBeGreaterThan(20.5);
  expect(to / read.sampleRate).toBeLessThan(24.5);
  expect(read.resting.length).toBeGreaterThan(0);
  expect(read.resting[0]!.to / read.sampleRate).toBeLessThan(5);
});

test("a log that begins and ends in the air is airborne as a whole", async () => {
  const flight = simulateFlight({ seed: 6, durationS: 15, logRateHz: 500, flight: { profile: "sweep" } });
  const read = await through(flight.csv());
  expect(airborneSeconds(read)).toBeGreaterThan(14.5);
  expect(read.resting).toEqual([]);
});

test("without a throttle the gyro alone tells flight from rest", () => {
  const gyro = Float32Array.from({ length: 10_000 }, (_, i) =>
    i > 3000 && i < 8000 ? 20 * Math.sin(i * 0.7) : 0.05 * Math.sin(i * 0.7),
  );
  const { airborne } = findActivity({ sampleRate: 500, throttle: null, gyro: [gyro] });
  expect(airborne.length).toBe(1);
  expect(airborne[0]!.from).toBeGreaterThan(2700);
  expect(airborne[0]!.to).toBeLessThan(8300);
});

test("toTimeline(log, { flight }) picks a flight, and says which there are", async () => {
  const flight = simulateFlight({ seed: 7, durationS: 6, logRateHz: 500 });
  const lines = flight.csv().trimEnd().split("\n");
  const later = lines.slice(1).map((line) => line.replace(/^\d+/, (us) => String(Number(us) + 60e6)));
  const log = await decodeLog(Buffer.from([...lines, ...later, ""].join("\n")), { file: "two.csv" });
  expect(log.flights.map((f) => f.flight)).toEqual([1, 2]);
  expect(toTimeline(log, { flight: 2 }).startS).toBeCloseTo(60, 3);
  expect(() => toTimeline(log, { flight: 3 })).toThrow(/holds 2 flights/);
  expect(() => toTimeline(log, { fromS: 1e6 })).toThrow(InputError);
});

test("a range in seconds of the log's clock is kept to", async () => {
  const flight = simulateFlight({ seed: 8, durationS: 10, logRateHz: 500 });
  const log = await decodeLog(Buffer.from(flight.csv()), { file: "r.csv" });
  const part = toTimeline(log, { fromS: 2, toS: 5 });
  expect(part.startS).toBeCloseTo(2, 2);
  expect(part.length / part.sampleRate).toBeCloseTo(3, 1);
});

/** A log of one gyro axis and a throttle, 20 s at 1 kHz, with a row's cells as told. */
function rowsOf(cells: (row: number) => string): Uint8Array {
  const lines = Array.from({ length: 20_000 }, (_, row) => cells(row));
  return Buffer.from(["time (s),gyro raw roll (deg/s),throttle (%)", ...lines].join("\n"));
}
const wave = (row: number): string => (9 * Math.sin(row * 0.9) + 5 * Math.sin(row * 0.011)).toFixed(3);

test("toTimeline takes only the rows that hold the gyro where a log mixes rates", async () => {
  const bytes = rowsOf((row) => (row % 2 === 0 ? `${row / 1000},${wave(row)},` : `${row / 1000},,45`));
  const timeline = toTimeline(await decodeLog(bytes, { file: "f.csv" }));
  expect(timeline.sampleRate).toBeCloseTo(500, 6);
  expect(timeline.gaps).toEqual([]);
  expect(timeline.filledSamples).toBe(0);
  expect(timeline.throttle![100]).toBeCloseTo(0.45, 6);
});

test("toTimeline leaves the log as it was read: a second call gives the same", async () => {
  const hole = (row: number): boolean => row >= 9000 && row < 9050;
  const log = await decodeLog(
    rowsOf((row) => `${row / 1000},${hole(row) ? "" : wave(row)},45`),
    { file: "f.csv" },
  );
  const first = toTimeline(log);
  expect(first.gaps).toEqual([{ fromS: expect.closeTo(9, 6), toS: expect.closeTo(9.05, 6), samples: 50 }]);
  expect(toTimeline(log)).toEqual(first);
});

test("toTimeline fills lone empty gyro cells only while they are under one in a thousand", async () => {
  const every = async (n: number) =>
    toTimeline(
      await decodeLog(
        rowsOf((row) => `${row / 1000},${row % n === 50 ? "" : wave(row)},45`),
        { file: "f.csv" },
      ),
    );
  expect(await every(2000)).toMatchObject({ filledSamples: 10, gaps: [] });
  const many = await every(200);
  expect(many.filledSamples).toBe(0);
  expect(many.gaps).toHaveLength(100);
});

test("toTimeline makes one gap of a stretch recorded at half the rate", async () => {
  const lines = Array.from({ length: 20_000 }, (_, row) => `${row / 1000},${wave(row)},45`);
  const kept = lines.filter((_, row) => row < 12_000 || row % 2 === 0);
  const bytes = Buffer.from(["time (s),gyro raw roll (deg/s),throttle (%)", ...kept].join("\n"));
  const timeline = toTimeline(await decodeLog(bytes, { file: "f.csv" }));
  expect(timeline.sampleRate).toBeCloseTo(1000, 3);
  expect(timeline.gaps).toHaveLength(1);
});

test("a log whose gyro never stirs is not airborne at all", async () => {
  const still = rowsOf((row) => `${row / 1000},${(0.05 * Math.sin(row * 2.1)).toFixed(3)},0`);
  const log = await decodeLog(still, { file: "f.csv" });
  expect(log.flights[0]!.airborneS).toBe(0);
  expect(toTimeline(log).airborne).toEqual([]);
});
