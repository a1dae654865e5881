import { expect, it } from "vitest";
import { randomStream } from "../../simulator/random.js";
import type { AxisMode } from "../../src/modes/axis-mode.js";
import type { ResolutionBank } from "../../src/modes/resolution-bank.js";
import { ringingMode } from "../../src/modes/ringing.js";

const BINS = 101;
const FRAMES = 60;

/** A plane of 1 Hz bins whose bin 60 has the given power in every frame. */
function bankOf(power: (frame: number) => number): ResolutionBank {
  const cells = new Float32Array(FRAMES * BINS).fill(1e-3);
  for (let k = 0; k < FRAMES; k++) cells[k * BINS + 60] = power(k);
  const grid = { sampleRate: 200, segmentLength: 200, bins: BINS, starts: new Int32Array(FRAMES) };
  const plane = { grid, axes: [{ axis: "roll", power: cells }], mask: new Uint8Array(cells.length) };
  return { base: { plane } } as unknown as ResolutionBank;
}

function narrow(prominenceDb: number, inFavour = 3): AxisMode {
  const persistence = { classes: [], inFavour, against: 0 };
  const known = {
    axis: 0,
    frequencyHz: 60,
    dampingRatio: 0.0014,
    sdLogDamping: 0.3,
    prominenceDb,
    persistence,
  };
  return known as unknown as AxisMode;
}

/** Power that comes and goes as a random response does: exponential. */
function ringing(): ResolutionBank {
  const random = randomStream(5, "rings");
  return bankOf(() => -Math.log(random.uniform() + 1e-12));
}

it("ringingMode takes a clear narrow peak that comes and goes for a light mode, its damping hardly known", () => {
  const mode = ringingMode(narrow(30), ringing())!;
  expect(mode.frequencyHz).toBe(60);
  expect(mode.dampingRatio * Math.exp(1.96 * mode.sdLogDamping)).toBeGreaterThan(0.005);
});

it("ringingMode refuses what keeps its strength (a tone), what is faint, and what some speeds do not show", () => {
  expect(
    ringingMode(
      narrow(30),
      bankOf(() => 1),
    ),
  ).toBeNull();
  expect(ringingMode(narrow(10), ringing())).toBeNull();
  expect(ringingMode(narrow(30, 1), ringing())).toBeNull();
});
