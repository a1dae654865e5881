import type { AnalyseOptions } from "./analyse.js";
import type { Fingerprint } from "./compare/fingerprint.js";
import type { FlightLog } from "./decode/flight-log.js";
import { isRefusal } from "./filters/filter-study.js";
import type { FilterRefusal, FilterStudy } from "./filters/study.js";
import type { ModesEstimate } from "./modes/mode.js";
import type { LogSummary, QualityCheck, Result, RotorSummary, Settings } from "./result.js";
import type { RotorEstimate } from "./rotor/rotor.js";
import { airborneSeconds, type Timeline } from "./timeline/timeline.js";
import type { Judgement } from "./verdict/judge-input.js";
import { SCHEMA_VERSION, VERSION } from "./version.js";

/** Every stage's answer, and what the run was told. */
export interface ResultParts {
  readonly log: FlightLog;
  readonly timeline: Timeline;
  readonly rotor: RotorEstimate;
  readonly modes: ModesEstimate;
  readonly judgement: Judgement;
  readonly filters: FilterStudy | FilterRefusal;
  readonly fingerprint: Fingerprint | null;
  readonly options: AnalyseOptions;
}

/** Puts the stages' answers into the shape of the result contract. Computes nothing. */
export function assembleResult(parts: ResultParts): Result {
  const { log, timeline, rotor, modes, judgement, filters } = parts;
  return {
    schemaVersion: SCHEMA_VERSION,
    tool: { name: "quietspar", version: VERSION },
    settings: settingsOf(parts),
    log: logSummary(log, timeline),
    analysed: {
      flight: timeline.flight,
      ...analysedRange(timeline),
      airborneS: airborneSeconds(timeline),
    },
    missing: isRefusal(filters) ? [...judgement.missing, filters] : judgement.missing,
    quality: [...judgement.quality, ...craftFileChecks(parts.options)],
    rotor: rotorSummary(rotor),
    modes: modes.modes,
    tones: modes.tones,
    modesUnobservable: modes.unobservable,
    firstMode: modes.modes.find((mode) => mode.kind === "structure") ?? null,
    axes: judgement.axes,
    verdict: judgement.verdict,
    filters: isRefusal(filters) ? null : filters,
    footage: judgement.footage,
    history: null,
    fingerprint: parts.fingerprint,
  };
}

/** From take-off to landing; the whole range where nothing is in the air. Seconds of the log's clock. */
function analysedRange({ airborne, startS, sampleRate, length }: Timeline): { fromS: number; toS: number } {
  const from = airborne[0]?.from ?? 0;
  const to = airborne.at(-1)?.to ?? length;
  return { fromS: startS + from / sampleRate, toS: startS + to / sampleRate };
}

function settingsOf({ options, judgement, modes }: ResultParts): Settings {
  return {
    options: {
      flight: options.flight ?? null,
      fromS: options.fromS ?? null,
      toS: options.toS ?? null,
      rateHz: options.rateHz ?? null,
      columnMap: options.columnMap !== undefined,
      falseAlarmRate: modes.falseAlarmRate,
    },
    craft: options.craft ?? {},
    limits: judgement.limits,
  };
}

function logSummary(log: FlightLog, timeline: Timeline): LogSummary {
  const first = log.time[0] ?? 0;
  const last = log.time[log.time.length - 1] ?? first;
  return {
    file: log.file,
    sha256: log.sha256,
    durationS: Math.max(0, last - first),
    sampleRateHz: timeline.sampleRate,
    nyquistHz: timeline.sampleRate / 2,
    rows: log.rows,
    gaps: timeline.gaps,
    columns: columnsByRole(log),
    notes: log.notes,
    warnings: log.warnings,
  };
}

function columnsByRole(log: FlightLog): LogSummary["columns"] {
  const byRole: Record<
    string,
    { headers: string[]; unit: string; scale: number; how: "header" | "data" | "map" }
  > = {};
  for (const { role, header, unit, scale, how } of log.columns) {
    if (role === null) continue;
    byRole[role] ??= { headers: [], unit, scale, how };
    byRole[role].headers.push(header);
  }
  return byRole;
}

function rotorSummary(rotor: RotorEstimate): RotorSummary {
  const { tracks: _tracks, hover: _hover, orders, ...plain } = rotor;
  return {
    ...plain,
    orders: orders.map(({ order, levelDb, foldedShare, medianHz }) => ({
      order,
      levelDb,
      foldedShare,
      medianHz,
    })),
  };
}

function craftFileChecks({ craftUnknown = [] }: AnalyseOptions): QualityCheck[] {
  if (craftUnknown.length === 0) return [];
  const names = craftUnknown.slice(0, 5).join(", ");
  return [
    {
      id: "craft-file",
      level: "warn",
      message: `The craft file has entries that are not known and were not used: ${names}. Check their spelling.`,
      value: craftUnknown.length,
      limit: 0,
      unit: "entries",
    },
  ];
}
