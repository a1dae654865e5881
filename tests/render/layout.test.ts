import fc from "fast-check";
import { expect, test } from "vitest";
import { placeInRows, spread } from "../../src/render/charts/labels.js";
import { nameBeside } from "../../src/render/charts/point-labels.js";
import { linearTicks, logTicks, place, position, tickLabel } from "../../src/render/charts/scale.js";
import { textWidth } from "../../src/render/charts/text-width.js";
import { thinSeries } from "../../src/render/charts/thin-series.js";
import { figure, orderName, range, trimmed } from "../../src/render/format.js";

test("figure(value) keeps significant digits and says what is not known", () => {
  expect(figure(0.012345)).toBe("0.0123");
  expect(figure(1234.5)).toBe("1235");
  expect(figure(null)).toBe("unknown");
  expect(figure(Number.NaN)).toBe("unknown");
});

test("range(interval) keeps measured zeros and drops those of whole limits", () => {
  expect(range([20, 67.72], "Hz")).toBe("20 to 67.7 Hz");
  expect(range([0.6934, 1.0004], "deg/s")).toBe("0.693 to 1.00 deg/s");
  expect(trimmed(0.5)).toBe("0.5");
  expect(trimmed(100)).toBe("100");
});

test("orderName(order, blades) uses the trade's words", () => {
  expect([1, 2, 4, 3].map((o) => orderName(o, 2))).toEqual([
    "once per turn",
    "blade pass",
    "2 × blade pass",
    "3 × turn",
  ]);
});

test("position(scale, value) maps decades evenly and place(scale, value) stays inside", () => {
  const scale = { type: "log", domain: [1, 100], range: [0, 200] } as const;
  expect(position(scale, 10)).toBeCloseTo(100, 9);
  expect(position(scale, 1000)).toBeCloseTo(300, 9);
  expect(place(scale, 1000)).toBe(200);
  expect(place({ type: "linear", domain: [0, 1], range: [50, 0] }, 2)).toBe(0);
});

test("ticks lie inside their domain and read plainly", () => {
  expect(logTicks([5, 500])).toEqual([5, 10, 20, 50, 100, 200, 500]);
  expect(linearTicks([0, 100], 5)).toEqual([0, 20, 40, 60, 80, 100]);
  expect([0.001, 1e-5, 2e-7, 250].map(tickLabel)).toEqual(["0.001", "10⁻⁵", "2·10⁻⁷", "250"]);
});

test("thinSeries(series, most) averages neighbours and keeps gaps", () => {
  expect(thinSeries({ x: Float64Array.of(0, 1, 2, 3), y: Float64Array.of(0, 2, 4, 6) }, 2)).toEqual([
    { x: 0.5, y: 1 },
    { x: 2.5, y: 5 },
  ]);
  const gap = thinSeries(
    { x: Float64Array.of(0, 1, 2, 3), y: Float64Array.of(1, 1, Number.NaN, Number.NaN) },
    2,
  );
  expect(gap[1]!.y).toBeNaN();
});

const place1d = fc.double({ min: 0, max: 400, noNaN: true });

test("spread(places) keeps the order, the distance and the room", () => {
  fc.assert(
    fc.property(fc.array(place1d, { minLength: 1, maxLength: 20 }), (at) => {
      const out = spread(at, { from: 0, to: 400, step: 15 });
      const sorted = [...out].sort((a, b) => a - b);
      expect(sorted[0]).toBeGreaterThanOrEqual(-1e-9);
      expect(sorted.at(-1)).toBeLessThanOrEqual(400 + 1e-9);
      for (let i = 1; i < sorted.length; i++) expect(sorted[i]! - sorted[i - 1]!).toBeGreaterThan(15 - 1e-6);
    }),
  );
});

test("placeInRows(labels) lets no label touch another and counts what is left out", () => {
  fc.assert(
    fc.property(fc.array(place1d, { maxLength: 40 }), (at) => {
      const labels = at.map((a) => ({ at: a, text: "123.4 Hz" }));
      const { placed, leftOut } = placeInRows(labels, { from: 0, to: 400, rows: 3, size: 12 });
      expect(placed.length + leftOut.length).toBe(labels.length);
      const width = textWidth("123.4 Hz", 12);
      for (const [i, a] of placed.entries()) {
        expect(a.x - width / 2).toBeGreaterThanOrEqual(-1e-6);
        expect(a.x + width / 2).toBeLessThanOrEqual(400.02);
        for (const b of placed.slice(i + 1)) {
          if (a.row === b.row) expect(Math.abs(a.x - b.x)).toBeGreaterThanOrEqual(width);
        }
      }
    }),
  );
});

test("nameBeside(points) lets no name lie over another name or point", () => {
  const point = fc.record({ x: place1d, y: fc.double({ min: 0, max: 200, noNaN: true }) });
  fc.assert(
    fc.property(fc.array(point, { maxLength: 30 }), (points) => {
      const named = nameBeside(
        points.map((p, i) => ({ ...p, text: String(i + 1) })),
        { width: 400, height: 200 },
      );
      for (const [i, a] of named.entries()) {
        const right = a.left + textWidth(a.text, 12);
        for (const b of named.slice(i + 1)) {
          const apart =
            right <= b.left ||
            b.left + textWidth(b.text, 12) <= a.left ||
            Math.abs(a.middle - b.middle) >= 15 - 1e-9;
          expect(apart).toBe(true);
        }
        for (const p of points) {
          const free =
            p.x + 7 <= a.left + 1e-9 || p.x - 7 >= right - 1e-9 || Math.abs(p.y - a.middle) >= 14.5 - 1e-9;
          expect(free).toBe(true);
        }
      }
    }),
  );
});
