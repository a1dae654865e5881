/** A scale of a drawing: the page's script and the drawing itself both map through this record. */
export interface Scale {
  readonly type: "linear" | "log";
  readonly domain: readonly [number, number];
  /** Ends in the drawing's units, relative to the panel. */
  readonly range: readonly [number, number];
}

/** Position of a value; beyond the ends of the range where the value is beyond the domain. */
export function position({ type, domain: [d0, d1], range: [r0, r1] }: Scale, value: number): number {
  const t = (v: number): number => (type === "log" ? Math.log(v) : v);
  return r0 + ((t(value) - t(d0)) / (t(d1) - t(d0))) * (r1 - r0);
}

/** Position of a value, held inside the range's ends. */
export function place(scale: Scale, value: number): number {
  const [least, most] = [Math.min(...scale.range), Math.max(...scale.range)];
  return Math.min(most, Math.max(least, position(scale, value)));
}

export function inside(scale: Scale, value: number): boolean {
  return value >= Math.min(...scale.domain) && value <= Math.max(...scale.domain);
}

/** Ticks at 1, 2 and 5 times powers of ten, thinned to powers of ten over more than four decades. */
export function logTicks([lo, hi]: readonly [number, number]): number[] {
  const steps = Math.log10(hi / lo) > 4 ? [1] : [1, 2, 5];
  const ticks: number[] = [];
  for (let e = Math.floor(Math.log10(lo)); e <= Math.ceil(Math.log10(hi)); e++) {
    for (const s of steps) {
      const tick = Number(`${s}e${e}`);
      if (tick >= lo * 0.999 && tick <= hi * 1.001) ticks.push(tick);
    }
  }
  return ticks;
}

/** About `count` ticks at round steps of 1, 2 or 5. */
export function linearTicks([lo, hi]: readonly [number, number], count = 5): number[] {
  const rough = (hi - lo) / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((s) => s * power).find((s) => s >= rough * 0.8)!;
  const ticks: number[] = [];
  for (let k = Math.ceil(lo / step - 1e-9); k * step <= hi + step * 1e-6; k++)
    ticks.push(Number((k * step).toPrecision(12)));
  return ticks;
}

const RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹";

/** A tick label: plain from 0.001 to 100 000, else a power of ten. */
export function tickLabel(value: number): string {
  if (value === 0) return "0";
  const size = Math.abs(value);
  if (size >= 1e-3 && size < 1e5) return String(Number(value.toPrecision(6)));
  const e = Math.floor(Math.log10(size) + 1e-9);
  const digits = [...String(Math.abs(e))].map((d) => RAISED[Number(d)]!).join("");
  const factor = Number((value / 10 ** e).toPrecision(3));
  return `${factor === 1 ? "" : factor + "·"}10${e < 0 ? "⁻" : ""}${digits}`;
}
