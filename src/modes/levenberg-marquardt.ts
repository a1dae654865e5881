import { CholeskyDecomposition, inverse, Matrix } from "ml-matrix";

/** A least-squares problem with bounds and independent Gaussian priors on its parameters. */
export interface Problem {
  /** Length of the residual. */
  readonly size: number;
  /** Fills `residual` and `jacobian` (parameter-major, ∂ residual / ∂ parameter) at `theta`. */
  evaluate(theta: Float64Array, residual: Float64Array, jacobian: Float64Array): void;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  readonly priorMean: Float64Array;
  /** Infinity for no prior. */
  readonly priorSd: Float64Array;
}

export interface Solution {
  readonly theta: Float64Array;
  /** Σ ρ(r) + Σ ((θ − mean)/sd)², ρ the soft-L1 loss. */
  readonly cost: number;
  readonly residual: Float64Array;
  /** (JᵀJ + prior)⁻¹ at the solution, row-major. */
  readonly covariance: Float64Array;
  readonly converged: boolean;
}

/** Residuals beyond about this many sigma count linearly (soft-L1 loss of Huber's family). */
const SOFT_SCALE = 3;
const MAX_STEPS = 40;
/** A step that lowers the cost (twice a log-likelihood) by less than this is the last. */
const ENOUGH = 1e-3;

function softLoss(r: number): number {
  const u = r / SOFT_SCALE;
  return 2 * SOFT_SCALE * SOFT_SCALE * (Math.sqrt(1 + u * u) - 1);
}

function totalCost(problem: Problem, theta: Float64Array, residual: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < problem.size; i++) sum += softLoss(residual[i]!);
  for (let p = 0; p < theta.length; p++) {
    const pull = (theta[p]! - problem.priorMean[p]!) / problem.priorSd[p]!;
    sum += pull * pull;
  }
  return sum;
}

/** Normal matrix and gradient of the reweighted problem. */
function normalEquations(
  problem: Problem,
  state: { theta: Float64Array; residual: Float64Array; jacobian: Float64Array },
): { normal: Matrix; gradient: Float64Array } {
  const count = state.theta.length;
  const n = problem.size;
  const normal = new Matrix(count, count);
  const gradient = new Float64Array(count);
  const weight = new Float64Array(n);
  for (let i = 0; i < n; i++) weight[i] = 1 / Math.sqrt(1 + (state.residual[i]! / SOFT_SCALE) ** 2);
  const row = new Float64Array(n);
  for (let p = 0; p < count; p++) {
    let pull = 0;
    for (let i = 0; i < n; i++) {
      row[i] = state.jacobian[p * n + i]! * weight[i]!;
      pull += row[i]! * state.residual[i]!;
    }
    const sharpness = 1 / problem.priorSd[p]! ** 2;
    gradient[p] = pull + sharpness * (state.theta[p]! - problem.priorMean[p]!);
    for (let q = 0; q <= p; q++) {
      let sum = q === p ? sharpness : 0;
      const at = q * n;
      for (let i = 0; i < n; i++) sum += row[i]! * state.jacobian[at + i]!;
      normal.set(p, q, sum);
      normal.set(q, p, sum);
    }
  }
  return { normal, gradient };
}

/** The damped step, or null when the matrix is not positive definite. */
function dampedStep(normal: Matrix, gradient: Float64Array, damping: number): Float64Array | null {
  const damped = normal.clone();
  for (let p = 0; p < gradient.length; p++) {
    damped.set(p, p, damped.get(p, p) * (1 + damping) + 1e-12);
  }
  const cholesky = new CholeskyDecomposition(damped);
  if (!cholesky.isPositiveDefinite()) return null;
  const step = cholesky.solve(Matrix.columnVector(gradient)).to1DArray();
  return Float64Array.from(step, (s) => -s);
}

/** Clamps a value into a range. */
function clamp(x: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, x));
}

/**
 * Levenberg–Marquardt with clamped parameters, Gaussian priors and a soft-L1 loss.
 *
 * @see D. W. Marquardt, J. SIAM 11(2), 1963; loss reweighted as in P. J. Huber, Robust Statistics, 1981
 * @throws {RangeError} if the start's length does not match the bounds
 * @example fitting y = 2x to three exact points from θ = 1 returns θ = [2], cost 0
 */
export function levenbergMarquardt(problem: Problem, start: Float64Array): Solution {
  const count = start.length;
  if (problem.lower.length !== count) throw new RangeError(`start has ${count} parameters, bounds differ`);
  let theta = start.map((v, p) => clamp(v, problem.lower[p]!, problem.upper[p]!));
  let residual = new Float64Array(problem.size);
  let jacobian = new Float64Array(problem.size * count);
  let tryResidual = new Float64Array(problem.size);
  let tryJacobian = new Float64Array(problem.size * count);
  problem.evaluate(theta, residual, jacobian);
  let cost = totalCost(problem, theta, residual);
  let damping = 1e-2;
  let converged = false;
  let equations = normalEquations(problem, { theta, residual, jacobian });
  for (let step = 0; step < MAX_STEPS && !converged; step++) {
    const move = dampedStep(equations.normal, equations.gradient, damping);
    const trial = theta.map((v, p) => clamp(v + (move?.[p] ?? 0), problem.lower[p]!, problem.upper[p]!));
    problem.evaluate(trial, tryResidual, tryJacobian);
    const trialCost = totalCost(problem, trial, tryResidual);
    if (move !== null && trialCost <= cost) {
      converged = cost - trialCost < ENOUGH;
      theta = trial;
      cost = trialCost;
      [residual, tryResidual] = [tryResidual, residual];
      [jacobian, tryJacobian] = [tryJacobian, jacobian];
      equations = normalEquations(problem, { theta, residual, jacobian });
      damping = Math.max(damping / 5, 1e-7);
    } else {
      damping *= 6;
      converged = damping > 1e8;
    }
  }
  return { theta, cost, residual, covariance: invert(equations.normal), converged };
}

function invert(normal: Matrix): Float64Array {
  const ridge = normal.clone();
  for (let p = 0; p < ridge.rows; p++) ridge.set(p, p, ridge.get(p, p) * (1 + 1e-9) + 1e-9);
  return Float64Array.from(inverse(ridge).to1DArray());
}
