import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { CRAFTS } from "./crafts.js";
import { SAMPLES, type Sample } from "./samples.js";
import { type SimulatedFlight, simulateFlight } from "./simulate.js";

/** The sample's text, as it lies in the archive. */
export function sampleText(
  sample: Sample,
  flight: SimulatedFlight = simulateFlight(sample.scenario),
): string {
  return flight.csv(sample.style);
}

/** gzip without time stamp or name, operating system "unknown" (RFC 1952): the same text gives the same bytes. */
export function deterministicGzip(text: string): Buffer {
  const bytes = gzipSync(text, { level: 9 });
  bytes.fill(0, 4, 8);
  bytes[9] = 255;
  return bytes;
}

/** The numbers of the truth, without its series; rounded to a readable length. */
export function truthSummary(flight: SimulatedFlight): unknown {
  const { rotor, floorDensity: _floor, ...rest } = flight.truth;
  const { tracks: _tracks, common: _common, ...speeds } = rotor;
  const round = (_: string, value: unknown): unknown =>
    typeof value === "number" && !Number.isInteger(value) ? Number(value.toPrecision(6)) : value;
  return JSON.parse(JSON.stringify({ ...rest, rotor: speeds }, round));
}

function makeSamples(folder: string): void {
  mkdirSync(folder, { recursive: true });
  const truth: Record<string, unknown> = {};
  for (const sample of SAMPLES) {
    const flight = simulateFlight(sample.scenario);
    const bytes = deterministicGzip(sampleText(sample, flight));
    writeFileSync(join(folder, `${sample.name}.csv.gz`), bytes);
    truth[sample.name] = truthSummary(flight);
    console.log(`${sample.name}.csv.gz  ${(bytes.length / 1e6).toFixed(2)} MB`);
  }
  for (const [name, craft] of Object.entries(CRAFTS)) {
    writeFileSync(join(folder, `${name}.craft.json`), `${JSON.stringify(craft, null, 2)}\n`);
  }
  writeFileSync(join(folder, "truth.json"), `${JSON.stringify(truth, null, 2)}\n`);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  makeSamples(fileURLToPath(new URL("../samples/", import.meta.url)));
}
