import type { FlightScore } from "./score.js";
import { type Share, type Summary, summarise } from "./summary.js";

/** A row of the accuracy table: what, the target in words, how to read it, and whether it is met. */
interface Row {
  readonly what: string;
  readonly target: string;
  read(s: Summary): string;
  /** With telemetry, without. Undefined: no target. */
  readonly met?: (s: Summary, telemetry: boolean) => boolean;
}

function ratio(s: Share): number {
  return s.of === 0 ? Number.NaN : s.hits / s.of;
}

/** "97.3 % (109/112)" */
function percent(s: Share): string {
  return s.of === 0 ? "–" : `${(100 * ratio(s)).toFixed(1)} % (${s.hits}/${s.of})`;
}

/** Two decimals, or a dash where there was nothing to measure. */
function number(value: number, unit: string): string {
  return Number.isFinite(value) ? `${value.toFixed(2)}${unit}` : "–";
}

function atLeast(share: Share, least: number): boolean {
  return share.of === 0 || ratio(share) >= least;
}

function atMost(share: Share, most: number): boolean {
  return share.of === 0 || ratio(share) <= most;
}

const ROWS: readonly Row[] = [
  { what: "flights", target: "", read: (s) => String(s.flights) },
  {
    what: "modes of 8 dB or more found, per axis (as unresolved where lines cannot be told from them)",
    target: "≥ 98 % (96 %)",
    read: (s) => percent(s.found),
    met: (s, telemetry) => atLeast(s.found, telemetry ? 0.98 : 0.96),
  },
  {
    what: "… missed, but the band was declared unobservable",
    target: "",
    read: (s) => String(s.missedButDeclared),
  },
  {
    what: "flights with a false structure",
    target: "≤ 1 % (2 %)",
    read: (s) => percent(s.falseStructures),
    met: (s, telemetry) => atMost(s.falseStructures, telemetry ? 0.01 : 0.02),
  },
  {
    what: "… of those without any mode",
    target: "≤ 2 %",
    read: (s) => percent(s.falseWithoutModes),
    met: (s) => atMost(s.falseWithoutModes, 0.02),
  },
  {
    what: "axes reported where the mode is not",
    target: "≤ 1 %",
    read: (s) => percent(s.wrongAxes),
    met: (s) => atMost(s.wrongAxes, 0.01),
  },
  {
    what: "flights with a false tone",
    target: "≤ 1 %",
    read: (s) => percent(s.falseTones),
    met: (s) => atMost(s.falseTones, 0.01),
  },
  { what: "tones found (any strength, drifting ones too)", target: "", read: (s) => percent(s.tonesFound) },
  {
    what: "first mode right (at constant speed without a report, where nothing tells, none named is right too)",
    target: "≥ 98 %",
    read: (s) => percent(s.firstRight),
    met: (s) => atLeast(s.firstRight, 0.98),
  },
  {
    what: "… another one named instead (else none is)",
    target: "",
    read: (s) => percent(s.firstMisnamed),
  },
  {
    what: "… of the flights at constant speed without a report, first mode right without that allowance",
    target: "",
    read: (s) => percent(s.firstAtConstantSpeed),
  },
  {
    what: "frequency error, median",
    target: "≤ 0.2 Hz",
    read: (s) => number(s.medianErrorHz, " Hz"),
    met: (s) => !(s.medianErrorHz > 0.2),
  },
  { what: "frequency error, 95th percentile", target: "", read: (s) => number(s.p95ErrorHz, " Hz") },
  {
    what: "… within max(1 Hz, a tenth of the half-power width)",
    target: "≥ 95 %",
    read: (s) => percent(s.withinLimit),
    met: (s) => atLeast(s.withinLimit, 0.95),
  },
  {
    what: "median error over the uncertainty law's deviation",
    target: "(0.67 = the law)",
    read: (s) => number(s.medianErrorInLaw, ""),
  },
  {
    what: "95 % interval of the frequency covers",
    target: "92–98 %",
    read: (s) => percent(s.covered),
    met: (s) => atLeast(s.covered, 0.92),
  },
  {
    what: "damping within 25 % where the law allows it",
    target: "≥ 90 %",
    read: (s) => percent(s.damping25),
    met: (s) => atLeast(s.damping25, 0.9),
  },
  {
    what: "95 % interval of the damping covers",
    target: "≥ 90 %",
    read: (s) => percent(s.dampingCovered),
    met: (s) => atLeast(s.dampingCovered, 0.9),
  },
  { what: "second method agrees", target: "", read: (s) => percent(s.bothAgree) },
];

/** One column of the table. */
export interface Column {
  readonly title: string;
  readonly flights: readonly FlightScore[];
  /** Whether the targets are those with telemetry; null: a baseline without targets. */
  readonly telemetry: boolean | null;
}

/** The table as Markdown, and the targets missed. Targets in brackets are those without telemetry. */
export function table(columns: readonly Column[]): { markdown: string; missed: string[] } {
  const summaries = columns.map((c) => summarise(c.flights));
  const missed: string[] = [];
  const lines = [
    `| measure | target | ${columns.map((c) => c.title).join(" | ")} |`,
    `| --- | --- | ${columns.map(() => "---").join(" | ")} |`,
  ];
  for (const row of ROWS) {
    const cells = columns.map((c, i) => {
      const s = summaries[i]!;
      const bad = c.telemetry !== null && row.met !== undefined && !row.met(s, c.telemetry);
      if (bad) missed.push(`${row.what}: ${row.read(s)} (${c.title}; ${row.target})`);
      return bad ? `**${row.read(s)}**` : row.read(s);
    });
    lines.push(`| ${row.what} | ${row.target} | ${cells.join(" | ")} |`);
  }
  return { markdown: lines.join("\n"), missed };
}

const CONFIDENCE_EDGES = [0.1, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.99, 1.001];

/** Share of reported modes that are real, by the confidence they were given. */
export function calibration(flights: readonly FlightScore[]): string {
  const reported = flights.flatMap((f) => f.reported);
  const lines = ["| confidence given | modes | real |", "| --- | --- | --- |"];
  for (let i = 0; i + 1 < CONFIDENCE_EDGES.length; i++) {
    const [low, high] = [CONFIDENCE_EDGES[i]!, CONFIDENCE_EDGES[i + 1]!];
    const inside = reported.filter((r) => r.confidence >= low && r.confidence < high);
    const real = { hits: inside.filter((r) => r.real).length, of: inside.length };
    lines.push(`| ${low} to ${Math.min(1, high)} | ${inside.length} | ${percent(real)} |`);
  }
  return lines.join("\n");
}

/** Every structure reported where no mode is, so that each can be looked into. */
export function falseStructures(flights: readonly FlightScore[]): string {
  const lines = flights.flatMap((f) =>
    f.falseStructures.map(
      (m) =>
        `- ${f.name} (rotor speed: ${f.source}): ${m.frequencyHz.toFixed(1)} Hz, confidence ${m.confidence.toFixed(2)}`,
    ),
  );
  return lines.length === 0 ? "None." : lines.join("\n");
}
