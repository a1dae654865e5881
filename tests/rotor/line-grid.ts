import type { FrameGrid } from "../../src/spectra/spectrum.js";

/** Half-overlapping frames of one second: bins of 1 Hz up to half the rate. */
export function secondGrid(frames: number, sampleRate: number): FrameGrid {
  const hop = sampleRate / 2;
  const starts = Int32Array.from({ length: frames }, (_, k) => hop * k);
  return { sampleRate, segmentLength: sampleRate, hop, starts, bins: hop + 1 };
}
