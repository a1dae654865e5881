import { expect, test } from "vitest";
import { analyse, type Result } from "../../src/index.js";
import { recorded } from "./recorded.js";

/**
 * Masalimov, Muslimov, Kozlov, Munasypov, "CrazyPAD: A Dataset for Assessing the Impact of Structural Defects on
 * Nano-Quadcopter Performance", Data 2024, 9(6), 79 (MIT). A 30 g craft logged at 101 Hz; its rotors turn near 285 Hz,
 * far above the log's Nyquist, so no line of this log may be given to a rotor or to a structure.
 */
const normal = recorded("nanoquad_normal.csv");
const cut = recorded("nanoquad_cut_one_blade_3mm.csv");

/** Root of the summed squares of the third-octave bands above 20 Hz. */
function levelAbove20(result: Result, axis: "roll" | "pitch"): number {
  const bands = result.axes[axis].bands.filter((band) => band.fromHz >= 20);
  return Math.sqrt(
    bands.reduce(
      (sum, { gyroRawDps, gyroFilteredDps }) => sum + (gyroRawDps ?? gyroFilteredDps ?? 0) ** 2,
      0,
    ),
  );
}

for (const flight of [normal, cut]) {
  test.skipIf(flight.absent)(
    `a log far below the rotors' speed is undetermined and names no line${flight.note}`,
    async () => {
      const result = await analyse(flight.path);
      expect(result.verdict.call).toBe("undetermined");
      expect(result.rotor.source).toBe("none");
      expect(result.firstMode).toBeNull();
      expect(result.modes.filter((mode) => mode.kind === "structure")).toEqual([]);
      // Timestamps: 101.15 Hz.
      expect(result.log.sampleRateHz).toBeGreaterThan(101.0);
      expect(result.log.sampleRateHz).toBeLessThan(101.3);
    },
  );
}

test.skipIf(normal.absent || cut.absent)(
  `a cut propeller at least doubles roll and pitch above 20 Hz${normal.note}`,
  async () => {
    const [a, b] = [await analyse(normal.path), await analyse(cut.path)];
    for (const axis of ["roll", "pitch"] as const) {
      expect(levelAbove20(b, axis) / levelAbove20(a, axis)).toBeGreaterThan(2);
    }
  },
);
