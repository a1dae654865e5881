import { describe, expect, it } from "vitest";
import type { BelievedMode } from "../../src/modes/kinds.js";
import type { ResolutionBank } from "../../src/modes/resolution-bank.js";
import { unsettled } from "../../src/modes/unsettled.js";
import { noRotor } from "../../src/rotor/none.js";
import type { RotorEstimate } from "../../src/rotor/rotor.js";

const RATE = 1000;
const DF = 1;

/** A mode of 120 Hz on one axis. */
function mode(
  confidence: number,
  agreement: BelievedMode["agreement"] = "both",
  { frequencyHz = 120, against = 0 } = {},
): BelievedMode {
  const seen = [{ axis: 0, frequencyHz, dampingRatio: 0.02, persistence: { against } }];
  return {
    frequencyHz,
    dampingRatio: 0.02,
    seen,
    confidence,
    agreement,
    answers: [],
  } as unknown as BelievedMode;
}

/** A bank whose average is seen everywhere, or not within 2 Hz of 120 Hz; thrust span 0: the speed hardly varies. */
function bank({ span = 0, hidden = false }: { span?: number; hidden?: boolean }): ResolutionBank {
  const density = Float64Array.from({ length: 500 }, (_, b) =>
    hidden && Math.abs(b * DF - 120) <= 2 ? Number.NaN : 1,
  );
  const classes = span > 0 ? { thrustSpan: span } : null;
  return { averages: [{ df: DF, density }], base: { classes } } as unknown as ResolutionBank;
}

/** Rotors whose first order sweeps 90 … 110 Hz, their second so 180 … 220 Hz. */
function rotor(extra: Partial<RotorEstimate>): RotorEstimate {
  const order = { order: 1, levelDb: 20, foldedShare: 0, medianHz: 100, halfWidth: 0.12 };
  return { ...noRotor([]), source: "inferred", medianHz: 100, bandHz: [90, 110], orders: [order], ...extra };
}

const told = { rotor: rotor({ source: "telemetry" }), bank: bank({ span: 2 }), sampleRate: RATE };

describe("unsettled(mode, setting)", () => {
  it("claims from confidence 0.75 on where nothing else speaks against it", () => {
    expect(unsettled(mode(0.76), told)).toBe(false);
    expect(unsettled(mode(0.74), told)).toBe(true);
  });

  it("asks 0.93 where the second method looked and did not find it", () => {
    expect(unsettled(mode(0.9, "one"), told)).toBe(true);
    expect(unsettled(mode(0.95, "one"), told)).toBe(false);
    expect(unsettled(mode(0.8, "untested"), told)).toBe(false);
  });

  it("leaves open what it never saw but for its skirts", () => {
    expect(unsettled(mode(0.99), { ...told, bank: bank({ span: 2, hidden: true }) })).toBe(true);
  });

  it("asks 0.93 beside a line of an inferred speed that hardly sweeps, not where it sweeps widely", () => {
    const calm = { rotor: rotor({}), bank: bank({ span: 0.4 }), sampleRate: RATE };
    expect(unsettled(mode(0.9), calm)).toBe(true);
    expect(unsettled(mode(0.95), calm)).toBe(false);
    expect(unsettled(mode(0.9), { ...calm, bank: bank({ span: 2 }) })).toBe(false);
  });

  it("leaves open what stands where a line hardly moved and is missing at one speed, however sure", () => {
    const calm = { rotor: rotor({ source: "telemetry" }), bank: bank({ span: 0.4 }), sampleRate: RATE };
    expect(unsettled(mode(0.98), calm)).toBe(false);
    expect(unsettled(mode(0.98, "both", { against: 1 }), calm)).toBe(true);
    expect(unsettled(mode(0.98, "both", { against: 1 }), { ...calm, bank: bank({ span: 2 }) })).toBe(false);
  });

  it("asks 0.93 in a hover on an order that nobody listed, folded ones too", () => {
    const hover = { rotor: rotor({ source: "telemetry", hover: true }), bank: bank({}), sampleRate: RATE };
    // four times 90 … 110 Hz comes down from 360 … 440 Hz to 60 … 140 Hz in a log of 500 Hz
    expect(unsettled(mode(0.9), { ...hover, sampleRate: 500 })).toBe(true);
    expect(unsettled(mode(0.9, "both", { frequencyHz: 70 }), hover)).toBe(false);
    // two and a half times
    expect(unsettled(mode(0.9, "both", { frequencyHz: 250 }), hover)).toBe(true);
  });
});
