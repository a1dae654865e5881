import { AXES } from "../src/units.js";
import { foldHz } from "./fold.js";
import { driftHz } from "./mode-frequency.js";
import type { ModeSpec } from "./scenario.js";
import { airTicks, quantiles } from "./summary.js";
import type { TrueMode, TrueOrder } from "./truth.js";
import type { TruthInput } from "./truth-input.js";

const MIN_FREE_FRAMES = 8;
const GUARD_HZ = 4;
const PRESENT_DB = -6;

/** A mode as it was flown: range, smeared prominence, frames in which it could be seen. */
export function trueMode(mode: ModeSpec, orders: readonly TrueOrder[], input: TruthInput): TrueMode {
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
