/** A small complex matrix, row-major, real and imaginary parts apart. */
export interface ComplexMatrix {
  readonly size: number;
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/**
 * Inverse of a Hermitian positive definite matrix by Cholesky factors, with a ridge on its diagonal.
 *
 * @param a only the lower triangle is read
 * @param ridge added to every diagonal entry, as a share of the mean diagonal
 * @returns the inverse, or null when the matrix is not positive definite even with the ridge
 * @see G. H. Golub, C. F. Van Loan, Matrix Computations, section 4.2
 * @example hermitianInverse({ size: 1, re: Float64Array.of(4), im: Float64Array.of(0) }, 0)!.re // [0.25]
 */
export function hermitianInverse(a: ComplexMatrix, ridge: number): ComplexMatrix | null {
  const n = a.size;
  const factor = cholesky(a, ridge);
  if (!factor) return null;
  const re = new Float64Array(n * n);
  const im = new Float64Array(n * n);
  const column = { re: new Float64Array(n), im: new Float64Array(n) };
  for (let j = 0; j < n; j++) {
    column.re.fill(0);
    column.im.fill(0);
    column.re[j] = 1;
    substitute(factor, column);
    for (let i = 0; i < n; i++) {
      re[i * n + j] = column.re[i]!;
      im[i * n + j] = column.im[i]!;
    }
  }
  return { size: n, re, im };
}

/** L with A = L Lᴴ, or null. */
function cholesky(a: ComplexMatrix, ridge: number): ComplexMatrix | null {
  const n = a.size;
  const re = new Float64Array(n * n);
  const im = new Float64Array(n * n);
  let trace = 0;
  for (let i = 0; i < n; i++) trace += a.re[i * n + i]!;
  const added = (ridge * trace) / n;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sumRe = a.re[i * n + j]! + (i === j ? added : 0);
      let sumIm = i === j ? 0 : a.im[i * n + j]!;
      for (let k = 0; k < j; k++) {
        const pr = re[i * n + k]!;
        const pi = im[i * n + k]!;
        const qr = re[j * n + k]!;
        const qi = im[j * n + k]!;
        sumRe -= pr * qr + pi * qi;
        sumIm -= pi * qr - pr * qi;
      }
      if (i === j) {
        if (!(sumRe > 1e-12 * trace)) return null;
        re[i * n + i] = Math.sqrt(sumRe);
      } else {
        re[i * n + j] = sumRe / re[j * n + j]!;
        im[i * n + j] = sumIm / re[j * n + j]!;
      }
    }
  }
  return { size: n, re, im };
}

/** Solves L Lᴴ x = b in place. */
function substitute(l: ComplexMatrix, b: { re: Float64Array; im: Float64Array }): void {
  const n = l.size;
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) {
      const lr = l.re[i * n + k]!;
      const li = l.im[i * n + k]!;
      b.re[i] = b.re[i]! - (lr * b.re[k]! - li * b.im[k]!);
      b.im[i] = b.im[i]! - (lr * b.im[k]! + li * b.re[k]!);
    }
    b.re[i] = b.re[i]! / l.re[i * n + i]!;
    b.im[i] = b.im[i]! / l.re[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) {
      const lr = l.re[k * n + i]!;
      const li = -l.im[k * n + i]!;
      b.re[i] = b.re[i]! - (lr * b.re[k]! - li * b.im[k]!);
      b.im[i] = b.im[i]! - (lr * b.im[k]! + li * b.re[k]!);
    }
    b.re[i] = b.re[i]! / l.re[i * n + i]!;
    b.im[i] = b.im[i]! / l.re[i * n + i]!;
  }
}
