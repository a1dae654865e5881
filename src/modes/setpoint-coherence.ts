import { coherence, coherenceThreshold } from "../spectra/coherence.js";
import { crossSpectrum } from "../spectra/cross-spectrum.js";
import { nearestPowerOfTwo } from "../spectra/fft.js";
import { analysisGyro, type Timeline } from "../timeline/timeline.js";
import type { Axis } from "../units.js";

/**
 * Magnitude-squared coherence of gyro with set-point at a frequency: near 1 for commanded motion and for a loop that
 * answers commands, near 0 for a sway or a structure.
 *
 * @returns 0 where there is no set-point, or no more than chance gives (5 %)
 * @see J. S. Bendat, A. G. Piersol, Random Data, section 6.1
 */
export function setpointCoherence(timeline: Timeline, axis: Axis, frequencyHz: number): number {
  const gyro = analysisGyro(timeline).series[axis];
  const setpoint = timeline.setpoint[axis];
  if (gyro === null || setpoint === null) return 0;
  const { sampleRate, airborne, valid } = timeline;
  const segmentLength = nearestPowerOfTwo(sampleRate);
  const cross = crossSpectrum(setpoint, gyro, { sampleRate, segmentLength, spans: airborne, valid });
  const at = coherence(cross)[Math.round((frequencyHz * segmentLength) / sampleRate)] ?? 0;
  return at > coherenceThreshold(cross.edof) ? at : 0;
}
