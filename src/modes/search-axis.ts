import { COMES_AND_GOES, LIMITS, refusal, sameModeHz, TOO_NARROW } from "./accept.js";
import type { AxisMode } from "./axis-mode.js";
import { type AxisData, fitSeed, type Neighbour } from "./fit-seed.js";
import { residualSeeds } from "./residual-seeds.js";
import { ringingMode } from "./ringing.js";
import type { Seed } from "./seeds.js";

/** A seed not yet fitted, as a provisional neighbour. */
function provisional(seed: Seed): Neighbour {
  return { frequencyHz: seed.frequencyHz, dampingRatio: seed.dampingRatio, gain: seed.gain, lean: 0 };
}

/** At most so many unexplained places are looked at, those beside the strongest peaks first. */
const MOST_RESIDUAL_SEEDS = 6;
/** Seeds weaker than this share of the one being fitted do not disturb it. */
const STRONG_SHARE = 0.2;

/** What one axis shows. */
export interface AxisFindings {
  readonly accepted: readonly AxisMode[];
  /** Significant peaks that are not there at every speed. */
  readonly comeAndGo: readonly AxisMode[];
}

/** The state of a search over one axis. */
interface Search {
  readonly accepted: AxisMode[];
  readonly comeAndGo: AxisMode[];
  /** What is significant, believed or not: it shapes the spectrum all the same. */
  readonly known: Neighbour[];
  /** Every fit that explained something. */
  readonly fitted: AxisMode[];
}

/** Why a peak of the second look is not believed: it is there at every speed or it is none. */
function strictRefusal(mode: AxisMode, lineFreeHz: number): string | null {
  const why = refusal(mode, lineFreeHz);
  const denied = mode.frequencyHz >= lineFreeHz && mode.persistence.against > 0;
  return why === null && denied ? COMES_AND_GOES : why;
}

/** Fits seeds, strongest first, each together with what is known so far and the strong seeds still to come. */
function fitSeeds(
  data: AxisData,
  seeds: readonly Seed[],
  { refuse, accepted, comeAndGo, known, fitted }: Search & { readonly refuse: typeof refusal },
): void {
  seeds.forEach((seed, i) => {
    const coming = seeds.slice(i + 1).filter((s) => s.gain > STRONG_SHARE * seed.gain);
    const others = [...known, ...coming.map(provisional)];
    const mode = fitSeed(data, seed, others);
    if (mode === null) return;
    if (known.some((a) => Math.abs(a.frequencyHz - mode.frequencyHz) < sameModeHz(a, mode))) return;
    const why = refuse(mode, data.lineFreeHz);
    const believed = why === null ? mode : why === TOO_NARROW ? ringingMode(mode, data.bank) : null;
    if (believed !== null) accepted.push(believed);
    if (why === COMES_AND_GOES) comeAndGo.push(mode);
    if (believed !== null || why === COMES_AND_GOES) known.push(believed ?? mode);
    if (mode.drop > LIMITS.leastDrop) fitted.push(mode);
  });
}

/**
 * Accepted modes of one axis: the seeds are fitted, then whatever stands out of what those fits leave unexplained.
 */
export function identifyAxis(data: AxisData, seeds: readonly Seed[]): AxisFindings {
  const search: Search = { accepted: [], comeAndGo: [], known: [], fitted: [] };
  fitSeeds(data, seeds, { ...search, refuse: refusal });
  const left = search.fitted.flatMap(residualSeeds).slice(0, MOST_RESIDUAL_SEEDS);
  fitSeeds(data, left, { ...search, refuse: strictRefusal });
  return search;
}
