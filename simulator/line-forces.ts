import type { Clock } from "./clock.js";
import { randomStream } from "./random.js";
import type { FullScenario } from "./scenario.js";
import { slowNoise } from "./slow.js";

/** One line of one motor: a force of complex amplitude at `order` times the rotor's turn. */
export interface LineForce {
  readonly order: number;
  /** Rigid-body rate amplitude at reference speed, deg/s; the motor's own factor included. */
  readonly dps: number;
  readonly phase: number;
  /** A side force turning with the rotor (imbalance), or a ripple of thrust (blade pass). */
  readonly kind: "side" | "thrust";
  /** Relative amplitude per tick, or null when steady. */
  readonly wander: Float64Array | null;
}

const WANDER_HZ = 0.25;

/** Lines of every motor. Imbalance (the bad motor's too) scales orders that are not multiples of the blades. */
export function lineForces(s: FullScenario, clock: Clock): LineForce[][] {
  const random = randomStream(s.craftSeed, "line forces");
  const orders = listedOrders(s);
  return Array.from({ length: s.rotors.count }, (_, m) => {
    const imbalance = imbalanceFactor(s, m + 1, random.normal());
    return orders.map(({ order, dps, kind }, i) => ({
      order,
      dps: dps * (kind === "side" ? imbalance : 1 + 0.1 * random.normal()),
      phase: random.between(0, 2 * Math.PI),
      kind,
      wander: s.lines.wander > 0 ? wandering(s, clock, `wander ${m} ${i}`) : null,
    }));
  });
}

/** Orders with a force, before each motor's own factor: whole orders rising, then the others. */
export function listedOrders(s: FullScenario): { order: number; dps: number; kind: "side" | "thrust" }[] {
  const { blades } = s.rotors;
  const side = [
    { order: 1, dps: s.lines.onceDps },
    { order: 2, dps: s.lines.twiceDps },
    ...s.lines.unlisted,
  ].map((line) => ({ ...line, kind: "side" as const }));
  const thrust = s.lines.bladePassDps.map((dps, k) => ({
    order: blades * (k + 1),
    dps,
    kind: "thrust" as const,
  }));
  const whole = (order: number): number => (Number.isInteger(order) ? 0 : 1);
  return [...side, ...thrust]
    .filter((line) => line.dps > 0)
    .sort((a, b) => whole(a.order) - whole(b.order) || a.order - b.order);
}

function imbalanceFactor(s: FullScenario, motor: number, deviate: number): number {
  if (s.rotors.bad?.motor === motor) return s.rotors.bad.factor;
  return Math.max(0.1, 1 + s.rotors.imbalanceSpread * deviate);
}

function wandering(s: FullScenario, clock: Clock, label: string): Float64Array {
  const noise = slowNoise(randomStream(s.seed, label), clock.ticks, {
    rate: clock.tickRate,
    cutoffHz: WANDER_HZ,
  });
  return noise.map((v) => Math.max(0.1, 1 + s.lines.wander * v));
}
