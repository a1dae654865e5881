import { expect, test } from "vitest";
import { commandRange } from "../../src/decode/command-range.js";

/** A flight's command: on the ground at `idle`, then moving between `low` and `high`. */
const flown = (idle: number, low: number, high: number): Float32Array =>
  Float32Array.from({ length: 4000 }, (_, i) =>
    i < 800 ? idle : low + ((high - low) * (1 + Math.sin(i / 50))) / 2,
  );
const read = (values: Float32Array): { unit: string; hover: number } => {
  const { unit, scale, offset } = commandRange([values]);
  return { unit, hover: (values[2000]! - offset) * scale };
};

test.each([
  ["0..1", flown(0, 0.3, 0.7)],
  ["%", flown(0, 30, 70)],
  ["0..1000", flown(0, 300, 700)],
  ["1000..2000", flown(1000, 1300, 1700)],
  ["1000..2000", flown(0, 1300, 1700)],
  ["0..2047", flown(48, 600, 1430)],
  ["0..2047", flown(0, 600, 1430)],
  ["0..65535", flown(0, 20_000, 46_000)],
  ["-1..0", flown(0, -0.7, -0.3)],
  ["-1..1", flown(-1, -0.4, 0.4)],
  ["-500..500", flown(-500, -200, 200)],
])("commandRange reads %s, and a hover lies inside it", (unit, values) => {
  const found = read(values);
  expect(found.unit).toBe(unit);
  expect(found.hover).toBeGreaterThan(0.25);
  expect(found.hover).toBeLessThan(0.75);
  expect(commandRange([values]).sure).toBe(true);
});

test("commandRange is not sure where several full ranges fit", () => {
  expect(commandRange([flown(0, 1200, 2800)])).toMatchObject({ unit: "0..4095", sure: false });
});

test("commandRange of a command that never moves says 0..1", () => {
  expect(commandRange([new Float32Array(100)]).unit).toBe("0..1");
});
