import type { AxisSpectra, Evidence, OrderHistory } from "../../src/evidence.js";
import type { FixedSpectrum, Mode } from "../../src/modes/mode.js";
import type { AxisSummary, Result } from "../../src/result.js";
import type { HeatMap, Spectrum } from "../../src/spectra/spectrum.js";
import { AXES, type Axis, perAxis } from "../../src/units.js";

/**
 * A flight made up for drawing: numbers of a plausible heavy craft, from formulas and a seeded generator, not from
 * any log or analysis. Every value is invented.
 */
export interface InventedFlight {
  readonly result: Result;
  readonly evidence: Evidence;
}

export interface InventedOptions {
  readonly seconds?: number;
  readonly bins?: number;
  readonly modeCount?: number;
  readonly dterm?: boolean;
}

const FS = 1000;
const NYQUIST = FS / 2;
const ROTOR: readonly [number, number] = [58, 92];

/** Uniform 0..1, the same sequence for the same seed (mulberry32, public domain, from memory). */
function uniform(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

function mode(
  frequencyHz: number,
  dampingRatio: number,
  axes: readonly Axis[],
  kind: Mode["kind"] = "structure",
): Mode {
  const half = 0.006 * frequencyHz;
  return {
    frequencyHz,
    ci95Hz: [frequencyHz - half, frequencyHz + half],
    dampingRatio,
    dampingCi95: [dampingRatio * 0.8, dampingRatio * 1.25],
    kind,
    axes: axes.map((axis, i) => ({ axis, prominenceDb: 14 - 3 * i })),
    confidence: 0.97,
    agreement: "both",
    driftHz: 0.2,
    excitedBy: frequencyHz > ROTOR[0] ? [{ order: frequencyHz < 100 ? 1 : 2, throttle: 0.47 }] : [],
  };
}

const MODES: readonly Mode[] = [
  mode(13.2, 0.045, ["pitch"], "payload"),
  mode(41.6, 0.018, ["roll", "pitch"]),
  mode(128.4, 0.012, ["roll"]),
  mode(171.9, 0.015, ["pitch", "yaw"]),
  mode(297, 0.011, ["yaw"], "unresolved"),
];

function manyModes(count: number): Mode[] {
  const kept = MODES.slice(0, count);
  for (let i = kept.length; i < count; i++) {
    kept.push(mode(55 + 390 * ((i - 4) / count) + (i % 3) * 2.5, 0.01 + 0.001 * (i % 5), [AXES[i % 3]!]));
  }
  return kept.sort((a, b) => a.frequencyHz - b.frequencyHz);
}

const LEVEL: Readonly<Record<Axis, number>> = { roll: 1, pitch: 1.6, yaw: 0.5 };

/** Level of what stays put: a falling floor and resonances, (deg/s)²/Hz. */
function fixedLevel(f: number, axis: Axis, modes: readonly Mode[]): number {
  const floor = (2e-3 * LEVEL[axis]) / (1 + (f / 90) ** 2) + 3e-5 + 0.3 / (1 + (f / 4) ** 4);
  return modes
    .filter((m) => m.axes.some((a) => a.axis === axis))
    .reduce((sum, m) => {
      const x = (f / m.frequencyHz - m.frequencyHz / f) / (2 * m.dampingRatio);
      return sum + (floor * 18) / (1 + x * x);
    }, floor);
}

/** Level of a line at a multiple of rotor speed, smeared by `width` Hz. */
function lineLevel(f: number, rotor: number, width: number): number {
  let sum = 0;
  for (const [order, height] of [
    [1, 0.02],
    [2, 0.06],
    [3, 0.001],
    [4, 0.008],
    [6, 0.004],
  ] as const) {
    const raw = order * rotor;
    const at = raw > NYQUIST ? 2 * NYQUIST - raw : raw;
    sum += (height * (rotor / 75) ** 3) / (1 + ((f - at) / width) ** 4);
  }
  return sum;
}

function spectrum(
  level: (f: number) => number,
  { bins, seed, unit }: { bins: number; seed: number; unit: string },
): Spectrum {
  const random = uniform(seed);
  const frequency = Float64Array.from({ length: bins }, (_, i) => (i * NYQUIST) / (bins - 1));
  const edof = 90;
  const density = frequency.map((f) => level(f) * (1 + 0.3 * (random() - 0.5)));
  return {
    frequency,
    density,
    lower: density.map((d) => d * 0.76),
    upper: density.map((d) => d * 1.38),
    edof,
    averages: 60,
    resolution: (1.5 * NYQUIST) / (bins - 1),
    unit,
  };
}

function heatMap(
  x: Float64Array,
  rotorAt: (i: number) => number,
  options: { axis: Axis; modes: readonly Mode[]; seconds: number },
): HeatMap {
  const y = Float64Array.from({ length: 257 }, (_, i) => (i * NYQUIST) / 256);
  const random = uniform(options.axis.length);
  const level = new Float32Array(x.length * y.length);
  for (let ix = 0; ix < x.length; ix++) {
    for (let iy = 0; iy < y.length; iy++) {
      const f = Math.max(1, y[iy]!);
      const value = fixedLevel(f, options.axis, options.modes) + 3 * lineLevel(f, rotorAt(ix), 3);
      level[ix * y.length + iy] = 10 * Math.log10(value * (0.6 + 0.8 * random()));
    }
  }
  const seconds = new Float64Array(x.length).fill(options.seconds / x.length);
  return { x, y, level, reference: "dB re 1 (deg/s)²/Hz", seconds };
}

const throttleAt = (t: number): number => 0.45 + 0.12 * Math.sin(t / 5) + 0.07 * Math.sin(t / 1.7);
const rotorOf = (throttle: number): number => 110 * Math.sqrt(throttle);

function axisSpectra(axis: Axis, modes: readonly Mode[], options: Required<InventedOptions>): AxisSpectra {
  const smeared = (f: number): number => lineLevel(f, 75, 14);
  const total = (f: number): number => fixedLevel(Math.max(f, 0.5), axis, modes) + smeared(f);
  const filter = (f: number): number => 1 / (1 + (f / 80) ** 4);
  const of = (level: (f: number) => number, seed: number, unit = "(deg/s)²/Hz"): Spectrum =>
    spectrum(level, { bins: options.bins, seed, unit });
  return {
    raw: of(total, 1),
    filtered: of((f) => total(f) * filter(f), 2),
    dterm:
      options.dterm && axis !== "yaw"
        ? of((f) => 0.02 * total(f) * f ** 1.2 * filter(f), 3, "log unit²/Hz")
        : null,
  };
}

function fixedSpectrum(axis: Axis, modes: readonly Mode[], bins: number): FixedSpectrum {
  const random = uniform(7);
  const frequency = Float64Array.from({ length: bins }, (_, i) => (i * NYQUIST) / (bins - 1));
  const model = frequency.map((f) => (f < 5 ? Number.NaN : fixedLevel(f, axis, modes)));
  const density = model.map((m, i) => (i % 97 === 0 ? Number.NaN : m * (1 + 0.35 * (random() - 0.5))));
  return {
    frequency,
    density,
    lower: density.map((d) => d * 0.7),
    upper: density.map((d) => d * 1.5),
    frames: frequency.map(() => 40),
    model,
    floor: frequency.map((f) => fixedLevel(Math.max(f, 0.5), axis, [])),
  };
}

function history(seconds: number): OrderHistory[] {
  const random = uniform(11);
  return [1, 2, 3, 4].flatMap((motor) =>
    [1, 2].map((order) => {
      const x = Float64Array.from(
        { length: Math.min(600, Math.floor(seconds)) },
        (_, i) => i * (seconds / Math.min(600, Math.floor(seconds))),
      );
      const size = (motor === 3 ? 0.9 : 0.3) / order;
      return {
        motor,
        order,
        amplitude: { x, y: x.map((t) => size * (1 + 0.3 * Math.sin(t / 9) + 0.3 * random())) },
      };
    }),
  );
}

export function inventedEvidence(modes: readonly Mode[], options: Required<InventedOptions>): Evidence {
  const { seconds } = options;
  const throttles = Float64Array.from({ length: 40 }, (_, i) => 0.25 + i * 0.0125);
  const times = Float64Array.from(
    { length: Math.min(600, Math.round(seconds * 2)) },
    (_, i) => (i * seconds) / Math.min(600, Math.round(seconds * 2)),
  );
  const fine = Float64Array.from({ length: 1200 }, (_, i) => (i * seconds) / 1200);
  return {
    spectra: perAxis((axis) => axisSpectra(axis, modes, options)),
    throttleMap: perAxis((axis) =>
      heatMap(throttles, (i) => rotorOf(throttles[i]!), { axis, modes, seconds }),
    ),
    timeMap: perAxis((axis) =>
      heatMap(times, (i) => rotorOf(throttleAt(times[i]!)), { axis, modes, seconds }),
    ),
    fixed: perAxis((axis) => fixedSpectrum(axis, modes, 1025)),
    throttle: { x: fine, y: fine.map(throttleAt) },
    rotorHz: { x: fine, y: fine.map((t) => rotorOf(throttleAt(t))) },
    orderHistory: history(seconds),
  };
}

function axisSummary(axis: Axis, dterm: boolean): AxisSummary {
  const known = dterm && axis !== "yaw";
  return {
    quietBand: {
      fromHz: 5,
      toHz: 54.2,
      rmsDps: 0.31 * LEVEL[axis],
      ci95Dps: [0.29 * LEVEL[axis], 0.34 * LEVEL[axis]],
      floorDps: 0.1,
    },
    strongestLine: { hz: 148.2, levelDb: 21.4, what: "blade pass" },
    bands: [
      { fromHz: 5, toHz: 54.2, gyroRawDps: 0.31, gyroFilteredDps: 0.3, dterm: known ? 0.8 : null },
      { fromHz: 54.2, toHz: 200, gyroRawDps: 1.9, gyroFilteredDps: 0.7, dterm: known ? 3.1 : null },
      { fromHz: 200, toHz: NYQUIST, gyroRawDps: 0.4, gyroFilteredDps: 0.02, dterm: known ? 0.6 : null },
    ],
    wash: { seconds: 1.2, rmsDps: 0.9 },
  };
}

/** The invented flight; the same options give the same bytes. */
export function inventedFlight(options: InventedOptions = {}): InventedFlight {
  const all: Required<InventedOptions> = { seconds: 62, bins: 1025, modeCount: 5, dterm: true, ...options };
  const modes = manyModes(all.modeCount);
  const result: Result = {
    schemaVersion: "1.0.0",
    tool: { name: "quietspar", version: "0.0.0-invented" },
    settings: {
      options: { from: null, strict: false, to: null },
      craft: { name: "Invented lifter", blades: 2, rotors: 4 },
      limits: {
        quietBandMarginalDps: { value: 0.6, unit: "deg/s", from: "default" },
        quietBandLoudDps: { value: 1.5, unit: "deg/s", from: "craft" },
      },
    },
    log: {
      file: "invented-lifter.csv",
      sha256: "0".repeat(64),
      durationS: all.seconds + 6,
      sampleRateHz: FS,
      nyquistHz: NYQUIST,
      rows: (all.seconds + 6) * FS,
      gaps: [{ fromS: 21.2, toS: 21.35, samples: 150 }],
      columns: {
        gyroRaw: {
          headers: ["gyro raw roll", "gyro raw pitch", "gyro raw yaw"],
          unit: "deg/s",
          scale: 1,
          how: "header",
        },
        throttle: { headers: ["throttle"], unit: "%", scale: 0.01, how: "data" },
        time: { headers: ["time (us)"], unit: "us", scale: 1e-6, how: "header" },
      },
      notes: [{ key: "craft", value: "Invented lifter" }],
      warnings: [{ id: "gap", message: "150 samples are missing at 21.2 s", count: 1, row: 21200 }],
    },
    analysed: { flight: 1, fromS: 3, toS: 3 + all.seconds, airborneS: all.seconds },
    missing: [
      ...(all.dterm ? [] : [{ what: "D-term", cost: "what vibration does to the motors is not known" }]),
      { what: "rotor speed", cost: "speed was inferred, so orders are wider and bands near them are lost" },
    ],
    quality: [
      {
        id: "length",
        level: "ok",
        message: "62 s in the air is enough",
        value: all.seconds,
        limit: 20,
        unit: "s",
      },
      {
        id: "gaps",
        level: "warn",
        message: "one gap of 0.15 s: log to a faster card",
        value: 1,
        limit: 0,
        unit: "",
      },
    ],
    rotor: {
      source: "inferred",
      confidence: 0.93,
      medianHz: 74.1,
      bandHz: ROTOR,
      curve: Array.from({ length: 9 }, (_, i) => {
        const throttle = 0.28 + i * 0.05;
        const hz = rotorOf(throttle);
        return { throttle, hz, ci95Hz: [hz - 0.7, hz + 0.7] as const };
      }),
      polePairs: null,
      polePairsHow: null,
      blades: 2,
      bladesHow: "craft",
      delayS: null,
      delayCi95S: null,
      worstMotor: null,
      motors: [],
      referenceHz: 74.1,
      orders: [
        { order: 1, levelDb: 14.2, foldedShare: 0, medianHz: 74.1 },
        { order: 2, levelDb: 21.4, foldedShare: 0, medianHz: 148.2 },
        { order: 4, levelDb: 9.8, foldedShare: 0, medianHz: 296.4 },
        { order: 6, levelDb: 7.1, foldedShare: 0.22, medianHz: 444.6 },
      ],
      doubts: [],
    },
    modes,
    tones: [{ frequencyHz: 50.02, axes: ["yaw"], foldedFromHz: null }],
    modesUnobservable: [{ fromHz: 66, toHz: 81, why: "the once-per-turn line lies here in every frame" }],
    firstMode: modes.find((m) => m.kind === "structure") ?? null,
    axes: perAxis((axis) => axisSummary(axis, all.dterm)),
    verdict: {
      call: "marginal",
      sentence:
        "The quiet band is calm, but a resonance at 41.6 Hz lies below the first motor band with little room.",
      reasons: [
        {
          id: "quiet-band",
          level: "ok",
          value: 0.31,
          ci95: [0.29, 0.34],
          limit: 0.6,
          unit: "deg/s",
          axis: "roll",
          message: "the quiet band carries 0.31 deg/s, under the limit of 0.6",
          required: true,
        },
        {
          id: "quiet-band",
          level: "ok",
          value: 0.5,
          ci95: [0.46, 0.54],
          limit: 0.6,
          unit: "deg/s",
          axis: "pitch",
          message: "the quiet band carries 0.50 deg/s, under the limit of 0.6",
          required: true,
        },
        {
          id: "quiet-band",
          level: "ok",
          value: 0.16,
          ci95: [0.15, 0.17],
          limit: 0.6,
          unit: "deg/s",
          axis: "yaw",
          message: "the quiet band carries 0.16 deg/s, under the limit of 0.6",
          required: true,
        },
        {
          id: "first-mode",
          level: "marginal",
          value: 41.6,
          ci95: [41.35, 41.85],
          limit: 48,
          unit: "Hz",
          axis: null,
          message: "the first mode lies at 41.6 Hz: stiffen the arms, or move it above 48 Hz",
          required: true,
        },
        {
          id: "crossing",
          level: "marginal",
          value: 128.4,
          ci95: null,
          limit: null,
          unit: "Hz",
          axis: "roll",
          message: "the blade-pass line crosses the 128 Hz mode at 47 % throttle",
          required: false,
        },
        {
          id: "dterm",
          level: all.dterm ? "ok" : "unknown",
          value: all.dterm ? 3.1 : null,
          ci95: null,
          limit: 12,
          unit: "",
          axis: null,
          message: all.dterm ? "the D-term carries 3.1, under the limit of 12" : "the log has no D-term",
          required: false,
        },
      ],
      next: [
        "balance the propellers and fly the same pattern again",
        "stiffen the arm joints",
        "log rotor speed",
      ],
      cautions: [
        "Evidence about vibration in this log, not a statement of airworthiness.",
        "Bench work only with the propellers off; change one thing at a time.",
        "After a filter change feel the motors' temperature after a short hover.",
        "Keep people clear. Local rules and licensed practice decide.",
      ],
    },
    filters: null,
    footage: null,
    history: null,
  };
  return { result, evidence: inventedEvidence(modes, all) };
}

/** A log that could carry nothing: no rotor, no modes, no curves. */
export function nothingKnown(): InventedFlight {
  const { result } = inventedFlight();
  const none: AxisSpectra = { raw: null, filtered: null, dterm: null };
  return {
    result: {
      ...result,
      rotor: {
        ...result.rotor,
        source: "none",
        confidence: 0,
        medianHz: null,
        bandHz: null,
        curve: [],
        orders: [],
        blades: null,
        bladesHow: null,
        referenceHz: null,
      },
      modes: [],
      tones: [],
      modesUnobservable: [],
      firstMode: null,
      axes: perAxis(() => ({
        quietBand: { fromHz: null, toHz: null, rmsDps: null, ci95Dps: null, floorDps: null },
        strongestLine: null,
        bands: [],
        wash: { seconds: 0, rmsDps: null },
      })),
      verdict: {
        ...result.verdict,
        call: "undetermined",
        sentence: "This log is too short to judge.",
        reasons: [],
        next: [],
        cautions: [],
      },
    },
    evidence: {
      spectra: perAxis(() => none),
      throttleMap: perAxis(() => null),
      timeMap: perAxis(() => null),
      fixed: perAxis(() => null),
      throttle: null,
      rotorHz: null,
      orderHistory: [],
    },
  };
}

/** What a malicious log might write: markup, quotes, terminal escapes, direction marks, formulas, sheer length. */
export const HOSTILE =
  `=cmd|'/c x'!A1 </script><img src=x onerror=alert(1)>"'\`&]]>--> \u001b[31m\u009b2J\u0007\u202eevil\u2066\u200b\r\n` +
  "w".repeat(10_000);

/** The invented flight with hostile text wherever a log's or a craft file's text can end up. */
export function hostileFlight(): InventedFlight {
  const { result, evidence } = inventedFlight({ bins: 257, seconds: 30 });
  const t = HOSTILE;
  return {
    evidence,
    result: {
      ...result,
      settings: {
        options: { [t]: t },
        craft: { [t]: [t, { [t]: t }] },
        limits: { [t]: { value: 1, unit: t, from: "craft" } },
      },
      log: {
        ...result.log,
        file: t,
        columns: { [t]: { headers: [t, t], unit: t, scale: 1, how: "header" } },
        notes: [{ key: t, value: t }],
        warnings: [{ id: t, message: t, count: 1, row: null }],
      },
      missing: [{ what: t, cost: t }],
      quality: [{ id: t, level: "warn", message: t, value: null, limit: null, unit: t }],
      modesUnobservable: [{ fromHz: 66, toHz: 81, why: t }],
      axes: perAxis((axis) => ({ ...result.axes[axis], strongestLine: { hz: 100, levelDb: 10, what: t } })),
      verdict: {
        call: "loud",
        sentence: t,
        reasons: [
          {
            id: t,
            level: "loud",
            value: 1,
            ci95: null,
            limit: 1,
            unit: t,
            axis: "roll",
            message: t,
            required: true,
          },
        ],
        next: [t],
        cautions: [t],
      },
      filters: {
        measured: [{ [t]: t }],
        candidates: [{ chain: t, delayMs: 1, phaseDeg: 5, gyroRms: 1, dtermRms: 2 }],
        advice: [t],
      },
      footage: { [t]: t },
      history: [t],
    },
  };
}
