import type { Evidence } from "../evidence.js";
import type { Result } from "../result.js";
import type { Spectrum } from "../spectra/spectrum.js";
import { AXES } from "../units.js";
import { figure } from "./format.js";

export interface SpectrumTextOptions {
  readonly width: number;
  readonly unicode: boolean;
}

/** Rows of a spectrum in the terminal. */
const ROWS = 4;
/** Dots of a braille cell from top to bottom, left and right column (Unicode block Braille Patterns). */
const DOTS = [
  [0x01, 0x08],
  [0x02, 0x10],
  [0x04, 0x20],
  [0x40, 0x80],
] as const;
const LOWEST_HZ = 5;

/** One small spectrum per axis, frequency on a log axis, level in dB, with a ruler below the last. */
export function textSpectra(result: Result, evidence: Evidence, options: SpectrumTextOptions): string[] {
  const cells = Math.max(20, Math.min(options.width, 100) - 14);
  const drawn = AXES.flatMap((axis) => {
    const { raw, filtered } = evidence.spectra[axis];
    const spectrum = raw ?? filtered;
    return spectrum === null ? [] : [{ axis, spectrum, signal: raw ? "raw gyro" : "filtered gyro" }];
  });
  if (drawn.length === 0) return [];
  const top = Math.min(...drawn.map((d) => d.spectrum.frequency.at(-1)!));
  const lines = drawn.flatMap(({ axis, spectrum, signal }) => {
    const levels = columnLevels(spectrum, { columns: options.unicode ? cells * 2 : cells, top });
    const known = levels.filter(Number.isFinite);
    const [lo, hi] = [Math.min(...known), Math.max(...known)];
    const rows = options.unicode ? braille(levels, lo, hi) : asciiBars(levels, lo, hi);
    const labels = [`${axis}`, signal, `${figure(hi, 2)} dB`, `${figure(lo, 2)} dB`];
    return ["", ...rows.map((row, i) => (labels[i] ?? "").padEnd(14) + row)];
  });
  const unit = drawn[0]!.spectrum.unit;
  const shownUnit = options.unicode ? unit : unit.replaceAll("²", "^2");
  return [
    ...lines,
    " ".repeat(14) + ruler(cells, top),
    `${" ".repeat(14)}Hz, level in dB re 1 ${shownUnit}; ${markedLine(result)}`,
  ];
}

function markedLine(result: Result): string {
  const first = result.firstMode;
  return first === null ? "no first mode" : `first mode ${figure(first.frequencyHz)} Hz`;
}

/** Highest level in dB within each column of a log frequency axis; columns between bins repeat the nearest bin. */
function columnLevels(s: Spectrum, { columns, top }: { columns: number; top: number }): number[] {
  const step = s.frequency[1]! - s.frequency[0]!;
  const edge = (c: number): number => LOWEST_HZ * (top / LOWEST_HZ) ** (c / columns);
  return Array.from({ length: columns }, (_, c) => {
    const from = Math.max(1, Math.round(edge(c) / step));
    const to = Math.max(from, Math.min(s.density.length - 1, Math.round(edge(c + 1) / step) - 1));
    let best = Number.NEGATIVE_INFINITY;
    for (let i = from; i <= to; i++) best = Math.max(best, s.density[i] ?? 0);
    return best > 0 ? 10 * Math.log10(best) : Number.NaN;
  });
}

function braille(levels: readonly number[], lo: number, hi: number): string[] {
  const dots = ROWS * 4;
  const height = levels.map((v) =>
    Number.isFinite(v) ? 1 + Math.round(((v - lo) / (hi - lo || 1)) * (dots - 1)) : 0,
  );
  return Array.from({ length: ROWS }, (_, row) => {
    let line = "";
    for (let c = 0; c < height.length; c += 2) {
      let code = 0x2800;
      for (let d = 0; d < 4; d++) {
        const level = dots - (row * 4 + d);
        if (height[c]! >= level) code += DOTS[d]![0];
        if ((height[c + 1] ?? 0) >= level) code += DOTS[d]![1];
      }
      line += String.fromCharCode(code);
    }
    return line;
  });
}

function asciiBars(levels: readonly number[], lo: number, hi: number): string[] {
  return Array.from({ length: ROWS }, (_, row) =>
    levels
      .map((v) => {
        const filled = Number.isFinite(v) ? ((v - lo) / (hi - lo || 1)) * ROWS : 0;
        const over = filled - (ROWS - 1 - row);
        return over >= 0.75 ? "#" : over >= 0.25 ? "=" : over > 0 ? "." : " ";
      })
      .join(""),
  );
}

/** Tick labels under a log axis, left edge of each at its frequency. */
function ruler(cells: number, top: number): string {
  const line: string[] = Array.from({ length: cells }, () => " ");
  let free = 0;
  for (const hz of [5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000]) {
    const at = Math.round((Math.log(hz / LOWEST_HZ) / Math.log(top / LOWEST_HZ)) * cells);
    const label = `${hz}`;
    if (hz > top || at < free || at + label.length > cells) continue;
    for (const [i, c] of [...label].entries()) line[at + i] = c;
    free = at + label.length + 1;
  }
  return line.join("").trimEnd();
}
