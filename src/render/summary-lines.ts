import type { Mode } from "../modes/mode.js";
import type { AxisSummary, Result } from "../result.js";
import {
  certainty,
  duration,
  figure,
  listed,
  modeHz,
  modeHzWithInterval,
  percent,
  quantity,
  range,
  UNKNOWN,
} from "./format.js";

/** Sentences that terminal and page share. */

/** "62.4 Hz (61.9 to 62.9), damping 1.8 %, on roll and pitch" */
export function modeLine(mode: Mode): string {
  const axes = listed(mode.axes.map((a) => a.axis));
  return `${modeHzWithInterval(mode)}, damping ${percent(mode.dampingRatio)}, on ${axes}`;
}

/** Failed checks under which a search for modes proves little, found or not. */
const NO_SEARCH = ["gyro-present", "airborne"];

/** The first mode, or why there is none: looked for in vain, found but unresolved, hidden, or not looked for. */
export function firstModeLine(result: Result): string {
  const unfit = result.quality.some((check) => check.level === "fail" && NO_SEARCH.includes(check.id));
  if (result.firstMode !== null)
    return `${modeLine(result.firstMode)}${unfit ? "; from a log not fit to rely on" : ""}`;
  const open = result.modes.filter((mode) => mode.kind === "unresolved");
  if (open.length > 0) {
    const at = listed(open.slice(0, 4).map(modeHz)) + (open.length > 4 ? " and more" : "");
    return `not known: ${at} could not be told from other lines`;
  }
  if (unfit)
    return `not known: ${duration(result.analysed.airborneS)} in the air could not be searched for modes`;
  const hidden = result.modesUnobservable.length;
  if (hidden === 0)
    return `none found up to ${quantity(result.log.nyquistHz, "Hz")}, which is all that this log shows`;
  return `none found; ${hidden} ${hidden === 1 ? "band" : "bands"} could not be seen, so a mode there is unknown, not absent`;
}

/** What is known of rotor speed. */
export function rotorLine(result: Result): string {
  const { rotor } = result;
  if (rotor.source === "none" || rotor.bandHz === null)
    return "speed unknown: no rpm, and none could be inferred";
  const from =
    rotor.source === "telemetry" ? "telemetry" : `inferred, confidence ${certainty(rotor.confidence)}`;
  const once = `${range(rotor.bandHz, "Hz")} (median ${figure(rotor.medianHz)}), ${from}`;
  if (rotor.blades === null) return once;
  const [lo, hi] = rotor.bandHz;
  return `${once}; blade pass ${range([lo * rotor.blades, hi * rotor.blades], "Hz")}`;
}

/** The quiet band of an axis in two cells: where it lies, how much shakes in it. */
export function quietBandCells(axis: AxisSummary): [where: string, level: string] {
  const { fromHz, toHz, rmsDps } = axis.quietBand;
  if (fromHz === null || toHz === null) return [UNKNOWN, UNKNOWN];
  if (toHz <= fromHz) return ["no such band", UNKNOWN];
  return [range([fromHz, toHz], "Hz"), quantity(rmsDps, "deg/s")];
}

export function strongestLineCell(axis: AxisSummary): string {
  const line = axis.strongestLine;
  return line === null ? "none" : `${figure(line.hz)} Hz, ${figure(line.levelDb, 2)} dB, ${line.what}`;
}

/** The same for a narrow column: frequency and name, "97.7 Hz, once per turn + mode". */
export function strongestLineBrief(axis: AxisSummary): string {
  const line = axis.strongestLine;
  if (line === null) return "none";
  const what = line.what
    .replace(/ unresolved peak at /, " peak at ")
    .replace(/^.*, folded, near the (mode|peak) at .*$/, "$1 + folded line")
    .replace(/, near the (mode|peak) at .*$/, " + $1")
    .replace(" × rotor speed", " × turn")
    .replace(/^(mode|unresolved peak|fixed tone) at .*$/, "$1")
    .replace(/,? the rotors' speed is not known$/, "");
  return `${figure(line.hz)} Hz, ${what}`;
}

/** The band in which the D-term carries most, "0.81 in 80 to 200 Hz"; the unit is the log's own. */
export function dtermCell(axis: AxisSummary): string {
  const known = axis.bands.filter((b) => b.dterm !== null);
  if (known.length === 0) return UNKNOWN;
  const worst = known.reduce((a, b) => (b.dterm! > a.dterm! ? b : a));
  return `${figure(worst.dterm)} in ${range([worst.fromHz, worst.toHz], "Hz", 2)}`;
}

/** The same for a narrow column: level and middle of that third-octave band, "0.81 at 126 Hz". */
export function dtermBrief(axis: AxisSummary): string {
  const known = axis.bands.filter((b) => b.dterm !== null);
  if (known.length === 0) return UNKNOWN;
  const worst = known.reduce((a, b) => (b.dterm! > a.dterm! ? b : a));
  return `${figure(worst.dterm)} at ${figure(Math.sqrt(worst.fromHz * worst.toHz), 2)} Hz`;
}
