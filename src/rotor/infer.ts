import type { Timeline } from "../timeline/timeline.js";
import type { Hertz } from "../units.js";
import { airborneSpread, type Driver, driverOf, lagged } from "./driver.js";
import { type LineMap, lineMap } from "./line-map.js";
import { type OrderProfile, orderProfile } from "./order-profile.js";
import { refine } from "./refine.js";
import { distinct, type Hypothesis, searchSpeed } from "./search.js";
import { type FrameDriver, frameDriver, modelAtFrames, type SpeedModel } from "./speed-model.js";

/** Below this 5..95 % range of ln command the lines stand still. */
export const HOVER_SPREAD = 0.25;
const LAGS = [0.03, 0.06, 0.12, 0.2];

/** A hypothesis refined on its map, with what it was judged on. */
export interface Candidate extends Hypothesis {
  readonly map: LineMap;
  readonly at: FrameDriver;
  readonly hz: Float64Array;
}

/** What the search found, before it is judged. */
export interface Inference {
  readonly driver: Driver;
  readonly hover: boolean;
  readonly best: Candidate;
  /** Other candidates, best first. */
  readonly rivals: readonly Candidate[];
  readonly profile: OrderProfile;
}

/** Bands searched: small propellers in short frames, large ones, whose lines lie close together, in longer. */
const BANDS: readonly { fromHz: Hertz; toHz: Hertz; frameS: number }[] = [
  { fromHz: 45, toHz: 1000, frameS: 0.25 },
  { fromHz: 12, toHz: 130, frameS: 0.5 },
];

/**
 * Looks for the common rotor speed that explains the moving lines of a flight.
 *
 * @returns null when the log has no throttle, no gyro, or is too short
 */
export function inferSpeed(timeline: Timeline): Inference | null {
  const driver = driverOf(timeline);
  if (!driver) return null;
  const hover = airborneSpread(lagged(driver.logCommand, driver.rate, 0.05), driver) < HOVER_SPREAD;
  const candidates = BANDS.flatMap((band) => {
    const map = lineMap(timeline, {
      frameS: band.frameS,
      frames: 400,
      whiten: hover ? "standing" : "moving",
      clip: [-0.5, 4],
    });
    return map ? candidatesIn(map, driver, band, hover) : [];
  });
  const ranked = distinct(candidates, 12) as Candidate[];
  const best = ranked[0];
  if (!best) return null;
  return {
    driver,
    hover,
    best,
    rivals: ranked.slice(1),
    profile: orderProfile(best.map, [best.hz]),
  };
}

function candidatesIn(
  map: LineMap,
  driver: Driver,
  band: { fromHz: Hertz; toHz: Hertz },
  hover: boolean,
): Candidate[] {
  const at = frameDriver(driver, map.grid, 0.05);
  const rough = searchSpeed(
    map,
    at,
    {
      ...band,
      step: 0.012,
      exponents: hover ? [0.7] : [0.4, 0.475, 0.55, 0.625, 0.7, 0.775, 0.85, 0.925, 1],
      sag: driver.drainFrom === "voltage" ? 0.6 : 0.05,
    },
    8,
  );
  return rough.map((h) => lagChosen(map, driver, refine(map, at, h, hover ? 2 : 4), hover));
}

/** Tries other time constants on a refined hypothesis and keeps the best. */
function lagChosen(map: LineMap, driver: Driver, start: Hypothesis, hover: boolean): Candidate {
  const tries = (hover ? [0.05] : LAGS).map((lagS) => {
    const at = frameDriver(driver, map.grid, lagS);
    const model: SpeedModel = { ...start.model, lagS };
    const refined = refine(map, at, { ...start, model }, hover ? 2 : 4);
    return { ...refined, map, at, hz: modelAtFrames(refined.model, at) };
  });
  return tries.sort((a, b) => b.score - a.score)[0]!;
}
