/**
 * Seeded random numbers for the simulator. Every physical process draws from a stream of its own, named by
 * a label, so that switching one process on does not reshuffle the others.
 */
export interface Random {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Uniform in [from, to). */
  between(from: number, to: number): number;
  /** Standard normal. */
  normal(): number;
  /** Uniform in log scale between two positive numbers. */
  logBetween(from: number, to: number): number;
  /** One of the entries. */
  pick<T>(entries: readonly T[]): T;
  /** true with probability p. */
  chance(p: number): boolean;
}

/** Stream `label` of `seed`. Same seed and label, same numbers. */
export function randomStream(seed: number, label: string): Random {
  const next = sfc32(seed, label);
  const uniform = (): number => next() / 4294967296;
  return {
    uniform,
    between: (from, to) => from + (to - from) * uniform(),
    normal: zigguratOf(next),
    logBetween: (from, to) => from * (to / from) ** uniform(),
    pick: (entries) => entries[Math.floor(uniform() * entries.length)]!,
    chance: (p) => uniform() < p,
  };
}

/** 32-bit words of sfc32 (C. Doty-Humphrey, PractRand, public domain), seeded by an FNV-1a hash of the label. */
function sfc32(seed: number, label: string): () => number {
  let a = seed >>> 0;
  let b = Math.floor(seed / 4294967296) >>> 0;
  let c = fnv1a(label);
  let counter = 1;
  const next = (): number => {
    const t = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + t) | 0;
    return t >>> 0;
  };
  for (let i = 0; i < 16; i++) next();
  return next;
}

function fnv1a(text: string): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  return hash >>> 0;
}

const LAYERS = 128;
const TAIL = 3.442619855899;
const LAYER_AREA = 9.91256303526217e-3;
const edge = new Float64Array(LAYERS + 1);
const density = new Float64Array(LAYERS + 1);
fillLayers();

function fillLayers(): void {
  edge[0] = LAYER_AREA / Math.exp(-0.5 * TAIL * TAIL);
  edge[1] = TAIL;
  for (let i = 2; i < LAYERS; i++) {
    const previous = edge[i - 1]!;
    edge[i] = Math.sqrt(-2 * Math.log(LAYER_AREA / previous + Math.exp(-0.5 * previous * previous)));
  }
  for (let i = 0; i <= LAYERS; i++) density[i] = Math.exp(-0.5 * edge[i]! * edge[i]!);
}

/** Normal deviates by the ziggurat of G. Marsaglia and W. W. Tsang, J. Stat. Softw. 5(8), 2000; constants theirs. */
function zigguratOf(next: () => number): () => number {
  const uniform = (): number => (next() + 0.5) / 4294967296;
  const tail = (sign: number): number => {
    for (;;) {
      const x = -Math.log(uniform()) / TAIL;
      if (-2 * Math.log(uniform()) >= x * x) return sign * (TAIL + x);
    }
  };
  return () => {
    for (;;) {
      const word = next();
      const layer = word & (LAYERS - 1);
      const sign = word & LAYERS ? -1 : 1;
      const x = ((word >>> 8) / 16777216) * edge[layer]!;
      if (x < edge[layer + 1]!) return sign * x;
      if (layer === 0) return tail(sign);
      const height = density[layer]! + uniform() * (density[layer + 1]! - density[layer]!);
      if (height < Math.exp(-0.5 * x * x)) return sign * x;
    }
  };
}
