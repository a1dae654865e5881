import type { Timeline } from "../src/timeline/timeline.js";
import { clockOf } from "./clock.js";
import { type CsvStyle, writeCsv } from "./csv.js";
import { fullScenario } from "./defaults.js";
import { motorPlaces } from "./geometry.js";
import type { Plant } from "./levels.js";
import { lineForces } from "./line-forces.js";
import { rowsWritten } from "./log-faults.js";
import { type FlightRun, logSignals } from "./logged.js";
import { modeDrive } from "./loop-drive.js";
import { modesOnAxes } from "./mode-drive.js";
import { modeFrequency, thrustRange } from "./mode-frequency.js";
import { motionSeries } from "./motion.js";
import { randomStream } from "./random.js";
import { runRotors } from "./rotors.js";
import type { Scenario } from "./scenario.js";
import { senseAndFilter } from "./sensor.js";
import { airTicks, meanOf, median } from "./summary.js";
import { throttleSeries } from "./throttle.js";
import { simulatedTimeline } from "./to-timeline.js";
import type { Truth } from "./truth.js";
import { truthOf } from "./truth-of.js";
import { vibrationRate } from "./vibration.js";

export interface SimulatedFlight {
  readonly timeline: Timeline;
  readonly truth: Truth;
  /** The log as text; styles differ in wording, units, delimiter. */
  csv(style?: Partial<CsvStyle>): string;
}

/**
 * Invents one flight from physics: throttle → motor speeds → forces → rigid body and modes → sensor → filters → log.
 *
 * The same scenario gives the same numbers.
 *
 * @throws {RangeError} if a rate or duration is not positive, or the rotor count is outside 3..12
 */
export function simulateFlight(scenario: Scenario): SimulatedFlight {
  checkScenario(scenario);
  const s = fullScenario(scenario);
  const clock = clockOf(s);
  const places = motorPlaces(s.rotors);
  const plant: Plant = { scenario: s, clock, places };
  const throttle = throttleSeries(s, clock, randomStream(s.seed, "throttle"));
  const motion = motionSeries(s, clock);
  const rotors = runRotors(s, clock, { places, throttle, motion });
  const referenceHz = s.referenceHz ?? median(airTicks(meanOf(rotors.hz), clock));
  const lines = lineForces(s, clock);
  const modes = modesOnAxes(s, plant);
  const thrust = thrustRange(rotors.hz, referenceHz, clock);
  const modeHz = modes.map((on) => modeFrequency(on.mode, thrust));
  const vibration = vibrationRate({
    plant,
    hz: rotors.hz,
    referenceHz,
    lines,
    modes,
    modeHz,
    drive: modes.map((on) => modeDrive(on.mode, motion, clock)),
    washGain: motion.washGain,
  });
  const loop = senseAndFilter(s, clock, { vibration, motion: motion.rate });
  const run: FlightRun = { s, clock, places, throttle, motion, rotors, loop, referenceHz };
  const log = { signals: logSignals(run), rows: rowsWritten(s, clock) };
  return {
    timeline: simulatedTimeline(s, clock, log),
    truth: truthOf({ plant, run, lines, modes, modeHz, thrust }),
    csv: (style) => writeCsv(s, log, style),
  };
}

function checkScenario({ durationS, logRateHz, rotors }: Scenario): void {
  if (!(durationS > 0)) throw new RangeError(`duration must be positive, got ${durationS}`);
  if (!(logRateHz > 0)) throw new RangeError(`log rate must be positive, got ${logRateHz}`);
  const count = rotors?.count ?? 4;
  if (count < 3 || count > 12) throw new RangeError(`rotors must be 3..12, got ${count}`);
}
