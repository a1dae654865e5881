import { describe, expect, it } from "vitest";
import { cellEdges, cellsOfBand } from "../../src/compare/cells.js";
import { classify } from "../../src/compare/classes.js";
import { sharedClasses } from "../../src/compare/compare-levels.js";
import { thirdOctaves } from "../../src/verdict/third-octave.js";

describe("cellEdges", () => {
  it("fills every third-octave band with whole cells, none narrower than 4 Hz below the band that Nyquist cuts", () => {
    const edges = cellEdges(500);
    for (const band of thirdOctaves(20, 500)) {
      const [first, last] = cellsOfBand(edges, band);
      expect(edges[first]).toBeCloseTo(band.fromHz, 6);
      expect(edges[last]).toBeCloseTo(band.toHz, 6);
    }
    const whole = edges.slice(1).filter((edge) => edge <= 447);
    whole.forEach((edge, i) => {
      expect(edge - edges[i]!).toBeGreaterThanOrEqual(4);
    });
  });
  it("gives slow and fast logs the same edges up to the slower one's Nyquist frequency", () => {
    const [slow, fast] = [cellEdges(500), cellEdges(1000)];
    expect(fast.slice(0, slow.length - 1)).toEqual(slow.slice(0, -1));
  });
  it("gives none to a log that ends below the first band", () => {
    expect(cellEdges(10)).toEqual([]);
  });
});

const frames = (hz: number, count = 20): Float64Array => new Float64Array(count).fill(hz);
const shared = (a: number, b: number) => {
  const classes = (hz: number) =>
    classify(frames(hz), 6, { secondsPerFrame: 0.25 }).flatMap((s) => s.classes);
  return sharedClasses({ classes: classes(a) }, { classes: classes(b) });
};

describe("classify", () => {
  it("sorts frames into fixed classes, with their seconds", () => {
    const [even] = classify(frames(1, 4), 6, { secondsPerFrame: 0.25 });
    expect(even!.classes).toEqual([{ index: 0, from: 1, to: 2 ** (1 / 6), seconds: 1 }]);
  });
  it("puts every known frame into one class when there is nothing to match by", () => {
    const scales = classify(Float64Array.of(1, 1, Number.NaN, 1, 1), 0, { secondsPerFrame: 1 });
    expect(scales).toHaveLength(1);
    expect(scales[0]!.classes[0]!.seconds).toBe(4);
  });
  it("lets two hover flights within 5 % of each other meet, wherever they are", () => {
    for (let hz = 40; hz < 90; hz += 0.7) expect(shared(hz, hz * 1.05)).toHaveLength(1);
  });
  it("keeps flights a third apart from each other", () => {
    expect(shared(80, 107)).toHaveLength(0);
  });
});
