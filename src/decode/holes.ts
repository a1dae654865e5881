/** True when a cell holds no number. Four at a time: a sum that holds NaN is NaN. */
export function hasHoles(series: Float32Array): boolean {
  const whole = series.length - (series.length % 4);
  let i = 0;
  for (; i < whole; i += 4)
    if (Number.isNaN(series[i]! + series[i + 1]! + (series[i + 2]! + series[i + 3]!))) return rest(series, i);
  return rest(series, i);
}

/** Infinite values of both signs add up to NaN too: from the first suspect on, one by one. */
function rest(series: Float32Array, from: number): boolean {
  for (let i = from; i < series.length; i++) if (Number.isNaN(series[i]!)) return true;
  return false;
}

/**
 * Numbers too large for single precision become missing values, in place.
 *
 * @returns how many there were
 */
export function dropInfinite(series: Float32Array): number {
  if (!suspect(series)) return 0;
  let count = 0;
  for (let i = 0; i < series.length; i++) {
    if (Math.abs(series[i]!) !== Number.POSITIVE_INFINITY) continue;
    series[i] = Number.NaN;
    count++;
  }
  return count;
}

function suspect(series: Float32Array): boolean {
  let sum = 0;
  for (let i = 0; i < series.length; i++) sum += series[i]! * 0;
  return Number.isNaN(sum);
}
