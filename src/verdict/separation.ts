import type { Mode } from "../modes/mode.js";
import type { Reason } from "../result.js";
import { hiddenBand, hiddenShare } from "./hidden-band.js";
import type { Measured } from "./measured.js";
import { responseAt } from "./mode-response.js";
import { type Gap, gapOf, type PushBand, possiblePassBands, pushBands } from "./push-bands.js";
import { say, sayRange, unknown } from "./reason.js";
import { wasSearched } from "./searched.js";

/**
 * Modes against the rotor bands: one reason for each mode too near, or one that all are clear. A mode inside or near
 * a band of cruise is marginal, and loud when its answer is over its limit; a mode that lies only in what was swept
 * through, or in what would be the blade pass if the unknown number of blades were 2 or 3, counts when its answer
 * there is over its limit.
 */
export function separationReasons(measured: Measured): Reason[] {
  const { cruise, flown, modes, rotor } = measured;
  const id = "mode-separation";
  if (cruise === null || flown === null) {
    return [unknown(id, "The rotors' speed is not known, so no mode can be held against their bands.")];
  }
  if (!wasSearched(modes)) {
    return [unknown(id, "The log could not be searched for modes.")];
  }
  const bands = pushBands(cruise.bandHz, rotor.blades);
  const possible = rotor.blades === null ? possiblePassBands(cruise.bandHz) : [];
  const swept = [...pushBands(flown, rotor.blades), ...possible];
  const structures = modes.modes.filter((m) => m.kind === "structure" || m.kind === "unresolved");
  const near = structures.flatMap((mode) => nearest(mode, bands, swept, measured));
  const hidden = hiddenBand([...bands, ...possible], measured);
  if (near.length === 0) return [hidden ?? allClear(structures, bands, measured)];
  return [...near, ...(hidden ? [hidden] : [])];
}

interface Pair {
  readonly mode: Mode;
  readonly band: PushBand;
  readonly gap: Gap;
}

const byGap = (a: { readonly gap: Gap }, b: { readonly gap: Gap }): number => a.gap.ci95[0] - b.gap.ci95[0];

function nearest(
  mode: Mode,
  bands: readonly PushBand[],
  swept: readonly PushBand[],
  measured: Measured,
): Reason[] {
  const pairs = (of: readonly PushBand[]): Pair[] =>
    of.map((band) => ({ mode, band, gap: gapOf(mode, band.bandHz) })).sort(byGap);
  const near = pairs(bands).filter(({ gap }) => gap.ci95[0] < measured.limits.separationMargin);
  const reasons = near.map((pair) => tooNear(pair, "cruise", measured));
  const worst = reasons.find((reason) => reason.level === "loud") ?? reasons[0];
  if (worst !== undefined) return [worst];
  const crossed = pairs(swept).filter(({ gap }) => gap.value === 0);
  return crossed
    .map((pair) => tooNear(pair, "all calm flight", measured))
    .filter((reason) => reason.level === "loud")
    .slice(0, 1);
}

function tooNear({ mode, band, gap }: Pair, when: "cruise" | "all calm flight", measured: Measured): Reason {
  const { limits } = measured;
  const response = responseAt(mode, band, measured);
  const where = gap.value === 0 ? "lies inside" : `is only ${say(100 * gap.value)} % from`;
  const straddling = gap.value >= limits.separationMargin;
  const swollen = response?.swollen ?? null;
  const answer = swollen
    ? `and answers: ${swollen.text}`
    : `but does not swell there${response ? ` (${response.text})` : ""}`;
  const apart = {
    value: gap.value,
    ci95: gap.ci95,
    limit: limits.separationMargin,
    unit: "share of the mode's frequency",
  };
  return {
    id: "mode-separation",
    level: swollen ? "loud" : "marginal",
    ...(swollen ? swollen.figure : apart),
    axis: response?.axis ?? null,
    message:
      `The ${mode.kind === "structure" ? "structural" : "unresolved"} mode at ${say(mode.frequencyHz)} Hz ${where} ` +
      `the ${band.name} band (${sayRange(band.bandHz)} Hz in ${when}), ${answer}. ` +
      `Wanted: ${say(100 * limits.separationMargin)} % clear.` +
      (straddling ? " The interval reaches below that, so the worse side counts." : ""),
    required: true,
  };
}

function allClear(structures: readonly Mode[], bands: readonly PushBand[], measured: Measured): Reason {
  const { limits, rotor } = measured;
  const gaps = structures.flatMap((mode) =>
    bands.map((band) => ({ mode, band, gap: gapOf(mode, band.bandHz) })),
  );
  const nearest = gaps.sort(byGap)[0];
  const said = bands.map((band) => `${band.name} ${sayRange(band.bandHz)} Hz`).join(", ");
  const blades =
    rotor.blades === null
      ? " The number of blades is not known: 2 and 3 were tried by what answers there."
      : "";
  return {
    id: "mode-separation",
    level: "ok",
    value: nearest?.gap.value ?? null,
    ci95: nearest?.gap.ci95 ?? null,
    limit: limits.separationMargin,
    unit: "share of the mode's frequency",
    axis: null,
    message:
      (nearest
        ? `The mode nearest to a rotor band, ${say(nearest.mode.frequencyHz)} Hz, is ${say(100 * nearest.gap.value)} % clear (${said}).`
        : `No structural mode was found near the rotor bands (${said}).`) +
      blades +
      hiddenNote(bands, measured),
    required: true,
  };
}

function hiddenNote(bands: readonly PushBand[], measured: Measured): string {
  const worst = bands
    .map((band) => ({ band, ...hiddenShare(band.bandHz, measured) }))
    .sort((a, b) => b.share - a.share)[0];
  if (worst === undefined || worst.share < 0.05) return "";
  return ` In ${say(100 * worst.share)} % of the ${worst.band.name} band a mode could not have shown; a slow throttle sweep tells.`;
}
