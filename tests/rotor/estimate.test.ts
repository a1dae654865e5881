import { expect, test } from "vitest";
import { simulateFlight } from "../../simulator/simulate.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";
import { orderHistory } from "../../src/rotor/order-history.js";
import { orderMask } from "../../src/rotor/order-mask.js";
import { frameGrid } from "../../src/spectra/frame-grid.js";

const BASE = {
  durationS: 30,
  logRateHz: 1000,
  rotors: { propellerInch: 13, blades: 2, count: 4 },
  flight: { profile: "sweep" },
} as const;

test("estimateRotor reads a speed report to half a percent, with the divisor the data show", () => {
  const { timeline, truth } = simulateFlight({
    ...BASE,
    seed: 61,
    telemetry: { unit: "electrical rpm", delayS: 0.006 },
  });
  const rotor = estimateRotor(timeline, {});
  expect(rotor.source).toBe("telemetry");
  expect(rotor.polePairs).toBe(truth.rotor.divisor);
  expect(Math.abs(rotor.medianHz! / truth.rotor.medianHz - 1)).toBeLessThan(0.005);
});

test.each([2, 5, 6])(
  "estimateRotor tells a slow rotor's delay in a slow sweep to a millisecond, draw %i",
  (seed) => {
    const { timeline, truth } = simulateFlight({
      seed,
      durationS: 40,
      logRateHz: 400,
      rotors: { count: 4, propellerInch: 15, blades: 2, hoverHz: 73 },
      flight: { profile: "sweep" },
      telemetry: { unit: "Hz", delayS: 0.009, refreshHz: 200, step: 0.1 },
    });
    const { delayS } = estimateRotor(timeline, {});
    expect(Math.abs(delayS! - truth.rotor.delayS!)).toBeLessThan(1e-3);
  },
);

test("estimateRotor infers the speed of a sweep within 3 % without a report", () => {
  const { timeline, truth } = simulateFlight({ ...BASE, seed: 62, telemetry: null });
  const rotor = estimateRotor(timeline, {});
  expect(rotor.source).toBe("inferred");
  expect(Math.abs(rotor.medianHz! / truth.rotor.medianHz - 1)).toBeLessThan(0.03);
  expect(rotor.curve.every((p, i, all) => i === 0 || p.throttle > all[i - 1]!.throttle)).toBe(true);
});

test.each([
  [2, 71],
  [3, 72],
  [4, 73],
])("estimateRotor is not led by the blade pass of %i blades that hides once per turn", (blades, seed) => {
  const { timeline, truth } = simulateFlight({
    ...BASE,
    seed,
    durationS: 45,
    rotors: { ...BASE.rotors, blades },
    lines: { onceDps: 0.12, twiceDps: 0.04, bladePassDps: [1, 0.35], unlisted: [] },
    telemetry: null,
  });
  const rotor = estimateRotor(timeline, {});
  expect(rotor.source).toBe("inferred");
  expect(Math.abs(rotor.medianHz! / truth.rotor.medianHz - 1)).toBeLessThan(0.03);
});

test("estimateRotor keeps to the middle of the motors where one is much louder than the others", () => {
  const { timeline, truth } = simulateFlight({
    ...BASE,
    seed: 71,
    rotors: { ...BASE.rotors, trim: 0.03, bad: { motor: 3, factor: 3 } },
    flight: { profile: "punchy" },
    lines: { onceDps: 1.5, twiceDps: 0.2, bladePassDps: [0.3], unlisted: [] },
    telemetry: null,
  });
  const rotor = estimateRotor(timeline, {});
  expect(rotor.source).toBe("inferred");
  expect(Math.abs(rotor.medianHz! / truth.rotor.medianHz - 1)).toBeLessThan(0.03);
});

test("estimateRotor says none where nothing turns in the spectrum", () => {
  const { timeline } = simulateFlight({
    ...BASE,
    seed: 63,
    telemetry: null,
    lines: { onceDps: 0, twiceDps: 0, bladePassDps: [], unlisted: [] },
  });
  const rotor = estimateRotor(timeline, {});
  expect(rotor.source).toBe("none");
  expect(rotor.tracks).toEqual([]);
});

test("estimateRotor names the motor whose propeller is 2.5 times worse, and none where all are equal", () => {
  const bad = simulateFlight({
    ...BASE,
    seed: 64,
    rotors: { ...BASE.rotors, bad: { motor: 3, factor: 2.5 } },
    telemetry: { unit: "rpm", delayS: 0.004 },
  });
  const rotor = estimateRotor(bad.timeline, {});
  expect(rotor.worstMotor).toBe(3);
  expect(rotor.motors.length).toBe(4);
  for (const { onceDps, ci95Dps } of rotor.motors)
    expect(onceDps >= ci95Dps[0] && onceDps <= ci95Dps[1]).toBe(true);
  const equal = simulateFlight({ ...BASE, seed: 65, telemetry: { unit: "rpm", delayS: 0.004 } });
  expect(estimateRotor(equal.timeline, {}).worstMotor).toBeNull();
});

test.each([1, 3])(
  "estimateRotor names the worst of eight motors in wash that rises with speed, draw %i",
  (seed) => {
    const { timeline, truth } = simulateFlight({
      seed,
      durationS: 60,
      logRateHz: 500,
      rotors: { count: 8, propellerInch: 5, blades: 5, hoverHz: 334, bad: { motor: 3, factor: 2.1 } },
      flight: { profile: "punchy" },
      lines: { onceDps: 0.26, twiceDps: 0.04, bladePassDps: [0.45, 0.1], unlisted: [], wander: 0.03 },
      wash: { density: 0.06, cornerHz: 365 },
      telemetry: { unit: "rpm", delayS: 0.009 },
    });
    const { worstMotor, motors } = estimateRotor(timeline, {});
    expect(worstMotor).toBe(3);
    const off = motors.map((m) => Math.abs(m.onceDps / truth.rotor.motors[m.motor - 1]!.onceTotalDps - 1));
    expect(Math.max(...off)).toBeLessThan(0.25);
  },
);

test("orderHistory gives one line per motor and order, on the log's clock", () => {
  const { timeline } = simulateFlight({ ...BASE, seed: 66, telemetry: { unit: "rpm", delayS: 0.004 } });
  const history = orderHistory(timeline, estimateRotor(timeline, { blades: 2 }));
  expect(history.map((h) => [h.motor, h.order])).toEqual(
    [1, 2].flatMap((order) => [1, 2, 3, 4].map((motor) => [motor, order])),
  );
  expect(history.every((h) => h.amplitude.x.length <= 300)).toBe(true);
});

test("orderMask marks the cells that the orders cross, folded ones too, and leaves most others free", () => {
  const { timeline, truth } = simulateFlight({
    ...BASE,
    logRateHz: 500,
    seed: 67,
    telemetry: { unit: "rpm", delayS: 0.004 },
  });
  const rotor = estimateRotor(timeline, { blades: 2 });
  const grid = frameGrid(
    timeline.airborne,
    { sampleRate: timeline.sampleRate, segmentLength: 512, hop: 256 },
    timeline.valid,
  );
  const mask = orderMask(grid, rotor);
  let hit = 0;
  for (let frame = 0; frame < grid.starts.length; frame++) {
    const hz = truth.rotor.common[grid.starts[frame]! + 256]!;
    if (mask[frame * grid.bins + Math.round((hz * 512) / timeline.sampleRate)] === 1) hit++;
  }
  expect(hit / grid.starts.length).toBeGreaterThan(0.98);
  const covered = mask.reduce((sum, m) => sum + m, 0) / mask.length;
  expect(covered).toBeLessThan(0.8);
});
