import { describe, expect, it } from "vitest";
import { type Cell, levelled } from "../../src/rotor/common-answer.js";

function cell(speed: number, power: number): Cell {
  return { m: 0, speed, power, axes: { roll: power, pitch: 0, yaw: 0 }, weight: 1, own: 1 };
}

describe("levelled(answer, cells, response)", () => {
  const cells = [cell(115, 30), cell(116, 60), cell(117, 30)];
  const swollen = new Map([
    [115, 1],
    [116, 2],
    [117, 1],
  ]);

  it("brings the answer to the modes' response where that is known, to a mean of 1 where not", () => {
    const known = levelled(swollen, cells, (_, hz) => (Math.abs(Math.log(hz) / 0.04 - 116) < 0.1 ? 20 : 10));
    expect(known.answer.get(115)).toBeCloseTo(10, 6);
    expect(known.answer.get(116)).toBeCloseTo(20, 6);
    expect([...levelled(swollen, cells, null).answer.values()].reduce((a, b) => a + b, 0) / 3).toBeCloseTo(
      1,
      6,
    );
  });

  it("is never sure of what it takes off: one speed alone at a response of 30 leaves a deviation", () => {
    expect(levelled(new Map([[115, 1]]), [cell(115, 30)], () => 30).sd).toBeGreaterThan(0.3);
    expect(levelled(new Map([[115, 1]]), [cell(115, 30)], () => 1).sd).toBe(0);
  });

  it("takes nothing off where no axis shows a line", () => {
    const silent = [cell(115, -1), cell(116, -1)];
    const level = new Map([
      [115, 1],
      [116, 1],
    ]);
    expect([...levelled(level, silent, () => 5).answer.values()]).toEqual([1, 1]);
  });
});
