import type { Clock } from "./clock.js";
import type { Random } from "./random.js";
import type { FullScenario, ThrottleProfile } from "./scenario.js";
import { slowNoise } from "./slow.js";

const TAKE_OFF_S = 1.5;

/** Commanded throttle 0..1 at every tick: 0 at rest, ramps at take-off and landing, the profile between. */
export function throttleSeries(s: FullScenario, clock: Clock, random: Random): Float64Array {
  const air = airThrottle(s, clock, random);
  const out = new Float64Array(clock.ticks);
  for (let k = 0; k < clock.ticks; k++) {
    const t = k / clock.tickRate - clock.airFromS;
    const left = s.durationS - t;
    if (t < 0 || left < 0) continue;
    const idle = 0.08;
    const share = Math.min(1, t / TAKE_OFF_S, left / TAKE_OFF_S);
    const grounded = s.flight.restBeforeS > 0 || s.flight.restAfterS > 0;
    out[k] = grounded ? idle + (air[k]! - idle) * share : air[k]!;
  }
  return out;
}

function airThrottle(s: FullScenario, clock: Clock, random: Random): Float64Array {
  const wobble = slowNoise(random, clock.ticks, { rate: clock.tickRate, cutoffHz: 0.4 });
  const shape = shapeOf(s.flight.profile, s, random);
  const usual = typeof s.flight.profile === "string" ? WOBBLE[s.flight.profile] : 0.01;
  const depth = s.flight.throttleWobble ?? usual;
  return wobble.map((w, k) => {
    const t = k / clock.tickRate - clock.airFromS;
    return Math.min(0.97, Math.max(0.1, shape(t) * (1 + depth * w)));
  });
}

const WOBBLE = { sweep: 0.03, cruise: 0.03, punchy: 0.05, hover: 0.012 };

function shapeOf(profile: ThrottleProfile, s: FullScenario, random: Random): (t: number) => number {
  const hover = s.rotors.hoverThrottle;
  if (profile === "hover") return () => hover;
  if (profile === "sweep") return sweep(hover, random);
  if (profile === "cruise") return steps(s, cruiseLeg(hover, random), random);
  if (profile === "punchy") return steps(s, punch(hover, random), random);
  return (t) => interpolate(profile, t);
}

/** Slow climbs and descents through most of the throttle range. */
function sweep(hover: number, random: Random): (t: number) => number {
  const period = random.between(10, 18);
  const low = hover * random.between(0.6, 0.7);
  const high = Math.min(0.92, hover * random.between(1.65, 1.9));
  const start = random.uniform();
  return (t) => {
    const phase = (t / period + start) % 1;
    return low + (high - low) * (phase < 0.5 ? 2 * phase : 2 - 2 * phase);
  };
}

interface Leg {
  readonly seconds: number;
  readonly throttle: number;
}

/** Straight legs a little above and below hover. */
function cruiseLeg(hover: number, random: Random): () => Leg {
  return () => ({ seconds: random.between(2, 6), throttle: hover * random.between(0.8, 1.35) });
}

/** Short punches and chops. */
function punch(hover: number, random: Random): () => Leg {
  return () =>
    random.chance(0.4)
      ? { seconds: random.between(0.25, 0.9), throttle: random.between(1.4, 2.1) * hover }
      : { seconds: random.between(0.4, 2.2), throttle: random.between(0.45, 1.25) * hover };
}

/** Legs one after the other, joined by quick ramps of 0.15 s (punches) to 1 s. */
function steps(s: FullScenario, leg: () => Leg, random: Random): (t: number) => number {
  const ramp =
    s.flight.profile === "punchy" ? () => random.between(0.08, 0.25) : () => random.between(0.6, 1.5);
  const points: [number, number][] = [[0, s.rotors.hoverThrottle]];
  for (let t = 0; t < s.durationS; ) {
    const { seconds, throttle } = leg();
    const level = Math.min(0.95, Math.max(0.12, throttle));
    t += ramp();
    points.push([t, level]);
    t += seconds;
    points.push([t, level]);
  }
  let at = 0;
  return (t) => {
    while (at < points.length - 2 && points[at + 1]![0] < t) at++;
    while (at > 0 && points[at]![0] > t) at--;
    return interpolate(points.slice(at, at + 2), t);
  };
}

function interpolate(points: readonly (readonly [number, number])[], t: number): number {
  let i = 0;
  while (i < points.length - 2 && points[i + 1]![0] < t) i++;
  const [t0, u0] = points[i]!;
  const [t1, u1] = points[Math.min(i + 1, points.length - 1)]!;
  const share = t1 > t0 ? Math.min(1, Math.max(0, (t - t0) / (t1 - t0))) : 0;
  return u0 + (u1 - u0) * share;
}
