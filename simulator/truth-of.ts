import { AXES } from "../src/units.js";
import { chainDelayS } from "./filters.js";
import { foldHz } from "./fold.js";
import { YAW_INERTIA } from "./geometry.js";
import { floorDensity, loggedNoiseDensity } from "./levels.js";
import type { FlightRun } from "./logged.js";
import { leverOf } from "./motor-force.js";
import { airTicks, meanOf, median, quantiles } from "./summary.js";
import { atTick } from "./telemetry.js";
import { trueMode } from "./true-modes.js";
import { trueOrders } from "./true-orders.js";
import type { TrueMotor, Truth } from "./truth.js";
import type { TruthInput } from "./truth-input.js";

/** Collects what is true of a flight. */
export function truthOf(input: TruthInput): Truth {
  const { s, clock } = input.run;
  const orders = trueOrders(input);
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
    tones: trueTones(input),
    chain: trueChain(input),
    sensor: trueSensor(input),
    floorDensity: (f, axis) => floorDensity(f, axis, input.plant),
  };
}

function trueTones({ run: { s, clock } }: TruthInput): Truth["tones"] {
  return s.tones.map((tone) => ({
    trueHz: tone.frequencyHz,
    loggedHz: foldHz(tone.frequencyHz, clock.logRate),
    folded: tone.frequencyHz > clock.logRate / 2,
    axes: AXES.filter((axis) => tone.amplitudeDps[axis] !== undefined),
    amplitudeDps: tone.amplitudeDps,
    driftHzPerS: tone.driftHzPerS ?? 0,
  }));
}

function trueChain({ run: { s, clock } }: TruthInput): Truth["chain"] {
  return {
    loopRateHz: clock.physicsRate,
    gyro: s.chain.gyro,
    dterm: s.chain.dterm,
    gyroDelayS: chainDelayS(s.chain.gyro, clock.physicsRate),
    dtermDelayS: chainDelayS(s.chain.dterm, clock.physicsRate) + 0.5 / clock.physicsRate,
  };
}

function trueSensor({ plant, run: { s, clock } }: TruthInput): Truth["sensor"] {
  const noise = loggedNoiseDensity(plant);
  return {
    density: s.sensor.density,
    loggedDensity: Math.sqrt(noise),
    quantumDps: s.sensor.quantumDps,
    rmsDps: Math.sqrt((noise * clock.logRate) / 2),
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
