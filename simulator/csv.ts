import { AXES, type Axis } from "../src/units.js";
import type { Rows } from "./log-faults.js";
import type { LoggedSignals } from "./logged.js";
import type { FullScenario } from "./scenario.js";

/** How a log is written down: the trade's words in several wordings. */
export interface CsvStyle {
  readonly wording: "plain" | "bracketed" | "underscored" | "camel";
  readonly delimiter: "," | ";" | "\t";
  readonly decimalComma: boolean;
  readonly timeUnit: "s" | "ms" | "us";
  readonly throttle: "%" | "0..1" | "1000..2000";
  readonly lineEnd: "\n" | "\r\n";
  /** Lines before the header, written `# key: value`. */
  readonly notes: readonly (readonly [key: string, value: string])[];
}

export const PLAIN_STYLE: CsvStyle = {
  wording: "plain",
  delimiter: ",",
  decimalComma: false,
  timeUnit: "us",
  throttle: "%",
  lineEnd: "\n",
  notes: [],
};

interface Column {
  readonly header: string;
  cell(row: number): string;
}

/** Writes the rows that the log kept. */
export function writeCsv(
  s: FullScenario,
  log: { signals: LoggedSignals; rows: Rows },
  given: Partial<CsvStyle> = {},
): string {
  const style = { ...PLAIN_STYLE, ...given };
  const columns = columnsOf(s, log, style);
  const notes = style.notes.map(([key, value]) => `# ${key}: ${value}${style.lineEnd}`).join("");
  const lines = [columns.map((c) => c.header).join(style.delimiter)];
  for (let i = 0; i < log.rows.written.length; i++) {
    if (log.rows.written[i] === 1) lines.push(columns.map((c) => c.cell(i)).join(style.delimiter));
  }
  const text = lines.join(style.lineEnd) + style.lineEnd;
  return notes + (style.decimalComma ? text.replace(/(\d)\.(\d)/g, "$1,$2") : text);
}

function columnsOf(s: FullScenario, log: { signals: LoggedSignals; rows: Rows }, style: CsvStyle): Column[] {
  const { signals, rows } = log;
  const { columns } = s;
  const words = WORDINGS[style.wording];
  const set = (
    on: boolean | readonly Axis[],
    header: (axis: Axis) => string,
    series: LoggedSignals["gyroRaw"],
    digits: number,
  ) =>
    AXES.filter((axis) => (typeof on === "boolean" ? on : on.includes(axis))).map((axis) => ({
      header: header(axis),
      cell: (i: number) => fixed(series[axis][i]!, digits),
    }));
  const gyroDigits = digitsFor(s.sensor.quantumDps);
  return [
    { header: words.time(style.timeUnit), cell: (i) => timeCell(rows.stamps[i]!, style.timeUnit) },
    ...set(columns.gyroRaw, words.gyroRaw, signals.gyroRaw, gyroDigits),
    ...set(columns.gyroFiltered, words.gyroFiltered, signals.gyroFiltered, gyroDigits),
    ...set(columns.dterm, words.dterm, signals.dterm, 1),
    ...set(columns.setpoint, words.setpoint, signals.setpoint, 1),
    ...(columns.throttle
      ? [
          {
            header: words.throttle(style.throttle),
            cell: (i: number) => share(signals.throttle[i]!, style.throttle),
          },
        ]
      : []),
    ...(columns.motors
      ? signals.motors.map((m, k) => ({
          header: words.motor(k + 1, style.throttle),
          cell: (i: number) => share(m[i]!, style.throttle),
        }))
      : []),
    ...signals.speed.map((v, k) => ({
      header: words.speed(k + 1, speedWord(s)),
      cell: (i: number) => fixed(v[i]!, digitsFor(s.telemetry?.step ?? 1)),
    })),
    ...set(columns.accel, words.accel, signals.accel, 2),
    ...(columns.voltage
      ? [{ header: words.voltage, cell: (i: number) => fixed(signals.voltage[i]!, 2) }]
      : []),
  ];
}

/** The unit as the header tells it. */
function speedWord(s: FullScenario): string {
  const unit = s.telemetry?.unit ?? "rpm";
  return unit === "electrical rpm" && s.telemetry?.tellsElectrical === false ? "rpm" : unit;
}

interface Words {
  time(unit: string): string;
  gyroRaw(axis: Axis): string;
  gyroFiltered(axis: Axis): string;
  dterm(axis: Axis): string;
  setpoint(axis: Axis): string;
  throttle(unit: string): string;
  motor(motor: number, unit: string): string;
  speed(motor: number, unit: string): string;
  accel(axis: Axis): string;
  readonly voltage: string;
}

const LETTER = { roll: "x", pitch: "y", yaw: "z" };
const upper = (word: string): string => word.charAt(0).toUpperCase() + word.slice(1);

const WORDINGS: Record<CsvStyle["wording"], Words> = {
  plain: {
    time: (unit) => `time (${unit})`,
    gyroRaw: (axis) => `gyro raw ${axis} (deg/s)`,
    gyroFiltered: (axis) => `gyro filtered ${axis} (deg/s)`,
    dterm: (axis) => `D-term ${axis}`,
    setpoint: (axis) => `setpoint ${axis} (deg/s)`,
    throttle: (unit) => `throttle (${unit})`,
    motor: (motor, unit) => `motor ${motor} (${unit})`,
    speed: (motor, unit) => `motor ${motor} ${unit}`,
    accel: (axis) => `accel ${LETTER[axis]} (m/s2)`,
    voltage: "battery voltage (V)",
  },
  bracketed: {
    time: (unit) => `Time [${unit}]`,
    gyroRaw: (axis) => `Unfiltered rate ${LETTER[axis]} [deg/s]`,
    gyroFiltered: (axis) => `Filtered rate ${LETTER[axis]} [deg/s]`,
    dterm: (axis) => `D term ${LETTER[axis]}`,
    setpoint: (axis) => `Rate setpoint ${LETTER[axis]} [deg/s]`,
    throttle: (unit) => `Throttle [${unit}]`,
    motor: (motor, unit) => `Motor command ${motor} [${unit}]`,
    // "rotor speed" would claim a mechanical number, which plain rpm may not be
    speed: (motor, unit) => `${unit === "rpm" ? "Motor" : "Rotor"} speed ${motor} [${unit}]`,
    accel: (axis) => `Acceleration ${LETTER[axis]} [m/s^2]`,
    voltage: "Battery [V]",
  },
  underscored: {
    time: (unit) => `time_${unit}`,
    gyroRaw: (axis) => `gyro_raw_${axis}_dps`,
    gyroFiltered: (axis) => `gyro_filt_${axis}_dps`,
    dterm: (axis) => `dterm_${axis}`,
    setpoint: (axis) => `setpoint_${axis}_dps`,
    throttle: (unit) => (unit === "%" ? "throttle_pct" : "throttle"),
    motor: (motor) => `motor_${motor}`,
    speed: (motor, unit) => `motor_${motor}_${unit.replace("electrical rpm", "erpm").replace("/", "_per_")}`,
    accel: (axis) => `accel_${LETTER[axis]}_mps2`,
    voltage: "battery_voltage_v",
  },
  camel: {
    time: (unit) => `time${upper(unit)}`,
    gyroRaw: (axis) => `gyroRaw${upper(axis)}`,
    gyroFiltered: (axis) => `gyroFiltered${upper(axis)}`,
    dterm: (axis) => `dTerm${upper(axis)}`,
    setpoint: (axis) => `setpoint${upper(axis)}`,
    throttle: () => "throttle",
    motor: (motor) => `motor${motor}`,
    speed: (motor, unit) =>
      `motor${motor}${unit === "rpm" ? "Rpm" : unit === "Hz" ? "Hz" : unit === "rad/s" ? "RadPerS" : "ElectricalRpm"}`,
    accel: (axis) => `accel${upper(LETTER[axis])}`,
    voltage: "batteryVoltage",
  },
};

/** Shortest decimal with at most `digits` places. */
function fixed(value: number, digits: number): string {
  const scale = 10 ** digits;
  return String(Math.round(value * scale) / scale + 0);
}

function digitsFor(step: number): number {
  if (step <= 0) return 4;
  return Math.min(
    4,
    Math.max(0, Math.ceil(-Math.log10(step) - 1e-9) + (Number.isInteger(Math.log10(step)) ? 0 : 1)),
  );
}

function timeCell(seconds: number, unit: CsvStyle["timeUnit"]): string {
  if (unit === "us") return String(Math.round(seconds * 1e6));
  return unit === "ms" ? fixed(seconds * 1e3, 3) : fixed(seconds, 6);
}

function share(value: number, unit: CsvStyle["throttle"]): string {
  if (unit === "%") return fixed(value * 100, 1);
  return unit === "0..1" ? fixed(value, 3) : String(Math.round(1000 + 1000 * value));
}
