// Every row of a log to columns, by the numeric fast path.
import { decodeLog } from "../../dist/decode/decode.js";
import { readLog, sizeOfLog } from "../../dist/io/read-log.js";

await decodeLog(readLog(process.argv[2]), { file: "bench", sizeBytes: sizeOfLog(process.argv[2]) });
