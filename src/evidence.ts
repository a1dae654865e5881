import type { FixedSpectrum } from "./modes/mode.js";
import type { HeatMap, Spectrum } from "./spectra/spectrum.js";
import type { PerAxis } from "./units.js";

/** Spectra of one axis; null where the log has no such signal on it. */
export interface AxisSpectra {
  readonly raw: Spectrum | null;
  readonly filtered: Spectrum | null;
  readonly dterm: Spectrum | null;
}

/** A series thinned for drawing. */
export interface DrawnSeries {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/** Amplitude of one order of one motor over time (null motor: all rotors together). */
export interface OrderHistory {
  readonly motor: number | null;
  readonly order: number;
  /** s, deg/s */
  readonly amplitude: DrawnSeries;
}

/** The curves behind the numbers of a result: what the page draws and the CSV files hold. Not part of result.json. */
export interface Evidence {
  readonly spectra: PerAxis<AxisSpectra>;
  readonly throttleMap: PerAxis<HeatMap | null>;
  readonly timeMap: PerAxis<HeatMap | null>;
  readonly fixed: PerAxis<FixedSpectrum | null>;
  /** Log time in s against throttle 0..1. */
  readonly throttle: DrawnSeries | null;
  /** Log time in s against common rotor frequency in Hz. */
  readonly rotorHz: DrawnSeries | null;
  readonly orderHistory: readonly OrderHistory[];
}
