import type {
  ChainSpec,
  ColumnsSpec,
  FaultsSpec,
  FlightSpec,
  FullScenario,
  LinesSpec,
  RotorsSpec,
  Scenario,
  SensorSpec,
  TelemetrySpec,
  WashSpec,
} from "./scenario.js";

const rotors: RotorsSpec = {
  count: 4,
  blades: 2,
  propellerInch: 15,
  hoverHz: null,
  hoverThrottle: 0.45,
  exponent: 0.7,
  saturation: 0.05,
  lagS: null,
  spread: 0.006,
  trim: 0.01,
  coaxial: false,
  coaxialRatio: 1.05,
  sag: 0.08,
  cells: 6,
  polePairs: 7,
  bad: null,
  imbalanceSpread: 0.05,
  height: 0.4,
};

const flight: FlightSpec = {
  profile: "sweep",
  throttleWobble: null,
  restBeforeS: 0,
  restAfterS: 0,
  controlActivity: 0.012,
  motionDps: 12,
  gustDps: 2,
  burstsPerMinute: 0,
  burstGain: 3,
};

const lines: LinesSpec = { onceDps: 0.5, twiceDps: 0.12, bladePassDps: [0.3, 0.1], unlisted: [], wander: 0 };
const wash: WashSpec = { density: 0.03, cornerHz: 200 };
const sensor: SensorSpec = { density: 0.005, quantumDps: 0.061, clipDps: 2000 };

const chain: ChainSpec = {
  gyro: [{ type: "lowpass1", cutoffHz: 200 }],
  dterm: [{ type: "lowpass2", cutoffHz: 100 }],
  kd: 0.015,
  motorRange: 1000,
};

const telemetry: TelemetrySpec = {
  unit: "electrical rpm",
  tellsElectrical: true,
  delayS: 0.004,
  refreshHz: 200,
  step: 100,
  dropoutsPerMinute: 0,
  stalePerMinute: 0,
  spikesPerMinute: 0,
};

const faults: FaultsSpec = { burst: null, lostRows: 0, jitter: 0 };

const columns: ColumnsSpec = {
  gyroRaw: true,
  gyroFiltered: true,
  dterm: ["roll", "pitch"],
  throttle: true,
  motors: true,
  setpoint: true,
  accel: false,
  voltage: true,
};

/** What a scenario leaves open. */
export const DEFAULTS = { rotors, flight, lines, wash, sensor, chain, telemetry, faults, columns };

/**
 * Rotor frequency in hover, typical for a propeller's size: 500 Hz at 3 inch, 48 Hz at 28 inch
 * (common practice, no source: tip speed nearly constant, a little lower for large propellers).
 *
 * @example typicalHoverHz(3) // 500
 */
export function typicalHoverHz(propellerInch: number): number {
  return 500 * (3 / propellerInch) ** 1.05;
}

/** Time constant from command to speed: 30 ms at 3 inch to 120 ms at 28 inch (common practice, no source). */
export function typicalLagS(propellerInch: number): number {
  return 0.03 * (propellerInch / 3) ** (Math.log(4) / Math.log(28 / 3));
}

/** Every choice made. */
export function fullScenario(s: Scenario): FullScenario {
  const turning = { ...rotors, ...s.rotors };
  return {
    seed: s.seed,
    durationS: s.durationS,
    logRateHz: s.logRateHz,
    craftSeed: s.craftSeed ?? s.seed,
    referenceHz: s.referenceHz ?? null,
    name: s.name ?? "",
    rotors: {
      ...turning,
      hoverHz: turning.hoverHz ?? typicalHoverHz(turning.propellerInch),
      lagS: turning.lagS ?? typicalLagS(turning.propellerInch),
    },
    flight: { ...flight, ...s.flight },
    lines: { ...lines, ...s.lines },
    wash: { ...wash, ...s.wash },
    modes: s.modes ?? [],
    tones: s.tones ?? [],
    sensor: { ...sensor, ...s.sensor },
    chain: { ...chain, ...s.chain },
    telemetry: s.telemetry ? { ...telemetry, ...s.telemetry } : null,
    faults: { ...faults, ...s.faults },
    columns: { ...columns, ...s.columns },
  };
}
