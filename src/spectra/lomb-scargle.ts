/**
 * Lomb-Scargle periodogram: power at given frequencies of a series sampled at uneven times.
 *
 * P(ω) = ½ [ (Σ y cos ω(t−τ))² / Σ cos² ω(t−τ) + (Σ y sin ω(t−τ))² / Σ sin² ω(t−τ) ], tan 2ωτ = Σ sin 2ωt / Σ cos 2ωt.
 * Each value costs a pass over the series: for checks and short series, not for whole flights.
 *
 * @param times s, any order
 * @param values mean removed, as many as times
 * @param frequencies Hz, above 0
 * @returns power per frequency; N A² / 4 for a sine of amplitude A
 * @throws {RangeError} if times and values differ in number
 * @see J. D. Scargle, Astrophys. J. 263, 1982, eq. 10
 * @example lombScargle(times, sine, [f])[0] // N A² / 4
 */
export function lombScargle(
  times: ArrayLike<number>,
  values: ArrayLike<number>,
  frequencies: ArrayLike<number>,
): Float64Array {
  if (times.length !== values.length) throw new RangeError(`${times.length} times, ${values.length} values`);
  return Float64Array.from(frequencies, (f) => powerAt(times, values, 2 * Math.PI * f));
}

function powerAt(times: ArrayLike<number>, values: ArrayLike<number>, omega: number): number {
  let sin2 = 0;
  let cos2 = 0;
  for (let n = 0; n < times.length; n++) {
    sin2 += Math.sin(2 * omega * times[n]!);
    cos2 += Math.cos(2 * omega * times[n]!);
  }
  const phase = Math.atan2(sin2, cos2) / 2;
  let [yc, ys, cc, ss] = [0, 0, 0, 0];
  for (let n = 0; n < times.length; n++) {
    const c = Math.cos(omega * times[n]! - phase);
    const s = Math.sin(omega * times[n]! - phase);
    yc += values[n]! * c;
    ys += values[n]! * s;
    cc += c * c;
    ss += s * s;
  }
  return 0.5 * ((yc * yc) / cc + (ys * ys) / ss);
}
