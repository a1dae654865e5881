/**
 * Where a frequency appears in a log taken at `rate` without an anti-alias filter: |f - rate · round(f / rate)|.
 *
 * @see D. Sarwate's answer on aliasing, Signal Processing Stack Exchange; SFU note on aliasing
 * @example foldHz(620, 1000) // 380
 */
export function foldHz(frequencyHz: number, rate: number): number {
  return Math.abs(frequencyHz - rate * Math.round(frequencyHz / rate));
}
