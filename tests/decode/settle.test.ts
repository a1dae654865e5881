import { expect, test } from "vitest";
import { rotorPopulation } from "../../accuracy/populations.js";
import { randomStream } from "../../simulator/random.js";
import { simulateFlight } from "../../simulator/simulate.js";
import { columnMapFrom } from "../../src/decode/column-map.js";
import { decodeLog } from "../../src/decode/decode.js";
import type { FlightLog } from "../../src/decode/flight-log.js";
import { rotorUnit } from "../../src/decode/rotor-unit.js";
import { UndecidedError } from "../../src/decode/undecided.js";

const RATE = 1000;
const SECONDS = 20;
const TURNS_HZ = 110;
const random = randomStream(11, "settle");

/** Invented gyro of a craft that sways by some degrees, deg/s, with noise and a rotor's line. */
const roll = Float32Array.from({ length: RATE * SECONDS }, (_, i) => {
  const t = i / RATE;
  const sway = 25 * Math.sin(2 * Math.PI * 0.7 * t) + 12 * Math.sin(2 * Math.PI * 1.9 * t);
  return sway + 6 * Math.sin(2 * Math.PI * TURNS_HZ * t) + 2 * random.normal();
});

type Cell = (row: number) => string | number;
const csv = (columns: Readonly<Record<string, Cell>>): Uint8Array => {
  const lines = [["time (s)", ...Object.keys(columns)].join(",")];
  for (let row = 0; row < roll.length; row++)
    lines.push([row / RATE, ...Object.values(columns).map((cell) => cell(row))].join(","));
  return Buffer.from(lines.join("\n"));
};
const gyro = (header: string, scale = 1, digits = 4): Record<string, Cell> => ({
  [header]: (row) => (roll[row]! * scale).toFixed(digits),
});
const decode = (columns: Readonly<Record<string, Cell>>): Promise<FlightLog> =>
  decodeLog(csv(columns), { file: "f.csv" });
const taken = (log: FlightLog, header: string) => log.columns.find((c) => c.header === header)!;

test.each([
  ["deg/s", 1, 2],
  ["rad/s", Math.PI / 180, 5],
] as const)("decodeLog reads a gyro without a unit as %s by the data", async (unit, scale, digits) => {
  expect(taken(await decode(gyro("gyro x", scale, digits)), "gyro x")).toMatchObject({ unit, how: "data" });
});

test.each([
  ["deg/s", 1, 2, false],
  ["deg/s", 1, 6, false],
  ["rad/s", Math.PI / 180, 5, false],
  ["rad/s", 1, 1, true],
  ["deg/s", Math.PI / 180, 3, true],
] as const)(
  "decodeLog believes a header that says %s (values times %d, %d digits) and warns where the data contradict it: %s",
  async (unit, scale, digits, doubted) => {
    const header = `raw gyro x (${unit})`;
    const log = await decode(gyro(header, scale, digits));
    expect(taken(log, header)).toMatchObject({ unit, how: "header" });
    const warned = log.warnings.filter((w) => w.id === "unit-doubtful");
    expect(warned.length).toBe(doubted ? 1 : 0);
    if (doubted)
      expect(warned[0]!.message).toMatch(
        new RegExp(`says ${unit}, .* look like ${unit === "deg/s" ? "rad/s" : "deg/s"}`),
      );
  },
);

test("decodeLog takes no sensor counts for deg/s, and asks with a map that reads the file once completed", async () => {
  const columns = gyro("gyro x", 16.4, 0);
  const error = await decode(columns).then(
    () => null,
    (e: unknown) => e,
  );
  expect(error).toBeInstanceOf(UndecidedError);
  const candidate = (error as UndecidedError).candidate!;
  expect(candidate.columns.map((c) => c.role)).toEqual(["time", "gyroRaw"]);
  const completed = {
    columns: candidate.columns.map((c) => (c.role === "time" ? c : { ...c, scale: 1 / 16.4 })),
  };
  const log = await decodeLog(csv(columns), { file: "f.csv", columnMap: completed });
  expect(log.channels[0]!.values[500]).toBeCloseTo(roll[500]!, 1);
});

test("decodeLog without a gyro shows the map of what it did recognise", async () => {
  const error = await decode({ throttle: () => 0.5 }).catch((e: unknown) => e);
  expect((error as UndecidedError).candidate?.columns.map((c) => c.role)).toEqual(["time", "throttle"]);
});

test("units are right or asked for on simulated flights, in either unit, written finely or coarsely", async () => {
  const { gyroUnit } = await import("../../src/decode/settle-gyro.js");
  const { planColumns } = await import("../../src/decode/plan-columns.js");
  let told = 0;
  let trials = 0;
  for (const scenario of rotorPopulation(8, 99)) {
    const { timeline } = simulateFlight({ ...scenario, durationS: 10 });
    const series = Object.values(timeline.gyroRaw).filter((s) => s !== null);
    const set = planColumns(["gyro x", "gyro y", "gyro z"].slice(0, series.length), null);
    for (const [unit, scale, digits] of [
      ["deg/s", 1, 2],
      ["deg/s", 1, 6],
      ["rad/s", Math.PI / 180, 3],
      ["rad/s", Math.PI / 180, 6],
    ] as const) {
      const written = series.map((s) => s.map((v) => Number((v * scale).toFixed(digits))));
      trials++;
      try {
        expect(gyroUnit(set, written, timeline.sampleRate).unit).toBe(unit);
        const stated = set.map((column) => ({ ...column, unit, how: "header" as const }));
        expect(gyroUnit(stated, written, timeline.sampleRate)).not.toHaveProperty("doubt");
        told++;
      } catch (error) {
        if (!/cannot be told/.test(String(error))) throw error;
      }
    }
  }
  expect(told / trials).toBeGreaterThan(0.9);
});

test.each([
  ["rpm", TURNS_HZ * 60],
  ["Hz", TURNS_HZ],
  ["rad/s", TURNS_HZ * 2 * Math.PI],
] as const)("rotorUnit finds %s by the line in the gyro's spectrum", (unit, speed) => {
  const speeds = [new Float32Array(roll.length).fill(speed)];
  expect(rotorUnit({ speeds, gyro: [roll], rate: RATE })?.unit).toBe(unit);
});

test("rotorUnit decides nothing where the spectrum shows no line", () => {
  const speeds = [new Float32Array(roll.length).fill(211)];
  expect(rotorUnit({ speeds, gyro: [roll], rate: RATE })).toBeNull();
});

test("decodeLog leaves a rotor speed of unknown unit unused, and says so", async () => {
  const log = await decode({ ...gyro("gyro raw x (deg/s)"), "motor speed 1": () => 211 });
  expect(log.channels.some((c) => c.role === "rotorSpeed")).toBe(false);
  expect(log.warnings.find((w) => w.id === "unit-unknown")?.message).toContain("motor speed 1");
});

test("decodeLog reads electrical rpm in hundreds where no motor could fly so slowly", async () => {
  const log = await decode({ ...gyro("gyro raw x (deg/s)"), "erpm[0]": () => 462, "erpm[1]": () => 462 });
  const speed = log.channels.find((c) => c.role === "rotorSpeed")!;
  expect(speed.how).toBe("data");
  expect(speed.values[0]).toBeCloseTo(46_200 / 60, 3);
});

test("decodeLog scales an accelerometer in counts by gravity", async () => {
  const log = await decode({
    ...gyro("gyro raw x (deg/s)"),
    "accel x": () => 12,
    "accel y": () => -30,
    "accel z": () => 2048,
  });
  expect(log.channels.find((c) => c.role === "accel" && c.axis === "yaw")!.values[0]).toBeCloseTo(9.805, 2);
});

test("decodeLog takes the unit of a setpoint from the slow part of the gyro that follows it", async () => {
  const smooth = (row: number): number => {
    const t = row / RATE;
    return 25 * Math.sin(2 * Math.PI * 0.7 * t) + 12 * Math.sin(2 * Math.PI * 1.9 * t);
  };
  const radians = (smoothed: number): string => ((smoothed * Math.PI) / 180).toFixed(6);
  const log = await decode({ ...gyro("gyro raw x (deg/s)"), "setpoint roll": (row) => radians(smooth(row)) });
  expect(taken(log, "setpoint roll")).toMatchObject({ unit: "rad/s", how: "data" });
});

test("of two equally lively gyro sets the second is a second sensor, not a filtered one", async () => {
  const log = await decode({
    ...gyro("gyro 1 x (deg/s)"),
    "gyro 2 x (deg/s)": (row) => (roll[row]! + 0.05 * random.normal()).toFixed(4),
  });
  expect(taken(log, "gyro 1 x (deg/s)").role).toBe("gyroRaw");
  expect(taken(log, "gyro 2 x (deg/s)").role).toBeNull();
});

test("columnMapFrom(log) reads the same log from the same file", async () => {
  const columns = { ...gyro("gyro x", Math.PI / 180, 5), throttle: () => 512, "erpm[0]": () => 462 };
  const log = await decode(columns);
  const again = await decodeLog(csv(columns), { file: "f.csv", columnMap: columnMapFrom(log) });
  expect(again.channels.map((c) => [c.role, c.axis, c.motor, c.electrical])).toEqual(
    log.channels.map((c) => [c.role, c.axis, c.motor, c.electrical]),
  );
  for (const [k, c] of again.channels.entries()) expect(c.values).toEqual(log.channels[k]!.values);
  expect(again.time).toEqual(log.time);
});
