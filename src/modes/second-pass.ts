import type { AxisMode } from "./axis-mode.js";
import { believedDrift, combineDrifts, type Drift, driftOnAxis, followDrift, thrustOffset } from "./drift.js";
import type { ScannedAxis } from "./first-look.js";
import { type Follow, refineAxis } from "./fit-seed.js";
import { type MergedMode, mergeAxes } from "./merge.js";
import { modeOnAxis } from "./other-axes.js";
import type { ResolutionBank } from "./resolution-bank.js";

/** A drift is no straight line: the frequency at median thrust is off by about this share of it. */
const BENT_DRIFT_SHARE = 0.07;
/** Where the speed hardly varies a drift cannot be told: relative deviation allowed for it. */
const UNTOLD_DRIFT_SD = 0.001;
/** A drift is followed when it exceeds this share of the half-power width, and of a bin. */
const SMEAR_SHARE = 0.15;
const SMEAR_BINS = 0.4;

/** What a first-pass mode drifts: as measured over all axes that share it, and as believed. */
interface KnownDrift {
  readonly measured: Drift | null;
  readonly believed: Drift;
}

/** Drift of every first-pass mode, pooled over the axes that share it. */
function pooledDrifts(bank: ResolutionBank, first: readonly AxisMode[]): Map<AxisMode, KnownDrift> {
  const drifts = new Map<AxisMode, KnownDrift>();
  for (const group of mergeAxes(first)) {
    const measured = combineDrifts(group.seen.map((m) => driftOnAxis(m, bank)));
    const believed = believedDrift(measured, group.frequencyHz);
    for (const m of group.seen) drifts.set(m, { measured, believed });
  }
  return drifts;
}

/** What to follow when a mode is fitted again: its drift, where that smears the peak. */
function followOf(mode: AxisMode, drift: KnownDrift, bank: ResolutionBank): Follow {
  const { classes } = bank.base;
  const smear = Math.max(
    SMEAR_SHARE * 2 * mode.dampingRatio * mode.frequencyHz,
    SMEAR_BINS * mode.average.df,
  );
  if (classes === null || Math.abs(drift.believed.hz) <= smear) return null;
  return followDrift(drift.believed.hz, classes);
}

/** A merged mode's drift, and whether its axes were fitted following it. */
type SettledDrift = KnownDrift & { readonly followed: boolean };

/** Second pass over all axes: neighbours from everywhere, drifting modes followed; the axes merged. */
export function secondPass(bank: ResolutionBank, axes: readonly ScannedAxis[]): MergedMode[] {
  const drifts = pooledDrifts(
    bank,
    axes.flatMap((a) => a.first),
  );
  const follow = (mode: AxisMode): Follow => followOf(mode, drifts.get(mode)!, bank);
  const known = new Map<AxisMode, SettledDrift>();
  const second = axes.flatMap((a) => {
    const elsewhere = axes.flatMap((o) => (o.axis === a.axis ? [] : o.first));
    const refined = refineAxis(a, a.first, { elsewhere, follow });
    a.first.forEach((m, j) => {
      known.set(refined[j]!, { ...drifts.get(m)!, followed: refined[j] !== m && follow(m) !== null });
    });
    return refined;
  });
  const more = onOtherAxes(mergeAxes(second), axes, { second, known });
  return mergeAxes([...second, ...more]).map((merged) =>
    withDrift(merged, bank, known.get(merged.seen[0]!)!),
  );
}

/** Looks for every mode on the axes that have not shown it; what is found shares its drift. */
function onOtherAxes(
  merged: readonly MergedMode[],
  axes: readonly ScannedAxis[],
  { second, known }: { second: readonly AxisMode[]; known: Map<AxisMode, SettledDrift> },
): AxisMode[] {
  return axes.flatMap((axis) => {
    const own = second.filter((m) => m.axis === axis.axis);
    for (const mode of merged) {
      if (mode.seen.some((m) => m.axis === axis.axis)) continue;
      const drift = known.get(mode.seen[0]!)!;
      const follow = drift.followed ? followOf(mode.seen[0]!, drift, axis.bank) : null;
      const found = modeOnAxis(axis, mode, { own, follow });
      if (found === null) continue;
      known.set(found, drift);
      own.push(found);
    }
    return own.filter((m) => !second.includes(m));
  });
}

/** Carries a merged mode to median thrust and widens its interval by what its drift leaves open. */
function withDrift(merged: MergedMode, bank: ResolutionBank, known: SettledDrift): MergedMode {
  if (bank.base.classes === null) {
    return { ...merged, sdHz: Math.hypot(merged.sdHz, UNTOLD_DRIFT_SD * merged.frequencyHz) };
  }
  const { believed, measured, followed } = known;
  const offset = thrustOffset(merged.frequencyHz, merged.seen[0]!.axis, bank);
  const frequencyHz = followed ? merged.frequencyHz : merged.frequencyHz - believed.hz * offset;
  const sdHz = Math.hypot(merged.sdHz, believed.sdHz * offset, BENT_DRIFT_SHARE * believed.hz);
  return { ...merged, frequencyHz, sdHz, drift: believed, measuredDrift: measured };
}
