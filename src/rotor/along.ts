import { fold } from "./fold.js";
import type { LineMap } from "./line-map.js";

/**
 * Mean level along a moving line, folded where the log is too slow for it.
 *
 * @param map levels per frame and frequency
 * @param hz rotor frequency at each frame, Hz; NaN frames are skipped
 * @param order multiple of the rotor frequency
 * @returns mean over frames of the level, linear in frequency; frames where the line shows below `map.lowestHz`
 *   count as 0
 */
export function levelAlong(map: LineMap, hz: ArrayLike<number>, order: number): number {
  const { bins, sampleRate, segmentLength } = map.grid;
  const perHz = segmentLength / sampleRate;
  const nyquistBin = bins - 1;
  let sum = 0;
  let count = 0;
  for (let k = 0; k < hz.length; k++) {
    const f = hz[k]!;
    if (Number.isNaN(f)) continue;
    count++;
    const shown = fold(order * f, sampleRate);
    if (shown < map.lowestHz) continue;
    const x = shown * perHz;
    const bin = Math.min(nyquistBin - 1, Math.floor(x));
    const part = x - bin;
    const at = k * bins + bin;
    sum += (1 - part) * map.level[at]! + part * map.level[at + 1]!;
  }
  return count === 0 ? 0 : sum / count;
}
