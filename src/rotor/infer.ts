import type { Timeline } from "../timeline/timeline.js";
import type { Hertz } from "../units.js";
import { airborneSpread, commonCommand, type Driver, driverOf } from "./driver.js";
import { type Fundamental, fundamentalOf } from "./fundamental.js";
import { type LineMap, lineMap } from "./line-map.js";
import { LONG_FRAME_S, LONG_FRAMES } from "./long-frames.js";
import { refine } from "./refine.js";
import { distinct, type Hypothesis, hypothesisOf, searchSpeed } from "./search.js";
import { centredAs, type FrameDriver, frameDriver, modelAtFrames, type SpeedModel } from "./speed-model.js";

/** Below this 5..95 % range of ln command the lines stand still. */
export const HOVER_SPREAD = 0.25;
const USUAL_LAG = 0.05;
const LAGS = [0.03, 0.09, 0.16];
/** Frames times motors that a search reads: enough to tell, few enough to be quick. */
const READINGS = 480;
/** A comb at a fraction of the speed needs this share of the found one's score to be the true one. */
const SLOWER_SHARE = 0.6;
/** … its first order this strength, robust deviations … */
const SLOWER_STRENGTH = 10;
/** … and, unless lines stand, this share of its level lost when it is read at other times: as much as any line that moves. */
const SLOWER_MOVING = 0.45;
/** Mean level at which blade pass shows, natural log units. */
const PASS_SHOWS = 0.2;
const FEWEST_FRAMES = 110;

/** A hypothesis refined on its map, with what it was judged on. */
export interface Candidate extends Hypothesis {
  readonly map: LineMap;
  readonly at: FrameDriver;
  /** Speed at the map's frames, per motor or common. */
  readonly speeds: readonly Float64Array[];
}

/** What the search found, before it is judged. */
export interface Inference {
  readonly driver: Driver;
  readonly hover: boolean;
  /** The rotor's speed: the strongest comb brought down to once per turn. */
  readonly best: Candidate;
  /** The strongest comb as found. */
  readonly found: Candidate;
  readonly fundamental: Fundamental;
  /** Other candidates, best first. */
  readonly rivals: readonly Candidate[];
}

/** Bands searched: small propellers in short frames, large ones, whose lines lie close together, in longer. */
const BANDS: readonly { fromHz: Hertz; toHz: Hertz; frameS: number }[] = [
  { fromHz: 45, toHz: 1000, frameS: 0.25 },
  { fromHz: 14, toHz: 140, frameS: LONG_FRAME_S },
];

/**
 * Looks for the common rotor speed that explains the moving lines of a flight.
 *
 * @param blades of every propeller, where the craft file tells them
 * @returns null when the log has no throttle, no gyro, or is too short
 */
export function inferSpeed(timeline: Timeline, blades: number | null = null): Inference | null {
  const driver = driverOf(timeline);
  if (!driver) return null;
  const hover = airborneSpread(commonCommand(driver, USUAL_LAG), driver) < HOVER_SPREAD;
  const frames = Math.max(FEWEST_FRAMES, Math.round(READINGS / driver.logCommands.length));
  const whiten = hover ? "standing" : "moving";
  const maps = BANDS.map(({ frameS }) =>
    lineMap(timeline, {
      frameS,
      frames,
      whiten,
      clip: [-0.5, 4],
      of: frameS === LONG_FRAME_S ? LONG_FRAMES : frames,
    }),
  );
  const candidates = BANDS.flatMap((band, i) =>
    maps[i] ? candidatesIn({ map: maps[i], driver, hover }, band) : [],
  );
  const ranked = distinct(candidates, 10) as Candidate[];
  const [first] = ranked;
  if (!first) return null;
  const found = lagChosen({ map: first.map, driver, hover }, first);
  const patient = lineMap(timeline, {
    frameS: LONG_FRAME_S,
    frames: LONG_FRAMES,
    whiten,
    clip: [-0.5, 4],
  });
  const fundamental = fundamentalOnAll([...maps, patient], { driver, found, blades });
  const slower = fundamental.divisor === 1 ? slowerComb(found, ranked, { hover, blades }) : undefined;
  return {
    driver,
    hover,
    best: slower
      ? lagChosen({ map: slower.map, driver, hover }, slower)
      : broughtDown(found, fundamental.divisor),
    found,
    fundamental,
    rivals: ranked.slice(1),
  };
}

/**
 * Looks for once per turn below the found line on every map: a faint one stands further out in longer frames. The
 * map that shows the lower speed most strongly decides.
 */
function fundamentalOnAll(
  maps: readonly (LineMap | null)[],
  { driver, found, blades }: { driver: Driver; found: Candidate; blades: number | null },
): Fundamental {
  const own = fundamentalOf(found.map, found.speeds, blades);
  const others = maps.flatMap((map) => {
    if (map === null || map === found.map) return [];
    const at = centredAs(frameDriver(driver, map.grid, found.model.lagS), found.at);
    return [fundamentalOf(map, modelAtFrames(found.model, at), blades)];
  });
  const lower = others.filter((f) => f.divisor > 1).sort((a, b) => b.strength - a.strength)[0];
  if (own.divisor > 1) return own;
  const hint = Math.max(...[own, ...others].map((f) => f.hint));
  return { ...(lower ?? { ...own, hint }), moving: own.moving };
}

interface Ground {
  readonly map: LineMap;
  readonly driver: Driver;
  readonly hover: boolean;
}

function candidatesIn({ map, driver, hover }: Ground, band: { fromHz: Hertz; toHz: Hertz }): Candidate[] {
  const at = frameDriver(driver, map.grid, USUAL_LAG);
  const rough = searchSpeed(
    map,
    at,
    {
      ...band,
      step: 0.012,
      exponents: hover ? [0.7] : [0.4, 0.475, 0.55, 0.625, 0.7, 0.775, 0.85, 0.925, 1],
      sag: driver.drainFrom === "voltage" ? 0.6 : 0.05,
    },
    6,
  );
  return rough.map((h) => candidate(map, at, refine(map, at, h, hover ? 2 : 4)));
}

function candidate(map: LineMap, at: FrameDriver, h: Hypothesis): Candidate {
  return { ...h, map, at, speeds: modelAtFrames(h.model, at) };
}

/** Tries other time constants on a refined hypothesis and keeps the best. */
function lagChosen({ map, driver, hover }: Ground, start: Candidate): Candidate {
  if (hover) return start;
  const tries = LAGS.map((lagS) => {
    const at = frameDriver(driver, map.grid, lagS);
    const model: SpeedModel = { ...start.model, lagS };
    return candidate(map, at, refine(map, at, { ...start, model }));
  });
  return [start, ...tries].sort((a, b) => b.score - a.score)[0]!;
}

/**
 * A comb at a whole fraction of the found speed that stands on a first order of its own: then the found one is its
 * multiple.
 */
function slowerComb(
  found: Candidate,
  ranked: readonly Candidate[],
  { hover, blades }: { hover: boolean; blades: number | null },
): Candidate | undefined {
  return ranked.find((r) => {
    const multiple = found.model.f0 / r.model.f0;
    const whole = Math.round(multiple);
    const fits = whole >= 2 && whole <= 6 && Math.abs(multiple / whole - 1) < 0.04;
    if (!fits || !(r.score > SLOWER_SHARE * found.score)) return false;
    if (blades !== null && passes(found, blades) && !passes(r, blades)) return false;
    // In a log that folds, slow combs fit the folded lines by chance; a true one moves with the speed.
    const { moving, strength } = fundamentalOf(r.map, r.speeds);
    if (!hover && moving < SLOWER_MOVING * r.levels[0]!) return false;
    return whole <= 3 || strength > SLOWER_STRENGTH;
  });
}

/** Whether the blade pass of a speed shows; unknown blades beyond the levels read pass for shown. */
function passes({ levels }: Candidate, blades: number): boolean {
  return (levels[blades - 1] ?? 1) > PASS_SHOWS;
}

function broughtDown(found: Candidate, divisor: number): Candidate {
  if (divisor === 1) return found;
  const model = { ...found.model, f0: found.model.f0 / divisor };
  const speeds = modelAtFrames(model, found.at);
  return { ...hypothesisOf(found.map, model, speeds), map: found.map, at: found.at, speeds };
}
