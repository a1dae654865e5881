import { type Axis, type PerAxis, perAxis } from "../src/units.js";
import { foldHz } from "./fold.js";
import { YAW_INERTIA } from "./geometry.js";
import { floorDensity, RATE_LOOP_HZ } from "./levels.js";
import type { LineForce } from "./line-forces.js";
import { leverOf } from "./motor-force.js";
import { resonatorResponse, resonatorStep, rigidKeep, rigidResponse } from "./resonator.js";
import { airTicks, meanOf } from "./summary.js";
import { ORDER_LEVEL_BANDWIDTH_HZ, type TrueOrder } from "./truth.js";
import type { TruthInput } from "./truth-input.js";

/** Every line that turns, with its analytic level. */
export function trueOrders(input: TruthInput): TrueOrder[] {
  const { clock, referenceHz, rotors } = input.run;
  const mean = airTicks(meanOf(rotors.hz), clock);
  const distinct = [...new Set(input.lines[0]!.map((line) => line.order))].sort((a, b) => a - b);
  const listed = listedSet(input);
  return distinct.map((order) => ({
    order,
    medianHz: order * referenceHz,
    loggedHz: foldHz(order * referenceHz, clock.logRate),
    foldedShare: mean.filter((f) => order * f > clock.logRate / 2).length / mean.length,
    levelDb: perAxis((axis) => orderLevelDb(order, axis, input)),
    listed: listed.has(order),
  }));
}

function listedSet({ run }: TruthInput): Set<number> {
  const { lines, rotors } = run.s;
  return new Set([1, 2, ...lines.bladePassDps.map((_, k) => rotors.blades * (k + 1))]);
}

function orderLevelDb(order: number, axis: Axis, input: TruthInput): number {
  const f = order * input.run.referenceHz;
  if (f > 0.45 * input.plant.clock.physicsRate) return Number.NEGATIVE_INFINITY;
  let power = 0;
  input.lines.forEach((own, m) => {
    for (const line of own) if (line.order === order) power += linePower(line, { m, axis, f }, input);
  });
  const floor =
    floorDensity(foldHz(f, input.plant.clock.logRate), axis, input.plant) * ORDER_LEVEL_BANDWIDTH_HZ;
  return 10 * Math.log10(power / floor);
}

/** Mean square rate of one motor's line on an axis at reference speed, through rigid body and modes. */
function linePower(line: LineForce, at: { m: number; axis: Axis; f: number }, input: TruthInput): number {
  const { scenario, clock } = input.plant;
  const rate = clock.physicsRate;
  let { re, im } = rigidResponse(at.f, rigidKeep(RATE_LOOP_HZ, rate), rate);
  for (const on of input.modes) {
    if (on.axis !== at.axis) continue;
    const step = resonatorStep(on.mode.frequencyHz, on.mode.dampingRatio, rate);
    const h = resonatorResponse(at.f, step, rate);
    const gain = on.gain * (on.weights?.[at.m] ?? 1);
    re += gain * h.re;
    im += gain * h.im;
  }
  const force = (line.dps * 2 * Math.PI * at.f) / leverOf(line.kind, scenario.rotors.height);
  return 0.5 * (force * lineLever(line, at, input)) ** 2 * (re * re + im * im);
}

function lineLever(line: LineForce, at: { m: number; axis: Axis }, input: TruthInput): number {
  const place = input.plant.places[at.m]!;
  const lever: PerAxis<number> =
    line.kind === "side"
      ? { roll: input.run.s.rotors.height, pitch: input.run.s.rotors.height, yaw: 1 / YAW_INERTIA }
      : { roll: place.y, pitch: place.x, yaw: 0 };
  return lever[at.axis];
}
