// Every row of a log to columns, by the general CSV library.
import { createReadStream } from "node:fs";
import { parse } from "csv-parse";

const columns = [];
const parser = createReadStream(process.argv[2]).pipe(
  parse({ from_line: 2, cast: false, relax_column_count: true }),
);
for await (const row of parser) {
  for (let i = 0; i < row.length; i++) {
    columns[i] ??= [];
    columns[i].push(Number(row[i]));
  }
}
