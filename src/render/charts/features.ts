import type { Mode } from "../../modes/mode.js";
import type { Result } from "../../result.js";
import type { Axis, Hertz, Interval } from "../../units.js";
import { figure, modeHz, orderName, range } from "../format.js";

/**
 * Folds a frequency about 0 and the log's Nyquist frequency.
 *
 * @example folded(700, 500) // 300
 */
export function folded(hz: Hertz, nyquist: Hertz): Hertz {
  const period = 2 * nyquist;
  const rest = ((hz % period) + period) % period;
  return rest > nyquist ? period - rest : rest;
}

/** An order line as drawn: its name and where it lies over the flight's range of rotor speed. */
export interface RotorBand {
  readonly order: number;
  readonly name: string;
  /** Where the line lies in the log, folded if it must be. */
  readonly hz: Interval;
  readonly folded: boolean;
}

/** Once per turn and blade pass always, other orders where the result lists them. */
export function drawnOrders(result: Result): number[] {
  const { rotor } = result;
  if (rotor.bandHz === null) return [];
  const orders = new Set([1, ...rotor.orders.map((o) => o.order)]);
  if (rotor.blades !== null) orders.add(rotor.blades);
  return [...orders].sort((a, b) => a - b).slice(0, 8);
}

/** Bands of the orders in the log; a band that reaches over Nyquist is drawn as its folded part too. */
export function rotorBands(result: Result): RotorBand[] {
  const { bandHz, blades } = result.rotor;
  const nyquist = result.log.nyquistHz;
  if (bandHz === null) return [];
  return drawnOrders(result).flatMap((order) => {
    const [lo, hi] = [bandHz[0] * order, bandHz[1] * order];
    const name = orderName(order, blades);
    const direct: RotorBand[] =
      lo < nyquist ? [{ order, name, hz: [lo, Math.min(hi, nyquist)], folded: false }] : [];
    if (hi <= nyquist) return direct;
    const from = Math.max(lo, nyquist);
    const ends = [folded(from, nyquist), folded(hi, nyquist)].sort((a, b) => a - b);
    // A band over a whole fold reaches one of the two ends.
    const turns = Math.floor(hi / nyquist) > Math.floor(from / nyquist + 1e-9);
    const low = turns ? 0 : ends[0]!;
    return [...direct, { order, name, hz: [low, ends[1]!] as Interval, folded: true }];
  });
}

/** Modes that show on an axis. */
export function modesOn(result: Result, axis: Axis): Mode[] {
  return result.modes.filter((m) => m.axes.some((a) => a.axis === axis));
}

/** The ends of the frequency axis that all charts of a flight share. */
export function frequencyDomain(result: Result): [number, number] {
  const nyquist = result.log.nyquistHz;
  const lowest = Math.min(...result.modes.map((m) => m.ci95Hz[0]), nyquist / 20, 8);
  return [lowest > 5 ? 5 : Math.max(0.5, lowest / 1.5), nyquist];
}

/** Everything with a place on the frequency axis, in words: for alternative text and for the page's readout. */
export interface Feature {
  readonly kind: "quiet" | "rotor" | "mode" | "tone" | "hidden";
  readonly label: string;
  readonly fromHz: Hertz;
  readonly toHz: Hertz;
  /** Axes it concerns; all when empty. */
  readonly axes: readonly Axis[];
}

export function features(result: Result): Feature[] {
  const { axes } = result;
  const quiet = (["roll", "pitch", "yaw"] as const).flatMap((axis): Feature[] => {
    const { fromHz, toHz, rmsDps } = axes[axis].quietBand;
    if (fromHz === null || toHz === null || toHz <= fromHz) return [];
    const label = `quiet band of ${axis}, ${figure(rmsDps)} deg/s`;
    return [{ kind: "quiet", label, fromHz, toHz, axes: [axis] }];
  });
  const modes = result.modes.map((m): Feature => {
    const [fromHz, toHz] = m.ci95Hz;
    return {
      kind: "mode",
      label: `${m.kind} mode ${modeHz(m)}`,
      fromHz,
      toHz,
      axes: m.axes.map((a) => a.axis),
    };
  });
  const tones = result.tones.map((t): Feature => {
    const label = `tone ${figure(t.frequencyHz, 4)} Hz`;
    return { kind: "tone", label, fromHz: t.frequencyHz, toHz: t.frequencyHz, axes: t.axes };
  });
  const rotor = rotorBands(result).map((b): Feature => {
    const label = `${b.name}${b.folded ? ", folded" : ""}: ${range(b.hz, "Hz")}`;
    return { kind: "rotor", label, fromHz: b.hz[0], toHz: b.hz[1], axes: [] };
  });
  const hidden = result.modesUnobservable.map((u): Feature => {
    return { kind: "hidden", label: `cannot be seen: ${u.why}`, fromHz: u.fromHz, toHz: u.toHz, axes: [] };
  });
  return [...modes, ...tones, ...quiet, ...rotor, ...hidden];
}
