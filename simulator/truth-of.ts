import { AXES, type Axis, type PerAxis, perAxis } from "../src/units.js";
import { chainDelayS } from "./filters.js";
import { foldHz } from "./fold.js";
import { YAW_INERTIA } from "./geometry.js";
import { floorDensity, loggedNoiseDensity, type Plant, RATE_LOOP_HZ } from "./levels.js";
import type { LineForce } from "./line-forces.js";
import type { FlightRun } from "./logged.js";
import type { ModeOnAxis } from "./mode-drive.js";
import { driftHz, type ThrustRange } from "./mode-frequency.js";
import { leverOf } from "./motor-force.js";
import { resonatorResponse, resonatorStep, rigidKeep, rigidResponse } from "./resonator.js";
import type { ModeSpec } from "./scenario.js";
import { airTicks, meanOf, median, quantiles } from "./summary.js";
import { atTick } from "./telemetry.js";
import {
  ORDER_LEVEL_BANDWIDTH_HZ,
  type TrueMode,
  type TrueMotor,
  type TrueOrder,
  type Truth,
} from "./truth.js";

export interface TruthInput {
  readonly plant: Plant;
  readonly run: FlightRun;
  readonly lines: readonly (readonly LineForce[])[];
  readonly modes: readonly ModeOnAxis[];
  readonly modeHz: readonly Float64Array[];
  readonly thrust: ThrustRange;
}

/** Collects what is true of a flight. */
export function truthOf(input: TruthInput): Truth {
  const { s, clock } = input.run;
  const orders = trueOrders(input);
  const noise = loggedNoiseDensity(input.plant);
  return {
    seed: s.seed,
    name: s.name,
    sampleRate: clock.logRate,
    nyquistHz: clock.logRate / 2,
    physicsRate: clock.physicsRate,
    airFromS: clock.airFromS,
    airToS: clock.airToS,
    rotor: { ...trueSpeeds(input), motors: trueMotors(input), orders },
    modes: s.modes.map((mode) => trueMode(mode, orders, input)),
    tones: s.tones.map((tone) => ({
      trueHz: tone.frequencyHz,
      loggedHz: foldHz(tone.frequencyHz, clock.logRate),
      folded: tone.frequencyHz > clock.logRate / 2,
      axes: AXES.filter((axis) => tone.amplitudeDps[axis] !== undefined),
      amplitudeDps: tone.amplitudeDps,
      driftHzPerS: tone.driftHzPerS ?? 0,
    })),
    chain: {
      loopRateHz: clock.physicsRate,
      gyro: s.chain.gyro,
      dterm: s.chain.dterm,
      gyroDelayS: chainDelayS(s.chain.gyro, clock.physicsRate),
      dtermDelayS: chainDelayS(s.chain.dterm, clock.physicsRate) + 0.5 / clock.physicsRate,
    },
    sensor: {
      density: s.sensor.density,
      loggedDensity: Math.sqrt(noise),
      quantumDps: s.sensor.quantumDps,
      rmsDps: Math.sqrt((noise * clock.logRate) / 2),
    },
    floorDensity: (f, axis) => floorDensity(f, axis, input.plant),
  };
}

function trueSpeeds({ run }: TruthInput) {
  const { s, clock, rotors } = run;
  const atLog = (x: Float64Array): Float32Array => {
    const out = new Float32Array(clock.logLength);
    for (let i = 0; i < out.length; i++) out[i] = atTick(x, (i * clock.tickRate) / clock.logRate);
    return out;
  };
  const mean = meanOf(rotors.hz);
  const air = airTicks(mean, clock);
  const [p5, p50, p95] = quantiles(air, [0.05, 0.5, 0.95]) as [number, number, number];
  const bad = s.rotors.bad;
  return {
    tracks: rotors.hz.map(atLog),
    common: atLog(mean),
    medianHz: p50,
    bandHz: [p5, p95] as const,
    separationHz: separation(run),
    divisor: s.telemetry ? (s.telemetry.unit === "electrical rpm" ? s.rotors.polePairs : 1) : null,
    unit: s.telemetry?.unit ?? null,
    blades: s.rotors.blades,
    delayS: s.telemetry?.delayS ?? null,
    meanAgeS: s.telemetry ? s.telemetry.delayS + heldS(s.telemetry.refreshHz, clock.logRate) : null,
    worstMotor: bad && bad.factor > 1 ? bad.motor : null,
    worstFactor: bad?.factor ?? 1,
  };
}

/** Mean time since the last refresh, seen at log rows. */
function heldS(refreshHz: number, logRate: number): number {
  return refreshHz >= logRate ? 0 : 0.5 / refreshHz;
}

function separation({ rotors, clock }: FlightRun): number {
  const air = rotors.hz.map((hz) => airTicks(hz, clock));
  const steps: number[] = [];
  for (let k = 0; k < air[0]!.length; k += 50) {
    const sorted = air.map((hz) => hz[k]!).sort((a, b) => a - b);
    steps.push(median(sorted.slice(1).map((v, i) => v - sorted[i]!)));
  }
  return median(steps);
}

function trueMotors({ run, lines }: TruthInput): TrueMotor[] {
  const { height } = run.s.rotors;
  return lines.map((own, m) => {
    const force = (own.find((line) => line.order === 1)?.dps ?? 0) / leverOf("side", height);
    const onceDps = { roll: height * force, pitch: height * force, yaw: force / YAW_INERTIA };
    return { motor: m + 1, onceDps, onceTotalDps: Math.hypot(onceDps.roll, onceDps.pitch, onceDps.yaw) };
  });
}

function trueOrders(input: TruthInput): TrueOrder[] {
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

const MIN_FREE_FRAMES = 8;
const GUARD_HZ = 4;
const PRESENT_DB = -6;

function trueMode(mode: ModeSpec, orders: readonly TrueOrder[], input: TruthInput): TrueMode {
  const { clock } = input.run;
  const j = input.modes.findIndex((on) => on.mode === mode);
  const hz = airTicks(j < 0 ? Float64Array.of(mode.frequencyHz) : input.modeHz[j]!, clock);
  const [low, high] = j < 0 ? [mode.frequencyHz, mode.frequencyHz] : quantiles(hz, [0, 1]);
  const free = freeFrames(mode, orders, input);
  const smeared = averagedPeak(hz, mode);
  return {
    frequencyHz: mode.frequencyHz,
    dampingRatio: mode.dampingRatio,
    kind: mode.kind ?? "structure",
    axes: AXES.flatMap((axis) => {
      const prominenceDb = mode.prominenceDb[axis];
      if (prominenceDb === undefined) return [];
      const own = 10 ** (prominenceDb / 10) - 1;
      return [{ axis, prominenceDb, averagedDb: 10 * Math.log10(1 + own * smeared.share) }];
    }),
    averagedHz: smeared.hz,
    rangeHz: [low!, high!],
    driftHz: driftHz(mode, input.thrust),
    freeShare: free.share,
    observable: free.count >= MIN_FREE_FRAMES,
  };
}

/** Peak of the flight's mean of the resonance curve 1 / (1 + x²), x = (f - f0(t)) / (ζ f0), and where it lies. */
function averagedPeak(hz: Float64Array, mode: ModeSpec): { share: number; hz: number } {
  const half = mode.dampingRatio * mode.frequencyHz;
  const [low, high] = quantiles(hz, [0, 1]) as [number, number];
  if (high - low < 0.01 * half) return { share: 1, hz: mode.frequencyHz };
  const sparse = Float64Array.from({ length: 400 }, (_, i) => hz[Math.floor((i * hz.length) / 400)]!);
  const best = { share: 0, hz: mode.frequencyHz };
  for (let f = low; f <= high; f += 0.05 * half) {
    const share = sparse.reduce((sum, f0) => sum + 1 / (1 + ((f - f0) / half) ** 2), 0) / sparse.length;
    if (share > best.share) Object.assign(best, { share, hz: f });
  }
  return best;
}

/** Counts one-second frames in which no line that stands out enters the mode's half-power band and guard. */
function freeFrames(
  mode: ModeSpec,
  orders: readonly TrueOrder[],
  input: TruthInput,
): { count: number; share: number } {
  const { clock, rotors } = input.run;
  const reach = mode.dampingRatio * mode.frequencyHz + GUARD_HZ;
  const present = orders.filter((o) =>
    AXES.some((a) => mode.prominenceDb[a] !== undefined && o.levelDb[a] > PRESENT_DB),
  );
  const air = rotors.hz.map((hz) => airTicks(hz, clock));
  const frame = Math.round(clock.tickRate);
  const step = Math.max(1, Math.round(clock.tickRate / 125));
  let frames = 0;
  let count = 0;
  for (let from = 0; from + frame <= air[0]!.length; from += frame >> 1) {
    frames++;
    const touched = air.some((hz) => {
      for (let k = from; k < from + frame; k += step) {
        for (const o of present) {
          if (Math.abs(foldHz(o.order * hz[k]!, clock.logRate) - mode.frequencyHz) < reach) return true;
        }
      }
      return false;
    });
    if (!touched) count++;
  }
  return { count, share: frames > 0 ? count / frames : 0 };
}
