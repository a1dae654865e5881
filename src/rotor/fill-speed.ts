/**
 * Fills what is unknown of a motor's speed from the other motors: their mean, times this motor's ratio to it at the
 * edges of the gap. Changes the arrays in place; what no other motor knows either stays NaN.
 *
 * @param tracks one array per motor, equal lengths, Hz, NaN where unknown
 * @returns samples filled per motor
 */
export function fillFromOthers(tracks: readonly Float32Array[]): number[] {
  const broken = tracks.map(hasGap);
  if (tracks.length < 2 || !broken.some(Boolean)) return tracks.map(() => 0);
  const originals = tracks.map((t, m) => (broken[m] ? t.slice() : t));
  return tracks.map((track, m) => (broken[m] ? fillOne(track, originals, m) : 0));
}

function hasGap(track: Float32Array): boolean {
  for (let i = 0; i < track.length; i++) if (Number.isNaN(track[i])) return true;
  return false;
}

function fillOne(track: Float32Array, tracks: readonly Float32Array[], m: number): number {
  let filled = 0;
  for (let i = 0; i < track.length; i++) {
    if (!Number.isNaN(track[i])) continue;
    let end = i;
    while (end < track.length && Number.isNaN(tracks[m]![end])) end++;
    const before = ratioAt(tracks, m, i - 1);
    const after = ratioAt(tracks, m, end);
    for (let j = i; j < end; j++) {
      const part = (j - i + 1) / (end - i + 1);
      const ratio =
        before === null ? (after ?? 1) : after === null ? before : before + part * (after - before);
      const mean = meanOfOthers(tracks, m, j);
      if (mean === null) continue;
      track[j] = ratio * mean;
      filled++;
    }
    i = end;
  }
  return filled;
}

function ratioAt(tracks: readonly Float32Array[], m: number, i: number): number | null {
  const own = tracks[m]![i];
  if (own === undefined || Number.isNaN(own)) return null;
  const mean = meanOfOthers(tracks, m, i);
  return mean === null ? null : own / mean;
}

function meanOfOthers(tracks: readonly Float32Array[], m: number, i: number): number | null {
  let sum = 0;
  let count = 0;
  for (let n = 0; n < tracks.length; n++) {
    const v = tracks[n]![i]!;
    if (n === m || Number.isNaN(v)) continue;
    sum += v;
    count++;
  }
  return count > 0 ? sum / count : null;
}
