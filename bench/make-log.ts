import { closeSync, openSync, writeSync } from "node:fs";
import { simulateFlight } from "../simulator/simulate.js";

/** One invented flight of 90 s at 2 kHz, as the lines of its CSV. */
function oneFlight(): string[] {
  const { csv } = simulateFlight({
    seed: 7,
    durationS: 90,
    logRateHz: 2000,
    rotors: { propellerInch: 15, blades: 2, count: 4 },
    flight: { profile: "sweep", restBeforeS: 0 },
    modes: [{ frequencyHz: 118, dampingRatio: 0.012, prominenceDb: { roll: 14, pitch: 9 } }],
    telemetry: { unit: "rpm", delayS: 0.005 },
    // Eighteen columns: time, three gyros raw and filtered, two D-terms, three setpoints, throttle, four speeds, voltage.
    columns: { motors: false },
  });
  return csv().trimEnd().split("\n");
}

const STEP_US = 500;

/**
 * Writes a log of at least `megabytes`: the invented flight, flown again and again on a clock that runs on.
 *
 * @returns rows written
 */
export function makeLog(path: string, megabytes: number): number {
  const [header = "", ...rows] = oneFlight();
  const bodies = rows.map((row) => row.slice(row.indexOf(",")));
  const file = openSync(path, "w");
  let written = writeSync(file, `${header}\n`);
  let count = 0;
  while (written < megabytes * 1e6) {
    const chunk: string[] = [];
    let room = megabytes * 1e6 - written;
    for (const body of bodies) {
      if (room <= 0) break;
      const line = `${count++ * STEP_US}${body}\n`;
      room -= line.length;
      chunk.push(line);
    }
    written += writeSync(file, chunk.join(""));
  }
  closeSync(file);
  return count;
}
