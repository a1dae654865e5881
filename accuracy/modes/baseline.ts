import type { Mode, ModesEstimate } from "../../src/modes/mode.js";
import { nearestPowerOfTwo } from "../../src/spectra/fft.js";
import { findPeaks } from "../../src/spectra/peaks.js";
import { welch } from "../../src/spectra/welch.js";
import { analysisGyro, presentAxes, type Timeline } from "../../src/timeline/timeline.js";
import { type Axis, perAxis } from "../../src/units.js";

const PROMINENCE_DB = 8;

/** One peak as a mode: the frequency at its top, damping from its half-power width. */
function asMode(frequencyHz: number, widthHz: number, axis: Axis, prominenceDb: number): Mode {
  const dampingRatio = widthHz / 2 / frequencyHz;
  return {
    frequencyHz,
    ci95Hz: [frequencyHz - widthHz / 4, frequencyHz + widthHz / 4],
    dampingRatio,
    dampingCi95: [0.7 * dampingRatio, 1.4 * dampingRatio],
    kind: "structure",
    axes: [{ axis, prominenceDb }],
    confidence: 1,
    agreement: "untested",
    driftHz: null,
    excitedBy: [],
  };
}

/**
 * What a practitioner would write: the Welch spectrum of the whole flight, peaks of 8 dB prominence, half-power
 * width. It knows nothing of what turns.
 */
export function welchPeaks(timeline: Timeline): ModesEstimate {
  const { series } = analysisGyro(timeline);
  const modes: Mode[] = [];
  for (const axis of presentAxes(series)) {
    const segmentLength = nearestPowerOfTwo(timeline.sampleRate);
    const s = welch(series[axis]!, {
      sampleRate: timeline.sampleRate,
      segmentLength,
      spans: timeline.airborne,
      valid: timeline.valid,
    });
    const df = timeline.sampleRate / segmentLength;
    const db = s.density.map((v) => 10 * Math.log10(v + 1e-30));
    for (const p of findPeaks(db, { minProminence: PROMINENCE_DB })) {
      if (p.index * df < 7) continue;
      const half = s.density[p.index]! / 2;
      let [left, right] = [p.index, p.index];
      while (left > 0 && s.density[left]! > half) left--;
      while (right < db.length - 1 && s.density[right]! > half) right++;
      const twin = modes.findIndex((m) => Math.abs(m.frequencyHz - p.index * df) < 3);
      if (twin < 0) modes.push(asMode(p.index * df, (right - left - 1) * df, axis, p.prominence));
      else
        modes[twin] = { ...modes[twin]!, axes: [...modes[twin]!.axes, { axis, prominenceDb: p.prominence }] };
    }
  }
  modes.sort((a, b) => a.frequencyHz - b.frequencyHz);
  const none = {
    tones: [],
    unobservable: [],
    fixed: perAxis(() => null),
    shapes: perAxis(() => []),
    doubts: [],
  };
  return { ...none, modes, falseAlarmRate: 1 };
}
