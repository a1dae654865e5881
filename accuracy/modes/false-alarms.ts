import { randomStream } from "../../simulator/random.js";
import { discoveryLimit, type Scan, scan } from "../../src/modes/candidates.js";
import { level, logPlane } from "../../src/modes/levelling.js";
import { maskedAverage } from "../../src/modes/masked-average.js";
import type { Plane } from "../../src/modes/plane.js";
import { frameGrid } from "../../src/spectra/frame-grid.js";
import { shortTimeSpectrum } from "../../src/spectra/short-time.js";

const STATED = [0.1, 0.03, 0.01];
const RECORDS = 400;
const RATE = 1000;
const SECONDS = 40;

/** The scan of one axis of plain noise. */
function scanNoise(seed: number, record: number): Scan {
  const random = randomStream(seed, `plain noise ${record}`);
  const x = Float32Array.from({ length: RATE * SECONDS }, () => random.normal());
  const grid = frameGrid([{ from: 0, to: x.length }], { sampleRate: RATE, segmentLength: 1024, hop: 512 });
  const plane: Plane = {
    grid,
    axes: [{ axis: "roll", power: shortTimeSpectrum(x, grid).power }],
    mask: new Uint8Array(grid.starts.length * grid.bins),
  };
  const levelling = level(plane, logPlane(plane));
  return scan(maskedAverage(plane, { axis: 0, levelling, classOf: null }));
}

/**
 * The false-alarm rate stated by the search against the one measured: records of white noise in which anything stands
 * out by the stated chance, before any other rule.
 */
export function falseAlarms(seed: number): { markdown: string; missed: string[] } {
  const scans = Array.from({ length: RECORDS }, (_, i) => scanNoise(seed, i));
  const missed: string[] = [];
  const lines = [
    "| stated, over the whole search of one axis | measured | sampling error (2 sd) |",
    "| --- | --- | --- |",
  ];
  for (const stated of STATED) {
    const alarms = scans.filter((s) => s.p.some((p) => p <= discoveryLimit([s], stated)));
    const measured = alarms.length / RECORDS;
    const error = 2 * Math.sqrt((stated * (1 - stated)) / RECORDS);
    const line = `${(100 * measured).toFixed(2)} %`;
    if (Math.abs(measured - stated) > error + 0.5 / RECORDS)
      missed.push(`false alarms in noise: ${line}, stated ${stated}`);
    lines.push(`| ${100 * stated} % | ${line} | ${(100 * error).toFixed(2)} % |`);
  }
  return { markdown: lines.join("\n"), missed };
}
