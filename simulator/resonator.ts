/**
 * Discrete second-order resonance and rigid body, both by impulse invariance: the poles are the continuous ones,
 * so natural frequency and damping ratio are exact at any physics rate (Oppenheim & Schafer, Discrete-Time Signal
 * Processing, "filter design by impulse invariance").
 */
export interface Complex {
  readonly re: number;
  readonly im: number;
}

/** One pole pair of s / (s² + 2ζωs + ω²): what one step multiplies the state by, and the weight of the input. */
export interface ResonatorStep {
  readonly pole: Complex;
  /** 2 · residue / rate; the output is Re(state). */
  readonly input: Complex;
}

/**
 * Step of the resonance s / (s² + 2ζωs + ω²), from torque to rate.
 *
 * @param frequencyHz undamped natural frequency
 * @param dampingRatio 0 < ζ < 1
 * @param rate steps per second
 */
export function resonatorStep(frequencyHz: number, dampingRatio: number, rate: number): ResonatorStep {
  const w = 2 * Math.PI * frequencyHz;
  const root = Math.sqrt(1 - dampingRatio * dampingRatio);
  const decay = Math.exp((-dampingRatio * w) / rate);
  const angle = (w * root) / rate;
  // residue p / (p - p*) = (root + iζ) / (2 root)
  return {
    pole: { re: decay * Math.cos(angle), im: decay * Math.sin(angle) },
    input: { re: 1 / rate, im: dampingRatio / root / rate },
  };
}

/** |H|² of the resonance at frequency f (Hz). */
export function resonatorGain2(f: number, step: ResonatorStep, rate: number): number {
  const h = resonatorResponse(f, step, rate);
  return h.re * h.re + h.im * h.im;
}

/** H of the resonance at f: half of each conjugate pole's geometric sum. */
export function resonatorResponse(f: number, step: ResonatorStep, rate: number): Complex {
  const c = Math.cos((2 * Math.PI * f) / rate);
  const s = -Math.sin((2 * Math.PI * f) / rate);
  const up = onePole({ re: step.input.re / 2, im: step.input.im / 2 }, step.pole, { re: c, im: s });
  const conjugate = { re: step.pole.re, im: -step.pole.im };
  const down = onePole({ re: step.input.re / 2, im: -step.input.im / 2 }, conjugate, { re: c, im: s });
  return { re: up.re + down.re, im: up.im + down.im };
}

/** b / (1 - p z⁻¹). */
function onePole(b: Complex, p: Complex, z1: Complex): Complex {
  const re = 1 - (p.re * z1.re - p.im * z1.im);
  const im = -(p.re * z1.im + p.im * z1.re);
  const norm = re * re + im * im;
  return { re: (b.re * re + b.im * im) / norm, im: (b.im * re - b.re * im) / norm };
}

/** Pole of the rigid body held by the rate loop: 1 / (s + 2π·loopHz), from torque to rate. */
export function rigidKeep(loopHz: number, rate: number): number {
  return Math.exp((-2 * Math.PI * loopHz) / rate);
}

export function rigidResponse(f: number, keep: number, rate: number): Complex {
  const angle = (2 * Math.PI * f) / rate;
  return onePole({ re: 1 / rate, im: 0 }, { re: keep, im: 0 }, { re: Math.cos(angle), im: -Math.sin(angle) });
}
