import { powerDb, powerRatio } from "../spectra/decibel.js";
import { perAxis } from "../units.js";
import type {
  CellLevels,
  Fingerprint,
  FlownClass,
  LineLevels,
  MotorLevels,
  OrderLevels,
} from "./fingerprint.js";

/**
 * Flights of one build as if they were one: each cell's and each class's level is the mean over the flights that
 * know it, weighing by degrees of freedom; those add.
 *
 * @param prints at least one, all matched by the same
 */
export function mergeFingerprints(prints: readonly Fingerprint[]): Fingerprint {
  const first = prints[0]!;
  if (prints.length === 1) return first;
  const { classes, rows } = mergeClasses(prints.map((p) => p.classes));
  return {
    ...first,
    speedSd: Math.max(...prints.map((p) => p.speedSd)),
    classes,
    axes: perAxis((axis) => {
      const own = prints.map((p) => p.axes[axis]);
      return own.some((levels) => levels === null) ? null : mergeCells(own as CellLevels[], rows);
    }),
    orders: first.orders.flatMap((line) => {
      const same = prints.map((p) => p.orders.find((o) => o.order === line.order));
      return same.some((o) => o === undefined) ? [] : [mergeOrder(same as OrderLevels[])];
    }),
    motors: first.motors.flatMap(({ motor }) => {
      const same = prints.map((p) => p.motors.find((m) => m.motor === motor));
      return same.some((m) => m === undefined) ? [] : [mergeMotor(same as MotorLevels[])];
    }),
  };
}

/** The classes of all flights, and for each the row that every flight has for it (-1: none). */
function mergeClasses(all: readonly (readonly FlownClass[])[]): { classes: FlownClass[]; rows: number[][] } {
  const known = new Map<number, FlownClass>();
  for (const c of all.flat()) {
    const before = known.get(c.index)?.seconds ?? 0;
    known.set(c.index, { ...c, seconds: before + c.seconds });
  }
  const classes = [...known.values()].sort((a, b) => a.index - b.index);
  return {
    classes,
    rows: classes.map(({ index }) => all.map((own) => own.findIndex((c) => c.index === index))),
  };
}

function mergeCells(all: readonly CellLevels[], rows: readonly (readonly number[])[]): CellLevels {
  const cells = Math.min(...all.map((levels) => levels.dof[0]?.length ?? 0));
  const merged = rows.map((row) =>
    Array.from({ length: cells }, (_, cell) => {
      let dof = 0;
      let sum = 0;
      all.forEach((levels, flight) => {
        const level = levels.levelDb[row[flight]!]?.[cell] ?? null;
        if (level === null) return;
        const own = levels.dof[row[flight]!]![cell]!;
        dof += own;
        sum += own * powerRatio(level);
      });
      return { dof, levelDb: dof > 0 ? powerDb(sum / dof) : null };
    }),
  );
  return {
    levelDb: merged.map((row) => row.map((cell) => cell.levelDb)),
    dof: merged.map((row) => row.map((cell) => cell.dof)),
  };
}

function mergeOrder(all: readonly OrderLevels[]): OrderLevels {
  const { classes, rows } = mergeClasses(all.map((o) => o.classes));
  return {
    order: all[0]!.order,
    classes,
    axes: perAxis((axis) => {
      const lines = all.map((o) => o.axes[axis]);
      return lines.some((line) => line === null) ? null : mergeLines(lines as LineLevels[], rows);
    }),
    together: mergeLines(
      all.map((o) => o.together),
      rows,
    ),
  };
}

function mergeMotor(all: readonly MotorLevels[]): MotorLevels {
  const { classes, rows } = mergeClasses(all.map((m) => m.classes));
  return { motor: all[0]!.motor, classes, ...mergeLines(all, rows) };
}

function mergeLines(all: readonly LineLevels[], rows: readonly (readonly number[])[]): LineLevels {
  const merged = rows.map((row) => {
    let dof = 0;
    let sum = 0;
    all.forEach((line, flight) => {
      const own = line.dof[row[flight]!] ?? 0;
      dof += own;
      sum += own * (line.meanSquare[row[flight]!] ?? 0);
    });
    return { dof, meanSquare: dof > 0 ? sum / dof : 0 };
  });
  return { meanSquare: merged.map((m) => m.meanSquare), dof: merged.map((m) => m.dof) };
}
