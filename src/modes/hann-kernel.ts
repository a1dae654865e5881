/** Quarter-bin steps from −2.5 to 2.5 bins. */
export const KERNEL_STEPS_PER_BIN = 4;
export const KERNEL_REACH = 10;

/** sin(πx)/(πx) */
function sinc(x: number): number {
  return x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
}

/**
 * Power response of a periodic Hann window around one bin: what a periodogram bin collects from a
 * density that varies within the window's main lobe.
 *
 * w(x) ∝ |½ sinc(x) + ¼ sinc(x−1) + ¼ sinc(x+1)|², x in bins, on −2.5 … 2.5 in quarter bins, sum 1.
 * The lobe outside ±2.5 bins holds less than 1e-4 of the power.
 *
 * @returns 21 weights, dimensionless, symmetric
 * @see F. J. Harris, Proc. IEEE 66(1), 1978: the Hann transform is three shifted Dirichlet kernels
 * @example hannKernel()[10] // ≈ 0.1667: a quarter bin holds (1/4)/1.5 of the power at the centre
 */
export function hannKernel(): Float64Array {
  const weights = new Float64Array(2 * KERNEL_REACH + 1);
  let sum = 0;
  for (let i = 0; i < weights.length; i++) {
    const x = (i - KERNEL_REACH) / KERNEL_STEPS_PER_BIN;
    const amplitude = 0.5 * sinc(x) + 0.25 * sinc(x - 1) + 0.25 * sinc(x + 1);
    weights[i] = amplitude * amplitude;
    sum += weights[i]!;
  }
  return weights.map((w) => w / sum);
}
