import type { DecodeWarning } from "../decode/flight-log.js";
import type { QualityCheck } from "../result.js";
import { unusedOverrides } from "./limits.js";
import type { Measured } from "./measured.js";
import { flightChecks } from "./quality-flight.js";
import { rotorChecks } from "./quality-rotor.js";
import { sensorChecks } from "./quality-sensor.js";

/** Every check that a log goes through before it may carry a verdict. Ids are stable. */
export const QUALITY_IDS = [
  "gyro-present",
  "raw-gyro",
  "airborne",
  "calm-flight",
  "throttle-range",
  "throttle-levels",
  "sample-rate",
  "rotor-speed",
  "rotor-doubts",
  "mode-doubts",
  "gaps",
  "jitter",
  "clipping",
  "quantisation",
  "log-warnings",
  "limits",
] as const;

/** Can this log carry a verdict? */
export function qualityChecks(measured: Measured, warnings: readonly DecodeWarning[]): QualityCheck[] {
  return [
    ...sensorChecks(measured),
    ...flightChecks(measured),
    ...rotorChecks(measured),
    ...warningChecks(warnings),
    ...limitChecks(measured),
  ];
}

function warningChecks(warnings: readonly DecodeWarning[]): QualityCheck[] {
  if (warnings.length === 0) return [];
  const said = warnings.slice(0, 4).map((warning) => warning.message.replace(/[.\s]+$/, ""));
  const more = warnings.length > 4 ? `; and ${warnings.length - 4} more` : "";
  return [
    {
      id: "log-warnings",
      level: "warn",
      message: `Reading the log raised doubts: ${said.join("; ")}${more}. Check the columns with "quietspar columns".`,
      value: warnings.length,
      limit: 0,
      unit: "warnings",
    },
  ];
}

function limitChecks({ craft }: Measured): QualityCheck[] {
  const unused = unusedOverrides(craft);
  if (unused.length === 0) return [];
  return [
    {
      id: "limits",
      level: "warn",
      message:
        `The craft file overrides limits that do not exist or with numbers that are not above 0, and they were not ` +
        `used: ${unused.slice(0, 5).join(", ")}. The names are in "settings.limits" of the result.`,
      value: unused.length,
      limit: 0,
      unit: "entries",
    },
  ];
}
