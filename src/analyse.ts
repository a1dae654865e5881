import { assembleResult } from "./assemble-result.js";
import { fingerprintOf } from "./compare/fingerprint-of.js";
import type { Craft } from "./craft.js";
import type { ColumnMap } from "./decode/column-map.js";
import { decodeLog } from "./decode/decode.js";
import type { FlightLog } from "./decode/flight-log.js";
import type { Evidence } from "./evidence.js";
import { type FilterStudyOptions, filterStudy } from "./filters/filter-study.js";
import { identifyModes } from "./modes/identify-modes.js";
import { imbalanceNearModes } from "./modes/imbalance-near-modes.js";
import type { Result } from "./result.js";
import { estimateRotor } from "./rotor/estimate-rotor.js";
import { gatherEvidence } from "./spectra/gather-evidence.js";
import type { Timeline } from "./timeline/timeline.js";
import { toTimeline } from "./timeline/to-timeline.js";
import { judge } from "./verdict/judge.js";
import type { Judgement } from "./verdict/judge-input.js";

/** A log: its bytes, whole or in chunks. */
export type LogSource = Uint8Array | AsyncIterable<Uint8Array>;

/** What a run can be told; all optional. */
export interface AnalyseOptions {
  /** Base name shown in the result; default "log". */
  readonly file?: string;
  readonly craft?: Craft;
  /** Entries of the craft file that were not understood; reported among the quality checks. */
  readonly craftUnknown?: readonly string[];
  /** What each column is, when the headers cannot be read. */
  readonly columnMap?: ColumnMap;
  /** Which flight of the file, from 1; default the longest airborne. */
  readonly flight?: number;
  /** Seconds of the log's clock between which to analyse. */
  readonly fromS?: number;
  readonly toS?: number;
  /** Row rate in Hz, for a log whose time column is a sample counter. */
  readonly rateHz?: number;
  /** Rate of the controller's filter loop, Hz; over the craft file's. */
  readonly loopRateHz?: number;
  /** Crossover of the rate loop, Hz; over the craft file's. */
  readonly crossoverHz?: number;
  /** Largest expanded size of a compressed log, bytes. */
  readonly maxExpandedBytes?: number;
  /** Called as each stage starts. */
  readonly onStage?: (stage: string) => void;
  /** Called with the bytes read so far. */
  readonly onProgress?: (bytes: number) => void;
  /** Size of the log's file in bytes, where known: saves memory on large logs. */
  readonly sizeBytes?: number;
}

/** A result with everything that it rests on. */
export interface Analysis {
  readonly result: Result;
  readonly evidence: Evidence;
  readonly timeline: Timeline;
}

/** Lets a pending progress line draw between two stages that do not yield. */
const breathe = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/**
 * The pipeline, in order: decode → timeline → rotor → modes → verdict → filters, and the curves for drawing.
 *
 * @param source bytes of the export (plain, gzip or zstd)
 * @throws {InputError} when the bytes cannot be read as a flight log, or an option does not fit it
 */
export async function analyseLog(source: LogSource, options: AnalyseOptions = {}): Promise<Analysis> {
  const stage = async (name: string): Promise<void> => {
    options.onStage?.(name);
    await breathe();
  };
  const craft = options.craft ?? {};
  await stage("reading");
  const log: FlightLog = await decodeLog(source, decodeOptions(options));
  await stage("laying on a clock");
  const timeline = toTimeline(log, timelineOptions(options));
  await stage("following the rotors");
  const turning = estimateRotor(timeline, craft);
  await stage("looking for what stays put");
  const modes = identifyModes(timeline, turning, craft);
  const rotor = imbalanceNearModes(timeline, turning, modes);
  await stage("judging");
  const judgement = judge({ log, timeline, rotor, modes, craft });
  await stage("weighing the filters");
  const filters = filterStudy(timeline, rotor, modes, craft, filterOptions(options, judgement));
  const fingerprint = fingerprintOf(timeline, rotor);
  const result = assembleResult({ log, timeline, rotor, modes, judgement, filters, fingerprint, options });
  await stage("drawing spectra");
  return { result, evidence: gatherEvidence(timeline, rotor, modes), timeline };
}

function decodeOptions(options: AnalyseOptions): Parameters<typeof decodeLog>[1] {
  return {
    file: options.file ?? "log",
    ...(options.columnMap !== undefined && { columnMap: options.columnMap }),
    ...(options.rateHz !== undefined && { rateHz: options.rateHz }),
    ...(options.maxExpandedBytes !== undefined && { maxExpandedBytes: options.maxExpandedBytes }),
    ...(options.onProgress !== undefined && { onProgress: options.onProgress }),
    ...(options.sizeBytes !== undefined && { sizeBytes: options.sizeBytes }),
  };
}

function timelineOptions(options: AnalyseOptions): Parameters<typeof toTimeline>[1] {
  return {
    ...(options.flight !== undefined && { flight: options.flight }),
    ...(options.fromS !== undefined && { fromS: options.fromS }),
    ...(options.toS !== undefined && { toS: options.toS }),
  };
}

/** The filter study counts as vibration, and as too much of it, what the verdict does. */
function filterOptions(options: AnalyseOptions, { axes, limits }: Judgement): FilterStudyOptions {
  const motionTopHz = Math.max(...Object.values(axes).map((axis) => axis.quietBand.fromHz ?? 0));
  const dtermShare = limits["dtermMarginalShare"]?.value;
  return {
    ...(options.loopRateHz !== undefined && { loopRateHz: options.loopRateHz }),
    ...(options.crossoverHz !== undefined && { crossoverHz: options.crossoverHz }),
    ...(motionTopHz > 0 && { motionTopHz }),
    ...(dtermShare !== undefined && { dtermShare }),
  };
}
