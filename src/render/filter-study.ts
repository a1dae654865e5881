import { figure, quantity, UNKNOWN } from "./format.js";

/** One filter chain as the page shows it; numbers null where unknown. */
export interface ShownCandidate {
  readonly chain: string;
  /** What part it plays in the study, "" when it does not say. */
  readonly role: string;
  readonly delayMs: number | null;
  readonly dtermRms: number | null;
  readonly gyroRms: number | null;
  readonly delay: string;
  readonly phase: string;
  readonly gyro: string;
  readonly dterm: string;
}

export interface ShownFilterStudy {
  readonly candidates: readonly ShownCandidate[];
  readonly advice: readonly string[];
  /** What was assumed, and where predictions may be off. */
  readonly doubts: readonly string[];
  /** D-term RMS that a chain may leave; null without a limit. */
  readonly limit: number | null;
  readonly measured: readonly unknown[];
}

/** Reads the result's filter section as far as its shape is known; null when there is none. */
export function filterStudyOf(filters: unknown): ShownFilterStudy | null {
  if (!isRecord(filters)) return null;
  const list = (key: string): readonly unknown[] => (Array.isArray(filters[key]) ? filters[key] : []);
  return {
    candidates: list("candidates").filter(isRecord).slice(0, 200).map(candidate),
    advice: list("advice").map(words),
    doubts: list("doubts").map(words),
    limit: limitOf(filters["limit"]),
    measured: list("measured"),
  };
}

function limitOf(limit: unknown): number | null {
  return isRecord(limit) && typeof limit["value"] === "number" ? limit["value"] : null;
}

function candidate(c: Readonly<Record<string, unknown>>): ShownCandidate {
  const number = (key: string): number | null =>
    typeof c[key] === "number" && Number.isFinite(c[key]) ? c[key] : null;
  const [delayMs, dtermRms, gyroRms] = [number("delayMs"), number("dtermRms"), number("gyroRms")];
  return {
    chain: words(c["chain"]),
    role: typeof c["role"] === "string" ? c["role"] : "",
    delayMs,
    dtermRms,
    gyroRms,
    delay: quantity(delayMs, "ms"),
    phase: quantity(number("phaseDeg"), "deg"),
    gyro: quantity(gyroRms, "deg/s"),
    dterm: withInterval(figure(dtermRms), c["dtermCi95"]),
  };
}

/** A value with its 95 % interval, where it has one. */
function withInterval(value: string, ci95: unknown): string {
  if (!Array.isArray(ci95) || !ci95.every((end) => typeof end === "number")) return value;
  return `${value} (${ci95.map((end) => figure(end)).join(" to ")})`;
}

/** A chain may be a text, a list of stages or records of stages. */
function words(value: unknown): string {
  if (typeof value === "string") return value;
  if (typeof value === "number") return figure(value);
  if (Array.isArray(value)) return value.map(words).join(" + ") || "no filter";
  if (isRecord(value)) {
    return Object.entries(value)
      .filter(([, v]) => v !== null && v !== undefined)
      .map(([k, v]) =>
        k === "kind" || k === "type" || k === "message" || k === "text" ? words(v) : `${k} ${words(v)}`,
      )
      .join(" ");
  }
  return UNKNOWN;
}

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
