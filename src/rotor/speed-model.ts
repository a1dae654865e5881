import type { FrameGrid } from "../spectra/spectrum.js";
import { median } from "../stats/median.js";
import type { Hertz, Seconds } from "../units.js";
import { type Driver, frameMeans, lagged } from "./driver.js";

/**
 * A physically shaped speed curve. With l = ln(command) lagged by `lagS`, from its median, and d = drain from its
 * median: `ln F = ln f0 + p · l + q · l² − s · d`.
 *
 * Speed rises with the command (p between 0.5, thrust ∝ command, and 1, speed ∝ command), less near full load (q),
 * falls with the battery (s), and follows the command with one time constant. Where the log has the motors' own
 * commands, one curve holds for all of them, each at its own command.
 */
export interface SpeedModel {
  readonly f0: Hertz;
  readonly exponent: number;
  readonly curvature: number;
  readonly sag: number;
  readonly lagS: Seconds;
}

/** Driver values at the frames of one grid, from their medians, for one lag. */
export interface FrameDriver {
  /** One array per motor, or one for all. */
  readonly commands: readonly Float64Array[];
  readonly drain: Float64Array;
  readonly lagS: Seconds;
  readonly commandCentre: number;
  readonly drainCentre: number;
}

/** Means of the driver over the frames of a grid. */
export function frameDriver(driver: Driver, grid: FrameGrid, lagS: Seconds): FrameDriver {
  const commands = driver.logCommands.map((c) => frameMeans(lagged(c, driver.rate, lagS), driver, grid));
  const drain = frameMeans(driver.drain, driver, grid);
  const commandCentre = median(commands.flatMap((c) => [...c]));
  const drainCentre = median(drain);
  return {
    commands: commands.map((c) => c.map((v) => v - commandCentre)),
    drain: drain.map((v) => v - drainCentre),
    lagS,
    commandCentre,
    drainCentre,
  };
}

/** The same driver values, counted from another one's centres: a model fitted there then holds here. */
export function centredAs(at: FrameDriver, other: FrameDriver): FrameDriver {
  const command = at.commandCentre - other.commandCentre;
  const drain = at.drainCentre - other.drainCentre;
  return {
    ...at,
    commands: at.commands.map((c) => c.map((v) => v + command)),
    drain: at.drain.map((v) => v + drain),
    commandCentre: other.commandCentre,
    drainCentre: other.drainCentre,
  };
}

/**
 * Speed of the model.
 *
 * @param model parameters
 * @param command ln command from its centre
 * @param drain drain from its centre
 * @returns Hz
 * @example modelHz({ f0: 100, exponent: 0.5, curvature: 0, sag: 0, lagS: 0 }, Math.log(4), 0) // 200
 */
export function modelHz(model: SpeedModel, command: number, drain: number): Hertz {
  return (
    model.f0 * Math.exp(model.exponent * command + model.curvature * command * command - model.sag * drain)
  );
}

/** Speed of the model at every frame, Hz, one array per command. */
export function modelAtFrames(model: SpeedModel, at: FrameDriver): Float64Array[] {
  return at.commands.map((c) => c.map((l, k) => modelHz(model, l, at.drain[k]!)));
}

/** Mean over the motors, sample by sample. */
export function meanOver(series: readonly Float64Array[]): Float64Array {
  return series[0]!.map((_, i) => series.reduce((sum, s) => sum + s[i]!, 0) / series.length);
}

/** Mean speed of the model at every driver value, Hz; centres as at the frames it was fitted on. */
export function modelAlongDriver(model: SpeedModel, driver: Driver, at: FrameDriver): Float64Array {
  return meanOver(
    driver.logCommands.map((command) =>
      lagged(command, driver.rate, model.lagS).map((l, i) =>
        modelHz(model, l - at.commandCentre, driver.drain[i]! - at.drainCentre),
      ),
    ),
  );
}
