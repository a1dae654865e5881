// Decode, seven Welch spectra and three throttle maps: what the reference script does, by the built library.
import { decodeLog } from "../../dist/decode/decode.js";
import { readLog, sizeOfLog } from "../../dist/io/read-log.js";
import { frameGrid } from "../../dist/spectra/frame-grid.js";
import { shortTimeSpectrum } from "../../dist/spectra/short-time.js";
import { throttleMap } from "../../dist/spectra/throttle-map.js";
import { welch } from "../../dist/spectra/welch.js";
import { toTimeline } from "../../dist/timeline/to-timeline.js";

const timeline = toTimeline(
  await decodeLog(readLog(process.argv[2]), { file: "bench", sizeBytes: sizeOfLog(process.argv[2]) }),
);
const { sampleRate, valid, length, gyroRaw, gyroFiltered, dterm } = timeline;
const spans = [{ from: 0, to: length }];
const series = [gyroRaw, gyroFiltered, dterm]
  .flatMap((s) => [s.roll, s.pitch, s.yaw])
  .filter((s) => s !== null);
for (const x of series.slice(0, 7)) welch(x, { sampleRate, segmentLength: 2048, spans, valid });
const grid = frameGrid(spans, { sampleRate, segmentLength: 2048, hop: 1024 }, valid);
for (const x of series.slice(0, 3)) throttleMap(shortTimeSpectrum(x, grid), timeline.throttle);
