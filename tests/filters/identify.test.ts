import { describe, expect, test } from "vitest";
import { randomStream } from "../../simulator/random.js";
import { lowPass2, notch } from "../../src/filters/biquad.js";
import { chainDelayMs } from "../../src/filters/dc-delay.js";
import { fitDelay } from "../../src/filters/delay-fit.js";
import { foldedResponse, pathResponse } from "../../src/filters/folded-response.js";
import { identifyPath } from "../../src/filters/identify.js";
import { phaseModel } from "../../src/filters/phase-model.js";
import { ResponseTable } from "../../src/filters/response-table.js";
import type { Section } from "../../src/filters/section.js";
import { slowGain } from "../../src/filters/slow-gain.js";
import type { TransferSums } from "../../src/filters/transfer.js";

const LOOP = 4000;
const LOG = 1000;

/** What a thinned log shows of a path whose input's floor folded down by a share, with noise of known coherence. */
function sumsOf(
  sections: readonly Section[],
  { derivative = false, gain = 1, share = 0, coherence = 0.98 } = {},
): TransferSums {
  const path = { sections, loopRate: LOOP, derivative };
  const random = randomStream(3, "transfer");
  const bins = 501;
  const zeros = () => new Float64Array(bins);
  const sums = { xx: zeros().fill(1), yy: zeros(), re: zeros(), im: zeros(), frequency: zeros() };
  const edof = 80;
  for (let k = 1; k < bins; k++) {
    const h = foldedResponse(path, k, { rate: LOG, share });
    const size = gain * Math.hypot(h.re, h.im);
    const noise = size * Math.sqrt((1 - coherence) / (coherence * edof));
    sums.frequency[k] = k;
    sums.re[k] = gain * h.re + noise * random.normal();
    sums.im[k] = gain * h.im + noise * random.normal();
    sums.yy[k] = size ** 2 / coherence;
  }
  return { ...sums, frames: 40, edof, shiftS: 0 };
}

const options = { loopRate: LOOP, logRate: LOG, folded: 0, derivative: false, before: null };

describe("ResponseTable", () => {
  test("respond() is pathResponse(), and its folded part the mean over the images", () => {
    const path = { sections: [lowPass2(90, LOOP), notch(150, LOOP, 3)], loopRate: LOOP, derivative: true };
    const { own, folded } = new ResponseTable([20, 130], { logRate: LOG, loopRate: LOOP }).respond(
      path.sections,
      true,
    );
    [20, 130].forEach((hz, i) => {
      const wanted = pathResponse(path, hz);
      const images = foldedResponse(path, hz, { rate: LOG, share: 1 });
      expect(own.re[i]).toBeCloseTo(wanted.re, 9);
      expect(own.im[i]).toBeCloseTo(wanted.im, 9);
      expect(folded.re[i]).toBeCloseTo(images.re, 9);
      expect(folded.im[i]).toBeCloseTo(images.im, 9);
    });
  });
});

describe("identifyPath()", () => {
  test("finds a low-pass, its corner and its delay", () => {
    const like = identifyPath(sumsOf([lowPass2(90, LOOP)]), options)!;
    expect(like.family).toEqual(["low-pass 2"]);
    expect(like.places[0]!.hz / 90).toBeCloseTo(1, 1);
    const off = phaseModel(like).delayS - chainDelayMs([lowPass2(90, LOOP)], LOOP) / 1000;
    expect(Math.abs(off)).toBeLessThan(3 * phaseModel(like).delaySdS);
    expect(Math.abs(off)).toBeLessThan(5e-5);
  });

  test("finds the notch beside it", () => {
    const like = identifyPath(sumsOf([lowPass2(120, LOOP), notch(160, LOOP, 4)]), options)!;
    expect(like.family).toEqual(["low-pass 2", "notch"]);
    expect(like.places[1]!.hz).toBeCloseTo(160, -1);
  });

  test("finds nothing where nothing filters", () => {
    expect(identifyPath(sumsOf([]), options)!.family).toEqual([]);
  });

  test("finds a D-term's gain with its sign, and how much of the floor folded down", () => {
    const sums = sumsOf([lowPass2(80, LOOP)], { derivative: true, gain: -0.02, share: 0.3 });
    const like = identifyPath(sums, { ...options, derivative: true, folded: 0.4 })!;
    expect(Math.abs(like.gain / -0.02 - 1)).toBeLessThan(0.03);
    expect(Math.abs(like.whiteness.mean - 0.75)).toBeLessThan(0.1);
  });

  test("gives null where nothing is coherent", () => {
    expect(identifyPath(sumsOf([lowPass2(90, LOOP)], { coherence: 0.2 }), options)).toBeNull();
  });
});

test("slowGain() reads a derivative's gain below its filters", () => {
  const found = slowGain(sumsOf([lowPass2(80, LOOP)], { derivative: true, gain: 0.02 }))!;
  expect(Math.abs(found.gain / 0.02 - 1)).toBeLessThan(2 * found.sd);
  expect(found.sd).toBeLessThan(0.05);
});

describe("fitDelay() beside a model", () => {
  const sections = [lowPass2(90, LOOP)];
  const truth = chainDelayMs(sections, LOOP) / 1000;
  const path = { sections, loopRate: LOOP, derivative: false };
  const points = Array.from({ length: 60 }, (_, k) => {
    const { re, im } = pathResponse(path, 4 + k);
    return { hz: 4 + k, phase: Math.atan2(im, re), variance: 1e-4, bias: 0 };
  });
  const modelOf = (corner: number) => {
    const like = identifyPath(sumsOf([lowPass2(corner, LOOP)]), options)!;
    return { ...phaseModel(like), delaySdS: Infinity };
  };

  test("corrects a model that is off, and is surer than without one", () => {
    const helped = fitDelay(points, { model: modelOf(93), bendSd: 5e-5 })!;
    const alone = fitDelay(points)!;
    expect(Math.abs(helped.delayS - truth)).toBeLessThan(1e-4);
    expect(helped.ci95S[1] - helped.delayS).toBeLessThan(0.8 * (alone.ci95S[1] - alone.delayS));
  });
});
