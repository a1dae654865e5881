import type { Axis, Hertz } from "../units.js";
import { notch } from "./biquad.js";
import { type RotorNotchStep, rotorNotchCentres } from "./chain.js";
import type { Excitation, LevelExcitation, LineSample } from "./excitation.js";
import type { FollowedAxis } from "./followed-axis.js";
import { type FrequencyAxis, frequencyAxis, sectionPower } from "./power-gain.js";
import type { Section } from "./section.js";

/** Width of a band, relative: narrow against every filter on offer. */
const RELATIVE_WIDTH = 0.012;
/**
 * What a notch leaves of the line that it follows. Speed 5 ms old (common practice, no source) that changes by 20 % a
 * second is off by δ = 0.1 %, and a notch of Q 5 leaves (2 Q δ)² of a line δ beside its centre.
 */
const FOLLOWED_LINE_POWER = 1e-4;
/** States of a level over which the notches' effect on the floor is averaged. */
const STATES = 10;

/** Bands from the lowest frequency of interest up to half the loop rate, evenly wide on a log axis. */
export interface Bands {
  readonly axis: FrequencyAxis;
  readonly fromHz: Hertz;
  /** Band of a frequency; −1 below the first. */
  index(hz: Hertz): number;
}

/** @param fromHz lowest frequency, above commanded motion */
export function bandsOf(fromHz: Hertz, loopRate: Hertz): Bands {
  const step = Math.log(1 + RELATIVE_WIDTH);
  const count = Math.ceil(Math.log(loopRate / 2 / fromHz) / step);
  const hz = Float64Array.from({ length: count }, (_, k) =>
    Math.min(loopRate / 2, fromHz * Math.exp((k + 0.5) * step)),
  );
  return {
    axis: frequencyAxis(hz, loopRate),
    fromHz,
    index: (f) => (f < fromHz ? -1 : Math.min(count - 1, Math.floor(Math.log(f / fromHz) / step))),
  };
}

/** Notches that follow the rotors, placed in every state of a level. */
export interface PlacedNotches {
  readonly step: RotorNotchStep;
  readonly sets: readonly (readonly PlacedNotch[])[];
  /** Mean power gain over the level, per band: what the floor sees. */
  readonly gain: Float64Array;
  readonly loopRate: Hertz;
  /** What they left when they ran over the log; null where they could not. */
  readonly followed: Readonly<Partial<Record<Axis, FollowedAxis>>> | null;
}

interface PlacedNotch {
  readonly order: number;
  readonly track: number;
  readonly hz: Hertz;
  readonly section: Section;
}

export function placeNotches(
  level: LevelExcitation,
  step: RotorNotchStep,
  { bands, followed }: { readonly bands: Bands } & Pick<PlacedNotches, "followed">,
): PlacedNotches {
  const loopRate = bands.axis.rate;
  const sets = level.states.map((state) => notchesAt(step, state.rotorHz, loopRate));
  return { step, sets, gain: meanGain(sets, bands.axis), loopRate, followed };
}

/**
 * Power of one axis at one level in every band, after notches that follow the rotors (or none).
 *
 * @param notches null: as it comes from the sensor
 * @returns (deg/s)² per band
 */
export function bandPower(
  excitation: Excitation,
  level: LevelExcitation,
  { axis, bands, notches }: { axis: Axis; bands: Bands; notches: PlacedNotches | null },
): Float64Array {
  const power = new Float64Array(bands.axis.hz.length);
  const part = level.axes[axis];
  if (part === undefined) return power;
  const followed = notches?.followed?.[axis] ?? null;
  addAbove(power, part.whiteAbove, { excitation, bands });
  if (followed === null) addFloor(power, part.floor, { excitation, bands });
  if (notches !== null) {
    for (let b = 0; b < power.length; b++) power[b] = power[b]! * notches.gain[b]!;
  }
  if (followed !== null) addFloor(power, followed.floor, { excitation, bands });
  // as they swept over the bins; notches laid on a common speed alone need each line for itself
  const swept = notches === null ? part.shown : (followed?.shown ?? null);
  if (swept !== null) addFloor(power, swept, { excitation, bands });
  part.lines.forEach((line, i) => {
    if (swept !== null && line.shown) return;
    const b = line.hz < excitation.loopRate / 2 ? bands.index(line.hz) : -1;
    if (b < 0) return;
    const left = followed?.left[i] ?? Number.NaN;
    const power0 = Number.isNaN(left) ? line.power * (notches === null ? 1 : lineGain(line, notches)) : left;
    power[b] = power[b]! + power0;
  });
  // the excess of single frames may add up to less than zero in a band that holds next to nothing
  for (let b = 0; b < power.length; b++) power[b] = Math.max(0, power[b]!);
  return power;
}

interface FloorPlace {
  readonly excitation: Excitation;
  readonly bands: Bands;
}

function addFloor(power: Float64Array, floor: Float64Array, { excitation, bands }: FloorPlace): void {
  const { binWidth, logRate } = excitation;
  for (let k = 1; k < floor.length; k++) {
    // a bin may straddle the first band: only the part above it counts
    const low = Math.max(bands.fromHz, (k - 0.5) * binWidth);
    const high = Math.min(logRate / 2, (k + 0.5) * binWidth);
    spread(power, bands, { low, high, density: floor[k]! });
  }
}

/** White noise between the log's Nyquist and the loop's. */
function addAbove(power: Float64Array, density: number, { excitation, bands }: FloorPlace): void {
  spread(power, bands, { low: excitation.logRate / 2, high: excitation.loopRate / 2, density });
}

/** Lays a flat density over the bands between two frequencies. */
export function spread(
  power: Float64Array,
  bands: Bands,
  { low, high, density }: { low: Hertz; high: Hertz; density: number },
): void {
  if (high <= low) return;
  const first = bands.index(low);
  const last = bands.index(high);
  for (let b = first; b <= last; b++) {
    const from = b === first ? low : bands.fromHz * (1 + RELATIVE_WIDTH) ** b;
    const to = b === last ? high : bands.fromHz * (1 + RELATIVE_WIDTH) ** (b + 1);
    power[b] = power[b]! + density * Math.max(0, to - from);
  }
}

function notchesAt(step: RotorNotchStep, rotorHz: readonly Hertz[], loopRate: Hertz): PlacedNotch[] {
  const centres = rotorNotchCentres(step, rotorHz);
  return centres.flatMap((hz, i) => {
    if (!(hz < 0.45 * loopRate)) return [];
    const order = step.orders[Math.floor(i / rotorHz.length)]!;
    return [{ order, track: i % rotorHz.length, hz, section: notch(hz, loopRate, step.q) }];
  });
}

function meanGain(sets: readonly (readonly PlacedNotch[])[], axis: FrequencyAxis): Float64Array {
  const gain = new Float64Array(axis.hz.length);
  const step = Math.max(1, sets.length / STATES);
  const picked = Array.from({ length: Math.min(STATES, sets.length) }, (_, i) => sets[Math.floor(i * step)]!);
  for (const set of picked) {
    for (let b = 0; b < gain.length; b++) {
      let g = 1;
      for (const { section } of set) g *= sectionPower(section, axis.cos1[b]!, axis.cos2[b]!);
      gain[b] = gain[b]! + g / picked.length;
    }
  }
  return gain;
}

/** What all notches leave of a line: its own follows it, the others meet it beside their centres. */
export function lineGain(line: LineSample, { step, sets, loopRate }: PlacedNotches): number {
  const cos1 = Math.cos((2 * Math.PI * line.hz) / loopRate);
  const cos2 = 2 * cos1 * cos1 - 1;
  let gain = 1;
  for (const placed of sets[line.state]!) {
    const own = placed.order === line.order && placed.track === line.track && placed.hz > step.lowestHz;
    gain *= own ? FOLLOWED_LINE_POWER : sectionPower(placed.section, cos1, cos2);
  }
  return Math.max(gain, FOLLOWED_LINE_POWER);
}
