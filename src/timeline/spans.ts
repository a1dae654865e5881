import type { Span } from "./timeline.js";

/** Seconds left out at take-off and landing: the ground's push and the run-up are no flight. */
const GROUND_MARGIN_S = 0.5;

/** A stretch of the clock. */
export interface ClockSpan {
  readonly sampleRate: number;
  readonly length: number;
}

/**
 * Airborne spans less the moments near the ground; a span that begins or ends with the part asked for keeps that
 * end, since the flight went on there.
 */
export function insideSpans(spans: readonly Span[], clock: ClockSpan): Span[] {
  const margin = Math.round(GROUND_MARGIN_S * clock.sampleRate);
  return spans
    .map(({ from, to }) => ({
      from: from === 0 ? 0 : from + margin,
      to: to === clock.length ? clock.length : to - margin,
    }))
    .filter(({ from, to }) => to - from > margin);
}
