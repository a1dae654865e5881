import { describe, expect, it } from "vitest";
import { randomStream } from "../../simulator/random.js";
import { simulateFlight } from "../../simulator/simulate.js";
import { identifyModes } from "../../src/modes/identify-modes.js";
import { type LineHistory, swellingAt, swells } from "../../src/modes/swelling.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";

const MODE = { frequencyHz: 100, dampingRatio: 0.02, gain: 30 };

/** Lines of two motors, one three times as strong, that sweep 70 … 140 Hz with 2 dB of scatter. */
function sweep(answer: (hz: number) => number, seed: number): LineHistory {
  const random = randomStream(seed, "sweep");
  const hz = Float64Array.from({ length: 160 }, (_, i) => 70 + 70 * ((i % 80) / 80));
  const track = Uint8Array.from(hz, (_, i) => (i < 80 ? 0 : 1));
  const log = hz.map(
    (f, i) => 2 * Math.log(f) + track[i]! * Math.log(9) + answer(f) + 0.46 * random.normal(),
  );
  return { hz, log, track, smear: 0.005 };
}

describe("swellingAt(line, mode)", () => {
  const rise = (f: number): number => {
    const x = (f / 100 - 100 / f) / (2 * Math.hypot(0.02, 0.005));
    return Math.log(1 + (30 * 0.02) / Math.hypot(0.02, 0.005) / (1 + x * x));
  };

  it("is 1 within two deviations where the lines rise as the mode would have them, motors apart, in 18 of 20", () => {
    const near = Array.from({ length: 20 }, (_, seed) => swellingAt(sweep(rise, seed), MODE)!).filter(
      ({ share, sd }) => Math.abs(share - 1) < 2 * sd,
    );
    expect(near.length).toBeGreaterThanOrEqual(18);
  });

  it("is 0 within two deviations where they only grow with speed, in 18 of 20", () => {
    const flat = Array.from(
      { length: 20 },
      (_, seed) =>
        swellingAt(
          sweep(() => 0, seed),
          MODE,
        )!,
    );
    expect(flat.filter(({ share, sd }) => Math.abs(share) < 2 * sd).length).toBeGreaterThanOrEqual(18);
    expect(flat.filter((s) => swells(s) === true).length).toBe(0);
  });

  it("is null where the lines never came near", () => {
    expect(swellingAt(sweep(rise, 1), { ...MODE, frequencyHz: 400 })).toBeNull();
  });
});

describe("excitedBy of identifyModes", () => {
  it("names once per turn and its throttle for a mode in the middle of the motor band", () => {
    const { timeline } = simulateFlight({
      seed: 5,
      durationS: 60,
      logRateHz: 1000,
      rotors: { propellerInch: 13 },
      flight: { profile: "sweep" },
      telemetry: {},
      modes: [{ frequencyHz: 105, dampingRatio: 0.02, prominenceDb: { roll: 18, pitch: 12 } }],
    });
    const { modes } = identifyModes(timeline, estimateRotor(timeline, {}), {});
    const mode = modes.find((m) => Math.abs(m.frequencyHz - 105) < 2)!;
    expect(mode.kind).toBe("structure");
    const once = mode.excitedBy.find((e) => e.order === 1)!;
    expect(once.throttle).toBeGreaterThan(0.1);
    expect(once.throttle).toBeLessThan(0.9);
  });
});
