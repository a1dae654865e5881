import { realFft } from "../src/spectra/fft.js";

/**
 * Real transforms a second of one length, nothing but the transform.
 *
 * @param size samples
 * @param milliseconds how long to measure, after a warm-up of a fifth of it
 */
export function timeTransform(size: number, milliseconds = 200): number {
  const plan = realFft(size);
  const x = Float64Array.from({ length: size }, (_, n) => Math.sin(n * n));
  const out = new Float64Array(2 * plan.bins);
  const run = (duration: number): number => {
    const start = performance.now();
    let [count, elapsed] = [0, 0];
    while (elapsed < duration) {
      for (let i = 0; i < 100; i++) plan.forward(x, out);
      count += 100;
      elapsed = performance.now() - start;
    }
    return (1000 * count) / elapsed;
  };
  run(milliseconds / 5);
  return run(milliseconds);
}
