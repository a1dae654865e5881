import { quantile } from "../stats/quantile.js";

const STEPS = 4096;

/** Rows per second, roughly: the middle of the steps that advance; for what needs a scale of time only. */
export function rateOf(time: Float64Array): number {
  const steps = Float64Array.from({ length: Math.min(STEPS, time.length - 1) }, (_, k) => {
    const i = Math.floor((k * (time.length - 1)) / Math.min(STEPS, time.length - 1));
    return time[i + 1]! - time[i]!;
  });
  const mean = steps.reduce((sum, step) => sum + step, 0) / steps.length;
  const median = quantile(steps, 0.5);
  const step = median > 0 ? median : mean;
  return step > 0 ? 1 / step : Number.NaN;
}
