import { hannKernel } from "./hann-kernel.js";

/**
 * Spectrum model of fixed resonances over a local broadband floor.
 *
 *   M(f) = B(f) · N(f) · { 1 + Σ_j [A_j + D_j x_j] / (1 + x_j²) },   x_j = (f/f_j − f_j/f) / (2ζ_j)
 *   B(f) = exp(c0 + c1 ln(f/fc)),   D_j = 2 √(A_j R_j) tanh t_j
 *
 * 1/(1+x²) is the squared angular-rate response of a second-order mode to white torque (peak at the natural
 * frequency, half-power width exactly 2ζf). D is its interference with the rigid body and its neighbours, which
 * the same force drives: odd about f_j, so it pulls the peak aside and digs a dip on one side; R_j is the level
 * at f_j of everything else, and |tanh t| ≤ 1 keeps the interference physical. A periodogram sees M through its
 * window, so M is convolved with the Hann power kernel.
 *
 * N is the skirt of modes centred outside the window, of the same form as { }. It multiplies: what stands in the
 * window interferes with the rigid body and the skirt together, so its dip cuts through both.
 *
 * Parameters, in order: c0, c1, then per mode ln f, ln ζ, ln A, t.
 *
 * @see Thomson, Theory of Vibration with Applications, sec. 3 (second-order response);
 *      the interference term: method note, measured on simulated flights
 */
export const FLOOR_PARAMETERS = 2;
export const PARAMETERS_PER_MODE = 4;

/** The model never falls below this share of the floor: interference cannot dig deeper than noise allows. */
export const LEAST_SHARE = 0.02;
const KERNELS = new Map([1, 2, 4].map((steps) => [steps, hannKernel(steps)]));

/** A mode that is fitted; one that takes part as it is; one whose centre lies outside the window (held too). */
export type Role = "free" | "held" | "skirt";

/** Work arrays of one fit window, reused over the iterations. */
export interface ModelWindow {
  /** First bin, and number of bins. */
  readonly firstBin: number;
  readonly bins: number;
  /** Bin spacing, Hz. */
  readonly df: number;
  /** Reference frequency of the floor's slope, Hz. */
  readonly centreHz: number;
  readonly modes: number;
  readonly roles: readonly Role[];
  /** ln M per bin. */
  readonly logModel: Float64Array;
  /** ∂ ln M / ∂ parameter, parameter-major: `jacobian[p * bins + bin]`. */
  readonly jacobian: Float64Array;
  readonly fine: FineGrid;
}

/** The grid between the bins on which the model is computed before it is seen through the window. */
interface FineGrid {
  readonly stepsPerBin: number;
  readonly kernel: Float64Array;
  readonly points: number;
  /** Hz */
  readonly frequency: Float64Array;
  /** ln(f / fc) */
  readonly tilt: Float64Array;
  readonly value: Float64Array;
  /** N */
  readonly skirts: Float64Array;
  readonly slope: Float64Array;
}

/** Where a window lies and how finely it must be computed. */
export interface WindowPlace {
  readonly firstBin: number;
  readonly bins: number;
  readonly df: number;
  readonly centreHz: number;
  /** Half-power width of the narrowest mode, Hz: the finer it is, the finer the grid. */
  readonly narrowestHz: number;
}

/** Steps per bin: peaks of many bins need no finer grid than the bins. */
function stepsFor(widthInBins: number): number {
  return widthInBins > 8 ? 1 : widthInBins > 3 ? 2 : 4;
}

/** Lays out a window for `roles.length` modes; derivatives are made for the free ones (others stay 0). */
export function modelWindow(place: WindowPlace, roles: readonly Role[]): ModelWindow {
  const parameters = FLOOR_PARAMETERS + PARAMETERS_PER_MODE * roles.length;
  const stepsPerBin = stepsFor(place.narrowestHz / place.df);
  const kernel = KERNELS.get(stepsPerBin)!;
  const points = stepsPerBin * (place.bins - 1) + kernel.length;
  const reach = (kernel.length - 1) / 2;
  const frequency = Float64Array.from(
    { length: points },
    (_, i) => Math.max(place.firstBin + (i - reach) / stepsPerBin, 0.2) * place.df,
  );
  const tilt = frequency.map((f) => Math.log(f / place.centreHz));
  const value = new Float64Array(points);
  const skirts = new Float64Array(points);
  const slope = new Float64Array(parameters * points);
  return {
    ...place,
    modes: roles.length,
    roles,
    logModel: new Float64Array(place.bins),
    jacobian: new Float64Array(parameters * place.bins),
    fine: { stepsPerBin, kernel, points, frequency, tilt, value, skirts, slope },
  };
}

/** Level at each mode's frequency of floor and the other modes of the window, in units of the floor. */
function surroundings(theta: Float64Array, { modes, roles }: ModelWindow): Float64Array {
  const level = new Float64Array(modes).fill(1);
  for (let j = 0; j < modes; j++) {
    const at = Math.exp(theta[FLOOR_PARAMETERS + PARAMETERS_PER_MODE * j]!);
    for (let i = 0; i < modes; i++) {
      if (i === j || roles[i] === "skirt") continue;
      const p = FLOOR_PARAMETERS + PARAMETERS_PER_MODE * i;
      const f = Math.exp(theta[p]!);
      const x = (at / f - f / at) / (2 * Math.exp(theta[p + 1]!));
      level[j]! += Math.exp(theta[p + 2]!) / (1 + x * x);
    }
  }
  return level;
}

/** Adds one mode's share (in units of the floor) and its derivatives on the fine grid. */
function addMode(window: ModelWindow, theta: Float64Array, j: number, around: number): void {
  const { slope, points, frequency } = window.fine;
  const role = window.roles[j]!;
  const sum = role === "skirt" ? window.fine.skirts : window.fine.value;
  const p = FLOOR_PARAMETERS + PARAMETERS_PER_MODE * j;
  const f0 = Math.exp(theta[p]!);
  const halfInverse = 0.5 / Math.exp(theta[p + 1]!);
  const a = Math.exp(theta[p + 2]!);
  const lean = Math.tanh(theta[p + 3]!);
  const root = 2 * Math.sqrt(a * around);
  const d = root * lean;
  const dLean = root * (1 - lean * lean);
  for (let i = 0; i < points; i++) {
    const ratio = frequency[i]! / f0;
    const x = (ratio - 1 / ratio) * halfInverse;
    const inverse = 1 / (1 + x * x);
    const share = (a + d * x) * inverse;
    const byX = (d - 2 * x * share) * inverse;
    sum[i]! += share;
    if (role !== "free") continue;
    slope[p * points + i] = -byX * (ratio + 1 / ratio) * halfInverse;
    slope[(p + 1) * points + i] = -byX * x;
    slope[(p + 2) * points + i] = (a + 0.5 * d * x) * inverse;
    slope[(p + 3) * points + i] = dLean * x * inverse;
  }
}

/** Turns "in units of the floor" into densities and fills the floor's own derivatives. */
function applyFloor(window: ModelWindow, theta: Float64Array): void {
  const { value, skirts, slope, points, tilt } = window.fine;
  const parameters = theta.length;
  for (let i = 0; i < points; i++) {
    const floor = Math.exp(theta[0]! + theta[1]! * tilt[i]!) * Math.max(skirts[i]!, LEAST_SHARE);
    const clamped = value[i]! < LEAST_SHARE;
    const m = floor * (clamped ? LEAST_SHARE : value[i]!);
    value[i] = m;
    slope[i] = m;
    slope[points + i] = m * tilt[i]!;
    for (let p = FLOOR_PARAMETERS; p < parameters; p++) slope[p * points + i]! *= clamped ? 0 : floor;
  }
}

/** Sees one curve on the fine grid through the window: convolution with the Hann kernel, decimated to the bins. */
function throughKernel(
  grid: FineGrid,
  curve: Float64Array,
  from: number,
  out: Float64Array,
  to: number,
): void {
  const { kernel, stepsPerBin, points } = grid;
  const bins = (points - kernel.length) / stepsPerBin + 1;
  const reach = (kernel.length - 1) >> 1;
  const centre = kernel[reach]!;
  for (let b = 0; b < bins; b++) {
    const middle = from + b * stepsPerBin + reach;
    let sum = centre * curve[middle]!;
    for (let k = 1; k <= reach; k++) sum += kernel[reach + k]! * (curve[middle - k]! + curve[middle + k]!);
    out[to + b] = sum;
  }
}

/**
 * Evaluates ln M and its analytic derivatives at every bin of a window, in place.
 * The level R_j around a mode is taken as constant within one evaluation (it varies slowly).
 *
 * @param window work arrays; `logModel` and `jacobian` are overwritten
 * @param theta parameters as described above, length 2 + 4 · modes
 */
export function evaluateModel(window: ModelWindow, theta: Float64Array): void {
  const { value, slope, points } = window.fine;
  const { bins, logModel, jacobian } = window;
  value.fill(1);
  window.fine.skirts.fill(1);
  const around = surroundings(theta, window);
  for (let j = 0; j < window.modes; j++) addMode(window, theta, j, around[j]!);
  applyFloor(window, theta);
  throughKernel(window.fine, value, 0, logModel, 0);
  for (let p = 0; p < theta.length; p++) {
    const role = window.roles[Math.floor((p - FLOOR_PARAMETERS) / PARAMETERS_PER_MODE)];
    if (p >= FLOOR_PARAMETERS && role !== "free") continue;
    throughKernel(window.fine, slope, p * points, jacobian, p * bins);
    for (let b = 0; b < bins; b++) jacobian[p * bins + b]! /= logModel[b]!;
  }
  for (let b = 0; b < bins; b++) logModel[b] = Math.log(logModel[b]!);
}
