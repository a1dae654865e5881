import type { Clock } from "./clock.js";
import { type Random, randomStream } from "./random.js";
import type { FullScenario, SpeedUnit, TelemetrySpec } from "./scenario.js";

/** Mechanical Hz → the number reported. */
export function reported(hz: number, unit: SpeedUnit, polePairs: number): number {
  if (unit === "rpm") return 60 * hz;
  if (unit === "electrical rpm") return 60 * hz * polePairs;
  return unit === "Hz" ? hz : 2 * Math.PI * hz;
}

/** The number reported → Hz as a decoder reads it (still electrical where it is so). */
export function asReadHz(value: number, unit: SpeedUnit): number {
  if (unit === "Hz") return value;
  return unit === "rad/s" ? value / (2 * Math.PI) : value / 60;
}

/** What each motor's speed report holds in every log row, in the report's own unit. */
export function telemetryRows(
  s: FullScenario,
  spec: TelemetrySpec,
  run: { clock: Clock; hz: readonly Float64Array[] },
): Float64Array[] {
  return run.hz.map((hz, m) => {
    const random = randomStream(s.seed, `telemetry ${m}`);
    const rows = heldReadings(hz, { s, spec, clock: run.clock, start: random.uniform() });
    spoil(rows, spec, { rate: run.clock.logRate, random });
    return rows;
  });
}

function heldReadings(
  hz: Float64Array,
  o: { s: FullScenario; spec: TelemetrySpec; clock: Clock; start: number },
): Float64Array {
  const { spec, clock } = o;
  const rows = new Float64Array(clock.logLength);
  for (let i = 0; i < rows.length; i++) {
    const t = i / clock.logRate;
    const fresh = (Math.floor(t * spec.refreshHz + o.start) - o.start) / spec.refreshHz;
    const seen = Math.max(0, (spec.refreshHz >= clock.logRate ? t : fresh) - spec.delayS);
    const value = reported(atTick(hz, seen * clock.tickRate), spec.unit, o.s.rotors.polePairs);
    rows[i] = spec.step > 0 ? Math.round(value / spec.step) * spec.step : value;
  }
  return rows;
}

/** Linear interpolation between ticks. */
export function atTick(series: Float64Array, tick: number): number {
  const k = Math.min(series.length - 2, Math.max(0, Math.floor(tick)));
  return series[k]! + (series[k + 1]! - series[k]!) * (tick - k);
}

/** Stretches of zeros, stretches that keep the last value, lone wild values. */
function spoil(rows: Float64Array, spec: TelemetrySpec, o: { rate: number; random: Random }): void {
  const minutes = rows.length / o.rate / 60;
  const stretch = (
    perMinute: number,
    from: number,
    to: number,
    write: (i: number, first: number) => void,
  ) => {
    for (let n = Math.round(perMinute * minutes); n > 0; n--) {
      const first = Math.floor(o.random.uniform() * rows.length);
      const length = Math.ceil(o.random.logBetween(from, to) * o.rate);
      for (let i = first; i < Math.min(rows.length, first + length); i++) write(i, first);
    }
  };
  stretch(spec.stalePerMinute, 0.05, 0.4, (i, first) => {
    rows[i] = rows[first]!;
  });
  stretch(spec.dropoutsPerMinute, 0.01, 0.2, (i) => {
    rows[i] = 0;
  });
  stretch(spec.spikesPerMinute, 1e-9, 1e-8, (i) => {
    rows[i] = rows[i]! * o.random.pick([0.5, 2, 3]);
  });
}
