import { InputError } from "../errors.js";
import type { ColumnMap, MappedColumn } from "./column-map.js";
import type { Role } from "./flight-log.js";
import type { PlannedColumn } from "./plan-columns.js";
import { type SettleContext, type Settled, settleUnit } from "./settle-channels.js";

/** The map that would be read, with the likeliest unit where the data do not decide. */
export function candidateMap(
  sets: readonly (readonly PlannedColumn[])[],
  columns: ReadonlyMap<number, Float32Array>,
  context: SettleContext,
): ColumnMap {
  return {
    columns: sets.flatMap((set) =>
      candidates(
        set,
        set.map((c) => columns.get(c.index)!),
        context,
      ),
    ),
  };
}

function candidates(
  set: readonly PlannedColumn[],
  values: readonly Float32Array[],
  context: SettleContext,
): MappedColumn[] {
  const role = set[0]!.role as Role;
  let unit: Pick<Settled, "unit" | "scale" | "offset"> | null = null;
  try {
    unit = settleUnit(role, set, values, { ...context, gyroScale: 1 });
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
  }
  const { unit: name, scale, offset } = unit ?? { unit: "deg/s", scale: 1, offset: 0 };
  return set.map(({ header, index, axis, motor, electrical }) => ({
    header,
    column: index + 1,
    role,
    ...(axis !== null && { axis }),
    ...(motor !== null && { motor }),
    unit: name,
    scale,
    ...(offset !== 0 && { offset }),
    ...(electrical !== null && { electrical }),
  }));
}
