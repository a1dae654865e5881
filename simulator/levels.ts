import type { Axis } from "../src/units.js";
import type { Clock } from "./clock.js";
import { type MotorPlace, YAW_INERTIA } from "./geometry.js";
import { GUST_HZ } from "./motion.js";
import { resonatorGain2, resonatorStep, rigidKeep, rigidResponse } from "./resonator.js";
import type { FullScenario, ModeSpec } from "./scenario.js";
import { slowDensity } from "./slow.js";

/** Crossover of the rate loop, below which it holds the rigid body. */
export const RATE_LOOP_HZ = 8;

/** What the analytic levels need. */
export interface Plant {
  readonly scenario: FullScenario;
  readonly clock: Clock;
  readonly places: readonly MotorPlace[];
}

/** Lever of a motor's wash force on an axis, rate-of-rate per force. */
export function washLever(place: MotorPlace, axis: Axis): number {
  if (axis === "roll") return place.y;
  if (axis === "pitch") return place.x;
  return 1 / YAW_INERTIA;
}

/**
 * Standard deviation of one motor's wash force per physics sample, such that roll and pitch show the stated rate
 * density at 100 Hz at reference speed, corner apart: density · 2π·100 is the torque's, half the motors' power each.
 */
export function washSigma(plant: Plant): number {
  const { wash, rotors } = plant.scenario;
  const torque = wash.density * 2 * Math.PI * 100;
  return (torque * Math.sqrt(plant.clock.physicsRate / 2)) / Math.sqrt(rotors.count / 2);
}

/** Weight of the sample-to-sample difference in the wash force: the zero that levels the rate above the corner. */
export function washTilt(plant: Plant): number {
  return plant.clock.physicsRate / (2 * Math.PI * plant.scenario.wash.cornerHz);
}

/** |1 + tilt (1 - z⁻¹)|². */
function tiltGain2(f: number, plant: Plant): number {
  const k = washTilt(plant);
  const c = Math.cos((2 * Math.PI * f) / plant.clock.physicsRate);
  return (1 + k) ** 2 + k * k - 2 * k * (1 + k) * c;
}

/** One-sided PSD of the wash torque at f on an axis, motors weighted, at reference speed, before folding. */
function torqueDensity(f: number, drive: { axis: Axis; weights: Float64Array | null }, plant: Plant): number {
  const levers = plant.places.reduce((sum, place, m) => {
    const weight = drive.weights?.[m] ?? 1;
    return sum + (weight * washLever(place, drive.axis)) ** 2;
  }, 0);
  return levers * washSigma(plant) ** 2 * (2 / plant.clock.physicsRate) * tiltGain2(f, plant);
}

/** True frequencies that appear at f in a log taken at `logRate`, up to the physics' Nyquist. */
export function imagesOf(f: number, clock: Clock): number[] {
  const images = [f];
  for (let k = 1; k * clock.logRate <= clock.physicsRate / 2 + f; k++) {
    for (const image of [k * clock.logRate - f, k * clock.logRate + f]) {
      if (image <= clock.physicsRate / 2) images.push(image);
    }
  }
  return images;
}

/** One-sided PSD of the logged raw gyro without modes, lines and commanded motion, at reference speed, (deg/s)²/Hz. */
export function floorDensity(f: number, axis: Axis, plant: Plant): number {
  const { clock, scenario } = plant;
  const keep = rigidKeep(RATE_LOOP_HZ, clock.physicsRate);
  let sum = 0;
  for (const image of imagesOf(f, clock)) {
    const h = rigidResponse(image, keep, clock.physicsRate);
    sum += torqueDensity(image, { axis, weights: null }, plant) * (h.re * h.re + h.im * h.im);
  }
  const gust = scenario.flight.gustDps * (axis === "yaw" ? 0.5 : 1);
  return sum + loggedNoiseDensity(plant) + gust * gust * slowDensity(f, GUST_HZ);
}

/** Sensor noise and quantisation as logged, (deg/s)²/Hz: white, folded by picking every n-th sample. */
export function loggedNoiseDensity(plant: Plant): number {
  const { sensor } = plant.scenario;
  return sensor.density ** 2 * plant.clock.every + sensor.quantumDps ** 2 / 6 / plant.clock.logRate;
}

/** One-sided PSD of a mode of unit gain at f as logged, (deg/s)²/Hz. */
export function modeDensity(
  f: number,
  drive: { mode: ModeSpec; axis: Axis; weights: Float64Array | null },
  plant: Plant,
): number {
  const rate = plant.clock.physicsRate;
  const step = resonatorStep(drive.mode.frequencyHz, drive.mode.dampingRatio, rate);
  return imagesOf(f, plant.clock).reduce(
    (sum, image) => sum + torqueDensity(image, drive, plant) * resonatorGain2(image, step, rate),
    0,
  );
}
