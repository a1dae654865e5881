import { refusal, sameModeHz } from "./accept.js";
import { type AxisMode, prominenceDb } from "./axis-mode.js";
import type { Scan } from "./candidates.js";
import { type Fit, fitModes, fitWindow, type ModeStart } from "./fit-modes.js";
import type { FixedAverage } from "./masked-average.js";
import { persistence } from "./persistence.js";
import { type ResolutionBank, typicalFrames } from "./resolution-bank.js";
import type { Seed } from "./seeds.js";

/** Enough of a mode to serve as a neighbour. */
export type Neighbour = Pick<AxisMode, "frequencyHz" | "dampingRatio" | "gain" | "lean">;

/** Factors on the damping ratio to start from: where it was only read off, and where it was fitted before. */
const UNSURE_WIDTHS = [0.5, 1.5];
const FITTED_WIDTH = [1];
/** Longer frames are tried while the half-power width is under this many bins. */
const NARROW_BINS = 3;
const LEAST_LONG_FRAMES = 8;
/** A neighbour's skirt below this share of the floor is left out. */
const FAINT_SKIRT = 0.05;

/** More neighbours than the strongest few would only be fitted to noise. */
const MOST_NEIGHBOURS = 5;

/** A fit with more known neighbours that leaves so much more of its window unexplained has run into a side valley. */
const MOST_WORSE = 1.3;

/** How far a mode may move in a fit, Hz. */
function reach(frequencyHz: number): number {
  return Math.max(3, 0.03 * frequencyHz);
}

/** Neighbours that matter in a window: free when centred inside, held when only a skirt reaches in. */
function neighbourStarts(
  neighbours: readonly Neighbour[],
  place: { fromHz: number; toHz: number },
): ModeStart[] {
  const starts: ModeStart[] = [];
  for (const n of neighbours) {
    const inside = n.frequencyHz > place.fromHz && n.frequencyHz < place.toHz;
    const edge = n.frequencyHz <= place.fromHz ? place.fromHz : place.toHz;
    const x = (edge / n.frequencyHz - n.frequencyHz / edge) / (2 * n.dampingRatio);
    if (!inside && n.gain / (1 + x * x) < FAINT_SKIRT) continue;
    starts.push({ ...n, reachHz: reach(n.frequencyHz), held: !inside });
  }
  return starts.sort((a, b) => b.gain - a.gain).slice(0, MOST_NEIGHBOURS);
}

/** Cheapest fit over several starts of the new mode; it comes last in `modes`. */
function bestFit(
  average: FixedAverage,
  seed: Seed,
  neighbours: readonly Neighbour[],
  start: { level: number; widths: readonly number[] },
): { fit: Fit; drop: number } | null {
  const place = fitWindow(seed.frequencyHz, seed.dampingRatio, average.df);
  const others = neighbourStarts(neighbours, place);
  const { level, widths } = start;
  const without = fitModes(average, place, others, level);
  let best: Fit | null = null;
  for (const factor of widths) {
    const own: ModeStart = {
      frequencyHz: seed.frequencyHz,
      dampingRatio: seed.dampingRatio * factor,
      gain: seed.gain,
      lean: 0,
      reachHz: reach(seed.frequencyHz),
      held: false,
    };
    const fit = fitModes(average, place, [...others, own], level);
    if (fit !== null && (best === null || fit.cost < best.cost)) best = fit;
  }
  if (best === null || without === null) return null;
  return { fit: best, drop: without.robustSquares - best.robustSquares };
}

/** ln floor at a frequency. */
function floorAt(scan: Scan, df: number, frequencyHz: number): number {
  return scan.floor.level[Math.round(frequencyHz / df)] ?? Number.NaN;
}

/** What a fit of one axis works on. */
export interface AxisData {
  readonly bank: ResolutionBank;
  readonly axis: number;
  readonly scan: Scan;
  /** Below this what turns leaves no lines, Hz: a peak that moves there is not one. */
  readonly lineFreeHz: number;
}

function asAxisMode(
  data: AxisData,
  seed: Seed,
  found: { fit: Fit; drop: number },
  average: FixedAverage,
): AxisMode {
  const j = found.fit.modes.length - 1;
  const mode = found.fit.modes[j]!;
  const place = fitWindow(mode.frequencyHz, mode.dampingRatio, average.df);
  return {
    ...mode,
    axis: data.axis,
    prominenceDb: prominenceDb(mode.gain),
    drop: found.drop,
    searchP: seed.searchP,
    persistence: persistence(average, found.fit, j),
    misfit: found.fit.misfit,
    frames: typicalFrames(average, place.fromHz, place.toHz),
    fit: found.fit,
    average,
  };
}

/** What a fit moves along with: Hz above the place at median speed, from the frame's speed ratio; null: nothing. */
export type Follow = ((ratio: number) => number) | null;

/** The base average, or one that follows a drifting mode. */
function baseAverage(data: AxisData, seed: Seed, follow: Follow): FixedAverage {
  const base = data.bank.averages[data.axis]!;
  if (follow === null) return base;
  const { fromHz, toHz } = fitWindow(seed.frequencyHz, seed.dampingRatio, base.df);
  return data.bank.zoom(data.axis, { step: 0, fromHz, toHz, follow }) ?? base;
}

/**
 * Fits one seed among its neighbours; on longer frames while its half-power width is under three bins.
 *
 * @returns null when the window holds too few usable bins
 */
export function fitSeed(
  data: AxisData,
  seed: Seed,
  neighbours: readonly Neighbour[],
  follow: Follow = null,
): AxisMode | null {
  const widths = "sdHz" in seed ? FITTED_WIDTH : UNSURE_WIDTHS;
  const level = floorAt(data.scan, data.bank.averages[data.axis]!.df, seed.frequencyHz);
  if (!Number.isFinite(level)) return null;
  let average = baseAverage(data, seed, follow);
  let found = bestFit(average, seed, neighbours, { level, widths });
  for (let step = 1; found !== null; step++) {
    const mode = found.fit.modes[found.fit.modes.length - 1]!;
    if (2 * mode.dampingRatio * mode.frequencyHz >= NARROW_BINS * average.df) break;
    const { fromHz, toHz } = fitWindow(mode.frequencyHz, mode.dampingRatio, average.df / 2);
    const longer = data.bank.zoom(data.axis, { step, fromHz, toHz, follow });
    if (longer === null || !(typicalFrames(longer, fromHz, toHz) >= LEAST_LONG_FRAMES)) break;
    const again = bestFit(longer, { ...seed, ...mode }, neighbours, { level, widths: FITTED_WIDTH });
    if (again === null) break;
    average = longer;
    found = again;
  }
  return found === null ? null : asAxisMode(data, seed, found, average);
}

/** Start of a mode known from another axis, as a neighbour. */
function fromOtherAxis(mode: AxisMode): Neighbour {
  return { frequencyHz: mode.frequencyHz, dampingRatio: mode.dampingRatio, gain: 0.5, lean: 0 };
}

/** What the second pass knows: modes of the other axes, and what each own mode drifts. */
export interface Refinement {
  readonly elsewhere: readonly AxisMode[];
  follow(mode: AxisMode): Follow;
}

/**
 * Second pass: every accepted mode again, now with all others of its axis and those found on other axes as
 * neighbours, and following its drift. The old values stay where the new ones run away.
 */
export function refineAxis(
  data: AxisData,
  own: readonly AxisMode[],
  { elsewhere, follow }: Refinement,
): AxisMode[] {
  return own.map((mode) => {
    const others = own.filter((m) => m !== mode);
    const foreign: Neighbour[] = [];
    for (const m of elsewhere) {
      const known = [mode, ...others, ...foreign];
      const apart = known.every((o) => Math.abs(o.frequencyHz - m.frequencyHz) > sameModeHz(o, m));
      if (apart) foreign.push(fromOtherAxis(m));
    }
    const again = fitSeed(data, mode, [...others, ...foreign], follow(mode));
    if (again === null || refusal(again, data.lineFreeHz) !== null) return mode;
    if (again.misfit > MOST_WORSE * mode.misfit) return mode;
    return Math.abs(again.frequencyHz - mode.frequencyHz) > reach(mode.frequencyHz) ? mode : again;
  });
}
