/** Half-width of the kernel, bins: the lobe outside holds less than 1e-4 of the power. */
export const KERNEL_HALF_BINS = 2.5;

/** sin(πx)/(πx) */
function sinc(x: number): number {
  return x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
}

/**
 * Power response of a periodic Hann window around one bin: what a periodogram bin collects from a density that varies
 * within the window's main lobe.
 *
 * w(x) ∝ |½ sinc(x) + ¼ sinc(x−1) + ¼ sinc(x+1)|², x in bins, on −2.5 … 2.5, sum 1.
 *
 * @param stepsPerBin samples of the kernel per bin, 1, 2 or 4
 * @returns 2 · floor(2.5 · stepsPerBin) + 1 weights, dimensionless, symmetric
 * @see F. J. Harris, Proc. IEEE 66(1), 1978: the Hann transform is three shifted Dirichlet kernels
 * @example hannKernel(1) // [0, 1/6, 2/3, 1/6, 0]
 */
export function hannKernel(stepsPerBin: number): Float64Array {
  const reach = Math.floor(KERNEL_HALF_BINS * stepsPerBin);
  const weights = new Float64Array(2 * reach + 1);
  let sum = 0;
  for (let i = 0; i < weights.length; i++) {
    const x = (i - reach) / stepsPerBin;
    const amplitude = 0.5 * sinc(x) + 0.25 * sinc(x - 1) + 0.25 * sinc(x + 1);
    weights[i] = amplitude * amplitude;
    sum += weights[i]!;
  }
  return weights.map((w) => w / sum);
}
