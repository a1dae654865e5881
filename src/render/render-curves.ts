import type { Evidence } from "../evidence.js";
import type { Result } from "../result.js";
import type { HeatMap, Spectrum } from "../spectra/spectrum.js";
import { csvCell } from "../text/escape.js";
import { AXES } from "../units.js";

/** One CSV file: a name without ending, and the text. */
export interface CurveFile {
  readonly name: string;
  readonly csv: string;
}

interface Column {
  readonly head: string;
  readonly values: ArrayLike<number>;
}

/** Significant digits of a cell. */
const DIGITS = 7;

/**
 * Every curve that the charts show as CSV text: units in the header, a line feed after each row, an empty cell
 * where nothing is known. Text cells cannot start a spreadsheet formula.
 */
export function renderCurves(result: Result, evidence: Evidence): readonly CurveFile[] {
  const files: (CurveFile | null)[] = AXES.flatMap((axis) => [
    spectraFile(axis, evidence),
    fixedFile(axis, evidence),
    mapFile(`throttle-map-${axis}`, evidence.throttleMap[axis], "throttle, 0..1"),
    mapFile(`time-map-${axis}`, evidence.timeMap[axis], "time, s"),
  ]);
  files.push(seriesFile(evidence), ...orderFiles(evidence), rotorCurve(result));
  return files.filter((f) => f !== null);
}

function table(name: string, columns: readonly Column[]): CurveFile {
  const rows = Math.max(...columns.map((c) => c.values.length));
  const lines = [columns.map((c) => csvCell(c.head)).join(",")];
  for (let i = 0; i < rows; i++) lines.push(columns.map((c) => number(c.values[i])).join(","));
  return { name, csv: lines.join("\n") + "\n" };
}

function number(value: number | undefined): string {
  return value === undefined || !Number.isFinite(value) ? "" : csvCell(Number(value.toPrecision(DIGITS)));
}

/** Spectra of one axis; signals on different frequency axes go to columns of their own. */
function spectraFile(axis: (typeof AXES)[number], evidence: Evidence): CurveFile | null {
  const signals = Object.entries(evidence.spectra[axis]) as [string, Spectrum | null][];
  const columns = signals.flatMap(([signal, s]): Column[] => {
    if (s === null) return [];
    return [
      { head: `${signal} frequency, Hz`, values: s.frequency },
      { head: `${signal} PSD, ${s.unit}`, values: s.density },
      { head: `${signal} PSD low end of 95 %, ${s.unit}`, values: s.lower },
      { head: `${signal} PSD high end of 95 %, ${s.unit}`, values: s.upper },
    ];
  });
  return columns.length === 0 ? null : table(`spectra-${axis}`, columns);
}

function fixedFile(axis: (typeof AXES)[number], evidence: Evidence): CurveFile | null {
  const fixed = evidence.fixed[axis];
  if (fixed === null) return null;
  const unit = "(deg/s)²/Hz";
  return table(`fixed-${axis}`, [
    { head: "frequency, Hz", values: fixed.frequency },
    { head: `PSD of what stays put, ${unit}`, values: fixed.density },
    { head: `low end of 95 %, ${unit}`, values: fixed.lower },
    { head: `high end of 95 %, ${unit}`, values: fixed.upper },
    { head: `fitted model, ${unit}`, values: fixed.model },
    { head: `floor, ${unit}`, values: fixed.floor },
    { head: "frames", values: fixed.frames },
  ]);
}

/** A map as one row per x bin, one column per frequency. */
function mapFile(name: string, map: HeatMap | null, xHead: string): CurveFile | null {
  if (map === null) return null;
  const n = map.y.length;
  const columns = Array.from(map.y, (hz, iy): Column => {
    const values = Float64Array.from(map.x, (_, ix) => map.level[ix * n + iy]!);
    return { head: `${Number(hz.toPrecision(DIGITS))} Hz, ${map.reference}`, values };
  });
  return table(name, [
    { head: xHead, values: map.x },
    { head: "flight behind it, s", values: map.seconds },
    ...columns,
  ]);
}

function seriesFile({ throttle, rotorHz }: Evidence): CurveFile | null {
  const columns: Column[] = [];
  if (throttle)
    columns.push(
      { head: "throttle time, s", values: throttle.x },
      { head: "throttle, 0..1", values: throttle.y },
    );
  if (rotorHz)
    columns.push(
      { head: "rotor time, s", values: rotorHz.x },
      { head: "rotor frequency, Hz", values: rotorHz.y },
    );
  return columns.length === 0 ? null : table("throttle-and-rotor", columns);
}

function orderFiles({ orderHistory }: Evidence): CurveFile[] {
  if (orderHistory.length === 0) return [];
  const columns = orderHistory.flatMap((h): Column[] => {
    const who = `${h.motor === null ? "all rotors" : `motor ${h.motor}`} order ${h.order}`;
    return [
      { head: `${who} time, s`, values: h.amplitude.x },
      { head: `${who} amplitude, deg/s`, values: h.amplitude.y },
    ];
  });
  return [table("order-amplitudes", columns)];
}

function rotorCurve({ rotor }: Result): CurveFile | null {
  if (rotor.curve.length === 0) return null;
  return table("rotor-curve", [
    { head: "throttle, 0..1", values: rotor.curve.map((p) => p.throttle) },
    { head: "rotor frequency, Hz", values: rotor.curve.map((p) => p.hz) },
    { head: "low end of 95 %, Hz", values: rotor.curve.map((p) => p.ci95Hz[0]) },
    { head: "high end of 95 %, Hz", values: rotor.curve.map((p) => p.ci95Hz[1]) },
  ]);
}
